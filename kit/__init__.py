"""Nitrate balance kit: from a tank's logbook to a verdict others can check.

Layers point down only (``DEVELOPERS.md`` has the table)::

    cli, widgets          what a person touches
    report, words, plots  what a person reads
    plan                  percent, interval and drip for a ceiling
    fit                   how fast nitrate rises, and from what
    files, intake         a keeper's files become a Logbook, or plain problems
    logbook, structure    the records; the bytes as a table of text
    balance, feed, units  the sums

Importing this package alone loads none of them; write
``from kit import files, fit, plan`` for what is needed.
"""

__version__ = "0.1.0"
__all__ = ["__version__"]
