"""Schedules: percent against interval as a map, and plans side by side.

`grid` is the long run for many habits at once, `trial` what is asked of a fitted tank,
`map` the plans of percent and interval, `shortlist` a few everyday plans compared.
`order` is what draining and filling do in which order, `equivalent` drips and batches
that do the same, `mixing` water that does not mix, `topup` evaporation, and `ways`
batches, backwashes and a drip together.
"""

from kit.schedule._cells import HEADS, offer_cells, offer_text
from kit.schedule._say import line_sentences, reach_sentences, shortlist_sentences

__all__ = [
    "HEADS",
    "line_sentences",
    "offer_cells",
    "offer_text",
    "reach_sentences",
    "shortlist_sentences",
]
