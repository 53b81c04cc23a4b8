"""Results as plain sentences: the finding, its band, what it takes for granted."""

from __future__ import annotations

import math

from kit.change import suspicions
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.plan import Band, Plan
from kit.rounding import Output, format_volume, plain, round_for_people, say_band

__all__ = [
    "backwash_sentence",
    "chance_words",
    "fit_sentences",
    "log_sentences",
    "plan_sentences",
    "reserve_sentences",
    "surer_sentence",
]


def fit_sentences(result: FitResult) -> tuple[str, ...]:
    """Say what a fit found, the verdict first.

    Parameters
    ----------
    result : FitResult
        From `kit.fit.rate`.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    return result.statements


def log_sentences(log: Logbook) -> tuple[str, ...]:
    """Say what of a log is open to doubt, and what of it was not used.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    tuple of str
        Empty when everything was used as written and nothing stands out.
    """
    levels = [p.level for p in log.problems]
    out = list(suspicions(log))
    errors, held = levels.count("error"), levels.count("question")
    noted = levels.count("note")
    if errors:
        out.append(
            "1 cell or row is in error and was left out."
            if errors == 1
            else f"{errors} cells or rows are in error and were left out."
        )
    if held:
        out.append(
            "1 question is open; what it concerns is held back until answered. The "
            "check lists it."
            if held == 1
            else f"{held} questions are open; what they concern is held back until "
            "answered. The check lists them."
        )
    if noted:
        out.append(
            "1 remark was made on how the log was read; the check lists it."
            if noted == 1
            else f"{noted} remarks were made on how the log was read; the check lists "
            "them."
        )
    if log.answers:
        out.append("Answers given earlier were applied: " + "; ".join(log.answers))
    return tuple(out)


def reserve_sentences(
    plan: Plan, result: FitResult, max_percent: float | None
) -> tuple[str, ...]:
    """Say what stands against a plan before its numbers are read.

    Parameters
    ----------
    plan : Plan
        The plan.
    result : FitResult
        The fit it rests on.
    max_percent : float or None
        The keeper's own limit for one exchange. [%]

    Returns
    -------
    tuple of str
        Empty when nothing does.
    """
    out = []
    rate = result.net_rate
    if rate is not None and rate.low <= 0.0 <= rate.high:
        out.append(
            "The readings cannot tell whether nitrate rises at all, so what follows is "
            "a possibility and no forecast."
        )
    if max_percent is not None and 100 * plan.habit.fraction > max_percent + 1e-9:
        out.append(
            f"This is more than your own limit of {max_percent:g} % for one exchange."
        )
    return tuple(out)


def backwash_sentence(backwash_l_day: float, output: Output = "metric") -> str:
    """Say that backwashes count as a drip.

    Parameters
    ----------
    backwash_l_day : float
        Water the log's backwashes exchange. [L/day]
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    str
        One sentence.
    """
    flow = format_volume(backwash_l_day, output)
    return (
        f"The log's backwashes exchange {flow} a day between them and are counted as a "
        "drip of that size; they have to go on for this to hold."
    )


def surer_sentence(surer: Plan, output: Output = "metric") -> str:
    """Say which habit stays under the ceiling nine times in ten.

    Parameters
    ----------
    surer : Plan
        Solved for that chance.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    str
        One sentence.
    """
    return (
        "The middle of the estimate is as often too low as too high. To keep the usual "
        "peak under the ceiling 9 times in 10 it takes "
        f"{_habit_words(surer, output)}. Single peaks stray further."
    )


def _band(b: Band) -> str:
    """Write a level with its band. [mg/L]."""
    if math.isinf(b.estimate):
        return "no limit"
    return say_band(b.estimate, b.low, b.high, "mg/L")


def chance_words(chance: float) -> str:
    """Write a chance in words that do not claim more than a thousand draws can tell.

    Parameters
    ----------
    chance : float
        0 to 1. [-]

    Returns
    -------
    str
        Such as ``"about 70 in 100"``.

    Examples
    --------
    >>> chance_words(0.7), chance_words(0.999), chance_words(0.001)
    ('about 70 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if chance > 0.99:
        return "more than 99 in 100"
    if chance < 0.01:
        return "less than 1 in 100"
    return f"about {100 * chance:.0f} in 100"


def _habit_words(plan: Plan, output: Output | None) -> str:
    """Name the habit."""
    habit = plan.habit
    parts = []
    if habit.fraction > 0:
        days = plain(round(habit.interval_days, 1))
        day_word = "day" if days == "1" else "days"
        litres = (
            f" ({format_volume(habit.fraction * habit.volume_l, output)})"
            if output is not None
            else ""
        )
        percent = plain(round(100 * habit.fraction, 1))
        parts.append(f"{percent} %{litres} every {days} {day_word}")
    if habit.drip_l_day > 0 and output is not None:
        drip = f"a drip of {format_volume(habit.drip_l_day, output)} a day"
        if habit.evaporation_l_day > 0:
            drip += f" less {format_volume(habit.evaporation_l_day, output)} evaporated"
        parts.append(drip)
    return " and ".join(parts) if parts else "no exchange"


def plan_sentences(
    plan: Plan,
    *,
    source_known: bool = True,
    litres_known: bool = True,
    output: Output = "metric",
) -> tuple[str, ...]:
    """Say where a habit leads, the verdict first.

    Parameters
    ----------
    plan : Plan
        From `kit.plan.plan`.
    source_known : bool, optional
        Whether the new water's nitrate was tested or stated.
    litres_known : bool, optional
        Whether the tank's volume is stated.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    habit = _habit_words(plan, output if litres_known else None)
    first = habit[0].upper() + habit[1:]
    if math.isnan(plan.peak_mg_l.estimate):
        return (f"{first}: nothing comes in or leaves, so the level stays as it is.",)
    if math.isinf(plan.peak_mg_l.estimate):
        return (
            f"{first}: nothing holds the level and it climbs without end at this rate.",
        )
    out = [_settled_sentence(plan, first)]
    out += _ceiling_sentences(plan)
    out += _pace_sentences(plan)
    if litres_known:
        litres = format_volume(round_for_people(plan.litres_month), output)
        out.append(f"It uses {litres} of new water a month.")
    if not source_known:
        out.append(
            "The new water was never tested and is taken as 0: with nitrate in it the "
            "levels would lie higher than this when more water is exchanged than "
            "before. Test it before you count on this plan."
        )
    return tuple(out)


def _settled_sentence(plan: Plan, first: str) -> str:
    """Say where a habit settles, the level before an exchange first."""
    if plan.habit.fraction == 0:
        return f"{first} settles at {_band(plan.peak_mg_l)}."
    mean = f"{_band(plan.mean_mg_l)} on average."
    if plan.peak_mg_l.estimate <= plan.habit.source_mg_l:
        # The new water holds more than the tank: an exchange lifts the level.
        return (
            f"{first} settles with peaks of {_band(plan.peak_mg_l)} just after an "
            f"exchange, {_band(plan.trough_mg_l)} just before, {mean}"
        )
    return (
        f"{first} settles with peaks of {_band(plan.peak_mg_l)} just before an "
        f"exchange, {_band(plan.trough_mg_l)} just after, {mean}"
    )


def _ceiling_sentences(plan: Plan) -> list[str]:
    """Compare the peak with the ceiling."""
    ceiling = plan.ceiling_mg_l
    if ceiling is None:
        return []
    side = "under" if plan.peak_mg_l.estimate <= ceiling else "above"
    text = f"That is {side} your ceiling of {ceiling:g} mg/L"
    if abs(plan.peak_mg_l.estimate - ceiling) <= 0.005 * ceiling:
        text = f"That meets your ceiling of {ceiling:g} mg/L"
    if plan.chance_under_ceiling is not None:
        text += (
            "; the chance that the usual peak stays under it is "
            f"{chance_words(plan.chance_under_ceiling)}, as far as this log can tell. "
            "Single peaks lie above and below the usual one"
        )
    return [text + "."]


def _pace_sentences(plan: Plan) -> list[str]:
    """Say how long a change takes."""
    out = []
    if math.isfinite(plan.cycles_to_95) and plan.habit.fraction > 0:
        cycles = max(math.ceil(plan.cycles_to_95 - 1e-9), 1)
        days = math.ceil(cycles * plan.habit.interval_days - 1e-9)
        word = "exchange" if cycles == 1 else "exchanges"
        out.append(
            f"After a change of habit 95 % of the way takes {cycles} {word}, "
            f"{days} days; a test before that cannot judge it."
        )
    return out
