"""One estimation: readings and ledger to draws of the rate, and of the feed's yield."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import statsmodels.regression.linear_model as lm

from kit.balance import Design, Floats, after_last, design, link
from kit.fit._allowed import allowed_range
from kit.fit._banded import (
    BandedModel,
    Noise,
    Prior,
    Readings,
    last_deviation,
    one_step_residuals,
)
from kit.fit._bands import KitView
from kit.fit._ledger import Ledger, grid, weave
from kit.fit._posterior import Sample, sample
from kit.fit._result import Curve, Estimate

__all__ = ["Columns", "Fitted", "columns", "curve_of", "estimate", "quantile_band"]

_CHART_NOISE = (0.12, 0.3)
_METER_NOISE = (0.08, 0.6)
"""Middle and log spread of one reader's error as a part of the level: 10 to 15 % for a
colour chart, common practice, no source; wider for a meter, which the log can judge."""
_CHART_TANK = (0.5, 1.0)
_METER_TANK = (0.6, 1.0)
"""Day-to-day noise of the tank as a part of its daily rise: middle and log spread."""


@dataclass(frozen=True, slots=True)
class Columns:
    """The design in the kit's own terms.

    Parameters
    ----------
    readings : Readings
        Bands and columns: starts, then the rate at mean feed, then the yield when it
        is fitted.
    rate : int
        Column of the net rate.
    feed : int or None
        Column of the yield.
    feed_mean_g_l_day : float
        Mean food per litre a day. [g/L/day]
    """

    readings: Readings
    rate: int
    feed: int | None
    feed_mean_g_l_day: float


@dataclass(frozen=True, slots=True)
class Fitted:
    """Draws and what goes with them."""

    columns: Columns
    draws: Sample
    mode: Floats
    noise: Noise
    llf: float
    simple: Estimate
    simple_resid: Floats
    allowed: tuple[float, float] | None
    residuals: Floats


def _matrix(d: Design, feed_mean: float | None) -> Floats:
    """Design columns: starts, days, and feed against its mean where wanted."""
    parts = [d.start, d.base[:, None]]
    if feed_mean is not None:
        # Against the mean, so that the rate is the rate at the feeding that was logged.
        parts.append((d.feed - feed_mean * d.base)[:, None])
    return np.hstack(parts)


def columns(ledger: Ledger, kit: KitView, *, with_feed: bool) -> Columns:
    """Lay out the design for a ledger.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    with_feed : bool
        Whether the yield gets a column.

    Returns
    -------
    Columns
        Ready for `estimate`.
    """
    d = design(link(weave(ledger)))
    mean = mean_feed_per_litre(ledger) if with_feed else None
    x = _matrix(d, mean)
    readings = Readings(kit.low, kit.high, x, d.known, d.kept, d.wander)
    starts = d.start.shape[1]
    return Columns(readings, starts, starts + 1 if with_feed else None, mean or 0.0)


def mean_feed_per_litre(ledger: Ledger) -> float:
    """Mean food over the span of the tests. [g/L/day]."""
    if ledger.feed is None or ledger.tank.volume_l is None:
        return 0.0
    end = float(ledger.days[-1])
    span = max(end - float(ledger.days[0]), 1.0)
    total = sum(g for day, g in ledger.feed.items() if 0 <= day < end)
    return total / span / ledger.tank.volume_l


def _prior(kit: KitView, rate: float, level: float) -> Prior:
    """Prior knowledge of the two fitted spreads."""
    noise = _CHART_NOISE if kit.chart else _METER_NOISE
    tank = _CHART_TANK if kit.chart else _METER_TANK
    scale = max(tank[0] * abs(rate), 0.01 * level, 0.02)
    return Prior((float(np.log(noise[0])), float(np.log(scale))), (noise[1], tank[1]))


def estimate(layout: Columns, kit: KitView) -> Fitted:
    """Fit one layout.

    Parameters
    ----------
    layout : Columns
        From `columns`.
    kit : KitView
        From `kit.fit._bands.view`.

    Returns
    -------
    Fitted
        Draws of all parameters: design columns, then log reading noise and log tank
        noise.
    """
    r = layout.readings
    written = np.where(np.isfinite(r.high), np.clip(kit.written, 0, None), kit.written)
    simple = lm.OLS(written - r.known, r.exog).fit()
    prior = _prior(kit, float(simple.params[layout.rate]), float(np.mean(written)))
    noise = Noise(additive=kit.floor, relative=None, tank=None)
    model = BandedModel(r, noise, prior, draws=32 if kit.chart else 1)
    first = np.concatenate([simple.params, prior.log_mean])
    starts = layout.rate
    first[:starts] = np.maximum(first[:starts], 0.5)
    found = model.fit(
        start_params=first,
        method="bfgs",
        disp=0,
        maxiter=80,
        gtol=1e-3,
        skip_hessian=True,
        warn_convergence=False,
    )
    mode = np.asarray(found.params)
    lowest = np.full(len(mode), -np.inf)
    lowest[:starts] = 0.0
    draws = sample(model, mode, _spread(model, mode, simple), lowest=lowest)
    middle = np.median(draws.values, axis=0)
    ci = np.asarray(simple.conf_int())[layout.rate]
    return Fitted(
        columns=layout,
        draws=draws,
        mode=mode,
        noise=noise,
        llf=float(found.llf),
        simple=Estimate(float(simple.params[layout.rate]), float(ci[0]), float(ci[1])),
        simple_resid=np.asarray(simple.resid),
        allowed=allowed_range(r, layout.rate),
        residuals=one_step_residuals(middle, r, noise),
    )


def _spread(model: BandedModel, mode: Floats, simple: lm.RegressionResults) -> Floats:
    """Covariance to start from: curvature at the mode, else plain least squares."""
    try:
        cov = np.linalg.inv(-model.hessian(mode))
        if (np.diag(cov) > 0).all() and np.isfinite(cov).all():
            return np.asarray(cov)
    except np.linalg.LinAlgError:
        pass
    k = len(simple.params)
    out = np.diag(np.concatenate([np.ones(k), [0.1, 0.5]]))
    out[:k, :k] = np.asarray(simple.cov_params()) + np.eye(k) * 1e-4
    return out


def quantile_band(values: Floats) -> Estimate:
    """Middle and 95 % band of draws."""
    low, middle, high = np.quantile(values, [0.025, 0.5, 0.975])
    return Estimate(float(middle), float(low), float(high))


def curve_of(ledger: Ledger, fitted: Fitted) -> tuple[Curve, Floats]:
    """Fitted level through time with its band, and draws of the last level.

    Parameters
    ----------
    ledger : Ledger
        The ledger fitted.
    fitted : Fitted
        Its draws.

    Returns
    -------
    Curve
        Each day and round each exchange.
    ndarray, shape (d,)
        Level after the last record, one for each draw: the balance's, and how far the
        tank has strayed from it. [mg/L]
    """
    asked = grid(ledger)
    d = design(link(weave(ledger, asked)))
    layout = fitted.columns
    mean = layout.feed_mean_g_l_day if layout.feed is not None else None
    x = _matrix(d, mean)
    values = fitted.draws.values[:, : x.shape[1]] @ x.T + d.known
    values = np.maximum(values, 0.0)
    low, middle, high = np.quantile(values, [0.025, 0.5, 0.975], axis=0)
    days = np.array([e.at for e in asked])
    last = np.maximum(values[:, -1] + _astray(ledger, fitted), 0.0)
    return Curve(ledger.day0, days, middle, low, high), last


def _astray(ledger: Ledger, fitted: Fitted) -> Floats:
    """Draws of the tank's deviation from its balance after the last record. [mg/L]."""
    rng = np.random.default_rng(11)
    draws = fitted.draws.values
    dev = last_deviation(draws, fitted.columns.readings, fitted.noise, rng)
    kept, wander = after_last(link(weave(ledger)))
    tank = np.exp(draws[:, -1])
    fresh = tank * np.sqrt(wander) * rng.standard_normal(len(draws))
    return np.asarray(kept * dev + fresh)
