"""The whole search on logs whose truth is known."""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit import change
from kit.files import read_logbook
from kit.logbook import Exchange, Logbook, Tank, Test

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "bench"))
import change_sim as sim  # noqa: E402

TODAY = dt.date(2026, 9, 20)
CHANGE = 0.75


def demo(name: str) -> Logbook:
    return read_logbook(ROOT / "data_demo" / name, today=TODAY)


def lived(seed: int, **changes: object) -> Logbook:
    life = sim.Life("doubling", "before and after", 28, start=25.0)
    return sim.live(
        replace(life, **changes),  # type: ignore[arg-type]
        np.random.default_rng([3, seed]),
    )


@pytest.fixture(scope="module")
def stepped():
    return lived(1, change_week=16.0, change=CHANGE)


def test_a_step_is_found_with_its_day_and_size(stepped):
    found = change.report(stepped).findings[0]
    true = sim.DAY0 + dt.timedelta(days=113)
    assert found.kind == "step"
    assert found.first <= true <= found.last
    assert (found.last - found.first).days < 100
    assert found.size.low <= CHANGE <= found.size.high
    assert found.size.low > 0
    assert found.chance < 0.05


def test_a_named_day_needs_less_proof(stepped):
    whole = change.report(stepped, known=sim.DAY0 + dt.timedelta(days=113))
    assert whole.known is not None
    assert whole.known.chance < whole.findings[0].chance
    assert whole.known.change.low <= CHANGE <= whole.known.change.high
    assert "the day you named" in whole.statements[0]


def test_a_named_day_without_tests_on_both_sides_is_said(stepped):
    whole = change.report(stepped, known=sim.DAY0)
    assert whole.known is None
    assert "cannot be told" in whole.statements[0]


def test_what_else_would_explain_a_step_is_named(stepped):
    said = " ".join(change.report(stepped).rivals)
    for word in ("kit", "water", "food", "fish", "Test it"):
        assert word in said, word


def test_own_tests_of_the_water_rule_it_out():
    said = " ".join(change.report(demo("spring-run")).rivals)
    assert "your own tests of it give 5 mg/L before and 5 after" in said
    assert "six more, from the club table" in said


def test_a_mistyped_exchange_is_a_slip_and_no_change():
    log = lived(2, slip_week=12, slip=0.85)
    found = change.report(log).findings[0]
    assert found.kind == "slip"
    assert found.date == sim.DAY0 + dt.timedelta(days=84)
    assert found.logged == pytest.approx(0.30)
    assert found.size.low <= 0.85 <= found.size.high or found.size.high == 0.95
    assert found.line == 13
    # Each exchange of 30 % takes its part of the error away.
    trace = np.abs(found.trace)
    assert trace[1:] / trace[:-1] == pytest.approx(np.full(3, 0.7), abs=1e-6)


def test_a_large_exchange_left_out_is_found_at_the_usual_day():
    log = lived(3, kit="meter", reader=0.05, fraction=0.6, unlogged=(14,))
    found = change.report(log).findings[0]
    assert found.kind == "missing"
    assert abs((found.date - sim.DAY0).days - 98) <= 7
    assert found.size.low <= 0.6 <= found.size.high


def test_one_odd_reading_is_no_lasting_change():
    log = lived(4, kit="meter", reader=0.05)
    tests = list(log.tests)
    off = tests[20]
    tests[20] = replace(off, low_mg_l=119.5, high_mg_l=120.5, value_mg_l=120.0)
    found = change.report(replace(log, tests=tuple(tests))).findings[0]
    assert found.kind == "reading"
    assert found.line == off.line


def test_another_lot_reads_lower_at_once():
    log = lived(5, kit="meter", reader=0.04, weeks=40)
    day = sim.DAY0 + dt.timedelta(days=150)
    tests = tuple(
        replace(
            t,
            low_mg_l=0.7 * t.low_mg_l,
            high_mg_l=0.7 * (t.high_mg_l or 0.0),
            value_mg_l=0.7 * (t.value_mg_l or 0.0),
            kit="lot 2",
        )
        if t.date >= day
        else replace(t, kit="lot 1")
        for t in log.tests
    )
    whole = change.report(replace(log, tests=tests))
    found = whole.findings[0]
    assert found.kind == "kit"
    assert found.size.low < -0.3 < found.size.high
    assert abs((found.date - day).days) <= 7
    assert any("lot 2 first appears" in s for s in whole.rivals)


def test_nothing_is_said_to_have_changed_where_nothing_did():
    whole = change.report(lived(6))
    assert whole.findings == ()
    assert whole.rivals == ()
    assert whole.smallest_mg_l_day is not None
    assert whole.statements[0].startswith("No change can be told")
    assert "does not mean there was none" in whole.statements[1]


@pytest.mark.slow
def test_false_alarms_are_rare():
    # 60 unchanged tanks: at 5 % each, more than 8 alarms come in 1 of 300 such runs.
    rng = np.random.default_rng(12)
    alarms = 0
    for i in range(60):
        kit = list(sim.CARDS)[i % 5]
        life = sim.any_life(kit, sim.HABITS[i % 4], 26, rng)
        log = sim.live(replace(life, memory=0.0), rng)
        alarms += bool(change.report(log).findings)
    assert alarms <= 8


# The demo tanks; truths in data_demo/sealed.


def test_spring_run_stepped_about_day_112():
    found = change.report(demo("spring-run")).findings
    true = dt.date(2026, 6, 22)
    assert [f.kind for f in found] == ["step"]
    assert abs((found[0].date - true).days) <= 10
    assert found[0].first <= true <= found[0].last
    assert found[0].size.low <= 2.0362 - 1.2915 <= found[0].size.high


def test_fen_has_a_slip_at_seventy():
    found = change.report(demo("fen")).findings
    assert [f.kind for f in found] == ["slip"]
    assert found[0].date == dt.date(2026, 5, 1)
    assert found[0].logged == pytest.approx(0.70)
    assert found[0].size.low <= 0.34 <= found[0].size.high
    assert abs(found[0].size.estimate - 0.34) < 0.12


@pytest.mark.parametrize("name", ["quarry", "culvert", "estuary", "peat-pool"])
def test_no_alarm_where_nothing_changed(name):
    log = demo(name)
    whole = change.report(replace(log, lost_exchanges=(), breaks=()))
    assert whole.refused is None
    assert whole.findings == ()


def test_a_drip_that_clogged_is_named_among_the_reasons():
    whole = change.report(demo("millrace"))
    assert whole.findings[0].kind == "step"
    assert any("drip" in s for s in whole.rivals)


def test_few_tests_and_open_questions_are_refused():
    few = lived(7)
    assert change.report(replace(few, tests=few.tests[:6])).refused is not None
    assert change.report(replace(few, tests=())).refused is not None
    lost = change.report(replace(few, lost_exchanges=("exchanges.csv, line 4",)))
    assert lost.refused is not None
    assert "Answer them first" in lost.statements[0]


def test_sentences_are_plain(stepped):
    reports = [change.report(stepped), change.report(demo("fen"))]
    for sentence in (s for r in reports for s in (*r.statements, *r.rivals)):
        assert sentence.rstrip().endswith((".", "?")), sentence
        for heavy in ("likelihood", "posterior", "p-value", "parameter", "sigma", "!"):
            assert heavy not in sentence.lower()


PLACES = st.lists(st.integers(0, 150), min_size=0, max_size=24)


@st.composite
def logs(draw):
    """Anything a loaded log may hold."""
    chart = draw(st.booleans())
    steps = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0)
    tests = []
    for i, day in enumerate(sorted(draw(PLACES))):
        low = draw(st.sampled_from([0.0, 2.5, 7.0, 14.0, 28.0, 57.0]))
        high = draw(st.sampled_from([low + 0.5, 2 * low + 2.0, None]))
        when = sim.DAY0 + dt.timedelta(days=day)
        hour = draw(st.sampled_from([None, dt.time(9), dt.time(18)]))
        tests.append(Test(when, hour, low, high, None, "x", "tests.csv", i + 2))
    exchanges = []
    for i, day in enumerate(sorted(draw(PLACES))):
        when = sim.DAY0 + dt.timedelta(days=day)
        part = draw(st.sampled_from([0.1, 0.3, 0.9, 1.0]))
        exchanges.append(Exchange(when, None, part, None, "exchanges.csv", i + 2))
    tank = Tank(
        volume_l=draw(st.sampled_from([None, 100.0])),
        source_nitrate_mg_l=draw(st.sampled_from([None, 0.0, 5.0])),
        kit_steps_mg_l=steps if chart else None,
        drip_l_day=draw(st.sampled_from([0.0, 10.0])),
    )
    gone = draw(st.sampled_from([(), (sim.DAY0 + dt.timedelta(days=60),)]))
    return Logbook(tank, tuple(tests), tuple(exchanges), unknown_exchanges=gone)


@settings(max_examples=12)
@given(logs(), st.integers(-5, 160))
def test_any_log_gets_an_answer(log, day):
    whole = change.report(log, known=sim.DAY0 + dt.timedelta(days=day))
    assert whole.statements
    assert whole.refused is None or not whole.findings
    for found in whole.findings:
        assert found.first <= found.date <= found.last
        assert found.size.low <= found.size.estimate <= found.size.high
        assert 0.0 <= found.chance <= 0.05
