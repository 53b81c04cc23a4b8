"""A level as the keeper's own kit shows it."""

import pytest

from kit.catchup import card_shows
from kit.logbook import Tank

DOUBLING = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0)
NITRATE_PER_N = 62.0049 / 14.0067  # CIAAW standard atomic weights (2007)


# Steps split at geometric midpoints: 40 stands for 28.3 to 56.6, 80 for up to 113.1.
@pytest.mark.parametrize(
    ("low", "high", "shows"),
    [
        (30, 50, "40"),
        (30, 60, "40 to 80"),
        (0, 1, "0"),
        (100, 110, "80"),
        (120, 120, "80 with 1 part tank water in 1 part pure water, times 2"),
        (200, 260, "40 to 80 with 1 part tank water in 3 parts pure water, times 4"),
    ],
)
def test_steps_of_a_card(low, high, shows):
    assert card_shows(low, high, Tank(kit_steps_mg_l=DOUBLING)) == shows


def test_a_meter_shows_its_figures():
    assert card_shows(20.3, 23.9, Tank(kit_resolution_mg_l=1.0)) == "20 to 24"
    assert card_shows(2.04, 2.26, Tank(kit_resolution_mg_l=0.1)) == "2.0 to 2.3"


def test_a_card_that_counts_nitrogen_shows_its_own_numbers():
    steps = tuple(s * NITRATE_PER_N for s in (0, 5, 10, 20))
    tank = Tank(kit_steps_mg_l=steps, kit_basis="NO3-N")
    assert card_shows(44.0, 44.5, tank) == "10"


def test_without_a_kit_nothing_is_claimed():
    assert card_shows(10, 20, Tank()) == ""
