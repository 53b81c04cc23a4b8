"""The water of a tank in small time steps, from the mass balance alone.

Nothing here comes from the kit, so that its sums can be tried against these logs.
The step is a quarter of an hour, forward in time (Euler), which is far finer than
anything a keeper does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

__all__ = ["MINUTES", "STEPS_PER_DAY", "Inputs", "LongRun", "run", "summary"]

MINUTES = 15
STEPS_PER_DAY = 24 * 60 // MINUTES


@dataclass(frozen=True, slots=True)
class Inputs:
    """What happens to one tank, day by day.

    Parameters
    ----------
    volume_l : float
        Water volume, held level. [L]
    start_mg_l : float
        Nitrate at the first midnight. [mg/L]
    made_mg_day : sequence of float
        Nitrate made in the tank, from food and all else, one value a day. [mg/day]
    uptake_max_mg_l_day : sequence of float
        Largest uptake by plants and algae, one value a day. [mg/L/day]
    uptake_half_mg_l : float
        Level at which uptake is half of that. [mg/L]
    loss_per_day : float
        First-order loss, as in deep beds. [1/day]
    source_mg_l : float
        Nitrate of the new water. [mg/L]
    drip_l_day : sequence of float
        New water running in, one value a day. [L/day]
    evaporation_l_day : float
        Water lost to the air. [L/day]
    top_up_mg_l : float
        Nitrate of what replaces evaporated water beyond the drip. [mg/L]
    exchanges : mapping of int to float
        Share of the water exchanged at a step. [-]
    """

    volume_l: float
    start_mg_l: float
    made_mg_day: Sequence[float]
    uptake_max_mg_l_day: Sequence[float]
    uptake_half_mg_l: float
    loss_per_day: float
    source_mg_l: float
    drip_l_day: Sequence[float]
    evaporation_l_day: float
    top_up_mg_l: float
    exchanges: Mapping[int, float] = field(default_factory=dict)


def run(inputs: Inputs) -> list[float]:
    """Walk through the days.

    Parameters
    ----------
    inputs : Inputs
        What happens, day by day.

    Returns
    -------
    list of float
        Nitrate at every step, before an exchange of that step. [mg/L]
    """
    dt = 1.0 / STEPS_PER_DAY
    c = inputs.start_mg_l
    trace = []
    step = 0
    for day, made in enumerate(inputs.made_mg_day):
        drip = inputs.drip_l_day[day]
        overflow = max(drip - inputs.evaporation_l_day, 0.0)
        top_up = max(inputs.evaporation_l_day - drip, 0.0)
        brought = drip * inputs.source_mg_l + top_up * inputs.top_up_mg_l
        gain = (made + brought) / inputs.volume_l
        loss = overflow / inputs.volume_l + inputs.loss_per_day
        most = inputs.uptake_max_mg_l_day[day]
        for _ in range(STEPS_PER_DAY):
            trace.append(c)
            part = inputs.exchanges.get(step)
            if part is not None:
                c += part * (inputs.source_mg_l - c)
            uptake = most * c / (inputs.uptake_half_mg_l + c) if most else 0.0
            c = max(c + dt * (gain - loss * c - uptake), 0.0)
            step += 1
    trace.append(c)
    return trace


@dataclass(frozen=True, slots=True)
class LongRun:
    """Where a tank settles: highest, lowest and mean nitrate. [mg/L]."""

    peak_mg_l: float
    trough_mg_l: float
    mean_mg_l: float


def summary(inputs: Inputs, trace: Sequence[float], cycle_days: int) -> LongRun:
    """Sum up the last cycle of a run.

    Parameters
    ----------
    inputs : Inputs
        The run's inputs.
    trace : sequence of float
        What `run` gave.
    cycle_days : int
        Length after which the days repeat. [day]

    Returns
    -------
    LongRun
        Levels after an exchange count for the trough.
    """
    first = len(trace) - 1 - cycle_days * STEPS_PER_DAY
    last = [
        c + inputs.exchanges.get(first + i, 0.0) * (inputs.source_mg_l - c)
        for i, c in enumerate(trace[first:-1])
    ]
    before = max(trace[first:])
    return LongRun(before, min(last), sum(last) / len(last))
