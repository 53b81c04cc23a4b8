"""Rate and outflow fitted together, where the drip or loss itself is in doubt.

Notes
-----
With the outflow ``k`` free the level is no longer linear in the unknowns, but for each
``k`` it is. So the linear ones are solved at each ``k`` and only ``k`` is searched
(variable projection, after Golub and Pereyra): first on a wide grid, because the sum
of squares can have a false minimum, then closely round the best of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import statsmodels.regression.linear_model as lm
from scipy.optimize import minimize_scalar

from kit.balance import Floats

__all__ = ["Projected", "project"]

_GRID = 241
_ALIKE = 0.95
_CONDITION = 1e8

Layout = Callable[[float], tuple[Floats, Floats]]


@dataclass(frozen=True, slots=True)
class Projected:
    """Least squares with one unknown that is not linear.

    Parameters
    ----------
    params, bse : ndarray, shape (p + 1,)
        Linear unknowns, then the outflow, and their standard errors.
    corr : ndarray, shape (p + 1, p + 1)
        Correlations of the estimates.
    ssr : float
        Sum of squared residuals.
    scale : float
        Residual standard deviation.
    bounded : bool
        True when the outflow ran to an end of the range searched: the data do not
        settle it.
    """

    params: Floats
    bse: Floats
    corr: Floats
    ssr: float
    scale: float
    bounded: bool

    def alike(self, i: int) -> bool:
        """Whether unknown ``i`` and the outflow cannot be told apart in practice."""
        return bool(abs(self.corr[i, -1]) > _ALIKE)


def project(layout: Layout, y: Floats, *, lowest: float, highest: float) -> Projected:
    """Fit linear unknowns and one outflow by least squares.

    Parameters
    ----------
    layout : callable
        Gives for an outflow ``k`` [1/day] the design columns, shape (n, p), and the
        known part, shape (n,).
    y : ndarray, shape (n,)
        Readings. [mg/L]
    lowest, highest : float
        Range of ``k`` searched, both above zero. [1/day]

    Returns
    -------
    Projected
        Estimates with their linearised standard errors.

    Raises
    ------
    ValueError
        Fewer readings than unknowns.
    """

    def fitted(log_k: float) -> lm.RegressionResults:
        x, known = layout(float(np.exp(log_k)))
        return lm.OLS(y - known, x).fit()

    def ssr(log_k: float) -> float:
        return float(fitted(log_k).ssr)

    grid = np.linspace(np.log(lowest), np.log(highest), _GRID)
    values = np.array([ssr(g) for g in grid])
    best = int(values.argmin())
    around = (grid[max(best - 1, 0)], grid[min(best + 1, _GRID - 1)])
    found = minimize_scalar(
        ssr, bounds=around, method="bounded", options={"xatol": 1e-12}
    )
    k = float(np.exp(found.x))
    beta = np.asarray(fitted(found.x).params)
    if len(y) <= len(beta) + 1:
        msg = f"{len(y)} readings cannot settle {len(beta) + 1} unknowns"
        raise ValueError(msg)
    return _linearised(layout, y, beta, k, best in (0, _GRID - 1))


def _linearised(
    layout: Layout, y: Floats, beta: Floats, k: float, bounded: bool
) -> Projected:
    """Standard errors from the model's slope at the minimum, polished once or twice."""
    for _ in range(4):
        x, known = layout(k)
        step = 1e-5 * k
        (up, up_known), (down, down_known) = layout(k + step), layout(k - step)
        slope = ((up @ beta + up_known) - (down @ beta + down_known)) / (2 * step)
        jacobian = np.column_stack([x, slope])
        resid = y - known - x @ beta
        if bounded or _covariance(jacobian, 1.0) is None:
            break
        move = lm.OLS(resid, jacobian).fit()
        # One Gauss-Newton step sharpens what a scalar search leaves at 1e-8.
        beta, k = beta + np.asarray(move.params)[:-1], k + float(move.params[-1])
    ssr = float(resid @ resid)
    freedom = len(y) - jacobian.shape[1]
    cov = _covariance(jacobian, ssr / freedom)
    if cov is None:
        # The data leave a direction open: nothing can be said of any error.
        size = jacobian.shape[1]
        cov, bounded = np.full((size, size), np.inf), True
    bse = np.sqrt(np.diag(cov))
    with np.errstate(invalid="ignore"):
        corr = cov / np.outer(bse, bse)
    return Projected(
        params=np.append(beta, k),
        bse=bse,
        corr=corr,
        ssr=ssr,
        scale=float((ssr / freedom) ** 0.5),
        bounded=bounded,
    )


def _covariance(jacobian: Floats, variance: float) -> Floats | None:
    """Covariance of least squares; None where the columns cannot be told apart."""
    size = np.linalg.norm(jacobian, axis=0)
    if not (size > 0).all() or not np.isfinite(jacobian).all():
        return None
    scaled = jacobian / size
    if np.linalg.cond(scaled) > _CONDITION:
        return None
    cov = np.linalg.inv(scaled.T @ scaled) * variance / np.outer(size, size)
    sound = np.isfinite(cov).all() and (np.diag(cov) > 0).all()
    return np.asarray(cov) if sound else None
