"""Dials for temperatures beside those for amounts, under one switch of units."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from kit.widgets.dial import Dial
from kit.widgets.unit_dials import Shown, UnitDials

__all__ = ["WarmDial", "WarmDials", "difference"]

_KELVIN_PER_F: Final = 5.0 / 9.0
_ZERO_F_IN_C: Final = -160.0 / 9.0


class WarmDial(Dial):
    """A dial for a temperature, which °F and °C count from different zeros."""

    @property
    def _zero_c(self) -> float:
        """Zero of the unit shown. [°C]."""
        return 0.0 if self.factor == 1.0 else _ZERO_F_IN_C

    @property
    def value(self) -> float:
        """Temperature. [°C]."""
        return float(self.slider.value) * self.factor + self._zero_c

    def put(self, value: float) -> None:
        """Move to a temperature [°C], as far as the ends allow."""
        shown = (value - self._zero_c) / self.factor
        self.slider.value = min(max(shown, self.slider.min), self.slider.max)


class WarmDials(UnitDials):
    """Dials in metric or US units, temperatures among them."""

    def warm(self, name: str, value_c: float, low_c: float, high_c: float) -> Dial:
        """Make a dial for a temperature.

        Parameters
        ----------
        name : str
            What it is.
        value_c, low_c, high_c : float
            Start and ends. [°C]

        Returns
        -------
        Dial
            Beginning in °C.
        """
        metric = Shown(f"{name} (°C)", low_c, high_c, 0.5)
        low, high = (round(c / _KELVIN_PER_F + 32.0) for c in (low_c, high_c))
        us = Shown(f"{name} (°F)", low, high, 1.0, _KELVIN_PER_F)
        dial = WarmDial(metric.label, value_c, low_c, high_c, 0.5)
        self._rows.append((dial, metric, us))
        return dial

    @property
    def made(self) -> tuple[Dial, ...]:
        """The dials, in the order they were made."""
        return tuple(dial for dial, _, _ in self._rows)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Move dials without answering to each."""
        with self._hold():
            yield


def difference(name: str, most_c: float) -> tuple[Shown, Shown]:
    """Look of a difference of temperatures in °C and °F.

    Parameters
    ----------
    name : str
        What it is.
    most_c : float
        Upper end. [K]

    Returns
    -------
    tuple of Shown
        Metric and US.
    """
    return (
        Shown(f"{name} (°C)", 0.0, most_c, 0.1),
        Shown(f"{name} (°F)", 0.0, round(most_c / _KELVIN_PER_F), 0.2, _KELVIN_PER_F),
    )
