"""What the kit understood: the last tests and exchanges, as written and as taken."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import ipywidgets as widgets

from kit.logbook import Exchange, Test
from kit.markup import Markup, element
from kit.panel import Panel, say
from kit.rounding import Output, format_volume, plain, round_for_people
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.units_switch import units_switch

__all__ = ["ReadingsTable"]

_LAST: Final = 8
Rows = tuple[tuple[str, ...], ...]


class ReadingsTable(Panel):
    """The last tests and exchanges of the picked logbook.

    Parameters
    ----------
    picker : FolderPicker
        Whose logbook to show; another pick changes the panel in place.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    """

    def __init__(self, picker: FolderPicker, output: Output = "metric") -> None:
        super().__init__()
        self.picker = picker
        self.units = units_switch()
        self.units.value = output
        self.tables = widgets.HTML()
        self._tests: Rows = ()
        self._exchanges: Rows = ()
        self.arrange(self.units, self.words, self.tables)
        self.units.observe(self.guarded(lambda _c: self.refresh()), names="value")
        picker.listen(self.guarded(self.refresh))
        self.guarded(self.refresh)()

    def fail(self, sentence: str) -> None:
        """Show a fault, and no rows of a file that is not read."""
        self.tables.value, self._tests, self._exchanges = "", (), ()
        super().fail(sentence)

    def refresh(self) -> None:
        """Show what was understood."""
        log, output = self.picker.log, self.units.value
        if log is None:
            self.fail("Nothing to show: no logbook is read. Pick one above.")
            return
        tests = tuple(_test_cells(t) for t in log.tests[-_LAST:])
        exchanges = tuple(
            _exchange_cells(e, log.tank.volume_l, output)
            for e in log.exchanges[-_LAST:]
        )
        self._tests, self._exchanges = tests, exchanges
        self.tell(
            [
                f"The last {len(tests)} of {len(log.tests)} tests and the last "
                f"{len(exchanges)} of {len(log.exchanges)} exchanges, as the kit "
                "understood them."
            ]
        )
        self.tables.value = _tables(tests, exchanges)

    def still(self) -> Markup:
        """Give verdict and tables."""
        tables = _tables(self._tests, self._exchanges)
        return element("div", say(self.verdict), tables)

    def text(self) -> str:
        """Verdict and each row as a line."""
        rows = self._tests + self._exchanges
        return "\n".join([*self.verdict, *("; ".join(row) for row in rows)])


def _tables(tests: Rows, exchanges: Rows) -> Markup:
    """Make both tables; none where there is nothing to show."""
    heads = ("Date", "You wrote", "Taken as", "File and line")
    shown = [
        _table(title, heads, rows)
        for title, rows in (("Tests", tests), ("Exchanges", exchanges))
        if rows
    ]
    return element("div", *shown)


def _table(title: str, heads: Sequence[str], rows: Sequence[tuple[str, ...]]) -> Markup:
    """Make one table with its caption."""
    table = element(
        "table",
        element("caption", title),
        element(
            "thead", element("tr", *(element("th", h, scope="col") for h in heads))
        ),
        element(
            "tbody",
            *(element("tr", *(element("td", c) for c in row)) for row in rows),
        ),
    )
    return element("div", table, class_="kit-rows", tabindex="0")


def _short(value: float) -> str:
    return plain(round_for_people(value, max(0.05 * abs(value), 0.05)))


def _test_cells(test: Test) -> tuple[str, ...]:
    """Give a test as written and as the range it allows."""
    low, high = test.low_mg_l, test.high_mg_l
    if high is None:
        taken = f"{_short(low)} mg/L NO3 or more"
    elif high > low:
        taken = f"{_short(low)} to {_short(high)} mg/L NO3"
    else:
        taken = f"{_short(low)} mg/L NO3"
    return (
        _when(test),
        test.raw,
        taken,
        f"{test.file}, {test.line}",
    )


def _exchange_cells(
    exchange: Exchange, volume_l: float | None, output: Output
) -> tuple[str, ...]:
    """Give an exchange as written and as the part it stands for."""
    if exchange.litres is not None:
        wrote = format_volume(exchange.litres, output)
    elif exchange.fraction is not None:
        wrote = f"{_short(100.0 * exchange.fraction)} %"
    else:
        wrote = "no size"
    if exchange.drip_l_day is not None:
        taken = f"a drip of {format_volume(exchange.drip_l_day, output)} a day"
    elif exchange.fraction is None:
        taken = "not known"
    else:
        taken = f"{_short(100.0 * exchange.fraction)} % of the water"
        if volume_l is not None:
            litres = round_for_people(exchange.fraction * volume_l)
            taken += f", {format_volume(litres, output)}"
    where = f"{exchange.file}, {exchange.line}"
    return (_when(exchange), wrote, f"{exchange.kind}: {taken}", where)


def _when(record: Test | Exchange) -> str:
    """Write the day, with the time where there is one."""
    if record.time is None:
        return record.date.isoformat()
    return f"{record.date.isoformat()} {record.time:%H:%M}"
