"""The map and the shortlist as panels, and the map as a picture."""

from __future__ import annotations

import asyncio
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tanks import sure, unsure

from kit import cautions, plots, schedule, style
from kit.plots._map import CHANCE_TONES
from kit.sawtooth import Habit
from kit.schedule.line import Terms
from kit.schedule.map import schedule_map
from kit.schedule.shortlist import shortlist
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.map_panel import MapPanel
from kit.widgets.shortlist_panel import ShortlistPanel

DEMO = Path(__file__).resolve().parents[2] / "data_demo"
TANK = Habit(200.0, 0.25, 7.0, 10.0)
GALLON = 3.785411784


@pytest.fixture(scope="module")
def quarry():
    """One picker for all tests that keep its tank, as a fit takes its time."""
    return FolderPicker(str(DEMO / "quarry"))


@pytest.fixture
def bench(quarry):
    yield MapPanel(quarry)
    quarry._listeners.clear()


@pytest.fixture
def table(bench):
    return ShortlistPanel(bench)


# The map ----------------------------------------------------------------------------


def test_the_sliders_start_at_the_log(bench):
    # Quarry's settings and its weekly habit of 40 %: 137 of 342 L.
    assert bench.ceiling.value == 40
    assert (bench.percent.value, bench.interval.value) == (40, 7)
    assert bench.verdict[0].startswith("40 % (137 L) every 7 days: usual peak")
    assert bench.picture.png
    assert "40 mg/L" in bench.picture.alt


# Ceiling 40: 35 %, 30: 50 %, 20: 82 % by the invented truth; the fit may differ by
# what its band says.
@pytest.mark.parametrize(("ceiling", "percent"), [(40, 35), (30, 50), (20, 82)])
def test_what_quarry_takes_a_week(bench, ceiling, percent):
    bench.ceiling.put(float(ceiling))
    found = re.search(
        r"takes (\d+) % every 7 days \((\d+) % to (\d+) %\)", bench.text()
    )
    assert found is not None
    middle, low, high = (int(g) for g in found.groups())
    assert low < percent < high
    assert middle == pytest.approx(percent, abs=0.06 * percent)
    alone = "not by exchange alone" in bench.text()
    assert alone == (middle > 50)
    if ceiling == 20:
        assert "% of the food would do" in bench.text()


def test_food_source_and_drip_move_the_map(bench):
    before = bench.chart
    bench.food.put(50.0)
    assert bench.trial.rate_mg_l_day == pytest.approx(bench.subject.rate_mg_l_day / 2)
    assert "whole rise is scaled" in bench.text()
    assert (bench.chart.peak_mg_l < before.peak_mg_l).all()
    bench.food.put(100.0)
    bench.source.put(20.0)
    assert bench.trial.habit.source_mg_l == 20.0
    bench.drip.put(20.0)
    assert bench.trial.habit.drip_l_day == pytest.approx(20.0)


def test_percent_and_days_move_the_mark_and_not_the_map(bench):
    chart = bench.chart
    bench.percent.put(25.0)
    assert bench.chart is chart
    assert "25 %" in bench.verdict[0]
    assert "25 % every 7 days" in bench.picture.alt


def test_without_a_ceiling_there_is_no_map(bench, table):
    bench.ceiling.put(0.0)
    assert bench.verdict == ("Set your ceiling first: the kit has none of its own.",)
    assert not bench.picture.png
    assert table.verdict[0].startswith("Nothing to set side by side")
    assert not table.table.value
    bench.ceiling.put(40.0)
    assert bench.picture.png
    assert table.table.value


def test_the_same_water_turns_both_and_fills_the_table(bench, table):
    bench.percent.put(25.0)
    bench.same.value = True
    bench.interval.put(14.0)
    assert bench.percent.value == 50.0
    litres = {row[5] for row in table._rows}
    assert len(litres) == 1
    assert table.verdict[0].startswith("Every row uses as much new water")
    bench.same.value = False
    assert "everyday plan" in table.verdict[0]


def test_another_tank_replaces_both():
    bench = MapPanel(FolderPicker(str(DEMO / "quarry")))
    table = ShortlistPanel(bench)
    bench.same.value = True
    bench.picker.entry.value = str(DEMO / "culvert")
    assert bench.ceiling.value == 40
    assert bench.like is None
    assert not bench.same.value
    assert bench.source.value == pytest.approx(30.0, abs=1.0)
    bench.ceiling.put(25.0)
    assert "No exchange reaches 25 mg/L" in bench.text()
    assert "already holds 30 mg/L" in table.text()
    bench.picker.entry.value = str(DEMO / "nowhere")
    assert bench.verdict[0].startswith("Nothing to map")
    assert not bench.picture.png
    assert table.verdict[0].startswith("Nothing to set side by side")
    bench.percent.put(10.0)
    assert bench.verdict[0].startswith("Nothing to map")


def test_a_log_that_gives_no_rate_says_so(tmp_path):
    lines = (DEMO / "quarry" / "tests.csv").read_text(encoding="utf-8").splitlines()
    settings = (DEMO / "quarry" / "tank.toml").read_text(encoding="utf-8")
    (tmp_path / "tank.toml").write_text(settings, encoding="utf-8")
    (tmp_path / "tests.csv").write_text("\n".join(lines[:3]) + "\n", encoding="utf-8")
    picker = FolderPicker(str(tmp_path))
    bench = MapPanel(picker)
    assert not bench.picture.png
    assert bench.verdict == (picker.fit().refused,)


def test_cautions_stand_first(bench):
    parts = [str(getattr(w, "value", "")) for w in bench.box.children]
    where = next(i for i, v in enumerate(parts) if "Before you move water" in v)
    assert where < bench.box.children.index(bench.picture.widget)
    for topic in (*cautions.EXCHANGE, "pressure"):
        assert cautions.CAUTIONS[topic].split(":")[0] in parts[where]


def test_gallons_are_shown_on_request(bench, table):
    bench.units.value = "us"
    assert f"{0.4 * 342 / GALLON:.1f} US gal" in bench.verdict[0]
    assert "US gal" in table._rows[0][0]
    assert "°F" in table._rows[0][8]
    assert "(°F)" in table.colder.box.description
    assert table.colder.value == pytest.approx(12.0)
    assert bench.drip.box.description == "Drip (US gal a day)"


# The shortlist ----------------------------------------------------------------------


def test_the_table_shows_what_holds_and_says_what_does_not(table):
    assert all(o.line.chance >= 0.9 for o in table.offers if o.line is not None)
    shown = [o for o in table.offers if o.line is not None]
    assert len(table._rows) == len(shown) >= 3
    assert table.table.value.count("<tr>") == len(shown) + 1
    left = [o for o in table.offers if o.line is None]
    for offer in left:
        days = f"Every {offer.interval_days:g} days:"
        assert any(text.startswith(days) for text in table._more)
    assert "your most of 50 %" in table.text()


def test_a_surer_chance_takes_more_water(table):
    before = table.offers[1].line.habit.fraction
    table.sure.value = 0.5
    assert table.offers[1].line.habit.fraction < before


def test_time_and_warmth_are_the_keepers(table):
    # Quarry's settings: 25 and 13 degrees, 15 minutes and 2 for each of 14 buckets.
    weekly = next(o for o in table.offers if o.interval_days == 7.0)
    part = weekly.line.habit.fraction
    assert weekly.line.drop_c == pytest.approx(12.0 * part)
    buckets = np.ceil(part * 34.2)
    month = (15.0 + 2.0 * buckets) * 30.4375 / 7.0
    assert weekly.line.minutes_month == pytest.approx(month)
    table.colder.put(0.0)
    table.minutes.put(5.0)
    weekly = next(o for o in table.offers if o.interval_days == 7.0)
    assert weekly.line.drop_c == 0.0
    assert weekly.line.minutes_month == pytest.approx(month - 10.0 * 30.4375 / 7.0)


def test_what_is_not_stated_is_not_counted(tmp_path):
    for name in ("tests.csv", "exchanges.csv", "feedings.csv"):
        text = (DEMO / "quarry" / name).read_text(encoding="utf-8")
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "tank.toml").write_text(
        '[volume]\nlitres = 342\n[kit]\nchart = "doubling"\nbasis = "NO3"\n'
        '[plan]\nceiling_mg_l = 40\n[habit]\nsame_day = "before"\n',
        encoding="utf-8",
    )
    table = ShortlistPanel(MapPanel(FolderPicker(str(tmp_path))))
    assert {"not stated"} == {cell for row in table._rows for cell in row[6:8]}
    assert "no price is stated" in table.text()
    assert "no minutes are stated" in table.text()
    assert "never tested" in table.bench.text()


def test_words_rank_nothing(bench, table):
    text = " ".join([bench.text(), table.text(), *schedule.HEADS]).lower()
    for word in ("best", "worst", "good", "bad", "ideal", "recommend", "safe", "optim"):
        assert word not in text, word


def test_a_page_without_a_kernel_shows_both(bench, table):
    data, meta = bench._repr_mimebundle_()
    assert len(meta["image/png"]["alt"]) > 100
    assert data["text/plain"] == bench.text()
    data, _ = table._repr_mimebundle_()
    assert "<table>" in data["text/html"]
    assert "Chance a peak stays under" in data["text/html"]


def test_a_hostile_currency_stays_text(tmp_path):
    terms = Terms(25.0, 12.0, tariff=replace(Terms().tariff, currency="<b>\x1b[1m"))
    terms = replace(terms, tariff=replace(terms.tariff, water_per_m3=4.0))
    offers = shortlist(sure(TANK, 1.0, 40.0), terms)
    text = "\n".join(schedule.offer_text(offers, terms))
    assert "\x1b" not in text


def test_a_tank_without_exchanges_has_no_habit_to_mark():
    bench = MapPanel(FolderPicker(str(DEMO / "backwater")))
    assert "your habit now" not in bench.picture.alt
    assert not bench._drawn._now.get_visible()


def test_plans_far_from_the_log_are_called_untried(table):
    assert "untried" not in table.text()
    table.bench.ceiling.put(120.0)
    assert "untried in this tank" in table.text()


# The picture ------------------------------------------------------------------------


def grey(colour: str) -> float:
    """Lightness of a colour, 0 to 100, by CIE 1976 from sRGB (IEC 61966-2-1)."""
    part = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255.0
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    y = float(linear @ [0.2126, 0.7152, 0.0722])
    return 116 * (y ** (1 / 3) if y > 0.008856 else 7.787 * y + 16 / 116) - 16


def test_tones_climb_in_grey():
    """Lightness steps of 7 are seen at a glance; all tones are of one hue."""
    steps = np.diff([grey(tone) for tone in CHANCE_TONES])
    assert (steps >= 7.0).all()
    for line in (style.CEILING, style.INK):
        assert all(abs(grey(line) - grey(tone)) > 40.0 for tone in CHANCE_TONES)


def test_the_picture_says_what_it_shows():
    chart = schedule_map(unsure(TANK, 1.0, 40.0))
    far = replace(TANK, interval_days=45.0)
    ax = plots.map_picture(chart, now=far, tried=TANK, max_percent=50.0)
    legend = ax.get_figure().legends[0]
    names = {t.get_text() for t in legend.get_texts()}
    assert {"usual peak at ceiling", "its 95 % band", "habit now", "sliders"} <= names
    labels = [t.get_text() for t in ax.texts if t.get_visible()]
    assert any(text.endswith("mg/L") for text in labels)
    assert "your most at once: 50 %" in labels
    alt = plots.map_alt(chart, now=far, tried=TANK)
    assert "25 % every 45 days, lies beyond its edge" in alt
    # 1 * 7/30 and 1 * 14/30 of the water.
    assert "23 % every 7 days, 47 % every 14 days" in alt


def test_lines_of_equal_peak_run_where_the_peak_is():
    chart = schedule_map(sure(TANK, 1.0, 40.0))
    ax = plots.map_picture(chart)
    for said in (t for t in ax.texts if t.get_text().endswith(" mg/L")):
        days, percent = said.get_position()
        level = float(said.get_text().split()[0])
        # peak = Cs + g T/f by hand; the line is drawn between points of the map.
        assert 10.0 + days / (percent / 100.0) == pytest.approx(level, rel=0.02)


def test_on_a_running_page_the_table_waits_for_the_sliders_to_rest(bench, table):
    async def moved() -> tuple[str, str]:
        bench.ceiling.put(45.0)
        bench.ceiling.put(50.0)
        held = table.verdict[0]
        await asyncio.sleep(0.5)
        return held, table.verdict[0]

    held, then = asyncio.run(moved())
    assert "under 40 mg/L" in held
    assert "under 50 mg/L" in then
