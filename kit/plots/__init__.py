"""Pictures of results, one function each; nothing is worked out here.

Each takes a result and an axes to draw on, and gives the axes back. Each has a twin
that says the same in words, for those who cannot see the picture.
"""

from kit.plots._ahead import AheadPicture, ahead_alt, calendar_alt, calendar_picture
from kit.plots._away import away_alt, away_picture, away_title
from kit.plots._bars import drain_alt, drain_picture, order_alt, order_picture
from kit.plots._card import (
    card_alt,
    card_picture,
    chances_alt,
    chances_picture,
    checks_alt,
    checks_picture,
)
from kit.plots._catchup import catchup_alt, catchup_picture, catchup_title
from kit.plots._change import (
    CHANGE_SIZE_IN,
    change_alt,
    change_picture,
    shape_alt,
    shape_picture,
)
from kit.plots._curves import (
    clog_alt,
    clog_picture,
    hose_alt,
    hose_picture,
    rot_alt,
    rot_picture,
)
from kit.plots._fit import fit_alt, fit_picture, fit_title
from kit.plots._headroom import headroom_alt, headroom_picture, headroom_title
from kit.plots._heat import cold_alt, cold_picture, year_alt, year_picture
from kit.plots._lookback import lookback_alt, lookback_picture, soon_alt, soon_picture
from kit.plots._map import MAP_SIZE_IN, MapPicture, map_alt, map_picture
from kit.plots._pair import Side, pair_alt, pair_picture
from kit.plots._parts import say_day
from kit.plots._plan import PlanPicture, plan_alt, plan_picture, plan_title
from kit.plots._ranges import (
    answers_alt,
    answers_picture,
    volume_alt,
    volume_picture,
)
from kit.plots._residual import residual_alt, residual_picture
from kit.plots._water import (
    ammonia_alt,
    ammonia_picture,
    chlorine_alt,
    chlorine_picture,
    top_up_alt,
    top_up_picture,
)

__all__ = [
    "CHANGE_SIZE_IN",
    "MAP_SIZE_IN",
    "AheadPicture",
    "MapPicture",
    "PlanPicture",
    "Side",
    "ahead_alt",
    "ammonia_alt",
    "ammonia_picture",
    "answers_alt",
    "answers_picture",
    "away_alt",
    "away_picture",
    "away_title",
    "calendar_alt",
    "calendar_picture",
    "card_alt",
    "card_picture",
    "catchup_alt",
    "catchup_picture",
    "catchup_title",
    "chances_alt",
    "chances_picture",
    "change_alt",
    "change_picture",
    "checks_alt",
    "checks_picture",
    "chlorine_alt",
    "chlorine_picture",
    "clog_alt",
    "clog_picture",
    "cold_alt",
    "cold_picture",
    "drain_alt",
    "drain_picture",
    "fit_alt",
    "fit_picture",
    "fit_title",
    "headroom_alt",
    "headroom_picture",
    "headroom_title",
    "hose_alt",
    "hose_picture",
    "lookback_alt",
    "lookback_picture",
    "map_alt",
    "map_picture",
    "order_alt",
    "order_picture",
    "pair_alt",
    "pair_picture",
    "plan_alt",
    "plan_picture",
    "plan_title",
    "residual_alt",
    "residual_picture",
    "rot_alt",
    "rot_picture",
    "say_day",
    "shape_alt",
    "shape_picture",
    "soon_alt",
    "soon_picture",
    "top_up_alt",
    "top_up_picture",
    "volume_alt",
    "volume_picture",
    "year_alt",
    "year_picture",
]
