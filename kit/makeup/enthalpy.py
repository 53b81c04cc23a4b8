"""Two waters mixed by their masses and their heat, to check the sum by volumes."""

from __future__ import annotations

from kit.makeup._values import N, fraction_checked
from kit.makeup.density import density_kg_l

__all__ = ["mixed_temperature_by_heat_c"]

_ROUNDS = 4
_KJ_KG_K = 4.186


def _heat_kj_kg(celsius: N) -> N:
    """Heat content above 0 °C: specific heat of UNESCO (1983) summed. [kJ/kg]."""
    t = celsius
    return (
        t
        * (
            4217.4
            + t
            * (
                -3.720283 / 2
                + t * (0.1412855 / 3 + t * (-2.654387e-3 / 4 + t * 2.093236e-5 / 5))
            )
        )
        / 1000.0
    )


def mixed_temperature_by_heat_c(fraction: N, tank_c: float | N, new_c: float | N) -> N:
    """Temperature right after an exchange, by masses and their heat.

    Parameters
    ----------
    fraction : float or ndarray
        Part of the volume exchanged, 0 to 1. [-]
    tank_c, new_c : float or ndarray
        Temperature of the tank and of the new water, 0 to 40. [°C]

    Returns
    -------
    float or ndarray
        Temperature of the mix of fresh water, without loss to glass or air. [°C]

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Notes
    -----
    Density and specific heat of pure water at one atmosphere after Fofonoff and
    Millard, UNESCO Technical Papers in Marine Science 44 (1983). The mix keeps mass
    and heat; its temperature is found by Newton's method on the heat content.

    Examples
    --------
    >>> round(mixed_temperature_by_heat_c(0.2, 26.0, 12.0), 2)
    23.19
    """
    share = fraction_checked(fraction)
    tank_kg = (1.0 - share) * density_kg_l(share * 0.0, tank_c)
    new_kg = share * density_kg_l(share * 0.0, new_c)
    heat = (
        tank_kg * _heat_kj_kg(share * 0.0 + tank_c)
        + new_kg * _heat_kj_kg(share * 0.0 + new_c)
    ) / (tank_kg + new_kg)
    mixed = heat / _KJ_KG_K
    for _ in range(_ROUNDS):
        mixed = mixed - (_heat_kj_kg(mixed) - heat) / _KJ_KG_K
    return mixed
