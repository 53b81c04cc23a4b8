"""Files as keepers have them: what is read, what is set aside, what is told."""

from __future__ import annotations

import json

import pytest

from kit.structure import Sheet, Table, parse_sheet, sheet_as_dict

Told = list[tuple[str, str, int | None]]


def read(text: str | bytes) -> Sheet:
    data = text if isinstance(text, bytes) else text.encode("utf-8")
    return parse_sheet(data, "log.csv")


def told(sheet: Sheet) -> Told:
    return [(p.level, p.kind, p.line) for p in sheet.problems]


def rows(table: Table) -> list[tuple[int, tuple[str, ...]]]:
    return [(record.line, record.cells) for record in table.records]


def test_semicolon_with_decimal_comma() -> None:
    sheet = read("Date;NO3\n01.02.2024;12,5\n")
    assert sheet.problems == ()
    assert sheet.delimiter == ";"
    assert sheet.tables[0].header == ("Date", "NO3")
    assert rows(sheet.tables[0]) == [(2, ("01.02.2024", "12,5"))]


def test_comma_file_with_bare_decimal_commas_says_so_on_each_row() -> None:
    sheet = read("Date,NO3\n2024-01-01,12,5\n2024-01-08,13,5\n2024-01-15,10,0\n")
    assert told(sheet) == [
        ("error", "header width", 1),
        ("error", "long row", 2),
        ("error", "long row", 3),
        ("error", "long row", 4),
    ]
    assert "12,5 looks like a decimal comma" in sheet.problems[1].seen
    assert '"12,5"' in sheet.problems[1].mend
    assert sheet.tables[0].unsure == {2, 3, 4}


def test_one_row_with_a_decimal_comma() -> None:
    text = "Date,NO3,Food\n2024-01-01,12,1\n2024-01-08,13,5 mg/L,1\n2024-01-09,9,1\n"
    sheet = read(text)
    assert told(sheet) == [("error", "long row", 3)]
    assert "13,5 mg/L looks like a decimal comma" in sheet.problems[0].seen
    assert sheet.tables[0].unsure == {3}
    assert [line for line, _ in rows(sheet.tables[0])] == [2, 3, 4]


def test_title_rows_are_kept_aside_with_one_note() -> None:
    sheet = read(
        "My 120 L tank\nVolume:,120 L\nExported,2024-05-01\n\n"
        "Date,NO3 (mg/L),Note\n2024-01-01,10,\n2024-01-08,20,a\n"
    )
    assert told(sheet) == [("note", "title rows", 1)]
    assert sheet.problems[0].lines == (1, 2, 3)
    assert [(a.line, a.cells[0]) for a in sheet.asides] == [
        (1, "My 120 L tank"),
        (2, "Volume:"),
        (3, "Exported"),
    ]
    assert sheet.tables[0].header_line == 5
    assert rows(sheet.tables[0])[0] == (6, ("2024-01-01", "10", ""))


def test_pairs_of_words_over_a_table_of_two_columns() -> None:
    sheet = read("Tank:;Quarry\nVolume:;342\nDate;NO3\n01.02.2024;12,5\n")
    assert told(sheet) == [("note", "title rows", 1)]
    assert sheet.tables[0].header == ("Date", "NO3")


def test_group_names_over_the_names() -> None:
    sheet = read(
        "Water,,Feeding,\nDate,NO3,Food,Note\n,mg/L,g,\n2024-01-01,10,1,\n2024-01-08,20,1,x\n"
    )
    assert told(sheet) == [("note", "title rows", 1), ("note", "units row", 3)]
    table = sheet.tables[0]
    assert (table.header_line, table.units_line) == (2, 3)
    assert table.units == ("", "mg/L", "g", "")
    assert [line for line, _ in rows(table)] == [4, 5]


@pytest.mark.parametrize(
    "units", [";mg/l;g;%;", "dd.mm.yyyy;(mg/L);[g];%;text", ";mg/L as NO3;g/day;%;"]
)
def test_units_row(units: str) -> None:
    sheet = read(
        f"Date;Nitrat;Futter;Wechsel;Notiz\n{units}\n01.02.2024;12,5;0,5;25;\n"
    )
    assert told(sheet) == [("note", "units row", 2)]
    assert sheet.tables[0].units == tuple(units.split(";"))
    assert len(sheet.tables[0].records) == 1


@pytest.mark.parametrize("row", ["filter,Sam,new pads", "g,Sam,ok", "ok,l,mg"])
def test_a_row_of_words_in_a_table_of_words_is_a_record(row: str) -> None:
    sheet = read(f"task,who,how\n{row}\nglass,Kim,by hand\n")
    assert sheet.problems == ()
    assert rows(sheet.tables[0])[0] == (2, tuple(row.split(",")))


def test_second_row_of_names_is_left_out_by_name() -> None:
    sheet = read("Date,NO3,Food\nday,reading,amount\n2024-01-01,10,1\n2024-01-02,9,1\n")
    assert told(sheet) == [("error", "second header row", 2)]
    assert [line for line, _ in rows(sheet.tables[0])] == [3, 4]
    assert sheet.asides[0].cells == ("day", "reading", "amount")


def test_repeated_header_inside_the_table() -> None:
    sheet = read("Date,NO3\n2024-01-01,10\nDATE, no3\n2024-01-02,9\n")
    assert told(sheet) == [("note", "repeated header", 3)]
    assert [line for line, _ in rows(sheet.tables[0])] == [2, 4]


@pytest.mark.parametrize(
    "text",
    ["2024-01-01,10\n2024-01-02,12\n", "1,10\n2,12\n3,14\n", "01.02.2024;12,5\n"],
)
def test_no_header_is_asked_and_the_first_record_is_kept(text: str) -> None:
    sheet = read(text)
    assert told(sheet) == [("question", "no header", 1)]
    assert sheet.tables[0].header == ()
    assert sheet.tables[0].header_line is None
    assert rows(sheet.tables[0])[0][0] == 1
    assert len(sheet.tables[0].records) == text.count("\n")
    assert [c.answer for c in sheet.problems[0].choices] == ["entry", "names"]


def test_a_number_among_words_over_numbers_is_no_header() -> None:
    sheet = read("Quarry,10,fed,done\nQuarry,12,fed,done\nQuarry,14,fed,done\n")
    assert told(sheet) == [("question", "no header", 1)]


def test_header_only_and_one_row() -> None:
    sheet = read("Date,NO3\n")
    assert told(sheet) == [("note", "no records", 1)]
    assert read("Date,NO3\n2024-01-01,10\n").problems == ()


@pytest.mark.parametrize("data", [b"", b" \r\n\n", b"\xef\xbb\xbf", b",,,\n,,,\n"])
def test_empty_file(data: bytes) -> None:
    sheet = read(data)
    assert told(sheet) == [("error", "empty file", 1)]
    assert sheet.tables == ()


def test_month_headings_rulers_and_closing_lines() -> None:
    sheet = read(
        "Date,NO3,Note\nJanuary 2024,,\n2024-01-01,10,\n---,---,---\nFebruary\n"
        "2024-02-08,20,a\n,,\nTotal,50,\nExported on Monday\n"
    )
    assert told(sheet) == [("note", "heading rows", 2), ("note", "ruler rows", 4)]
    assert sheet.problems[0].lines == (2, 5, 9)
    assert [line for line, _ in rows(sheet.tables[0])] == [3, 6, 8]


def test_a_date_alone_and_a_note_alone_stay_records() -> None:
    sheet = read("Date,NO3,Note\n2024-01-01,10,\n2024-01-02,,\n,,rinsed the pad\n")
    assert sheet.problems == ()
    assert len(sheet.tables[0].records) == 3


def test_two_tables_under_titles() -> None:
    sheet = read(
        "Tests\nDate,NO3\n2024-01-01,10\n\nFeedings\nDate,Food (g),Kind\n"
        "2024-01-01,1,flake\n2024-01-02,1,flake\n"
    )
    assert told(sheet) == [
        ("note", "title rows", 1),
        ("note", "heading rows", 5),
        ("note", "several tables", 6),
    ]
    assert [t.header for t in sheet.tables] == [
        ("Date", "NO3"),
        ("Date", "Food (g)", "Kind"),
    ]
    assert rows(sheet.tables[1])[0] == (7, ("2024-01-01", "1", "flake"))


def test_a_gap_between_rows_is_no_second_table() -> None:
    sheet = read("date,nitrate\n2024-01-01,10\n\n\n2024-02-01,12\n")
    assert sheet.problems == ()
    assert [line for line, _ in rows(sheet.tables[0])] == [2, 5]


def test_a_bad_date_in_the_first_record_stays_a_record() -> None:
    sheet = read("date,task,note\nyesterday,filter,none\n2024-01-02,glass,\n")
    assert sheet.problems == ()
    assert rows(sheet.tables[0])[0] == (2, ("yesterday", "filter", "none"))


def test_table_on_its_side() -> None:
    sheet = read("Date,2024-01-01,2024-01-08\nNO3,10,20\nFood,1,1\n")
    assert told(sheet) == [("error", "table on its side", 1)]
    assert sheet.tables[0].unsure == {1, 2, 3}


def test_duplicate_names_after_case_and_blanks() -> None:
    sheet = read("Date,NO3, no3 \n2024-01-01,10,20\n")
    assert told(sheet) == [("question", "duplicate column", 1)]
    problem = sheet.problems[0]
    assert (problem.column, problem.letter) == (" no3 ", "C")
    assert [c.example for c in problem.choices] == ["'10'", "'20'"]


def test_unnamed_column() -> None:
    sheet = read("Date,NO3,\n2024-01-01,10,hello\n2024-01-02,10,\n")
    assert told(sheet) == [("note", "unnamed column", 1)]
    assert sheet.problems[0].letter == "C"
    assert rows(sheet.tables[0])[0] == (2, ("2024-01-01", "10", "hello"))


def test_blank_columns_at_the_end_are_dropped_silently() -> None:
    sheet = read("Date;NO3;;;\n01.02.2024;12,5;;;\n02.02.2024;11;;;\n")
    assert sheet.problems == ()
    assert sheet.tables[0].header == ("Date", "NO3")


def test_rows_with_one_separator_more_than_names() -> None:
    blank = read("Date,NO3\n2024-01-01,10,\n2024-01-02,20,\n")
    assert told(blank) == [("note", "header width", 1)]
    assert blank.tables[0].unsure == frozenset()
    words = read("Date,NO3\n2024-01-01,10,ok\n2024-01-02,20,ok\n")
    assert told(words) == [("note", "header width", 1), ("note", "unnamed column", 1)]
    assert rows(words.tables[0])[0] == (2, ("2024-01-01", "10", "ok"))


def test_names_that_do_not_fit_wider_rows_are_an_error() -> None:
    sheet = read("DateNO3;Food;Note\n2024-01-01;10;1;\n2024-01-02;20;1;\n")
    assert told(sheet) == [("error", "header width", 1)]
    assert sheet.tables[0].unsure == {2, 3}


@pytest.mark.parametrize(
    ("row", "level"),
    [
        ("2024-01-09,20", "note"),
        ("2024-01-09", "error"),
        ("2024-01-0920,x", "error"),
        ("2024-01-09,", "error"),
    ],
)
def test_short_row(row: str, level: str) -> None:
    sheet = read(f"date,nitrate,note\n2024-01-01,10,x\n{row}\n2024-01-10,20,\n")
    assert told(sheet) == [(level, "short row", 3)]
    assert len(sheet.tables[0].records[1].cells) == 3
    assert sheet.tables[0].unsure == (frozenset() if level == "note" else {3})


def test_row_in_one_pair_of_quotes() -> None:
    sheet = read('Date,NO3,Note\n"2024-01-01,12,ok"\n2024-01-02,12,ok\n')
    assert told(sheet) == [("error", "row in one cell", 2)]
    whole = read('"Date,NO3,Note"\n"2024-01-01,12,ok"\n')
    assert told(whole) == [("error", "row in one cell", 1)]


@pytest.mark.parametrize("mark", [";", "\t", "|", " "])
def test_one_row_with_another_separator(mark: str) -> None:
    row = mark.join(["2024-01-02", "12", "ok"])
    sheet = read(f"Date,NO3,Note\n2024-01-01,12,ok\n{row}\n2024-01-03,12,ok\n")
    assert told(sheet) == [("error", "other separator", 3)]
    assert sheet.tables[0].unsure == {3}


def test_names_cut_by_another_separator() -> None:
    sheet = read("Date;NO3;Note\n2024-01-01,12,ok\n2024-01-03,12,ok\n")
    assert told(sheet) == [("error", "other separator", 1)]
    assert sheet.tables[0].header == ("Date", "NO3", "Note")
    assert sheet.tables[0].unsure == {2, 3}


def test_no_separator_at_all() -> None:
    sheet = read("Date NO3\n2024-01-01 10\n")
    assert told(sheet) == [("error", "no separator", 1)]
    assert sheet.tables[0].unsure == {2}


def test_hint_line_is_honoured() -> None:
    sheet = read("sep=;\nDate;NO3, mg/l\n01.02.2024;12,5\n")
    assert sheet.problems == ()
    assert sheet.delimiter == ";"
    assert sheet.asides[0].cells == ("sep=;",)
    assert sheet.tables[0].header_line == 2


def test_western_code_page_is_noted_with_the_lines_it_changed() -> None:
    text = "Date;NO3;Notiz\n01.02.2024;12;grün\n02.02.2024;9;ok\n03.02.2024;9;weiß °C\n"
    sheet = read(text.encode("cp1252"))
    assert told(sheet) == [("note", "encoding guessed", 2)]
    assert sheet.problems[0].lines == (2, 4)
    assert "grün" in sheet.problems[0].seen
    assert sheet.encoding == "cp1252"
    assert sheet.tables[0].records[2].cells[2] == "weiß °C"


def test_two_code_pages_in_one_file() -> None:
    data = "Date;Notiz\n01.02.2024;grün\n".encode() + "02.02.2024;weiß\n".encode(
        "cp1252"
    )
    sheet = read(data)
    assert told(sheet) == [("note", "encoding guessed", 3)]
    assert [r.cells[1] for r in sheet.tables[0].records] == ["grün", "weiß"]


@pytest.mark.parametrize(
    ("data", "kind", "line"),
    [
        (b"PK\x03\x04rest", "workbook", 1),
        (b"\xd0\xcf\x11\xe0rest", "workbook", 1),
        (b"\x1f\x8b\x08rest", "compressed", 1),
        (b"%PDF-1.4", "not text", 1),
        (b"<html><table><tr><td>a", "not a table", 1),
        (b"a,b\n1,\x81\n", "not text", 2),
        (b"\0\1\2\3" * 50, "not text", 1),
        (b"\xff\xfea", "file cut off", 1),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, kind: str, line: int) -> None:
    sheet = read(data)
    assert told(sheet) == [("error", kind, line)]
    assert sheet.tables == ()


def test_a_file_cut_off_inside_a_letter_names_its_last_line() -> None:
    text = "Date;Notiz\n01.02.2024;grün\n02.02.2024;grü"
    for data in (text.encode()[:-1], b"\xff\xfe" + text.encode("utf-16-le")[:-1]):
        sheet = read(data)
        assert told(sheet) == [("error", "file cut off", 3)]
        assert sheet.tables[0].unsure == {3}


def test_control_character_leaves_its_row_out() -> None:
    sheet = read("Date,NO3\n2024-01-01,1\x000\n2024-01-02,12\n")
    assert told(sheet) == [("error", "control character", 2)]
    assert "\\x00" in sheet.problems[0].seen
    assert sheet.tables[0].unsure == {2}


def test_apostrophes_as_quotes() -> None:
    text = "date,note\n2024-01-01,'a, b'\n2024-01-02,'it''s, so'\n2024-01-03,don't\n"
    sheet = read(text)
    assert told(sheet) == [("note", "apostrophe quotes", 1)]
    notes = [record.cells[1] for record in sheet.tables[0].records]
    assert notes == ["a, b", "it's, so", "don't"]


def test_backslash_before_quotes() -> None:
    sheet = read('date,note\n2024-01-01,"a \\"b\\", c"\n2024-01-02,"d\\\'s"\n')
    assert told(sheet) == [("note", "backslash before quote", 2)]
    assert sheet.tables[0].records[0].cells[1] == 'a "b", c'
    assert sheet.tables[0].records[1].cells[1] == "d\\'s"


def test_a_backslash_that_ends_a_quoted_cell_is_a_letter() -> None:
    sheet = read('date,note\n2024-01-01,"c:\\logs\\"\n2024-01-02,"x"\n')
    assert sheet.tables[0].records[0].cells[1] == "c:\\logs\\"


def test_two_stray_quotes_do_not_swallow_the_rows_between() -> None:
    sheet = read(
        'date,no3,note\n2024-01-01,10,"fed\n2024-01-02,12,x\n2024-01-08,12,done"\n'
    )
    assert told(sheet) == [("error", "unclosed quote", 2), ("note", "stray quote", 4)]
    assert [line for line, _ in rows(sheet.tables[0])] == [2, 3, 4]


def test_a_note_of_several_lines_keeps_true_line_numbers() -> None:
    sheet = read(
        'Date,NO3,Note\r\n2024-01-01,12,"two\r\nlines"\r\n2024-01-02,13,x,y\r\n'
    )
    assert rows(sheet.tables[0])[0] == (2, ("2024-01-01", "12", "two\r\nlines"))
    assert told(sheet) == [("error", "long row", 4)]


def test_the_cap_of_twenty_and_the_rest() -> None:
    good = "2024-01-01,1,x\n"
    text = "date,nitrate,note\n" + good * 500 + "2024-01-01,1,x,y\n" * 103
    sheet = read(text)
    assert len(sheet.problems) == 21
    assert sheet.problems[0].line == 502
    assert sheet.problems[-1].seen == (
        "83 more problems of this kind on lines 522 to 604"
    )
    assert sheet.problems[-1].lines == tuple(range(522, 605))


def test_names_run_into_the_first_entry() -> None:
    sheet = read("Date,Note2024-01-01,x\n2024-01-02,a,b\n2024-01-03,c,d\n")
    assert told(sheet) == [("note", "value as name", 1)]
    assert sheet.problems[0].column == "Note2024-01-01"


def test_json_form() -> None:
    sheet = read("Tank\ndate,nitrate\n2024-01-01,10\n")
    out = json.loads(json.dumps(sheet_as_dict(sheet)))
    assert out["encoding"] == "utf-8"
    assert out["delimiter"] == ","
    assert out["header"] == ["date", "nitrate"]
    assert out["header_line"] == 2
    assert out["rows"] == [["2024-01-01", "10"]]
    assert out["lines"] == [3]
    assert out["problems"][0]["kind"] == "title rows"
    assert "tables" not in out


def test_json_form_of_several_tables() -> None:
    text = "date,no3\n2024-01-01,10\n\ndate,food,kind\n2024-01-02,1,flake\n"
    out = sheet_as_dict(read(text))
    assert out["rows"] == [["2024-01-01", "10"]]
    assert [table["header_line"] for table in out["tables"]] == [1, 4]


def test_problems_say_what_was_read_what_is_due_and_how_to_mend_it() -> None:
    sheet = read("date,nitrate\n2024-01-01,10,4\n2024-01-02,10\n")
    assert sheet.problems[0].sentence() == (
        "log.csv, line 2: read 1 cell too many: '4'; 10,4 looks like a decimal comma."
        " Expected: 2 cells. To mend: write the number with a point, or in quotes:"
        ' "10,4"; this row is left out'
    )
