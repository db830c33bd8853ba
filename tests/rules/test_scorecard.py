"""Tees and cards: what they refuse, and what they add up to."""

from dataclasses import replace
from decimal import Decimal

import pytest

from league.rules import formats, strokes
from league.rules.errors import RuleBroken
from league.rules.scorecard import (
    Card,
    Hole,
    HoleScore,
    Tee,
    adjusted_card,
    adjusted_gross_score,
    card_problems,
    check,
    gross_score,
    most_likely_extra,
    par_played,
)
from tests.rules.histories import BACK, FRONT, HERON, HOLES


def codes(card: Card, tee: Tee = HERON) -> list[str]:
    return [problem.code for problem in card_problems(card, tee)]


def refused(**changes) -> list[str]:
    with pytest.raises(RuleBroken) as broken:
        replace(HERON, **changes)
    return [problem.code for problem in broken.value.problems]


def with_hole(number: int, **changes) -> tuple[Hole, ...]:
    return tuple(replace(hole, **changes) if hole.number == number else hole for hole in HOLES)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"slope_rating": 54}, ["slope_range"]),
        ({"slope_rating": 156}, ["slope_range"]),
        ({"course_rating": Decimal("71.35")}, ["rating_form"]),
        ({"course_rating": Decimal("NaN")}, ["rating_form"]),
        ({"course_rating": Decimal("-1.0")}, ["rating_form"]),
        ({"holes": HOLES[:12]}, ["tee_holes"]),
        ({"holes": HOLES[3:12]}, ["hole_numbers"]),
        ({"holes": with_hole(4, par=7)}, ["par_range"]),
        ({"holes": with_hole(4, stroke_index=1)}, ["stroke_index_order"]),
        ({"holes": with_hole(4, stroke_index=19)}, ["stroke_index_order"]),
        ({"holes": with_hole(4, par=2), "slope_rating": 20}, ["par_range", "slope_range"]),
    ],
)
def test_a_tee_that_cannot_be_rated_is_refused(changes, expected):
    assert refused(**changes) == expected


@pytest.mark.parametrize("slope", [55, 155])
def test_the_ends_of_the_slope_range_are_taken(slope):
    assert replace(HERON, slope_rating=slope).slope_rating == slope


def test_only_eighteen_holes_have_nines_and_only_nine_are_played_twice():
    with pytest.raises(RuleBroken):
        FRONT.nine(True, Decimal("35.0"), 113)
    with pytest.raises(RuleBroken):
        HERON.twice()
    assert [hole.number for hole in BACK.twice().holes] == list(range(1, 19))


@pytest.mark.parametrize(("count", "is_enough"), [(1, False), (9, False), (10, True), (17, True), (18, True)])
def test_eighteen_holes_need_ten(count, is_enough):
    assert codes(Card.by_hole([5] * count)) == ([] if is_enough else ["too_few_holes"])


def test_nine_played_of_eighteen_points_to_the_tee_of_that_nine():
    (problem,) = card_problems(Card.by_hole([5] * 9), HERON)
    assert "own rating" in problem.message


@pytest.mark.parametrize(("count", "is_enough"), [(7, False), (8, False), (9, True)])
def test_nine_holes_need_all_nine(count, is_enough):
    assert codes(Card.by_hole([5] * count), FRONT) == ([] if is_enough else ["too_few_holes"])


def test_all_problems_of_a_card_are_told_at_once():
    scores = [HoleScore(n, 5) for n in range(1, 15)]
    card = Card((*scores, HoleScore(3, 4), HoleScore(15, 0), HoleScore(16), HoleScore(19, 4)), total_gross=90)
    assert codes(card) == ["card_twofold", "hole_repeated", "strokes_range", "strokes_missing", "hole_unknown"]
    with pytest.raises(RuleBroken) as broken:
        check(card, HERON)
    assert len(broken.value.problems) == 5
    assert broken.value.problems[2].field == "holes.15.strokes"


@pytest.mark.parametrize(
    ("card", "expected"),
    [
        (Card(), ["card_empty"]),
        (Card.total(90), []),
        (Card.total(None, 90), []),
        (Card.total(90, 88), []),
        (Card.total(88, 90), ["adjusted_above_gross"]),
        (Card.total(17), ["total_range"]),
        (Card.total(None), ["total_missing"]),
        (Card.total(60, holes=14), ["total_holes"]),
        (Card.total(5, 6, holes=9), ["total_holes", "total_range", "total_range", "adjusted_above_gross"]),
    ],
)
def test_totals(card, expected):
    assert codes(card) == expected


def test_gross_needs_strokes_on_every_hole():
    full = Card.by_hole([5] * 18)
    assert gross_score(full, HERON) == 90
    assert gross_score(Card.by_hole([5] * 17), HERON) is None
    assert gross_score(Card((*full.holes[:17], HoleScore(18, None, True))), HERON) is None
    assert gross_score(Card((*full.holes[:17], HoleScore(18, 7, True))), HERON) == 92
    assert gross_score(Card.total(None, 88), HERON) is None


def test_a_hole_at_its_cap_is_not_capped():
    at_cap = [hole.par + 5 for hole in HOLES]
    assert adjusted_card(Card.by_hole(at_cap), HERON, None) == (sum(at_cap), ())
    over = [*at_cap[:17], at_cap[17] + 1]
    assert adjusted_card(Card.by_hole(over), HERON, None) == (sum(at_cap), ((18, over[17], at_cap[17]),))


def test_adjusted_total_stands_as_given():
    assert adjusted_gross_score(Card.total(95, 91), HERON, 2) == 91
    assert adjusted_gross_score(Card.total(95), HERON, 2) == 95


def test_par_of_the_holes_played():
    assert par_played(Card.by_hole([5] * 14), HERON) == sum(hole.par for hole in HOLES[:14])
    assert par_played(Card.total(90), HERON) == HERON.par


@pytest.mark.parametrize(
    ("yards", "on_green", "expected"),
    [
        (Decimal("0.5"), True, (1, 1)),
        (Decimal("1.6"), True, (1, 1)),
        (Decimal("1.7"), True, (2, 3)),
        (Decimal("1.0"), False, (2, 3)),
        (Decimal("20"), False, (2, 3)),
        (Decimal("20.1"), False, (3, 4)),
    ],
)
def test_most_likely_strokes_to_add(yards, on_green, expected):
    assert most_likely_extra(yards, on_green) == expected


def test_a_distance_is_not_negative():
    with pytest.raises(RuleBroken):
        most_likely_extra(Decimal("-1"))


def test_a_hole_at_the_maximum_counts_as_picked_up_for_the_index():
    maximum = {hole.number: hole.par + 3 for hole in HOLES}
    card = formats.card_from_maximum_score(Card.by_hole([7, 6, *[4] * 16]), maximum)
    assert card.holes[0] == HoleScore(1, None, True)
    assert card.holes[1] == HoleScore(2, 6)
    assert formats.maximum_score_on_hole(None, 7) == 7
    assert formats.maximum_score_on_hole(11, 7) == 7


def test_penalty_differentials():
    listed = [Decimal("12.0"), Decimal("20.1"), Decimal("9.3")]
    assert formats.penalty_differential(listed, meant_to_lower=True) == Decimal("20.1")
    assert formats.penalty_differential(listed, meant_to_lower=False) == Decimal("9.3")
    with pytest.raises(RuleBroken):
        formats.penalty_differential([], meant_to_lower=True)


def test_points_below_nothing_are_refused():
    with pytest.raises(RuleBroken):
        formats.gross_from_points(-1, 72, 10)


def test_picked_up_scores_no_points():
    card = Card((HoleScore(1, 4, True), *Card.by_hole([4] * 17, 2).holes))
    assert formats.stableford_by_hole(card, HERON, 0)[1] == 0


# Appendix C, recommended allowances, as the governing bodies print them (pages listed with the worked examples).
PRINTED_ALLOWANCES = {
    "stroke play": [95],
    "Stableford": [95],
    "par/bogey": [95],
    "maximum score": [95],
    "four-ball stroke play": [85],
    "four-ball Stableford": [85],
    "four-ball par/bogey": [90],
    "match play": [100],
    "four-ball match play": [90],
    "foursomes": [50, 50],
    "greensomes": [60, 40],
    "Chapman": [60, 40],
    "best 1 of 4 stroke play": [75],
    "best 2 of 4 stroke play": [85],
    "best 3 of 4 stroke play": [100],
    "best 4 of 4 stroke play": [100],
    "best 1 of 4 par/bogey": [75],
    "best 2 of 4 par/bogey": [80],
    "best 3 of 4 par/bogey": [90],
    "best 4 of 4 par/bogey": [100],
    "scramble of 4": [25, 20, 15, 10],
    "scramble of 3": [30, 20, 10],
    "scramble of 2": [35, 15],
    "total of 2 match play": [100],
}


def test_allowances_are_those_of_appendix_c():
    found = {name: [int(share * 100) for share in row.shares] for name, row in strokes.ALLOWANCES.items()}
    assert found == PRINTED_ALLOWANCES
    assert {name for name, row in strokes.ALLOWANCES.items() if row.is_team} == (
        {name for name, shares in PRINTED_ALLOWANCES.items() if len(shares) > 1}
    )


def test_a_team_has_a_share_for_each():
    with pytest.raises(RuleBroken):
        strokes.team_playing_handicap(
            [Decimal("5"), Decimal("6"), Decimal("7")], strokes.ALLOWANCES["foursomes"].shares
        )


def test_par_difference_goes_to_the_higher_par():
    assert strokes.par_difference(73, 72) == 1
