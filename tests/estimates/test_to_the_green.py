"""What a plan says from where the tee shot ends."""

from typing import Any

from league.estimates.advice import advice_for
from league.estimates.carries import carries_of, starter_set
from league.estimates.plan import ApproachAdvice, HoleToPlan, Known
from league.estimates.to_the_green import advice_from
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind
from league.rules.scorecard import Hole

BAG = carries_of([(club, ()) for club in starter_set(204)], 19)
TREES = Trouble(TroubleKind.TREES, Side.LEFT, 180, 260, off_line=25)
POND = Trouble(TroubleKind.PENALTY_AREA, Side.ACROSS, -45, -18, counted_from=CountedFrom.GREEN)


def on(left: float, par: int = 4, length: int | None = 360, **described: Any) -> ApproachAdvice | None:
    hole = HoleToPlan(hole=Hole(7, par, 7), length=length, described=Described(number=7, **described))
    return advice_from(left, hole, Known(holes=(hole,), unit="yards", carries=BAG, level=19.0, liked=80))


def test_the_green_in_reach_has_a_club_and_a_first_putt() -> None:
    found = on(135)
    assert found is not None
    assert found.club == "7 iron"
    assert found.words.startswith("135 yards: the 7 iron to the middle of the green.")
    assert found.chance_green is not None
    assert 0.25 < found.chance_green < 0.34
    assert [words for words, _ in found.rules if "first putt" in words]
    # The plan says itself that nothing is described.
    assert not [words for words in found.unknown if words.startswith("what trouble")]


def test_out_of_reach_it_lays_up_to_what_the_player_likes() -> None:
    found = on(250, 5, 480)
    assert found is not None
    assert "out of reach" in found.words
    assert "the distance you like" in found.lay_up


def test_rules_stand_where_they_are_wanted() -> None:
    near, wooded = on(50), on(150, trouble=(TREES,))
    assert near is not None
    assert wooded is not None
    assert any("never worse than three" in words for words, _ in near.rules)
    assert any("Out of the trees" in words for words, _ in wooded.rules)
    assert not any("Out of the trees" in words for words, _ in near.rules)
    assert all(source for _, source in (*near.rules, *wooded.rules))


def test_a_par_three_names_no_second_club() -> None:
    found = on(165, 3, 165, trouble=(POND,))
    assert found is not None
    assert (found.club, found.aim) == ("", "")
    assert found.words.startswith("From 165 yards about")
    assert found.lay_up == "" or "less" in found.lay_up


def test_without_a_length_there_is_nothing_to_say() -> None:
    assert on(135, length=None) is None


def test_the_plan_has_it_after_its_own_tee_shot() -> None:
    """The approach is from where the advised tee shot ends."""
    hole = HoleToPlan(hole=Hole(7, 4, 7), length=340, described=Described(number=7, trouble=(TREES,)))
    told = advice_for(Known(holes=(hole,), unit="yards", carries=BAG, level=19.0))[7]
    assert told.tee is not None
    assert told.tee.left is not None
    assert told.approach is not None
    assert told.approach.words.startswith(f"{told.tee.left:.0f} yards")
