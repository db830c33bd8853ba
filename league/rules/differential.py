"""Score differentials: eighteen holes, nine, and ten to seventeen (Rules 3.2, 5.1 and 5.6).

Over 18 holes (5.1a): (113 / slope) x (adjusted gross - course rating - playing conditions adjustment), rounded once.
Over 9 holes (5.1b): the same on the nine's own rating with half the adjustment, unrounded, plus the expected
differential of the other nine; only the sum is rounded. The expected value follows the formula that two national
associations publish, (1.04 x index + 2.4) for 18 holes, so every such result is an estimate.
Ten to seventeen holes (3.2b): our own pro rata reading, since the rating of single holes is not published.

>>> score_differential(95, Decimal("73.5"), 130)
Decimal('18.7')
>>> score_differential(95, Decimal("73.5"), 130, playing_conditions=4)
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: A playing conditions adjustment is -1, 0, 1, 2 or 3.
"""

from decimal import Decimal
from fractions import Fraction

from league.rules.errors import RuleBroken
from league.rules.rounding import Ratio, exact, lowest_terms, round_to_tenths, tenths

EXPECTED_SLOPE = Decimal("1.04")
EXPECTED_CONSTANT = Decimal("2.4")
LEAST_CONDITIONS, MOST_CONDITIONS = -1, 3
FEWEST_SCORES_FOR_CONDITIONS = 8


def check_playing_conditions(value: int) -> None:
    """Refuse anything but -1, 0, 1, 2, 3 with RuleBroken `playing_conditions_range` (Rule 5.6)."""
    if not LEAST_CONDITIONS <= value <= MOST_CONDITIONS:
        text = "A playing conditions adjustment is -1, 0, 1, 2 or 3."
        raise RuleBroken("playing_conditions_range", text, "playing_conditions")


def playing_conditions_possible(eligible_scores: int) -> bool:
    """Whether enough scores by players with an index of 36.0 or less were made that day: at least 8 (Rule 5.6)."""
    return eligible_scores >= FEWEST_SCORES_FOR_CONDITIONS


def played_differential(
    adjusted_gross: int, rating: Fraction, slope_rating: int, playing_conditions: int = 0, holes: int = 18
) -> Fraction:
    """Unrounded differential in strokes of the holes played, with `rating` the rating of just those (Rules 5.1a, 5.1b).

    The adjustment for playing conditions enters by the share of 18 holes played: half of it for nine (Rule 5.6).
    """
    check_playing_conditions(playing_conditions)
    ratio = rating.numerator, rating.denominator
    return Fraction(*played_ratio(adjusted_gross, ratio, slope_rating, playing_conditions, holes))


def played_ratio(adjusted_gross: int, rating: Ratio, slope_rating: int, playing_conditions: int, holes: int) -> Ratio:
    """The same in whole numbers: rating and result as numerator and denominator; conditions checked before."""
    above, scale = rating
    strokes = 18 * (adjusted_gross * scale - above) - playing_conditions * holes * scale
    return lowest_terms(113 * strokes, 18 * scale * slope_rating)


def score_differential(
    adjusted_gross: int, course_rating: Decimal, slope_rating: int, playing_conditions: int = 0
) -> Decimal:
    """Differential of an 18-hole score, rounded to a tenth, halves upward (Rules 5.1a and 5.1c)."""
    rating = Fraction(tenths(course_rating), 10)
    return round_to_tenths(played_differential(adjusted_gross, rating, slope_rating, playing_conditions))


def nine_hole_part(
    adjusted_gross: int, course_rating: Decimal, slope_rating: int, playing_conditions: int = 0
) -> Fraction:
    """Unrounded differential of nine holes on their own rating and slope (Rule 5.1b)."""
    rating = Fraction(tenths(course_rating), 10)
    return played_differential(adjusted_gross, rating, slope_rating, playing_conditions, 9)


def expected_differential(
    index: Decimal,
    holes: int,
    expected_slope: Decimal = EXPECTED_SLOPE,
    expected_constant: Decimal = EXPECTED_CONSTANT,
) -> Fraction:
    """Unrounded differential expected of a player over `holes` not played, on standard ground (Rules 3.2 and 5.1b)."""
    return Fraction(holes, 18) * (exact(expected_slope) * exact(index) + exact(expected_constant))


def rating_of_part(course_rating: Decimal, par: int, par_played: int, holes: int) -> Fraction:
    """Rating of the holes played: their par plus their share of (rating - par). Our reading of Rule 3.2b."""
    return par_played + Fraction(tenths(course_rating) - 10 * par, 10) * Fraction(holes, 18)


def partial_part(
    adjusted_gross: int,
    par_played: int,
    holes: int,
    par: int,
    course_rating: Decimal,
    slope_rating: int,
    playing_conditions: int = 0,
) -> Fraction:
    """Unrounded differential of the holes played out of eighteen, pro rata. Our reading of Rule 3.2b."""
    rating = rating_of_part(course_rating, par, par_played, holes)
    return played_differential(adjusted_gross, rating, slope_rating, playing_conditions, holes)


def combined_differential(part: Fraction, expected: Fraction) -> Decimal:
    """Differential of 18 holes from a played and an expected part: added unrounded, rounded once (Rule 5.1b)."""
    return round_to_tenths(part + expected)
