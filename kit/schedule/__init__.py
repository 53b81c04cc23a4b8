"""Schedules: percent against interval as a map, and plans side by side.

`grid` is the long run for many habits at once, `trial` what is asked of a fitted tank,
`map` the plans of percent and interval, `shortlist` a few everyday plans compared.
`order` is what draining and filling do in which order, `equivalent` drips and batches
that do the same, `mixing` water that does not mix, `topup` evaporation, and `ways`
batches, backwashes and a drip together.
"""

from kit.schedule._cells import HEADS, offer_cells, offer_text
from kit.schedule._say import (
    food_sentences,
    line_sentences,
    reach_sentences,
    reserve_sentences,
    shortlist_sentences,
)
from kit.schedule._values import shortlist_as_dict

__all__ = [
    "HEADS",
    "food_sentences",
    "line_sentences",
    "offer_cells",
    "offer_text",
    "reach_sentences",
    "reserve_sentences",
    "shortlist_as_dict",
    "shortlist_sentences",
]
