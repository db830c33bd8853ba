"""Scores of the usual formats, and the way from points back to an adjusted gross score.

Stableford, par/bogey and maximum score (Rules of Golf 21, from memory), net scores (Rule 6.2), the adjusted gross score
behind a number of points (as a national association prints it, with Rule 5.1a), the penalty score (Rule 7.1b), and the
slope behind a bogey rating (Appendix G).

>>> gross_from_points(33, 72, 20)
95
>>> stableford_points(9, 4, 1)
0
>>> points_from_par_bogey(19)
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: Over 18 holes a result is from 18 down to 18 up.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from league.rules.errors import RuleBroken
from league.rules.rounding import Exact, exact, round_to_whole
from league.rules.scorecard import Card, HoleScore, Tee, strokes_by_hole

SLOPE_FACTOR_MEN = Decimal("5.381")
SLOPE_FACTOR_WOMEN = Decimal("4.24")


def stableford_points(gross: int | None, par: int, strokes_received: int) -> int:
    """Points on a hole: 2 for net par, one more or less a stroke, never below 0; 0 if not holed out (`gross` None).

    A hole without points is a hole at net double bogey or worse (Rule 3.1b).
    """
    return 0 if gross is None else max(0, par + 2 + strokes_received - gross)


def stableford_by_hole(card: Card, tee: Tee, handicap: int) -> dict[int, int]:
    """Stableford points by hole number for the holes on the card, with a whole handicap; picked up is 0."""
    received = strokes_by_hole(tee, handicap)
    pars = {hole.number: hole.par for hole in tee.holes}
    points = {}
    for score in card.holes:
        holed_out_in = None if score.picked_up else score.strokes
        points[score.number] = stableford_points(holed_out_in, pars[score.number], received[score.number])
    return points


def gross_from_points(points: int, par: int, course_handicap: int, holes: int = 18) -> int:
    """Adjusted gross score behind Stableford points: par + course handicap - (points - 36), 18 for nine (Rule 5.1a).

    The points must have been counted with the full course handicap; else count them again from the holes.
    RuleBroken `points_range` below 0.
    """
    if points < 0:
        raise RuleBroken("points_range", "Points are 0 or more.", "points")
    return par + course_handicap - (points - 2 * holes)


def points_from_par_bogey(holes_up: int, holes: int = 18) -> int:
    """Stableford points that stand for a par/bogey result: all square is 36, 18 for nine (Rule 5.1a).

    Negative is down. RuleBroken `result_range` if more holes were won or lost than played.
    """
    if abs(holes_up) > holes:
        text = f"Over {holes} holes a result is from {holes} down to {holes} up."
        raise RuleBroken("result_range", text, "result")
    return 2 * holes + holes_up


def par_bogey_on_hole(gross: int | None, par: int, strokes_received: int) -> int:
    """1 for a net score under par, 0 for net par, -1 above it or not holed out."""
    if gross is None:
        return -1
    net = gross - strokes_received
    return (net < par) - (net > par)


def maximum_score_on_hole(gross: int | None, maximum: int) -> int:
    """What a hole counts under maximum score: never more than the maximum; that also for a hole not finished."""
    return maximum if gross is None else min(gross, maximum)


def card_from_maximum_score(card: Card, maximum: Mapping[int, int]) -> Card:
    """The card for the index after a maximum score round: a hole at its maximum counts as picked up (our reading).

    `maximum` is by hole number. The cap of Rule 3.1 then applies to it as to every hole.
    """
    return Card(
        tuple(
            HoleScore(score.number, None, True)
            if maximum_score_on_hole(score.strokes, maximum[score.number]) == maximum[score.number]
            else score
            for score in card.holes
        )
    )


def net_score(gross: int, playing_handicap: int) -> int:
    """Gross less playing handicap; a plus handicap (negative) is added (Rule 6.2)."""
    return gross - playing_handicap


def penalty_score(course_handicap: Exact, course_rating: Decimal) -> int:
    """Gross score entered for a player whose score cannot be found, where nothing was meant by it (Rule 7.1b)."""
    return round_to_whole(exact(course_handicap) + exact(course_rating))


def penalty_differential(differentials: Sequence[Decimal], *, meant_to_lower: bool) -> Decimal:
    """Differential entered where a score was kept back on purpose: the record's highest, or its lowest (Rule 7.1b).

    `meant_to_lower`: the player wanted a lower index. RuleBroken `too_few_scores` without any score.
    """
    if not differentials:
        raise RuleBroken("too_few_scores", "There is no score in this record yet.")
    return max(differentials) if meant_to_lower else min(differentials)


def slope_from_bogey_rating(bogey_rating: Decimal, course_rating: Decimal, factor: Decimal = SLOPE_FACTOR_MEN) -> int:
    """Slope rating behind a bogey rating: the difference of the ratings times 5.381, for women 4.24 (Appendix G)."""
    return round_to_whole((exact(bogey_rating) - exact(course_rating)) * exact(factor))
