"""The interval likelihood as a model for statsmodels to maximise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from statsmodels.base.model import GenericLikelihoodModel

from kit.balance import Floats
from kit.fit._readings import Noise, Prior, Readings
from kit.fit._state import passage
from kit.fit._stray import Ends, ends_of
from kit.fit._sweep import carried, log_mean, quantiles, sweep

__all__ = ["BandedModel"]

_STEP, _LEAST = 1e-4, 0.1
_SAME = 0.1
"""Scatter of log weights that a thousand weighted draws do not show: it takes one in a
hundred of them, and moves a mean by a tenth of its standard deviation at most."""
_MANY = 40
"""Dimensions in which few quasi-random points agree with each other for no reason."""


@dataclass(frozen=True, slots=True)
class _Look:
    """Value, gradient and second derivatives at one set of parameters."""

    value: float
    score: Floats
    hessian: Floats


class BandedModel(GenericLikelihoodModel):  # type: ignore[misc]
    """Interval likelihood of a linear balance, for statsmodels to maximise.

    Parameters
    ----------
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.
    prior : Prior, optional
        Adds to the log-likelihood; the maximum is then the mode of the posterior.
    draws : int, optional
        Draws of the sampler; 1 when no tank noise links the readings.
    """

    def __init__(
        self,
        readings: Readings,
        noise: Noise,
        prior: Prior | None = None,
        draws: int = 64,
    ) -> None:
        self.readings = readings
        self.noise = noise
        self.prior = prior or Prior()
        linked = any(s is None or s > 0.0 for s in (noise.tank, noise.slow))
        self.u: Floats = quantiles(len(readings.low), draws if linked else 1)
        self._on = carried(readings, noise)
        self._looks: dict[bytes, _Look] = {}
        middle = np.where(np.isfinite(readings.high), readings.high, readings.low)
        super().__init__(middle, readings.exog)
        # statsmodels would count only the columns; the spreads are parameters too.
        names = [f"x{i}" for i in range(readings.exog.shape[1])]
        self.data.xnames = names + [f"log {name}" for name in noise.free]
        self.nparams = len(self.data.xnames)
        self.df_model = self.nparams
        self.df_resid = len(readings.low) - self.nparams
        self.k_constant = 0
        self.k_extra = 0

    def log_posterior(self, params: Floats, paths: int | None = None) -> Floats:
        """Log-likelihood plus log prior at each row, on all paths or the first few."""
        logw, _ = sweep(params, self.readings, self.noise, self.u[:, :paths], self._on)
        return log_mean(logw) + self._log_prior(params)

    def enough(self, params: Floats) -> int:
        """Paths that tell these rows apart as well as all do: half of them, or all."""
        readings, whole = len(self.u), int(self.u.shape[1])
        half = whole // 2
        if not half or readings > _MANY:
            return whole
        logw, _ = sweep(params, self.readings, self.noise, self.u, self._on)
        off = np.std(log_mean(logw[:half]) - log_mean(logw))
        return half if off < _SAME else whole

    def followed(self, params: Floats, paths: int) -> tuple[Floats, Ends]:
        """Log posterior at each row, and where its first paths have led the tank."""
        on = passage(self.readings, 3)
        logw, at = sweep(params, self.readings, self.noise, self.u[:, :paths], on)
        return log_mean(logw) + self._log_prior(params), ends_of(logw, at)

    def _log_prior(self, params: Floats) -> Floats:
        return self.prior.log_density(params, self.readings.exog.shape[1])

    def loglike(self, params: Floats) -> float:
        """Objective for statsmodels at one set of parameters."""
        return self._look(params).value

    def score(self, params: Floats) -> Floats:
        """Gradient by central differences."""
        return self._look(params).score

    def hessian(self, params: Floats) -> Floats:
        """Second derivatives by central differences of the value."""
        return self._look(params).hessian

    def _look(self, params: Floats) -> _Look:
        """Look round a point once, though statsmodels asks three times.

        A sweep over many rows costs little more than one over a single row, so value,
        gradient and second derivatives are taken from one and the same.
        """
        at = np.array(params, dtype=np.float64)
        key = at.tobytes()
        if key not in self._looks:
            self._looks[key] = self._looked(at)
        return self._looks[key]

    def _looked(self, at: Floats) -> _Look:
        """Differences over a star of points: one way, the other, and two at once."""
        k = len(at)
        step = _STEP * np.maximum(np.abs(at), _LEAST)
        one, other = np.triu_indices(k, 1)
        single = np.diag(step)
        double = single[one] + single[other]
        shifts = np.vstack([np.zeros((1, k)), single, -single, double, -double])
        values = self.log_posterior(at + shifts)
        centre, up, down = values[0], values[1 : k + 1], values[k + 1 : 2 * k + 1]
        both, neither = values[2 * k + 1 :].reshape(2, -1)
        bends = up - 2.0 * centre + down
        hessian = np.diag(bends)
        hessian[one, other] = 0.5 * (
            both + neither - 2.0 * centre - bends[one] - bends[other]
        )
        hessian[other, one] = hessian[one, other]
        return _Look(
            float(centre), (up - down) / (2.0 * step), hessian / np.outer(step, step)
        )
