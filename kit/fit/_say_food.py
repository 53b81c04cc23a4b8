"""Plain sentences on what the log tells of the food."""

from __future__ import annotations

from kit.feed import nitrate_per_gram
from kit.fit._ledger import Ledger
from kit.fit._result import Estimate, Lag
from kit.fit._run import Run
from kit.rounding import say_band

__all__ = ["food_said"]

_DRY_FOOD_PROTEIN = 50.0


def food_said(run: Run, rate: Estimate, mean: float) -> list[str]:
    """Say what the log tells of the food.

    Parameters
    ----------
    run : Run
        The fit.
    rate : Estimate
        Net rate. [mg/L/day]
    mean : float
        Mean food. [g/L/day]

    Returns
    -------
    list of str
        Plain sentences.
    """
    ledger, gate = run.ledger, run.gate
    protein = ledger.tank.feed_protein_percent
    top = nitrate_per_gram(_DRY_FOOD_PROTEIN if protein is None else protein)
    if run.yields:
        return _yields_said(run, top, protein)
    out = (
        [f"How much comes from food cannot be told: {gate}."]
        if gate
        else [
            "How much comes from food cannot be told: by these tests a gram may make "
            "nothing or much. Vary the food in stretches of some weeks and weigh it."
        ]
    )
    return out + _apparent_said(rate, ledger, mean, top, protein)


def _yields_said(run: Run, top: float, protein: float | None) -> list[str]:
    """Say the yields, what they rest on, and how late they come."""
    out = []
    for name, found in run.yields:
        said = say_band(found.estimate, found.low, found.high, "mg of nitrate a gram")
        out.append(f"{name.capitalize() or 'Food'} makes about {said}.")
        if found.low > top:
            out.append(_too_much(top, protein))
    if run.from_before and run.gate:
        out.append(
            f"That rests on what was set beforehand, not on the log: {run.gate}."
        )
    if run.lag is not None:
        out.append(_lag_said(run.lag))
    elif not run.from_before:
        out.append("No delay between food and nitrate can be told from this log.")
    return out


def _lag_said(lag: Lag) -> str:
    """Say how late the nitrate comes."""
    end = "or more" if lag.open_above else f"to {lag.high:g}"
    return (
        f"The nitrate comes later than the food, by about {lag.days:g} days "
        f"({lag.low:g} {end}), as when left-overs rot before they are taken out."
    )


def _too_much(top: float, protein: float | None) -> str:
    """Say that the nitrate exceeds the nitrogen of the food."""
    which = (
        f"{protein:g} % protein"
        if protein is not None
        else f"even {_DRY_FOOD_PROTEIN:g} % protein"
    )
    return (
        f"That is more nitrate than the food holds (at most {top:.0f} mg a gram at "
        f"{which}): look for a wrong volume, NO3 mixed up with NO3-N, food not "
        "logged, or nitrate from the new water."
    )


def _apparent_said(
    rate: Estimate, ledger: Ledger, mean: float, top: float, protein: float | None
) -> list[str]:
    """Compare the whole rate with the food, as a check of units and volume."""
    if mean <= 0.0:
        return []
    low, high = rate.low / mean, rate.high / mean
    if low > top:
        return [
            "If all of it came from food, a gram would make "
            f"{rate.estimate / mean:.0f} "
            "mg. " + _too_much(top, protein)
        ]
    if 0.0 < high < 80.0:
        return [
            f"If all of it came from food, a gram would make only "
            f"{rate.estimate / mean:.0f} mg; dry food usually makes 140 to 290. "
            "Plants, exchanges not logged, or readings that are NO3-N (4.43 times "
            "smaller) would explain it: check which the kit shows."
        ]
    return []
