"""What else the new water does on the way down: ammonia, acidity, hardness."""

from __future__ import annotations

from dataclasses import dataclass

from kit.catchup._schedule import CatchUp
from kit.makeup.alkalinity import KhReserve, kh_reserve
from kit.makeup.ammonia import RescueStep, rescue_step

__all__ = ["TwoWaters", "WaterCheck", "check_water"]


@dataclass(frozen=True, slots=True)
class TwoWaters:
    """What the keeper tested in the tank and in the new water, as far as they did.

    Parameters
    ----------
    tank_ph, new_ph : float, optional
        Acidity. [-]
    tan_mg_l : float, optional
        Total ammonia of the tank, as nitrogen. [mg/L]
    tank_c, new_c : float, optional
        Temperature. [°C]
    tank_dkh, new_dkh : float, optional
        Carbonate hardness. [dKH]
    """

    tank_ph: float | None = None
    new_ph: float | None = None
    tan_mg_l: float | None = None
    tank_c: float | None = None
    new_c: float | None = None
    tank_dkh: float | None = None
    new_dkh: float | None = None


@dataclass(frozen=True, slots=True)
class WaterCheck:
    """What the tested values say of the way down.

    Parameters
    ----------
    ammonia : RescueStep or None
        The first exchange, at the acidity after mixing; None where a test is missing.
    reserve : KhReserve or None
        Carbonate hardness that the nitrate stands for; None without the new water's.
    tested : TwoWaters
        As given.
    """

    ammonia: RescueStep | None
    reserve: KhReserve | None
    tested: TwoWaters


def check_water(found: CatchUp, tested: TwoWaters) -> WaterCheck:
    """Check a way down against what was tested besides nitrate.

    Parameters
    ----------
    found : CatchUp
        The plan.
    tested : TwoWaters
        What is known of the two waters.

    Returns
    -------
    WaterCheck
        Ammonia after the first exchange and the hardness spent.

    Notes
    -----
    The first exchange meets the most ammonia; each later one needs its own test, as
    fish and filter go on in between.
    """
    reserve = None
    if tested.new_dkh is not None:
        source = found.habit.source_mg_l
        reserve = kh_reserve(found.start_mg_l.estimate, source, tested.new_dkh)
    return WaterCheck(_ammonia(found, tested), reserve, tested)


def _ammonia(found: CatchUp, tested: TwoWaters) -> RescueStep | None:
    """Judge the first exchange, where enough was tested."""
    if not found.turns or tested.tan_mg_l is None:
        return None
    if tested.tank_ph is None or tested.new_ph is None:
        return None
    warm = 25.0 if tested.tank_c is None else tested.tank_c
    return rescue_step(
        found.turns[0].fraction,
        tan_mg_l=tested.tan_mg_l,
        tank_ph=tested.tank_ph,
        new_ph=tested.new_ph,
        tank_c=warm,
        new_c=warm if tested.new_c is None else tested.new_c,
        tank_dkh=tested.tank_dkh,
        new_dkh=tested.new_dkh,
    )
