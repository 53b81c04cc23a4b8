"""Room for food and fish under the keeper's ceiling, and the new water as the floor."""

from kit.headroom._fish import (
    AddedFish,
    feed_for_fish,
    feed_for_more_alike,
    fish_weight_g,
)
from kit.headroom._room import FeedRoom, FeedTrial, feed_room, rate_for, try_feed
from kit.headroom._say import (
    AMMONIA_WORDS,
    BLEND_HEADS,
    blend_rows,
    grams_sentence,
    room_sentences,
    source_sentences,
    trial_sentences,
)
from kit.headroom._source import (
    Blend,
    blend_table,
    blended,
    pure_share_for,
    source_for,
    worth_blending,
)

__all__ = [
    "AMMONIA_WORDS",
    "BLEND_HEADS",
    "AddedFish",
    "Blend",
    "FeedRoom",
    "FeedTrial",
    "blend_rows",
    "blend_table",
    "blended",
    "feed_for_fish",
    "feed_for_more_alike",
    "feed_room",
    "fish_weight_g",
    "grams_sentence",
    "pure_share_for",
    "rate_for",
    "room_sentences",
    "source_for",
    "source_sentences",
    "trial_sentences",
    "try_feed",
    "worth_blending",
]
