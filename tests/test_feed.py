"""Feed nitrogen against the aquaculture literature."""

import datetime as dt

import pytest

from kit import feed
from kit.logbook import Feeding


# Timmons and Ebeling: 2,000 g of feed a day at 32 % protein give about 58.9 g TAN,
# "about 3 % of feed".
def test_the_published_worked_example():
    grams = feed.ammonia_nitrogen_g(2000, 32)
    assert grams == pytest.approx(58.88, abs=1e-9)
    assert grams / 2000 == pytest.approx(0.03, abs=0.001)


# 0.16 x 0.80 x 0.80 x 0.90, printed as 0.092; and 0.16 x 0.90.
def test_the_shares_are_what_the_books_multiply():
    assert pytest.approx(0.16 * 0.8 * 0.8 * 0.9, abs=2e-4) == feed.TAN_SHARE_REMOVED
    assert pytest.approx(0.16 * 0.9) == feed.TAN_SHARE_KEPT


# Worked by hand from 6.25 g protein per g N and 4.4268 g NO3 per g N (molmass):
# 0.35 x 0.16 x 4426.8 = 247.9, and so on.
@pytest.mark.parametrize(
    ("protein", "removed", "kept", "ceiling"),
    [(35, 142.5, 223.1, 247.9), (45, 183.3, 286.9, 318.7), (50, 203.6, 318.7, 354.1)],
)
def test_nitrate_from_a_gram_of_food(protein, removed, kept, ceiling):
    band = feed.feed_yield(protein)
    assert band.low_mg_g == pytest.approx(removed, abs=0.06)
    assert band.high_mg_g == pytest.approx(kept, abs=0.06)
    assert band.ceiling_mg_g == pytest.approx(ceiling, abs=0.06)
    assert feed.nitrate_per_gram(protein) == pytest.approx(ceiling, abs=0.06)


# The rule of thumb "3 % of feed becomes TAN", as NO3: 0.03 x 4426.8 = 132.8.
def test_the_three_percent_rule_is_near_the_low_end_at_a_third_protein():
    assert feed.feed_yield(32.6).low_mg_g == pytest.approx(132.8, abs=0.1)


# 0.5 x 0.16 x 4426.8 x 0.7 = 247.9; 0.45: 223.1; 0.35: 173.5.
@pytest.mark.parametrize(("protein", "left"), [(50, 247.9), (45, 223.1), (35, 173.5)])
def test_fish_that_keep_thirty_percent(protein, left):
    assert feed.nitrate_per_gram(protein, 0.3) == pytest.approx(left, abs=0.06)


def test_more_than_the_feed_holds_is_said():
    text = feed.says_more_than_feed_holds(320, 45)
    assert "320 mg" in text
    assert "319 mg" in text
    for reason in ("volume", "basis", "food", "source water", "bed"):
        assert reason in text


@pytest.mark.parametrize("value", [0, 40, 318, -5])
def test_what_the_feed_can_hold_is_not_remarked(value):
    assert feed.says_more_than_feed_holds(value, 45) is None


@pytest.mark.parametrize("arguments", [(-1,), (101,), (45, -0.1), (45, 1.1)])
def test_impossible_labels_are_refused(arguments):
    with pytest.raises(ValueError, match="lies between"):
        feed.nitrate_per_gram(*arguments)


@pytest.mark.parametrize(
    ("foods", "kind"),
    [
        ((("frozen", 6.0), ("dry", 0.3)), "frozen"),
        ((("flake", 1.0), ("Frozen shrimp", 0.5)), "dry"),
        ((("", 1.0),), "dry"),
        ((), "dry"),
    ],
)
def test_the_kind_of_most_grams_is_taken(foods, kind):
    day = dt.date(2026, 3, 2)
    given = [Feeding(day, None, g, "feedings.csv", 2, food=name) for name, g in foods]
    assert feed.usual_food(given) == kind
