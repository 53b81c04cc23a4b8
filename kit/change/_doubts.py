"""What in a log is open to doubt, in sentences: missing exchanges, odd readings."""

from __future__ import annotations

from kit.change._outliers import outliers
from kit.change._say import every
from kit.change._unlogged import unlogged
from kit.logbook import Logbook

__all__ = ["doubts", "suspicions"]


def doubts(log: Logbook) -> tuple[str, ...]:
    """Say which exchanges may be missing and which readings stand out.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    tuple of str
        Always at least one sentence.
    """
    missing, odd = unlogged(log), outliers(log)
    out: list[str] = []
    if missing is None:
        out.append(
            "The exchanges of this log are too few or come without a rhythm, so "
            "whether one is missing cannot be told."
        )
    elif not missing.days:
        out.append(
            "No exchange is missing from the rhythm of the log, "
            f"{every(missing.interval_days)}."
        )
    else:
        out += missing.statements
    if odd is None:
        out.append("The log carries no fit, so no reading can be said to be odd.")
    elif not odd.readings:
        out.append("No reading stands out from the others.")
    else:
        out += odd.statements
    return tuple(out)


def suspicions(log: Logbook) -> tuple[str, ...]:
    """Say only what is found: exchanges that may be missing, readings that stand out.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    tuple of str
        Empty when nothing is suspected.
    """
    missing, odd = unlogged(log), outliers(log)
    out: list[str] = []
    if missing is not None and missing.days:
        out += missing.statements
    if odd is not None and odd.readings:
        out += odd.statements
    return tuple(out)
