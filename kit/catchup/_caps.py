"""What one exchange may change at most, as its keeper sets it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kit.errors import PlanError

__all__ = ["Caps", "Pulled"]


@dataclass(frozen=True, slots=True)
class Pulled:
    """Something that each exchange pulls from the tank's value to the new water's.

    Parameters
    ----------
    name, unit : str
        Such as ``"dissolved solids"`` and ``"mg/L"``.
    tank, source : float
        Its value in the tank and in the new water. [unit]
    most : float, optional
        Largest change at once. [unit]
    most_percent : float, optional
        Largest change at once as a part of the tank's value of the day. [%]
    returns : bool, optional
        Whether the tank is back at its own value before the next exchange, as warmth
        is where there is a heater.

    Raises
    ------
    PlanError
        A limit that is not above zero, or a value that is no number.
    """

    name: str
    unit: str
    tank: float
    source: float
    most: float | None = None
    most_percent: float | None = None
    returns: bool = False

    def __post_init__(self) -> None:
        """Refuse limits that allow nothing."""
        if not (math.isfinite(self.tank) and math.isfinite(self.source)):
            msg = f"Give {self.name} of the tank and of the new water as numbers."
            raise PlanError(msg)
        for limit in (self.most, self.most_percent):
            if limit is not None and not limit > 0.0:
                msg = f"The limit for {self.name} must be above zero."
                raise PlanError(msg)

    def fraction_at(self, now: float) -> float:
        """Give the largest exchange the limits allow.

        Parameters
        ----------
        now : float
            The tank's value before the exchange. [unit]

        Returns
        -------
        float
            Fraction; ``math.inf`` where nothing binds. [-]

        Examples
        --------
        >>> Pulled("temperature", "°C", 25.0, 10.0, most=2.0).fraction_at(25.0)
        0.13333333333333333
        """
        gap = abs(now - self.source)
        allowed = [limit for limit in (self.most,) if limit is not None]
        if self.most_percent is not None:
            allowed.append(abs(now) * self.most_percent / 100.0)
        return min(allowed) / gap if allowed and gap > 0.0 else math.inf

    def after(self, now: float, fraction: float) -> float:
        """Give the value just after an exchange. [unit]."""
        return now + fraction * (self.source - now)


@dataclass(frozen=True, slots=True)
class Caps:
    """How fast a keeper wants to come down at most.

    Parameters
    ----------
    max_percent : float
        Largest exchange at once. [%]
    interval_days : float
        Days from one exchange to the next. [day]
    nitrate_step_mg_l : float, optional
        Largest fall of nitrate at once, as NO3. [mg/L]
    percent_a_day : float, optional
        Largest exchange for each day of the interval. [%/day]
    pulled : tuple of Pulled, optional
        What else changes with the water, each with its own limit.
    largest_is : str, optional
        Whose limit the largest exchange is, in words.

    Raises
    ------
    PlanError
        A limit that no exchange can keep to.

    Notes
    -----
    The exchange is the smallest of what the limits allow:
    ``f = min(f_max, p_day T, dC/(C - Cs), dX/|X - Xs| ...)``.
    """

    max_percent: float
    interval_days: float
    nitrate_step_mg_l: float | None = None
    percent_a_day: float | None = None
    pulled: tuple[Pulled, ...] = ()
    largest_is: str = "your largest exchange"

    def __post_init__(self) -> None:
        """Refuse limits that allow nothing, or more water than there is."""
        if not 0.0 < self.max_percent <= 100.0:
            msg = "The largest exchange lies above 0 and up to 100 percent."
            raise PlanError(msg)
        if not (self.interval_days > 0.0 and math.isfinite(self.interval_days)):
            msg = "The days between exchanges must be more than 0."
            raise PlanError(msg)
        for limit in (self.nitrate_step_mg_l, self.percent_a_day):
            if limit is not None and not limit > 0.0:
                msg = "A limit for one exchange must be above zero, or left out."
                raise PlanError(msg)

    def fraction(
        self, level_mg_l: float, source_mg_l: float, now: Sequence[float] = ()
    ) -> tuple[float, str]:
        """Give the largest exchange allowed and what limits it.

        Parameters
        ----------
        level_mg_l, source_mg_l : float
            Nitrate in the tank and in the new water, as NO3. [mg/L]
        now : sequence of float, optional
            Values of `pulled` in the tank, in their order; their first ones when left
            out.

        Returns
        -------
        float
            Fraction. [-]
        str
            The limit that binds, in words.

        Examples
        --------
        >>> Caps(25.0, 3.0, nitrate_step_mg_l=30.0).fraction(305.0, 5.0)
        (0.1, 'your nitrate step')
        """
        found = [(self.max_percent / 100.0, self.largest_is)]
        if self.percent_a_day is not None:
            share = self.percent_a_day * self.interval_days / 100.0
            found.append((share, "your percent a day"))
        gap = level_mg_l - source_mg_l
        if self.nitrate_step_mg_l is not None and gap > 0.0:
            found.append((self.nitrate_step_mg_l / gap, "your nitrate step"))
        values = now or [p.tank for p in self.pulled]
        for p, value in zip(self.pulled, values, strict=True):
            found.append((p.fraction_at(value), f"your limit for {p.name}"))
        return min(found, key=lambda pair: pair[0])

    def lasting(self, level_mg_l: float, source_mg_l: float) -> tuple[float, str]:
        """Give the largest exchange allowed again and again at one level.

        What settles at the new water's value binds no longer; warmth does.

        Parameters
        ----------
        level_mg_l, source_mg_l : float
            Nitrate in the tank and in the new water, as NO3. [mg/L]

        Returns
        -------
        float
            Fraction. [-]
        str
            The limit that binds, in words.
        """
        settled = [p.tank if p.returns else p.source for p in self.pulled]
        return self.fraction(level_mg_l, source_mg_l, settled)
