"""Pictures: what is drawn where, in place, and the same said in words."""

from __future__ import annotations

import datetime as dt
import math
from pathlib import Path

import matplotlib.dates
import numpy as np
import pytest
from handmade import DAY0, fitted
from matplotlib import _pylab_helpers
from matplotlib.figure import Figure

from kit import fit, plots, style
from kit.ahead import Trace
from kit.files import read_logbook
from kit.plan import plan
from kit.sawtooth import Habit

# 25 % a week of a tank rising 1 mg/L a day over a tap of 10: peak 10 + 7/0.25 = 38,
# trough 38 - 7 = 31.
WEEKLY = plan(Habit(200.0, 0.25, 7.0, source_mg_l=10.0), 1.0, ceiling_mg_l=40.0)


def trace(level: list[float], spread: float = 0.0) -> Trace:
    values = np.array(level)
    days = np.repeat(np.arange(len(level) / 2 + 1) * 7.0, 2)[1 : len(level) + 1]
    return Trace(days, values, values - spread, values + spread)


def bars(ax) -> list[tuple[float, float]]:
    """Ends of the upright bars, as drawn."""
    for lines in ax.collections:
        if type(lines).__name__ == "LineCollection":
            return [tuple(s[:, 1]) for s in lines.get_segments()]
    return []


def test_every_picture_draws_on_the_axes_it_is_given():
    for draw in (
        lambda ax: plots.fit_picture(fitted(), ax=ax),
        lambda ax: plots.residual_picture(fitted(), ax=ax),
        lambda ax: plots.plan_picture(WEEKLY, trace([31, 38]), ax=ax),
    ):
        ax = style.axes_in(style.blank_figure())
        assert draw(ax) is ax


def test_every_picture_makes_a_figure_nobody_else_knows_of():
    for ax in (
        plots.fit_picture(fitted()),
        plots.residual_picture(fitted()),
        plots.plan_picture(WEEKLY, trace([31, 38])),
    ):
        assert isinstance(ax.figure, Figure)
        assert style.png_bytes(ax.figure).startswith(b"\x89PNG")
    assert not _pylab_helpers.Gcf.get_all_fig_managers()


def test_readings_are_drawn_as_what_they_allow():
    ax = plots.fit_picture(fitted(), ceiling_mg_l=40.0)
    assert bars(ax) == [(14.0, 28.0), (28.0, 57.0)]
    drawn = {line.get_label(): line for line in ax.lines}
    assert list(drawn["reading"].get_ydata()) == [30.0]
    assert list(drawn["this or more"].get_ydata()) == [28.0]
    assert ax.get_ylim()[0] == 0.0
    assert ax.get_ylim()[1] > 57.0


def test_the_fitted_level_and_its_exchange_stand_at_their_days():
    ax = plots.fit_picture(fitted())
    drawn = {line.get_label(): line for line in ax.lines}
    assert list(drawn["fitted level"].get_ydata()) == [20.0, 34.0, 22.0, 36.0]
    (jump,) = matplotlib.dates.date2num(drawn["exchange"].get_xdata())
    day = dt.datetime.combine(DAY0 + dt.timedelta(7), dt.time())
    assert jump == matplotlib.dates.date2num(day)


def test_a_refused_fit_still_draws():
    ax = plots.fit_picture(
        fitted(net_rate=None, usual_rate=None, curve=None, refused="too few")
    )
    assert ax.get_title(loc="left") == "The readings, without a fit"
    empty = fitted(tests=(), curve=None, net_rate=None, usual_rate=None)
    assert plots.fit_picture(empty).get_ylim()[1] > 0
    assert plots.fit_alt(empty) == plots.residual_alt(empty)


def test_an_unsure_rise_is_not_called_a_rise():
    from kit.fit import Estimate

    unsure = fitted(net_rate=Estimate(0.1, -0.2, 0.4))
    assert plots.fit_title(unsure) == "No sure rise: 0.1 mg/L a day (-0.2 to 0.4)"


def test_words_beside_the_fit_say_the_numbers():
    said = plots.fit_alt(fitted(), ceiling_mg_l=40.0)
    for part in (
        "2 March 2026 to 16 March 2026",
        "4 readings",
        "between 20 and 36 mg/L",
        "with 1 exchange marked",
        "2.0 mg/L a day (1.8 to 2.2)",
        "ceiling at 40 mg/L",
    ):
        assert part in said


def test_residuals_stand_at_their_distance_and_the_far_one_is_named():
    ax = plots.residual_picture(fitted())
    points = next(line for line in ax.lines if line.get_label() == "reading")
    assert list(points.get_ydata()) == [0.4, -2.6, 1.0, 0.0]
    assert ax.get_ylim()[1] >= 2.6
    assert "1 lie outside the usual spread, the farthest below it on 7 March 2026" in (
        plots.residual_alt(fitted())
    )


def test_the_plan_shows_level_ceiling_and_mark():
    ax = plots.plan_picture(WEEKLY, trace([31, 38] * 12, spread=1.0))

    texts = [t.get_text() for t in ax.texts if t.get_visible()]
    assert "your ceiling 40 mg/L" in texts
    # ln 0.05 / ln 0.75 = 10.4, so 11 weeks.
    assert "95 % there: day 77" in texts
    assert ax.get_title(loc="left") == "In the long run 31 to 38 mg/L"
    assert ax.get_ylim()[1] > 40.0


def test_a_date_is_named_where_day_zero_is_known():
    ax = plots.plan_picture(WEEKLY, trace([31, 38] * 12), start=dt.date(2026, 3, 1))
    texts = [t.get_text() for t in ax.texts if t.get_visible()]
    assert "95 % there: 17 May 2026" in texts  # 77 days after 1 March, by calendar
    assert ax.get_xlabel() == "days from 1 March 2026"


def test_what_is_not_there_is_not_shown():
    open_end = plan(Habit(200.0, 0.0, 7.0), 1.0)
    assert math.isinf(open_end.peak_mg_l.estimate)
    ax = plots.plan_picture(open_end, trace([10, 17]))
    assert [t.get_text() for t in ax.texts if t.get_visible() and t.get_text()] == []
    assert ax.get_title(loc="left") == "Nothing holds the level: it climbs on"
    assert "climbs on" in plots.plan_alt(open_end, trace([10, 17]))


def test_a_level_beyond_the_top_is_said():
    ax = plots.plan_picture(WEEKLY, trace([31, 38]), top_mg_l=35.0)
    assert "climbs off the picture" in [t.get_text() for t in ax.texts]


def test_a_picture_changes_in_place_and_keeps_its_height():
    ax = style.axes_in(style.blank_figure())
    drawn = plots.PlanPicture(ax)
    assert drawn.frame(50.0, 14.0)
    drawn.show(WEEKLY, trace([31, 38]))
    count = len(ax.get_children())
    half = plan(Habit(200.0, 0.5, 7.0, source_mg_l=10.0), 1.0)  # 10 + 7/0.5 = 24
    drawn.show(half, trace([17, 24]))
    assert not drawn.frame(50.0, 14.0)
    assert len(ax.get_children()) == count
    assert ax.get_ylim() == (0.0, 50.0)
    assert ax.get_title(loc="left") == "In the long run 17 to 24 mg/L"
    assert "your ceiling 40 mg/L" not in [
        t.get_text() for t in ax.texts if t.get_visible()
    ]


def test_us_readers_are_told_that_ppm_is_the_same():
    ax = plots.plan_picture(WEEKLY, trace([31, 38]), output="us")
    assert ax.get_ylabel() == "nitrate, mg/L NO3 (= ppm)"


def test_words_beside_the_plan_say_the_numbers():
    said = plots.plan_alt(WEEKLY, trace([31, 38]), start=dt.date(2026, 3, 1))
    for part in (
        "25 % exchanged every 7 days",
        "starts at 31 mg/L",
        "between 31 and 38 mg/L",
        "by 17 May 2026",
        "ceiling at 40 mg/L",
    ):
        assert part in said


@pytest.mark.parametrize("month", range(1, 13))
def test_days_are_written_without_the_computers_language(month):
    names = "January February March April May June July August September October "
    names += "November December"
    day = dt.date(2026, month, 9)
    assert plots.say_day(day) == f"9 {names.split()[month - 1]} 2026"


def test_the_words_count_as_many_exchanges_as_quarrys_keeper_wrote_down():
    folder = Path(__file__).resolve().parents[1] / "data_demo" / "quarry"
    rows = (folder / "exchanges.csv").read_text(encoding="utf-8").split("\n")[1:]
    written = sum(bool(row.strip()) for row in rows)
    assert written == 28
    said = plots.fit_alt(fit.rate(read_logbook(folder)))
    assert "with 28 exchanges marked" in said
