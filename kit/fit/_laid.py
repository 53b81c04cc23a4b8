"""A log laid out as steps, with what follows from them worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kit.balance import Chain, Design, Step, design, link
from kit.fit._memory import Memory, memory_of

__all__ = ["Laid", "Turned"]


@dataclass(frozen=True, slots=True)
class Turned:
    """Factors on what a log states, to see how the level depends on them.

    Parameters
    ----------
    overflow : float
        On all water that runs over. [-]
    litres : float
        On exchanges whose share follows from litres. [-]
    exchanges : float
        On all exchanges. [-]
    loss_per_day : float
        A first-order loss added. [1/day]
    """

    overflow: float = 1.0
    litres: float = 1.0
    exchanges: float = 1.0
    loss_per_day: float = 0.0


@dataclass(frozen=True)
class Laid:
    """Steps of the balance, and what is asked of them again and again.

    Parameters
    ----------
    steps : tuple of Step
        From `kit.fit._weave.weave`.
    """

    steps: tuple[Step, ...]

    @cached_property
    def chain(self) -> Chain:
        """The steps as arrays."""
        return link(self.steps)

    @cached_property
    def design(self) -> Design:
        """How the levels asked for depend on each unknown."""
        return design(self.chain)

    @cached_property
    def memory(self) -> tuple[Memory, Memory]:
        """How slow noise passes between the levels asked for, and after the last."""
        return memory_of(self.steps)
