"""The bibliography: complete, without addresses, frank about memory."""

from __future__ import annotations

import re

import pytest

from kit import sources


@pytest.mark.parametrize("key", sources.SOURCES)
def test_a_source_is_complete(key):
    source = sources.SOURCES[key]
    assert re.fullmatch(r"[a-z0-9_]{3,20}", key)
    for part in (source.citation, source.identifier, source.where, source.gives):
        assert part.strip() == part != ""
        assert "http" not in part
    line = sources.cite(key)
    assert line.startswith(source.citation)
    assert source.where in line
    assert line.endswith("Figures from memory.") == source.from_memory


def test_figures_that_were_remembered_are_said_to_be():
    assert sources.SOURCES["ebeling_2006"].from_memory
    assert not sources.SOURCES["nist_hb44"].from_memory


def test_an_unknown_key_lists_the_known_ones():
    with pytest.raises(ValueError, match=r"no source 'x'.*'ciaaw'"):
        sources.cite("x")


def test_figures_named_agree_with_the_arithmetic_behind_them():
    # CIAAW abridged standard atomic weights: N 14.007, O 15.999.
    assert "4.4268" in sources.SOURCES["ciaaw"].gives
    assert pytest.approx(4.4268, abs=2e-4) == (14.007 + 3 * 15.999) / 14.007
    # Timmons and Ebeling's worked example: 2,000 g of 32 % protein.
    assert "58.9 g" in sources.SOURCES["timmons_ebeling"].gives
    assert pytest.approx(58.9, abs=0.05) == 2000 * 0.32 * 0.092
