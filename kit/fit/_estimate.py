"""One estimation: readings and design to draws of all unknowns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import statsmodels.regression.linear_model as lm

from kit.balance import Floats
from kit.fit._allowed import allowed_range
from kit.fit._banded import BandedModel
from kit.fit._bands import KitView
from kit.fit._beforehand import Beforehand
from kit.fit._columns import Columns, simple
from kit.fit._posterior import Sample, sample
from kit.fit._readings import Noise, Prior
from kit.fit._result import Estimate
from kit.fit._sweep import one_step_residuals

__all__ = [
    "Fitted",
    "Top",
    "band_ends",
    "estimate",
    "quantile_band",
    "quantile_bands",
    "top_of",
    "usual_noise",
]

_CHART_NOISE = (0.12, 0.3)
_METER_NOISE = (0.08, 0.6)
"""Middle and log spread of one reader's error as a part of the level: 10 to 15 % for a
colour chart, common practice, no source; wider for a meter, which the log can judge."""
_CHART_TANK = (0.15, 0.8)
_METER_TANK = (0.2, 1.2)
"""Day-to-day noise of the tank as a part of its daily rise: middle and log spread."""
_CHART_SLOW = (0.15, 0.6)
_METER_SLOW = (0.1, 1.2)
"""Deviation of the rise that lasts for some days, likewise; an assumption, so that a
richer and a poorer fortnight do not pass for a well-known rate. A meter's log judges it
better than a card's."""
_CHART_PATHS = 16
"""Paths a chart's wide bands are integrated by; one does for a meter's narrow ones."""
_USUAL = Beforehand()
_BAND = np.array([0.025, 0.5, 0.975])


@dataclass(frozen=True, slots=True)
class Top:
    """The likeliest answer of a layout.

    Parameters
    ----------
    model : BandedModel
        With its prior.
    prior : Prior
        The same prior.
    noise : Noise
        Which spreads are fitted.
    mode : ndarray, shape (k,)
        Coefficients, then log reading noise, log tank noise and log slow noise.
    llf : float
        Log-likelihood there, with the prior.
    plain : statsmodels RegressionResults
        Plain least squares on what was written.
    """

    model: BandedModel
    prior: Prior
    noise: Noise
    mode: Floats
    llf: float
    plain: lm.RegressionResults


@dataclass(frozen=True, slots=True)
class Fitted:
    """Draws and what goes with them; what the bands allow only where they are wide."""

    columns: Columns
    draws: Sample
    mode: Floats
    noise: Noise
    llf: float
    simple: Estimate
    simple_resid: Floats
    allowed: tuple[float, float] | None
    residuals: Floats


def usual_noise(kit: KitView) -> tuple[tuple[float, float], tuple[float, float]]:
    """Give what is known beforehand of a kit's readers and of a tank's days.

    Parameters
    ----------
    kit : KitView
        Whether it is a chart.

    Returns
    -------
    tuple of float
        Middle and log spread of the reading noise, as a part of the level. [-]
    tuple of float
        The same of the tank's noise, as a part of its daily rise. [-]
    """
    if kit.chart:
        return _CHART_NOISE, _CHART_TANK
    return _METER_NOISE, _METER_TANK


def _prior(
    layout: Columns, kit: KitView, known: Beforehand, plain: lm.RegressionResults
) -> Prior:
    """Prior knowledge of the two spreads and of what the log may be wrong about."""
    usual = usual_noise(kit)
    noise = known.reader_noise or usual[0]
    tank = known.tank_noise or usual[1]
    rate, level = float(plain.params[layout.rate]), float(np.mean(kit.written))
    scale = max(tank[0] * abs(rate), 0.005 * level, 0.01)
    mean = np.zeros(layout.readings.exog.shape[1])
    sd = np.full(len(mean), np.inf)
    sd[layout.main :] = [extra.sd for extra in layout.extras]
    if layout.feed is not None and known.feed_yield is not None:
        mean[layout.feed], sd[layout.feed] = known.feed_yield
    lasting = _CHART_SLOW if kit.chart else _METER_SLOW
    slow = max(lasting[0] * abs(rate), 0.001 * level, 0.003)
    return Prior(
        (float(np.log(noise[0])), float(np.log(scale)), float(np.log(slow))),
        (noise[1], tank[1], lasting[1]),
        tuple(mean.tolist()),
        tuple(sd.tolist()),
    )


def top_of(layout: Columns, kit: KitView, known: Beforehand = _USUAL) -> Top:
    """Find the likeliest answer of a layout.

    Parameters
    ----------
    layout : Columns
        From `kit.fit._columns.lay_out` or `unsettled`.
    kit : KitView
        From `kit.fit._bands.view`.
    known : Beforehand, optional
        What is known before the log is read.

    Returns
    -------
    Top
        The mode, by statsmodels.
    """
    plain = simple(layout, kit)
    prior = _prior(layout, kit, known, plain)
    noise = Noise(additive=kit.floor, relative=None, tank=None, slow=None)
    paths = _CHART_PATHS if kit.chart else 1
    model = BandedModel(layout.readings, noise, prior, draws=paths)
    still = np.zeros(len(layout.extras))
    first = np.concatenate([plain.params, still, prior.log_mean])
    first[: layout.rate] = np.maximum(first[: layout.rate], 0.5)
    # With second derivatives at hand a few Newton steps in a trust region do.
    found = model.fit(
        start_params=first,
        method="minimize",
        min_method="trust-exact",
        disp=0,
        maxiter=60,
        gtol=2e-3,
        skip_hessian=True,
        warn_convergence=False,
    )
    return Top(model, prior, noise, np.asarray(found.params), float(found.llf), plain)


def estimate(
    layout: Columns, kit: KitView, known: Beforehand = _USUAL, top: Top | None = None
) -> Fitted:
    """Fit one layout.

    Parameters
    ----------
    layout : Columns
        From `kit.fit._columns.lay_out` or `unsettled`.
    kit : KitView
        From `kit.fit._bands.view`.
    known : Beforehand, optional
        What is known before the log is read.
    top : Top, optional
        The layout's likeliest answer, where it was looked for already.

    Returns
    -------
    Fitted
        Draws of all parameters: design columns, then log reading noise, log tank
        noise and log slow noise.
    """
    top = top or top_of(layout, kit, known)
    lowest = np.full(len(top.mode), -np.inf)
    lowest[: layout.rate] = 0.0
    draws = sample(top.model, top.mode, _spread(top), lowest=lowest)
    middle = np.median(draws.values, axis=0)
    rate = float(top.plain.params[layout.rate])
    ci = np.asarray(top.plain.conf_int())[layout.rate]
    return Fitted(
        columns=layout,
        draws=draws,
        mode=top.mode,
        noise=top.noise,
        llf=top.llf,
        simple=Estimate(rate, float(ci[0]), float(ci[1])),
        simple_resid=np.asarray(top.plain.resid),
        allowed=allowed_range(layout.main_only, layout.rate) if kit.chart else None,
        residuals=one_step_residuals(middle, layout.readings, top.noise),
    )


def _spread(top: Top) -> Floats:
    """Covariance to start from: curvature at the mode, else plain least squares."""
    try:
        cov = np.linalg.inv(-top.model.hessian(top.mode))
        if (np.diag(cov) > 0).all() and np.isfinite(cov).all():
            return np.asarray(cov)
    except np.linalg.LinAlgError:
        pass
    k = len(top.plain.params)
    extras = np.array(top.prior.sd)[k:] ** 2
    out = np.diag(np.concatenate([np.ones(k), extras, [0.1, 0.5, 0.5]]))
    out[:k, :k] = np.asarray(top.plain.cov_params()) + np.eye(k) * 1e-4
    return out


def quantile_band(values: Floats) -> Estimate:
    """Middle and 95 % band of draws."""
    return quantile_bands(values[:, None])[0]


def quantile_bands(values: Floats) -> list[Estimate]:
    """Middle and 95 % band of each column of draws.

    Parameters
    ----------
    values : ndarray, shape (d, m)
        Draws.

    Returns
    -------
    list of Estimate
        One for each column.
    """
    low, middle, high = band_ends(np.array(values.T)).tolist()
    return [Estimate(*band) for band in zip(middle, low, high, strict=True)]


def band_ends(draws: Floats) -> Floats:
    """Quantiles of draws at 2.5, 50 and 97.5 %.

    Parameters
    ----------
    draws : ndarray, shape (m, d)
        Draws of one thing in each row; left sorted.

    Returns
    -------
    ndarray, shape (3, m)
        Ends and middle, on straight lines between neighbouring draws.
    """
    # Sorting whole rows is quicker than numpy's search for six places in each.
    draws.sort(axis=1)
    last = draws.shape[1] - 1
    place = last * _BAND
    below = place.astype(np.intp)
    part = place - below
    above = np.minimum(below + 1, last)
    out = draws[:, below] * (1.0 - part) + draws[:, above] * part
    return np.asarray(out.T)
