"""Salt, top-up, ammonia and hardness of new water in sentences, the verdict first."""

from __future__ import annotations

from kit.makeup._say import about
from kit.makeup.alkalinity import KhReserve
from kit.makeup.ammonia import NH3_HARM_MG_L, RescueStep
from kit.makeup.salt import SaltDose
from kit.makeup.topup import TopUp
from kit.registry import registry_factor
from kit.rounding import (
    Output,
    format_flow,
    format_mass,
    format_temperature,
    format_volume,
    plain,
)

__all__ = [
    "ammonia_sentences",
    "oxygen_sentence",
    "reserve_sentence",
    "salt_sentences",
    "top_up_sentences",
]

_GALLONS = {"us": ("gallon", "US"), "imperial": ("imperial_gallon", "imperial")}


def salt_sentences(dose: SaltDose, output: Output = "metric") -> tuple[str, ...]:
    """Say how much salt goes with an exchange, and that evaporation takes none.

    Parameters
    ----------
    dose : SaltDose
        From `kit.makeup.salt.salt_dose`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    if dose.salinity_g_kg == 0.0:
        return ("This gravity is that of fresh water: no salt is needed.",)
    litres = format_volume(dose.litres, output)
    lead = (
        f"{litres} of new water takes {format_mass(round(dose.dry_g), output)} of dry "
        f"sea salts, {_per_volume(dose.salt_g_l, output)}"
    )
    if dose.bag_g > dose.dry_g:
        lead += f"; weigh out {format_mass(round(dose.bag_g), output)} from the bag"
    out = [f"{lead}. Dissolve it in that water before it goes in."]
    if dose.lost_l > 0.0:
        out.append(
            f"Left without topping up for {plain(dose.days)} days, the tank goes from "
            f"{plain(round(dose.salinity_g_kg, 1))} to "
            f"{plain(round(dose.saltier_g_kg, 1))} g/kg, as the salt stays behind. "
            "The remedy is water without salt; salt is never dosed for what evaporated."
        )
    return tuple(out)


def _per_volume(salt_g_l: float, output: Output) -> str:
    """Write salt for each litre, or for each gallon of the reader's country."""
    if output == "metric":
        return f"{plain(round(salt_g_l, 2))} g for each litre"
    gallon, name = _GALLONS[output]
    mass = format_mass(salt_g_l * registry_factor(gallon, "liter"), output)
    return f"{mass} for each {name} gallon"


def top_up_sentences(found: TopUp, output: Output = "metric") -> tuple[str, ...]:
    """Say what topping up with tap water does to nitrate.

    Parameters
    ----------
    found : TopUp
        From `kit.makeup.topup.top_up_effect`.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    if found.litres_day == 0.0:
        return ("The drip makes up for what evaporates; no top-up is needed.",)
    flow = format_flow(found.litres_day, output)
    return (
        f"Topping up {flow} from the tap adds {about(found.added_mg_l_day)} mg/L of "
        "nitrate a day and takes none out.",
        f"Usual peak with tap water {about(found.tap_peak_mg_l)} mg/L, with pure water "
        f"{about(found.pure_peak_mg_l)} mg/L.",
    )


def ammonia_sentences(step: RescueStep, output: Output = "metric") -> tuple[str, ...]:
    """Say what an exchange does to the part of ammonia that harms.

    Parameters
    ----------
    step : RescueStep
        From `kit.makeup.ammonia.rescue_step`.
    output : {"metric", "us", "imperial"}, optional
        Whose units for temperatures.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    before, most = about(step.nh3_before_mg_l), about(step.nh3_most_mg_l)
    high = plain(round(step.ph.high, 1))
    lead = f"Un-ionised ammonia, the part that harms, is {before} mg/L now. "
    if step.nh3_after_mg_l is None:
        lead += f"After the exchange it can be {most} mg/L, at pH {high}."
    else:
        lead += (
            f"After the exchange it is about {about(step.nh3_after_mg_l)} mg/L, and "
            f"{most} mg/L once the pH has climbed to {high}."
        )
    return (lead, _harm_said(step), *_ph_said(step), *_criteria_said(step, output))


def _harm_said(step: RescueStep) -> str:
    """Say whether it rises, and whether that harms."""
    line = plain(NH3_HARM_MG_L)
    if step.harms:
        passed = (
            f"That passes {line} mg/L, above which fish take harm (University of "
            "Florida IFAS, FA-16)."
            if step.nh3_most_mg_l > NH3_HARM_MG_L
            else "Total ammonia passes what is named for an hour below."
        )
        return (
            f"{passed} Do not do this exchange as it stands: bring the ammonia down "
            "first, and ask an experienced keeper or a vet."
        )
    if step.rises:
        return (
            f"It rises, though total ammonia falls, as the pH climbs; it stays under "
            f"{line} mg/L, above which fish take harm (University of Florida IFAS, "
            "FA-16). Test again an hour after the exchange."
        )
    return (
        f"It does not rise, and stays under {line} mg/L, above which fish take harm "
        "(University of Florida IFAS, FA-16)."
    )


def _ph_said(step: RescueStep) -> tuple[str, ...]:
    """Say what is known of the pH of the mix."""
    if step.ph.estimate is not None:
        return (
            f"By the hardness of both waters the mix has pH "
            f"{plain(round(step.ph.estimate, 1))} at first. Air drives carbon dioxide "
            "out, and the pH climbs on within hours: measure it.",
        )
    return (
        "The pH of the mix is not worked out: that takes the carbonate hardness of "
        "both waters, and fresh water. The higher pH of the two is what to plan by.",
    )


def _criteria_said(step: RescueStep, output: Output) -> tuple[str, ...]:
    """Set total ammonia beside the criteria for wild fresh water."""
    if step.acute_tan_mg_l is None or step.chronic_tan_mg_l is None:
        return ()
    over = step.tan_mg_l > step.chronic_tan_mg_l
    return (
        f"Total ammonia after it: {about(step.tan_mg_l)} mg/L as nitrogen. For wild "
        f"fresh water at that pH the US EPA (2013) names {about(step.acute_tan_mg_l)} "
        f"for an hour and {about(step.chronic_tan_mg_l)} as the mean of thirty days"
        f"{', so it must not stay that high' if over else ''}. "
        f"Right after the exchange the tank is at "
        f"{format_temperature(step.temperature_c, output)}.",
    )


def reserve_sentence(reserve: KhReserve, nitrate_mg_l: float, source_dkh: float) -> str:
    """Say what nitrate tells of the carbonate hardness.

    Parameters
    ----------
    reserve : KhReserve
        From `kit.makeup.alkalinity.kh_reserve`.
    nitrate_mg_l : float
        Nitrate of the tank, as NO3. [mg/L]
    source_dkh : float
        Carbonate hardness of the new water. [dKH]

    Returns
    -------
    str
        One or two sentences.
    """
    said = (
        f"On the way to {about(nitrate_mg_l)} mg/L of nitrate, food has used up about "
        f"{about(reserve.used_dkh)} dKH of carbonate hardness, and the new water "
        f"brings {plain(source_dkh)}"
    )
    if reserve.spent:
        return (
            f"{said}: none may be left. Then the pH can fall at any time, and a large "
            "exchange lifts it at once. Test hardness and pH before you act."
        )
    return f"{said}. None would be left at {about(reserve.spent_at_mg_l)} mg/L."


def oxygen_sentence(
    before_mg_l: float, tank_c: float, output: Output = "metric"
) -> str:
    """Say how much oxygen the tank's water can hold at most.

    Parameters
    ----------
    before_mg_l : float
        Saturation at the tank's temperature and salinity. [mg/L]
    tank_c : float
        Temperature of the tank. [°C]
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    str
        One sentence; a caution, as the sum cannot see what is in the water.
    """
    return (
        f"Water of {format_temperature(tank_c, output)} holds at most "
        f"{plain(round(before_mg_l, 1))} mg/L of oxygen from the air at sea level; a "
        "tank at night, after feeding or with its filter off has less. Keep air "
        "running during and after an exchange."
    )
