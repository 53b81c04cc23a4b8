"""The parts of the likelihood: bands far out, its derivatives, and how it is asked."""

import datetime as dt

import numpy as np
import pytest
from scipy.stats import norm, truncnorm
from statsmodels.tools.numdiff import approx_fprime, approx_hess

from kit.fit._allowed import runs_off
from kit.fit._banded import BandedModel
from kit.fit._estimate import band_ends, quantile_bands
from kit.fit._inside import inside
from kit.fit._laid import Turned
from kit.fit._readings import Noise, Prior, Readings
from kit.fit._weave import laid
from kit.fit.model import build
from kit.logbook import Exchange, Logbook, Tank, Test

U = np.array([[0.1], [0.5], [0.9]])


# Against scipy's normal and truncated normal, also where a difference of two chances
# has no digits left.
@pytest.mark.parametrize(
    ("low", "high"),
    [(-1.0, 2.0), (-np.inf, 0.5), (0.5, np.inf), (5.0, 5.5), (-9.0, -8.5), (9.0, 10.0)],
)
def test_a_band_has_the_chance_and_the_quantiles_of_scipys_normal(low, high):
    centre, sd = np.array([[0.0, 0.3]]), np.array([1.0, 1.2])
    chance, z = inside(low, high, centre, sd, U)
    a, b = (low - centre) / sd, (high - centre) / sd
    far = a > 0
    wanted = np.where(far, norm.sf(a) - norm.sf(b), norm.cdf(b) - norm.cdf(a))
    assert np.broadcast_to(chance, z.shape) == pytest.approx(
        np.broadcast_to(np.log(wanted), z.shape), rel=1e-8
    )
    assert z == pytest.approx(truncnorm.ppf(U, a, b), rel=1e-6)


def test_a_band_beyond_all_chance_still_has_a_slope():
    chance, z = inside(60.0, 61.0, np.array([[0.0, 1.0]]), np.ones(2), U)
    # log sf(x) is about -x^2/2 - log(x sqrt(2 pi)) far out (Mills).
    x = np.array([60.0, 59.0])
    mills = -0.5 * x**2 - np.log(x * np.sqrt(2 * np.pi))
    assert chance[0] == pytest.approx(mills, rel=1e-5)
    assert ((z >= x - 1e-9) & (z <= x + 1.0)).all()


def chart_model(n=12):
    rng = np.random.default_rng(3)
    exog = np.column_stack([0.8 ** np.arange(n), 2.0 * np.arange(n)])
    middle = exog @ [30.0, 1.5] + rng.standard_normal(n)
    readings = Readings(
        middle * 0.7, middle * 1.4, exog, np.full(n, 2.0), np.full(n, 0.7), np.ones(n)
    )
    prior = Prior((-2.0, -1.0), (0.3, 0.8), (), ())
    return BandedModel(readings, Noise(relative=None, tank=None), prior, draws=16)


# Against the finite differences of statsmodels, one point at a time.
def test_gradient_and_second_derivatives_are_those_of_the_value():
    at = np.array([29.0, 1.6, -1.9, -0.8])
    model, fresh = chart_model(), chart_model()

    def value(params):
        return float(fresh.log_posterior(np.asarray(params)[None, :])[0])

    assert model.loglike(at) == pytest.approx(value(at))
    assert model.score(at) == pytest.approx(
        approx_fprime(at, value, centered=True), rel=1e-4, abs=1e-6
    )
    assert model.hessian(at) == pytest.approx(
        approx_hess(at, value), rel=2e-3, abs=1e-4
    )


# Fewer paths only where a thousand would weigh the rows alike.
@pytest.mark.parametrize(("n", "spread", "paths"), [(12, 0.1, 8), (36, 1.0, 16)])
def test_half_the_paths_are_taken_only_where_they_agree_with_many(n, spread, paths):
    model, rng = chart_model(n), np.random.default_rng(1)
    many = BandedModel(model.readings, model.noise, model.prior, draws=1024)
    rows = np.array([29.0, 1.6, -1.9, 1.5]) + spread * rng.standard_normal((40, 4))
    off = np.std(model.log_posterior(rows, 8) - many.log_posterior(rows))
    assert (off < 0.1) == (paths == 8)
    assert model.enough(rows) == paths


def test_ends_of_a_band_are_numpys_quantiles():
    values = np.random.default_rng(2).standard_normal((357, 4))
    low, middle, high = np.quantile(values, [0.025, 0.5, 0.975], axis=0)
    got = band_ends(values.T.copy())
    assert got == pytest.approx(np.array([low, middle, high]))
    kept = values.copy()
    assert quantile_bands(values)[2].high == pytest.approx(high[2])
    assert (values == kept).all()


def test_a_rate_all_bands_hold_from_both_sides_does_not_run_off():
    exog = np.column_stack([np.ones(4), np.arange(4.0)])
    low, high = np.full(4, 5.0), np.full(4, 10.0)
    closed = Readings(low, high, exog, np.zeros(4), np.ones(4), np.ones(4))
    assert not runs_off(closed, 1)
    # With all but the first open above, the rate can grow and break none.
    above = np.where(np.arange(4) > 0, np.inf, high)
    open_above = Readings(low, above, exog, np.zeros(4), np.ones(4), np.ones(4))
    assert runs_off(open_above, 1)


def test_a_ledger_is_laid_out_once_and_afresh_where_something_is_turned():
    day = dt.date(2026, 3, 2)
    tests = tuple(
        Test(day + dt.timedelta(d), dt.time(18), v, v, v, str(v), "t.csv", d + 2)
        for d, v in ((0, 20.0), (7, 27.0), (14, 27.0))
    )
    swap = Exchange(day + dt.timedelta(7), dt.time(19), 0.25, None, "exchanges.csv", 2)
    ledger = build(Logbook(Tank(volume_l=100.0), tests, (swap,)), "before")
    assert laid(ledger) is laid(ledger)
    less = laid(ledger, (), Turned(exchanges=0.5))
    assert less is not laid(ledger)
    assert less.design.start[-1, 0] == pytest.approx(0.875)
    assert laid(ledger).design.start[-1, 0] == pytest.approx(0.75)
