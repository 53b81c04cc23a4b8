"""Drains, tubes, hoses and prefilters: what they carry, and how long they take.

Every number is a sum with the inputs given. None of it is a promise: a real drain has
snails in it, and a real valve a spring that was not in the sum.
"""

from kit.plumbing._say import (
    CASE_WORDS,
    hose_sentences,
    hourly,
    outlook_sentences,
    say_minutes,
    say_times,
    sump_sentences,
)
from kit.plumbing._say_filters import (
    cleaning_sentences,
    clog_sentences,
    cup_sentences,
)
from kit.plumbing.curves import Curve, clog_curve, hose_curve, rot_curve
from kit.plumbing.drain import (
    Drain,
    capacity_l_h,
    orifice_l_h,
    part_full,
    run_l_h,
    standing_mm,
    weir_l_h,
)
from kit.plumbing.friction import (
    KPA_PER_M,
    Pipe,
    flow_l_h,
    friction_factor,
    head_lost_m,
    reynolds,
)
from kit.plumbing.prefilter import (
    ROT_PER_DAY,
    Cleaning,
    clog_rate,
    clogged_flow,
    days_to_flow,
    rotted_share,
    try_cleaning,
)
from kit.plumbing.siphon import hole_minutes, hose_minutes, hose_minutes_falling
from kit.plumbing.spill import (
    Backflow,
    Case,
    Outlook,
    backflow,
    minutes_to_spill,
    outlook,
)
from kit.plumbing.supply import cup_l_day, drops_l_day, emitter_flow, wide_open_l_h

__all__ = [
    "CASE_WORDS",
    "KPA_PER_M",
    "ROT_PER_DAY",
    "Backflow",
    "Case",
    "Cleaning",
    "Curve",
    "Drain",
    "Outlook",
    "Pipe",
    "backflow",
    "capacity_l_h",
    "cleaning_sentences",
    "clog_curve",
    "clog_rate",
    "clog_sentences",
    "clogged_flow",
    "cup_l_day",
    "cup_sentences",
    "days_to_flow",
    "drops_l_day",
    "emitter_flow",
    "flow_l_h",
    "friction_factor",
    "head_lost_m",
    "hole_minutes",
    "hose_curve",
    "hose_minutes",
    "hose_minutes_falling",
    "hose_sentences",
    "hourly",
    "minutes_to_spill",
    "orifice_l_h",
    "outlook",
    "outlook_sentences",
    "part_full",
    "reynolds",
    "rot_curve",
    "rotted_share",
    "run_l_h",
    "say_minutes",
    "say_times",
    "standing_mm",
    "sump_sentences",
    "try_cleaning",
    "weir_l_h",
    "wide_open_l_h",
]
