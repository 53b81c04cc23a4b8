"""Cautions: plain, in order, closed by the line on local code and trades."""

from __future__ import annotations

import re

import pytest

from kit import cautions

# Common practice, no source: 20 psi for a supply line, 20 L for a bucket.
PSI_KPA = 6.894757  # NIST SP 811, appendix B.8: kPa in one pound a square inch
WATER_KG_L = 0.998207  # IAPWS-95, 20 C and 101.325 kPa, density of water


def test_an_exchange_brings_its_eight_cautions_and_the_closing_line():
    page = cautions.for_page(*cautions.EXCHANGE)
    starts = [line.split(":")[0] for line in page[:-1]]
    assert starts == [
        "Electricity",
        "Heaters and pumps",
        "Flooding",
        "Chlorine and chloramine",
        "Shock",
        "Lifting",
        "Animals",
        "Waste water",
    ]
    assert page[-1] == cautions.CLOSING


def test_order_is_kept_and_nothing_said_twice():
    page = cautions.for_page("floor", "tools", "floor")
    assert [line.split(":")[0] for line in page[:-1]] == ["Floor", "Tools"]
    assert cautions.for_page() == ()


def test_an_unknown_topic_lists_the_known_ones():
    with pytest.raises(ValueError, match=r"no caution on \['fire'\].*'electricity'"):
        cautions.for_page("tools", "fire")


@pytest.mark.parametrize("topic", cautions.CAUTIONS)
def test_a_caution_is_short_plain_and_names_its_topic(topic):
    text = cautions.CAUTIONS[topic]
    assert re.match(r"[A-Z][a-z ]{2,24}: [a-zA-Z0-9]", text)
    assert text.endswith(".")
    assert len(text) < 320
    assert "!" not in text
    # Only the names of breakers, acidity and units are written in capitals.
    assert set(re.findall(r"\b[A-Z]{2,}\b", text)) <= {"RCD", "GFCI"}


def test_the_figures_agree_with_their_units():
    litres, kilograms = re.search(
        r"(\d+) L of water weighs about (\d+) kg", cautions.CAUTIONS["lifting"]
    ).groups()
    assert float(kilograms) == pytest.approx(float(litres) * WATER_KG_L, rel=0.01)
    psi, kpa = re.search(
        r"(\d+) psi \((\d+) kPa\)", cautions.CAUTIONS["pressure"]
    ).groups()
    assert float(kpa) == pytest.approx(float(psi) * PSI_KPA, abs=0.5)
