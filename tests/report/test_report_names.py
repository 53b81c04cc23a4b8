"""Hidden names: not one of them in any file of the report, the numbers unchanged."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

import pypdfium2
import pytest

from kit.cli import main
from kit.files import read_logbook
from kit.mask import masked

# Made-up words that stand nowhere in the kit; one for each place that takes text.
SECRETS = {
    "tank": "Zworkel",
    "file": "Quintzel",
    "reader": "Brumbald",
    "kit": "Fyxmark",
    "note": "Grellow",
    "swap note": "Hurdlip",
    "food": "Krovnik",
    "task": "Mulgrew",
    "tap note": "Nybbert",
    "header": "Ostwick",
    "currency": "Plomver",
    "raw": "Rustavel",
    "error": "Snorfel",
    "known": "Tibbel",
}


def rows(*lines: tuple[object, ...]) -> str:
    out = io.StringIO(newline="")
    csv.writer(out).writerows(lines)
    return out.getvalue()


def logbook(folder: Path) -> Path:
    """Ten weeks of a made-up tank with a meter, and a name in every place."""
    s = SECRETS
    folder.mkdir()
    (folder / "tank.toml").write_text(
        f'name = "{s["tank"]}"\n[volume]\nlitres = 100\nhow = "measured"\n'
        '[kit]\nresolution_mg_l = 1\nbasis = "NO3"\n[plan]\nceiling_mg_l = 40\n'
        f'[habit]\nsame_day = "before"\n[costs]\ncurrency = "{s["currency"]}"\n',
        encoding="utf-8",
    )
    level, tests, swaps = 20.0, [], []
    for week in range(10):
        day = f"2026-{3 + week // 4:02}-{1 + 7 * (week % 4):02}"
        level += 7.0 * 1.2 + (0.6 if week % 2 else -0.6)
        tests.append((day, round(level), s["reader"], s["kit"], s["note"], "x"))
        level *= 0.75
        swaps.append((day, 25, s["swap note"]))
    tests.append(("2026-05-29", f"about 30 {s['error']}", s["reader"], "", "", ""))
    tests.append(("2026-05-30", "nd", s["reader"], "", s["raw"], ""))
    head = ("date", "nitrate (mg/L NO3)", "reader", "kit", "note", s["header"])
    files = {
        f"tests {s['file']}.csv": rows(head, *tests),
        "exchanges.csv": rows(("date", "percent (%)", "note"), *swaps),
        "feedings.csv": rows(
            ("date", "food (g)", "kind"), *((d, 1.5, s["food"]) for d, *_ in swaps)
        ),
        "upkeep.csv": rows(
            ("date", "task"), *((d, f"{s['task']} wiped") for d, *_ in swaps)
        ),
        "source.csv": rows(
            ("date", "nitrate (mg/L NO3)", "note"), ("2026-03-02", 5, s["tap note"])
        ),
        "standards.csv": rows(
            ("date", "kit", "reader", "known (mg/L NO3)", "read (mg/L NO3)", "note"),
            ("2026-03-03", s["kit"], s["known"], 25, 25, s["known"]),
        ),
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return folder


def everything(name: str, body: bytes) -> str:
    """All text of one file, unpacked, with its properties."""
    if name.endswith(".zip"):
        with zipfile.ZipFile(io.BytesIO(body)) as box:
            return "\n".join(
                inner + everything(inner, box.read(inner)) for inner in box.namelist()
            )
    if name.endswith(".pdf"):
        pdf = pypdfium2.PdfDocument(body)
        pages = [p.get_textpage().get_text_range() for p in pdf]
        marks = [m.get_title() for m in pdf.get_toc()]
        return "\n".join([*pages, *marks, json.dumps(pdf.get_metadata_dict())])
    return body.decode("utf-8", "ignore") + body.decode("latin-1")


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    place = tmp_path_factory.mktemp("names")
    log = logbook(place / "log")
    found = {}
    for hide in (True, False):
        out = place / f"out-{hide}"
        code = main(
            [
                *("report", str(log), "--out", str(out), "--today", "2026-11-25"),
                *("--without-errors", "--json", *(["--hide-names"] if hide else [])),
            ]
        )
        assert code == 0
        found[hide] = {p.name: p.read_bytes() for p in out.iterdir()}
    return found


def test_without_hiding_the_names_are_there(written):
    told = "".join(everything(n, b) for n, b in written[False].items())
    assert {key for key, word in SECRETS.items() if word not in told} == set()


def test_with_hiding_no_file_holds_a_name(written):
    for name, body in written[True].items():
        told = everything(name, body).lower()
        for place, word in SECRETS.items():
            assert word.lower() not in told, (name, place)
            assert word.lower() not in name.lower()
        for word in SECRETS.values():
            assert word.encode("utf-16-be") not in body


def test_hiding_changes_no_number(written):
    def numbers(files):
        with zipfile.ZipFile(io.BytesIO(files["logbook.zip"])) as box:
            found = json.loads(box.read("numbers.json"))
        for test in found["fit"]["fitted"]:
            del test["file"]
        for key in ("statements", "assumptions"):  # words, which may name a place
            del found["fit"][key]
        return found

    assert numbers(written[True]) == numbers(written[False])
    assert written[True]["chart.png"] == written[False]["chart.png"]


def test_equal_names_stay_equal_and_readings_stay_legible(tmp_path):
    log = masked(read_logbook(logbook(tmp_path / "log")), "Tank 3")
    assert log.tank.name == "Tank 3"
    assert {t.reader for t in log.tests} == {"reader 1"}
    assert {e.note for e in log.exchanges} == {"a note"}
    assert log.tests[0].raw == "28"
    assert log.tests[-1].raw == "<1"
    assert {t.file for t in log.tests} == {"log 1"}
