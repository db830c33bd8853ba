"""Laws that follow from the published rules, over whole ranges instead of single cases."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from league.rules import differential, formats, index, rounding, scorecard, strokes
from league.rules.record import Adjusted, Entered, Lifted, Posted, replay
from league.rules.scorecard import Card, Hole, Tee
from tests.rules.histories import FRONT, HERON, days, entered

TENTHS = st.integers(-100, 600)
WINDOWS = st.lists(TENTHS, min_size=3, max_size=20)


@given(st.integers(-(10**6), 10**6), st.integers(1, 10**4), st.integers(-50, 50))
def test_rounding_moves_with_whole_numbers(numerator, denominator, whole):
    shifted = rounding.halves_up(numerator + whole * denominator, denominator)
    assert shifted == rounding.halves_up(numerator, denominator) + whole


def test_rounding_over_every_half_and_its_neighbours():
    for twentieths in range(-2000, 2001):
        value = Fraction(twentieths, 20)
        found = rounding.exact(rounding.round_to_tenths(value))
        assert -Fraction(1, 20) < found - value <= Fraction(1, 20)


def test_no_rounded_value_is_ever_written_as_minus_zero():
    assert {str(rounding.round_to_tenths(Fraction(n, 100))) for n in range(-5, 5)} == {"0.0"}


def test_a_stroke_is_worth_113_over_slope_and_conditions_a_stroke():
    for slope in range(55, 156):
        for gross in (61, 84, 127):
            rating = Fraction(713, 10)
            here = differential.played_differential(gross, rating, slope)
            assert here - differential.played_differential(gross - 1, rating, slope) == Fraction(113, slope)
            assert differential.played_differential(gross, rating, slope, 1) == (
                differential.played_differential(gross - 1, rating, slope)
            )
            half = differential.played_differential(gross, rating, slope, 1, 9)
            assert here - half == Fraction(113, 2 * slope)


def test_a_partial_round_agrees_at_nine_and_at_eighteen():
    for gross in (40, 45, 60):
        for conditions in range(-1, 4):
            half_rating = Decimal("35.65")
            rating = differential.rating_of_part(Decimal("71.3"), 72, 36, 9)
            assert rating == rounding.exact(half_rating)
            part = differential.partial_part(gross, 36, 9, 72, Decimal("71.3"), 127, conditions)
            assert part == differential.played_differential(gross, rating, 127, conditions, 9)
            full = differential.partial_part(gross + 40, 72, 18, 72, Decimal("71.3"), 127, conditions)
            assert rounding.round_to_tenths(full) == (
                differential.score_differential(gross + 40, Decimal("71.3"), 127, conditions)
            )


def test_a_nine_as_expected_gives_the_expected_eighteen():
    for count in range(-80, 541):
        value = rounding.as_decimal(count)
        expected = differential.expected_differential(value, 9)
        assert expected + expected == differential.expected_differential(value, 18)


@given(WINDOWS, st.integers(-200, 200))
def test_an_index_moves_with_all_its_differentials(window, change):
    assert index.calculated_index([each + change for each in window]) == index.calculated_index(window) + change


@given(WINDOWS, st.randoms(use_true_random=False))
def test_an_index_does_not_depend_on_their_order(window, random):
    shuffled = list(window)
    random.shuffle(shuffled)
    assert index.calculated_index(shuffled) == index.calculated_index(window)


@given(st.lists(TENTHS, min_size=20, max_size=20), st.integers(0, 300))
def test_a_score_that_does_not_count_changes_nothing(window, worse):
    eighth = sorted(window)[7]
    highest = max(range(20), key=lambda place: window[place])
    others = [value for place, value in enumerate(window) if place != highest]
    assert index.calculated_index([*others, eighth + worse]) == index.calculated_index(window)


@given(st.integers(-60, 540), st.integers(-60, 900))
def test_a_cap_never_lowers_within_three_and_never_passes_five(low, calculated):
    value, cap = index.capped(calculated, low)
    assert value <= max(calculated, low + 50)
    assert value <= low + 50 or calculated < value
    assert (value == calculated) if calculated - low <= 30 else bool(cap)
    assert index.capped(calculated + 1, low)[0] >= value
    assert value - low <= 50


def test_the_caps_are_the_printed_formula_at_every_tenth():
    for over in range(-50, 200):
        capped = over if over <= 30 else min(Fraction(30) + Fraction(over - 30, 2), Fraction(50))
        acted = "" if over <= 30 else "soft" if over <= 70 else "hard"
        assert index.capped(100 + over, 100) == (100 + rounding.round_to_whole(capped), acted)


def test_exceptional_reductions_at_every_tenth_and_just_beside_it():
    for better in range(150):
        for slip in (-1, 0, 1):
            unrounded = Fraction(200 - better, 10) + Fraction(slip, 1000)
            exact = 20 - unrounded
            expected = Decimal("0.0") if exact < 7 else Decimal("-1.0") if exact < 10 else Decimal("-2.0")
            assert index.exceptional_reduction(Decimal("20.0"), unrounded) == expected


@pytest.mark.parametrize("holes", [9, 18])
def test_strokes_on_holes_add_up_to_the_handicap(holes):
    for handicap in range(-36, 100):
        received = [strokes.strokes_on_hole(handicap, rank, holes) for rank in range(1, holes + 1)]
        assert sum(received) == handicap
        assert received == sorted(received, reverse=True)
        assert received[0] - received[-1] <= 1


def test_a_plus_player_gives_back_from_the_last_place_down():
    for given_back in range(73):
        full, rest = divmod(given_back, 18)
        for rank in range(1, 19):
            assert strokes.strokes_on_hole(-given_back, rank) == -(full + (rank > 18 - rest))


def test_caps_are_par_plus_two_plus_strokes():
    for tee in (HERON, FRONT):
        for handicap in range(-20, 80):
            received = scorecard.strokes_by_hole(tee, handicap)
            expected = [scorecard.net_double_bogey(hole.par, received[hole.number]) for hole in tee.holes]
            assert list(scorecard.stroke_caps(tee, handicap)) == expected


@pytest.mark.parametrize("tee", [HERON, FRONT], ids=["eighteen", "nine"])
def test_capping_by_hole_equals_converting_points(tee):
    random = Random(4)
    for handicap in range(-8, 60):
        card = Card.by_hole([hole.par + random.choice((-1, 0, 1, 2, 3, 8)) for hole in tee.holes], tee.holes[0].number)
        points = sum(formats.stableford_by_hole(card, tee, handicap).values())
        assert formats.gross_from_points(points, tee.par, handicap, tee.n_holes) == (
            scorecard.adjusted_gross_score(card, tee, handicap)
        )


def test_points_and_par_bogey_agree_from_net_birdie_to_net_bogey():
    for par in (3, 4, 5, 6):
        for received in (-1, 0, 1, 2):
            for net in (-1, 0, 1):
                gross = par + received + net
                result = formats.par_bogey_on_hole(gross, par, received)
                assert formats.stableford_points(gross, par, received) == 2 + result == 2 - net
    assert formats.par_bogey_on_hole(None, 4, 1) == -1


@given(st.lists(st.integers(-8, 60), min_size=1, max_size=6))
def test_strokes_in_a_match_are_the_differences(handicaps):
    received = strokes.strokes_in_match(handicaps)
    assert min(received) == 0
    assert [each - handicaps[0] for each in handicaps] == [each - received[0] for each in received]


@given(st.lists(st.decimals(-5, 54, places=1), min_size=2, max_size=2), st.randoms(use_true_random=False))
def test_a_team_handicap_does_not_depend_on_the_order_of_partners(handicaps, random):
    shares = strokes.ALLOWANCES["greensomes"].shares
    shuffled = random.sample(handicaps, 2)
    assert strokes.team_playing_handicap(shuffled, shares) == strokes.team_playing_handicap(handicaps, shares)


def test_lifting_an_exceptional_score_brings_back_what_would_have_been():
    grosses = [92, 95, 91, 94, 90, 93, 96, 92, 91, 95, 94, 93, 92, 90, 91, 95, 96, 94, 93, 92, 91]
    events = [entered(f"r{n}", days(n), gross) for n, gross in enumerate(grosses)]
    record = replay([*events, entered("low", days(30), 78)])
    shifted = record.revisions[-1]
    assert shifted.score.reduction == Decimal("-2.0")
    before = [line.effective for line in shifted.window]
    after = [line.effective for line in record.apply(Lifted(days(31), "low")).window]
    assert [value + 2 for value in before] == after
    assert record.revisions[-1].index == shifted.index + 2


@given(st.integers(40, 400), st.integers(3, 30))
def test_no_index_is_above_54(over, rounds):
    last = replay(entered(f"r{n}", days(n), 72 + over) for n in range(rounds)).revisions[-1]
    assert last.index == Decimal("54.0") or last.calculated < 54


@pytest.mark.parametrize("seed", range(25))
def test_bare_rounds_give_the_record_without_its_reasons(seed):
    random = Random(seed)
    level, day, bare, events = random.randint(65, 120), 0, [], []
    tees = [HERON, Tee(HERON.holes, Decimal("74.8"), 141), Tee(HERON.holes, Decimal("66.1"), 97)]
    for n in range(140):
        day += random.choice((0, 1, 3, 9))
        tee, conditions = random.choice(tees), random.choice((0, 0, -1, 2))
        gross = level + random.randint(-9, 9) + n // 9 * random.choice((-1, 0, 1)) - random.choice((0,) * 12 + (14,))
        played_on = days(day)
        bare.append((played_on.toordinal(), gross, rounding.tenths(tee.course_rating), tee.slope_rating, conditions))
        events.append(Entered(played_on, Posted(f"r{n}", played_on, n, tee, Card.total(gross), conditions)))
    record = replay(events)
    values = [None if r.index is None else rounding.tenths(r.index) for r in record.revisions]
    assert index.rebuild(bare) == values


def test_a_committee_amount_and_its_opposite_leave_the_index_as_it_was():
    record = replay(entered(f"r{n}", days(n), 90 + n % 5) for n in range(8))
    before = record.revisions[-1]
    for amount in ("-1.5", "1.5"):
        record.apply(Adjusted(days(20), Decimal(amount), "after a review"))
    assert record.revisions[-1].index == before.index


def test_the_falling_low_is_the_lowest_of_the_stretch():
    random = Random(11)
    for _ in range(200):
        falling, issued, day = index.FallingLow(), [], date(2024, 1, 1).toordinal()
        for _ in range(60):
            day += random.randint(0, 40)
            value = random.randint(-20, 60)
            issued.append((day, rounding.as_decimal(value)))
            falling.issue(day, value)
            lowest = index.low_index(issued, day)
            assert falling.since(day - 365) == rounding.tenths(lowest)


def test_shown_index_has_a_plus_below_zero():
    assert [index.shown(rounding.as_decimal(count)) for count in (-24, -1, 0, 1, 540)] == (
        ["+2.4", "+0.1", "0.0", "0.1", "54.0"]
    )
    assert index.shown(None) == "-"


def test_same_nine_twice_uses_each_stroke_index_once():
    twice = FRONT.twice()
    assert sorted(hole.stroke_index for hole in twice.holes) == list(range(1, 19))
    ranks = dict(zip((hole.number for hole in FRONT.holes), FRONT.ranks, strict=True))
    for hole in twice.holes:
        is_second = hole.number > 9
        assert hole.stroke_index == 2 * ranks[hole.number - 9 * is_second] - (not is_second)
    assert (twice.par, twice.course_rating, twice.slope_rating) == (72, Decimal("70.8"), 121)


def test_the_nines_of_a_tee_are_its_holes():
    back = HERON.nine(False, Decimal("35.9"), 133)
    assert FRONT.holes + back.holes == HERON.holes
    assert Tee(tuple(Hole(n, 4, 2 * n) for n in range(1, 10)), Decimal("35.0"), 113).ranks == tuple(range(1, 10))
