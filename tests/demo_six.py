"""Quarry to Lagoon: what the kit finds, beside what is true; see `demo_reached`."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
from demo_keeper import (
    FIRST_DAY,
    Row,
    answered,
    day_of,
    demo,
    each,
    est,
    fitted,
    log_of,
    mended,
    net,
    part,
    peak,
    percent_for,
    relined,
    spoken,
    step_of,
)

from kit import change, fit
from kit.catchup import Caps, TwoWaters, catch_up, check_water, stated_start
from kit.errors import PlanError
from kit.feed import STATED_YIELDS
from kit.fit import Estimate
from kit.headroom import blended
from kit.makeup.density import salinity_of_gravity
from kit.makeup.salt import exchange_dose_g
from kit.outcome import plan_for
from kit.plan import plan, solve_percent
from kit.sawtooth import long_run


def quarry(root: Path) -> list[Row]:
    log = demo("quarry")
    result, subject = fitted(log)
    rate, habit = net(result), subject.habit
    refused = plan_for(
        replace(log, tank=replace(log.tank, ceiling_mg_l=20.0)),
        result,
        percent=None,
        every_days=7.0,
    )
    try:
        solve_percent(habit, rate.estimate, 12.0)
        nothing = ""
    except PlanError as why:
        nothing = str(why)
    return [
        Row("net rate", 1.77, rate),
        Row("usual peak as kept", 35.9, peak(habit, subject)),
        Row("% weekly for 40", 35.0, percent_for(habit, rate, 40.0)),
        Row("% weekly for 30", 50.0, percent_for(habit, rate, 30.0)),
        Row("% weekly for 20", 82.0, percent_for(habit, rate, 20.0)),
        Row("20 at 50 % at most", said=refused.why, asks="more than your limit of 50"),
        # 1.77 x 7 + 5 = 17.4 with all of the water changed.
        Row("12 by exchange alone", said=nothing, asks="feed less"),
    ]


def culvert(root: Path) -> list[Row]:
    _result, subject = fitted(demo("culvert"))
    half = replace(subject.habit, fraction=0.5)
    third, draws = blended(subject.habit, subject.draws, 2.0 / 3.0)
    purer = plan(third, subject.rate_mg_l_day, draws.rate_mg_l_day)
    return [
        Row("usual peak as kept", 42.8, peak(subject.habit, subject)),
        Row("peak at 50 % weekly", 36.4, peak(half, subject), wide=0.2),
        # The card is wide beside 0.46 mg/L a day on water of 30, and the band says so.
        Row("peak with water of 10", 23.4, est(purer.peak_mg_l), wide=0.6),
    ]


def tarn(root: Path) -> list[Row]:
    result = fit.rate(demo("tarn"))
    # Beside 0.83 mg/L a day that the food makes before the plants take it up.
    return [
        Row("net rate", 0.0155, net(result), near=0.1, wide=0.1, scale=0.83),
        Row("build-up", said=spoken(result), asks="No (rise|build-up) can be told"),
        Row("what it may be", said=spoken(result), asks="such as plants"),
    ]


def backwater(root: Path) -> list[Row]:
    log = demo("backwater")
    raw, kinds = change.report(log), " ".join(p.kind for p in log.problems)
    folder = mended("backwater", root, ("tests.csv", ",50-60,", ",200-240,"))
    result, subject = fitted(log_of(folder))
    draws = stated_start(subject.draws, 200.0, 240.0)
    way = catch_up(
        subject.habit, subject.rate_mg_l_day, 220.0, 40.0, Caps(20, 3), draws=draws
    )
    days = 3.0 * (len(way.turns) - 1)
    water = check_water(
        way, TwoWaters(tank_ph=6.2, new_ph=7.4, tan_mg_l=2.0, new_dkh=5.0)
    )
    assert water.ammonia is not None
    assert water.reserve is not None
    most = water.ammonia.nh3_most_mg_l
    weekly = replace(subject.habit, interval_days=7.0)
    usual, loss, level = result.usual_rate, result.loss_per_day, result.level_now
    assert usual is not None
    assert loss is not None
    assert level is not None
    return [
        Row("the diluted test", said=kinds, asks="diluted sample"),
        Row("seen as odd as well", said=" ".join(raw.statements), asks="dilution"),
        # (228.1 - 30)/270 on the mean over the season; 1.325 before the loss.
        Row("net rate, less the loss", 0.734, net(result), near=0.2, wide=0.5),
        Row("rate before the loss", 1.325, usual, near=0.2, wide=0.5),
        Row("% lost a day", 0.4, each(loss, lambda k: 100 * k), near=0.25, wide=1.1),
        Row("level at the end", 228.0, level, near=0.2, wide=0.3),
        Row("what it may be", said=spoken(result), asks="exchanges .* not logged"),
        Row("exchanges of 20 %", 10.0, est(way.needed), wide=0.2),
        Row("days", 27.0, Estimate(days, days, days)),
        # (229 - 40)/(229 - 5) = 84 %; at 220 it is 84 % as well.
        Row("% in one go", 84.0, each(Estimate(*[100 * way.one_go] * 3), float), 0.02),
        Row("% weekly for 40", 27.0, percent_for(weekly, usual, 40.0), wide=0.5),
        # 2 mg/L at pH 7.4 and 25 C: 0.028 mg/L before dilution, 0.002 at pH 6.2.
        Row("ammonia at pH 7.4", 0.028, Estimate(most, most, most), 0.25),
        Row("carbonate hardness", said=str(water.reserve.spent), asks="True"),
    ]


def estuary(root: Path) -> list[Row]:
    log = demo("estuary")
    raw, kinds = fit.rate(log), " ".join(p.kind for p in log.problems)
    folder = mended("estuary", root, ("exchanges.csv", "2062-06-19", "2026-06-19"))
    as_written = fit.rate(answered(folder, same_line_twice="once"))
    relined(
        folder / "exchanges.csv",
        lambda lines: [
            x.replace("batch", "top-up") if "filled up" in x else x for x in lines
        ],
    )
    result, subject = fitted(log_of(folder))
    pure = replace(subject.habit, top_up="pure")
    salt = float(salinity_of_gravity(1.005))
    dose = float(exchange_dose_g(0.25 * subject.habit.volume_l, salt))
    return [
        Row("before mending", said=raw.refused or "", asks="Mend the dates"),
        Row("top-ups as exchanges", said=kinds, asks="exchange may be a top-up"),
        Row("net rate, top-ups as exchanges", 0.977, net(as_written), wide=0.45),
        Row("net rate", 0.977, net(result), wide=0.45),
        Row("usual peak, tap top-up", 53.7, peak(subject.habit, subject), wide=0.4),
        Row("usual peak, pure top-up", 47.8, peak(pure, subject), wide=0.4),
        Row("salt for an exchange, g", 248.0, Estimate(dose, dose, dose), 0.02),
    ]


def lagoon(root: Path) -> list[Row]:
    log = demo("lagoon")
    found = change.report(log, known=FIRST_DAY + dt.timedelta(120))
    step, asked = step_of(found), found.known
    assert asked is not None
    before, earlier = fitted(part(log, end=step.date))
    after, later = fitted(part(log, first=asked.date))
    fifth = replace(earlier.habit, fraction=0.2)
    # 6 g frozen and 0.3 g dry food a day, by the usual ranges, and nothing taken up.
    kinds = {"frozen": 6.0, "dry": 0.3}
    made = sum(g * STATED_YIELDS[k].mg_g for k, g in kinds.items())
    off = 1.96 * float(
        np.hypot(*(g * STATED_YIELDS[k].sd_mg_g for k, g in kinds.items()))
    )
    none = Estimate(*(m / later.habit.volume_l for m in (made, made - off, made + off)))
    return [
        Row("day of the change", 120.0, day_of(step), 0.75, 2.0, scale=28.0),
        Row("net rate before", 0.291, net(before), 0.25, 0.7),
        # Season 0.5311 over 200 days, 0.2911 over the first 120: 0.89 after.
        Row("net rate after", 0.891, net(after), 0.25, 0.7),
        Row("rise on the day named", 0.600, asked.change, 0.2, 1.0, never=0.0),
        Row("level at the end", 44.1, after.level_now, 0.25, 0.5),
        # 0.2 + 0.891 x 7/0.1, the steady rate carried on. The tank itself settles at
        # 47.5, as algae take up more when the level rises: a loss, which no log can
        # tell from a lower rate.
        Row("settles at a steady rate", 62.6, peak(later.habit, later), 0.25, 0.6),
        Row(
            "rate against a loss",
            said=spoken(after),
            asks="from a loss in the tank, such as",
        ),
        Row(
            "settles with no algae",
            104.0,
            each(none, lambda g: long_run(later.habit, g).peak_mg_l),
            wide=0.6,
        ),
        Row("peak before at 20 %", 14.4, peak(fifth, earlier), 0.25, 0.5),
        Row(
            "or the new lot", said=" ".join(found.rivals), asks="low range lot 2 first"
        ),
        Row("the keeper's own note", said=" ".join(found.rivals), asks="lamp over"),
    ]
