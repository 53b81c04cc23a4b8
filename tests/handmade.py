"""Fit results written by hand, so that a picture is checked apart from any fit."""

from __future__ import annotations

import datetime as dt

import numpy as np

from kit.draws import Draws
from kit.fit import Curve, Estimate, FitResult, FittedTest

DAY0 = dt.date(2026, 3, 2)


def reading(
    day: int, low: float, high: float | None, residual: float = 0.0
) -> FittedTest:
    return FittedTest(
        date=DAY0 + dt.timedelta(day),
        time=dt.time(18, 0),
        low_mg_l=low,
        high_mg_l=high,
        fitted=Estimate(30.0, 28.0, 32.0),
        residual=residual,
        file="tests.csv",
        line=day + 2,
        raw="40",
    )


def fitted(**changes: object) -> FitResult:
    """Two weeks of a tank that rises 2 mg/L a day, with one exchange on day 7."""
    days = np.array([0.0, 7.0, 7.0, 14.0])
    level = np.array([20.0, 34.0, 22.0, 36.0])
    draws = Draws(
        np.linspace(1.8, 2.2, 201),
        np.linspace(34, 38, 201),
        np.full(201, 0.5),
        np.full(201, 5.0),
    )
    values: dict[str, object] = {
        "method": "by hand",
        "net_rate": Estimate(2.0, 1.8, 2.2),
        "usual_rate": Estimate(2.0, 1.8, 2.2),
        "feed_yield": None,
        "level_now": Estimate(36.0, 34.0, 38.0),
        "reading_noise": None,
        "tank_noise": None,
        "draws": draws,
        "params": {},
        "bse": {},
        "conf_int": {},
        "llf": 0.0,
        "nobs": 4,
        "df_resid": 2,
        "tests": (
            reading(0, 14.0, 28.0, 0.4),
            reading(5, 30.0, 30.0, -2.6),
            reading(9, 28.0, None, 1.0),
            reading(14, 28.0, 57.0, 0.0),
        ),
        "curve": Curve(DAY0, days, level, level - 2.0, level + 2.0),
        "simple_rate": None,
        "band_range": None,
        "volume_l": 200.0,
        "source_mg_l": 5.0,
        "source_known": True,
        "feed_g_day": None,
        "statements": ("Nitrate rises 2 mg/L a day.",),
        "assumptions": (),
    }
    return FitResult(**{**values, **changes})  # type: ignore[arg-type]
