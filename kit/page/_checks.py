"""How another keeper checks the page: by hand, and by running it again."""

from __future__ import annotations

from kit.fit import FitResult
from kit.outcome import Outcome
from kit.page._facts import about
from kit.plan import Plan
from kit.sources import cite

__all__ = ["checks_of"]

_FIXED = (
    "Between exchanges the level climbs by the rise each day; an exchange of a "
    "part f leaves (1 - f) of the level and adds f of the new water's.",
    "In the long run the peak is the new water's level plus the rise of the days "
    "between two exchanges over the part exchanged, as long as nothing drips. It is "
    "the series of repeated doses: " + cite("bourne_ch14"),
    "Nitrate is counted as NO3 in mg/L; NO3-N times 4.4268 is NO3. Source: "
    + cite("ciaaw"),
    "Protein is taken as 6.25 times its nitrogen, which sets the most nitrate a gram "
    "of food can make. Source: " + cite("fao_77"),
)


def checks_of(result: FitResult, now: Outcome | None, version: str) -> tuple[str, ...]:
    """Say how to check the page, the shortest way first.

    Parameters
    ----------
    result : FitResult
        The fit.
    now : Outcome or None
        Where the log's own habit leads.
    version : str
        Version of the kit.

    Returns
    -------
    tuple of str
        Sentences with their own sums.
    """
    said = [] if now is None or now.plan is None else _by_hand(now.plan, result)
    said.append(
        "With the kit: unpack logbook.zip into a folder of its own and run "
        "python -m kit report on that folder. It gives the same numbers (made with "
        f"version {version})."
    )
    method = f"How it was estimated: {result.method}"
    return (*said, *_FIXED, method if method.endswith(".") else method + ".")


def _by_hand(plan: Plan, result: FitResult) -> list[str]:
    """Repeat the peak with the page's own numbers, where nothing drips."""
    habit, rate = plan.habit, result.usual_rate
    steady = habit.decay_per_day == 0 and habit.evaporation_l_day == 0
    if rate is None or not steady or habit.fraction <= 0 or rate.estimate <= 0:
        return []
    # One figure more than the result is shown with, so that the sum comes out.
    source, rise = f"{habit.source_mg_l:.3g}", f"{rate.estimate:.3g}"
    days, part = f"{habit.interval_days:.3g}", f"{habit.fraction:.3g}"
    peak = float(source) + float(rise) * float(days) / float(part)
    return [
        f"By hand: {source} + {rise} x {days} / {part} = {about(peak, 0.5)} mg/L, "
        "which is the new water, plus the rise between two exchanges (as plans count "
        "it) over the part exchanged. It is the peak given for the habit in the log."
    ]
