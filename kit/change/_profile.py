"""When the rate stepped and by how much, once it is clear that it did."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.stats import t as student

from kit.balance import Floats
from kit.change._candidates import step_days
from kit.change._look import Look
from kit.change._luck import needed_on_a_path
from kit.change._scan import scan
from kit.change._strayed import covariance
from kit.fit import Estimate

__all__ = ["StepProfile", "step_profile"]

_MOST = 80
_NEAR = 9.0
_FEWEST_FREE = 3
_WEEKS = 28.0


@dataclass(frozen=True, slots=True)
class StepProfile:
    """Steps on each day, and what they say together.

    Parameters
    ----------
    days, gain : ndarray, shape (d,)
        Day [day] and gain.
    best, first, last : float
        Likeliest day and the 95 % band of the day. [day]
    change : Estimate
        Change of the rate, the day being uncertain. [mg/L/day]
    before : float
        Rate before the likeliest day. [mg/L/day]
    limit : float
        Gain above which a step alarms the search.
    smallest : float or None
        Change, begun four weeks before the last test, that would have shown more often
        than not. [mg/L/day]
    """

    days: Floats
    gain: Floats
    best: float
    first: float
    last: float
    change: Estimate
    before: float
    limit: float
    smallest: float | None


def step_profile(found: Look) -> StepProfile | None:
    """Try a step on each day of a log.

    Parameters
    ----------
    found : Look
        A log laid out, without the step.

    Returns
    -------
    StepProfile or None
        None where no day has enough readings on both sides.

    Notes
    -----
    Each day is taken as equally likely beforehand, so its weight is its profile
    likelihood; the change is the mixture over days of Student distributions round
    each day's estimate.
    """
    coarse = step_days(found.ledger)
    if not len(coarse):
        return None
    n = found.line.readings
    tried = scan(found.base, found.line.rate_from(coarse)[:n], found.usual_step)
    days = _fine(coarse, tried.gain)
    columns = found.line.rate_from(days)
    fine = scan(found.base, columns[:n], found.usual_step)
    weight = np.exp(0.5 * (fine.gain - fine.gain.max())) * _spacing(days)
    weight /= weight.sum()
    total = np.cumsum(weight)
    first, last = (float(days[np.searchsorted(total, q)]) for q in (0.025, 0.975))
    free = max(n - found.base.width - 1, _FEWEST_FREE)
    i = int(np.argmax(fine.gain))
    change = _mixture(weight, fine.size, fine.error, free)
    before = float(fine.at[i, found.rate])
    best = float(days[i])
    limit = needed_on_a_path(tried.gain, tried.size, "step")
    return StepProfile(
        days,
        fine.gain,
        best,
        min(first, best),
        max(last, best),
        change,
        before,
        limit,
        _smallest(found, limit),
    )


def _smallest(found: Look, limit: float) -> float | None:
    """Change four weeks before the last test that would usually show. [mg/L/day]."""
    days = found.ledger.days
    day = float(np.floor(days[-1])) - _WEEKS
    if (days < day).sum() < _FEWEST_FREE:
        return None
    column = found.line.rate_from(np.array([day]))[: found.line.readings]
    # An error over the limit would show five times in six if noise stayed as it is; the
    # fit without the step takes some of it for noise that lasts, and in trials about
    # six in ten were seen.
    return float((limit**0.5 + 1.0) * _usual_error(found, column))


def _usual_error(found: Look, column: Floats) -> float:
    """Standard error to expect of one addition, by generalised least squares.

    The curvature at the fit is no guide for a chart: readings deep inside their bands
    tell nothing just there, but would when the level moved. So a band counts as an
    error spread evenly over its width.
    """
    base = found.base
    r = base.chances.readings
    logs, noise = base.at[None, base.width :], base.chances.noise
    tank, slow = float(noise.spreads(logs)[2][0, 0]), float(noise.lasting(logs)[0, 0])
    cov = covariance(r, tank, slow) + np.diag(base.reading_sd**2)
    x = np.hstack([base.exog, column])
    return float(np.linalg.pinv(x.T @ np.linalg.solve(cov, x))[-1, -1] ** 0.5)


def _fine(coarse: Floats, gain: Floats) -> Floats:
    """Every day where a step is anywhere near as likely as on the best one."""
    whole = np.arange(coarse[0], coarse[-1] + 1.0)
    near = np.interp(whole, coarse, gain) > gain.max() - _NEAR
    inside = whole[near]
    if len(inside) > _MOST:
        inside = inside[np.linspace(0, len(inside) - 1, _MOST).round().astype(int)]
    return np.unique(np.concatenate([inside, coarse]))


def _spacing(days: Floats) -> Floats:
    """Days each entry stands for."""
    if len(days) == 1:
        return np.ones(1)
    middles = (days[1:] + days[:-1]) / 2.0
    edges = np.concatenate([days[:1] - 0.5, middles, days[-1:] + 0.5])
    return np.asarray(np.diff(edges))


def _mixture(weight: Floats, size: Floats, error: Floats, free: int) -> Estimate:
    """Middle and 95 % band of a mixture of Student distributions."""
    kept = weight > 1e-6
    w, m = weight[kept] / weight[kept].sum(), size[kept]
    s = np.maximum(error[kept], 1e-9)
    low, high = float((m - 40 * s).min()), float((m + 40 * s).max())

    def at(level: float) -> float:
        def short(x: float) -> float:
            return float(w @ student.cdf((x - m) / s, free)) - level

        return float(brentq(short, low, high, xtol=1e-6))

    return Estimate(at(0.5), at(0.025), at(0.975))
