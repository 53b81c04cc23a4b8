"""The interval likelihood as a model for statsmodels to maximise."""

from __future__ import annotations

import numpy as np
from statsmodels.base.model import GenericLikelihoodModel

from kit.balance import Floats
from kit.fit._readings import Noise, Prior, Readings
from kit.fit._sweep import log_likelihood, quantiles

__all__ = ["BandedModel"]


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
        self.u = quantiles(len(readings.low), draws if linked else 1)
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
        p = self.readings.exog.shape[1]
        value = log_likelihood(params, self.readings, self.noise, self.u[:, :paths])
        return np.asarray(value + self.prior.log_density(params, p))

    def loglike(self, params: Floats) -> float:
        """Objective for statsmodels at one set of parameters."""
        return float(self.log_posterior(np.asarray(params)[None, :])[0])

    def score(self, params: Floats) -> Floats:
        """Gradient by central differences, all at once."""
        step = 1e-5 * np.maximum(np.abs(params), 1e-2)
        shifts = np.diag(step)
        up = self.log_posterior(params + shifts)
        down = self.log_posterior(params - shifts)
        return np.asarray((up - down) / (2.0 * step))

    def hessian(self, params: Floats) -> Floats:
        """Second derivatives by central differences of the value, all at once."""
        k = len(params)
        step = 1e-3 * np.maximum(np.abs(params), 0.1)
        rows, places = [], []
        for i in range(k):
            for j in range(i, k):
                for si, sj in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
                    point = np.array(params, dtype=np.float64)
                    point[i] += si * step[i]
                    point[j] += sj * step[j]
                    rows.append(point)
                places.append((i, j))
        values = self.log_posterior(np.array(rows)).reshape(-1, 4)
        out = np.zeros((k, k))
        for (i, j), v in zip(places, values, strict=True):
            out[i, j] = out[j, i] = (v[0] - v[1] - v[2] + v[3]) / (
                4.0 * step[i] * step[j]
            )
        return out
