"""The tee shot of a par 3: the club and where it ends, short of trouble where that costs less, and the habit."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from league.estimates.advice import advice_for
from league.estimates.approach import approach_from
from league.estimates.carries import Carry, carries_of, starter_set
from league.estimates.conditions import Conditions
from league.estimates.plan import Advice, HoleToPlan, Known
from league.estimates.tee_shots import Choice, best_tee_shot
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind
from league.rules.scorecard import Hole

PLAIN = Conditions()
BAG = carries_of([(club, ()) for club in starter_set(204)], 19)
"""A usual set of a player around 90: driver 190 yards, 6 iron 135, 7 iron 125, 9 iron 105."""
WATER, BUNKER = TroubleKind.PENALTY_AREA, TroubleKind.BUNKER
GREEN = CountedFrom.GREEN


def chosen(length: int, *trouble: Trouble, level: float = 19, bag: tuple[Carry, ...] = BAG, **rest: Any) -> Choice:
    found = best_tee_shot(Described(number=16, trouble=trouble, **rest), length, 3, bag, level, PLAIN, "yards")
    assert found is not None
    return found


def advised(length: int, *trouble: Trouble, level: float = 19, **rest: Any) -> Advice:
    one = HoleToPlan(hole=Hole(16, 3, 16), length=length, described=Described(number=16, trouble=trouble, **rest))
    return advice_for(Known(holes=(one,), unit="yards", carries=BAG, level=level, liked=80))[16]


@pytest.mark.parametrize(
    ("rise", "club", "ends"),
    [(-10, "9 iron", (105 + 10) * 1.04), (0, "8 iron", 115 * 1.04), (8, "7 iron", (125 - 8) * 1.04)],
)
def test_the_climb_to_the_green_takes_its_club(rise: int, club: str, ends: float) -> None:
    """By hand, 120 yards: a yard for a yard, and an iron rolls 4 % of what is left of its carry.

    The plan goes on from the same place.
    """
    best = chosen(120, rise_to_green=rise).best
    assert (best.club.name, best.left) == (club, pytest.approx(abs(ends - 120)))
    found = approach_from(
        *(120, Described(number=16, rise_to_green=rise), 120, 3, BAG, 19, PLAIN, "yards", None), best.club.name
    )
    assert found is not None
    assert (found.club, found.reaches, found.plays) == (best.club.name, True, 120 + rise)


def test_a_higher_green_never_gets_a_shorter_club() -> None:
    clubs = [chosen(120, rise_to_green=rise).best.club.carry for rise in range(-30, 31, 3)]
    assert clubs == sorted(clubs)
    assert clubs[0] < clubs[-1]


def test_the_height_of_the_landing_stands_in_for_that_of_the_green() -> None:
    """On a par 3 they are the same place; where both are known the green decides."""
    up = chosen(120, rise_to_green=12).best
    assert chosen(120, rise_to_landing=12).best == up
    assert chosen(120, rise_to_landing=0, rise_to_green=12).best == up


def test_the_habit_is_the_club_for_what_the_hole_plays() -> None:
    """130 is the 7 iron, 125 and its roll: who takes it anyway is saved nothing. Uphill it is the 6 iron."""
    level = advised(130)
    assert level.tee is not None
    assert (level.tee.club, level.tee.saves) == ("7 iron", 0)
    assert [chosen(130, rise_to_green=rise).habit.club.name for rise in (0, 12)] == ["7 iron", "6 iron"]


def test_water_that_no_club_clears_surely_is_stayed_short_of() -> None:
    """Carries of 140 and 155 where 152 are needed, and the dearer one is told with its price."""
    pond = Trouble(WATER, Side.ACROSS, 95, 152)
    found = chosen(165, pond, level=29)
    assert found.best.left > 165 - 95
    assert found.best.penalty_chance < 0.05
    assert " more in all." in found.price_of_boldness
    assert "in the penalty area across the hole" in found.price_of_boldness
    plan = advised(165, pond, level=29)
    assert plan.tee is not None
    assert plan.tee.saves > 0
    assert [shot.club for shot in plan.shots][0] == plan.tee.club == found.best.club.name
    assert plan.shots[0].leaves == plan.shots[1].covers == 5 * round(found.best.left / 5), "no lay-up of ten yards"


def test_short_of_a_bunker_only_when_that_costs_clearly_less() -> None:
    bunker = Trouble(BUNKER, Side.ACROSS, -26, -16, counted_from=GREEN)
    found = chosen(130, bunker)
    assert found.best.left < 14
    assert len(found.tried) > 2


rows = some.builds(
    lambda kind, side, begins, deep: Trouble(kind, side, begins, begins + deep, None if side == Side.ACROSS else 12),
    some.sampled_from(TroubleKind),
    some.sampled_from((Side.LEFT, Side.RIGHT, Side.ACROSS)),
    some.integers(10, 150),
    some.integers(0, 60),
)


@settings(max_examples=30, deadline=None)
@given(some.lists(rows, max_size=3), some.integers(80, 240), some.floats(0, 40), some.integers(-30, 30))
def test_laws_of_any_par_three(trouble: list[Trouble], length: int, level: float, rise: int) -> None:
    """One arithmetic: no club that was tried is clearly cheaper, and the plan plays the club that is named."""
    found = chosen(length, *trouble, level=level, rise_to_green=rise)
    costs = [shot.cost + 0.25 * shot.penalty_chance for shot in found.tried]
    assert found.best.cost + 0.25 * found.best.penalty_chance < min(costs) + 0.101
    assert found.habit.left == min(shot.left for shot in found.tried)
    assert all(meeting.lost > -0.5 and 0 < meeting.chance <= 1 for shot in found.tried for meeting in shot.meets)
    plan = advised(length, *trouble, level=level, rise_to_green=rise)
    assert plan.tee is not None
    assert plan.shots[0].club == plan.tee.club == found.best.club.name
    assert plan.shots[0].leaves == 0 or abs(plan.shots[0].leaves - found.best.left) <= 2.5
