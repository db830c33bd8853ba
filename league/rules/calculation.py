"""A card's own calculation: hole caps, adjusted gross, differential, exceptional score (Rules 3, 5.1, 5.9 and 6.1).

>>> from datetime import date
>>> from decimal import Decimal
>>> from league.rules.scorecard import Card, Hole, Tee
>>> tee = Tee(tuple(Hole(n, 4, n) for n in range(1, 19)), Decimal("72.0"), 113)
>>> posted = Posted("r1", date(2024, 5, 1), 1, tee, Card.total(90))
>>> calculated_card(posted, None, None, Options()).differential
Decimal('18.0')
>>> Posted("r1", date(2024, 5, 1), 1, tee, Card.total(9))
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: A total over 18 holes is 18 or more.
"""

from fractions import Fraction
from functools import lru_cache

from league.rules.differential import expected_differential, played_ratio, rating_of_part
from league.rules.facts import Options, Posted
from league.rules.index import reduction_tenths
from league.rules.revision import NINE_WAITS, PARTIAL_BEFORE_INDEX, ScoreLine
from league.rules.rounding import as_decimal, halves_up, whole_tenths
from league.rules.scorecard import adjusted_card, gross_score, par_played
from league.rules.window import Line, Mark


def mark_of(line: ScoreLine, lines: tuple[Line, ...]) -> Mark | None:
    """A calculated score as the window sees it; None while it cannot count."""
    differential = effective = line.differential_tenths
    if differential is None or effective is None:
        return None
    for change in lines:
        effective += change.amount
    return Mark(line.key, line.played_on, differential, lines, effective, line.expected is not None)


def calculated_card(posted: Posted, in_force: int | None, founding: int | None, options: Options) -> ScoreLine:
    """A card's own calculation: hole caps, adjusted gross, differential, exceptional score (Rules 3, 5.1, 5.9, 6.1).

    `in_force` and `founding` are tenths. A nine without an index in force rests on the founding value, or waits for it.
    """
    tee, card = posted.tee, posted.card
    handicap = None if in_force is None else tee.course_handicap_of(in_force, options.round_half_index)
    adjusted, capped_holes = adjusted_card(card, tee, handicap)
    holes = card.n_played
    rating = tee.rating_tenths, 10
    if holes != len(tee.holes):
        of_part = rating_of_part(tee.course_rating, tee.par, par_played(card, tee), holes)
        rating = of_part.numerator, of_part.denominator
    exact = played = played_ratio(adjusted, rating, tee.slope_rating, posted.playing_conditions, holes)
    expected, differential, reduction, reason = None, None, 0, ""
    if holes != 18:
        basis = founding if in_force is None and holes == 9 else in_force
        if basis is None:
            reason = NINE_WAITS if holes == 9 else PARTIAL_BEFORE_INDEX
        else:
            expected = _expected(holes, basis, options)
            together = Fraction(*played) + expected
            exact = together.numerator, together.denominator
    if not reason:
        numerator, denominator = 10 * exact[0], exact[1]
        differential = halves_up(numerator, denominator)
        if in_force is not None:
            reduction = reduction_tenths(in_force, numerator, denominator)
    return ScoreLine(
        posted.key,
        posted.played_on,
        holes,
        tee.par,
        tee.course_rating,
        tee.slope_rating,
        posted.playing_conditions,
        in_force,
        handicap,
        gross_score(card, tee),
        adjusted,
        capped_holes,
        played,
        expected,
        differential,
        reduction,
        reason,
    )


@lru_cache(maxsize=8192)
def _expected(holes: int, basis: int, options: Options) -> Fraction:
    """The differential expected of the holes not played, in strokes, for an index in tenths (Rules 3.2 and 5.1b)."""
    return expected_differential(as_decimal(basis), 18 - holes, options.expected_slope, options.expected_constant)


def founded_nine(line: ScoreLine, founding: int, options: Options) -> ScoreLine:
    """A nine that waited, with its own differential now that a provisional value exists (Rule 4.5)."""
    expected = _expected(9, founding, options)
    return line._replace(expected=expected, differential_tenths=whole_tenths(line.played + expected), reason="")
