"""Facts of the tank: what another keeper asks first, each with its unit."""

from __future__ import annotations

from collections.abc import Sequence

from kit.fit import FitResult
from kit.logbook import Logbook, SourceTest, Tank
from kit.page._units import both_volumes
from kit.rounding import Output, format_flow, plain, round_for_people
from kit.subject import seen_in

__all__ = ["about", "facts_of", "kit_words"]


def about(value: float, half: float | None = None) -> str:
    """Write a number to two figures, or to what half its band leaves meaning in."""
    return plain(round_for_people(value, half or max(abs(value) * 0.05, 0.005)))


def facts_of(
    log: Logbook, result: FitResult, output: Output
) -> tuple[tuple[str, str], ...]:
    """Gather the facts.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.
    output : {"metric", "us", "imperial"}
        Whose units for volumes.

    Returns
    -------
    tuple of (str, str)
        Label and value.
    """
    tank = log.tank
    facts = [
        ("Water volume", _volume(tank, output)),
        ("Nitrate counted as", _basis(tank, output)),
        ("Test kit", kit_words(tank)),
        ("New water", _new_water(log, result)),
        ("Usual exchange", _habit(log, output)),
    ]
    if tank.drip_l_day > 0:
        facts.append(("Drip", format_flow(tank.drip_l_day, output)))
    if tank.evaporation_l_day > 0:
        flow = format_flow(tank.evaporation_l_day, output)
        facts.append(("Evaporation", flow))
    if tank.ceiling_mg_l is not None:
        facts.append(("Keeper's ceiling", f"{tank.ceiling_mg_l:g} mg/L NO3"))
    facts.append(("The log", _log(log, result)))
    return tuple(facts)


def _volume(tank: Tank, output: Output) -> str:
    if tank.volume_l is None:
        return "not stated"
    words = {"": "", "measured": ", measured", "label": ", off the label"}
    how = words.get(tank.volume_how, f", by {tank.volume_how}")
    if tank.volume_how.startswith("mean"):
        how = f", {tank.volume_how}"
    error = tank.volume_error_percent
    unsure = f", give or take {error:.2g} %" if error else ""
    return both_volumes(tank.volume_l, output) + how + unsure


def _basis(tank: Tank, output: Output) -> str:
    shows = tank.kit_basis or "which of the two is not stated"
    unit = "mg/L, the same as ppm" if output == "us" else "mg/L"
    return f"NO3 in {unit}, not NO3-N (the kit shows {shows})"


def kit_words(tank: Tank) -> str:
    """Name the kind of test kit.

    Parameters
    ----------
    tank : Tank
        With its kit.

    Returns
    -------
    str
        Such as ``"colour chart with steps 0, 5, 10 mg/L NO3"``.
    """
    if tank.kit_steps_mg_l:
        steps = ", ".join(f"{s:.3g}" for s in tank.kit_steps_mg_l)
        return f"colour chart with steps {steps} mg/L NO3"
    if tank.kit_resolution_mg_l:
        return f"meter read to {tank.kit_resolution_mg_l:.3g} mg/L NO3"
    return "not stated; readings taken as exact numbers"


def _new_water(log: Logbook, result: FitResult) -> str:
    """Say what the new water holds, and how that is known."""
    tests, stated = len(log.source), log.tank.source_nitrate_mg_l
    from_tests = f"{tests} test{'s' if tests != 1 else ''}"
    if result.refused is not None and tests:
        return f"nitrate from {from_tests}, listed below"
    if result.source_known and result.source_mg_l is not None and tests:
        level = about(result.source_mg_l, _half(log.source))
        return f"{level} mg/L NO3, from {from_tests}"
    if stated is not None:
        return f"{about(stated)} mg/L NO3, as stated"
    return "nitrate not known, taken as 0"


def _half(tests: Sequence[SourceTest]) -> float | None:
    """Half of what one reading of the new water leaves open. [mg/L]."""
    halves = [(t.high_mg_l - t.low_mg_l) / 2 for t in tests if t.high_mg_l is not None]
    return sum(halves) / len(halves) if halves and sum(halves) > 0 else None


def _habit(log: Logbook, output: Output) -> str:
    seen = seen_in(log)
    if seen is None:
        return "none that repeats in the log"
    fraction, days = seen.fraction[1], seen.interval_days[1]
    volume = log.tank.volume_l
    litres = "" if volume is None else f", {both_volumes(fraction * volume, output)},"
    every = "every day" if days == 1 else f"every {about(days)} days"
    return f"{about(100 * fraction)} %{litres} {every}"


def _log(log: Logbook, result: FitResult) -> str:
    swaps = sum(e.kind != "drip change" for e in log.exchanges)
    used, tests = len(result.tests), len(log.tests)
    some = f"{tests} test{'s' if tests != 1 else ''}"
    some += "" if used == tests else f" ({used} used)"
    return f"{some}, {swaps} exchange{'s' if swaps != 1 else ''}"
