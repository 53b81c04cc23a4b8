"""What a log may be wrong about: how each bends the levels, and what the fit says."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.integrate import solve_ivp

from kit import fit
from kit.fit._alike import LOSS, SIZES, SOURCE
from kit.fit._columns import _main, unsettled
from kit.fit._ledger import build
from kit.fit._unsure import Plug, exchange_variance, jolts, unsure
from kit.fit.model import Beforehand, lay_out, view
from kit.logbook import Exchange, Feeding, Logbook, SourceTest, Standard, Tank, Test

DAY0 = dt.date(2026, 3, 2)
METER = Tank(volume_l=100.0, source_nitrate_mg_l=5.0, kit_resolution_mg_l=0.1)


def when(day):
    hours = round((day % 1) * 24)
    return DAY0 + dt.timedelta(int(day)), dt.time(hours)


def meter(day, value, line=2, **extra):
    date, time = when(day)
    low, high = max(value - 0.05, 0.0), value + 0.05
    return Test(date, time, low, high, value, f"{value:.1f}", "t.csv", line, **extra)


def exchanged(day, fraction=None, litres=None, **extra):
    date, time = when(day)
    return Exchange(date, time, fraction, litres, "e.csv", 2, **extra)


def lived(tank, exchanges, rate, start, days, *, drip=0.0, source=5.0):
    """Levels just before the asked-for days, by an integrator from the registry."""
    out, level, now = [], start, 0.0
    marks = sorted({*days, *exchanges})
    loss = drip / tank.volume_l
    for mark in marks:
        if mark > now:
            solved = solve_ivp(
                lambda _, c: rate + loss * (source - c),
                (now, mark),
                [level],
                rtol=1e-10,
                atol=1e-10,
            )
            level, now = float(solved.y[0, -1]), mark
        if mark in days:
            out.append(level)
        if mark in exchanges:
            level += exchanges[mark] * (source - level)
    return np.array(out)


WEEKS = {7.5: 0.3, 14.5: 0.3, 21.5: 0.3, 28.5: 0.3}
DAYS = [0.5, 7.0, 8.0, 14.0, 15.0, 21.0, 22.0, 28.0, 29.0, 33.0]


def small_log(tank, *, fraction=0.3, litres=None, rough=False):
    tests = tuple(meter(d, 20.0, i + 2) for i, d in enumerate(DAYS))
    water = tuple(exchanged(d, fraction, litres, rough=rough) for d in WEEKS)
    return Logbook(tank, tests, water)


def plug_of(log, start, rate):
    ledger = build(log, "before")
    first = np.array([start, rate])

    def levels(asked, turned):
        x, known = _main(ledger, (), asked, turned)
        return x @ first + known

    return Plug(ledger, levels)


# Finite differences of scipy's integrator, which knows nothing of the kit's chain.
def test_overflow_bends_the_levels_as_an_integrator_says():
    tank = replace(METER, drip_l_day=4.0)
    plug = plug_of(small_log(tank), 30.0, 2.0)
    (found,) = unsure(plug, Beforehand(overflow_error=0.1), {})
    expected = (
        lived(tank, {k - 0.5: v for k, v in WEEKS.items()}, 2.0, 30.0,
              [d - 0.5 for d in DAYS][1:], drip=4.04)
        - lived(tank, {k - 0.5: v for k, v in WEEKS.items()}, 2.0, 30.0,
                [d - 0.5 for d in DAYS][1:], drip=4.0)
    ) / 0.01  # fmt: skip
    assert found.name == "overflow"
    assert found.sd == 0.1
    np.testing.assert_allclose(found.column[1:], expected, rtol=2e-4, atol=1e-4)


def test_litres_bend_the_levels_only_where_litres_were_written():
    by_litres = plug_of(small_log(METER, fraction=None, litres=30.0), 30.0, 2.0)
    names = [u.name for u in unsure(by_litres, Beforehand(), {})]
    assert names == ["litres"]
    assert unsure(plug_of(small_log(METER), 30.0, 2.0), Beforehand(), {}) == ()


def test_inexact_exchanges_scatter_the_levels_as_trials_do():
    log = small_log(METER, rough=True)
    plug = plug_of(log, 30.0, 2.0)
    known = Beforehand(rough_error=0.15)
    spread = jolts(plug, exchange_variance(plug, known))
    # Trials with exchanges of random size; the fourth test follows the second exchange.
    rng = np.random.default_rng(4)
    levels = np.full(20000, 30.0)
    seen, now = [], 0.5
    for day in sorted([*DAYS[1:], *WEEKS]):
        levels = levels + 2.0 * (day - now)
        now = day
        if day in WEEKS:
            part = 0.3 * (1 + 0.15 * rng.standard_normal(len(levels)))
            levels = levels + part * (5.0 - levels)
        else:
            seen.append(levels.copy())
    # Variance that is new since the test before: what is left after regressing on it.
    for i in (1, 3, 5, 7):
        fresh = sm.OLS(seen[i], sm.add_constant(seen[i - 1])).fit()
        assert spread[i + 1] == pytest.approx(fresh.mse_resid, rel=0.12)
    assert spread[0] == spread[1] == spread[3] == 0.0


def season(rate=2.0, *, weeks=20, noise=0.04, seed=3, source=5.0, both=True, f=0.3):
    """Weekly readings round weekly exchanges, by sums of its own."""
    rng = np.random.default_rng(seed)
    level, tests, water = 25.0, [], []

    def read(day):
        seen = max(level * (1 + noise * rng.standard_normal()), 0.0)
        tests.append((day, round(seen, 1)))

    read(11 / 24)
    for week in range(1, weeks + 1):
        level += rate * 7
        read(7 * week + 11 / 24)
        level += f * (source - level)
        water.append(7 * week + 0.5)
        if both:
            read(7 * week + 13 / 24)
    return tests, water, f


def as_log(parts, tank=METER, **extra):
    tests, water, f = parts
    made = tuple(meter(d, v, i + 2) for i, (d, v) in enumerate(tests))
    return Logbook(tank, made, tuple(exchanged(d, f) for d in water), **extra)


def test_rough_exchanges_widen_the_band():
    log = as_log(season())
    rough = replace(log, exchanges=tuple(replace(e, rough=True) for e in log.exchanges))
    exact, wide = fit.rate(log).net_rate, fit.rate(rough).net_rate
    assert wide.high - wide.low > 1.15 * (exact.high - exact.low)
    assert any("rough amount" in a for a in fit.rate(rough).assumptions)


# Textbook result: with a linear model and a normal prior on one coefficient, the prior
# is one more row of least squares (Theil and Goldberger 1961, mixed estimation).
def test_an_uncertain_source_moves_with_the_rate_as_mixed_estimation_says():
    parts = season(weeks=26, both=False)
    tests = tuple(
        SourceTest(DAY0 + dt.timedelta(d), None, 3.0, 7.0, None, "3-7", "s.csv", 2)
        for d in (0, 60)
    )
    log = as_log(parts, replace(METER, source_nitrate_mg_l=None), source=tests)
    result = fit.rate(log)
    draws = result.draws
    assert np.corrcoef(draws.rate_mg_l_day, draws.source_mg_l)[0, 1] < 0
    assert dict(result.offsets)["source"].low < 0 < dict(result.offsets)["source"].high
    ledger = build(log, "before")
    kit = view(ledger.tests, log.tank)
    layout = unsettled(lay_out(ledger, kit), ledger, kit, Beforehand())
    r, sd = layout.readings, layout.extras[0].sd
    reading = np.exp(result.params["log_reading_noise"]) * kit.written
    x = np.vstack([r.exog / reading[:, None], [0, 0, 1 / sd]])
    y = np.append((kit.written - r.known) / reading, 0.0)
    mixed = sm.OLS(y, x).fit()
    cov = np.linalg.inv(x.T @ x)
    wanted = cov[1, 2] / cov[2, 2]
    got = np.polyfit(draws.source_mg_l, draws.rate_mg_l_day, 1)[0]
    assert got == pytest.approx(wanted, rel=0.25)
    assert result.net_rate.estimate == pytest.approx(mixed.params[1], rel=0.05)


def test_a_reader_who_reads_high_is_found():
    tests, water, f = season(weeks=26)
    made = []
    for i, (d, v) in enumerate(tests):
        who = "B" if i % 3 == 0 else "A"
        made.append(
            meter(d, round(v * (1.2 if who == "B" else 1.0), 1), i + 2, reader=who)
        )
    log = Logbook(METER, tuple(made), tuple(exchanged(d, f) for d in water))
    result = fit.rate(log)
    offset = dict(result.offsets)["reader B against A"]
    assert offset.low < 0.2 < offset.high
    assert offset.low > 0.05
    assert result.net_rate.low < 2.0 < result.net_rate.high


def standard(known, read):
    return Standard(
        date=DAY0, kit="", reader="", known_mg_l=known, low_mg_l=read - 0.05,
        high_mg_l=read + 0.05, value_mg_l=read, raw=str(read), file="standards.csv",
        line=2,
    )  # fmt: skip


def test_a_kit_that_reads_low_on_standards_is_corrected():
    tests, water, f = season(weeks=26, source=0.0)
    low = [(d, round(0.8 * v, 1)) for d, v in tests]
    tank = replace(METER, source_nitrate_mg_l=0.0)
    checks = tuple(standard(k, 0.8 * k) for k in (10.0, 25.0, 50.0) * 4)
    plain = fit.rate(as_log((low, water, f), tank))
    mended = fit.rate(as_log((low, water, f), tank, standards=checks))
    assert plain.net_rate.high < 2.0
    assert plain.rate_if_biased.high > 1.9
    assert mended.net_rate.low < 2.0 < mended.net_rate.high
    assert mended.rate_if_biased is None
    assert any("times the true value" in a for a in mended.assumptions)


def test_two_checks_are_too_few_to_correct_by():
    checks = (standard(10.0, 8.0), standard(25.0, 20.0))
    log = as_log(season())
    with_two = fit.rate(replace(log, standards=checks))
    assert with_two.net_rate == fit.rate(log).net_rate
    assert any("too few to correct by" in a for a in with_two.assumptions)


def test_a_kit_bias_set_beforehand_widens_the_band():
    log = as_log(season())
    wide = fit.rate(log, known=Beforehand(kit_bias=0.15))
    narrow = fit.rate(log)
    spread = narrow.rate_if_biased
    assert wide.rate_if_biased is None
    assert wide.net_rate.high - wide.net_rate.low == pytest.approx(
        spread.high - spread.low, rel=0.25
    )


# Job of the tests: with readings always just before a fixed exchange, source and rate
# are the same column but for a factor (Cs + gT/f is all that a steady log shows).
def test_before_only_tests_cannot_tell_source_from_rate():
    before = fit.rate(as_log(season(both=False, weeks=26)))
    both = fit.rate(as_log(season(both=True, weeks=26)))

    def correlation(result, what):
        return abs(next(a.correlation for a in result.alike if a.what == what))

    assert correlation(before, SOURCE) > correlation(both, SOURCE)
    assert correlation(before, SIZES) > 0.95
    assert correlation(before, LOSS) > 0.9
    said = [s for s in before.statements if "cannot tell the rise from" in s]
    assert len(said) == 1


# In the long run the peak is Cs + gT/f: a tenth more source at the peak takes as much
# off g as f/T; exchanges a fifth smaller make g a fifth smaller.
def test_effects_agree_with_the_long_run():
    result = fit.rate(as_log(season(both=False, weeks=40)))
    effect = {a.what: a.effect for a in result.alike}
    assert effect[SOURCE] == pytest.approx(-10 * 0.3 / 7, rel=0.15)
    assert effect[SIZES] == pytest.approx(-0.2 * 2.0, rel=0.2)


def fed_log(grams, made, *, weeks=26, noise=0.02, seed=8, foods=None):
    """Days of feeding whose nitrate comes as ``made`` says, weekly exchanges."""
    rng = np.random.default_rng(seed)
    level, tests, water, meals = 25.0, [], [], []
    for day in range(7 * weeks):
        for hour, then in ((6, 0), (12, 6), (18, 12), (24, 18)):
            level += made[day] * (hour - then) / 24
            first = hour == 6 and day % 7 == 0 and day > 0
            if first or (hour == 18 and (day % 2 == 0 or day == 0)):
                seen = level * (1 + noise * rng.standard_normal())
                tests.append((day + hour / 24, round(seen, 1)))
            if hour == 12 and day % 7 == 0 and day:
                level += 0.3 * (5.0 - level)
                water.append(day + 0.5)
        for name, amount in grams[day].items():
            date = DAY0 + dt.timedelta(day)
            meals.append(Feeding(date, None, amount, "f.csv", 2, name))
    return as_log((tests, water, 0.3), feedings=tuple(meals))


def blocks(weeks, low, high, every=4):
    return np.array(
        [high if (d // 7) // every % 2 else low for d in range(7 * weeks)], dtype=float
    )


def test_a_delay_between_food_and_nitrate_is_found():
    food = blocks(26, 0.5, 1.5, every=2)
    keep = np.exp(-1 / 7.0)
    left, made = food.mean() * keep / (1 - keep), []
    for g in food:
        left += g
        made.append(0.2 + 200 / 100 * (1 - keep) * left)
        left *= keep
    log = fed_log([{"": g} for g in food], made)
    result = fit.rate(log)
    assert result.lag is not None
    assert result.lag.low <= 7.0 <= result.lag.high
    assert result.feed_yield.low < 200 < result.feed_yield.high
    assert any("comes later than the food" in s for s in result.statements)


def test_no_delay_is_claimed_where_there_is_none():
    food = blocks(26, 0.5, 1.5, every=2)
    log = fed_log([{"": g} for g in food], list(0.2 + 2.0 * food))
    result = fit.rate(log)
    assert result.lag is None
    assert any("No delay" in s for s in result.statements)


def test_two_foods_get_a_yield_each():
    flakes, frozen = blocks(26, 0.4, 1.2, every=3), blocks(26, 1.0, 5.0, every=2)
    made = list(0.1 + (210 * flakes + 40 * frozen) / 100)
    meals = [{"flakes": a, "frozen": b} for a, b in zip(flakes, frozen, strict=True)]
    result = fit.rate(fed_log(meals, made))
    yields = dict(result.yields)
    assert yields["flakes"].low < 210 < yields["flakes"].high
    assert yields["frozen"].low < 40 < yields["frozen"].high
    assert result.feed_yield is None


def test_food_that_varied_is_reckoned_with_where_its_yield_is_not_told():
    """Six weeks of a chart: the food doubles half way, too short to tell a yield."""
    food = np.array([1.0] * 28 + [2.0] * 28)
    log = fed_log([{"": g} for g in food], list(2.0 * food), weeks=8, noise=0.15)
    steps = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0)
    edges = [2.5, 50**0.5, 200**0.5, 800**0.5, 3200**0.5, 12800**0.5, np.inf]
    tests = []
    for t in log.tests[::3]:
        i = int(np.searchsorted(edges, t.value_mg_l))
        low = edges[i - 1] if i else 0.0
        tests.append(replace(t, low_mg_l=low, high_mg_l=edges[i], value_mg_l=steps[i]))
    log = replace(log, tests=tuple(tests), tank=replace(METER, kit_steps_mg_l=steps))
    result = fit.rate(log)
    assert result.feed_yield is None
    assert any(
        "a gram of food is taken to make 180 mg" in a for a in result.assumptions
    )
    assert result.net_rate.low < 2.0 * food.mean() < result.net_rate.high


def test_a_yield_set_beforehand_is_used_and_said():
    food = np.ones(26 * 7)
    log = fed_log([{"": g} for g in food], list(0.2 + 2.0 * food))
    result = fit.rate(log, known=Beforehand(feed_yield=(210.0, 40.0)))
    assert result.feed_yield.estimate == pytest.approx(210.0, rel=0.1)
    assert any("set beforehand, not on the log" in s for s in result.statements)
    assert fit.rate(log).feed_yield is None


def test_a_tank_that_is_emptied_by_its_plants_gets_no_rate():
    rng = np.random.default_rng(5)
    level, tests, water = 0.0, [], []
    for day in range(7 * 20):
        level = max(level - 5.0, 0.0)
        if day % 7 == 6:
            level += 0.5 * (40.0 - level)
            water.append(day + 0.5)
        if day % 2 == 0 and day > 6:
            tests.append(
                (day + 0.75, round(max(level + 0.3 * rng.standard_normal(), 0), 1))
            )
    tank = replace(METER, source_nitrate_mg_l=40.0)
    result = fit.rate(as_log((tests, water, 0.5), tank))
    assert result.net_rate is None
    assert "until the tank is empty" in result.refused


def width(result):
    return result.net_rate.high - result.net_rate.low


# Mass balance of a shrinking tank, by scipy's integrator.
def test_evaporation_that_is_not_made_up_concentrates():
    tank = replace(METER, evaporation_l_day=2.0, top_up="none")
    mass, litres, tests, water = 25.0 * 100, 100.0, [], []

    for week in range(12):
        for day in (2, 4, 7):
            at = 7.0 * week + day
            last = 7.0 * week + {2: 0, 4: 2, 7: 4}[day]
            mass = float(solve_ivp(lambda _, m: 2.0 * 100, (last, at), [mass]).y[0, -1])
            litres = 100.0 - 2.0 * day
            tests.append((at, round(mass / litres, 1)))
        taken = 30.0 * mass / litres
        mass = mass - taken + (100.0 - (litres - 30.0)) * 5.0
        water.append(7.0 * week + 7 + 1 / 24)
    log = as_log((tests, water, 0.3), tank)
    result = fit.rate(log)
    assert result.net_rate.low < 2.0 < result.net_rate.high
    assert result.net_rate.estimate == pytest.approx(2.0, rel=0.04)
    ignoring = fit.rate(replace(log, tank=replace(tank, evaporation_l_day=0.0)))
    assert width(ignoring) > 2 * width(result)


def test_readers_who_differ_are_said_with_what_follows():
    tests, water, f = season(weeks=26)

    def log(high):
        made = [
            meter(
                d,
                round(v * (1.2 if high(i) else 1.0), 1),
                i + 2,
                reader="B" if high(i) else "A",
            )
            for i, (d, v) in enumerate(tests)
        ]
        return Logbook(METER, tuple(made), tuple(exchanged(d, f) for d in water))

    mixed = " ".join(fit.rate(log(lambda i: i % 3 == 0)).statements)
    assert "The reader B shows" in mixed
    assert "higher than A, which tested most and is taken as right" in mixed
    assert "never in use together" not in mixed
    late = 2 * len(tests) // 3
    after = " ".join(fit.rate(log(lambda i: i >= late)).statements)
    assert "The reader B shows" in after
    assert "never in use together" in after
