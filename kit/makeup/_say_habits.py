"""Two habits side by side in sentences and as rows to print."""

from __future__ import annotations

from kit.makeup._say import about
from kit.makeup.money import Compared, Month
from kit.rounding import (
    Output,
    format_flow,
    format_mass,
    format_volume,
    plain,
    round_for_people,
)
from kit.sawtooth import Habit, long_run

__all__ = ["habit_rows", "habit_sentences"]

_SPREAD = 0.05
_LIKE = 0.05


def habit_sentences(
    habits: tuple[Habit, Habit],
    rate_mg_l_day: float,
    months: tuple[Month, Month],
    output: Output = "metric",
) -> tuple[str, ...]:
    """Say where two habits lead, and whether their costs compare like with like.

    Parameters
    ----------
    habits : tuple of Habit
        Now and trial.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]
    months : tuple of Month
        What a month of each takes.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    now, trial = (long_run(habit, rate_mg_l_day).peak_mg_l for habit in habits)
    out = [
        f"Now: {_habit_words(habits[0], output)}, usual peak {about(now)} mg/L. "
        f"Trial: {_habit_words(habits[1], output)}, usual peak {about(trial)} mg/L."
    ]
    # An unheld level is infinite, and two of those compare as well as none.
    if not abs(trial - now) <= _LIKE * now:
        side = "higher" if trial > now else "lower"
        out.append(
            f"The trial's peak is {side}, so the two do not do the same work: turn the "
            "trial until the peaks agree before you weigh the costs."
        )
    missing = sorted({what for month in months for what in month.unpriced})
    if missing:
        out.append(f"Not in the money, as no price is stated: {', '.join(missing)}.")
    out.append("Which of the two is better is for you to say.")
    return tuple(out)


def _habit_words(habit: Habit, output: Output) -> str:
    """Name a habit in a few words."""
    parts = []
    if habit.fraction > 0.0:
        percent = plain(round(100.0 * habit.fraction, 1))
        parts.append(f"{percent} % every {plain(round(habit.interval_days, 1))} days")
    if habit.drip_l_day > 0.0:
        flow = format_flow(round_for_people(habit.drip_l_day), output)
        parts.append(f"a drip of {flow}")
    return " and ".join(parts) or "no exchange"


def habit_rows(
    rows: tuple[Compared, ...], output: Output = "metric"
) -> tuple[tuple[str, str, str, str], ...]:
    """Write two habits side by side as rows of a table.

    Parameters
    ----------
    rows : tuple of Compared
        From `kit.makeup.money.side_by_side`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    tuple of tuple of str
        What, now, trial, and how much more the trial takes.
    """
    return tuple(
        (
            row.what,
            _amount(row.now, row.unit, output),
            _amount(row.trial, row.unit, output),
            _amount(row.more, row.unit, output, signed=True),
        )
        for row in rows
    )


def _amount(
    value: float | None, unit: str, output: Output, *, signed: bool = False
) -> str:
    """Write one amount; a missing price is said."""
    if value is None:
        return "no price stated"
    if abs(value) < 1e-9:
        return "the same" if signed else "none"
    size = abs(value)
    if unit == "L":
        text = format_volume(round_for_people(size, _SPREAD * size), output)
    elif unit == "kg":
        grams = 1000.0 * size
        text = format_mass(round_for_people(grams, _SPREAD * grams), output)
    else:
        text = f"{about(size)} {unit}".strip()
    if not signed:
        return text
    return f"{text} {'more' if value > 0 else 'less'}"
