"""What a log foretold against what the invented tank then truly did.

The truth is a simulation in quarter hours that knows nothing of the kit; the kit sees
only what the keeper wrote before.
"""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from scipy.integrate import solve_ivp

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "data_demo"))

from club.messy import fen
from club.tanks import TANKS, long_run

from kit import files, fit
from kit.away import Trip, come_home, days_since_exchange
from kit.catchup import Caps, catch_up, stated_start
from kit.feed import believed_yield
from kit.headroom import try_feed
from kit.logbook import Logbook
from kit.subject import subject_of

ROOT = Path(__file__).resolve().parents[1]
DAY0 = dt.date(2026, 3, 2)
"""First day of the demo season."""


def before(name: str, day: int) -> Logbook:
    """Give a demo log as it stood at the end of a day of the season."""
    log = files.read_logbook(ROOT / "data_demo" / name)
    last = DAY0 + dt.timedelta(days=day)
    return replace(
        log,
        tests=tuple(t for t in log.tests if t.date <= last),
        exchanges=tuple(e for e in log.exchanges if e.date <= last),
        feedings=tuple(f for f in log.feedings if f.date <= last),
        upkeep=tuple(u for u in log.upkeep if u.date <= last),
    )


# Days 95 to 110: a feeder gives 0.6 g a day, nobody exchanges until day 120.
def test_a_trip_foretold_from_the_log_before_it():
    season, log = fen(), before("fen", 94)
    result = fit.rate(log)
    tank = subject_of(log, result)
    leave = (DAY0 + dt.timedelta(days=95) - tank.last).days
    trip = Trip(
        16,
        0.6,
        leave_in_days=leave,
        since_exchange_days=days_since_exchange(log),
        exchange_before=False,
        exchange_after=False,
    )
    found = come_home(
        tank.habit,
        tank.rate_mg_l_day,
        tank.level_mg_l,
        trip,
        believed_yield(result.feed_yield),
        home_feed_g_day=result.feed_g_day,
        draws=tank.draws,
    )
    assert season.start == DAY0
    leaving, home = season.level(95, 0), season.level(111, 0)
    highest = max(season.level(day, 0) for day in range(95, 121))
    assert found.leaving_mg_l.low < leaving < found.leaving_mg_l.high
    assert found.home_mg_l.low < home < found.home_mg_l.high
    assert found.peak_mg_l.low < highest < found.peak_mg_l.high
    # Not by being wide enough for anything.
    assert found.home_mg_l.high - found.home_mg_l.low < home


# From day 112 the tank gets 0.5 g a day more; its usual peak goes from 35.1 to 52.5.
def test_a_stocking_foretold_from_the_log_before_it():
    log = before("spring-run", 111)
    result = fit.rate(log)
    tank = subject_of(log, result)
    trial = try_feed(
        tank.habit,
        tank.rate_mg_l_day,
        tank.level_mg_l,
        0.5,
        believed_yield(result.feed_yield),
        tank=log.tank,
        draws=tank.draws,
    )
    truth = TANKS["spring-run"]
    now = long_run(truth).peak_mg_l
    then = long_run(truth, feed_g_day=1.3).peak_mg_l
    assert (now, then) == pytest.approx((35.1, 52.5), abs=0.1)
    assert trial.now.peak_mg_l.low < now < trial.now.peak_mg_l.high
    assert trial.then.peak_mg_l.low < then < trial.then.peak_mg_l.high
    assert trial.then.peak_mg_l.high - trial.then.peak_mg_l.low < then / 1.5


# The neglected tank truly stands at 229; its keeper read 50 to 60 from a vial of 1 part
# tank water in 3 parts pure water.
def test_a_way_down_holds_the_truth_at_every_exchange():
    log = files.read_logbook(ROOT / "data_demo" / "backwater")
    result = fit.rate(log)
    tank, facts = subject_of(log, result), TANKS["backwater"]
    found = catch_up(
        tank.habit,
        tank.rate_mg_l_day,
        220.0,
        40.0,
        Caps(20, 3),
        draws=stated_start(tank.draws, 200.0, 240.0),
    )
    rise = facts.feed_g_day * facts.yield_mg_g / facts.volume_l + facts.base_mg_l_day
    level, held = 229.0, 0
    for turn in found.turns:
        held += turn.before.low < level < turn.before.high
        level += turn.fraction * (facts.source_mg_l - level)
        held += turn.after.low < level < turn.after.high
        run = solve_ivp(
            lambda _, c: rise - facts.loss_per_day * c,
            (0, 3),
            [level],
            rtol=1e-9,
            atol=1e-9,
        )
        level = float(run.y[0, -1])
    assert held >= 2 * len(found.turns) - 1
    assert found.needed.low <= 10 <= found.needed.high
