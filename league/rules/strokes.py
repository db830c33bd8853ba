"""Course handicap, playing handicap and the strokes they give on each hole (Rules 6.1 and 6.2, Appendices C and E).

A course handicap stays an exact fraction until strokes on holes are needed; only then is it rounded, halves upward.

>>> course_handicap(Decimal("8.6"), 125, Decimal("71.0"), 71)
10
>>> playing_handicap(course_handicap_exact(Decimal("8.6"), 125, Decimal("71.0"), 71), Decimal("0.85"))
8
>>> strokes_on_hole(14, 19)
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: A place in the stroke order is from 1 to 18.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from league.rules.errors import RuleBroken
from league.rules.rounding import Exact, exact, halves_up, round_to_whole, tenths


def strokes_on_hole(handicap: int, rank: int, holes: int = 18) -> int:
    """Strokes received on the hole at `rank` (1 is hardest) of `holes`; negative where a plus player gives one back.

    Appendix E: the order starts again at 1 after a full turn. Appendix C: a plus player gives back from the last rank.
    RuleBroken `stroke_index_range` if the rank is not 1..holes.
    """
    if not 1 <= rank <= holes:
        raise RuleBroken("stroke_index_range", f"A place in the stroke order is from 1 to {holes}.", "stroke_index")
    turns, rest = divmod(handicap, holes)
    return turns + (rank <= rest)


def course_handicap_parts(
    index: int, slope_rating: int, rating: int, par: int, holes: int = 18, *, round_half_index: bool = False
) -> tuple[int, int]:
    """Unrounded course handicap as (numerator, denominator); index and rating in tenths (Rules 6.1a and 6.1b)."""
    above_par = rating - 10 * par
    if holes == 18:
        return index * slope_rating + 113 * above_par, 1130
    if round_half_index:
        return halves_up(index, 2) * slope_rating + 113 * above_par, 1130
    return index * slope_rating + 226 * above_par, 2260


def course_handicap_exact(
    index: Decimal,
    slope_rating: int,
    course_rating: Decimal,
    par: int,
    holes: int = 18,
    *,
    round_half_index: bool = False,
) -> Fraction:
    """Unrounded course handicap in strokes: index x slope / 113 + (rating - par), half the index over nine (Rule 6.1).

    `round_half_index` rounds the halved index to a tenth first, as some national guidance does.
    RuleBroken `one_decimal` if index or rating has more than one decimal.
    """
    numerator, denominator = course_handicap_parts(
        tenths(index), slope_rating, tenths(course_rating), par, holes, round_half_index=round_half_index
    )
    return Fraction(numerator, denominator)


def course_handicap(
    index: Decimal,
    slope_rating: int,
    course_rating: Decimal,
    par: int,
    holes: int = 18,
    *,
    round_half_index: bool = False,
) -> int:
    """Course handicap rounded to whole strokes, halves upward, for use on holes (Rule 6.1). Errors as the exact one."""
    return round_to_whole(
        course_handicap_exact(index, slope_rating, course_rating, par, holes, round_half_index=round_half_index)
    )


def course_handicap_same_nine_twice(index: Decimal, slope_rating: int, nine_rating: Decimal, par: int) -> Fraction:
    """Unrounded course handicap when one nine is played twice: rating doubled, slope of the nine, par of all eighteen.

    The rule has a note on this case (6.1a); the formula is the one in common practice.
    """
    return course_handicap_exact(index, slope_rating, 2 * nine_rating, par)


def playing_handicap(unrounded: Exact, allowance: Decimal, par_difference: int = 0) -> int:
    """Whole strokes after the allowance, rounded once, halves upward (6.2a), then the par difference (6.2b)."""
    return round_to_whole(exact(unrounded) * exact(allowance)) + par_difference


def par_difference(own_par: int, lowest_par: int) -> int:
    """Strokes added for a player whose tee has the higher par, in gross or net competition and matches (Rule 6.2b).

    Not for Stableford and other formats that are scored against par.
    """
    return own_par - lowest_par


def strokes_in_match(playing_handicaps: Sequence[int]) -> tuple[int, ...]:
    """Strokes each player receives: the lowest plays off 0, the others take the difference (Appendix C)."""
    lowest = min(playing_handicaps)
    return tuple(handicap - lowest for handicap in playing_handicaps)


def team_playing_handicap(unrounded: Sequence[Exact], shares: Sequence[Decimal]) -> int:
    """Team strokes: shares of the unrounded course handicaps, lowest first, added and rounded once (Appendix C).

    RuleBroken `team_size` if there is not one share for each partner.
    """
    if len(unrounded) != len(shares):
        raise RuleBroken("team_size", f"This format is for {len(shares)} players in a team.", "players")
    lowest_first = sorted(exact(handicap) for handicap in unrounded)
    return round_to_whole(sum((h * exact(s) for h, s in zip(lowest_first, shares, strict=True)), Fraction(0)))


@dataclass(frozen=True, slots=True)
class Allowance:
    """One row of Appendix C: a share for each player, or a team's shares from the lowest handicap to the highest."""

    format: str
    shares: tuple[Decimal, ...]
    is_team: bool = False


def _row(format: str, *percent: int, is_team: bool = False) -> Allowance:
    """One row of the table, percentages as printed."""
    return Allowance(format, tuple(Decimal(share).scaleb(-2) for share in percent), is_team)


ALLOWANCES = MappingProxyType(
    {
        row.format: row
        for row in (
            _row("stroke play", 95),
            _row("Stableford", 95),
            _row("par/bogey", 95),
            _row("maximum score", 95),
            _row("four-ball stroke play", 85),
            _row("four-ball Stableford", 85),
            _row("four-ball par/bogey", 90),
            _row("match play", 100),
            _row("four-ball match play", 90),
            _row("foursomes", 50, 50, is_team=True),
            _row("greensomes", 60, 40, is_team=True),
            _row("Chapman", 60, 40, is_team=True),
            _row("best 1 of 4 stroke play", 75),
            _row("best 2 of 4 stroke play", 85),
            _row("best 3 of 4 stroke play", 100),
            _row("best 4 of 4 stroke play", 100),
            _row("best 1 of 4 par/bogey", 75),
            _row("best 2 of 4 par/bogey", 80),
            _row("best 3 of 4 par/bogey", 90),
            _row("best 4 of 4 par/bogey", 100),
            _row("scramble of 4", 25, 20, 15, 10, is_team=True),
            _row("scramble of 3", 30, 20, 10, is_team=True),
            _row("scramble of 2", 35, 15, is_team=True),
            _row("total of 2 match play", 100),
        )
    }
)
