"""Faults a keeper can cause, each with a plain sentence and nothing else."""

from __future__ import annotations

__all__ = ["KitError", "PlanError", "SaveError", "SumError", "UnitError"]


class KitError(Exception):
    """Base of every fault the kit reports in plain words."""


class UnitError(KitError, ValueError):
    """A unit the kit does not know, or one that means something else."""


class PlanError(KitError, ValueError):
    """A plan that no exchange can reach, with the reason."""


class SumError(KitError, ValueError):
    """A sum that the numbers given cannot answer, with the reason."""


class SaveError(KitError, OSError):
    """An entry that could not be saved; the file is as it was."""
