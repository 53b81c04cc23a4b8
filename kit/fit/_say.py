"""Plain sentences of a fit: what was found, supposed, and cannot be told."""

from __future__ import annotations

import re

import numpy as np

from kit.balance import Exchanged
from kit.fit._alike import KIT, SOURCE
from kit.fit._bands import KitView
from kit.fit._beforehand import KIT_BIAS, USUAL_YIELD, Beforehand
from kit.fit._estimate import Fitted, quantile_band, usual_noise
from kit.fit._ledger import Ledger
from kit.fit._result import Alike, Estimate
from kit.fit._run import Run
from kit.logbook import Test
from kit.rounding import decimals_for, plain, say_band, say_range

__all__ = [
    "alike_said",
    "assumptions",
    "best_test",
    "bias_said",
    "odd_readings",
    "order_said",
    "rate_said",
    "restarts_said",
    "source_said",
    "volume_said",
]

_ODD = 4.0
_SAME = 0.95
_SAID = {KIT}
_WORTH_SAYING = 0.2
_DROP = -3.0
_ROUGH = 8
_SHORT_DAYS = 28
_WIDER = 1.15
_MIXED = re.compile(r"dilut|\bparts?\b|\btimes\s+\d", re.IGNORECASE)


def _said(e: Estimate, unit: str) -> str:
    return say_band(e.estimate, e.low, e.high, unit)


def rate_said(run: Run, rate: Estimate, usual: Estimate) -> list[str]:
    """Sentences on the rate itself."""
    ledger, kit, fitted = run.ledger, run.kit, run.fitted
    n = len(ledger.tests)
    name = (
        "Nitrate rises"
        if ledger.source.known
        else "Counting what the new water brings, nitrate rises"
    )
    out = []
    if rate.low <= 0.0 <= rate.high:
        out.append(
            f"No rise can be told from this log: it is {_said(rate, 'mg/L a day')}, "
            f"from {n} tests, and the band holds none at all."
        )
    elif rate.high < 0.0:
        out.append(
            f"Nitrate falls by itself: {_said(rate, 'mg/L a day')}, from {n} tests. "
            "Something takes up more than the food brings, or exchanges are missing "
            "from the log."
        )
    else:
        out.append(
            f"{name} about {_said(rate, 'mg/L a day')}, the average over "
            f"{_span(fitted)}, from {n} tests."
        )
    if run.losses is not None:
        out.append(_loss_said(quantile_band(100.0 * run.losses), usual))
    elif _differs(usual, rate):
        out.append(
            "No two weeks are alike: what lies ahead may rise by "
            f"{_as_fine(usual, rate)} mg/L a day, and plans count with that."
        )
    if n < _ROUGH:
        out.append(f"This is rough: {n} tests only.")
    if not any(isinstance(e.what, Exchanged) for e in ledger.events):
        out.append(
            "No exchange of known size stands among the tests; if water was changed, "
            "the true rise is larger."
        )
    return out + _allowed_said(rate, fitted, kit)


def _loss_said(percent: Estimate, usual: Estimate) -> str:
    """Say what part of the nitrate is lost each day, and what plans make of it."""
    return (
        f"The rise slows as nitrate climbs, as if each day {_said(percent, '%')} of "
        "what is there were lost. Deep sand and slow filters can do this; exchanges "
        "that were not logged look the same. Before that loss the tank makes "
        f"{_said(usual, 'mg/L a day')}; plans count with both."
    )


def _span(fitted: Fitted) -> str:
    """Name the time between the first used test and the last, gaps left out."""
    memory = fitted.columns.readings.memory
    days = 0 if memory is None else round(float(memory.days.sum()))
    return f"{days} days" if days < _SHORT_DAYS else f"{round(days / 7)} weeks"


def _as_fine(usual: Estimate, rate: Estimate) -> str:
    """Write the usual rate's band with the figures of the mean's."""
    half = (rate.high - rate.low) / 2
    decimals = decimals_for(half) if half > 0 else 2
    ends = (plain(round(v, decimals), decimals) for v in (usual.low, usual.high))
    return " to ".join(ends)


def _differs(usual: Estimate, rate: Estimate) -> bool:
    """Whether the usual rate's band is clearly wider than the mean's."""
    wider = usual.high - usual.low > _WIDER * (rate.high - rate.low)
    return wider and _as_fine(usual, rate) != _as_fine(rate, rate)


def restarts_said(ledger: Ledger) -> list[str]:
    """Say where the level starts afresh."""
    return [f"The level starts afresh because {why}." for why in ledger.restarts]


def bias_said(biased: Estimate | None) -> list[str]:
    """Say what a steady error of the kit would make of the rate."""
    if biased is None:
        return []
    return [
        "If the kit reads steadily high or low, as kits do by "
        f"{100 * KIT_BIAS:.0f} % or so and at worst by twice that, anything from "
        f"{say_range(biased.low, biased.high)} mg/L a day fits; three checks on a "
        "known solution would settle it."
    ]


def _allowed_said(rate: Estimate, fitted: Fitted, kit: KitView) -> list[str]:
    """Sentence on what the bands alone allow, where that is the whole of it."""
    allowed = fitted.allowed
    if allowed is None or not kit.chart:
        return []
    low, high = allowed
    if not np.isfinite([low, high]).all():
        return ["The chart alone, read without any error, sets no limit to the rise."]
    if high - low < _WORTH_SAYING * (rate.high - rate.low):
        # A sliver says that the bands barely agree, not how sure the rate is.
        return []
    return [
        "Every reading can sit inside its band with no reading error at all: the chart "
        f"alone allows any rise from {say_range(low, high)} mg/L a day. The band "
        "given weighs in the usual error of an eye and of the tank's own days."
    ]


def source_said(ledger: Ledger, alike: tuple[Alike, ...]) -> list[str]:
    """Sentences on the new water."""
    if ledger.source.known or not _has_inflow(ledger):
        return []
    change = next((a.effect for a in alike if a.what == SOURCE), 0.0)
    return [
        "The nitrate of the new water is not in the log and is taken as 0, so the rise "
        "counts what the new water brings as if the tank made it. Each "
        f"10 mg/L in the new water would change the rise by {change:+.2g} mg/L a day. "
        "How low exchanges can bring the tank cannot be told until it is tested."
    ]


def _has_inflow(ledger: Ledger) -> bool:
    """Whether any new water came in at all."""
    tank = ledger.tank
    return tank.drip_l_day > 0 or any(
        not isinstance(e.what, Test) for e in ledger.events
    )


def alike_said(alike: tuple[Alike, ...], ledger: Ledger) -> list[str]:
    """Say what the tests cannot tell from the rate, and what each would change."""
    same = [a for a in alike if abs(a.correlation) > _SAME and a.what not in _SAID]
    if ledger.source.known:
        same = [a for a in same if a.what != SOURCE]
    if not same:
        return []
    parts = [
        f"{a.what} ({a.per} would change it by {a.effect:+.2g} mg/L a day)"
        for a in same
    ]
    return [
        "These tests cannot tell the rise from "
        + " or from ".join(parts)
        + (". Each is" if len(parts) > 1 else ". It is")
        + " taken as the log has it."
    ]


def order_said(
    unknown: tuple[Test, ...], before: Estimate | None, after: Estimate | None
) -> list[str]:
    """Sentences on tests that share their day with an exchange."""
    if not unknown or before is None or after is None:
        return []
    lines = ", ".join(str(t.line) for t in unknown[:6])
    more = f" and {len(unknown) - 6} more" if len(unknown) > 6 else ""
    apart = abs(before.estimate - after.estimate)
    one = len(unknown) == 1
    tests = "1 test shares its" if one else f"{len(unknown)} tests share their"
    where = f"line{'' if one else 's'} {lines}{more}"
    text = (
        f"{tests} day with an exchange and nothing says which "
        f"came first ({where}). Tested before it, the rise is "
        f"{before.estimate:.3g}; after it, {after.estimate:.3g} mg/L a day. The band "
        "given covers both."
    )
    if apart > 0.2 * max(abs(before.estimate), abs(after.estimate), 1e-9):
        text += " They differ enough to matter: note the time of test and exchange."
    return [text]


def odd_readings(fitted: Fitted, ledger: Ledger) -> list[str]:
    """Name readings far from what the ones before foretell."""
    out = []
    for z, t in zip(fitted.residuals, ledger.tests, strict=True):
        place = f"{t.file}, line {t.line} ({t.date}, read {t.raw.strip()})"
        if abs(z) > _ODD:
            side = "higher" if z > 0 else "lower"
            out.append(
                f"{place} is far {side} than the log foretells. It was kept; check it "
                "for a slip, and whether an exchange was left out."
                + (_dilution_said(t) if z < 0 else "")
            )
        elif z < _DROP:
            out.append(
                f"{place} is lower than the log foretells, as after an exchange that "
                "was not logged." + _dilution_said(t)
            )
    return out[:5]


def _dilution_said(test: Test) -> str:
    """Ask about a low reading whose note speaks of mixing with other water."""
    if not _MIXED.search(test.note):
        return ""
    return (
        f" Its note says {test.note.strip()!r}: the number was taken as written. If "
        "it is that of the mixed sample, write the tank's own level in its place."
    )


def volume_said(ledger: Ledger, litres_used: bool) -> list[str]:
    """Sentences on the volume."""
    tank = ledger.tank
    if tank.volume_l is None:
        return [
            "The tank's volume is not stated: the rise in mg/L holds, but no litres, "
            "costs or nitrate from a gram of food follow from it."
        ]
    if tank.volume_how == "label":
        text = (
            f"The volume of {tank.volume_l:g} L is the label's; with sand, rock and "
            "air gap a tank usually holds 80 to 93 % of it (common practice, no "
            "source)."
        )
        if litres_used:
            text += " Exchanges written in litres are then larger parts than reckoned."
        return [text]
    return []


def best_test(ledger: Ledger, kit: KitView, gate: str) -> str:
    """Name the one test that would help most."""
    if not ledger.source.known and _has_inflow(ledger):
        return "The one test that would help most: the nitrate of the new water."
    if not _tested_after(ledger):
        return (
            "The one test that would help most: a second one just after an exchange, "
            "on the same day as the one before it."
        )
    if kit.chart:
        return (
            "The one test that would help most: between two steps of the chart, read "
            "2 parts tank water with 1 part pure water and multiply by 1.5."
        )
    if gate:
        return (
            "What would help most: weigh the food, and feed clearly more or less for "
            "some weeks."
        )
    return (
        "What would help most: go on testing as now, and check the kit on a standard."
    )


def _tested_after(ledger: Ledger) -> bool:
    """Whether some tests come soon after an exchange (within a day)."""
    last = None
    for e in ledger.events:
        if isinstance(e.what, Test):
            if last is not None and e.at - last <= 1.0:
                return True
        elif isinstance(e.what, Exchanged):
            last = e.at
    return last is None


def assumptions(
    ledger: Ledger, kit: KitView, known: Beforehand, *, supposed: bool
) -> tuple[str, ...]:
    """Say what was taken as given."""
    source = ledger.source
    out = [
        "Exchanges happened as logged and none is missing; forgotten ones make the "
        "rise look too low.",
        _sizes_said(ledger, known),
        "Nitrate is counted as NO3."
        + (
            ""
            if kit.tried or known.kit_bias
            else " The kit has no steady error: a kit that reads 10 % high makes the "
            "rise 10 % too high, and no fit can see it. A standard can."
        ),
        "The rise is net: what food and everything else bring, less what plants, algae "
        "and deep media take up. It may stray from day to day and from fortnight to "
        "fortnight, but has no lasting trend.",
        _noise_said(kit, known),
    ]
    if source.known:
        out.append(
            f"The new water holds about {source.mean_mg_l:.2g} mg/L (from its tests)."
            if source.error_mg_l
            else f"The new water holds {source.mean_mg_l:g} mg/L (as stated)."
        )
    if ledger.tank.drip_l_day > 0:
        out.append(
            f"The drip ran as stated ({ledger.tank.drip_l_day:g} L a day less "
            f"{ledger.tank.evaporation_l_day:g} L evaporated), within "
            f"{100 * known.overflow_error:.0f} %. A drip that has slowed and nitrate "
            "lost in the tank look the same in a log."
        )
    if ledger.tank.top_up == "none" and ledger.tank.evaporation_l_day > 0:
        out.append(
            "Evaporated water is not made up until the next exchange, which fills the "
            "tank again."
        )
    given = USUAL_YIELD if supposed else known.feed_yield
    if given is not None:
        middle, sd = given
        out.append(
            f"Before the log is read a gram of food is taken to make {middle:g} mg of "
            f"nitrate, give or take {sd:g}, two times in three."
        )
    if known.kit_bias:
        out.append(
            f"The kit may read off by {100 * known.kit_bias:.0f} % or so, at worst by "
            "twice that; the band holds this."
        )
    if kit.supposed:
        out.append(kit.supposed)
    return tuple(out)


def _sizes_said(ledger: Ledger, known: Beforehand) -> str:
    """Say how exact the sizes of exchanges are taken to be."""
    rough = sum(e.rough for e in ledger.events)
    text = (
        f"Each exchange is right within {100 * known.exchange_error:.0f} % of its size"
    )
    if rough:
        text += (
            f", and within {100 * known.rough_error:.0f} % where only a rough amount "
            f"is written ({rough} of them)"
        )
    return text + "."


def _noise_said(kit: KitView, known: Beforehand) -> str:
    """Say what is known of the noise before the log is read."""
    usual = known.reader_noise is None and known.tank_noise is None
    middle = (known.reader_noise or usual_noise(kit)[0])[0]
    whose = "as is usual for such a kit" if usual else "as was set"
    return (
        f"One reading strays by about {100 * middle:.0f} % of the level, {whose}, and "
        "the tank's own days stray as well; the log then judges both."
    )
