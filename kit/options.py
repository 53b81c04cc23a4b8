"""What command-line options say of a tank, checked like the settings file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal

from kit.basis import nitrate_factor
from kit.charts import CHARTS, rising_steps
from kit.findings import Problem, clip, in_reading_order
from kit.logbook import Tank
from kit.units import Ambiguous, flow_factor_l_day, refusal, volume_factor_l

__all__ = ["tank_from_options"]

_NUMBER: Final = re.compile(r"(-?\d{1,12}(?:\.\d{1,9})?)\s{0,9}(.{0,60})", re.DOTALL)
_HIGHEST_MG_L: Final = 500.0

Value = str | float | int | None
FactorOf = Callable[[str], float | Ambiguous | None]


@dataclass(slots=True)
class _Options:
    """Gathers what is wrong with the options."""

    problems: list[Problem] = field(default_factory=list)

    def wrong(self, option: str, kind: str, value: Any, expected: str) -> None:
        self.problems.append(
            Problem(
                level="error",
                kind=kind,
                file="command line",
                seen=f"{option} {clip(str(value))}",
                expected=expected,
                mend=f"give {option} again",
            )
        )

    def amount(
        self,
        option: str,
        value: Value,
        bare: str,
        factor_of: FactorOf,
        example: str,
        *,
        limits: tuple[float, float],
        zero: bool,
    ) -> float | None:
        """Read a number with or without a unit; None when absent or wrong."""
        if value is None:
            return None
        low, high = limits
        expected = f"a number up to {high:,.0f}, such as {example}"
        match = _NUMBER.fullmatch(str(value).strip())
        if match is None:
            self.wrong(option, "not a number", value, expected)
            return None
        factor = factor_of(match[2].strip() or bare)
        if isinstance(factor, Ambiguous):
            expected = f'"{match[1]} US gal" or "{match[1]} imp gal": {factor.value}'
            self.wrong(option, "which gallon", value, expected)
            return None
        if factor is None:
            why = refusal(match[2])
            self.wrong(option, "unknown unit", value, why or expected)
            return None
        number = float(match[1]) * factor
        if not (low <= number <= high) or (number == low and not zero):
            above = "from" if zero else "more than"
            expected = f"{above} {low:g} up to {high:,.0f}, such as {example}"
            self.wrong(option, "out of range", value, expected)
            return None
        return number


def _nitrate(text: str) -> float | None:
    unit = nitrate_factor(text)
    return None if unit is None else unit.factor


def _steps(found: _Options, value: Value) -> tuple[float, ...] | None:
    """Read ``"0,5,10"`` or the name of a kind of chart."""
    if value is None:
        return None
    text = " ".join(str(value).casefold().replace("-", " ").split())
    if text in CHARTS:
        return CHARTS[text]
    parts = [p.strip() for p in text.replace(";", ",").split(",")][:100]
    numbers = [float(p) for p in parts if re.fullmatch(r"\d{1,6}(\.\d{1,6})?", p)]
    steps = rising_steps(numbers) if len(numbers) == len(parts) else None
    if steps is None:
        named = ", ".join(f'"{n}"' for n in CHARTS)
        expected = f'rising numbers such as "0,5,10,20", or one of {named}'
        found.wrong("--kit-steps", "steps not rising", value, expected)
    return steps


def _same_day(found: _Options, value: str | None) -> Literal["before", "after"] | None:
    if value is None:
        return None
    text = str(value).strip().casefold()
    if text == "before":
        return "before"
    if text == "after":
        return "after"
    found.wrong("--same-day", "unknown word", value, '"before" or "after"')
    return None


def _kit(found: _Options, steps: Value, resolution: Value) -> Mapping[str, Any]:
    if steps is not None and resolution is not None:
        found.wrong(
            "--kit-steps",
            "given twice",
            f"{steps} and --kit-resolution {resolution}",
            "one of the two: a colour chart has steps, a meter a resolution",
        )
        return {}
    limits = (0.0, 100.0)
    read = found.amount(
        "--kit-resolution", resolution, "mg/L", _nitrate, "1", limits=limits, zero=False
    )
    # One kind of kit given by option replaces the other kind in the settings.
    if (card := _steps(found, steps)) is not None:
        return {"kit_steps_mg_l": card, "kit_resolution_mg_l": None}
    if read is not None:
        return {"kit_resolution_mg_l": read, "kit_steps_mg_l": None}
    return {}


def tank_from_options(
    base: Tank | None = None,
    *,
    volume: Value = None,
    source_nitrate: Value = None,
    kit_steps: Value = None,
    kit_resolution: Value = None,
    drip: Value = None,
    same_day: str | None = None,
    ceiling: Value = None,
) -> tuple[Tank, tuple[Problem, ...]]:
    """Lay command-line options over a tank's settings.

    Parameters
    ----------
    base : Tank, optional
        Settings read from a file; an empty tank when left out.
    volume : str or number, optional
        Litres, or with a unit such as ``"90 US gal"``. [L]
    source_nitrate, ceiling : str or number, optional
        Level as NO3, or with a unit such as ``"5 mg/L NO3-N"``. [mg/L]
    kit_steps : str, optional
        Steps such as ``"0,5,10"``, or the name of a kind of chart. [mg/L as NO3]
    kit_resolution : str or number, optional
        Smallest difference a meter shows. [mg/L as NO3]
    drip : str or number, optional
        Fresh water running in, or with a unit such as ``"4 mL/min"``. [L/day]
    same_day : str, optional
        ``"before"`` or ``"after"``.

    Returns
    -------
    Tank
        The settings with every usable option laid over them.
    tuple of Problem
        An error for each option that cannot be used; all in one pass.

    Examples
    --------
    >>> tank, problems = tank_from_options(volume="342", kit_steps="0,5,10,20")
    >>> tank.volume_l, tank.kit_steps_mg_l, problems
    (342.0, (0.0, 5.0, 10.0, 20.0), ())
    """
    found = _Options()
    water = (0.0, 10_000_000.0)
    level = (0.0, _HIGHEST_MG_L)
    given = {
        "volume_l": found.amount(
            "--volume", volume, "L", volume_factor_l, "342", limits=water, zero=False
        ),
        "source_nitrate_mg_l": found.amount(
            "--source-nitrate",
            source_nitrate,
            "mg/L",
            _nitrate,
            "5",
            limits=level,
            zero=True,
        ),
        "drip_l_day": found.amount(
            "--drip", drip, "L/day", flow_factor_l_day, "10", limits=water, zero=True
        ),
        "ceiling_mg_l": found.amount(
            "--ceiling", ceiling, "mg/L", _nitrate, "40", limits=level, zero=False
        ),
        "same_day": _same_day(found, same_day),
    }
    changes: dict[str, Any] = {k: v for k, v in given.items() if v is not None}
    if "volume_l" in changes:
        # How the file's volume was found, and its error, do not speak of this one.
        changes |= {"volume_how": "", "volume_error_percent": None}
    changes.update(_kit(found, kit_steps, kit_resolution))
    return replace(base or Tank(), **changes), in_reading_order(found.problems)
