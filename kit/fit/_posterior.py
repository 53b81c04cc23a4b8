"""Sample from what the readings and the stated prior knowledge leave possible.

Notes
-----
Adaptive importance sampling: from the mode found by statsmodels, Student-t draws are
weighted by the posterior, their mean and covariance make the next proposal, and the
last round is resampled. An interval is a pair of quantiles of the draws, so it takes
in the uncertainty of the noise itself, which a Wald interval at the mode does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from kit.balance import Floats
from kit.fit._banded import BandedModel
from kit.fit._stray import Ends

__all__ = ["Sample", "sample"]

_DF = 5.0
_TRIALS = 3
_TRIAL = 500
_TRIAL_PATHS = 6
"""Rounds that only shape the next proposal, with their draws and paths."""
_WELL_SHAPED = 0.4
_BATCH = 1000
_ENOUGH = 150.0
_MORE = 3
_KEPT = 1000
_LOOKED_AT = 40


@dataclass(frozen=True, slots=True)
class Sample:
    """Equally weighted draws of all parameters.

    Parameters
    ----------
    values : ndarray, shape (d, k)
        Sample in the order of the model's parameters.
    effective : float
        Effective number of independent draws behind them.
    ends : Ends
        Where each has led the tank.
    """

    values: Floats
    effective: float
    ends: Ends


def _log_t(x: Floats, mean: Floats, root: Floats) -> Floats:
    """Log density of a multivariate Student t, rows of ``x``."""
    k = len(mean)
    z = np.linalg.solve(root, (x - mean).T)
    square = (z**2).sum(axis=0)
    norm = (
        gammaln((_DF + k) / 2)
        - gammaln(_DF / 2)
        - k / 2 * np.log(_DF * np.pi)
        - np.log(np.abs(np.diag(root))).sum()
    )
    return np.asarray(norm - (_DF + k) / 2 * np.log1p(square / _DF))


def _root(cov: Floats) -> Floats:
    """Lower root of a covariance, mended where it is not positive."""
    scale = np.sqrt(np.maximum(np.diag(cov), 1e-12))
    corr = cov / np.outer(scale, scale)
    values, vectors = np.linalg.eigh((corr + corr.T) / 2)
    fixed = (vectors * np.maximum(values, 1e-6)) @ vectors.T
    return np.asarray(scale[:, None] * np.linalg.cholesky(fixed))


def sample(
    model: BandedModel,
    mode: Floats,
    cov: Floats,
    *,
    lowest: Floats,
    seed: int = 20260302,
) -> Sample:
    """Draw parameters from the posterior of a model.

    Parameters
    ----------
    model : BandedModel
        With its prior.
    mode : ndarray, shape (k,)
        Where to start, as found by statsmodels.
    cov : ndarray, shape (k, k)
        First guess of the spread round it.
    lowest : ndarray, shape (k,)
        Lower bounds, ``-inf`` for none.
    seed : int, optional
        Seed of the draws.

    Returns
    -------
    Sample
        A thousand equally weighted draws.
    """
    rng = np.random.default_rng(seed)
    mean, root = mode, _root(cov) * 1.1
    for _ in range(_TRIALS):
        x, logt = _proposed(mean, root, lowest, _TRIAL, rng)
        logw = model.log_posterior(x, _TRIAL_PATHS) - logt
        weight = _weights(logw)
        mean, root = _next(x, weight, logw)
        if _effective(weight) > _WELL_SHAPED * _TRIAL:
            break
    paths = model.enough(_proposed(mean, root, lowest, _LOOKED_AT, rng)[0])
    for _ in range(_MORE):
        x, logt = _proposed(mean, root, lowest, _BATCH, rng)
        logp, ends = model.followed(x, paths)
        logw = logp - logt
        weight = _weights(logw)
        effective = _effective(weight)
        if effective >= _ENOUGH:
            break
        mean, root = _next(x, weight, logw)
    picked = _picked(weight, _KEPT, rng)
    return Sample(x[picked], effective, ends.pick(picked))


def _proposed(
    mean: Floats, root: Floats, lowest: Floats, count: int, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Draw from a proposal; give what lies inside the bounds, and its log density."""
    z = rng.standard_normal((count, len(mean)))
    chi = rng.chisquare(_DF, size=(count, 1)) / _DF
    x = mean + (z / np.sqrt(chi)) @ root.T
    x = x[(x >= lowest).all(axis=1)]
    if not len(x):
        # Nothing lies inside: the nearest point there is must do to go on from.
        x = np.maximum(mean, lowest)[None, :]
    return x, _log_t(x, mean, root)


def _weights(logw: Floats) -> Floats:
    """Weights that sum to one."""
    weight = np.exp(logw - logw.max())
    return np.asarray(weight / weight.sum())


def _picked(weight: Floats, count: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Draw rows by their weights, spread evenly over them."""
    places = (np.arange(count) + rng.random()) / count
    return np.minimum(np.searchsorted(np.cumsum(weight), places), len(weight) - 1)


def _effective(weight: Floats) -> float:
    """Effective number of draws behind weights that sum to one."""
    return 1.0 / float((weight**2).sum())


def _next(x: Floats, weight: Floats, logw: Floats) -> tuple[Floats, Floats]:
    """Make the next proposal from weighted draws."""
    # Tempering keeps the next proposal wide while few draws carry the weight.
    power = 1.0 if _effective(weight) > 10 * x.shape[1] else 0.3
    w = np.exp(power * (logw - logw.max()))
    w /= w.sum()
    mean = w @ x
    centred = x - mean
    return mean, _root((w[:, None] * centred).T @ centred) * 1.1
