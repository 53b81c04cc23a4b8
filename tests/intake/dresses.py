"""One invented log, written in many dresses, and damaged in many ways."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

TODAY = dt.date(2026, 11, 25)
LITRES = 120.0
US_GALLON_L = 231 * 2.54**3 / 1000  # NIST Handbook 44, appendix C
NO3_PER_N = 4.4268  # molmass; see test_readings


@dataclass(frozen=True)
class Row:
    """One day: readings as text, amounts as numbers."""

    day: dt.date
    time: str = ""
    nitrate: str = ""
    food: float | None = None
    litres: float | None = None
    note: str = ""


def weeks() -> tuple[Row, ...]:
    """Thirteen weeks: a test on Sundays, food daily in part, water on Mondays."""
    rows = []
    readings = [
        "18",
        "22",
        "<20",
        "25",
        "20-30",
        "24",
        "27",
        ">40",
        "31",
        "28",
        "26",
        "33.5",
        "30",
    ]
    for week, reading in enumerate(readings):
        sunday = dt.date(2026, 1, 18) + dt.timedelta(days=7 * week)
        rows.append(Row(sunday, "18:00", reading, 0.5))
        note = "filter rinsed" if week % 4 == 0 else ""
        monday = sunday + dt.timedelta(days=1)
        rows.append(Row(monday, "19:30", "", 0.75, 30.0 + week, note))
    return tuple(rows)


def iso(day: dt.date) -> str:
    return day.isoformat()


def day_first(day: dt.date) -> str:
    return f"{day.day:02d}.{day.month:02d}.{day.year}"


def month_first(day: dt.date) -> str:
    return f"{day.month}/{day.day}/{day.year}"


def named(day: dt.date) -> str:
    months = [
        "Jan",
        "Feb",
        "Mar",
        "Apr",
        "May",
        "Jun",
        "Jul",
        "Aug",
        "Sep",
        "Oct",
        "Nov",
        "Dec",
    ]
    return f"{day.day} {months[day.month - 1]} {day.year}"


def short(day: dt.date) -> str:
    return f"{day.day}/{day.month}/{day.year % 100:02d}"


def counted(day: dt.date) -> str:
    return str((day - dt.date(1899, 12, 30)).days)


@dataclass(frozen=True)
class Dress:
    """How the same log is written."""

    delimiter: str = ","
    newline: str = "\n"
    encoding: str = "utf-8"
    date: Callable[[dt.date], str] = iso
    comma: bool = False
    nitrogen: bool = False
    gallons: bool = False
    percent: bool = False
    order: Sequence[int] = (0, 1, 2, 3, 4, 5)
    blanks: bool = False
    title: bool = False
    total: bool = False
    units_row: bool = False
    headers: Sequence[str] = field(default=())


def _number(x: float, dress: Dress) -> str:
    text = f"{x:.9g}"
    return text.replace(".", ",") if dress.comma else text


def _reading(text: str, dress: Dress) -> str:
    if not dress.nitrogen and not dress.comma:
        return text
    scale = NO3_PER_N if dress.nitrogen else 1.0
    sign = text[:1] if text[:1] in "<>" else ""
    parts = text[len(sign) :].split("-")
    return sign + "-".join(_number(float(p) / scale, dress) for p in parts if p)


def _water(row: Row, dress: Dress) -> str:
    if row.litres is None:
        return ""
    if dress.percent:
        return _number(100 * row.litres / LITRES, dress)
    return _number(row.litres / (US_GALLON_L if dress.gallons else 1), dress)


def _heads(dress: Dress) -> list[str]:
    if dress.headers:
        return list(dress.headers)
    basis = "NO3-N" if dress.nitrogen else "NO3"
    water = "%" if dress.percent else "US gal" if dress.gallons else "L"
    if dress.units_row:
        return ["date", "time", "nitrate", "food", "exchanged", "note"]
    return [
        "date",
        "time",
        f"nitrate (mg/L {basis})",
        "food (g)",
        f"exchanged ({water})",
        "note",
    ]


def written(rows: Sequence[Row], dress: Dress) -> bytes:
    """Write the log in one dress."""
    lines: list[list[str]] = []
    if dress.title:
        lines += [["Reed tank, a log"], [""]]
    lines.append([_heads(dress)[i] for i in dress.order])
    if dress.units_row:
        units = ["", "", "(mg/L NO3)", "(g)", "(L)", ""]
        lines.append([units[i] for i in dress.order])
    for row in rows:
        food = "" if row.food is None else _number(row.food, dress)
        reading = _reading(row.nitrate, dress) if row.nitrate else ""
        cells = [dress.date(row.day), row.time, reading, food]
        cells += [_water(row, dress), row.note]
        lines.append([cells[i] for i in dress.order])
        if dress.blanks and row.note:
            lines.append([""] * len(cells))
    if dress.total:
        total = ["Total", "", "", "16.25", "", ""]
        lines.append([total[i] for i in dress.order])
    quoted = [
        dress.delimiter.join(
            f'"{c}"' if dress.delimiter in c or '"' in c else c for c in cells
        )
        for cells in lines
    ]
    text = dress.newline.join(quoted) + dress.newline
    return text.encode(dress.encoding)


DRESSES = {
    "plain": Dress(),
    "CRLF": Dress(newline="\r\n"),
    "CR": Dress(newline="\r"),
    "byte order mark": Dress(encoding="utf-8-sig"),
    "UTF-16": Dress(encoding="utf-16"),
    "semicolon": Dress(delimiter=";"),
    "tab": Dress(delimiter="\t"),
    "decimal comma": Dress(delimiter=";", comma=True),
    "quoted decimal comma": Dress(comma=True),
    "columns turned round": Dress(order=(5, 4, 3, 2, 1, 0)),
    "columns mixed": Dress(order=(2, 0, 4, 5, 1, 3)),
    "blank rows": Dress(blanks=True),
    "title rows": Dress(title=True),
    "totals": Dress(total=True),
    "units row": Dress(units_row=True),
    "US gallons": Dress(gallons=True),
    "percent": Dress(percent=True),
    "nitrogen": Dress(nitrogen=True),
    "day first": Dress(date=day_first),
    "month first": Dress(date=month_first),
    "month names": Dress(date=named),
    "short years": Dress(date=short),
    "day counts": Dress(date=counted),
    "other names": Dress(
        headers=("Datum", "Time", "NO3 mg/L (as NO3)", "Fed g", "WC L", "Remarks")
    ),
    "all at once": Dress(
        delimiter=";",
        newline="\r\n",
        encoding="utf-8-sig",
        date=day_first,
        comma=True,
        gallons=True,
        nitrogen=True,
        order=(0, 2, 1, 4, 3, 5),
        title=True,
        total=True,
        blanks=True,
    ),
}


@dataclass(frozen=True)
class Damage:
    """A damaged copy of the plain log: what was done, on which line, to what."""

    name: str
    line: int
    data: bytes


def _cell(lines: list[list[str]], at: int, column: int, text: str) -> bytes:
    changed = [list(row) for row in lines]
    changed[at][column] = f'"{text}"' if "," in text else text
    return "\n".join(",".join(row) for row in changed).encode() + b"\n"


def _cell_changes(column: int, text: str, dress: Dress) -> Iterator[tuple[str, str]]:
    """Give the ways in which one cell is damaged; each is a different text."""
    if column == 0:
        year, month, day = text.split("-")
        yield "day and month swapped", f"{year}-{day}-{month}"
        yield "day first", f"{day}/{month}/{year}"
        yield "month first", f"{month}/{day}/{year}"
        yield "letter in date", text.replace("0", "O", 1)
        yield "next century", "21" + text[2:]
        yield "short year", f"{day}.{month}.{year[2:]}"
        yield "no year", f"{day}.{month}."
        yield "word", "last Sunday"
        yield "no date", ""
        yield "lost", "#######"
    elif column == 1:
        yield "no such time", "25:99"
        yield "letter in time", text.replace("0", "O")
    else:
        yield from _number_changes(column, text)
    if column == 4 and dress.percent:
        yield "parts of one", f"{float(text) / 100:.4g}"
        yield "litres", f"{text} L"
        yield "a third", "about a third"


def _number_changes(column: int, text: str) -> Iterator[tuple[str, str]]:
    bare = text.strip("<>").split("-")[0]
    yield "letter for digit", bare[:-1] + "O"
    yield "letter in front", "l" + bare
    yield "minus", f"-{bare}"
    yield "true minus", f"\u2212{bare}"
    yield "formula", "=SUM(A1:A9)"
    yield "lost formula", "#REF!"
    yield "two numbers", f"{bare} {bare}"
    yield "thousands", f"{bare.split('.')[0]},000"
    yield "thousand times", f"{bare}000"
    yield "words", "a lot"
    if column == 2:
        yield "nitrogen", f"{bare} NO3-N"
        yield "unknown unit", f"{bare} dKH"
        yield "not seen", "nd"
    if column == 3:
        yield "pinch", "1 pinch"
        yield "gr", f"{bare} gr"
        yield "yes", "yes"
    if column == 4:
        yield "gallons", f"{bare} gal"
        yield "part of one for percent", "0.25 %"
        yield "yes", "x"
        yield "buckets", "3 buckets"
        yield "more than the tank", "130"
        yield "more than all", "110 %"


def damages(dress: Dress) -> Iterator[Damage]:
    """Give every damaged copy of the log in a plain dress with commas."""
    lines = [r.split(",") for r in written(weeks(), dress).decode().split("\n")[:-1]]
    for at, row in enumerate(lines[1:], 1):
        for column, text in enumerate(row[:5]):
            if text:
                for name, changed in _cell_changes(column, text, dress):
                    data = _cell(lines, at, column, changed)
                    yield Damage(f"{name} in {column}", at + 1, data)
        yield from _row_damages(lines, at)


def _row_damages(lines: list[list[str]], at: int) -> Iterator[Damage]:
    def join(rows: list[list[str]]) -> bytes:
        return "\n".join(",".join(r) for r in rows).encode() + b"\n"

    row = lines[at]
    yield Damage("line twice", at + 2, join([*lines[: at + 1], row, *lines[at + 1 :]]))
    shifted = [row[0], "", *row[1:]]
    yield Damage(
        "shifted right", at + 1, join([*lines[:at], shifted, *lines[at + 1 :]])
    )
    moved = [row[0], row[1], *row[3:], ""]
    yield Damage("shifted left", at + 1, join([*lines[:at], moved, *lines[at + 1 :]]))
    short_row = row[:2]
    yield Damage("cut short", at + 1, join([*lines[:at], short_row, *lines[at + 1 :]]))
