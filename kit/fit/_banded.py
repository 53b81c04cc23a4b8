"""Likelihood of readings in bands, with reading noise and the tank's own noise.

Notes
-----
The level of the balance is ``mu = X beta + known``. The tank strays from it by day to
day noise that is carried along and diluted: between two readings the deviation keeps
the part ``kept`` and collects the variance ``s^2 wander`` (`kit.balance.Design`). A
reading falls with a reading error of variance ``a^2 + (cv mu)^2`` into ``[low, high]``.

The probability of all bands together is a Gaussian box of as many dimensions as there
are readings. It is taken one reading at a time: a draw from inside the band updates
the deviation as a Kalman filter does, and the next band is judged from there (the
sequential importance sampler known as GHK after Geweke, Hajivassiliou and Keane), on
fixed quasi-random numbers so that the result is smooth in the parameters. For exact
readings the same pass is the Kalman filter itself; without tank noise the product of
the single bands, the usual interval likelihood.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, logsumexp, ndtr, ndtri
from scipy.stats import qmc
from statsmodels.base.model import GenericLikelihoodModel

from kit.balance import Floats

__all__ = [
    "BandedModel",
    "Noise",
    "Readings",
    "last_deviation",
    "log_likelihood",
    "one_step_residuals",
]

_TINY = 1e-300
_PATHS = 16
_LOG_2PI = float(np.log(2.0 * np.pi))


@dataclass(frozen=True, slots=True)
class Readings:
    """Bands and the design they are judged against, in time order.

    Parameters
    ----------
    low, high : ndarray, shape (n,)
        Ends of each band as NO3; ``-inf``/``inf`` where open; equal for an exact
        reading. [mg/L]
    exog : ndarray, shape (n, p)
        Design columns.
    known : ndarray, shape (n,)
        Known part of the level. [mg/L]
    kept, wander : ndarray, shape (n,)
        As in `kit.balance.Design`. [-], [day]
    jolt : ndarray, shape (n,), or None
        Variance that exchanges of inexact size add since the reading before, diluted
        by what follows; None for none. [mg2/L2]
    """

    low: Floats
    high: Floats
    exog: Floats
    known: Floats
    kept: Floats
    wander: Floats
    jolt: Floats | None = None

    @property
    def jolts(self) -> Floats:
        """Jolt of each reading, 0 where there is none. [mg2/L2]."""
        return np.zeros(len(self.low)) if self.jolt is None else self.jolt

    @property
    def exact(self) -> NDArray[np.bool_]:
        """True where the reading is one number."""
        same: NDArray[np.bool_] = self.low == self.high
        return same


@dataclass(frozen=True, slots=True)
class Noise:
    """Which spreads are fitted, and what the others are held at.

    Parameters
    ----------
    additive, relative, tank : float or None
        Reading noise that is the same at all levels [mg/L], reading noise as a part
        of the level [-], day-to-day noise of the tank [mg/L per root day]. None means
        fitted (as a logarithm), a number is held.
    """

    additive: float | None = 0.0
    relative: float | None = 0.0
    tank: float | None = 0.0

    @property
    def free(self) -> tuple[str, ...]:
        """Names of the fitted spreads."""
        pairs = (
            ("additive", self.additive),
            ("relative", self.relative),
            ("tank", self.tank),
        )
        return tuple(name for name, value in pairs if value is None)

    def spreads(self, logs: Floats) -> tuple[Floats, Floats, Floats]:
        """Spreads for each row of fitted logarithms, shape (N, 1) each."""
        out, column = [], 0
        for value in (self.additive, self.relative, self.tank):
            if value is None:
                out.append(np.exp(logs[:, column : column + 1]))
                column += 1
            else:
                out.append(np.full((len(logs), 1), value))
        return out[0], out[1], out[2]


def _band(low: Floats, high: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Log probability of standard bands, and a draw inside each at quantile ``u``."""
    flip = low > 0  # work in the lower tail, where the digits are
    a = np.where(flip, -high, low)
    b = np.where(flip, -low, high)
    pa, pb = ndtr(a), ndtr(b)
    width = pb - pa
    far = width < _TINY
    with np.errstate(divide="ignore", invalid="ignore"):
        logp = np.log(np.where(far, 1.0, width))
        if far.any():
            logp = np.where(far, log_ndtr(b), logp)
        quantile = np.where(flip, 1.0 - u, u)
        z = ndtri(np.clip(pa + quantile * width, _TINY, 1.0))
        z = np.clip(np.where(far, b, z), a, b)
    return logp, np.where(flip, -z, z)


def log_likelihood(
    params: Floats, readings: Readings, noise: Noise, u: Floats
) -> Floats:
    """Log-likelihood at each row of parameters.

    Parameters
    ----------
    params : ndarray, shape (N, p + k)
        Coefficients of the design, then logarithms of the ``k`` fitted spreads.
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.
    u : ndarray, shape (n, M)
        Quantiles for the draws inside the bands, one column per draw.

    Returns
    -------
    ndarray, shape (N,)
        Log-likelihood of all bands (density for exact readings).
    """
    logw, _, _ = _sweep(params, readings, noise, u)
    return np.asarray(logsumexp(logw, axis=1) - np.log(u.shape[1]))


def last_deviation(
    params: Floats, readings: Readings, noise: Noise, rng: np.random.Generator
) -> Floats:
    """Draw how far the tank strayed from its balance at the last reading.

    Parameters
    ----------
    params : ndarray, shape (N, p + k)
        Draws of the parameters, as for `log_likelihood`.
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.
    rng : numpy.random.Generator
        Source of the draws.

    Returns
    -------
    ndarray, shape (N,)
        One deviation for each row. [mg/L]
    """
    u = quantiles(len(readings.low), _PATHS)
    logw, mean, spread = _sweep(params, readings, noise, u)
    # One path a row, picked by its weight (the Gumbel trick).
    picked = np.argmax(logw + rng.gumbel(size=logw.shape), axis=1)
    middle = mean[np.arange(len(params)), picked]
    return np.asarray(middle + np.sqrt(spread[:, 0]) * rng.standard_normal(len(params)))


def _sweep(
    params: Floats, readings: Readings, noise: Noise, u: Floats
) -> tuple[Floats, Floats, Floats]:
    """Log weights and deviations of all paths after the last reading, and its spread.

    Shapes (N, M), (N, M) and (N, 1).
    """
    p = readings.exog.shape[1]
    mu = params[:, :p] @ readings.exog.T + readings.known
    additive, relative, tank = noise.spreads(params[:, p:])
    variance = additive**2 + (relative * np.maximum(mu, 0.0)) ** 2
    exact = readings.exact
    mean = np.zeros((len(params), u.shape[1]))
    spread = np.zeros((len(params), 1))
    logw = np.zeros_like(mean)
    jolts = readings.jolts
    for t in range(len(readings.low)):
        mean = readings.kept[t] * mean
        spread = readings.kept[t] ** 2 * spread + tank**2 * readings.wander[t]
        spread = spread + jolts[t]
        total = np.maximum(spread + variance[:, t : t + 1], 1e-12)
        sd = np.sqrt(total)
        centre = mu[:, t : t + 1] + mean
        if exact[t]:
            z = (readings.low[t] - centre) / sd
            logw += -0.5 * z**2 - np.log(sd) - 0.5 * _LOG_2PI
        else:
            low = (readings.low[t] - centre) / sd
            high = (readings.high[t] - centre) / sd
            logp, z = _band(low, high, u[t])
            logw += logp
        mean = mean + spread / sd * z
        spread = spread - spread**2 / total
    return logw, mean, spread


def quantiles(n: int, draws: int, seed: int = 20260302) -> Floats:
    """Fixed quasi-random quantiles for `log_likelihood`, shape (n, draws)."""
    if draws == 1:
        return np.full((n, 1), 0.5)
    points = qmc.Halton(d=n, scramble=True, rng=np.random.default_rng(seed))
    return np.asarray(np.clip(points.random(draws).T, 1e-9, 1 - 1e-9))


def one_step_residuals(params: Floats, readings: Readings, noise: Noise) -> Floats:
    """Standardised distance of each reading from what the ones before foretell.

    Parameters
    ----------
    params : ndarray, shape (p + k,)
        As one row of `log_likelihood`.
    readings : Readings
        The data; a band counts from its nearer end, so a reading whose band holds
        the forecast has residual 0.
    noise : Noise
        Which spreads are fitted.

    Returns
    -------
    ndarray, shape (n,)
        In standard deviations; positive when read higher than foretold.
    """
    row = params[None, :]
    p = readings.exog.shape[1]
    mu = (row[:, :p] @ readings.exog.T + readings.known)[0]
    additive, relative, tank = (float(x[0, 0]) for x in noise.spreads(row[:, p:]))
    mean = spread = 0.0
    out = np.zeros(len(mu))
    jolts = readings.jolts
    for t in range(len(mu)):
        mean *= readings.kept[t]
        spread = readings.kept[t] ** 2 * spread + tank**2 * readings.wander[t]
        spread += jolts[t]
        total = spread + additive**2 + (relative * max(mu[t], 0.0)) ** 2
        sd = max(total, 1e-12) ** 0.5
        centre = mu[t] + mean
        nearest = float(np.clip(centre, readings.low[t], readings.high[t]))
        out[t] = (nearest - centre) / sd
        mean += spread / sd * out[t]
        spread -= spread**2 / max(total, 1e-12)
    return out


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known beforehand: log-normal of each spread, normal of coefficients.

    Parameters
    ----------
    log_mean, log_sd : tuple of float
        In the order of `Noise.free`; both empty for a plain likelihood.
    mean, sd : tuple of float
        Of each coefficient; an infinite ``sd`` for one of which nothing is known. Both
        empty for none.
    """

    log_mean: tuple[float, ...] = ()
    log_sd: tuple[float, ...] = ()
    mean: tuple[float, ...] = ()
    sd: tuple[float, ...] = ()

    def log_density(self, params: Floats, columns: int) -> Floats:
        """Log prior density of each row, up to a constant."""
        out = np.zeros(len(params))
        if self.log_mean:
            logs = params[:, columns:]
            z = (logs - np.array(self.log_mean)) / np.array(self.log_sd)
            out -= 0.5 * (z**2).sum(axis=1)
        if self.sd:
            z = (params[:, :columns] - np.array(self.mean)) / np.array(self.sd)
            out -= 0.5 * (z**2).sum(axis=1)
        return out


class BandedModel(GenericLikelihoodModel):  # type: ignore[misc]
    """Interval likelihood of a linear balance, for statsmodels to maximise.

    Parameters
    ----------
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.
    prior : Prior, optional
        Adds to the log-likelihood; the maximum is then the mode of the posterior.
    draws : int, optional
        Draws of the sampler; 1 when no tank noise links the readings.
    """

    def __init__(
        self,
        readings: Readings,
        noise: Noise,
        prior: Prior | None = None,
        draws: int = 64,
    ) -> None:
        self.readings = readings
        self.noise = noise
        self.prior = prior or Prior()
        linked = noise.tank is None or noise.tank > 0.0
        self.u = quantiles(len(readings.low), draws if linked else 1)
        middle = np.where(np.isfinite(readings.high), readings.high, readings.low)
        super().__init__(middle, readings.exog)
        # statsmodels would count only the columns; the spreads are parameters too.
        names = [f"x{i}" for i in range(readings.exog.shape[1])]
        self.data.xnames = names + [f"log {name}" for name in noise.free]
        self.nparams = len(self.data.xnames)
        self.df_model = self.nparams
        self.df_resid = len(readings.low) - self.nparams
        self.k_constant = 0
        self.k_extra = 0

    def log_posterior(self, params: Floats, paths: int | None = None) -> Floats:
        """Log-likelihood plus log prior at each row, on all paths or the first few."""
        p = self.readings.exog.shape[1]
        value = log_likelihood(params, self.readings, self.noise, self.u[:, :paths])
        return np.asarray(value + self.prior.log_density(params, p))

    def loglike(self, params: Floats) -> float:
        """Objective for statsmodels at one set of parameters."""
        return float(self.log_posterior(np.asarray(params)[None, :])[0])

    def score(self, params: Floats) -> Floats:
        """Gradient by central differences, all at once."""
        step = 1e-5 * np.maximum(np.abs(params), 1e-2)
        shifts = np.diag(step)
        up = self.log_posterior(params + shifts)
        down = self.log_posterior(params - shifts)
        return np.asarray((up - down) / (2.0 * step))

    def hessian(self, params: Floats) -> Floats:
        """Second derivatives by central differences of the value, all at once."""
        k = len(params)
        step = 1e-3 * np.maximum(np.abs(params), 0.1)
        rows, places = [], []
        for i in range(k):
            for j in range(i, k):
                for si, sj in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
                    point = np.array(params, dtype=np.float64)
                    point[i] += si * step[i]
                    point[j] += sj * step[j]
                    rows.append(point)
                places.append((i, j))
        values = self.log_posterior(np.array(rows)).reshape(-1, 4)
        out = np.zeros((k, k))
        for (i, j), v in zip(places, values, strict=True):
            out[i, j] = out[j, i] = (v[0] - v[1] - v[2] + v[3]) / (
                4.0 * step[i] * step[j]
            )
        return out
