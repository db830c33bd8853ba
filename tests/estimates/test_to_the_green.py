"""What a plan says from where the tee shot ends: shot by shot to the green, and the rules on the way."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from league.estimates.advice import advice_for
from league.estimates.carries import carries_of, starter_set
from league.estimates.plan import Advice, ApproachAdvice, HoleToPlan, Known, RuleAdvice
from league.estimates.strokes_left import strokes_left
from league.estimates.to_the_green import advice_from
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind
from league.rules.scorecard import Hole

BAG = carries_of([(club, ()) for club in starter_set(204)], 19)
TREES = Trouble(TroubleKind.TREES, Side.LEFT, 180, 260, off_line=25)
FALL = Trouble(TroubleKind.FALL_OFF, Side.RIGHT, 150, 220, off_line=20)
POND = Trouble(TroubleKind.PENALTY_AREA, Side.ACROSS, -45, -18, counted_from=CountedFrom.GREEN)


def hole_of(par: int, length: int | None, **described: Any) -> HoleToPlan:
    return HoleToPlan(hole=Hole(7, par, 7), length=length, described=Described(number=7, **described))


def knowing(hole: HoleToPlan, level: float = 19.0, liked: int | None = 80) -> Known:
    return Known(holes=(hole,), unit="yards", carries=BAG, level=level, liked=liked)


def on(left: float, par: int = 4, length: int | None = 360, **described: Any) -> ApproachAdvice:
    hole = hole_of(par, length, **described)
    found = advice_from(left, hole, knowing(hole))
    assert found is not None
    return found


def whole(par: int, length: int, level: float = 19.0, liked: int | None = 80, **described: Any) -> Advice:
    return advice_for(knowing(hole_of(par, length, **described), level, liked))[7]


def rule(found: ApproachAdvice, kind: str) -> RuleAdvice | None:
    return next((one for one in found.rules if one.kind == kind), None)


def test_the_green_in_reach_has_a_club_and_a_first_putt() -> None:
    found = on(135)
    assert found.club == "7 iron"
    assert found.words.startswith("135 yards: the 7 iron to the middle of the green.")
    last = found.shots[-1]
    assert last.chance_green is not None
    assert 0.25 < last.chance_green < 0.34
    putt = rule(found, "first_putt")
    assert putt is not None
    assert putt.words.startswith("Once on the green, from about 2")
    # The plan says itself that nothing is described.
    assert not [words for words in found.unknown if words.startswith("what trouble")]


def test_beside_the_green_the_least_lofted_club_and_the_putt_it_leaves() -> None:
    """Common practice, and said so; the distances are those of a usual miss here."""
    chip = rule(on(135), "chip")
    assert chip is not None
    assert "is the least lofted club that does it" in chip.words or "little green to roll on" in chip.words
    assert "common practice" in chip.rests_on
    large = rule(on(135, green_depth=44, green_width=40), "chip")
    assert large is not None
    assert "to leave a putt of about" in large.words


def test_out_of_reach_it_lays_up_to_what_the_player_likes() -> None:
    found = on(250, 5, 480)
    assert "out of reach" in found.words
    assert found.lay_up.startswith("Rather the 4 hybrid to the distance you like")
    assert (found.club, found.shots[0].club, found.shots[0].leaves) == ("4 hybrid", "4 hybrid", 85)
    dear = advice_from(220, hole_of(5, 480), knowing(hole_of(5, 480)))
    assert dear is not None
    assert dear.lay_up.startswith("Or the ")
    assert "Common practice lays up here" in dear.lay_up
    assert dear.shots[0].club == "5 wood"


def test_the_plan_carries_on_to_the_third_of_a_par_five() -> None:
    """Driver 190 and its roll, 5 wood 165 and its roll; the third from what is left, at the green with its odds."""
    found = whole(5, 500)
    assert [shot.club for shot in found.shots[:2]] == ["driver", "5 wood"]
    third = found.shots[2]
    assert (third.number, third.leaves) == (3, 0)
    assert third.covers == 500 - found.shots[0].covers - found.shots[1].covers
    assert third.words.startswith(f"{third.covers} yards: the ")
    assert third.chance_green is not None
    assert f"About {100 * third.chance_green:.0f} % end on the green" in third.words


def test_the_lay_up_is_taken_where_it_costs_clearly_less_and_the_next_shot_is_from_there() -> None:
    water = (Trouble(TroubleKind.PENALTY_AREA, Side.ACROSS, -60, -20, counted_from=CountedFrom.GREEN),)
    hole = hole_of(4, 390, trouble=water)
    found = advice_from(190, hole, knowing(hole))
    assert found is not None
    assert found.lay_up.startswith("Rather the ")
    assert found.shots[0].leaves >= 65
    assert found.shots[1].covers == found.shots[0].leaves


def test_a_short_third_is_a_chip_with_the_club_of_the_rule() -> None:
    chip = on(195, 4, 385).shots[-1]
    assert (chip.number, chip.covers) == (3, 18)
    near = on(20)
    assert near.shots[0].words.startswith("20 yards: a chip with the ")
    assert (near.shots[0].covers, near.shots[0].leaves) == (20, 0)
    told = rule(near, "chip")
    assert told is not None
    assert near.shots[0].club in told.words
    assert on(14, green_depth=28).shots[0].club == "putter"
    assert on(30).shots[0].words.startswith("30 yards: a chip with the ")
    assert "a chip" not in on(35).shots[0].words


@settings(max_examples=60, deadline=None)
@given(
    some.sampled_from((3, 4, 5)),
    some.integers(90, 620),
    some.floats(-6, 45),
    some.sampled_from((None, 60, 100)),
    some.lists(some.sampled_from((TREES, FALL, POND)), max_size=3, unique=True),
)
def test_the_shots_of_a_hole_add_up_to_its_length(
    par: int, length: int, level: float, liked: int | None, trouble: list[Trouble]
) -> None:
    found = whole(par, length, level, liked, trouble=tuple(trouble))
    assert sum(shot.covers for shot in found.shots) == length
    assert [shot.number for shot in found.shots] == list(range(1, len(found.shots) + 1))
    assert [shot.leaves for shot in found.shots][-1] == 0
    assert all(shot.leaves > 0 and shot.chance_green is None for shot in found.shots[:-1])
    lefts = [length, *(shot.leaves for shot in found.shots)]
    assert all(shot.covers == before - shot.leaves > 0 for shot, before in zip(found.shots, lefts, strict=False))


def test_rules_stand_where_they_are_wanted() -> None:
    near, wooded, steep = on(50), on(150, trouble=(TREES,)), on(150, trouble=(FALL,))
    three = rule(near, "three_more")
    assert three is not None
    assert "never worse than three" in three.words
    assert rule(near, "way_out") is None
    out, off = rule(wooded, "way_out"), rule(steep, "way_out")
    assert out is not None
    assert off is not None
    assert out.words.startswith("In the trees, 150 yards out: sideways to short grass leaves ")
    assert off.words.startswith("On the steep fall, 150 yards out: the short way back to short grass leaves ")
    assert "common practice" in out.rests_on
    assert all(one.rests_on for one in (*near.rules, *wooded.rules))


@pytest.mark.parametrize(
    ("trouble", "at"),
    [
        (Trouble(TroubleKind.TREES, Side.LEFT, 20, 120), 240),
        (Trouble(TroubleKind.TREES, Side.LEFT, 220, 300), 140),
        (Trouble(TroubleKind.TREES, Side.LEFT, -110, -70, counted_from=CountedFrom.GREEN), 110),
        (Trouble(TroubleKind.TREES, Side.LEFT, -40, 10, counted_from=CountedFrom.GREEN), None),
        (Trouble(TroubleKind.BUNKER, Side.LEFT, 180, 220), None),
    ],
)
def test_the_way_out_is_told_from_where_the_trouble_stands(trouble: Trouble, at: int | None) -> None:
    """By hand, on 360 yards with 150 left: the place in the trouble that is nearest to there; none round the green."""
    found = rule(on(150, trouble=(trouble,)), "way_out")
    assert (found is None) is (at is None)
    if found is not None:
        assert f", {at} yards out:" in found.words


def test_a_gap_is_worked_by_hand() -> None:
    """From 150 in the trees the gap brings three quarters of the way, 112.5: 37.5 are left, and as many yards of trees
    where it fails. The sure way gains nothing: (fails - sure) / (fails - works) is how often it must work.
    """
    fails, sure, works = (
        *(strokes_left(150, 19, "yards", "trees"), strokes_left(150, 19, "yards")),
        strokes_left(37.5, 19, "yards"),
    )
    found = rule(on(150, trouble=(TREES,)), "way_out")
    assert found is not None
    assert found.chance == pytest.approx((fails - sure) / (fails - works))
    assert f"leaves {sure:.1f} strokes; the gap {works:.1f} if it works and {fails:.1f} if not." in found.words
    far = rule(on(240, 5, 480, trouble=(Trouble(TroubleKind.TREES, Side.LEFT, 180, 260),)), "way_out")
    assert far is not None
    assert f"the gap {strokes_left(240 - 165, 19, 'yards'):.1f} if it works" in far.words, "no farther than the 5 wood"


def test_a_par_three_names_no_second_club() -> None:
    found = on(165, 3, 165, trouble=(POND,))
    assert found.club == ""
    assert found.lay_up == ""
    assert [shot.number for shot in found.shots] == [1]


def test_a_par_three_tells_the_chance_of_its_own_club_beside_the_usual_one() -> None:
    found = whole(3, 150, green_depth=20, green_width=18)
    assert found.tee is not None
    assert found.approach is not None
    own = found.shots[0].chance_green
    assert own is not None
    assert found.approach.words.startswith(
        f"The {found.tee.club}: about {100 * own:.0f} % end on this green. From 150 yards about 2"
    )


def test_without_a_carry_book_a_par_three_still_says_what_is_usual() -> None:
    hole = hole_of(3, 135)
    known = Known(holes=(hole,), unit="yards", level=19.0)
    found = advice_for(known)[7]
    assert found.tee is None
    assert found.approach is not None
    assert found.approach.words == "From 135 yards about 28 % of the shots at this level end on a usual green."
    assert advice_for(replace(known, level=None))[7].approach is None


def test_the_own_chance_of_the_green_stands_beside_the_usual_one() -> None:
    """With the published spreads they are the same, but for where the club ends."""
    assert on(135).words.endswith(" At this level 28 % is usual from there.")
    assert on(50).words.endswith("About 68 % end on the green. At this level 68 % is usual from there.")


def test_a_par_three_out_of_reach_goes_on() -> None:
    found = whole(3, 235)
    assert [shot.number for shot in found.shots] == [1, 2]
    assert found.tee is not None
    assert found.shots[0].club == found.tee.club


def test_without_a_length_there_is_nothing_to_say() -> None:
    hole = hole_of(4, None)
    assert advice_from(135, hole, knowing(hole)) is None


def test_the_plan_has_it_after_its_own_tee_shot() -> None:
    """The next shot is from where the advised tee shot ends."""
    found = whole(4, 340, trouble=(TREES,))
    assert found.tee is not None
    assert found.tee.left is not None
    assert found.approach is not None
    assert abs(found.shots[0].leaves - found.tee.left) <= 2.5
    assert found.approach.words.startswith(f"{found.shots[0].leaves} yards")
