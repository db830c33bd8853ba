"""Rules a player can keep: by hand, published values, and what common practice says."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from league.estimates.carries import Carry, carries_of, starter_set
from league.estimates.rules_of_thumb import (
    chipping_club,
    first_putt,
    least_lofted_rule,
    never_worse_than_three,
    punch_out_rule,
    three_putt_price,
    usual_odds,
)
from league.estimates.strokes_left import strokes_left

BAG = carries_of([(club, ()) for club in starter_set(204)], 19)


def test_the_gap_breaks_even_where_both_ways_cost_the_same() -> None:
    """By hand from the three values: p x works + (1 - p) x fails = sure."""
    rule = punch_out_rule(160, 120, 19, "yards")
    sure, works, fails = (
        strokes_left(160, 19, "yards"),
        strokes_left(40, 19, "yards"),
        strokes_left(160, 19, "yards", "trees"),
    )
    assert rule.chance is not None
    assert rule.chance * works + (1 - rule.chance) * fails == pytest.approx(sure)


def test_a_gap_that_gains_little_is_never_worth_it() -> None:
    """Common practice: a punch-out that surely finds short grass beats the shot through the gap."""
    assert "not worth a try" in punch_out_rule(160, 5, 19, "yards").words


def test_the_arithmetic_of_a_way_out_is_told() -> None:
    """By hand: 3.71 sideways, 2.95 through the gap to 40 yards, 4.61 in the trees again; (4.61 - 3.71) / 1.66."""
    assert punch_out_rule(160, 120, 19, "yards").words == (
        "In the trees, 160 yards out: sideways to short grass leaves 3.7 strokes; the gap 3.0 if it works and 4.6 if "
        "not. It must work more than 54 % of the time."
    )


def test_the_player_s_own_chance_decides() -> None:
    """What they say of the gap is held against the break-even."""
    assert punch_out_rule(160, 120, 19, "yards", chance=0.99).words.endswith("You say 99 %: the gap is worth it.")
    assert punch_out_rule(160, 120, 19, "yards", chance=0.2).words.endswith("You say 20 %: take the sure way.")


@given(some.floats(60, 250), some.floats(0, 1), some.floats(0, 1), some.floats(-6, 40))
def test_the_more_the_gap_gains_the_less_often_it_must_work(
    left: float, one: float, other: float, level: float
) -> None:
    less, more = sorted((one * left, other * left))
    small, large = punch_out_rule(left, less, level, "yards").chance, punch_out_rule(left, more, level, "yards").chance
    assert small is not None
    assert large is not None
    assert 0 <= large <= small + 1e-9 <= 1 + 1e-9


def test_the_least_lofted_club_that_stops_in_time() -> None:
    """By hand: the 8 iron (36 degrees) rolls 2.5 for 1; 5 on and 2 more are 7 of carry, 24.5 in all, of 25 there are.

    The 7 iron (32 degrees) rolls 3.5 - 2 / 6 = 3.17: 29 in all is too much.
    """
    found = least_lofted_rule(BAG, 5, 25, "yards", leaves_feet=15)
    assert found.words == (
        "A chip of 25 yards, 5 of them to the green: the 8 iron is the least lofted club that does it, "
        "7 to carry and the rest rolls, to leave a putt of about 15 ft."
    )
    assert found.source.startswith("common practice")
    assert chipping_club(BAG, 5, 25) == "8 iron"


def test_a_club_whose_loft_nobody_knows_is_no_club_to_chip_with() -> None:
    """An iron of an unusual name could have any loft; a wedge is near enough to another."""
    plain = Carry("old iron", "iron", 110, 9, 6)
    assert "the least lofted club that lands" in least_lofted_rule((plain,), 5, 25, "yards").words
    assert chipping_club((plain,), 5, 25) == ""
    assert chipping_club((plain, Carry("wedge", "wedge", 70, 6, 6)), 5, 25) == "wedge"


def test_from_the_edge_the_putter_and_with_little_green_the_most_loft() -> None:
    assert "putter" in least_lofted_rule(BAG, 0, 12, "yards").words
    assert "sand wedge" in least_lofted_rule(BAG, 12, 15, "yards").words


def test_without_clubs_the_rule_stays_a_rule() -> None:
    """A driver is no club to chip with."""
    driver = Carry("driver", "driver", 190, 16, 6.5)
    assert "least lofted club" in least_lofted_rule((driver,), 5, 25, "yards").words


def test_beyond_twenty_feet_the_first_putt_is_about_distance() -> None:
    """Common practice; 18 % three-putts from 30 feet by a player around 90 (Broadie, from memory)."""
    rule = first_putt(30, 19, "yards")
    assert "about distance" in rule.words
    assert rule.chance == pytest.approx(0.82)
    assert "one about 15 %" in first_putt(20.01, -6, "yards").words
    assert "about distance" not in first_putt(20, 19, "yards").words


def test_nearer_it_says_what_the_tour_does() -> None:
    """Half from 8 feet: Broadie, in three articles."""
    rule = first_putt(5, 19, "yards")
    assert rule.words == "From 5 ft about 50 % drop at your level; the tour misses half from 8 ft."
    assert rule.chance == pytest.approx(0.5)
    assert "2.4 m" in first_putt(5, 19, "metres").words


def test_a_long_first_putt_costs_more_than_two() -> None:
    assert three_putt_price(10, 19) < 0 < three_putt_price(40, 19)


def test_every_rule_says_where_it_comes_from() -> None:
    rules = [
        punch_out_rule(160, 120, 19, "yards"),
        least_lofted_rule(BAG, 5, 25, "yards"),
        first_putt(30, 19, "yards"),
        first_putt(5, 19, "yards"),
        never_worse_than_three(50, 19, "yards"),
        usual_odds(135, 19, "yards"),
    ]
    assert all(rule.source and rule.words for rule in rules)
    assert "never worse than three" in rules[4].words
    assert rules[5].chance == pytest.approx(0.28, abs=0.01)
