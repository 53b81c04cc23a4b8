"""What one more happening at some moment does to every later level.

Notes
-----
The balance is linear, so a rate that steps, an exchange that was another size, one
that is missing and new water that changed each add one column to the design: the
balance run on that happening alone, of size one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit.balance import Chain, Design, Exchanged, Floats, Flow, Observed, design
from kit.change._climb import Ints
from kit.fit.model import Ledger, laid

__all__ = ["Timeline", "timeline"]

_HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Timeline:
    """A ledger as a chain of steps that know their moment.

    Columns have one row for each reading, then one for the level just before each
    exchange.

    Parameters
    ----------
    chain : Chain
        The steps as numbers.
    begins : ndarray, shape (m,)
        When each step begins, in days since the ledger's day zero. [day]
    exchanges : ndarray of int, shape (x,)
        Which steps are exchanges.
    readings : int
        Count of the readings.
    """

    chain: Chain
    begins: Floats
    exchanges: Ints
    readings: int

    @property
    def design(self) -> Design:
        """Columns of the plain balance; ``kept`` and ``wander`` mean nothing here."""
        return design(replace(self.chain, observed=self._places))

    @property
    def _places(self) -> Ints:
        return np.concatenate([self.chain.observed, self.exchanges - 1])

    def _column(self, added: Floats) -> Floats:
        """Run the balance on the inputs of many cases, shape (m, c)."""
        x, out = np.zeros(added.shape[1]), np.zeros((len(added) + 1, added.shape[1]))
        keep = np.where(self.chain.starts, 0.0, self.chain.keep).tolist()
        for i, (kept, more) in enumerate(zip(keep, added, strict=True), start=1):
            x = out[i] = kept * x + more
        return np.asarray(out[self._places + 1])

    def _after(self, per_step: Floats, days: Floats) -> Floats:
        later = self.begins[:, None] >= days[None, :] - _HAIR
        return self._column(np.where(later, per_step[:, None], 0.0))

    def rate_from(self, days: Floats) -> Floats:
        """Columns of a rate that is one higher from each day on."""
        return self._after(self.chain.base, days)

    def water_from(self, days: Floats) -> Floats:
        """Columns of new water that holds one more from each day on."""
        return self._after(self.chain.source, days)

    def jump_after(self, steps: Ints) -> Floats:
        """Columns of a level that is one higher just after each step."""
        added = np.zeros((len(self.begins), len(steps)))
        added[steps, np.arange(len(steps))] = 1.0
        return self._column(added)

    def only_read(self, columns: Floats) -> Floats:
        """Columns of something that touches readings only, no level of the tank."""
        below = np.zeros((len(self.exchanges), columns.shape[1]))
        return np.vstack([columns, below])


def timeline(ledger: Ledger) -> Timeline:
    """Lay a ledger out as steps with their moments.

    Parameters
    ----------
    ledger : Ledger
        From `kit.fit.model.build`.

    Returns
    -------
    Timeline
        From the first test on.
    """
    whole = laid(ledger)
    begins: list[float] = []
    exchanges: list[int] = []
    now = float(ledger.days[0])
    for step in whole.steps:
        if isinstance(step, Observed):
            continue
        if isinstance(step, Exchanged):
            exchanges.append(len(begins))
        begins.append(now)
        if isinstance(step, Flow):
            now += step.days
    places = np.array(exchanges, dtype=np.intp)
    return Timeline(whole.chain, np.array(begins), places, len(ledger.tests))
