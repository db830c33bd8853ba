"""A tee as typed from its card: what is refused with its field, what is only asked about."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from league.rules.errors import RuleBroken
from league.rules.printed import PrintedHole, PrintedTee, check, days_overlap, doubts, same_set

# Appendix F in yards, as repeated by associations: gender, par, shortest, longest (None: open).
PAR_BY_LENGTH = [
    ("men", 3, None, 260),
    ("men", 4, 240, 490),
    ("men", 5, 450, 710),
    ("men", 6, 670, None),
    ("women", 3, None, 220),
    ("women", 4, 200, 420),
    ("women", 5, 370, 600),
    ("women", 6, 570, None),
]
ODD_OUT_EVEN_IN = [*range(1, 18, 2), *range(2, 19, 2)]
PARS = (4, 4, 3, 5, 4, 4, 3, 4, 5) * 2
LENGTHS = {3: 160, 4: 360, 5: 500}


def a_tee(**changes: object) -> PrintedTee:
    holes = tuple(
        PrintedHole(number, par, index, LENGTHS[par])
        for number, par, index in zip(range(1, 19), PARS, ODD_OUT_EVEN_IN, strict=True)
    )
    tee = PrintedTee(name="Heron", course_rating=Decimal("72.1"), slope_rating=128, holes=holes)
    return replace(tee, **changes)


def with_hole(tee: PrintedTee, number: int, **changes: object) -> PrintedTee:
    return replace(tee, holes=tuple(replace(hole, **changes) if hole.number == number else hole for hole in tee.holes))


def faults(tee: PrintedTee, n_holes: int = 18) -> dict[str, str]:
    try:
        check(tee, n_holes)
    except RuleBroken as broken:
        return {problem.field: problem.code for problem in broken.problems}
    return {}


def doubted(tee: PrintedTee) -> dict[str, bool]:
    return {doubt.code: doubt.asks for doubt in doubts(tee)}


def test_a_usual_tee_passes_without_a_word():
    assert (faults(a_tee()), doubted(a_tee())) == ({}, {})


@pytest.mark.parametrize("slope", range(50, 161))
def test_a_slope_rating_is_55_to_155(slope):
    assert faults(a_tee(slope_rating=slope)) == ({} if 55 <= slope <= 155 else {"slope_rating": "slope_range"})


@pytest.mark.parametrize("rating", ["72.35", "0", "-1.0", "NaN", "Infinity", "1000.0"])
def test_a_course_rating_has_one_decimal_and_lies_above_nothing(rating):
    assert faults(a_tee(course_rating=Decimal(rating))) == {"course_rating": "rating_form"}


def test_a_nine_has_both_of_its_ratings_or_neither():
    assert faults(a_tee(front_course_rating=Decimal("36.0"))) == {"front_slope_rating": "nine_half_rated"}
    assert faults(a_tee(back_slope_rating=120)) == {"back_course_rating": "nine_half_rated"}
    assert faults(a_tee(back_course_rating=Decimal("36.0"), back_slope_rating=156)) == {
        "back_slope_rating": "slope_range"
    }


def test_a_stroke_index_given_twice_names_both_holes_and_what_is_missing():
    with pytest.raises(RuleBroken) as broken:
        check(with_hole(a_tee(), 13, stroke_index=3), 18)
    twice, missing = broken.value.problems
    assert (twice.field, twice.message) == (
        "holes.12.stroke_index",
        "Hole 13 has stroke index 3, which hole 2 has already.",
    )
    assert missing.message == "No hole has stroke index 8. Use each from 1 to 18 once."


@pytest.mark.parametrize(("changes", "code"), [({"par": 2}, "par_range"), ({"par": 7}, "par_range")])
def test_par_is_3_to_6(changes, code):
    assert faults(with_hole(a_tee(), 5, **changes)) == {"holes.4.par": code}


def test_nine_holes_take_any_nine_different_indexes_of_eighteen():
    nine = a_tee(course_rating=Decimal("36.0"), holes=a_tee().holes[:9])
    assert faults(nine, 9) == {}
    assert faults(replace(nine, front_course_rating=Decimal("36.0"), front_slope_rating=120), 9) == {
        "front_course_rating": "nine_of_a_nine"
    }
    assert faults(nine, 18)["holes"] == "hole_numbers"


def test_a_typed_total_of_the_pars_must_agree_and_one_of_lengths_is_asked_about():
    assert faults(a_tee(par_total=71)) == {"par_total": "par_total"}
    assert faults(a_tee(par_total=72)) == {}
    length = a_tee().length
    assert doubted(a_tee(length_total=length)) == {}
    assert doubted(a_tee(length_total=length - 1)) == {"length_total": True}


@pytest.mark.parametrize(
    ("rating", "asks"), [("49.9", True), ("50.0", False), ("85.0", False), ("85.1", True), ("720.0", True)]
)
def test_a_rating_far_from_any_course_is_asked_about(rating, asks):
    assert ("rating_unusual" in doubted(a_tee(course_rating=Decimal(rating)))) is asks
    assert faults(a_tee(course_rating=Decimal(rating))) == {}


def test_a_forgotten_point_is_guessed_in_words_only():
    odd = a_tee(course_rating=Decimal("720"))
    assert "Did you mean 72.0?" in doubts(odd)[0].message
    assert odd.course_rating == Decimal("720")
    assert "mean" not in doubts(a_tee(course_rating=Decimal("99.9")))[0].message


def test_nines_that_do_not_add_up_are_pointed_at():
    nines = {"front_slope_rating": 120, "back_slope_rating": 120, "back_course_rating": Decimal("36.0")}
    assert doubted(a_tee(front_course_rating=Decimal("36.1"), **nines)) == {}
    assert doubted(a_tee(front_course_rating=Decimal("36.2"), **nines)) == {"nines_do_not_add_up": False}


@pytest.mark.parametrize(("rated_for", "par", "shortest", "longest"), PAR_BY_LENGTH)
def test_par_by_length_in_yards(rated_for, par, shortest, longest):
    for length in range(60, 900):
        suits = (shortest is None or length >= shortest) and (longest is None or length <= longest)
        tee = with_hole(a_tee(rated_for=rated_for), 1, par=par, length=length)
        about_it = [doubt for doubt in doubts(tee) if doubt.code == "par_for_length" and doubt.field == "holes.0.par"]
        assert (not about_it) is suits, length


def test_metres_are_compared_exactly():
    # 260 yd are 237.744 m (1 yd = 0.9144 m): 237 m is still a par 3 for men, 238 m is not.
    metric = a_tee(length_unit="metres", holes=tuple(replace(hole, length=None) for hole in a_tee().holes))
    assert "par_for_length" not in doubted(with_hole(metric, 3, length=237))
    assert "par_for_length" in doubted(with_hole(metric, 3, length=238))


def test_odd_and_even_indexes_may_stand_mixed_but_are_pointed_at():
    holes = tuple(replace(hole, stroke_index=hole.number) for hole in a_tee().holes)
    assert doubted(a_tee(holes=holes)) == {"stroke_index_mixed": False}
    swapped = tuple(replace(hole, stroke_index=19 - hole.stroke_index) for hole in a_tee().holes)
    assert doubted(a_tee(holes=swapped)) == {}


def test_short_and_partly_known_lengths_are_pointed_at():
    short = a_tee(holes=tuple(replace(hole, length=80) for hole in a_tee().holes))
    assert "length_short" in doubted(short)
    assert doubted(with_hole(a_tee(), 7, length=None)) == {"length_missing": False}


def test_days_overlap_exactly_when_they_share_one():
    first = date(2026, 1, 1)
    ends = [None, *(first + timedelta(days=n) for n in range(5))]
    spans = [(a, b) for a in ends for b in ends if a is None or b is None or a <= b]
    around = [first + timedelta(days=n) for n in range(-1, 6)]
    holds = {
        span: {day for day in around if (span[0] is None or span[0] <= day) and (span[1] is None or day <= span[1])}
        for span in spans
    }
    for one in spans:
        for other in spans:
            tees = (a_tee(valid_from=start, valid_until=end) for start, end in (one, other))
            assert days_overlap(*tees) is bool(holds[one] & holds[other]), (one, other)


def test_a_set_is_a_name_for_one_gender():
    assert same_set(a_tee(), a_tee(name="HERON"))
    assert not same_set(a_tee(), a_tee(rated_for="women"))
