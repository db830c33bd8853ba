"""Stance by common practice first, then by what the tee shot and the cards say; never bold where nothing is known."""

from dataclasses import replace

import pytest

from league.estimates.carries import Carry
from league.estimates.stance import Facts, forced_carry, penalty_areas, safe_side, stance_of
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind

DRIVER = Carry("driver", "driver", carry=200, long_sd=18, wide_sd=6.5)
NINE = Carry("9 iron", "iron", carry=110, long_sd=9, wide_sd=5.9)
OPEN = Facts(number=5, par=4, personal_par=5, is_described=True)


def water(side: Side, begins: int, ends: int, counted_from: CountedFrom = CountedFrom.TEE) -> Trouble:
    return Trouble(TroubleKind.PENALTY_AREA, side, begins, ends, counted_from=counted_from)


def test_two_separate_penalty_areas_protect_whatever_the_arithmetic_says() -> None:
    """Common practice."""
    found = stance_of(replace(OPEN, penalty_areas=2, lost=0.0, left=60))
    assert (found.stance, found.is_practice) == ("protect", True)
    assert "Two separate penalty areas" in found.reason


@pytest.mark.parametrize(
    ("rows", "n"),
    [
        ((), 0),
        ((water(Side.LEFT, 100, 180),), 1),
        ((water(Side.LEFT, 100, 180), water(Side.LEFT, 170, 240)), 1),
        ((water(Side.LEFT, 100, 180), water(Side.LEFT, 210, 240)), 2),
        ((water(Side.LEFT, 100, 180), water(Side.RIGHT, 100, 180)), 2),
        ((water(Side.RIGHT, 0, 400), water(Side.LEFT, -20, 10, CountedFrom.GREEN)), 2),
        ((Trouble(TroubleKind.BUNKER, Side.LEFT, 100, 180), water(Side.LEFT, 100, 180)), 1),
    ],
)
def test_penalty_areas_are_counted_apart(rows: tuple[Trouble, ...], n: int) -> None:
    assert penalty_areas(Described(number=1, trouble=rows)) == n


@pytest.mark.parametrize(("ends", "is_near"), [(120, False), (163, False), (165, True), (200, True), (240, False)])
def test_a_forced_carry_near_the_usual_carry_counts_as_trouble(ends: int, is_near: bool) -> None:
    """Common practice: poor strikes come up shorter than good ones. Two spreads of 18 about 200 are 164 to 236."""
    hole = Described(number=1, trouble=(water(Side.ACROSS, 90, ends),))
    assert bool(forced_carry(hole, [NINE, DRIVER], "yards", 390, 4)) is is_near


def test_on_a_par_three_the_club_to_the_green_has_to_carry() -> None:
    hole = Described(number=1, trouble=(water(Side.ACROSS, 40, 100),))
    assert forced_carry(hole, [NINE, DRIVER], "yards", 108, 3)
    assert not forced_carry(hole, [NINE, DRIVER], "yards", 150, 3)
    assert not forced_carry(hole, [], "yards", 108, 3)


def test_a_tee_shot_lost_once_in_ten_protects() -> None:
    found = stance_of(replace(OPEN, lost=0.125, lost_words="in the penalty area on the left"))
    assert (found.stance, found.reason) == ("protect", "About 1 tee shot in 8 is lost in the penalty area on the left.")
    assert stance_of(replace(OPEN, lost=0.09, stroke_losers=1)).stance == "measured"


def test_cards_protect_when_there_are_enough() -> None:
    risky = replace(OPEN, blow_up=0.5, usual_blow_up=0.3, n_cards=5)
    assert stance_of(risky).reason == "About 5 times in 10 it took you two more than planned."
    assert stance_of(replace(risky, n_cards=4)).stance == "measured"
    assert stance_of(replace(OPEN, over_plan=0.4, n_cards=8)).stance == "protect"


def test_attack_needs_a_described_hole_on_which_nothing_costs_a_stroke() -> None:
    assert stance_of(replace(OPEN, left=88)).reason == "Nothing here costs a stroke, and about 90 yards are left."
    assert stance_of(replace(OPEN, left=88, stroke_losers=1)).stance == "measured"
    assert stance_of(replace(OPEN, left=88, is_described=False)).stance == "measured"
    assert stance_of(replace(OPEN, over_plan=-0.5, n_cards=9)).stance == "attack"


def test_the_safe_side_is_as_described_else_away_from_the_only_trouble() -> None:
    right = water(Side.RIGHT, 0, 400)
    assert safe_side(Described(number=1, safe_side=Side.SHORT, trouble=(right,))) == "short"
    assert safe_side(Described(number=1, trouble=(right,))) == "left"
    assert safe_side(Described(number=1, trouble=(right, water(Side.LEFT, 100, 120)))) == ""
    assert safe_side(Described(number=1)) == ""


def test_a_measured_hole_says_what_plain_shots_do_there() -> None:
    plain = "Driver leaves 120; lost out of bounds about 1 in 20."
    assert stance_of(replace(OPEN, stroke_losers=1, lost=0.05, plain=plain)).reason == plain
    assert stance_of(OPEN).reason == "No club is known here: the middle, and no hurry."
