"""Columns of single happenings against the balance worked by hand."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.change._timeline import timeline
from kit.fit.model import build
from kit.logbook import Exchange, Logbook, Tank, Test

DAY0 = dt.date(2026, 3, 2)


def weekly(fraction: float, weeks: int, *, every: int = 7) -> Logbook:
    """A test before and one after each exchange."""
    tests, exchanges = [], []

    def test(day: int, hour: int) -> None:
        when = DAY0 + dt.timedelta(days=day)
        tests.append(Test(when, dt.time(hour), 20, 21, 20.5, "20.5", "tests.csv", 2))

    test(0, 17)
    for k in range(1, weeks + 1):
        day = k * every
        when = DAY0 + dt.timedelta(days=day)
        test(day, 17)
        exchanges.append(Exchange(when, dt.time(18), fraction, None, "x.csv", k))
        test(day, 19)
    tank = Tank(volume_l=200.0, source_nitrate_mg_l=5.0, kit_resolution_mg_l=1.0)
    return Logbook(tank, tuple(tests), tuple(exchanges))


def line_of(log: Logbook):
    return timeline(build(log, "before"))


def test_a_slip_shrinks_with_each_exchange():
    # A level 14.7 too high after one exchange of 33 %: 9.8, 6.6 and 4.4 after the
    # next three (0.67, 0.67 squared and cubed, worked by hand).
    line = line_of(weekly(0.33, 6))
    column = 14.7 * line.jump_after(line.exchanges[1:2])[: line.readings, 0]
    after = column[2::2]
    assert after[:6] == pytest.approx([0, 14.7, 9.8, 6.6, 4.4, 3.0], abs=0.05)
    assert (column[:4] == 0).all()


def test_a_step_of_the_rate_grows_to_its_long_run():
    # One more mg/L a day at 25 % a week: the peak rises by 7/0.25 = 28 in the long run
    # (28 less 1/24 at the test an hour before) and what is still missing shrinks by
    # 0.75 with each exchange.
    line = line_of(weekly(0.25, 30))
    peaks = line.rate_from(np.array([0.0]))[1 : line.readings : 2, 0]
    missing = 28.0 - 1.0 / 24.0 - peaks
    assert missing[10:20] / missing[9:19] == pytest.approx(np.full(10, 0.75))
    assert peaks[-1] == pytest.approx(28.0 - 1.0 / 24.0, abs=0.01)


def test_new_water_that_changed_arrives_by_the_part_exchanged():
    line = line_of(weekly(0.25, 4))
    after = line.water_from(np.array([10.0]))[2 : line.readings : 2, 0]
    assert after == pytest.approx([0.0, 0.25, 0.4375, 0.578125])


@given(
    st.floats(0.05, 0.9),
    st.integers(3, 12),
    st.integers(3, 14),
    st.integers(0, 60),
)
def test_a_step_on_the_first_day_is_the_rate_itself(fraction, weeks, every, day):
    line = line_of(weekly(fraction, weeks, every=every))
    whole = line.rate_from(np.array([0.0, float(day)]))
    assert whole[:, 0] == pytest.approx(line.design.base)
    assert (whole[:, 1] <= whole[:, 0] + 1e-9).all()
    assert (whole >= -1e-12).all()
