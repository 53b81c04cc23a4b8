"""The fit of one tank: from a logbook to a rate with its band, or a refusal."""

from __future__ import annotations

import numpy as np

from kit.balance import Floats
from kit.draws import Draws
from kit.fit import _say as say
from kit.fit._alike import KIT, alike_of
from kit.fit._bands import view
from kit.fit._beforehand import KIT_BIAS, Beforehand
from kit.fit._columns import mean_feed_per_litre
from kit.fit._curve import curve_of
from kit.fit._drip import drip_said
from kit.fit._estimate import Fitted, quantile_band, quantile_bands
from kit.fit._floor import floor_gate
from kit.fit._gates import Refusal, rate_gate
from kit.fit._ledger import Ledger, Order, build
from kit.fit._order import order_unknown
from kit.fit._result import Alike, Estimate, FitResult, FittedTest
from kit.fit._run import Run, run
from kit.fit._say_food import food_said
from kit.fit._say_readers import readers_said
from kit.fit._standards import corrected, standards_said
from kit.logbook import Logbook

__all__ = ["rate"]

_METHOD = (
    "Interval likelihood of the exact balance, with reading noise and the tank's own "
    "day-to-day noise carried and diluted; mode by statsmodels "
    "(GenericLikelihoodModel), 95 % bands by integrating over all unknowns."
)


_USUAL = Beforehand()


def rate(log: Logbook, *, known: Beforehand = _USUAL) -> FitResult:
    """Fit how fast nitrate accumulates in one tank.

    Parameters
    ----------
    log : Logbook
        A loaded logbook; records held by open questions are not in it.
    known : Beforehand, optional
        What is known before the log is read; what was used stands in the
        ``assumptions`` of the result.

    Returns
    -------
    FitResult
        With ``refused`` set, and no rate, where the log cannot carry one.

    Notes
    -----
    The level is linear in the unknowns once exchanges, drip and source are given
    (`kit.balance.design`). One net rate is always fitted; a yield of the food only
    where food varied enough and its band then excludes zero.
    """
    refusal = _before_any(log)
    if refusal is not None:
        return _refused(log, refusal, None)
    unknown = order_unknown(log)
    orders: tuple[Order, ...] = (
        ("before", "after") if unknown else (log.tank.same_day or "before",)
    )
    runs: list[Run] = []
    for order in orders:
        ledger = build(log, order)
        kit = view(ledger.tests, log.tank)
        kit = corrected(kit, log.standards, ledger.tests)
        refusal = rate_gate(ledger, kit)
        if refusal is not None:
            return _refused(log, refusal, ledger)
        runs.append(run(ledger, kit, known))
        refusal = floor_gate(runs[-1].through.middle, kit)
        if refusal is not None:
            return _refused(log, refusal, ledger)
    return _result(log, runs, known, order_open=len(unknown) > 0)


def _before_any(log: Logbook) -> Refusal | None:
    """Refuse where the log holds no test, or a jump that may be another unit."""
    if not log.tests:
        return Refusal("The log holds no usable nitrate test.")
    if log.tank.volume_l is None and _drips(log):
        return Refusal(
            "A drip or evaporation means nothing without the tank's volume: state the "
            "volume, and the rate can be fitted."
        )
    if log.lost_exchanges:
        return Refusal(_lost(log.lost_exchanges))
    if log.breaks:
        days = ", ".join(day.isoformat() for day in log.breaks)
        return Refusal(
            f"From {days} the readings jump as they would if the kit changed between "
            "NO3 and NO3-N. Nothing is fitted across such a jump: answer the question "
            "about it first."
        )
    return None


def _drips(log: Logbook) -> bool:
    """Whether water runs in or evaporates, so that the volume is needed."""
    tank = log.tank
    changed = any(e.drip_l_day for e in log.exchanges)
    return changed or tank.drip_l_day > 0 or tank.evaporation_l_day > 0


def _lost(places: tuple[str, ...]) -> str:
    """Say that exchanges happened on days nobody can tell."""
    named = "; ".join(places[:4])
    more = f" and {len(places) - 4} more" if len(places) > 4 else ""
    what = "An exchange stands" if len(places) == 1 else "Exchanges stand"
    return (
        f"{what} in the log without a usable day ({named}{more}). A rate fitted as if "
        "they had not happened would be too low. Mend the dates, or answer the "
        "question about them, first."
    )


def _result(
    log: Logbook, runs: list[Run], known: Beforehand, *, order_open: bool
) -> FitResult:
    """Put a run, or the hull of two, into one result."""
    main = runs[0]
    net = _hull([run.net for run in runs])
    usual = _hull([run.usual for run in runs])
    ledger, fitted = main.ledger, main.fitted
    curve, last = curve_of(ledger, fitted, main.through, main.stray)
    draws = _draws(runs, last)
    values = fitted.draws.values
    p = fitted.columns.readings.exog.shape[1]
    names, bands = _names(fitted), quantile_bands(values)
    tank = log.tank
    alike = alike_of(ledger, main.kit, fitted)
    biased = _if_biased(runs, alike, known)
    return FitResult(
        method=_METHOD,
        net_rate=net,
        usual_rate=usual,
        loss_per_day=None if main.losses is None else quantile_band(main.losses),
        feed_yield=main.yields[0][1] if len(main.yields) == 1 else None,
        level_now=quantile_band(draws.level_mg_l),
        reading_noise=quantile_band(np.exp(values[:, p])),
        tank_noise=quantile_band(main.tank_noise),
        draws=draws,
        params={n: b.estimate for n, b in zip(names, bands, strict=True)},
        bse={n: float(values[:, i].std(ddof=1)) for i, n in enumerate(names)},
        conf_int={n: (b.low, b.high) for n, b in zip(names, bands, strict=True)},
        llf=fitted.llf,
        nobs=len(ledger.tests),
        df_resid=len(ledger.tests) - fitted.columns.main,
        tests=_fitted_tests(ledger, fitted),
        curve=curve,
        simple_rate=fitted.simple,
        band_range=fitted.allowed if main.kit.chart else None,
        volume_l=tank.volume_l,
        source_mg_l=ledger.source.mean_mg_l if ledger.source.known else None,
        source_known=ledger.source.known,
        feed_g_day=_feed_mean(ledger),
        statements=_statements(
            log, runs, (net, usual), alike, biased, order_open=order_open
        ),
        assumptions=say.assumptions(ledger, main.kit, known, supposed=main.supposed)
        + standards_said(log.standards, ledger.tests),
        rate_if_biased=biased,
        yields=main.yields,
        lag=main.lag,
        alike=alike,
        offsets=_offsets(fitted),
    )


def _hull(rates: list[Estimate]) -> Estimate:
    """Give the mean of the middles, and the ends that hold all bands."""
    return Estimate(
        float(np.mean([r.estimate for r in rates])),
        min(r.low for r in rates),
        max(r.high for r in rates),
    )


def _if_biased(
    runs: list[Run], alike: tuple[Alike, ...], known: Beforehand
) -> Estimate | None:
    """Rate with a steady error of the kit, as kits have, on top of all else."""
    if runs[0].kit.tried or known.kit_bias:
        return None
    rates = np.concatenate([run.means for run in runs])
    tenth = next((a.effect for a in alike if a.what == KIT), 0.0)
    z = np.random.default_rng(17).standard_normal(len(rates))
    return quantile_band(rates + tenth * KIT_BIAS / 0.1 * z)


def _offsets(fitted: Fitted) -> tuple[tuple[str, Estimate], ...]:
    """What was found of each thing the log may be wrong about."""
    layout = fitted.columns
    values = fitted.draws.values[:, layout.main :]
    bands = quantile_bands(values[:, : len(layout.extras)])
    return tuple(
        (extra.name, band) for extra, band in zip(layout.extras, bands, strict=True)
    )


def _draws(runs: list[Run], last: Floats) -> Draws:
    """Draws of all orders tried, so mixed that any first few stand for them all."""
    levels = [last] + [
        curve_of(run.ledger, run.fitted, run.through, run.stray)[1] for run in runs[1:]
    ]
    tank = [run.tank_noise for run in runs]
    whole = Draws(
        np.concatenate([run.rates for run in runs]),
        np.concatenate(levels),
        np.concatenate(tank),
        np.concatenate([run.source for run in runs]),
    )
    mixed = np.random.default_rng(13).permutation(len(whole))
    return whole.pick(mixed[: len(last)])


def _names(fitted: Fitted) -> list[str]:
    """Names of the parameters in order."""
    starts = fitted.columns.rate
    names = [
        f"start_{i + 1}_mg_l" if starts > 1 else "start_mg_l" for i in range(starts)
    ]
    names.append("usual_rate_mg_l_day")
    for food in fitted.columns.foods:
        names.append(f"feed_yield_mg_g {food.name}".strip())
    names += [extra.name for extra in fitted.columns.extras]
    return [*names, "log_reading_noise", "log_tank_noise", "log_slow_noise"]


def _feed_mean(ledger: Ledger) -> float | None:
    """Mean food a day, where the log can tell it. [g/day]."""
    if ledger.feed is None or ledger.tank.volume_l is None:
        return None
    return mean_feed_per_litre(ledger) * ledger.tank.volume_l


def _fitted_tests(ledger: Ledger, fitted: Fitted) -> tuple[FittedTest, ...]:
    """Put each reading beside the fitted level and its band."""
    r = fitted.columns.readings
    true = _of_the_tank(fitted)
    levels = np.maximum(fitted.draws.values[:, true] @ r.exog[:, true].T + r.known, 0.0)
    bands = quantile_bands(levels)
    return tuple(
        FittedTest(
            t.date,
            t.time,
            max(float(low), 0.0),
            float(high) if np.isfinite(high) else None,
            bands[i],
            float(fitted.residuals[i]),
            t.file,
            t.line,
            t.raw,
        )
        for i, (t, low, high) in enumerate(
            zip(ledger.tests, r.low, r.high, strict=True)
        )
    )


def _of_the_tank(fitted: Fitted) -> list[int]:
    """Columns that move the tank's level, and not only how it is read."""
    layout = fitted.columns
    own = list(range(layout.main))
    moving = {"source", "overflow", "litres", "loss"}
    return own + [
        layout.main + i for i, e in enumerate(layout.extras) if e.name in moving
    ]


def _statements(
    log: Logbook,
    runs: list[Run],
    rates: tuple[Estimate, Estimate],
    alike: tuple[Alike, ...],
    biased: Estimate | None,
    *,
    order_open: bool,
) -> tuple[str, ...]:
    """Collect the sentences, the verdict first."""
    main = runs[0]
    net, usual = rates
    ledger, kit = main.ledger, main.kit
    mean = mean_feed_per_litre(ledger)
    litres = any(e.litres is not None and e.fraction is None for e in log.exchanges)
    out = say.rate_said(main, net, usual)
    out += say.restarts_said(ledger) + say.bias_said(biased)
    out += readers_said(_offsets(main.fitted), ledger.tests, net)
    if order_open:
        out += say.order_said(order_unknown(log), main.net, runs[-1].net)
    out += say.source_said(ledger, alike)
    out += food_said(main, net, mean)
    out += say.alike_said(alike, ledger)
    out += say.volume_said(ledger, litres)
    out += drip_said(ledger, kit)
    out += say.odd_readings(main.fitted, ledger)
    out.append(say.best_test(ledger, kit, main.gate))
    return tuple(out)


def _refused(log: Logbook, refusal: Refusal, ledger: Ledger | None) -> FitResult:
    """Give a result without a rate."""
    known = ledger.source.known if ledger is not None else False
    return FitResult(
        method=_METHOD,
        net_rate=None,
        usual_rate=None,
        feed_yield=None,
        level_now=None,
        reading_noise=None,
        tank_noise=None,
        draws=Draws.none(),
        params={},
        bse={},
        conf_int={},
        llf=float("nan"),
        nobs=len(log.tests),
        df_resid=0,
        tests=(),
        curve=None,
        simple_rate=None,
        band_range=None,
        volume_l=log.tank.volume_l,
        source_mg_l=ledger.source.mean_mg_l if ledger is not None and known else None,
        source_known=known,
        feed_g_day=None,
        statements=(refusal.reason,),
        assumptions=(),
        refused=refusal.reason,
        upper_bound=refusal.upper_bound,
    )
