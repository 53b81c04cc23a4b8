"""What a test kit can tell, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from kit.rounding import decimals_for, plain, round_for_people
from kit.testkit.calibration import Line, ReadBack
from kit.testkit.card import Colour
from kit.testkit.dilute import Dilution
from kit.testkit.limit import Limit
from kit.testkit.standards import Bias
from kit.testkit.zero import Zero

__all__ = [
    "bias_sentences",
    "colour_sentences",
    "dilution_sentences",
    "joined_sentence",
    "limit_sentences",
    "line_sentences",
    "repeat_sentences",
    "zero_sentences",
]

_COUNTS = ("no checks", "one check", "two checks")
_UNIT = "mg/L"
_ALWAYS = 0.995


def level(value: float) -> str:
    """Write a level in about two figures, as no card tells more apart."""
    return plain(round_for_people(value, max(abs(value) * 0.05, 0.05)))


def between(low: float, high: float | None) -> str:
    """Write a range of levels."""
    if high is None:
        return f"more than {level(low)} {_UNIT}, without an end"
    if low <= 0:
        return f"anything below {level(high)} {_UNIT}"
    return f"{level(low)} to {level(high)} {_UNIT}"


def colour_sentences(colour: Colour, noise: float) -> tuple[str, ...]:
    """Say how wide one colour is.

    Parameters
    ----------
    colour : Colour
        From `kit.testkit.colours`.
    noise : float
        Spread of the eye, as a part. [-]

    Returns
    -------
    tuple of str
        The range first.

    Examples
    --------
    >>> from kit.testkit.card import colours
    >>> colour_sentences(colours([0, 5, 10, 20, 40, 80], 0.0)[4], 0.0)[0]
    'A reading of 40 on this card means 28 to 57 mg/L.'
    """
    said = [
        f"A reading of {colour.step_mg_l:g} on this card means "
        f"{between(colour.low_mg_l, colour.high_mg_l)}."
    ]
    if noise > 0:
        said.append(
            f"With an eye that varies by {100 * noise:.0f} % it can be "
            f"{between(colour.widest_low_mg_l, colour.widest_high_mg_l)}: beyond each "
            "end less than 1 time in 40."
        )
    if colour.low_mg_l <= 0:
        said.append(
            "The lowest colour is no proof of none: it only says that the level lies "
            "below the first edge."
        )
    if colour.high_mg_l is None:
        said.append("The last colour has no upper end: dilute the sample to find one.")
    return tuple(said)


def dilution_sentences(
    present: tuple[float, float | None], found: Dilution | None
) -> tuple[str, ...]:
    """Say what a dilution adds to a reading.

    Parameters
    ----------
    present : tuple of (float, float or None)
        What the undiluted reading allows. [mg/L]
    found : Dilution or None
        From `kit.testkit.dilution` or `kit.testkit.best_dilution`.

    Returns
    -------
    tuple of str
        What to mix first.
    """
    if found is None:
        return (
            "No dilution helps here: it can only move the card's edges up, and below "
            "this band there is none to move. A card with finer low steps would.",
        )
    mix = (
        f"To narrow it, mix {found.tank_parts} "
        f"{'part' if found.tank_parts == 1 else 'parts'} tank water with "
        f"{found.pure_parts} {'part' if found.pure_parts == 1 else 'parts'} pure "
        f"water, and multiply the reading by {plain(round(found.factor, 2))}."
    )
    if not found.edges_mg_l:
        return (
            mix,
            "On this card that adds nothing: the edges fall on edges that were there "
            f"already, so {between(*present)} stays as wide as it was.",
        )
    edges = " and ".join(level(e) for e in found.edges_mg_l)
    return (
        mix,
        f"The colour then changes at {edges} {_UNIT} of the tank's water, so the band "
        f"of {between(*present)} is split there. On average "
        f"{100 * found.left:.0f} % of its width is left.",
        "Measure the parts with a syringe or cylinder: a wrong part goes straight into "
        "the answer.",
    )


def joined_sentence(both: tuple[float, float | None] | None) -> str:
    """Say what a reading and that of the diluted sample allow together.

    Parameters
    ----------
    both : tuple of (float, float or None), or None
        From `kit.testkit.read_diluted`. [mg/L]

    Returns
    -------
    str
        One sentence.

    Examples
    --------
    >>> joined_sentence((28.3, 42.4))
    'Both readings together mean 28 to 42 mg/L.'
    """
    if both is None:
        return (
            "The two readings contradict each other by the card alone: one of them is "
            "misread, or the parts were not as said. Do both again."
        )
    return f"Both readings together mean {between(*both)}."


def repeat_sentences(
    level_mg_l: float,
    steps_mg_l: Sequence[float],
    chances: Sequence[float],
    mean_mg_l: float,
) -> tuple[str, ...]:
    """Say how one water is read again and again, and what the mean of it is worth.

    Parameters
    ----------
    level_mg_l : float
        What is truly in the water. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]
    chances : sequence of float
        From `kit.testkit.reading_chances`. [-]
    mean_mg_l : float
        From `kit.testkit.mean_reading`. [mg/L]

    Returns
    -------
    tuple of str
        The usual colour first.
    """
    most = max(range(len(steps_mg_l)), key=lambda i: chances[i])
    shown = steps_mg_l[most]
    first = (
        f"Water of {level(level_mg_l)} {_UNIT} reads {shown:g} in "
        f"{100 * chances[most]:.0f} of 100 tests."
    )
    if chances[most] > _ALWAYS:
        off = 100.0 * abs(shown - level_mg_l) / level_mg_l
        return (
            first,
            "Every test says the same, so repeating it shows no error at all; and yet "
            f"the number is {off:.0f} % off.",
        )
    return (
        first,
        f"The mean of the printed numbers goes to {level(mean_mg_l)}, however many "
        "tests are made. More of them make it steadier, not nearer.",
    )


def bias_sentences(bias: Bias, kit: str = "This kit") -> tuple[str, ...]:
    """Say how far a kit reads off, and whether that is enough to correct by.

    Parameters
    ----------
    bias : Bias
        From `kit.testkit.kit_bias`.
    kit : str, optional
        What to call it.

    Returns
    -------
    tuple of str
        The verdict first.

    Examples
    --------
    >>> bias_sentences(Bias(0.0, 0.2, 2, -0.2, 0.07))[0]
    'This kit reads about 0.8 times the standard (two checks): too few to correct by.'
    """
    count = _COUNTS[bias.n] if bias.n < len(_COUNTS) else f"{bias.n} checks"
    unknown = (
        "A kit that was not tried enough is taken to read within "
        f"{100 * bias.sd:.0f} % either way, two times in three; that is an assumption."
    )
    if bias.n == 0:
        return (f"{kit} was never tried on a known solution.", unknown)
    low, high = (plain(x, 2) for x in bias.factor_band())
    times = plain(bias.factor, 1 if bias.too_few else 2)
    if bias.too_few:
        return (
            f"{kit} reads about {times} times the standard ({count}): too few to "
            "correct by.",
            unknown,
        )
    range_ = f"({low} to {high}, 19 times in 20, {count})"
    if bias.factor_band()[0] <= 1.0 <= bias.factor_band()[1]:
        return (
            f"{kit} reads about {times} times the standard {range_}: it may be right, "
            "as 1 lies in that range.",
            "More checks at other strengths would narrow this.",
        )
    return (
        f"{kit} reads about {times} times the standard {range_}: it reads "
        f"{'low' if bias.factor < 1 else 'high'}.",
        f"A reading of 40 then stands for about {level(40.0 / bias.factor)} {_UNIT}. "
        "Check once more with a fresh solution before you throw the kit away.",
    )


def limit_sentences(limit: Limit) -> tuple[str, ...]:
    """Say a detection limit and what it rests on.

    Parameters
    ----------
    limit : Limit
        From `kit.testkit.detection_limit`.

    Returns
    -------
    tuple of str
        The limit first.
    """
    low, high = (_two(x) for x in (limit.low_mg_l, limit.high_mg_l))
    limit_, weak = _two(limit.limit_mg_l), _two(limit.sample_mg_l)
    said = [
        f"A reading above {limit_} {_UNIT} shows that there is some nitrate: water "
        "without any reads that high only 1 time in 100.",
        f"From the weak sample: {weak} ({low} to {high}, 19 times in 20). That is "
        f"{limit.student:.3f} times the spread of {_two(limit.sd_mg_l)}; a published "
        f"table gives that factor for {limit.freedom + 1} readings of one sample.",
    ]
    if limit.blank_mg_l is None:
        said.append(
            "No blanks were given; a meter that shows something of pure water "
            "has a higher limit."
        )
    else:
        larger = "larger" if limit.blank_mg_l >= limit.sample_mg_l else "smaller"
        said.append(
            f"From the blanks: {_two(limit.blank_mg_l)}, the {larger} of the two; "
            "the larger one counts."
        )
    return tuple(said)


def _three(value: float) -> str:
    return plain(round_for_people(value))


def _two(value: float) -> str:
    """Write an error in two figures."""
    return plain(value, max(decimals_for(value) + 1, 0)) if value > 0 else "0"


def line_sentences(line: Line, found: ReadBack | None = None) -> tuple[str, ...]:
    """Say a calibration line, and a level read back from it.

    Parameters
    ----------
    line : Line
        From `kit.testkit.calibration_line`.
    found : ReadBack, optional
        From ``line.read_back``.

    Returns
    -------
    tuple of str
        The level first, where there is one.
    """
    said = [
        f"The meter shows {_three(line.intercept)} plus {_three(line.slope)} for each "
        f"{_UNIT} (error of the slope {_two(line.slope_sd)}, {line.n} solutions); the "
        f"readings lie {_two(line.method_sd)} {_UNIT} off the line, two times in "
        "three."
    ]
    if found is not None:
        about = plain(
            found.level_mg_l, max(decimals_for(max(found.sd_mg_l, 1e-6)) + 1, 0)
        )
        said.insert(
            0,
            f"This sample holds about {about} {_UNIT}, give or take "
            f"{_two(found.sd_mg_l)}, two times in three.",
        )
        if not found.inside:
            said.append(
                "That lies outside the known solutions, where nothing shows that the "
                "line holds."
            )
    return tuple(said)


def zero_sentences(zero: Zero) -> tuple[str, ...]:
    """Say whether a reading of nothing can be true.

    Parameters
    ----------
    zero : Zero
        From `kit.testkit.zero_reading`.

    Returns
    -------
    tuple of str
        The verdict first.
    """
    limit, expected = level(zero.limit_mg_l), level(zero.expected_mg_l)
    if zero.hides:
        return (
            f"This food would lead to {expected} {_UNIT} before an exchange, which "
            f"this kit shows as none (below {limit}). The reading agrees "
            "with the food.",
        )
    said = [
        f"The food alone should lead to {expected} {_UNIT} before an exchange; this "
        f"kit would show that, as it sees {limit} and more.",
        "A true reading of nothing needs plants or algae that take up at least "
        f"{_two(zero.uptake_needed_mg_l_day)} {_UNIT} a day, or the kit is at fault. "
        "Try it on a known solution: that tells the two apart.",
    ]
    if zero.hidden_rate_mg_l_day < 0:
        said.append(
            "The new water alone lies above what the kit shows as none: test it too."
        )
    return tuple(said)
