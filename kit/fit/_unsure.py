"""What a log states and may be wrong about, as columns with a known spread.

The new water's nitrate, the overflow of a drip, litres against the volume, the steady
error of a kit or of one reader against another: each bends the levels in its own way.
How, to first order, is a column of the design; how far it may go is known beforehand
and enters as a normal prior. So what the log itself says of it is used as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from kit.balance import (
    Exchanged,
    Floats,
    Flow,
    Observed,
    collected,
)
from kit.fit._beforehand import Beforehand
from kit.fit._laid import Turned
from kit.fit._ledger import Event, Ledger
from kit.fit._weave import exchange_moments, laid

__all__ = ["Plug", "Unsure", "exchange_variance", "jolts", "unsure"]

_STEP = 0.01
_SMALL_LOSS = 1e-4
_LOSS_ERROR = 0.5
"""How far a loss may lie from the one that fits best, as a part of it: no farther than
its effect is near to linear. [-]"""
_VOLUME_ERROR = {"label": 10.0, "geometry": 5.0, "counted fill": 2.0, "tracer": 2.0}
"""Error of a volume by how it was found, where none is stated. [%]"""


@dataclass(frozen=True, slots=True)
class Plug:
    """A first answer, round which the levels are bent.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    levels : callable
        Levels by that answer, where asked (at the tests when nothing is) and with
        what the log states turned. [mg/L]
    """

    ledger: Ledger
    levels: Callable[[tuple[Event, ...], Turned], Floats]

    def bend(self, asked: tuple[Event, ...], turned: Turned) -> Floats:
        """Change of the levels for a change of one in what is turned by a hundredth."""
        change = self.levels(asked, turned) - self.levels(asked, Turned())
        return np.asarray(change / _STEP)


@dataclass(frozen=True, slots=True)
class Unsure:
    """One thing a log may be wrong about.

    Parameters
    ----------
    name : str
        ``"source"``, ``"overflow"``, ``"litres"``, ``"loss"``, ``"kit"``, or
        ``"reader ..."``.
    sd : float
        How far it may be off. [mg/L] for the source, [1/day] for a loss, else [-]
    column : ndarray, shape (n,)
        Change of each reading for a change of one.
    ahead : callable
        Change of the tank's level where asked; zero for an error of reading.
    """

    name: str
    sd: float
    column: Floats
    ahead: Callable[[tuple[Event, ...]], Floats]


def _still(asked: tuple[Event, ...]) -> Floats:
    return np.zeros(len(asked))


def unsure(
    plug: Plug, known: Beforehand, tried: Mapping[str, float]
) -> tuple[Unsure, ...]:
    """Gather what the log may be wrong about.

    Parameters
    ----------
    plug : Plug
        A first answer.
    known : Beforehand
        How far each may be off.
    tried : mapping of str to float
        Kits whose bias was taken off, with its error. [-]

    Returns
    -------
    tuple of Unsure
        Only what bends a level at all.
    """
    found = [_source(plug), _overflow(plug, known), _litres(plug), _loss(plug)]
    found += _tried(plug, tried) + _readers(plug, known, tried)
    if known.kit_bias:
        found.append(Unsure("kit", known.kit_bias, _read_levels(plug), _still))
    return tuple(u for u in found if u is not None and np.abs(u.column).max() > 1e-9)


def _source(plug: Plug) -> Unsure | None:
    """Nitrate of the new water, known only as well as it was tested."""
    error = plug.ledger.source.error_mg_l
    if error <= 0.0:
        return None

    def share(asked: tuple[Event, ...]) -> Floats:
        return laid(plug.ledger, asked).design.source

    return Unsure("source", error, share(()), share)


def _overflow(plug: Plug, known: Beforehand) -> Unsure | None:
    """Drip and what runs over: measured seldom, and emitters clog."""
    steps = laid(plug.ledger).steps
    if known.overflow_error <= 0.0 or not any(
        isinstance(s, Flow) and s.overflow_l_day > 0 for s in steps
    ):
        return None

    def bent(asked: tuple[Event, ...]) -> Floats:
        return plug.bend(asked, Turned(overflow=1.0 + _STEP))

    return Unsure("overflow", known.overflow_error, bent(()), bent)


def _litres(plug: Plug) -> Unsure | None:
    """Shares that follow from litres are wrong as the volume is wrong."""
    tank = plug.ledger.tank
    if not any(e.by_litres for e in plug.ledger.events):
        return None
    error = tank.volume_error_percent
    if error is None:
        error = _VOLUME_ERROR.get(tank.volume_how, 5.0)

    def bent(asked: tuple[Event, ...]) -> Floats:
        return plug.bend(asked, Turned(litres=1.0 + _STEP))

    return Unsure("litres", error / 100.0, bent(()), bent) if error > 0 else None


def _loss(plug: Plug) -> Unsure | None:
    """A loss that the log shows, about the one that fits best."""
    if plug.ledger.loss_per_day <= 0.0:
        return None

    def bent(asked: tuple[Event, ...]) -> Floats:
        return plug.bend(asked, Turned(loss_per_day=_SMALL_LOSS)) * _STEP / _SMALL_LOSS

    return Unsure("loss", _LOSS_ERROR * plug.ledger.loss_per_day, bent(()), bent)


def _read_levels(plug: Plug) -> Floats:
    return np.maximum(plug.levels((), Turned()), 0.0)


def _tried(plug: Plug, tried: Mapping[str, float]) -> list[Unsure | None]:
    """What is left of the bias of a kit tried on known solutions."""
    level = _read_levels(plug)
    kits = [t.kit.strip() for t in plug.ledger.tests]
    out: list[Unsure | None] = []
    for name, sd in tried.items():
        mask = np.array([kit == name for kit in kits])
        label = f"bias of kit {name}" if name else "bias of the kit"
        out.append(Unsure(label, sd, level * mask, _still))
    return out


def _readers(
    plug: Plug, known: Beforehand, tried: Mapping[str, float]
) -> list[Unsure | None]:
    """Steady difference of each reader, and each kit, from the commonest one."""
    if known.reader_offset <= 0.0:
        return []
    tests = plug.ledger.tests
    readers = [t.reader.strip() or "unnamed" for t in tests]
    kits = [t.kit.strip() or "unnamed" for t in tests]
    level = _read_levels(plug)
    out: list[Unsure | None] = []
    # A kit tried on its own standards needs no comparison with another.
    kits = [
        "tried" if t.kit.strip() in tried else k
        for t, k in zip(tests, kits, strict=True)
    ]
    for what, names in (("reader", readers), ("kit", kits)):
        count = {n: names.count(n) for n in dict.fromkeys(names)}
        main = max(count, key=lambda n: count[n])
        for name in count:
            if name != main:
                mask = np.array([n == name for n in names])
                label = f"{what} {name} against {main}"
                out.append(Unsure(label, known.reader_offset, level * mask, _still))
    return out


def exchange_variance(plug: Plug, known: Beforehand) -> Floats:
    """Variance that the inexact size of each exchange adds, by step of the chain.

    Parameters
    ----------
    plug : Plug
        A first answer, for the level at each exchange.
    known : Beforehand
        How far an exchange may be off its size.

    Returns
    -------
    ndarray, shape (n,)
        ``(error f (C - Cs))^2`` at an exchange, 0 elsewhere. [mg2/L2]
    """
    steps = [s for s in laid(plug.ledger).steps if not isinstance(s, Observed)]
    out = np.zeros(len(steps))
    moments = exchange_moments(plug.ledger)
    if not moments:
        return out
    levels = plug.levels(moments, Turned())
    events = [e for e in plug.ledger.events if isinstance(e.what, Exchanged)]
    places = [i for i, s in enumerate(steps) if isinstance(s, Exchanged)]
    for event, place, level in zip(events, places, levels, strict=True):
        step = steps[place]
        assert isinstance(step, Exchanged)  # noqa: S101 - narrows the type only
        error = known.rough_error if event.rough else known.exchange_error
        jump = step.fraction * (max(float(level), 0.0) - step.source_mg_l)
        out[place] = (error * jump) ** 2
    return out


def jolts(plug: Plug, variance: Floats) -> Floats:
    """Variance of inexact exchanges at each test, diluted by what follows.

    Parameters
    ----------
    plug : Plug
        For its ledger.
    variance : ndarray, shape (n,)
        From `exchange_variance`. [mg2/L2]

    Returns
    -------
    ndarray, shape (m,)
        What is left of it since the test before. [mg2/L2]
    """
    return collected(laid(plug.ledger).chain, variance)
