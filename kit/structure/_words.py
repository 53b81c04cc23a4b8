"""Words that show the structure of a file: names of columns, units, empty marks.

They are evidence for what a row is, nothing more: the meaning of a column is
decided in `kit.intake`.
"""

from __future__ import annotations

from typing import Literal

__all__ = ["MISSING", "ROLES", "UNITS", "Role"]

Role = Literal["date", "time", "number", "text", "note"]


def _words(*lines: str) -> frozenset[str]:
    return frozenset(word for line in lines for word in line.split())


MISSING = _words(
    "- -- --- – — ? . n/a na n.a. #n/a nd n.d. trace none null nil nan missing"
)
UNITS = _words(
    "mg/l mg/litre mg/liter mgl ppm ppb mmol/l µg/l μg/l ug/l g mg kg ml l lt ltr",
    "litre litres liter liters gal gallon gallons usgal ukgal % percent °c °f",
    "degc degf ms/cm µs/cm μs/cm us/cm dgh dkh ph h hh:mm hh:mm:ss hh.mm min minutes",
    "hours day days watt watts cm mm in inch inches l/day l/d l/h gal/day no3",
    "no3-n mg/lno3 mg/lasno3 mg/lno3-n asn mg/lasn yyyy-mm-dd dd/mm/yyyy mm/dd/yyyy",
    "dd.mm.yyyy dd/mm/yy mm/dd/yy dd.mm.yy tt.mm.jjjj text pinch pinches drops",
)
_BY_ROLE: dict[Role, frozenset[str]] = {
    "date": _words("date datum day tag when fecha"),
    "time": _words("time uhrzeit zeit heure hora clock"),
    "note": _words(
        "note notes comment comments remark remarks notiz notizen memo bemerkung",
        "bemerkungen kommentar observations",
    ),
    "number": _words(
        "nitrate nitrat no3 nitraten nitrite no2 ammonia po4 ph kh gh temp temperature",
        "food feed fed feeding percent exchanged exchange litres liters litre volume",
        "gallons drip amount reading value result water",
    ),
    "text": _words("kind task reader kit upkeep type who what tester"),
}
ROLES: dict[str, Role] = {
    word: role for role, words in _BY_ROLE.items() for word in words
}
