"""What is known before a log is read, as said on the command line."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kit.fit import Beforehand

__all__ = ["add_known_options", "known_of"]

_READER_LOG_SD = 0.3
_PAIR = re.compile(r"([0-9]+(?:[.][0-9]+)?) ?(?:,|;|\+-|±| ) ?([0-9]+(?:[.][0-9]+)?)")


def _percent(text: str) -> float:
    """Read a percent between 0 and 100."""
    try:
        value = float(text.strip().removesuffix("%"))
    except ValueError:
        value = -1.0
    if not 0.0 < value < 100.0:
        msg = f"{text!r} is no percent between 0 and 100"
        raise argparse.ArgumentTypeError(msg)
    return value / 100.0


def _pair(text: str) -> tuple[float, float]:
    """Read a middle and its error, such as ``210,40``."""
    found = _PAIR.fullmatch(text.strip())
    if found is None or float(found[2]) <= 0.0:
        msg = f'{text!r} is no number with its error, such as "210,40"'
        raise argparse.ArgumentTypeError(msg)
    return float(found[1]), float(found[2])


def add_known_options(parser: argparse.ArgumentParser) -> None:
    """Describe the options.

    Parameters
    ----------
    parser : argparse.ArgumentParser
        Of a command that fits.
    """
    group = parser.add_argument_group("what is known before the log is read")
    group.add_argument(
        "--reader-noise",
        type=_percent,
        help="spread of one reading, percent of the level (chart 12, meter 8)",
    )
    group.add_argument(
        "--kit-bias",
        type=_percent,
        help="usual size of a steady error of the kit, percent; at worst twice it",
    )
    group.add_argument(
        "--exchange-error",
        type=_percent,
        help="how far an exchange may be off its size, percent of it (3)",
    )
    group.add_argument(
        "--food-yield",
        type=_pair,
        help='nitrate a gram of food makes with its error, mg, such as "210,40"',
    )


def known_of(asked: argparse.Namespace) -> Beforehand:
    """Give what was said.

    Parameters
    ----------
    asked : argparse.Namespace
        The command line; options it does not have are left as usual.

    Returns
    -------
    Beforehand
        For `kit.fit.rate`.
    """
    from kit.fit import Beforehand

    noise = getattr(asked, "reader_noise", None)
    usual = Beforehand()
    return Beforehand(
        exchange_error=getattr(asked, "exchange_error", None) or usual.exchange_error,
        reader_noise=None if noise is None else (noise, _READER_LOG_SD),
        kit_bias=getattr(asked, "kit_bias", None),
        feed_yield=getattr(asked, "food_yield", None),
    )
