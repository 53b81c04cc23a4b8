"""``plan --shortlist``: everyday plans that hold the ceiling, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from kit.errors import KitError
from kit.rounding import Output

if TYPE_CHECKING:
    from kit.logbook import Logbook
    from kit.subject import Subject

__all__ = ["everyday_plans"]


def everyday_plans(
    log: Logbook,
    subject: Subject,
    *,
    chance: float,
    max_percent: float | None,
    output: Output,
) -> tuple[Sequence[str], dict[str, Any]]:
    """Set everyday plans side by side.

    Parameters
    ----------
    log : Logbook
        The log, for its ceiling, prices, minutes and temperatures.
    subject : Subject
        Its fitted tank, with the drip to run.
    chance : float
        Chance wanted that a single peak stays under the ceiling. [-]
    max_percent : float or None
        Largest exchange the keeper will do at once. [%]
    output : {"metric", "us", "imperial"}
        Whose units.

    Returns
    -------
    sequence of str
        Cautions, then the plans in words.
    dict
        The same as plain values.

    Raises
    ------
    KitError
        The log states no ceiling.
    """
    from kit import cautions, schedule, words
    from kit.schedule.line import terms_of
    from kit.schedule.shortlist import shortlist
    from kit.schedule.trial import seen_l_month, trial_of

    if log.tank.ceiling_mg_l is None:
        message = "A shortlist needs your ceiling: add --ceiling, in mg/L."
        raise KitError(message)
    trial, terms = trial_of(subject, log.tank.ceiling_mg_l), terms_of(log.tank)
    offers = shortlist(trial, terms, chance=chance, max_percent=max_percent)
    found = schedule.shortlist_sentences(
        trial,
        offers,
        terms,
        chance=chance,
        max_percent=max_percent,
        seen_l_month=seen_l_month(subject),
        output=output,
    )
    first = schedule.reserve_sentences(trial, source_known=subject.source_known)
    if subject.backwash_l_day > 0.0:
        first += (words.backwash_sentence(subject.backwash_l_day, output),)
    said = [*cautions.for_page(*cautions.SCHEDULE), "", *first, found[0], ""]
    rows = schedule.offer_text(offers, terms, output)
    said += [*rows, "", *found[1:]] if rows else found[1:]
    return said, schedule.shortlist_as_dict(trial, offers, first + found)
