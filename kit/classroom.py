"""One invented tank read with three kits: what each makes of the same water.

For teaching: the truth is known, because it was made up.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from kit import fit
from kit.bands import band
from kit.errors import SumError
from kit.fit import Estimate
from kit.logbook import Exchange, Logbook, Tank, Test
from kit.testkit import colour_of

__all__ = ["KITS", "Answer", "Season", "answer_sentences", "three_answers"]

_DOUBLING: Final = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0)
_MIXED: Final = (0.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0)
KITS: Final[dict[str, tuple[float, ...] | None]] = {
    "doubling card": _DOUBLING,
    "mixed card": _MIXED,
    "meter": None,
}
"""The three kits with their steps; a meter has none. [mg/L]"""

_DAY0: Final = dt.date(2026, 3, 2)
_VOLUME_L: Final = 342.0
_METER_STEP: Final = 1.0
_MOST_WEEKS: Final = 104


@dataclass(frozen=True, slots=True)
class Season:
    """What the invented tank does and how it is kept.

    Parameters
    ----------
    rate_mg_l_day : float
        True rise without exchanges. [mg/L/day]
    fraction : float
        Part exchanged once a week. [-]
    source_mg_l : float
        Nitrate of the new water. [mg/L]
    weeks : int
        Length of the log.
    eye : float
        Spread of one reading, as a part. [-]
    tank_noise : float
        Spread of the tank's own ups and downs, as a part of the rise. [-]
    after_too : bool
        Test after the weekly exchange as well as before it.
    seed : int
        Which chance; the same number gives the same season.
    """

    rate_mg_l_day: float = 1.77
    fraction: float = 0.40
    source_mg_l: float = 5.0
    weeks: int = 26
    eye: float = 0.12
    tank_noise: float = 0.2
    after_too: bool = False
    seed: int = 3


@dataclass(frozen=True, slots=True)
class Answer:
    """What one kit's log says of the rise.

    Parameters
    ----------
    kit : str
        One of `KITS`.
    plain : Estimate or None
        Least squares on the printed numbers. [mg/L/day]
    banded : Estimate or None
        The fit that takes each reading for what it allows; None where it gives no
        rate. [mg/L/day]
    readings : tuple of float
        Numbers written down, in order. [mg/L]
    truth_mg_l_day : float
        What it should be. [mg/L/day]
    """

    kit: str
    plain: Estimate | None
    banded: Estimate | None
    readings: tuple[float, ...]
    truth_mg_l_day: float

    @property
    def plain_holds(self) -> bool:
        """Whether the range of least squares holds the truth."""
        return _holds(self.plain, self.truth_mg_l_day)

    @property
    def banded_holds(self) -> bool:
        """Whether the range of the banded fit holds the truth."""
        return _holds(self.banded, self.truth_mg_l_day)


def _holds(found: Estimate | None, truth: float) -> bool:
    return found is not None and found.low <= truth <= found.high


def three_answers(season: Season) -> tuple[Answer, ...]:
    """Live through a season, read it with three kits, and fit each log.

    Parameters
    ----------
    season : Season
        The invented tank.

    Returns
    -------
    tuple of Answer
        One for each of `KITS`; the water is the same, each reading has its own chance.

    Raises
    ------
    SumError
        A season outside what the simulation is made for.

    Notes
    -----
    Weekly: ``C <- C + 7 g + sd sqrt(7) e``, tested, then ``C <- (1 - f) C + f Cs``. A
    reading is ``C exp(eye e)``, then the nearest step of the card or whole number.
    """
    _checked(season)
    dice = np.random.default_rng(season.seed)
    levels = _water(season, dice)
    out = []
    for name, steps in KITS.items():
        noise = dice.standard_normal(len(levels))
        seen = np.array([level for _, _, level in levels]) * np.exp(season.eye * noise)
        out.append(_answer(season, name, steps, levels, seen.tolist()))
    return tuple(out)


def _checked(season: Season) -> None:
    if not 4 <= season.weeks <= _MOST_WEEKS:
        raise SumError(f"A season has 4 to {_MOST_WEEKS} weeks here.")
    if not (0 < season.fraction < 1 and season.rate_mg_l_day > 0):
        raise SumError("The rise and the exchange must both be above 0.")
    if min(season.source_mg_l, season.eye, season.tank_noise) < 0:
        raise SumError("New water and spreads cannot be below 0.")


def _water(
    season: Season, dice: np.random.Generator
) -> list[tuple[int, dt.time, float]]:
    """Give day, time and true level of every test."""
    peak = season.source_mg_l + 7 * season.rate_mg_l_day / season.fraction
    level = (1 - season.fraction) * peak + season.fraction * season.source_mg_l
    out: list[tuple[int, dt.time, float]] = []
    for week in range(1, season.weeks + 1):
        wobble = season.tank_noise * season.rate_mg_l_day * 7**0.5
        level += 7 * season.rate_mg_l_day + wobble * dice.standard_normal()
        level = max(level, 0.1)
        out.append((7 * week, dt.time(18, 0), level))
        level = (1 - season.fraction) * level + season.fraction * season.source_mg_l
        if season.after_too:
            out.append((7 * week, dt.time(20, 0), level))
    return out


def _answer(
    season: Season,
    name: str,
    steps: tuple[float, ...] | None,
    levels: Sequence[tuple[int, dt.time, float]],
    seen: Sequence[float],
) -> Answer:
    """Write the log of one kit and fit it."""
    values = [_shown(s, steps) for s in seen]
    tests = tuple(
        _test(day, time, value, steps, line)
        for line, ((day, time, _), value) in enumerate(
            zip(levels, values, strict=True), 2
        )
    )
    swaps = tuple(
        Exchange(
            _DAY0 + dt.timedelta(days=7 * week),
            dt.time(19, 0),
            season.fraction,
            None,
            "exchanges.csv",
            week + 1,
        )
        for week in range(1, season.weeks + 1)
    )
    tank = Tank(
        name="classroom",
        volume_l=_VOLUME_L,
        volume_how="measured",
        source_nitrate_mg_l=season.source_mg_l,
        kit_steps_mg_l=steps,
        kit_resolution_mg_l=None if steps else _METER_STEP,
        kit_basis="NO3",
    )
    result = fit.rate(Logbook(tank, tests=tests, exchanges=swaps))
    return Answer(
        name, result.simple_rate, result.net_rate, tuple(values), season.rate_mg_l_day
    )


def _shown(seen: float, steps: tuple[float, ...] | None) -> float:
    return float(round(seen)) if steps is None else steps[colour_of(seen, steps)]


def _test(
    day: int,
    time: dt.time,
    value: float,
    steps: tuple[float, ...] | None,
    line: int,
) -> Test:
    low, high = band(value, steps, None if steps else _METER_STEP)
    return Test(
        date=_DAY0 + dt.timedelta(days=day),
        time=time,
        low_mg_l=low,
        high_mg_l=high,
        value_mg_l=value,
        raw=f"{value:g}",
        file="tests.csv",
        line=line,
    )


def answer_sentences(answers: Sequence[Answer]) -> tuple[str, ...]:
    """Say which ranges hold the truth.

    Parameters
    ----------
    answers : sequence of Answer
        From `three_answers`.

    Returns
    -------
    tuple of str
        The count first, then each kit.
    """
    truth = f"{answers[0].truth_mg_l_day:.2f}"
    plain = [a.kit for a in answers if a.plain_holds]
    banded = [a.kit for a in answers if a.banded_holds]
    return (
        f"The truth is {truth} mg/L a day. Taking each reading as a range, "
        f"{len(banded)} of 3 answers hold it; taking the printed numbers as exact, "
        f"{len(plain)} of 3 do.",
        *(_one(a) for a in answers),
    )


def _one(answer: Answer) -> str:
    """Say both answers of one kit."""
    parts = []
    for name, found in (("numbers", answer.plain), ("ranges", answer.banded)):
        if found is None:
            parts.append(f"{name}: no answer")
            continue
        parts.append(f"{name}: {found.estimate:.2f} ({found.low:.2f}-{found.high:.2f})")
    return f"{answer.kit[0].upper()}{answer.kit[1:]}: {'; '.join(parts)}."
