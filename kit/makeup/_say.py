"""Cold, cost and chlorine of new water in sentences, the verdict first."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from kit.makeup.chlorine import (
    DripChlorine,
    chloramine_ammonia_n_mg_l,
    chloramine_nitrate_mg_l,
    largest_untreated_fraction,
)
from kit.makeup.cold import ColdExchange
from kit.makeup.evaporation import Evaporation
from kit.makeup.year import Year
from kit.rounding import (
    Output,
    format_flow,
    format_temperature,
    format_temperature_difference,
    format_volume,
    plain,
    round_for_people,
)

__all__ = [
    "MONTHS",
    "about",
    "chlorine_sentences",
    "cold_sentences",
    "money_words",
    "year_sentences",
]

MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)

_SPREAD = 0.1


def about(value: float) -> str:
    """Write a number to two figures or so, which is all these sums are good for."""
    return plain(round_for_people(value, max(abs(value) * _SPREAD, 1e-9)))


def money_words(amount: float, currency: str) -> str:
    """Write an amount of money with the keeper's word for the currency."""
    return f"{about(amount)} {currency}".strip()


def _percent(fraction: float) -> str:
    return f"{plain(round(100.0 * fraction, 1))} %"


def _percent_down(fraction: float) -> str:
    """Write a share as a limit: rounded down, so that it still holds."""
    percent = 100.0 * fraction
    decimals = 0 if percent >= 10 else 1
    step = 10.0**decimals
    return f"{plain(math.floor(percent * step + 1e-9) / step)} %"


# Cold -------------------------------------------------------------------------------


def cold_sentences(cold: ColdExchange, output: Output = "metric") -> tuple[str, ...]:
    """Say what one exchange does to the warmth of the tank.

    Parameters
    ----------
    cold : ColdExchange
        From `kit.makeup.cold.cold_exchange`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    tuple of str
        Whole sentences.
    """

    def degrees(celsius: float) -> str:
        return format_temperature(celsius, output)

    apart = format_temperature_difference(abs(cold.tank_c - cold.new_c), output)
    by = format_temperature_difference(abs(cold.drop_c), output)
    side, does = ("colder", "cools") if cold.drop_c >= 0 else ("warmer", "warms")
    out = [
        f"{_percent(cold.fraction)} of water {apart} {side} {does} the tank by {by} at "
        f"once, from {degrees(cold.tank_c)} to {degrees(cold.after_c)}."
    ]
    limit = format_temperature_difference(cold.allowed_c, output)
    if cold.keeps:
        most = _percent_down(cold.most)
        more = "so would any other" if cold.most >= 1.0 else f"up to {most} would"
        out.append(f"That keeps your limit of {limit}; {more}.")
    else:
        out.append(_over_limit(cold, limit, output))
    if cold.heating_kwh > 0.0:
        out.append(
            f"Warming its {format_volume(cold.litres, output)} takes about "
            f"{about(cold.heating_kwh)} kWh, whether in the tank or before."
        )
    if cold.drip_kwh_day > 0.0:
        out.append(
            f"The drip of {format_flow(cold.drip_l_day, output)}, as cold as that, "
            f"takes {about(cold.drip_w)} W of the heater's power all day, "
            f"{about(cold.drip_kwh_day)} kWh a day."
        )
    return tuple(out)


def _over_limit(cold: ColdExchange, limit: str, output: Output) -> str:
    """Say how an exchange that passes the limit could keep it."""
    said = f"That is more than your limit of {limit}, which allows at most "
    said += f"{_percent_down(cold.most)} at a time. "
    ways = []
    if cold.parts is not None and cold.parts <= 20:
        ways.append(
            f"split it into {cold.parts} parts and let the tank come back in between"
        )
    verb = "warm" if cold.drop_c > 0 else "cool"
    end = format_temperature(cold.warm_to_c, output)
    ways.append(f"{verb} the new water to {end} first")
    joined = ", or ".join(ways)
    return said + joined[0].upper() + joined[1:] + "."


# Money ------------------------------------------------------------------------------


def year_sentences(
    year: Year,
    currency: str = "",
    guess: Evaporation | None = None,
    output: Output = "metric",
) -> tuple[str, ...]:
    """Say what a year of new water and evaporation takes.

    Parameters
    ----------
    year : Year
        From `kit.makeup.year.year_of`.
    currency : str, optional
        What to write behind an amount.
    guess : Evaporation, optional
        What the open surface suggests, to hold the logged evaporation against.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    warmed, lost = float(year.heating_kwh.sum()), float(year.evaporation_kwh.sum())
    out = [
        f"In an average month warming the new water takes {about(warmed / 12)} kWh and "
        f"evaporation {about(lost / 12)} kWh{_cost_said(year, currency)}."
    ]
    if year.energy_cost is not None and year.energy_cost.max() > 0.0:
        low, high = int(year.energy_cost.argmin()), int(year.energy_cost.argmax())
        out.append(
            f"The dearest month for heat is {MONTHS[high]} with "
            f"{money_words(year.energy_cost[high], currency)}, the cheapest "
            f"{MONTHS[low]} with {money_words(year.energy_cost[low], currency)}."
        )
    if lost > warmed > 0.0:
        out.append(
            f"Evaporation takes {about(lost / warmed)} times as much heat as the cold "
            "of the new water. A lid saves more than a smaller drip or exchange."
        )
    if year.energy_cost is None:
        out.append("State your price of energy to see money.")
    if guess is not None and lost > 0.0:
        out.append(_guess_said(year, guess, output))
    out.append(
        "What the glass loses is not in your log and not in these sums; pumps, lamps "
        "and a warm room pay for part of the heat."
    )
    return tuple(out)


def _cost_said(year: Year, currency: str) -> str:
    """Money of a mean month, as far as prices are stated."""
    parts = []
    if year.energy_cost is not None:
        each = money_words(float(year.energy_cost.sum()) / 12, currency)
        parts.append(f"{each} for heat")
    if year.water_cost is not None:
        each = money_words(float(year.water_cost.sum()) / 12, currency)
        parts.append(f"{each} for water")
    return ": " + " and ".join(parts) if parts else ""


def _guess_said(year: Year, guess: Evaporation, output: Output) -> str:
    """Hold the logged evaporation against the guess from the open surface."""
    logged = float(np.sum(year.evaporated_l)) / 365.25
    low, high, stated = (
        format_flow(v, output, band_l_day=v * _SPREAD)
        for v in (guess.low_l_day, guess.high_l_day, logged)
    )
    said = f"The open surface suggests an evaporation of {low} to {high}"
    if guess.agrees(logged):
        return f"{said}, a guess good to a factor of two; {stated} fits."
    return (
        f"{said}, a guess good to a factor of two; {stated} does not fit. "
        "Look for a leak, or measure the top-up for a week."
    )


# Chlorine ---------------------------------------------------------------------------


def _micro(mg_l: float) -> str:
    return about(1000.0 * mg_l)


def chlorine_sentences(
    drip: DripChlorine,
    batch_mg_l: float,
    *,
    tap_mg_l: float,
    fraction: float,
    drip_l_day: float,
    chloramine: bool,
    output: Output = "metric",
) -> tuple[str, ...]:
    """Say what untreated tap water brings.

    Parameters
    ----------
    drip : DripChlorine
        From `kit.makeup.chlorine.drip_range`.
    batch_mg_l : float
        Level right after an untreated exchange, as Cl2. [mg/L]
    tap_mg_l : float
        Chlorine of the tap, as Cl2. [mg/L]
    fraction, drip_l_day : float
        Part exchanged [-] and drip. [L/day]
    chloramine : bool
        Whether the supplier uses chloramine.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    acute, chronic = drip.criteria.acute_mg_l, drip.criteria.chronic_mg_l
    out = []
    if drip_l_day > 0.0:
        out.append(
            f"Untreated, a drip of {format_flow(drip_l_day, output)} keeps somewhere "
            f"from {_micro(drip.low_mg_l)} to {_micro(drip.high_mg_l)} µg/L of "
            "chlorine in the tank, depending on how fast the tank uses it up."
        )
    if fraction > 0.0:
        share = largest_untreated_fraction(tap_mg_l, drip.criteria)
        out.append(
            f"Untreated, an exchange of {_percent(fraction)} puts "
            f"{_micro(batch_mg_l)} µg/L into the tank at once; "
            f"{plain(round(100 * share, 2))} % of such water already makes "
            f"{_micro(acute)}."
        )
    out.append(
        f"For wild animals the US EPA names {_micro(acute)} µg/L as the mean of an "
        f"hour and {_micro(chronic)} as the mean of four days (EPA 440/5-84-030)."
    )
    passes = drip.can_pass_chronic or batch_mg_l > acute
    out.append(
        "This water can pass that. Treat it, or run it through carbon and test behind "
        "the carbon."
        if passes
        else "By this sum it stays under that. A chlorine test at the tank is surer."
    )
    if chloramine:
        out.append(_chloramine_said(tap_mg_l))
    return tuple(out)


def _chloramine_said(tap_mg_l: float) -> str:
    """Say what is different with chloramine."""
    return (
        "Chloramine goes more slowly, so the upper end is the likelier one. "
        f"Broken down, it leaves {about(chloramine_ammonia_n_mg_l(tap_mg_l))} mg/L "
        "of ammonia (as nitrogen) in the new water, which becomes "
        f"{about(chloramine_nitrate_mg_l(tap_mg_l))} mg/L of nitrate."
    )
