"""What to mind before acting on a number, in plain sentences.

A page that suggests an action shows these first. Figures among them are common
practice, from memory, unless a source is named beside them.
"""

from __future__ import annotations

__all__ = [
    "AWAY",
    "BRIEF",
    "CATCH_UP",
    "CAUTIONS",
    "CLOSING",
    "EXCHANGE",
    "FEEDING",
    "SCHEDULE",
    "for_page",
]

CAUTIONS: dict[str, str] = {
    "electricity": (
        "Electricity: dry your hands and pull the plugs, a switch is not enough, "
        "before hands or metal go into the water. Each circuit needs a breaker for "
        "leaking current (RCD or GFCI), tested every month, and each lead a loop "
        "lower than its socket."
    ),
    "heaters": (
        "Heaters and pumps: turn them off, and let heaters cool for 15 to 20 "
        "minutes, before the level falls. Turn them on once water covers them, and "
        "read the temperature an hour later."
    ),
    "flooding": (
        "Flooding: stay beside a tank that is filling. Water that runs by itself "
        "needs a timer, a float valve, an overflow and an alarm, and a drain that "
        "copes with a valve stuck open. Leave room for what runs back when pumps "
        "stop."
    ),
    "pressure": (
        "Supply line: fit a regulator with a gauge, tube rated for the pressure, "
        "and a shut-off within reach; about 20 psi (138 kPa) is a common limit. End "
        "every hose and drip above the water, as most places require by law, so "
        "that tank water cannot be drawn back into the mains."
    ),
    "chlorine": (
        "Chlorine and chloramine: treat tap water before fish meet it, for the "
        "whole tank when you fill straight from the tap, for the new water when you "
        "mix it first. Chloramine leaves ammonia, and carbon wears out: test. Never "
        "mix cleaning agents."
    ),
    "shock": (
        "Shock: match the new water's warmth, pH and hardness, and keep to your "
        "limit for one exchange. Before a large one test ammonia and pH. Stop if "
        "fish gasp, lean over or clamp their fins; add air, test, and ask a vet or "
        "an experienced keeper."
    ),
    "sand": (
        "Sand: stir a deep or old bed in small patches over weeks, with the room "
        "aired. Black sand or a smell of rotten eggs is a gas that harms people and "
        "kills fish. Watch the fish for want of air afterwards."
    ),
    "filters": (
        "Filters: within an hour or two without flow the living layer runs short of "
        "air, and a closed filter turns foul; empty and flush it before it runs "
        "again. Clean part of the media at a time, in tank water, and keep the rest "
        "wet."
    ),
    "lifting": (
        "Lifting: 20 L of water weighs about 20 kg. Carry half buckets or carry as "
        "two, and dry the floor. Keep hair and sleeves from strong intakes. Look "
        "old glass over for cracks before it is drained far."
    ),
    "mould": (
        "Damp: what evaporates from the tank ends up in the room. A few litres a "
        "day need airing or a dehumidifier, or mould will grow."
    ),
    "skin": (
        "Skin and lungs: wear gloves over cuts and wash afterwards, as tank water "
        "can infect a wound. Start a siphon without the mouth. With salt dust, "
        "acids, medicines and peroxide follow the label, wear goggles, and keep "
        "children away."
    ),
    "tools": (
        "Tools: keep buckets, cloths and scrapers for the tank alone. Soap in a pad "
        "and rusting metal can poison the water."
    ),
    "discharge": (
        "Waste water: keep tank water, plants, snails, sand and fish out of "
        "ditches, ponds and storm drains. Salted or medicated water never goes onto "
        "soil."
    ),
    "animals": (
        "Animals: how much nitrate a species bears, and at what age, is disputed; "
        "the ceiling is the keeper's own and no promise of safety. Where fish "
        "sicken or die, test ammonia, nitrite and oxygen first."
    ),
    "coming down": (
        "Coming down: old water may have lost its hardness and turned acid, and fish "
        "got used to it. Test ammonia, nitrite, pH and hardness before each exchange. "
        "New water that lifts the pH makes ammonia harmful within the hour. If in "
        "doubt, wait and ask a vet or an experienced keeper."
    ),
    "leaving": (
        "Leaving: try feeder, timer and drip for a week while you are there. Whoever "
        "looks in needs one page: what to give, what not to touch, how to cut the "
        "water and the power, whom to call. Healthy grown fish bear some days without "
        "food better than a spilled feeder; young fish do not."
    ),
    "new fish": (
        "New fish: keep them apart for some weeks, as most illness comes with them. "
        "Add a few at a time. Test ammonia and nitrite every other day for two weeks; "
        "the filter needs that long to follow. Room on paper is no promise that they "
        "get on, or fit."
    ),
    "pure water": (
        "Pure water: it has no hardness and holds no pH. Mix it with the tap water "
        "before it goes in, add back what your fish need, test pH and hardness of the "
        "mix, and go over to it in small steps over some weeks."
    ),
    "reagents": (
        "Test kits: some bottles hold strong acid or poison. Wear goggles, keep them "
        "from children and food, wash your hands, and never pour a tested sample back "
        "into the tank."
    ),
    "tracer salt": (
        "Salt as a tracer: use it only where every animal and plant in the tank bears "
        "it, and leave it out otherwise. Weigh it twice, dissolve it first, pour it "
        "in slowly, and take plain salt without iodine or other additions."
    ),
    "floor": (
        "Floor: a filled tank on its stand can weigh more than a home's floor was "
        "built to carry in one place. Ask a structural engineer before you fill."
    ),
}
"""One caution for each topic."""

EXCHANGE: tuple[str, ...] = (
    "electricity",
    "heaters",
    "flooding",
    "chlorine",
    "shock",
    "lifting",
    "animals",
    "discharge",
)
"""Topics that belong to planning an exchange."""

SCHEDULE: tuple[str, ...] = (*EXCHANGE[:3], "pressure", *EXCHANGE[3:])
"""Topics that belong to choosing among exchanges and drips."""

CATCH_UP: tuple[str, ...] = (
    "coming down",
    "shock",
    "chlorine",
    "electricity",
    "heaters",
    "flooding",
    "lifting",
    "discharge",
    "animals",
)
"""Topics that belong to coming down from a high level."""

FEEDING: tuple[str, ...] = ("new fish", "animals", "pure water", "chlorine", "skin")
"""Topics that belong to more food, more fish, or other new water."""

AWAY: tuple[str, ...] = (
    "leaving",
    "heaters",
    "flooding",
    "electricity",
    "shock",
    "mould",
    "animals",
)
"""Topics that belong to a time away."""

BRIEF = (
    "Before water is changed: pull the plugs, heaters first; treat tap water for "
    "chlorine; match warmth, pH and hardness and keep to your limit for one exchange; "
    "stay beside a tank that is filling. The ceiling is the keeper's own and no "
    "promise of safety; where fish sicken, test ammonia, nitrite and oxygen first."
)
"""The topics of `EXCHANGE` in short, for a post that has no room for all of them."""

CLOSING = (
    "Follow your local code and licensed trades; this is arithmetic, not approval."
)
"""Last line under any cautions."""


def for_page(*topics: str) -> tuple[str, ...]:
    """Give the cautions to show before a page's numbers.

    Parameters
    ----------
    *topics : str
        Keys of `CAUTIONS`, in the order wanted; `EXCHANGE` for an exchange plan.

    Returns
    -------
    tuple of str
        Each caution once, then the closing line; empty without topics.

    Raises
    ------
    ValueError
        A topic without a caution.

    Examples
    --------
    >>> for_page("tools")[-1] == CLOSING
    True
    """
    unknown = [topic for topic in topics if topic not in CAUTIONS]
    if unknown:
        raise ValueError(f"no caution on {unknown}; there are {sorted(CAUTIONS)}")
    if not topics:
        return ()
    return (*(CAUTIONS[topic] for topic in dict.fromkeys(topics)), CLOSING)
