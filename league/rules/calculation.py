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

from dataclasses import replace
from fractions import Fraction

from league.rules.differential import expected_differential, played_differential, rating_of_part
from league.rules.facts import Options, Posted
from league.rules.index import reduction_tenths
from league.rules.revision import NINE_WAITS, PARTIAL_BEFORE_INDEX, Line, Mark, ScoreLine
from league.rules.rounding import as_decimal, halves_up, tenths, whole_tenths
from league.rules.scorecard import adjusted_card, gross_score, par_played


def mark_of(line: ScoreLine, lines: tuple[Line, ...]) -> Mark | None:
    """A calculated score as the window sees it; None while it cannot count."""
    if line.differential is None:
        return None
    differential = tenths(line.differential)
    effective = differential + sum(change.amount for change in lines)
    return Mark(line.key, line.played_on, differential, lines, effective, line.is_estimated)


def changed_mark(mark: Mark, change: Line) -> Mark:
    """A mark with one more change on its differential."""
    return mark._replace(lines=(*mark.lines, change), effective=mark.effective + change.amount)


def calculated_card(posted: Posted, in_force: int | None, founding: int | None, options: Options) -> ScoreLine:
    """A card's own calculation: hole caps, adjusted gross, differential, exceptional score (Rules 3, 5.1, 5.9, 6.1).

    `in_force` and `founding` are tenths. A nine without an index in force rests on the founding value, or waits for it.
    """
    tee, card = posted.tee, posted.card
    handicap = None
    if in_force is not None:
        handicap = tee.course_handicap(as_decimal(in_force), round_half_index=options.round_half_index)
    adjusted, capped_holes = adjusted_card(card, tee, handicap)
    holes = card.n_played
    rating = tee.exact_rating
    if holes != tee.n_holes:
        rating = rating_of_part(tee.course_rating, tee.par, par_played(card, tee), holes)
    played = played_differential(adjusted, rating, tee.slope_rating, posted.playing_conditions, holes)
    expected = exact = None
    reason, reduction = "", 0
    basis = founding if in_force is None and holes == 9 else in_force
    if holes == 18:
        exact = played
    elif basis is not None:
        expected = _expected(holes, basis, options)
        exact = played + expected
    else:
        reason = NINE_WAITS if holes == 9 else PARTIAL_BEFORE_INDEX
    if exact is not None and in_force is not None:
        reduction = reduction_tenths(in_force, 10 * exact.numerator, exact.denominator)
    return ScoreLine(
        posted.key,
        posted.played_on,
        holes,
        tee.par,
        tee.course_rating,
        tee.slope_rating,
        posted.playing_conditions,
        None if in_force is None else as_decimal(in_force),
        handicap,
        gross_score(card, tee),
        adjusted,
        capped_holes,
        played,
        expected,
        exact,
        None if exact is None else as_decimal(halves_up(10 * exact.numerator, exact.denominator)),
        as_decimal(reduction),
        reason,
    )


def _expected(holes: int, basis: int, options: Options) -> Fraction:
    """The differential expected of the holes not played, in strokes, for an index in tenths (Rules 3.2 and 5.1b)."""
    return expected_differential(as_decimal(basis), 18 - holes, options.expected_slope, options.expected_constant)


def founded_nine(line: ScoreLine, founding: int, options: Options) -> ScoreLine:
    """A nine that waited, with its own differential now that a provisional value exists (Rule 4.5)."""
    expected = _expected(9, founding, options)
    exact = line.played + expected
    differential = as_decimal(whole_tenths(exact))
    return replace(line, expected=expected, exact=exact, differential=differential, reason="")
