"""While the keeper is away: nitrate, water and salt on coming back."""

from kit.away._days import Trip, days_since_exchange, usual_leaving
from kit.away._say import away_sentences, until_sentences, water_level_sentences
from kit.away._trip import Homecoming, come_home
from kit.away._water import Stretch, days_until

__all__ = [
    "Homecoming",
    "Stretch",
    "Trip",
    "away_sentences",
    "come_home",
    "days_since_exchange",
    "days_until",
    "until_sentences",
    "usual_leaving",
    "water_level_sentences",
]
