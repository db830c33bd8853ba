"""A tee as typed from the printed card: what keeps it from being used, and what is only unusual.

Refused: a slope rating outside 55 to 155 (Appendix G), a rating with more than one decimal, pars other than 3 to 6,
stroke indexes that are not all different (Appendix E). Asked about, never corrected: ratings far from any course (a
form check of ours; no bound is published), pars unusual for their length (Appendix F), nines that do not add up.

>>> from dataclasses import replace
>>> holes = tuple(PrintedHole(n, 4, n, 380) for n in range(1, 19))
>>> tee = PrintedTee(name="Heron", course_rating=Decimal("720"), slope_rating=128, holes=holes)
>>> [doubt.code for doubt in doubts(tee) if doubt.asks]
['rating_unusual']
>>> check(replace(tee, slope_rating=156), 18)
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: A slope rating is a whole number from 55 to 155.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from league.rules.errors import RuleBroken, refuse_all
from league.rules.rounding import exact, round_to_whole, whole_tenths

MEN, WOMEN = "men", "women"
YARDS, METRES = "yards", "metres"
METRES_IN_A_YARD = Fraction(9144, 10000)
LOWEST_SLOPE, HIGHEST_SLOPE = 55, 155

# Form checks of ours, in tenths: the standard publishes no bound for a course rating.
USUAL_RATING = {18: (500, 850), 9: (200, 450)}
USUAL_PAR = {18: (66, 76), 9: (33, 38)}
FARTHEST_FROM_PAR = {18: 100, 9: 50}
LONGEST_HOLE = 999

# Shortest length that can be rated, in yards (Appendix G, as repeated by associations).
SHORTEST_RATED = {18: 1500, 9: 750}

# Par by length in yards (Appendix F, as repeated by associations): par -> shortest, longest; None is open.
PAR_BY_LENGTH: dict[str, dict[int, tuple[int | None, int | None]]] = {
    MEN: {3: (None, 260), 4: (240, 490), 5: (450, 710), 6: (670, None)},
    WOMEN: {3: (None, 220), 4: (200, 420), 5: (370, 600), 6: (570, None)},
}


@dataclass(frozen=True, slots=True)
class PrintedHole:
    """One hole of the printed card; `length` in the tee's unit, None where none is printed."""

    number: int
    par: int
    stroke_index: int
    length: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedTee:
    """What the card says of one set of tees for one gender. `par_total` and `length_total` are check sums, if typed."""

    name: str
    course_rating: Decimal
    slope_rating: int
    holes: tuple[PrintedHole, ...]
    rated_for: str = MEN
    length_unit: str = YARDS
    front_course_rating: Decimal | None = None
    front_slope_rating: int | None = None
    back_course_rating: Decimal | None = None
    back_slope_rating: int | None = None
    valid_from: date | None = None
    valid_until: date | None = None
    par_total: int | None = None
    length_total: int | None = None

    @property
    def par(self) -> int:
        """Par of all holes."""
        return sum(hole.par for hole in self.holes)

    @property
    def length(self) -> int | None:
        """Length of all holes in the tee's unit, or None while one is not known."""
        lengths = [hole.length for hole in self.holes]
        return None if None in lengths else sum(length for length in lengths if length is not None)

    @property
    def nines(self) -> tuple[tuple[str, Decimal | None, int | None], ...]:
        """The two nines as (name, course rating, slope rating)."""
        return (
            ("front", self.front_course_rating, self.front_slope_rating),
            ("back", self.back_course_rating, self.back_slope_rating),
        )


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something unusual but lawful. `asks`: not stored before somebody has confirmed it."""

    code: str
    message: str
    field: str
    asks: bool = False


def check(tee: PrintedTee, n_holes: int) -> None:
    """Raise RuleBroken with everything that keeps this tee of `n_holes` holes from being used (Appendices E and G)."""
    refuse_all(
        [
            *_rating_faults(tee, n_holes),
            *_hole_faults(tee, n_holes),
            *_stroke_index_faults(tee, n_holes),
            *_sum_faults(tee),
            *_day_faults(tee),
        ]
    )


def doubts(tee: PrintedTee) -> list[Doubt]:
    """Everything unusual about a tee that passed `check`, in the order of the form (Appendices E, F and G)."""
    n_holes = len(tee.holes)
    return [
        *_rating_doubts(tee, n_holes),
        *_par_doubts(tee, n_holes),
        *_length_doubts(tee, n_holes),
        *_stroke_order_doubts(tee),
    ]


def same_set(first: PrintedTee, second: PrintedTee) -> bool:
    """Whether two tees of a course are versions of one set of tees for one gender."""
    return (first.name.casefold(), first.rated_for) == (second.name.casefold(), second.rated_for)


def days_overlap(first: PrintedTee, second: PrintedTee) -> bool:
    """Whether there is a day on which both hold; an open end holds for ever."""
    return _begins_by_end_of(first, second) and _begins_by_end_of(second, first)


def _begins_by_end_of(one: PrintedTee, other: PrintedTee) -> bool:
    """Whether `one` has begun by the last day of `other`."""
    return one.valid_from is None or other.valid_until is None or one.valid_from <= other.valid_until


def _rating_faults(tee: PrintedTee, n_holes: int) -> Iterator[RuleBroken]:
    """Form and range of the ratings; a nine has both of its values or neither (Rule 2.2b)."""
    yield from _one_rating_faults(tee.course_rating, tee.slope_rating, "")
    for name, rating, slope in tee.nines:
        if n_holes == 9 and (rating is not None or slope is not None):
            text = "A course of nine holes has no front and back nine. Leave these empty."
            yield RuleBroken("nine_of_a_nine", text, f"{name}_course_rating")
        elif (rating is None) != (slope is None):
            missing = "course_rating" if rating is None else "slope_rating"
            text = f"Give course rating and slope rating of the {name} nine, or neither."
            yield RuleBroken("nine_half_rated", text, f"{name}_{missing}")
        elif rating is not None and slope is not None:
            yield from _one_rating_faults(rating, slope, f"{name}_")


def _one_rating_faults(rating: Decimal, slope: int, prefix: str) -> Iterator[RuleBroken]:
    """One pair of course rating (above 0, one decimal) and slope rating (55 to 155)."""
    if not rating.is_finite() or (exact(rating) * 10).denominator != 1 or not 0 < rating < 1000:
        text = "A course rating has one decimal, like 72.3, and lies between 0 and 1000."
        yield RuleBroken("rating_form", text, f"{prefix}course_rating")
    if not LOWEST_SLOPE <= slope <= HIGHEST_SLOPE:
        text = f"A slope rating is a whole number from {LOWEST_SLOPE} to {HIGHEST_SLOPE}."
        yield RuleBroken("slope_range", text, f"{prefix}slope_rating")


def _hole_faults(tee: PrintedTee, n_holes: int) -> Iterator[RuleBroken]:
    """The right holes in their order, each with a par of 3 to 6 and a length that a hole can have."""
    if [hole.number for hole in tee.holes] != list(range(1, n_holes + 1)):
        text = f"This course has {n_holes} holes: give them in order, numbered 1 to {n_holes}."
        yield RuleBroken("hole_numbers", text, "holes")
    for place, hole in enumerate(tee.holes):
        if not 3 <= hole.par <= 6:
            yield RuleBroken("par_range", f"Hole {hole.number}: par is 3, 4, 5 or 6.", f"holes.{place}.par")
        if hole.length is not None and not 1 <= hole.length <= LONGEST_HOLE:
            text = f"Hole {hole.number}: a length is from 1 to {LONGEST_HOLE} {tee.length_unit}, or left empty."
            yield RuleBroken("length_range", text, f"holes.{place}.length")


def _stroke_index_faults(tee: PrintedTee, n_holes: int) -> Iterator[RuleBroken]:
    """Eighteen holes use 1 to 18 once each; nine holes nine different ones of them (Appendix E)."""
    first_with: dict[int, int] = {}
    for place, hole in enumerate(tee.holes):
        index, where = hole.stroke_index, f"holes.{place}.stroke_index"
        if not 1 <= index <= 18:
            yield RuleBroken("stroke_index_range", f"Hole {hole.number}: a stroke index is from 1 to 18.", where)
        elif index in first_with:
            text = f"Hole {hole.number} has stroke index {index}, which hole {first_with[index]} has already."
            yield RuleBroken("stroke_index_twice", text, where)
        first_with.setdefault(index, hole.number)
    missing = sorted(set(range(1, 19)) - set(first_with))
    if n_holes == len(tee.holes) == 18 and missing:
        words = ", ".join(str(index) for index in missing)
        yield RuleBroken(
            "stroke_index_missing", f"No hole has stroke index {words}. Use each from 1 to 18 once.", "holes"
        )


def _sum_faults(tee: PrintedTee) -> Iterator[RuleBroken]:
    """A typed total of the pars must be the sum of the holes."""
    if tee.par_total is not None and tee.par_total != tee.par:
        text = f"The pars of the holes add up to {tee.par}, the total typed is {tee.par_total}. Check both on the card."
        yield RuleBroken("par_total", text, "par_total")


def _day_faults(tee: PrintedTee) -> Iterator[RuleBroken]:
    """The first day a rating holds is not after the last."""
    if tee.valid_from is not None and tee.valid_until is not None and tee.valid_from > tee.valid_until:
        yield RuleBroken("valid_order", "The last day comes before the first day.", "valid_until")


def _rating_doubts(tee: PrintedTee, n_holes: int) -> Iterator[Doubt]:
    """Ratings far from any course, far from par, and nines that do not add up to the whole."""
    yield from _far_rating(tee.course_rating, n_holes, "course_rating", "A course rating")
    for name, rating, _ in tee.nines:
        if rating is not None:
            yield from _far_rating(rating, 9, f"{name}_course_rating", f"A rating of the {name} nine")
    rating = tee.course_rating
    lowest, highest = USUAL_RATING[n_holes]
    from_par = whole_tenths(rating) - 10 * tee.par
    if lowest <= whole_tenths(rating) <= highest and abs(from_par) > FARTHEST_FROM_PAR[n_holes]:
        most = FARTHEST_FROM_PAR[n_holes] // 10
        text = f"The course rating {rating} is more than {most} strokes from the par, {tee.par}."
        yield Doubt("rating_far_from_par", text, "course_rating")
    front, back = tee.front_course_rating, tee.back_course_rating
    if front is not None and back is not None and front + back != rating:
        text = f"The two nines add up to {front + back}; the course rating is {rating}."
        yield Doubt("nines_do_not_add_up", text, "back_course_rating")


def _far_rating(rating: Decimal, n_holes: int, field: str, what: str) -> Iterator[Doubt]:
    """A rating outside the usual range, with the reading that a forgotten decimal point suggests."""
    lowest, highest = (Decimal(tenths).scaleb(-1) for tenths in USUAL_RATING[n_holes])
    if lowest <= rating <= highest:
        return
    tenth = rating.scaleb(-1)
    point = f" Did you mean {tenth.quantize(Decimal('0.1'))}?" if lowest <= tenth <= highest else ""
    text = f"{what} of {rating} is unusual: over {n_holes} holes it is nearly always from {lowest} to {highest}.{point}"
    yield Doubt("rating_unusual", text, field, asks=True)


def _par_doubts(tee: PrintedTee, n_holes: int) -> Iterator[Doubt]:
    """A total par far from the usual, and pars unusual for their length (Appendix F)."""
    lowest, highest = USUAL_PAR[n_holes]
    if not lowest <= tee.par <= highest:
        text = f"The pars add up to {tee.par}; over {n_holes} holes the total is usually from {lowest} to {highest}."
        yield Doubt("par_total_unusual", text, "holes")
    for place, hole in enumerate(tee.holes):
        if hole.length is not None and not _suits_par(hole.par, hole.length, tee):
            length = f"{hole.length} {tee.length_unit}"
            text = f"Hole {hole.number}: {length} is unusual for a par {hole.par} ({_span(hole.par, tee)})."
            yield Doubt("par_for_length", text, f"holes.{place}.par")


def _suits_par(par: int, length: int, tee: PrintedTee) -> bool:
    """Whether Appendix F has this par for this length."""
    shortest, longest = PAR_BY_LENGTH[tee.rated_for][par]
    yards = length / METRES_IN_A_YARD if tee.length_unit == METRES else Fraction(length)
    return (shortest is None or yards >= shortest) and (longest is None or yards <= longest)


def _span(par: int, tee: PrintedTee) -> str:
    """The lengths of Appendix F for a par, in the tee's unit, in words."""
    shortest, longest = (_in_unit(yards, tee.length_unit) for yards in PAR_BY_LENGTH[tee.rated_for][par])
    if shortest is None:
        return f"for {tee.rated_for} up to {longest}"
    return (
        f"for {tee.rated_for} {shortest} or more" if longest is None else f"for {tee.rated_for} {shortest} to {longest}"
    )


def _in_unit(yards: int | None, unit: str) -> int | None:
    """Whole yards in the given unit, to the nearest whole."""
    return yards if yards is None or unit == YARDS else round_to_whole(yards * METRES_IN_A_YARD)


def _length_doubts(tee: PrintedTee, n_holes: int) -> Iterator[Doubt]:
    """Lengths that are missing on some holes, too short to be rated, or unlike the typed total."""
    without = [str(hole.number) for hole in tee.holes if hole.length is None]
    if 0 < len(without) < n_holes:
        yield Doubt("length_missing", f"No length on hole {', '.join(without)}.", "holes")
    if tee.length is None:
        return
    shortest = _in_unit(SHORTEST_RATED[n_holes], tee.length_unit)
    if shortest is not None and tee.length < shortest:
        text = f"The lengths add up to {tee.length} {tee.length_unit}; under {shortest} a course is not rated."
        yield Doubt("length_short", text, "holes")
    if tee.length_total is not None and tee.length_total != tee.length:
        text = f"The lengths of the holes add up to {tee.length}, the total typed is {tee.length_total}."
        yield Doubt("length_total", text, "length_total", asks=True)


def _stroke_order_doubts(tee: PrintedTee) -> Iterator[Doubt]:
    """Odd stroke indexes on one nine and even ones on the other are advised, not demanded (Appendix E)."""
    if len(tee.holes) == 18 and len({hole.stroke_index % 2 for hole in tee.holes[:9]}) == 2:
        text = "Odd and even stroke indexes are mixed on the nines. The standard advises odd on one, even on the other."
        yield Doubt("stroke_index_mixed", text, "holes")
