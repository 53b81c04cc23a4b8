"""Readings far from all the others: kept, marked, and the rate without them.

Notes
-----
One odd reading inflates the noise and can hide a second one. So readings are set aside
one after the other, the farthest first, as long as the farthest lies clearly off; then
each of those set aside is judged by the others alone, and only those still more than
3.5 standard errors off are marked. The distance is the signed root of twice the gain in
log-likelihood that setting the reading free brings.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit import escape, fit
from kit.change._climb import Ints
from kit.change._hull import hull_of
from kit.change._look import Look
from kit.change._report import laid_out
from kit.change._result import OddReading, Outliers
from kit.change._say import day_said, rate_band
from kit.change._scan import base_fit, scan
from kit.change._search import residuals
from kit.fit import Estimate
from kit.logbook import Logbook
from kit.rounding import plain, round_for_people

__all__ = ["outliers"]

_ASIDE, _MARKED = 3.0, 3.5
_MOST_PART = 0.15
_TRIED = 40
_SHOWN = 5


@dataclass(frozen=True, slots=True)
class _Aside:
    """One reading set free: its place, and how far it lies from the others."""

    place: int
    distance: float


def outliers(log: Logbook) -> Outliers | None:
    """Find readings far off, and show the rate with and without them.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    Outliers or None
        None when the log cannot be fitted at all; without readings when none is odd.
    """
    found = laid_out(log)
    if isinstance(found, str):
        return None
    marked = _marked(found)
    if not marked:
        return Outliers((), None, None, None, ())
    tests = found.ledger.tests
    levels = found.base.levels
    odd = tuple(
        OddReading(
            tests[m.place].date,
            tests[m.place].raw,
            float(levels[m.place]),
            m.distance,
            tests[m.place].file,
            tests[m.place].line,
        )
        for m in marked
    )
    gone = {id(tests[m.place]) for m in marked}
    kept = tuple(t for t in log.tests if id(t) not in gone)
    every = fit.rate(log).net_rate
    without = fit.rate(replace(log, tests=kept)).net_rate
    hull = hull_of(every, without)
    return Outliers(odd, every, without, hull, _said(odd, every, without, hull))


def _marked(found: Look) -> list[_Aside]:
    """Readings more than 3.5 standard errors off by the word of the others."""
    n = found.line.readings
    at, aside = found, list[int]()
    while len(aside) < max(1, int(_MOST_PART * n)):
        places = _farthest(at, aside)
        tried = scan(at.base, np.eye(n)[:, places])
        i = int(np.argmax(tried.gain))
        if tried.gain[i] < _ASIDE**2:
            break
        at = at.with_column(at.line.only_read(np.eye(n)[:, [places[i]]]), tried.at[i])
        aside.append(int(places[i]))
    distances = [_distance(at, found.base.width, j) for j in range(len(aside))]
    return sorted(
        (
            _Aside(place, d)
            for place, d in zip(aside, distances, strict=True)
            if abs(d) > _MARKED
        ),
        key=lambda a: a.place,
    )


def _farthest(at: Look, aside: list[int]) -> Ints:
    """Readings worth trying: the farthest from their forecasts."""
    far = np.abs(residuals(at))
    far[aside] = -1.0
    return np.argsort(-far, kind="stable")[: min(_TRIED, len(far) - len(aside))]


def _distance(at: Look, first: int, j: int) -> float:
    """Signed root of the gain of one reading set free, the others being free too."""
    column = first + j
    exog = np.delete(at.base.exog, column, axis=1)
    start = np.delete(at.base.at, column)
    bound = base_fit(at.base.chances, exog, start)
    gain = max(2.0 * (at.base.height - bound.height), 0.0)
    return float(np.sign(at.base.at[column]) * gain**0.5)


def _said(
    odd: tuple[OddReading, ...],
    every: Estimate | None,
    without: Estimate | None,
    hull: Estimate | None,
) -> tuple[str, ...]:
    """Name the odd readings and both rates."""
    out = []
    for o in odd[:_SHOWN]:
        side = "higher" if o.distance > 0 else "lower"
        level = plain(round_for_people(o.expected_mg_l, 0.1 * o.expected_mg_l + 0.5))
        out.append(
            f"{o.file}, line {o.line} ({day_said(o.date)}, read "
            f"{escape.plain(o.raw, 40).strip()}) is far {side} than the others "
            f"foretell, about {level} mg/L."
        )
    if len(odd) > _SHOWN:
        out.append(f"And {len(odd) - _SHOWN} more.")
    if every is None or without is None or hull is None:
        return tuple(out)
    which = "it" if len(odd) == 1 else "them"
    still = "It still counts" if len(odd) == 1 else "They still count"
    out.append(
        f"{still}. With {which} the rise is {rate_band(every)}; "
        f"without {which} {rate_band(without)}. Until you know what happened, count on "
        f"anything from both: {rate_band(hull)}."
    )
    return tuple(out)
