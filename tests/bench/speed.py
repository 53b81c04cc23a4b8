"""How fast the kit's parts are beside a general-purpose way, as ratios in one run.

Run as ``python tests/bench/speed.py``; a benchmark measures, it asserts nothing.
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize
from scipy.stats import norm

from kit import fit
from kit.balance import Exchanged, Flow, Observed, carry, design, link
from kit.fit.model import Beforehand, build, columns, top_of, unsettled, view
from kit.logbook import Feeding

YEARS, VOLUME, START, YIELD, BASE, SOURCE = 10, 300.0, 20.0, 210.0, 0.1, 5.0


def best(run, times=5):
    """Best time of several runs. [s]."""
    spent = []
    for _ in range(times):
        begin = time.perf_counter()
        out = run()
        spent.append(time.perf_counter() - begin)
    return min(spent), out


def ten_years():
    """Daily feeding, a drip, weekly exchanges, weekly tests."""
    rng = np.random.default_rng(3)
    steps = []
    for day in range(YEARS * 365):
        steps.append(Flow(1.0, VOLUME, rng.uniform(1, 3), 6.0, 5.0, SOURCE))
        if day % 7 == 6:
            steps += [Observed(), Exchanged(0.3, SOURCE)]
    return steps


def by_integrator(steps):
    """The same tank by scipy's integrator at rtol 1e-8, restarted at each jump."""
    level, out = START, []
    for step in steps:
        if isinstance(step, Observed):
            out.append(level)
        elif isinstance(step, Exchanged):
            level += step.fraction * (step.source_mg_l - level)
        else:

            def slope(_, c, s=step):
                come = YIELD * s.feed_g_day + s.inflow_l_day * s.source_mg_l
                return (come - s.overflow_l_day * c) / s.volume_l + BASE

            run = solve_ivp(slope, (0, step.days), [level], rtol=1e-8, atol=1e-10)
            level = run.y[0, -1]
    return np.array(out)


def balance():
    """Balance against the integrator."""
    steps = ten_years()
    exact, levels = best(
        lambda: carry(
            link(steps), start_mg_l=START, yield_mg_g=YIELD, base_mg_l_day=BASE
        )
    )
    columns, _ = best(lambda: design(link(steps)))
    slow, checked = best(lambda: by_integrator(steps), times=1)
    apart = float(np.max(np.abs(levels - checked) / checked))
    print(
        f"balance, ten years: {exact * 1e3:.1f} ms against {slow * 1e3:.0f} ms by "
        f"solve_ivp (rtol 1e-8): {slow / exact:.0f} times faster, farthest apart "
        f"{apart:.1e}; design columns {columns * 1e3:.1f} ms"
    )


def generic_cost(log):
    """Misfit of a log by scipy alone: solve_ivp, independent errors.

    Start, rate and one relative reading noise in the interval likelihood, which is
    less than the kit fits: the tank's own noise is left out.
    """
    day0 = log.tests[0].date

    def moment(record):
        return (record.date - day0).days + record.time.hour / 24

    events = [(moment(t), 0, t) for t in log.tests]
    events += [(moment(e), 1, e) for e in log.exchanges]
    # Food changes from day to day, so the integrator starts afresh each midnight.
    feed = {(f.date - day0).days: f.feed_g for f in log.feedings}
    last = max(e[0] for e in events)
    events += [(float(d), 2, None) for d in feed if 0 < d < last]
    events.sort(key=lambda e: e[:2])
    mean = sum(feed.values()) / max(len(feed), 1)
    source = log.tank.source_nitrate_mg_l
    low = np.array([t.low_mg_l for t in log.tests])
    high = np.array([t.high_mg_l or np.inf for t in log.tests])

    def levels(start, rate):
        level, now, out = start, events[0][0], []
        for at, exchange, record in events:
            if at > now:
                today = rate * (feed.get(int(now), 0.0) / mean if feed else 1.0)
                run = solve_ivp(
                    lambda _, c, r=today: [r], (now, at), [level], rtol=1e-6
                )
                level, now = run.y[0, -1], at
            if exchange == 1:
                level += record.fraction * (source - level)
            elif exchange == 0:
                out.append(level)
        return np.array(out)

    def cost(params):
        mu = np.maximum(levels(params[0], params[1]), 0.1)
        sd = np.exp(params[2]) * mu
        chance = norm.cdf((high - mu) / sd) - norm.cdf((low - mu) / sd)
        return -np.log(np.maximum(chance, 1e-300)).sum()

    return cost


def generic_fit(log):
    """The likeliest start, rate and noise by an optimiser; no band."""
    return minimize(generic_cost(log), [20.0, 1.0, -2.0], method="Nelder-Mead")


def generic_band(log):
    """The same with a 95 % band of the rate, where its profile falls by 1.92."""
    cost, best_fit = generic_cost(log), generic_fit(log)
    start, rate, noise = best_fit.x

    def beyond(held):
        found = minimize(
            lambda p: cost([p[0], held, p[1]]), [start, noise], method="Nelder-Mead"
        )
        return found.fun - best_fit.fun - 1.92

    ends = []
    for side in (-1.0, 1.0):
        step = 0.1 * side * rate
        while beyond(rate + step) < 0.0:
            step *= 2.0
        ends.append(brentq(beyond, rate, rate + step, xtol=0.01 * rate))
    return ends


def fed(log, days):
    """The same log with food written down each day."""
    rng = np.random.default_rng(5)
    first = log.tests[0].date
    meals = tuple(
        Feeding(first + dt.timedelta(d), None, rng.uniform(1.9, 2.1), "f.csv", d + 2)
        for d in range(days)
    )
    return replace(log, feedings=meals)


def mode_only(log):
    """The kit's likeliest answer alone, from the log to the mode."""
    ledger = build(log, "before")
    kit, known = view(ledger.tests, log.tank), Beforehand()
    layout = unsettled(columns(ledger, kit, with_feed=False), ledger, kit, known)
    return top_of(layout, kit, known)


def alike(kind, log, spent, slow):
    """Like beside like: point beside point, and band beside band."""
    point, _ = best(lambda: mode_only(log), times=3)
    banded, ends = best(lambda: generic_band(log), times=1)
    print(
        f"fit, 26 weeks, {kind}, likeliest values only: {point * 1e3:.0f} ms, generic "
        f"{slow / point:.0f} times that; with a band of the rate: generic "
        f"{banded:.1f} s ({ends[0]:.2f} to {ends[1]:.2f}), {banded / spent:.0f} times "
        "the kit's whole fit"
    )


def fitting():
    """Fit of a 26-week log, beside a generic one; and how the time grows."""
    sys.path.insert(0, str(Path(__file__).parent))
    import coverage_cells as cells

    for kind in ("meter", "doubling"):
        rng = np.random.default_rng([20260302, 3])
        cell = cells.Cell(kind, "before only", 26, 0.3, 0.0)
        truth = cells.draw_truth(rng, cell)
        log = cells.simulate(truth, rng, cell).log
        daily = fed(log, 182)
        spent, result = best(lambda log=daily: fit.rate(log), times=3)
        slow, found = best(lambda log=daily: generic_fit(log), times=1)
        print(
            f"fit, 26 weeks, {kind}, food each day: {spent * 1e3:.0f} ms; generic fit "
            f"{slow:.1f} s ({found.nfev} runs): {slow / spent:.0f} times"
        )
        spent, result = best(lambda log=log: fit.rate(log), times=3)
        slow, found = best(lambda log=log: generic_fit(log), times=1)
        print(
            f"fit, 26 weeks, {kind}, {result.nobs} tests: {spent * 1e3:.0f} ms; "
            f"generic fit {slow:.1f} s ({found.nfev} runs through the log): "
            f"{slow / spent:.0f} times"
        )
        alike(kind, log, spent, slow)
        long = cells.simulate(truth, rng, replace(cell, weeks=521)).log
        ten, result_ten = best(lambda log=long: fit.rate(log), times=1)
        growth = (ten / spent) / (result_ten.nobs / result.nobs)
        print(
            f"fit, ten years, {kind}, {result_ten.nobs} tests: {ten:.2f} s, "
            f"{growth:.2f} of the time a test takes in 26 weeks"
        )


def importing():
    """Time to import the kit beside bare Python and pandas."""

    def run(code):
        return best(
            lambda: subprocess.run([sys.executable, "-c", code], check=True), times=7
        )[0]

    bare, kit, pandas = run("pass"), run("import kit"), run("import pandas")
    print(
        f"import: bare Python {bare * 1e3:.0f} ms, kit {(kit - bare) * 1e3:.1f} ms on "
        f"top, pandas {(pandas - bare) * 1e3:.0f} ms on top"
    )


if __name__ == "__main__":
    balance()
    fitting()
    importing()
