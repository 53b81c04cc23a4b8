"""What a test is worth before it is made, against closed forms and known orders."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from handmade import fitted
from scipy.stats import norm

from kit.ahead import (
    WAYS,
    Candidate,
    Kit,
    advise,
    candidate_words,
    candidates,
    exchanges_a_test,
    many_tanks,
    next_test_sentences,
    next_tests,
    power,
    power_rows,
    power_sentences,
    way_of,
)
from kit.ahead._candidates import with_unknown_source
from kit.bands import bands
from kit.charts import CHARTS
from kit.draws import Draws
from kit.fit import Estimate
from kit.logbook import Exchange, Logbook, Tank, Test
from kit.sawtooth import Habit

START = dt.date(2026, 9, 13)
NO_EXCHANGE = Habit(200.0, 0.0, 1000.0)
WEEKLY = Habit(200.0, 0.4, 7.0, source_mg_l=5.0)
EXACT = 2 * 1.959964


def meter(spread):
    return Kit(np.array([]), np.array([]), (), 0.01, 0.0, spread)


def chart(name="doubling", noise=0.1):
    ends = bands(CHARTS[name])
    low = np.array([a if i else -np.inf for i, (a, _) in enumerate(ends)])
    high = np.array([np.inf if b is None else b for _, b in ends])
    return Kit(low, high, CHARTS[name], 0.0, noise, 0.5)


def normal_draws(rate_sd, n=4000, level=20.0, tank=0.0, source=5.0, source_sd=0.0):
    line = norm.ppf((np.arange(n) + 0.5) / n)
    mixed = np.random.default_rng(6).permutation(line)
    return Draws(
        2.0 + rate_sd * line,
        np.full(n, level),
        np.full(n, tank),
        source + source_sd * mixed,
    )


def one_test(day):
    return {Candidate("tank", START + dt.timedelta(days=day), "between"): float(day)}


# Raiffa and Schlaifer (1961), Applied Statistical Decision Theory: a normal mean of
# prior variance v read with variance w is left with 1/(1/v + 1/w), whatever is read.
@pytest.mark.parametrize(("day", "spread"), [(5, 1.0), (10, 1.0), (10, 4.0)])
def test_a_normal_rate_is_left_with_the_textbook_variance(day, spread):
    draws = normal_draws(0.2)
    many = many_tanks(NO_EXCHANGE, draws, one_test(day), first_days=1000.0, copies=1)
    found = advise(NO_EXCHANGE, many, meter(spread), budget=1)
    left = (1 / 0.2**2 + day**2 / spread**2) ** -0.5
    assert found.now.rate_width == pytest.approx(EXACT * 0.2, rel=0.01)
    assert found.ranked[0].rate_width == pytest.approx(EXACT * left, rel=0.02)
    # The calendar is simulated on a hundred futures.
    assert found.calendar[0].rate_width == pytest.approx(EXACT * left, rel=0.08)


def test_noise_of_the_tank_counts_as_it_gathers():
    """Ten days of 0.5 a root day add 2.5 to the variance of the reading's 1."""
    many = many_tanks(
        NO_EXCHANGE, normal_draws(0.2, tank=0.5), one_test(10), first_days=1000.0
    )
    found = advise(NO_EXCHANGE, many, meter(1.0), budget=0)
    left = (1 / 0.04 + 100 / 3.5) ** -0.5
    assert found.ranked[0].rate_width == pytest.approx(EXACT * left, rel=0.02)


def test_a_chart_tells_by_which_side_of_an_edge_the_level_lies():
    """Rates 2 +- 0.2 from 20: on day 4.14 they lie round the edge at 28.28.

    With an eye that makes no error, half the rates go: the band of a half normal. Its
    2.5 and 97.5 % points are the normal's 1.25 and 48.75 %: 2.2414 and 0.0313 sd.
    """
    day = (800**0.5 - 20.0) / 2.0
    many = many_tanks(
        NO_EXCHANGE, normal_draws(0.2), one_test(day), first_days=1000.0, copies=1
    )
    found = advise(NO_EXCHANGE, many, replace(chart(noise=0.0), floor_mg_l=0.0))
    assert found.ranked[0].rate_width == pytest.approx(0.2 * 2.2101, rel=0.02)
    # A reading that cannot come out otherwise tells nothing.
    sure = many_tanks(
        NO_EXCHANGE, normal_draws(0.2), one_test(1.0), first_days=1000.0, copies=1
    )
    left = advise(NO_EXCHANGE, sure, replace(chart(noise=0.0), floor_mg_l=0.0))
    assert left.ranked[0].rate_width == pytest.approx(EXACT * 0.2, rel=0.01)


def test_diluting_moves_the_edges_to_where_the_level_is():
    """At 35 a doubling chart reads 40 whatever; two to one its edge lies at 42."""
    draws = normal_draws(0.4, level=30.0)
    day = START + dt.timedelta(days=6)
    plain = Candidate("tank", day, "between")
    listed = {plain: 6.0, replace(plain, times=1.5): 6.0}
    many = many_tanks(NO_EXCHANGE, draws, listed, first_days=1000.0)
    found = advise(NO_EXCHANGE, many, chart(noise=0.05), budget=1)
    assert found.ranked[0].tests[0].times == 1.5
    assert found.ranked[0].rate_width < 0.9 * found.ranked[1].rate_width
    assert "diluted 2 + 1" in candidate_words(found.ranked[0].tests[0])


def test_more_tests_leave_less_and_the_calendar_keeps_its_budget():
    listed = candidates(
        WEEKLY, chart(), start=START, days=28, first_days=7.0, usual_mg_l=30.0
    )
    draws = normal_draws(0.2, n=800, level=24.0, tank=0.4)
    many = many_tanks(WEEKLY, draws, listed, first_days=7.0, copies=2)
    found = advise(WEEKLY, many, chart(), budget=4, worlds=60)
    widths = [found.now.rate_width, *(w.rate_width for w in found.calendar)]
    assert len(widths) == 5
    assert (np.diff(widths) < 0.01 * widths[0]).all()
    assert widths[-1] < 0.9 * widths[0]
    assert len(set(found.calendar[-1].tests)) == 4
    assert found.ranked[0].rate_width <= found.ranked[-1].rate_width


def test_both_sides_of_each_exchange_are_among_the_tests():
    listed = candidates(
        WEEKLY, meter(1.0), start=START, days=10, first_days=3.0, usual_mg_l=30.0
    )
    days = {(c.day - START).days: c.place for c in listed if c.what == "tank"}
    assert sorted(days) == list(range(1, 11))
    assert {c.place for c in listed if (c.day - START).days == 3} == {"before", "after"}
    assert {c.what for c in listed} == {"tank", "new water", "standard"}
    # A meter has no steps to come between, so no dilution is offered.
    assert {c.times for c in listed} == {1.0}


def test_a_standard_is_worth_something_only_where_the_kit_may_be_off():
    standard = Candidate("standard", START, "between", 1.0, 28.0)
    draws = normal_draws(0.02)

    def left(bias):
        many = many_tanks(
            NO_EXCHANGE,
            draws,
            {standard: 1.0},
            first_days=1000.0,
            kit_bias=bias,
            bias_effect=-2.0,
            copies=1,
        )
        return advise(NO_EXCHANGE, many, meter(1.0), budget=0)

    right = left(0.0)
    assert right.ranked[0].rate_width == pytest.approx(right.now.rate_width, rel=1e-6)
    # A bias of 0.15 moves the rate by 0.3; read to 1 in 28 it is left with 0.0347.
    off = left(0.15)
    assert off.now.rate_width == pytest.approx(EXACT * 0.3007, rel=0.03)
    remaining = (1 / 0.15**2 + 28.0**2) ** -0.5
    expected = EXACT * ((2 * remaining) ** 2 + 0.02**2) ** 0.5
    assert off.ranked[0].rate_width == pytest.approx(expected, rel=0.05)


def a_log(both=False, weeks=14, **settings):
    """A tank that rises 2 mg/L a day, 40 % a week of water holding 5, read off a chart.

    By hand: long-run peak 5 + 14/0.4 = 40, trough 0.6 x 40 + 2 = 26.
    """
    rng = np.random.default_rng(12)
    edges = [2.5, 50**0.5, 200**0.5, 800**0.5, 3200**0.5]
    ends = [0.0, *edges, 12800**0.5]
    tests, exchanges = [], []
    for week in range(weeks):
        day = START - dt.timedelta(days=7 * (weeks - 1 - week))
        for place, level in (("before", 40.0), ("after", 26.0))[: 1 + both]:
            level = level * (1 + 0.1 * rng.standard_normal()) * (0.6 + 0.4 * (week > 0))
            i = int(np.searchsorted(edges, level))
            value = CHARTS["doubling"][i]
            test = Test(
                day, None, ends[i], ends[i + 1], value, f"{value:g}", "t.csv", week + 2
            )
            tests.append(replace(test, order=place))
        exchanges.append(Exchange(day, None, 0.4, None, "e.csv", week + 2))
    tank = Tank(volume_l=200.0, kit_steps_mg_l=CHARTS["doubling"], **settings)
    return Logbook(tank, tuple(tests), tuple(exchanges))


def stand_in(source_sd):
    """A fit in which the rate goes down as the source goes up, as before-only tests do.

    At a held sawtooth g = f (peak - source)/T, so 1 mg/L more takes 0.4/7 off.
    """
    n = 1000
    z = norm.ppf((np.arange(n) + 0.5) / n)
    source = 25.0 + source_sd * np.random.default_rng(5).permutation(z)
    rate = 2.0 + 0.1 * z - 0.4 / 7 * (source - 25.0)
    return fitted(
        draws=Draws(rate, np.full(n, 26.0), np.full(n, 0.4), source),
        net_rate=Estimate(2.0, 1.0, 3.0),
        usual_rate=Estimate(2.0, 1.0, 3.0),
        reading_noise=Estimate(0.1, 0.08, 0.12),
    )


def test_untested_new_water_is_the_first_thing_to_test():
    log = a_log()
    unknown = fitted(source_known=False, source_mg_l=None)
    habit = replace(WEEKLY, source_mg_l=0.0)
    found = next_tests(log, unknown, habit, refit=lambda _log: stand_in(8.0), budget=2)
    assert found.advice.ranked[0].tests[0].what == "new water"
    assert found.advice.calendar[0].tests[0].what == "new water"
    said = " ".join(next_test_sentences(found))
    assert "Best next test: the new water" in said
    assert "never tested" in said


def test_tested_new_water_is_not():
    result = stand_in(0.2)
    found = next_tests(a_log(), result, replace(WEEKLY, source_mg_l=25.0), budget=1)
    assert found.advice.ranked[0].tests[0].what == "tank"
    assert "never tested" not in " ".join(next_test_sentences(found))


def test_a_real_fit_of_before_only_tests_asks_for_the_new_water():
    log = a_log()
    result = fitted(source_known=False, source_mg_l=None)
    found = next_tests(log, result, replace(WEEKLY, source_mg_l=0.0), budget=1)
    assert found.advice.ranked[0].tests[0].what == "new water"
    assert found.advice.ranked[0].rate_width < 0.7 * found.advice.now.rate_width


def test_what_is_supposed_of_untested_water_is_a_range():
    log = with_unknown_source(a_log())
    assert (log.source[0].low_mg_l, log.source[0].high_mg_l) == (0.0, 50.0)


def test_a_log_that_tells_all_there_is_says_that_one_test_does_little():
    sure = stand_in(0.0)
    draws = replace(
        sure.draws, rate_mg_l_day=2.0 + 0.001 * (sure.draws.rate_mg_l_day - 2)
    )
    found = next_tests(
        a_log(), replace(sure, draws=draws), replace(WEEKLY, source_mg_l=25.0), budget=1
    )
    assert next_test_sentences(found)[0].startswith("No single test")


def test_the_way_of_testing_is_read_off_the_log():
    assert way_of(a_log()) == WAYS[0]
    assert way_of(a_log(both=True)) == WAYS[1]
    assert exchanges_a_test(a_log(), 7.0) == 1
    # A test a week with an exchange a day.
    assert exchanges_a_test(a_log(), 1.0) == 7
    assert exchanges_a_test(a_log(), 14.0) == 1
    assert way_of(Logbook(Tank())) == WAYS[0]


def test_power_is_said_for_each_way():
    habit = Habit(141.0, 0.3, 7.0, 5.0)
    rows = [
        power(habit, 1.29, 0.58, chart(noise=0.12), way, weeks_after=(4,), logs=100)
        for way in WAYS[:2]
    ]
    said = power_sentences(rows, 0.58, WAYS[0].name)
    assert "58 % more" in said[0]
    assert "(as now)" in said[0]
    assert "within 4 weeks" in said[1]
    heads, lines = power_rows(rows, WAYS[0].name)
    assert heads[1:] == ("4 weeks",)
    assert [len(line) for line in lines] == [2, 2]
    assert f" {lines[0][1]} in 100" in said[0]
