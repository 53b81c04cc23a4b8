"""Faults a keeper can cause, each with a plain sentence and nothing else."""

from __future__ import annotations

from collections.abc import Iterable

from kit.findings import Problem, in_reading_order

__all__ = ["InputError", "KitError", "PlanError", "SaveError", "UnitError"]


class KitError(Exception):
    """Base of every fault the kit reports in plain words."""


class UnitError(KitError, ValueError):
    """A unit the kit does not know, or one that means something else."""


class PlanError(KitError, ValueError):
    """A plan that no exchange can reach, with the reason."""


class SaveError(KitError, OSError):
    """An entry that could not be saved; the file is as it was."""


class InputError(KitError, ValueError):
    """Files that cannot be used at all.

    Parameters
    ----------
    problems : iterable of Problem
        Everything found in one pass, worst first.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = in_reading_order(problems)
        super().__init__("\n".join(p.sentence() for p in self.problems))
