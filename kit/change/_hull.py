"""The band that covers two answers."""

from __future__ import annotations

from kit.fit import Estimate

__all__ = ["hull_of"]


def hull_of(first: Estimate | None, second: Estimate | None) -> Estimate | None:
    """Cover two estimates that both may hold.

    Parameters
    ----------
    first, second : Estimate or None
        Two answers.

    Returns
    -------
    Estimate or None
        Half way between them, with the outer ends of both bands; None where one is
        wanting.

    Examples
    --------
    >>> hull_of(Estimate(1.0, 0.8, 1.2), Estimate(1.4, 1.3, 1.5))
    Estimate(estimate=1.2, low=0.8, high=1.5)
    """
    if first is None or second is None:
        return None
    return Estimate(
        (first.estimate + second.estimate) / 2.0,
        min(first.low, second.low),
        max(first.high, second.high),
    )
