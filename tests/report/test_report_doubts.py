"""What would change the rate: by hand on a made-up tank, and by fitting again."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from handmade import DAY0, fitted, reading

from kit import fit
from kit.files import read_logbook
from kit.fit import Curve, Estimate
from kit.logbook import Exchange, Logbook, Tank
from kit.page._doubts import changes_of, export_of

DEMO = Path(__file__).resolve().parents[2] / "data_demo"


def swap(day: int, fraction: float, litres: float | None = None) -> Exchange:
    return Exchange(
        DAY0 + dt.timedelta(day), None, fraction, litres, "exchanges.csv", day
    )


def settled(litres: float | None = None, **changes: object):
    """A tank from 20 to 40 in ten days, half exchanged on day 10 and again on day 20.

    By hand: 20 mg/L leave at each of the two, over 20 days: 2 mg/L a day, which is
    the rate; half the tank in ten days is 0.05 a day.
    """
    days = np.array([0.0, 10.0, 10.0, 20.0, 20.0])
    level = np.array([20.0, 40.0, 20.0, 40.0, 20.0])
    result = fitted(
        curve=Curve(DAY0, days, level, level, level),
        net_rate=Estimate(2.0, 1.99, 2.01),
        usual_rate=Estimate(2.0, 1.99, 2.01),
        tests=(reading(0, 20.0, 20.0), reading(20, 20.0, 20.0)),
        source_mg_l=0.0,
        **changes,
    )
    tank = Tank(volume_l=200.0)
    return Logbook(
        tank, exchanges=(swap(10, 0.5, litres), swap(20, 0.5, litres))
    ), result


def test_what_left_the_tank_is_summed_as_by_hand():
    moved = export_of(*settled())
    assert moved.batch_mg_l_day == pytest.approx(2.0)
    assert moved.share_day == pytest.approx(0.05)
    assert moved.litre_share == 0.0
    assert moved.drip_mg_l_day == 0.0


def test_the_sentences_carry_the_sums():
    told = changes_of(*settled(source_known=True))
    # 2 / 1.1 = 1.818; 2 - 0.2 = 1.8; 2 + 0.2 = 2.2; 2 - 0.05 x 5 = 1.75.
    wanted = {
        "shows a tenth too much": "1.82",
        "a tenth smaller": "1.80",
        "not logged": "2.20",
        "5 mg/L more": "1.75",
    }
    for words, number in wanted.items():
        (line,) = [t for t in told if words in t]
        assert f"about {number} mg/L a day in place of 2.00" in line
    assert "180 L" in told[-1]
    assert "the rise stays" in told[-1]


def test_litres_make_the_rate_hang_on_the_volume():
    # A tenth less water: each 100 L is 55.6 %, so 2 / 0.9 = 2.22 leave a day.
    told = changes_of(*settled(litres=100.0))
    assert "about 2.22 mg/L a day in place of 2.00" in told[-1]


def test_a_change_within_the_band_is_said_to_be():
    log, result = settled()
    wide = replace(result, net_rate=Estimate(2.0, -8.0, 12.0))
    assert all("the band is wider" in t or "stays" in t for t in changes_of(log, wide))


def test_without_a_rate_nothing_is_said():
    log, result = settled()
    assert changes_of(log, replace(result, net_rate=None, usual_rate=None)) == ()
    assert changes_of(log, replace(result, curve=None)) == ()


@pytest.mark.slow
def test_fitting_again_comes_to_the_same():
    """The sentences are short cuts; a fit of the changed log must agree.

    On a chart of steps a moved level meets other edges, so not to more than half of
    what the band leaves open.
    """
    log = read_logbook(DEMO / "quarry", today=dt.date(2026, 11, 25))
    log = replace(log, tank=replace(log.tank, source_nitrate_mg_l=5.0), source=())
    result = fit.rate(log)
    rate, moved = result.net_rate.estimate, export_of(log, result)
    half = (result.usual_rate.high - result.usual_rate.low) / 2
    smaller = replace(
        log,
        exchanges=tuple(
            replace(e, fraction=0.9 * e.fraction, litres=None) for e in log.exchanges
        ),
    )
    found = fit.rate(smaller).net_rate.estimate
    assert found == pytest.approx(rate - 0.1 * moved.batch_mg_l_day, abs=half / 2)
    assert found < rate
    tank = replace(log.tank, source_nitrate_mg_l=10.0)
    found = fit.rate(replace(log, tank=tank)).net_rate.estimate
    assert found == pytest.approx(rate - 5 * moved.share_day, abs=half / 2)
    assert found < rate
