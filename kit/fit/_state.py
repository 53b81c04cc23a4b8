"""How far the tank has strayed from its balance, carried from reading to reading."""

from __future__ import annotations

from dataclasses import dataclass

from kit.balance import Floats
from kit.fit._readings import Readings

__all__ = ["State", "Tally"]


@dataclass
class State:
    """Deviations of level and rate on every path, and their covariance by row."""

    level: Floats
    rate: Floats
    level_var: Floats
    both_var: Floats
    rate_var: Floats

    def carry(self, readings: Readings, t: int, tank_var: Floats, var: Floats) -> None:
        """Go from one reading to the next."""
        kept, memory = float(readings.kept[t]), readings.memory
        white = tank_var * readings.wander[t] + readings.jolts[t]
        if memory is None:
            self.level = kept * self.level
            self.level_var = kept**2 * self.level_var + white
            return
        gained, lasting = float(memory.gained[t]), float(memory.lasting[t])
        self.level = kept * self.level + gained * self.rate
        self.rate = lasting * self.rate
        self.level_var = (
            kept**2 * self.level_var
            + 2.0 * kept * gained * self.both_var
            + gained**2 * self.rate_var
            + var * memory.level[t]
            + white
        )
        self.both_var = (
            lasting * (kept * self.both_var + gained * self.rate_var)
            + var * memory.both[t]
        )
        self.rate_var = lasting**2 * self.rate_var + var * memory.rate[t]

    def learn(self, z: Floats, total: Floats, sd: Floats) -> None:
        """Take in a reading that lies ``z`` standard deviations off."""
        self.level = self.level + self.level_var / sd * z
        if self.rate_var.any():
            self.rate = self.rate + self.both_var / sd * z
            self.rate_var = self.rate_var - self.both_var**2 / total
            self.both_var = self.both_var - self.both_var * self.level_var / total
        self.level_var = self.level_var - self.level_var**2 / total


@dataclass
class Tally(State):
    """Besides, all that rose beyond the balance since the first reading, undiluted."""

    risen: Floats
    risen_var: Floats
    risen_level: Floats
    risen_rate: Floats

    def carry(self, readings: Readings, t: int, tank_var: Floats, var: Floats) -> None:
        """Go from one reading to the next."""
        memory, kept = readings.memory, float(readings.kept[t])
        if memory is None:
            msg = "a tally needs the memory of the readings"
            raise ValueError(msg)
        gained, lasting = float(memory.gained[t]), float(memory.lasting[t])
        once = float(memory.risen[t])
        self.risen = self.risen + once * self.rate
        self.risen_var = (
            self.risen_var
            + 2.0 * once * self.risen_rate
            + once**2 * self.rate_var
            + var * memory.risen_var[t]
            + tank_var * memory.days[t]
        )
        self.risen_level = (
            kept * (self.risen_level + once * self.both_var)
            + gained * (self.risen_rate + once * self.rate_var)
            + var * memory.risen_level[t]
            + tank_var * memory.shared[t]
        )
        self.risen_rate = (
            lasting * (self.risen_rate + once * self.rate_var)
            + var * memory.risen_rate[t]
        )
        super().carry(readings, t, tank_var, var)

    def learn(self, z: Floats, total: Floats, sd: Floats) -> None:
        """Take in a reading that lies ``z`` standard deviations off."""
        shared = self.risen_level
        self.risen = self.risen + shared / sd * z
        self.risen_var = self.risen_var - shared**2 / total
        self.risen_rate = self.risen_rate - shared * self.both_var / total
        self.risen_level = shared - shared * self.level_var / total
        super().learn(z, total, sd)
