"""The volume in ``tank.toml``: stated, found by several ways, and its changes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any, Final, Literal, cast, get_args

from kit.findings import Choice, Problem
from kit.logbook import VolumeChange
from kit.rounding import plain, round_for_people
from kit.settings_file import Settings
from kit.units import Ambiguous, volume_factor_l
from kit.volume import WAYS, Found, found_lines, mean

__all__ = [
    "VOLUME_TABLES",
    "VOLUME_WAYS",
    "Answered",
    "amount",
    "volume_changes",
    "volume_of",
]

Answered = Callable[[Problem], str | None]
"""Looks up the keeper's answer to a question; None while unanswered."""

ChangeWay = Literal["filled", "drained", "evaporated"]

VOLUME_WAYS: Final = (
    "measured",
    "geometry",
    "tracer",
    "counted fill",
    "level fall",
    "salinity",
    "nitrate",
    "label",
)
VOLUME_TABLES: Final = ("volume", "volume_found", "volume_change")
_VOLUME_KEYS: Final = ("litres", "us_gallons", "imperial_gallons", "cubic_feet")
_LARGEST_L: Final = 10_000_000.0
_OLDEST: Final = dt.date(1950, 1, 1)
_MEAN, _STATED = "the ways found", "the stated litres"


def _gallon_question(
    found: Settings, place: tuple[str, str, int], value: Any
) -> Problem:
    key = place[1]
    return found.tell(
        "question",
        "which gallon",
        place,
        seen=f"{key} = {value}",
        expected=f"US or imperial gallons: {Ambiguous.GALLON.value}",
        mend=f"write us_{key} or imperial_{key}",
        choices=(
            Choice("US gallon", "3.785 L each", f"{_litres(value, 'us gal')} L"),
            Choice("imperial gallon", "4.546 L each", f"{_litres(value, 'imp gal')} L"),
        ),
    )


def _litres(value: Any, unit: str) -> str:
    factor = volume_factor_l(unit)
    usable = isinstance(value, int | float) and isinstance(factor, float)
    return f"{value * factor:.4g}" if usable else "?"


def amount(
    found: Settings,
    section: Mapping[str, Any],
    place: tuple[str, int],
    factor_of: Callable[[str], float | Ambiguous | None],
    answered: Answered | None,
    *,
    zero: bool,
) -> float | None:
    """Read a volume or a flow whose unit is the setting's own name.

    Parameters
    ----------
    found : Settings
        Takes the problems.
    section : mapping
        The table the setting stands in.
    place : tuple of (str, int)
        Its name, and which of that name.
    factor_of : callable
        Gives the factor of a name, None where it is no unit.
    answered : callable or None
        Gives the keeper's answer about a gallon.
    zero : bool
        Whether nothing is taken as well.

    Returns
    -------
    float or None
        In the kit's unit. [L] or [L/day]
    """
    name, nth = place
    keys = [k for k in section if factor_of(k) is not None]
    if len(keys) > 1:
        found.tell(
            "error",
            "given twice",
            (name, keys[1], nth),
            seen=" and ".join(keys),
            expected="one of them",
            mend="delete all but one",
        )
        return None
    for key in keys:
        limits = (0.0, _LARGEST_L)
        value = found.number(section, (name, key, nth), limits, "100", zero=zero)
        factor = factor_of(key)
        if value is not None and isinstance(factor, Ambiguous):
            question = _gallon_question(found, (name, key, nth), section[key])
            factor = _answered_factor(found, question, factor_of, key, answered)
        if value is not None and isinstance(factor, float):
            return value * factor
    return None


def _answered_factor(
    found: Settings,
    question: Problem,
    factor_of: Callable[[str], float | Ambiguous | None],
    key: str,
    answered: Answered | None,
) -> float | Ambiguous | None:
    """Use the keeper's answer about the gallon, where there is one."""
    answer = answered(question) if answered is not None else None
    if answer not in {c.answer for c in question.choices}:
        return None
    found.problems.remove(question)
    return factor_of(f"{str(answer).split()[0]} {key}")


def volume_of(found: Settings, answered: Answered | None) -> dict[str, Any]:
    """Read the volume: the stated one, or the mean of the ways it was found.

    Parameters
    ----------
    found : Settings
        The settings; takes the problems.
    answered : callable or None
        Gives the keeper's answer to a question.

    Returns
    -------
    dict
        ``volume_l``, ``volume_how`` and ``volume_error_percent`` of a `Tank`.
    """
    ways = _ways(found, answered)
    asked = bool(found.sections("volume_found"))
    section = found.section("volume")
    units = [k for k in section if volume_factor_l(k) is not None]
    known = (*_VOLUME_KEYS, "how", "error_percent", *units)
    found.unknown_keys(section, "volume", known)
    litres = amount(
        found, section, ("volume", 0), volume_factor_l, answered, zero=False
    )
    if not units and not asked:
        found.tell(
            "note",
            "no volume",
            ("volume", "", 0),
            seen="no water volume",
            expected="[volume] with litres = 342, or us_gallons, imperial_gallons",
            mend="measure it and write it; without it litres and feed cannot be used",
        )
    how = found.word(section, ("volume", "how", 0), VOLUME_WAYS) or ""
    place = ("volume", "error_percent", 0)
    error = found.number(section, place, (0.0, 100.0), "5")
    stated = _volume(litres, how, error)
    if not ways:
        return stated
    if litres is None:
        return _mean(found, ways)
    return _together(found, answered, ways, stated)


def _volume(litres: float | None, how: str, error: float | None) -> dict[str, Any]:
    return {"volume_l": litres, "volume_how": how, "volume_error_percent": error}


def _ways(found: Settings, answered: Answered | None) -> list[Found]:
    """Read every ``[[volume_found]]`` that can be weighed."""
    out: list[Found] = []
    for nth, section in enumerate(found.sections("volume_found")):
        units = [k for k in section if volume_factor_l(k) is not None]
        known = (*_VOLUME_KEYS, "how", "error_percent", "note", *units)
        found.unknown_keys(section, "volume_found", known, nth)
        place = ("volume_found", nth)
        litres = amount(found, section, place, volume_factor_l, answered, zero=False)
        how = found.word(section, ("volume_found", "how", nth), WAYS)
        where = ("volume_found", "error_percent", nth)
        error = found.number(section, where, (0.0, 100.0), "3", zero=False)
        found.text_of(section, ("volume_found", "note", nth), 200)
        if not units or not {"how", "error_percent"} <= section.keys():
            found.tell(
                "error",
                "incomplete",
                ("volume_found", "", nth),
                seen="a volume found without its litres, how or error_percent",
                expected='litres = 244, how = "geometry" and error_percent = 3',
                mend="add the missing line; a way without an error cannot be weighed",
            )
        if litres is not None and how is not None and error is not None:
            out.append(Found(how, litres, error / 100.0 * litres))
    return out


def _mean(found: Settings, ways: list[Found]) -> dict[str, Any]:
    """Take the weighted mean of the ways, and say so."""
    result = mean(ways)
    error = round(result.error_percent, 2)
    shown = plain(round_for_people(result.litres, result.sd_l))
    done = f"{shown} L is used, give or take {error:.2g} %"
    if not result.agree:
        done += (
            "; the ways lie farther apart than their errors allow, so the error is "
            f"made {result.widened:.1f} times wider: look them over"
        )
    elif len(ways) > 1:
        done += "; the ways agree, and each counts by how sure it is"
    found.tell(
        "note",
        "volume found" if result.agree else "volumes disagree",
        ("volume_found", "", 0),
        seen="; ".join(found_lines(ways)),
        expected="one or more ways to the volume, each with its error",
        mend=done,
    )
    return _volume(result.litres, result.how, error)


def _together(
    found: Settings,
    answered: Answered | None,
    ways: list[Found],
    stated: Mapping[str, Any],
) -> dict[str, Any]:
    """Join the stated litres to the ways found, or ask which holds."""
    litres, how = stated["volume_l"], stated["volume_how"]
    error = stated["volume_error_percent"]
    if how == "label":
        found.tell(
            "note",
            "label set aside",
            ("volume", "", 0),
            seen=f"{plain(round_for_people(litres))} L by the label, and other ways",
            expected="a label only where the water was never measured",
            mend="the label is not used beside a volume that was found",
        )
        return _mean(found, ways)
    if error:
        return _mean(
            found, [*ways, Found(how or "measured", litres, error / 100 * litres)]
        )
    answer = _ask_which(found, answered, ways, litres)
    if answer == _STATED:
        return dict(stated)
    return _mean(found, ways) if answer == _MEAN else _volume(None, "", None)


def _ask_which(
    found: Settings, answered: Answered | None, ways: list[Found], litres: float
) -> str | None:
    """Ask whether stated litres without an error hold, or the ways found."""
    shown = plain(round_for_people(litres))
    question = found.tell(
        "question",
        "two volumes",
        ("volume", "", 0),
        seen=f"{shown} L without an error, beside {'; '.join(found_lines(ways))}",
        expected="error_percent beside the litres, to weigh them with the other ways",
        mend="add error_percent to [volume], or answer which is used; until then no "
        "volume is",
        choices=(
            Choice(_MEAN, "the mean of the ways found is used"),
            Choice(_STATED, "the litres in [volume] are used alone", f"{shown} L"),
        ),
    )
    answer = answered(question) if answered is not None else None
    if answer not in {_MEAN, _STATED}:
        return None
    found.problems.remove(question)
    return answer


def volume_changes(
    found: Settings, today: dt.date, answered: Answered | None
) -> tuple[VolumeChange, ...]:
    """Read the lasting changes of the volume.

    Parameters
    ----------
    found : Settings
        The settings; takes the problems.
    today : datetime.date
        Day to judge future dates by.
    answered : callable or None
        Gives the keeper's answer to a question.

    Returns
    -------
    tuple of VolumeChange
        Oldest first.
    """
    changes: dict[dt.date, VolumeChange] = {}
    for nth, section in enumerate(found.sections("volume_change")):
        units = [k for k in section if volume_factor_l(k) is not None]
        known = ("date", "how", *_VOLUME_KEYS, *units)
        found.unknown_keys(section, "volume_change", known, nth)
        date = _change_day(found, section, nth, today)
        place = ("volume_change", nth)
        litres = amount(found, section, place, volume_factor_l, answered, zero=False)
        how = found.word(section, ("volume_change", "how", nth), get_args(ChangeWay))
        if not units or "how" not in section:
            found.tell(
                "error",
                "incomplete",
                ("volume_change", "", nth),
                seen="a volume change without its litres or how",
                expected='date, litres and how = "filled", "drained" or "evaporated"',
                mend="add the missing line",
            )
        if date is None or litres is None or how is None:
            continue
        if date in changes:
            _tell_same_day(found, nth, date)
            continue
        changes[date] = VolumeChange(date, litres, cast(ChangeWay, how))
    return tuple(changes[d] for d in sorted(changes))


def _change_day(
    found: Settings, section: Mapping[str, Any], nth: int, today: dt.date
) -> dt.date | None:
    date = found.day(section, ("volume_change", "date", nth))
    if date is None or _OLDEST <= date <= today + dt.timedelta(days=1):
        return date
    found.tell(
        "error",
        "future date" if date > today else "date too old",
        ("volume_change", "date", nth),
        seen=f"date = {date.isoformat()}",
        expected=f"a day from {_OLDEST.year} up to today, {today.isoformat()}",
        mend="correct the year, month or day",
    )
    return None


def _tell_same_day(found: Settings, nth: int, date: dt.date) -> None:
    found.tell(
        "error",
        "given twice",
        ("volume_change", "date", nth),
        seen=f"a second volume change on {date.isoformat()}",
        expected="one a day",
        mend="delete one; the first is used",
    )
