"""The way down from a neglected tank's nitrate, gently and within the keeper's caps."""

from kit.catchup._caps import Caps, Pulled
from kit.catchup._card import card_shows
from kit.catchup._say import (
    HEADS,
    STOP_SIGNS,
    catch_up_rows,
    catch_up_sentences,
    water_sentences,
)
from kit.catchup._schedule import CatchUp, Turn, catch_up, one_go, stated_start
from kit.catchup._water import TwoWaters, WaterCheck, check_water

__all__ = [
    "HEADS",
    "STOP_SIGNS",
    "Caps",
    "CatchUp",
    "Pulled",
    "Turn",
    "TwoWaters",
    "WaterCheck",
    "card_shows",
    "catch_up",
    "catch_up_rows",
    "catch_up_sentences",
    "check_water",
    "one_go",
    "stated_start",
    "water_sentences",
]
