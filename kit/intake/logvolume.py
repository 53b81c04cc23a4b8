"""The tank's volume and the log as a whole: litres need it to be a share."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.desk import LEAVE_OUT, Desk, Place, some
from kit.intake.rows import Records
from kit.intake.volumes import volume_on
from kit.logbook import Exchange
from kit.structure import Sheet

__all__ = ["ask_volume", "note_label", "note_volume_aside"]

_VOLUME_ASIDE: Final = re.compile(
    r"[0-9]{1,6}(?:[.,][0-9]{1,3})? ?(?:l|litres?|liters?|(?:us |uk )?gal(?:lons?)?)\b"
)
_LITRES: Final = r"([1-9][0-9]{0,6}(?:\.[0-9]{1,3})?) L"


def note_volume_aside(desk: Desk, sheet: Sheet) -> None:
    """Show a volume found in the title rows; it is not used without consent."""
    for aside in sheet.asides:
        text = " ".join(aside.cells)
        found = _VOLUME_ASIDE.search(words(text))
        if found:
            desk.tell(
                "note",
                "volume in a title row",
                Place(sheet.file, aside.line),
                seen=clip(text),
                expected="the water volume in tank.toml, or given with --volume",
                mend=f"{found[0]} is shown here and not used",
            )


def note_label(desk: Desk, records: Records) -> None:
    """Note once that litres were divided by the volume on the label."""
    swaps = [e for e in records.exchanges if e.litres is not None and e.fraction]
    if desk.tank.volume_how == "label" and swaps:
        first = swaps[0]
        desk.tell(
            "note",
            "volume from the label",
            Place(first.file, first.line),
            seen=f"{desk.tank.volume_l:.4g} L, the label's volume",
            expected="the measured water volume; glass, sand and rock take up some",
            mend="shares worked out from litres are too small until it is measured",
        )


def ask_volume(desk: Desk, records: Records) -> None:
    """Ask once for the tank's volume when litres give no share without it.

    Parameters
    ----------
    desk : Desk
        Its tank takes the answer.
    records : Records
        The whole log; its exchanges get their share where the answer gives it.
    """
    open_ = [
        e for e in records.exchanges if e.litres is not None and e.fraction is None
    ]
    if not open_ or desk.tank.volume_l is not None:
        return
    first = open_[0]
    lines = [e.line for e in open_ if e.file == first.file]
    answer = desk.ask(
        "volume missing",
        Place(first.file, first.line),
        seen=f"litres exchanged, but no water volume of the tank; {some(lines)}",
        expected="the tank's water volume, to give the share exchanged",
        mend='answer with the volume, such as "120 L"; or write it into tank.toml, or '
        "give it with --volume",
        choices=(
            Choice("not known", "the litres are listed, and no share is worked out"),
            Choice(LEAVE_OUT.answer, "the litres are not used; the days stay days of "
                   "an exchange of unknown size"),
        ),
        touches=("volume missing",),
        lines=lines,
        free=_LITRES,
    )  # fmt: skip
    if answer == LEAVE_OUT.answer:
        records.unknown |= {e.date for e in open_}
        records.exchanges = [e for e in records.exchanges if e not in open_]
    match = re.fullmatch(_LITRES, answer or "")
    if match is not None:
        desk.tank = replace(desk.tank, volume_l=float(match[1]))
        records.exchanges = [
            _shared(desk, e) if e in open_ else e for e in records.exchanges
        ]


def _shared(desk: Desk, swap: Exchange) -> Exchange:
    """Work out the share of one exchange; more than the whole tank is an error."""
    volume = volume_on(desk.tank, swap.date) or 0.0
    share = (swap.litres or 0.0) / volume
    if share <= 1:
        return replace(swap, fraction=share)
    desk.tell(
        "error",
        "more than the whole tank",
        Place(swap.file, swap.line),
        seen=f"{swap.litres:.4g} L",
        expected=f"at most the tank's {volume:.4g} L",
        mend="correct the volume exchanged, or the tank's volume",
    )
    return swap
