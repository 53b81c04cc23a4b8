"""The fit's likelihood by matched moments, for very many candidates at once.

Notes
-----
The model is that of `kit.fit.model.BandedModel`: a level ``mu = X beta + known``, a
tank that strays from it day by day and for weeks and is diluted, readings in bands.
There the probability of all bands together is integrated by drawing; here each reading
leaves a normal distribution of the deviation with the mean and the variance it really
has (assumed density filtering). For exact readings this is the Kalman filter, without
tank noise the product of single bands, and both are then exact. Between, the two agree
to a few hundredths, and this one costs a thirtieth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr, ndtr

from kit.balance import Floats
from kit.change._strayed import Strayed
from kit.fit.model import Noise, Readings

__all__ = ["Chances", "one_step", "swept"]

_ROOT_2PI = float(np.sqrt(2.0 * np.pi))
_LOG_ROOT_2PI = float(np.log(_ROOT_2PI))
_SMALL = 1e-12
_FAR = 1e-200
_OPEN = 1e8
"""Standard deviations at which an end of a band is as good as open."""


@dataclass(frozen=True, slots=True)
class Chances:
    """Readings, noise and prior knowledge: what a set of unknowns is judged by.

    Parameters
    ----------
    readings : Readings
        Bands, with every column any candidate needs.
    noise : Noise
        Which spreads are fitted.
    log_mean, log_sd : ndarray, shape (k,)
        What is known beforehand of the logarithm of each fitted spread: its middle and
        spread, infinite where nothing is known.
    """

    readings: Readings
    noise: Noise
    log_mean: Floats
    log_sd: Floats

    def log_posterior(self, coefs: Floats, logs: Floats, exog: Floats) -> Floats:
        """Log-likelihood plus log prior.

        Parameters
        ----------
        coefs : ndarray, shape (N, p)
            Coefficients, one row each.
        logs : ndarray, shape (N, k)
            Logarithms of the fitted spreads.
        exog : ndarray, shape (n, p) or (N, n, p)
            Design columns, the same for all rows or one set each.

        Returns
        -------
        ndarray, shape (N,)
            Up to the prior's constant.
        """
        if exog.ndim == 2:
            mu = coefs @ exog.T + self.readings.known
        else:
            mu = np.einsum("rnp,rp->rn", exog, coefs) + self.readings.known
        value, _ = swept(mu, logs, self.readings, self.noise)
        known = ((logs - self.log_mean) / self.log_sd) ** 2
        return np.asarray(value - 0.5 * known.sum(axis=1))


def _banded(low: Floats, high: Floats) -> tuple[Floats, Floats, Floats]:
    """Log probability, mean and variance of a standard normal inside each band."""
    low, high = np.clip(low, -_OPEN, _OPEN), np.clip(high, -_OPEN, _OPEN)
    flip = low + high > 0.0  # work in the lower tail, where the digits are
    a = np.where(flip, -high, low)
    b = np.where(flip, -low, high)
    width = ndtr(b) - ndtr(a)
    far = width < _FAR
    log_p = np.log(np.where(far, 1.0, width))
    if far.any():
        log_p[far] = _log_tail(a[far], b[far])
    at_a = np.exp(-0.5 * a * a - log_p) / _ROOT_2PI
    at_b = np.exp(-0.5 * b * b - log_p) / _ROOT_2PI
    mean = np.clip(at_a - at_b, a, b)
    variance = np.clip(1.0 + a * at_a - b * at_b - mean * mean, 0.0, 1.0)
    return log_p, np.where(flip, -mean, mean), variance


def _log_tail(a: Floats, b: Floats) -> Floats:
    """Log probability of bands so far out that it leaves the range of numbers."""
    gap = np.minimum(log_ndtr(a) - log_ndtr(b), -_SMALL)
    return np.asarray(log_ndtr(b) + np.log1p(-np.exp(gap)))


def swept(
    mu: Floats, logs: Floats, readings: Readings, noise: Noise
) -> tuple[Floats, Floats]:
    """Run the filter along the readings.

    Parameters
    ----------
    mu : ndarray, shape (N, n)
        Level of the balance at each reading. [mg/L]
    logs : ndarray, shape (N, k)
        Logarithms of the fitted spreads.
    readings : Readings
        Bands, and how deviations are kept and collected.
    noise : Noise
        Which spreads are fitted.

    Returns
    -------
    ndarray, shape (N,)
        Log-likelihood.
    ndarray, shape (N, n)
        Mean of each standardised forecast error within its band. [-]
    """
    additive, relative, tank = (x[:, 0] for x in noise.spreads(logs))
    errors = (additive**2)[:, None] + (relative[:, None] * np.maximum(mu, 0.0)) ** 2
    slow = noise.lasting(logs)[:, 0]
    at = Strayed(readings, tank**2, slow**2, lasts=noise.slow != 0.0)
    exact = readings.exact
    total, residuals = np.zeros(len(mu)), np.zeros_like(mu)
    for t in range(mu.shape[1]):
        at.carry(t)
        variance = np.maximum(at.level_var + errors[:, t], _SMALL)
        sd = np.sqrt(variance)
        centre = mu[:, t] + at.level
        if exact[t]:
            z = (readings.low[t] - centre) / sd
            total += -0.5 * z * z - np.log(sd) - _LOG_ROOT_2PI
            told = 1.0 / variance
        else:
            low = (readings.low[t] - centre) / sd
            high = (readings.high[t] - centre) / sd
            log_p, z, inside = _banded(low, high)
            total += log_p
            told = (1.0 - inside) / variance
        residuals[:, t] = z
        at.learn(z / sd, told)
    return total, residuals


def one_step(mu: Floats, logs: Floats, readings: Readings, noise: Noise) -> Floats:
    """Standardised forecast error of each reading, its mean within the band.

    Parameters
    ----------
    mu : ndarray, shape (n,)
        Level of the balance at each reading. [mg/L]
    logs : ndarray, shape (k,)
        Logarithms of the fitted spreads.
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.

    Returns
    -------
    ndarray, shape (n,)
        A wide band that holds the forecast gives a number near zero. [-]
    """
    return np.asarray(swept(mu[None, :], logs[None, :], readings, noise)[1][0])
