"""Spilling, sumps, and prefilters that clog."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from kit.errors import PlanError
from kit.plumbing import (
    Drain,
    Pipe,
    backflow,
    capacity_l_h,
    clog_rate,
    clogged_flow,
    days_to_flow,
    minutes_to_spill,
    outlook,
    rotted_share,
    try_cleaning,
    wide_open_l_h,
)

PSI = 6.894757  # NIST SP 811, appendix B.8: kPa in one pound a square inch


def seen(wide_open: float, **changes):
    given = {
        "drip_l_h": 0.9,
        "wide_open_l_h": wide_open,
        "head_mm": 10.0,
        "freeboard_mm": 30.0,
        "area_m2": 0.6,
    }
    return outlook(changes.pop("drain", Drain(26.6)), **{**given, **changes})


def test_the_clubs_example():
    """Computed separately beforehand: 1.9 times at 20 psi, 1.0 times at 60 psi."""
    tube = Pipe(6.35, 10.0)
    low = seen(wide_open_l_h(tube, 20.0 * PSI)).case("stuck open")
    high = seen(wide_open_l_h(tube, 60.0 * PSI)).case("stuck open")
    assert low.spare == pytest.approx(1.9, abs=0.05)
    assert high.spare == pytest.approx(1.0, abs=0.05)
    assert low.minutes == high.minutes == math.inf


@pytest.mark.parametrize(("flow", "minutes"), [(8.0, 2.3 * 60.0), (284.0, 3.8)])
def test_minutes_to_spill(flow, minutes):
    """30 mm over 0.6 m2, 18 L, over the inflow."""
    assert minutes_to_spill(flow, 30.0, 0.6) == pytest.approx(minutes, rel=0.03)


def test_every_case_is_there_and_the_worst_is_the_last():
    out = seen(284.0)
    assert [case.name for case in out.cases] == [
        "as set",
        "stuck open",
        "drain blocked",
        "both",
    ]
    assert out.case("as set").spare > 100.0
    assert out.case("drain blocked").minutes == pytest.approx(18.0 / 0.9 * 60.0)
    assert out.case("both").minutes == pytest.approx(18.0 / 284.0 * 60.0)
    assert out.case("both").spare == 0.0


def test_a_drip_above_the_tubes_own_flow_counts_as_it_is():
    assert seen(0.1).case("stuck open").inflow_l_h == 0.9
    assert seen(0.0, drip_l_h=0.0).case("both").minutes == math.inf


def test_a_level_that_climbs_against_a_drain_agrees_with_an_integrator():
    drain, inflow, area, rim = Drain(20.9, blocked=0.5), 400.0, 0.6, 30.0

    def climb(_t, h):
        return [(inflow - capacity_l_h(drain, max(h[0], 0.0))) / area]

    def over(_t, h):
        return h[0] - rim

    over.terminal = True
    run = solve_ivp(climb, (0.0, 5.0), [0.0], events=over, rtol=1e-9, max_step=0.001)
    minutes = float(run.t_events[0][0]) * 60.0
    assert minutes_to_spill(inflow, rim, area, drain) == pytest.approx(
        minutes, rel=2e-3
    )


@given(st.floats(1.0, 2000.0), st.floats(0.0, 1.0), st.integers(1, 3))
def test_an_open_drain_never_shortens_the_time(inflow, blocked, count):
    drain = Drain(26.6, count=count, blocked=blocked)
    bare = minutes_to_spill(inflow, 30.0, 0.6)
    with_drain = minutes_to_spill(inflow, 30.0, 0.6, drain)
    assert with_drain >= bare * (1 - 1e-9)
    if capacity_l_h(drain, 30.0) > 1.001 * inflow:
        assert with_drain == math.inf


@pytest.mark.parametrize(
    "changes",
    [
        {"freeboard_mm": 5.0},
        {"area_m2": 0.0},
        {"drip_l_h": -1.0},
        {"head_mm": math.nan},
    ],
)
def test_what_cannot_be_is_refused(changes):
    with pytest.raises(PlanError, match=r"^[A-Z].*\.$"):
        seen(284.0, **changes)


def test_what_runs_back_into_a_sump():
    """By hand: 0.6 m2 falls 25 mm, 15 L, and 3 L of pipes; 0.2 m2 rises 90 mm."""
    back = backflow(
        tank_area_m2=0.6, drop_mm=25.0, pipes_l=3.0, sump_area_m2=0.2, sump_room_mm=60.0
    )
    assert (back.back_l, back.room_l) == (18.0, 12.0)
    assert back.rise_mm == pytest.approx(90.0)
    assert back.spare == pytest.approx(12.0 / 18.0)
    with pytest.raises(PlanError):
        backflow(
            tank_area_m2=0.6,
            drop_mm=-1.0,
            pipes_l=3.0,
            sump_area_m2=0.2,
            sump_room_mm=60.0,
        )


# Prefilters --------------------------------------------------------------------------


def test_clogging_solves_the_cake_equation():
    """Ruth's law of cake filtration (Perry's Handbook, from memory), by scipy.

    dV/dt = push / (medium + cake V): resistance grows with what has passed.
    """
    push, medium, cake = 50.0, 0.08, 3e-5
    run = solve_ivp(
        lambda _t, v: [push / (medium + cake * v[0])],
        (0.0, 20.0),
        [0.0],
        dense_output=True,
        rtol=1e-10,
    )
    clean = push / medium
    a = 2.0 * push * cake / medium**2
    for day in (0.0, 1.0, 5.0, 20.0):
        flow = push / (medium + cake * run.sol(day)[0])
        assert clogged_flow(clean, a, day) == pytest.approx(flow, rel=1e-7)


def test_days_to_a_part_of_the_flow():
    """From the square root itself: 1/0.49 - 1 = 1.04 and 1/0.25 - 1 = 3, over a."""
    assert days_to_flow(0.2, 0.7) == pytest.approx(1.04 / 0.2, rel=1e-3)
    assert days_to_flow(0.2, 0.5) == pytest.approx(3.0 / 0.2)
    assert days_to_flow(0.0, 0.5) == math.inf
    assert days_to_flow(0.0, 1.0) == 0.0


@given(st.floats(0.001, 2.0), st.floats(1.0, 100.0))
def test_two_flows_give_the_rate_back(rate, days):
    assert clog_rate(10.0, clogged_flow(10.0, rate, days), days) == pytest.approx(rate)


def test_a_flow_that_rose_does_not_clog():
    assert clog_rate(10.0, 12.0, 5.0) == 0.0


@pytest.mark.parametrize(
    ("days", "share"), [(1, 0.07), (2, 0.14), (7, 0.38), (14, 0.58), (28, 0.77)]
)
def test_share_that_turns_before_it_leaves(days, share):
    """Computed separately beforehand at 0.15 a day; and the mean of 1 - exp(-k age)."""
    assert rotted_share(days) == pytest.approx(share, abs=0.005)
    mean, _ = quad(lambda age: -math.expm1(-0.15 * age) / days, 0.0, days)
    assert rotted_share(days) == pytest.approx(mean, rel=1e-9)


def test_the_share_has_its_limits():
    assert rotted_share(0.0) == 0.0
    assert rotted_share(1e-7, 1.0) == pytest.approx(5e-8, rel=1e-6)
    assert rotted_share(1e-5, 1.0) == pytest.approx(5e-6, rel=1e-3)
    assert rotted_share(1e6) == pytest.approx(1.0, abs=1e-4)
    days = np.linspace(0.1, 60.0, 50)
    assert np.all(np.diff([rotted_share(d) for d in days]) > 0)


@pytest.mark.parametrize(("trapped", "low", "high"), [(0.1, 4.0, 5.0), (0.2, 8.5, 10)])
def test_cleaning_more_often_is_worth_a_few_percent(trapped, low, high):
    """Every 2 days in place of 14, with a tenth or a fifth of all waste trapped.

    Computed separately beforehand: 4 to 9 % of all nitrogen.
    """
    tried = try_cleaning(2.0, now_days=14.0, then_days=2.0, trapped=trapped)
    assert low <= 100.0 * (1.0 - tried.rate_mg_l_day / 2.0) <= high
    assert tried.of_all == pytest.approx(trapped * (0.58 - 0.14), abs=0.003)
    back = try_cleaning(
        tried.rate_mg_l_day, now_days=2.0, then_days=14.0, trapped=trapped
    )
    assert back.rate_mg_l_day == pytest.approx(2.0)


def test_a_filter_that_traps_nothing_changes_nothing():
    tried = try_cleaning(2.0, now_days=14.0, then_days=2.0, trapped=0.0)
    assert (tried.of_all, tried.rate_mg_l_day) == (0.0, 2.0)
    with pytest.raises(PlanError):
        try_cleaning(2.0, now_days=14.0, then_days=2.0, trapped=1.2)
    with pytest.raises(PlanError):
        days_to_flow(0.1, 0.0)
    with pytest.raises(PlanError):
        clog_rate(0.0, 1.0, 1.0)
