"""Tees, holes and cards as values; gross and adjusted totals; the cap on a hole (Rules 2.2, 3.1 to 3.3).

A tee is the one actually in play: eighteen holes, or nine with their own rating. A card is hole by hole, or a total.

>>> nine = Tee(tuple(Hole(n, 4, 2 * n) for n in range(1, 10)), Decimal("35.5"), 120)
>>> nine.par, nine.twice().par, nine.course_handicap(Decimal("18.0"))
(36, 72, 9)
>>> check(Card.total(45, holes=9), nine)
>>> check(Card.by_hole([4] * 7), nine)
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: A nine-hole score needs all 9 holes; this card has 7.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from league.rules.errors import RuleBroken, refuse_all
from league.rules.rounding import exact, halves_up, tenths
from league.rules.strokes import course_handicap_parts, strokes_on_hole

FEWEST_HOLES_OF_EIGHTEEN = 10


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole as printed on the card: its number, par and stroke index."""

    number: int
    par: int
    stroke_index: int


@dataclass(frozen=True, slots=True)
class HoleScore:
    """What a player did on one hole.

    `picked_up` with strokes: the most likely score, typed (Rule 3.3). `picked_up` without: recorded at its cap.
    """

    number: int
    strokes: int | None = None
    picked_up: bool = False


@dataclass(frozen=True, slots=True)
class Tee:
    """A rated tee in play: its holes, course rating (one decimal) and slope rating. Refuses what cannot be rated."""

    holes: tuple[Hole, ...]
    course_rating: Decimal
    slope_rating: int
    name: str = ""
    par: int = field(init=False, compare=False, repr=False)
    rating_tenths: int = field(init=False, compare=False, repr=False)
    ranks: tuple[int, ...] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Check every bound (RuleBroken lists all problems) and work out par, ranks and tenths once."""
        refuse_all(_tee_problems(self))
        object.__setattr__(self, "par", sum(hole.par for hole in self.holes))
        object.__setattr__(self, "rating_tenths", tenths(self.course_rating))
        order = sorted(hole.stroke_index for hole in self.holes)
        object.__setattr__(self, "ranks", tuple(order.index(hole.stroke_index) + 1 for hole in self.holes))

    @property
    def n_holes(self) -> int:
        """Holes in play: 18 or 9."""
        return len(self.holes)

    def nine(self, first: bool, course_rating: Decimal, slope_rating: int) -> "Tee":
        """The first or last nine of an eighteen-hole tee, with that nine's own rating and slope (Rule 2.2b).

        RuleBroken `holes_in_play` if this tee is itself a nine.
        """
        if self.n_holes != 18:
            raise RuleBroken("holes_in_play", "Only a tee of 18 holes has two nines.", "holes")
        ordered = sorted(self.holes, key=lambda hole: hole.number)
        return Tee(tuple(ordered[:9] if first else ordered[9:]), course_rating, slope_rating, self.name)

    def twice(self) -> "Tee":
        """A nine played twice as one round: rating doubled, stroke index odd the first time and even the second.

        RuleBroken `holes_in_play` if this tee already has 18 holes.
        """
        if self.n_holes != 9:
            raise RuleBroken("holes_in_play", "Only a tee of 9 holes can be played twice as one round.", "holes")
        ranked = sorted(zip(self.holes, self.ranks, strict=True), key=lambda pair: pair[0].number)
        first = [Hole(place, hole.par, 2 * rank - 1) for place, (hole, rank) in enumerate(ranked, 1)]
        second = [Hole(hole.number + 9, hole.par, hole.stroke_index + 1) for hole in first]
        return Tee(tuple(first + second), 2 * self.course_rating, self.slope_rating, self.name)

    def course_handicap_exact(self, index: Decimal, *, round_half_index: bool = False) -> Fraction:
        """Unrounded course handicap on this tee, in strokes (Rule 6.1)."""
        return Fraction(*self._course_handicap_parts(tenths(index), round_half_index))

    def course_handicap(self, index: Decimal, *, round_half_index: bool = False) -> int:
        """Course handicap on this tee in whole strokes, halves upward (Rule 6.1)."""
        return self.course_handicap_of(tenths(index), round_half_index)

    def course_handicap_of(self, index: int, round_half_index: bool) -> int:
        """The same for an index in tenths."""
        numerator, denominator = self._course_handicap_parts(index, round_half_index)
        return halves_up(numerator, denominator)

    def _course_handicap_parts(self, index: int, round_half_index: bool) -> tuple[int, int]:
        """Unrounded course handicap as (numerator, denominator), for an index in tenths."""
        return course_handicap_parts(
            index, self.slope_rating, self.rating_tenths, self.par, len(self.holes), round_half_index=round_half_index
        )


@dataclass(frozen=True, slots=True)
class Card:
    """A player's card: hole by hole (`holes`), or a total (`total_gross`, `total_adjusted`, `total_holes`)."""

    holes: tuple[HoleScore, ...] = ()
    total_gross: int | None = None
    total_adjusted: int | None = None
    total_holes: int = 0

    @staticmethod
    def by_hole(strokes: Iterable[int | None], first: int = 1) -> "Card":
        """A card from strokes in hole order, starting at hole `first`; None is a hole not played."""
        numbered = enumerate(strokes, first)
        return Card(tuple(HoleScore(number, count) for number, count in numbered if count is not None))

    @staticmethod
    def total(gross: int | None, adjusted_gross: int | None = None, holes: int = 18) -> "Card":
        """A card known only as a total over 18 or 9 holes; the gross stands for a missing adjusted (Rule 4.1)."""
        return Card((), gross, adjusted_gross, holes)

    @property
    def is_total(self) -> bool:
        """Whether only a total is known."""
        return not self.holes

    @property
    def n_played(self) -> int:
        """Holes played."""
        return len(self.holes) if self.holes else self.total_holes


def stroke_caps(tee: Tee, course_handicap: int | None) -> tuple[int, ...]:
    """The most that counts on each hole of the tee, in the tee's order (Rule 3.1).

    Par + 5 without an index (3.1a, `course_handicap` None), else net double bogey: par + 2 + strokes received (3.1b).
    """
    if course_handicap is None:
        return tuple(hole.par + 5 for hole in tee.holes)
    turns, rest = divmod(course_handicap, tee.n_holes)
    return tuple(hole.par + 2 + turns + (rank <= rest) for hole, rank in zip(tee.holes, tee.ranks, strict=True))


def net_double_bogey(par: int, strokes_received: int) -> int:
    """The most that counts on a hole for a player with an index: par + 2 + strokes received (Rule 3.1b)."""
    return par + 2 + strokes_received


def strokes_by_hole(tee: Tee, handicap: int) -> dict[int, int]:
    """Strokes received by hole number for a whole course or playing handicap (Appendices C and E)."""
    return {
        hole.number: strokes_on_hole(handicap, rank, tee.n_holes)
        for hole, rank in zip(tee.holes, tee.ranks, strict=True)
    }


def gross_score(card: Card, tee: Tee) -> int | None:
    """Strokes of the whole round, or None while a hole of the tee was not played or has no strokes."""
    if not card.holes:
        return card.total_gross
    if len(card.holes) != tee.n_holes:
        return None
    total = 0
    for score in card.holes:
        if score.strokes is None:
            return None
        total += score.strokes
    return total


def adjusted_gross_score(card: Card, tee: Tee, course_handicap: int | None) -> int:
    """Total of the holes played after the cap on each hole (Rule 3.1); a total card counts as given."""
    return adjusted_card(card, tee, course_handicap)[0]


def adjusted_card(
    card: Card, tee: Tee, course_handicap: int | None
) -> tuple[int, tuple[tuple[int, int | None, int], ...]]:
    """Adjusted total and the holes where the cap acted, as (number, strokes or None, cap) (Rule 3.1).

    The card must have passed `check`.
    """
    if not card.holes:
        known = card.total_gross if card.total_adjusted is None else card.total_adjusted
        if known is None:
            raise RuleBroken("total_missing", "Give the total of the round.", "gross")
        return known, ()
    by_number = dict(zip((hole.number for hole in tee.holes), stroke_caps(tee, course_handicap), strict=True))
    total = 0
    capped = []
    for score in card.holes:
        cap = by_number[score.number]
        if score.strokes is None or score.strokes > cap:
            capped.append((score.number, score.strokes, cap))
            total += cap
        else:
            total += score.strokes
    return total, tuple(capped)


def par_played(card: Card, tee: Tee) -> int:
    """Par of the holes on the card."""
    if card.n_played == tee.n_holes:
        return tee.par
    played = {score.number for score in card.holes}
    return sum(hole.par for hole in tee.holes if hole.number in played)


def most_likely_extra(distance_yards: Decimal, on_green: bool = False) -> tuple[int, int]:
    """Fewest and most strokes to add for a ball not holed out, by its distance from the hole (Rule 3.3).

    On the green up to 5 feet: 1. Up to 20 yards: 2 or 3. Further: 3 or 4. RuleBroken `distance` if it is negative.
    """
    distance = exact(distance_yards)
    if distance < 0:
        raise RuleBroken("distance", "A distance cannot be less than nothing.", "distance")
    if on_green and 3 * distance <= 5:
        return 1, 1
    return (2, 3) if distance <= 20 else (3, 4)


def card_problems(card: Card, tee: Tee) -> list[RuleBroken]:
    """Everything on the card that the rules do not allow on this tee, in card order (Rules 2.2, 3.1, 3.3, 4.1)."""
    if card.is_total:
        return _total_problems(card, tee)
    problems = []
    if card.total_gross is not None or card.total_adjusted is not None or card.total_holes:
        problems.append(RuleBroken("card_twofold", "Give the holes or a total, not both.", "gross"))
    known = {hole.number for hole in tee.holes}
    seen: set[int] = set()
    for score in card.holes:
        where = f"holes.{score.number}.strokes"
        if score.number not in known:
            problems.append(RuleBroken("hole_unknown", f"This tee has no hole {score.number}.", where))
        elif score.number in seen:
            problems.append(RuleBroken("hole_repeated", f"Hole {score.number} is on the card twice.", where))
        seen.add(score.number)
        if score.strokes is None and not score.picked_up:
            text = f"Hole {score.number}: enter the strokes, mark it as picked up, or leave it out as not played."
            problems.append(RuleBroken("strokes_missing", text, where))
        elif score.strokes is not None and score.strokes < 1:
            problems.append(RuleBroken("strokes_range", f"Hole {score.number}: enter 1 or more.", where))
    return problems + _count_problems(len(seen & known), tee)


def check(card: Card, tee: Tee) -> None:
    """Raise RuleBroken with every problem of the card on this tee; return quietly if there is none."""
    refuse_all(card_problems(card, tee))


def _count_problems(n_played: int, tee: Tee) -> list[RuleBroken]:
    """Too few holes: all of a nine (Rule 2.2b), at least ten of eighteen (Rule 2.2a)."""
    if tee.n_holes == 9 and n_played < 9:
        text = f"A nine-hole score needs all 9 holes; this card has {n_played}."
    elif tee.n_holes == 18 and n_played < FEWEST_HOLES_OF_EIGHTEEN:
        text = f"An 18-hole score needs at least 10 holes; this card has {n_played}."
        if n_played == 9:
            text += " For nine holes, choose the tee of that nine, with its own rating."
    else:
        return []
    return [RuleBroken("too_few_holes", text, "holes")]


def _total_problems(card: Card, tee: Tee) -> list[RuleBroken]:
    """What is wrong with a card known only as a total."""
    if card.total_gross is None and card.total_adjusted is None and not card.total_holes:
        return [RuleBroken("card_empty", "The card is empty: enter the holes or a total.", "holes")]
    problems = []
    if card.total_holes != tee.n_holes:
        text = f"A total must cover all {tee.n_holes} holes of the tee; a shorter round needs its holes one by one."
        problems.append(RuleBroken("total_holes", text, "holes"))
    if card.total_gross is None and card.total_adjusted is None:
        problems.append(RuleBroken("total_missing", "Give the total of the round.", "gross"))
    for name, total in (("gross", card.total_gross), ("adjusted_gross", card.total_adjusted)):
        if total is not None and total < tee.n_holes:
            problems.append(
                RuleBroken("total_range", f"A total over {tee.n_holes} holes is {tee.n_holes} or more.", name)
            )
    if card.total_gross is not None and card.total_adjusted is not None and card.total_adjusted > card.total_gross:
        text = "The adjusted total cannot be higher than the gross total."
        problems.append(RuleBroken("adjusted_above_gross", text, "adjusted_gross"))
    return problems


def _tee_problems(tee: Tee) -> list[RuleBroken]:
    """What keeps a tee from being used: holes, pars, stroke indexes, rating and slope (Appendices E and G)."""
    problems = []
    numbers = sorted(hole.number for hole in tee.holes)
    if len(numbers) not in (9, 18):
        problems.append(RuleBroken("tee_holes", "A tee has 9 or 18 holes.", "holes"))
    elif numbers not in (list(range(1, 19)), list(range(1, 10)), list(range(10, 19))):
        problems.append(RuleBroken("hole_numbers", "Number the holes 1 to 18, 1 to 9 or 10 to 18.", "holes"))
    for hole in tee.holes:
        if not 3 <= hole.par <= 6:
            text = f"Hole {hole.number}: par is 3, 4, 5 or 6."
            problems.append(RuleBroken("par_range", text, f"holes.{hole.number}.par"))
    problems += _stroke_index_problems(tee)
    rating = tee.course_rating
    if not rating.is_finite() or (exact(rating) * 10).denominator != 1 or rating <= 0:
        problems.append(RuleBroken("rating_form", "A course rating is a number with one decimal.", "course_rating"))
    if not 55 <= tee.slope_rating <= 155:
        text = "A slope rating is a whole number from 55 to 155."
        problems.append(RuleBroken("slope_range", text, "slope_rating"))
    return problems


def _stroke_index_problems(tee: Tee) -> list[RuleBroken]:
    """Eighteen holes use each stroke index 1 to 18 once; nine use nine different ones of them (Appendix E)."""
    given = [hole.stroke_index for hole in tee.holes]
    if len(set(given)) == len(given) and all(1 <= index <= 18 for index in given):
        return []
    text = "Use each stroke index from 1 to 18 once."
    if len(given) == 9:
        text = "Use nine different stroke indexes from 1 to 18."
    return [RuleBroken("stroke_index_order", text, "holes")]
