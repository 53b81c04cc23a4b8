"""The words that keepers put above their columns, and what each means."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from kit.celltext import words

__all__ = [
    "FILE_KINDS",
    "FILLERS",
    "NAMES",
    "SOURCE_WORDS",
    "STANDARD_NAMES",
    "file_kind",
    "plain_name",
]

FILLERS: Final = frozenset(
    [
        "the",
        "of",
        "in",
        "my",
        "our",
        "a",
        "an",
        "and",
        "level",
        "reading",
        "result",
        "test",
        "tested",
        "value",
        "measured",
        "measurement",
        "amount",
        "approx",
        "about",
        "est",
        "estimated",
        "given",
        "done",
        "how",
        "much",
        "were",
        "was",
        "this",
        "is",
        "actual",
        "reported",
        "at",
    ]
)
"""Words that change nothing about what a column holds."""

SOURCE_WORDS: Final = frozenset(
    [
        "tap",
        "source",
        "water",
        "new",
        "make",
        "up",
        "makeup",
        "ro",
        "rodi",
        "rain",
        "well",
        "mains",
        "inlet",
        "fill",
        "replacement",
        "supply",
        "faucet",
        "input",
        "incoming",
        "leitungswasser",
    ]
)
"""Beside "nitrate", these speak of the new water instead of the tank."""

_TABLE: Final = {
    "date": "date, day, when, datum, fecha, dato, jour, date time, datetime, "
    "timestamp, sample date, log date, date taken, entry date, date and time, date "
    "logged, date recorded, date sampled, päivä, dag, kuupäev, reading date",
    "time": "time, hour, clock, time of day, uhrzeit, heure, hora, zeit, tijd, clock "
    "time, sample time",
    "nitrate": "nitrate, no3, n03, nitrat, nitrato, nitraat, no3 nitrate, nitrate no3, "
    "tank nitrate, tank no3, aquarium nitrate, aquarium no3, display nitrate, tank "
    "water nitrate, water nitrate, nitrate tank, no3 tank, nitrat no3, nitrate ion",
    "feed": "food, feed, feeding, fed, food fed, dry food, futter, daily feed, daily "
    "food, ration, food weight, feed weight, fish food, food total, total food, "
    "total feed, flake, pellet, flake food, pellet food, comida, voer, nourriture, "
    "food quantity, feed quantity, weight food, food per day, feed per day",
    "pinches": "pinch, pinch fed, food pinch, pinch food, pinch of food, fed pinch, "
    "number pinch, feed pinch, feeding pinch",
    "food kind": "food kind, food type, type food, kind food, food name, which food, "
    "feed type, feed kind, fed with, fed what, what fed, food used",
    "exchange": "exchange, exchanged, water change, wc, water exchanged, water "
    "changed, changed, change, water exchange, pwc, partial water change, water "
    "replaced, replaced, wasserwechsel, tww, ww, drained, water removed, removed, "
    "water out, drained off, partial change, w/c, wtr chg, water chg, chg, change "
    "water, share changed, changed out, swapped, water swapped, tank changed, "
    "exchange share, wc share, part changed, part exchanged, cambio de agua, "
    "changement eau, old water out, new water, water in, new water in, taken out, "
    "water taken out, changed water, exchanged water, wc size, water change size, "
    "exchange size, size water change, size exchange, out, swap, renewed, water "
    "renewed, refreshed, partial wc, w c, water change wc, wc water change, weekly "
    "wc, weekly water change, water swap, tank water changed, tank water replaced",
    "exchange volume": "exchange volume, water change volume, wc volume, volume "
    "exchanged, volume changed, volume water change, volume exchange, volume wc, "
    "volume drained, drained volume, change volume, changed volume, volume removed, "
    "removed volume, volume replaced, replaced volume, exchanged volume",
    "backwash": "backwash, backwashed, backwash volume, filter backwash",
    "exchange kind": "exchange kind, exchange type, kind exchange, wc type, type wc, "
    "water change type, type exchange, type water change, kind water change",
    "drip": "drip, drip rate, drip setting, drip flow, drip in, dripped",
    "task": "upkeep, task, maintenance, job, work, upkeep task, cleaning, chore, "
    "wartung, maintenance task, maintenance log, task upkeep, filter cleaning, "
    "onderhoud, entretien",
    "note": "note, remark, comment, observation, memo, bemerkung, note comment, notiz, "
    "kommentar, what happened, detail, description, comment note, remark note, nota, "
    "remarque, event, other note, misc, anmerkung, general note, notes and "
    "observation",
    "reader": "reader, read by, tester, by, who, initial, measured by, person, keeper, "
    "tested by, taken by, reader name, name reader, logged by, recorded by",
    "kit": "kit, lot, kit lot, lot number, kit used, kit name, which kit, kit batch, "
    "reagent lot, kit brand",
    "tank volume": "tank volume, volume tank, system volume, aquarium volume, water "
    "volume, total volume, net volume, capacity, tank capacity, net water volume, "
    "water volume tank, tank water, total system volume, tank litre, tank gallon, "
    "volume of tank, beckenvolumen, tank size, aquarium size, size tank, system "
    "size, size of tank",
    "tank name": "tank, tank name, aquarium, aquarium name, which tank, vat, tank id, "
    "pond, system, becken, name tank, tank number, tank no",
    "sample": "sample, sample from, water sample, where, location, sample point, "
    "sample type, water type, type of water, sampled",
    "top-up": "top up, topup, top off, topoff, topped up, topped off, evaporation, top "
    "up water",
    "kind": "kind, type, method, category",
    "unit": "unit, basis, unit basis, nitrate unit, unit of nitrate, nitrate basis",
    "generic": "amount, value, result, reading, size, quantity, qty, number, "
    "concentration, conc, measure, measurement, level",
    "generic volume": "volume, vol",
}

_WORD: Final = re.compile(r"[a-zà-ÿ0-9]{1,40}")
_SHORT: Final = {
    "vol": "volume",
    "wtr": "water",
    "chg": "change",
    "chng": "change",
    "exch": "exchange",
    "aq": "aquarium",
    "qty": "quantity",
    "conc": "concentration",
}
_KEEP_S: Final = frozenset({"gas", "plus", "bus", "us", "was", "this", "is", "gros"})


def plain_name(text: str) -> str:
    """Bring a column's name to its bare words.

    Parameters
    ----------
    text : str
        Name without its unit.

    Returns
    -------
    str
        Singular lower-case words without fillers.

    Examples
    --------
    >>> plain_name("Nitrate level (test result)")
    'nitrate'
    """
    spoken = words(text).replace("w/c", "wc").replace("no.3", "no3")
    found = [_SHORT.get(w, _singular(w)) for w in _WORD.findall(spoken)]
    return " ".join(w for w in found if w not in FILLERS)


def _singular(word: str) -> str:
    if word == "pinches":
        return "pinch"
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        return word if word in _KEEP_S else word[:-1]
    return word


def _names() -> Mapping[str, str]:
    """Turn the table round, each name brought to its bare words."""
    out: dict[str, str] = {}
    for role, text in _TABLE.items():
        for name in text.split(","):
            out.setdefault(plain_name(name) or name.strip(), role)
    return MappingProxyType(out)


NAMES: Final = _names()
"""Bare name of a column to its role."""

_STANDARD_TABLE: Final = {
    "known": "known, known value, known nitrate, known no3, known strength, known "
    "level, known concentration, standard, standard nitrate, standard no3, standard "
    "value, standard strength, standard solution, solution, true, true value, true "
    "nitrate, true level, actual, made up, made up to, made up as, strength, nominal, "
    "expected, target, reference, reference value, should read, should be",
    "nitrate": "read, reading, readings, result, measured, test, tested, test result, "
    "kit read, kit reads, kit reading, kit result, kit says, shows, showed, found, "
    "nitrate read, read nitrate, measured nitrate, nitrate reading",
}

STANDARD_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        name.strip(): role
        for role, text in _STANDARD_TABLE.items()
        for name in text.split(",")
    }
)
"""Names of the two columns of a file of kit checks; other names as everywhere."""

FILE_KINDS: Final = MappingProxyType(
    {
        **dict.fromkeys(("tests", "test", "readings", "nitrate", "nitrates"), "tests"),
        **dict.fromkeys(("feedings", "feeding", "feed", "food"), "feedings"),
        **dict.fromkeys(
            ("exchanges", "exchange", "water changes", "water change", "changes", "wc"),
            "exchanges",
        ),
        **dict.fromkeys(("upkeep", "maintenance", "tasks"), "upkeep"),
        **dict.fromkeys(("source", "tap", "source water", "tap water"), "source"),
        **dict.fromkeys(
            ("standards", "standard", "kit checks", "kit check", "standard checks"),
            "standards",
        ),
    }
)
"""File names that say what a file holds."""


def file_kind(name: str) -> str:
    """Tell from its name what a file holds.

    Parameters
    ----------
    name : str
        File name.

    Returns
    -------
    str
        ``"tests"``, ``"feedings"``, ``"exchanges"``, ``"upkeep"``, ``"source"``,
        ``"standards"`` or ``"wide"`` when the name does not say.

    Examples
    --------
    >>> file_kind("Water-Changes.csv"), file_kind("log 2026.csv")
    ('exchanges', 'wide')
    """
    stem = words(name).rsplit(".", 1)[0]
    bare = " ".join(re.split(r"[ _-]{1,9}", stem))
    return FILE_KINDS.get(bare, "wide")
