"""What the kit would have said on earlier days, beside what was read later."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from kit import fit
from kit.ahead._cut import Past, order_of, past_of
from kit.ahead._future import future_draws
from kit.ahead._kit import Kit, kit_of
from kit.ahead._naive import Readings, last_reading, readings_of, same_place
from kit.ahead._paths import follow, scores
from kit.ahead._scores import miss, share_held
from kit.fit import FitResult
from kit.fit.model import Ledger, build
from kit.logbook import Logbook, Test
from kit.steps import Floats

__all__ = ["HORIZONS", "Backtest", "Foretold", "Guess", "Horizon", "backtest"]

Horizon = Literal["next", "2 weeks", "4 weeks"]
HORIZONS: Final[tuple[Horizon, ...]] = ("next", "2 weeks", "4 weeks")
_WINDOWS: Final = {"2 weeks": (10.0, 14.0, 18.0), "4 weeks": (23.0, 28.0, 33.0)}
"""Nearest, wanted and furthest day of a test that counts as so far ahead. [day]"""
_FEWEST: Final = 6
"""Tests before the first day looked back to."""
_PAIRS: Final = 4
"""Earlier misses from which a plain guess gets a band."""
_Rule = Callable[[Readings, int, Sequence[int]], Floats]


@dataclass(frozen=True, slots=True)
class Guess:
    """One forecast of one reading.

    Parameters
    ----------
    number_mg_l : float
        The middle, as NO3. [mg/L]
    band_80, band_95 : tuple of float or None
        Where the reading should lie, widened to the ends of the kit's steps; None where
        the log was too short for a band. [mg/L]
    """

    number_mg_l: float
    band_80: tuple[float, float] | None
    band_95: tuple[float, float] | None

    def on(self, kit: Kit) -> Guess:
        """Give the guess with bands as the kit can show them."""
        wide = [
            None if band is None else kit.widened(*band)
            for band in (self.band_80, self.band_95)
        ]
        return Guess(self.number_mg_l, wide[0], wide[1])


@dataclass(frozen=True, slots=True)
class Foretold:
    """One reading and what was foretold of it.

    Parameters
    ----------
    origin, day : datetime.date
        Last day known, and day of the reading.
    horizon : {"next", "2 weeks", "4 weeks"}
        How far ahead.
    low_mg_l, high_mg_l : float
        What the reading allows, as NO3; ``inf`` where open. [mg/L]
    raw : str
        As written.
    kit, last, place : Guess
        The kit, the last reading, the last at the same place of the cycle.
    held_80, held_95 : float
        Part of the reading inside the kit's bands. [-]
    """

    origin: dt.date
    day: dt.date
    horizon: Horizon
    low_mg_l: float
    high_mg_l: float
    raw: str
    kit: Guess
    last: Guess
    place: Guess
    held_80: float
    held_95: float

    def miss(self, who: Literal["kit", "last", "place"]) -> float:
        """How far one forecast lay from the reading. [mg/L]."""
        guess: Guess = getattr(self, who)
        return miss(guess.number_mg_l, self.low_mg_l, self.high_mg_l)


@dataclass(frozen=True, slots=True)
class Backtest:
    """All readings foretold.

    Parameters
    ----------
    rows : tuple of Foretold
        In order of the day they were foretold on.
    origins : int
        Days looked back to that gave a rate.
    refused : int
        Days on which the log gave none.
    why : str
        Why there was none on the last of them.
    """

    rows: tuple[Foretold, ...]
    origins: int
    refused: int
    why: str = ""

    def at(self, horizon: Horizon) -> tuple[Foretold, ...]:
        """Rows of one horizon."""
        return tuple(r for r in self.rows if r.horizon == horizon)


def backtest(
    log: Logbook,
    *,
    most: int = 24,
    refit: Callable[[Logbook], FitResult] = fit.rate,
) -> Backtest:
    """Go back through a log and foretell what was read later.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    most : int, optional
        Days to go back to at most, spread over the log; each takes one fit.
    refit : callable, optional
        Gives the fit of a log.

    Returns
    -------
    Backtest
        Empty where the log is too short.

    Notes
    -----
    A rolling origin: at each, everything up to the end of that day is fitted anew and
    nothing later is looked at, but the exchanges really made afterwards are taken as
    known, as a keeper knows what is planned. Readings of the next test day, and of
    those about two and four weeks on, are foretold.
    """
    if not log.tests:
        return Backtest((), 0, 0)
    whole = build(log, order_of(log))
    readings = readings_of(whole)
    rows: list[Foretold] = []
    origins = refused = 0
    why = ""
    for day in _origins(whole, most):
        past = past_of(log, day)
        if past is None:
            continue
        result = refit(past.log)
        if result.net_rate is None or not len(result.draws):
            refused, why = refused + 1, result.refused or ""
            continue
        origins += 1
        rows += _foretell(past, result, readings, day)
    return Backtest(tuple(rows), origins, refused, why)


def _origins(whole: Ledger, most: int) -> list[dt.date]:
    """Days to go back to: test days with enough before and one after."""
    days = sorted({t.date for t in whole.tests})
    count = [sum(t.date <= day for t in whole.tests) for day in days]
    fit_days = [d for d, n in zip(days, count, strict=True) if n >= _FEWEST][:-1]
    if len(fit_days) <= most:
        return fit_days
    places = np.unique(np.linspace(0, len(fit_days) - 1, most).round().astype(int))
    return [fit_days[i] for i in places]


def _targets(days: Floats) -> dict[Horizon, list[int]]:
    """Places of the later tests that each horizon means, by whole days ahead."""
    whole = np.floor(days) + 1.0
    out: dict[Horizon, list[int]] = {
        "next": np.flatnonzero(whole == whole.min()).tolist()
    }
    for name in ("2 weeks", "4 weeks"):
        near, wanted, far = _WINDOWS[name]
        apart = np.where((whole >= near) & (whole <= far), np.abs(whole - wanted), 99.0)
        if apart.min() < 99.0:
            best = whole[np.argmin(apart)]
            out[name] = np.flatnonzero(whole == best).tolist()
    return out


def _foretell(
    past: Past, result: FitResult, readings: Readings, origin: dt.date
) -> list[Foretold]:
    """Foretell the readings of all horizons from one day."""
    kit = kit_of(past.log, result)
    lost = 0.0 if result.loss_per_day is None else result.loss_per_day.estimate
    levels = follow(
        past.chain(lost),
        future_draws(result),
        exchange_error=past.exchange_error,
        meant_mg_l=result.source_mg_l,
    )
    known = len(past.log.tests)
    rows = []
    for horizon, places in _targets(past.days).items():
        wanted = [known + i for i in places]
        plain = [
            _plain(rule, readings, known, wanted, horizon)
            for rule in (last_reading, same_place)
        ]
        for i, place in enumerate(places):
            rows.append(
                _row(
                    (origin, horizon, past.tests[place]),
                    (kit, levels[place]),
                    (plain[0][i], plain[1][i]),
                )
            )
    return rows


def _row(
    what: tuple[dt.date, Horizon, Test],
    ours: tuple[Kit, Floats],
    plain: tuple[Guess, Guess],
) -> Foretold:
    """Put one reading beside its three forecasts."""
    origin, horizon, test = what
    kit, level = ours
    low = -np.inf if test.low_mg_l <= 0.0 else test.low_mg_l
    high = np.inf if test.high_mg_l is None else test.high_mg_l
    cut = replace(
        kit,
        low=np.array([-np.inf, low]),
        high=np.array([low, high]),
        shown=(0.0, 1.0),
    )
    below, inside = cut.likelihood(level).mean(axis=1)
    upto = float(below + inside)
    return Foretold(
        origin,
        test.date,
        horizon,
        test.low_mg_l,
        float(high),
        test.raw,
        _ours(kit, level).on(kit),
        plain[0].on(kit),
        plain[1].on(kit),
        share_held(float(below), upto, 0.8),
        share_held(float(below), upto, 0.95),
    )


def _ours(kit: Kit, level: Floats) -> Guess:
    """Give the kit's forecast of a reading: the level's draws with reading error."""
    z = scores(1, len(level), seed=5)[0]
    seen = np.maximum(level + kit.spread(level) * z, 0.0)
    q = np.quantile(seen, [0.025, 0.1, 0.5, 0.9, 0.975]).tolist()
    return Guess(q[2], (q[1], q[3]), (q[0], q[4]))


def _plain(
    rule: _Rule,
    readings: Readings,
    known: int,
    wanted: Sequence[int],
    horizon: Horizon,
) -> list[Guess]:
    """Forecast by a plain rule, with a band as wide as its own earlier misses."""
    misses: list[float] = []
    days = np.floor(readings.at)
    for day in np.unique(days[:known])[:-1]:
        upto = int(np.sum(days <= day))
        later = readings.at[upto:known] - (day + 1.0)
        places = _targets(later).get(horizon, [])
        there = [upto + i for i in places]
        if there:
            told = rule(readings, upto, there)
            misses += (readings.number[there] - told).tolist()
    numbers = rule(readings, known, wanted)
    if len(misses) < _PAIRS:
        return [Guess(float(n), None, None) for n in numbers]
    sd = float(np.sqrt(np.mean(np.square(misses))))
    return [
        Guess(
            float(n),
            (max(n - 1.2816 * sd, 0.0), n + 1.2816 * sd),
            (max(n - 1.96 * sd, 0.0), n + 1.96 * sd),
        )
        for n in numbers.tolist()
    ]
