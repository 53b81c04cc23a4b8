"""Volume by a tape measure: sizes less what is not water, and the fall of the level."""

from __future__ import annotations

from typing import Final

from kit.errors import SumError
from kit.volume._found import Found, found_by, positive

__all__ = ["geometry", "level_fall"]

POROSITY: Final = 0.4
"""Water between the grains of sand; common practice, no source. [-]"""
ROCK_KG_L: Final = 2.6
"""Weight of a litre of rock without holes; common practice, no source. [kg/L]"""

_TAPE_CM: Final = 0.5
_FALL_CM: Final = 0.2
_SAND_PART: Final = 0.2
_POROSITY_SD: Final = 0.05
_ROCK_PART: Final = 0.1
_ROCK_SD: Final = 0.2
_UNSEEN: Final = 0.02  # bowed panes, filter boxes, roots, what no tape reaches
_UNSEEN_FALL: Final = 0.03  # what stands only below the part that fell
_FULL: Final = 1.05
_NARROW: Final = 0.6


def geometry(
    length_cm: float,
    width_cm: float,
    waterline_cm: float,
    *,
    sand_cm: float = 0.0,
    rock_kg: float = 0.0,
    glass_mm: float = 0.0,
    tape_cm: float = _TAPE_CM,
    porosity: float = POROSITY,
    rock_kg_l: float = ROCK_KG_L,
) -> Found:
    """Find the volume from sizes, less sand and rock.

    Use this when the tank is a box and a tape is at hand.

    Parameters
    ----------
    length_cm, width_cm : float
        Inside; or over the glass, with `glass_mm`. [cm]
    waterline_cm : float
        Height of the water over the floor of the tank; with `glass_mm` from the
        underside of the floor pane. [cm]
    sand_cm : float, optional
        Mean depth of the sand, taken as good to one part in five. [cm]
    rock_kg : float, optional
        Weight of rock, dry, taken as good to one part in ten. [kg]
    glass_mm : float, optional
        Thickness of the panes when sizes were taken over them. [mm]
    tape_cm : float, optional
        Standard error of each size. [cm]
    porosity : float, optional
        Part of the sand that is water. [-]
    rock_kg_l : float, optional
        Weight of a litre of rock. [kg/L]

    Returns
    -------
    Found
        Litres and standard error, with 2 % for what a tape does not see.

    Raises
    ------
    SumError
        A size is not above zero, or nothing is left for water.

    Notes
    -----
    ``V = L W H - (1 - porosity) L W s - m / rho``, all inside, in litres of 1000 cm3.

    Examples
    --------
    >>> round(geometry(120, 50, 45, sand_cm=5, rock_kg=20).litres)
    244
    """
    positive(length=length_cm, width=width_cm, waterline=waterline_cm)
    if sand_cm < 0 or rock_kg < 0 or glass_mm < 0:
        raise SumError("Sand, rock and glass cannot be less than nothing.")
    glass = glass_mm / 10.0
    positive(
        inside_length=length_cm - 2 * glass,
        inside_width=width_cm - 2 * glass,
        waterline_over_the_floor=waterline_cm - glass,
    )
    if sand_cm > waterline_cm - glass:
        raise SumError("The sand stands above the waterline; look the numbers over.")

    def litres(
        length: float,
        width: float,
        line: float,
        sand: float,
        holes: float,
        rock: float,
        density: float,
    ) -> float:
        area = (length - 2 * glass) * (width - 2 * glass) / 1000.0
        water = area * ((line - glass) - (1.0 - holes) * sand)
        return water - rock / density

    numbers = (
        (length_cm, tape_cm),
        (width_cm, tape_cm),
        (waterline_cm, tape_cm),
        (sand_cm, _SAND_PART * sand_cm),
        (porosity, _POROSITY_SD),
        (rock_kg, _ROCK_PART * rock_kg),
        (rock_kg_l, _ROCK_SD),
    )
    return found_by("geometry", litres, numbers, unseen=_UNSEEN)


def level_fall(
    drained_l: float,
    fall_cm: float,
    length_cm: float,
    width_cm: float,
    waterline_cm: float,
    *,
    sand_cm: float = 0.0,
    drained_part: float = 0.02,
    fall_sd_cm: float = _FALL_CM,
    porosity: float = POROSITY,
) -> Found:
    """Find the volume from how far the level falls when litres are drained.

    Use this at an exchange: it counts rock and filter boxes where the level fell.

    Parameters
    ----------
    drained_l : float
        Water taken out, counted. [L]
    fall_cm : float
        How far the level fell. [cm]
    length_cm, width_cm : float
        Inside. [cm]
    waterline_cm : float
        Height of the full level over the floor. [cm]
    sand_cm : float, optional
        Mean depth of the sand. [cm]
    drained_part : float, optional
        Standard error of the litres, as a part. [-]
    fall_sd_cm : float, optional
        Standard error of the fall. [cm]
    porosity : float, optional
        Part of the sand that is water. [-]

    Returns
    -------
    Found
        Litres and standard error, with 3 % for what stands below the part that fell.

    Raises
    ------
    SumError
        A number is not above zero, or more was drained than the whole area holds.

    Notes
    -----
    Free share ``a = D / (fall L W)`` of the area; ``V = a L W (H - (1 - porosity) s)``.

    Examples
    --------
    >>> round(level_fall(54, 10, 120, 50, 45, sand_cm=5).litres)
    227
    """
    positive(litres_drained=drained_l, fall_of_the_level=fall_cm)
    positive(length=length_cm, width=width_cm, waterline=waterline_cm)
    free = 1000.0 * drained_l / (fall_cm * length_cm * width_cm)
    if free > _FULL:
        raise SumError(
            f"{drained_l:g} L would make this area fall "
            f"{1000.0 * drained_l / (length_cm * width_cm):.1f} cm even if it were all "
            f"water, not {fall_cm:g} cm; look the numbers over."
        )
    if not 0 <= sand_cm < waterline_cm:
        raise SumError("The sand stands above the waterline; look the numbers over.")
    said: tuple[str, ...] = ()
    if free < _NARROW:
        said = (
            f"By these numbers only {100 * free:.0f} % of the area is free water where "
            "the level fell; that is little, look the litres and the fall over.",
        )

    def litres(
        drained: float, fall: float, line: float, sand: float, holes: float
    ) -> float:
        return drained / fall * (line - (1.0 - holes) * sand)

    numbers = (
        (drained_l, drained_part * drained_l),
        (fall_cm, fall_sd_cm),
        (waterline_cm, _TAPE_CM),
        (sand_cm, _SAND_PART * sand_cm),
        (porosity, _POROSITY_SD),
    )
    return found_by("level fall", litres, numbers, unseen=_UNSEEN_FALL, said=said)
