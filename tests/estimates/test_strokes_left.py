"""What a distance is worth, beside the published figures it is anchored in."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from league.estimates.strokes_left import LIES, strokes_left

levels = some.floats(-6, 54)
LENGTHS = (150, 170, 330, 345, 360, 380, 400, 500, 515)
"""Twice: 6,300 yards."""


@pytest.mark.parametrize("level", [-6, 0, 9, 19, 29])
def test_a_round_is_par_and_the_level(level: float) -> None:
    assert sum(LENGTHS) * 2 == 6300
    assert 2 * sum(strokes_left(length, level, "yards") for length in LENGTHS) == pytest.approx(72 + level)


def test_two_thirds_of_the_gap_between_80_and_90_come_from_outside_100_yards() -> None:
    """Broadie, as quoted: about two thirds outside, one third inside."""
    whole = 18 * (strokes_left(350, 19, "yards") - strokes_left(350, 9, "yards"))
    inside = 18 * (strokes_left(100, 19, "yards") - strokes_left(100, 9, "yards"))
    assert whole == pytest.approx(10)
    assert inside / whole == pytest.approx(1 / 3)


@pytest.mark.parametrize(("level", "lowest", "highest"), [(-6, 0.5, 1.0), (36, 2.5, 3.0)])
def test_20_yards_of_driving(level: float, lowest: float, highest: float) -> None:
    """Ko 2012: almost 3 strokes a round to a high handicap, under 1 to a tour player; 14 drives a round."""
    gain = 14 * (strokes_left(200, level, "yards") - strokes_left(180, level, "yards"))
    assert lowest < gain < highest


def test_putts_on_tour_and_of_a_player_around_90() -> None:
    """Broadie: half of the putts from 8 feet are holed on tour, and from 5 feet by a player around 90."""
    assert strokes_left(8 / 3, -6, "yards", "green") == pytest.approx(1.5, abs=0.02)
    assert strokes_left(5 / 3, 19, "yards", "green") == pytest.approx(1.5, abs=0.03)


def test_from_40_to_60_yards_three_more_is_the_aim() -> None:
    """Common practice: never worse than three more; a player around 90 needs about that."""
    for distance in (40, 50, 60):
        assert 2.7 < strokes_left(distance, 19, "yards") < 3.3


def test_within_15_yards_five_yards_are_a_tenth_of_a_stroke() -> None:
    near, far = (strokes_left(yards, 19, "yards") for yards in (10, 15))
    assert far - near == pytest.approx(0.1)


@settings(deadline=None)
@given(levels, some.floats(0, 600), some.floats(0, 600))
def test_farther_is_never_cheaper(level: float, one: float, other: float) -> None:
    near, far = sorted((one, other))
    for lie in (*LIES, "green"):
        assert strokes_left(near, level, "yards", lie) <= strokes_left(far, level, "yards", lie) + 1e-9


@settings(deadline=None)
@given(levels, levels, some.floats(0, 600), some.sampled_from((*LIES, "green")))
def test_a_better_player_needs_no_more(one: float, other: float, distance: float, lie: str) -> None:
    better, worse = sorted((one, other))
    assert strokes_left(distance, better, "yards", lie) <= strokes_left(distance, worse, "yards", lie) + 1e-9


@settings(deadline=None)
@given(levels, some.floats(0, 600))
def test_lies_stand_in_order_and_metres_are_yards(level: float, distance: float) -> None:
    costs = [strokes_left(distance, level, "yards", lie) for lie in ("short grass", "rough", "slope", "sand", "trees")]
    assert costs == sorted(costs)
    assert strokes_left(distance * 0.9144, level, "metres") == pytest.approx(strokes_left(distance, level, "yards"))
