"""Stance by common practice first, then by what the tee shot and the cards say; never bold where nothing is known."""

from collections import Counter
from dataclasses import replace

import pytest

from league.estimates.advice import advice_for
from league.estimates.carries import Carry, carries_of, starter_set
from league.estimates.plan import HoleToPlan, Known, plan_for
from league.estimates.stance import Facts, forced_carry, penalty_areas, safe_side, stance_of
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width
from league.rules.scorecard import Hole

DRIVER = Carry("driver", "driver", carry=200, long_sd=18, wide_sd=6.5)
NINE = Carry("9 iron", "iron", carry=110, long_sd=9, wide_sd=5.9)
OPEN = Facts(par=4, is_described=True)


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
    assert (found.stance, found.reason) == ("protect", "A stroke is lost in the penalty area on the left about 1 in 8.")
    assert stance_of(replace(OPEN, lost=0.09, stroke_losers=1)).stance == "measured"


def test_cards_protect_when_there_are_enough() -> None:
    risky = replace(OPEN, blow_up=0.5, usual_blow_up=0.3, n_cards=5)
    assert (
        stance_of(risky).reason == "A triple bogey or worse about half the time, more often than on your other holes."
    )
    assert stance_of(replace(risky, n_cards=4)).stance == "measured"
    hard = stance_of(replace(OPEN, harder=0.34, n_cards=8))
    assert (hard.stance, hard.reason) == ("protect", "It takes you 0.3 more over par than your mean hole.")
    assert stance_of(replace(OPEN, harder=0.24, n_cards=8)).stance == "measured"
    assert stance_of(replace(OPEN, harder=0.34, n_cards=4)).stance == "measured"


def test_attack_needs_a_described_hole_on_which_nothing_costs_a_stroke() -> None:
    assert stance_of(replace(OPEN, left=88, left_words="80 metres")).reason == (
        "No stroke to lose here, and about 80 metres are left."
    )
    assert stance_of(replace(OPEN, left=88, stroke_losers=1)).stance == "measured"
    assert stance_of(replace(OPEN, left=88, is_described=False)).stance == "measured"
    assert stance_of(replace(OPEN, harder=-0.3, n_cards=9)).stance == "attack"
    assert stance_of(replace(OPEN, left=88, lost=0.04)).stance == "measured"
    assert stance_of(replace(OPEN, left=88, stroke_losers=1, lost=0.02)).reason.startswith("Hardly a stroke to lose")


def test_attack_where_the_green_in_regulation_is_hit_clearly_more_often_than_usual() -> None:
    """Common practice has one in three or four from 135 yards for a player around 90; four in ten is clearly more."""
    found = stance_of(replace(OPEN, in_regulation=0.4, lost=0.0))
    assert (found.stance, found.reason) == (
        "attack",
        "No stroke to lose here, and the green in regulation about 4 times in 10.",
    )
    assert stance_of(replace(OPEN, in_regulation=0.39, lost=0.0)).stance == "measured"
    assert stance_of(replace(OPEN, in_regulation=0.6, lost=0.05)).stance == "measured"


def test_a_blow_up_counts_where_it_is_frequent_here_and_elsewhere_is_not() -> None:
    rare = replace(OPEN, blow_up=0.11, usual_blow_up=0.06, n_cards=20)
    assert stance_of(rare).stance == "protect"
    assert stance_of(replace(rare, blow_up=0.09)).stance == "measured"
    assert stance_of(replace(rare, usual_blow_up=0.08)).stance == "measured"


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


PLAIN_COURSE = (
    *((4, 345), (4, 372), (3, 148), (5, 478), (4, 318), (4, 390), (3, 132), (5, 462), (4, 352)),
    *((4, 335), (3, 168), (4, 384), (5, 495), (4, 300), (4, 366), (3, 124), (5, 470), (4, 358)),
)
"""Par and yards."""


def with_trouble(number: int, length: int) -> Described:
    """Bunkers everywhere; water or a boundary on every third hole, and water twice on the twelfth."""
    rows = [
        Trouble(TroubleKind.BUNKER, Side.LEFT, 170, 190, off_line=20, depth=12),
        Trouble(TroubleKind.BUNKER, Side.RIGHT, -8, 8, off_line=13, depth=8, counted_from=CountedFrom.GREEN),
    ]
    if number % 3 == 0:
        rows.append(water(Side.RIGHT, 120, 230))
    if number % 6 == 2:
        rows.append(Trouble(TroubleKind.OUT_OF_BOUNDS, Side.LEFT, 0, length, off_line=38))
    if number in (7, 12):
        rows.append(water(Side.ACROSS, -40, -15, CountedFrom.GREEN))
    return Described(number=number, trouble=tuple(rows), widths=(Width(180, 40),), green_depth=28, green_width=26)


@pytest.mark.parametrize("level", [16, 19, 22])
def test_a_player_around_90_attacks_a_few_holes_and_protects_several(level: float) -> None:
    holes = tuple(
        HoleToPlan(hole=Hole(number, par, number), length=length, described=with_trouble(number, length))
        for number, (par, length) in enumerate(PLAIN_COURSE, start=1)
    )
    carries = carries_of([(club, ()) for club in starter_set(204)], level)
    known = Known(holes=holes, unit="yards", carries=carries, level=level, liked=90)
    told = plan_for(90, known, advice_for(known))
    counts = Counter(hole["stance"] for hole in told["holes"])
    assert 2 <= counts["attack"] <= 6
    assert 2 <= counts["protect"] <= 7
