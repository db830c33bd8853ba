"""Tee shots: worked by hand, drawn at random beside the closed form, laws for any spread, and what practice says."""

import math
import random
from dataclasses import replace
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from league.estimates.carries import Carry, carries_of, published_drive, starter_set
from league.estimates.clubs import Tee, TeeShot, best_with, shot_of
from league.estimates.conditions import Conditions
from league.estimates.green import Green, chance_on
from league.estimates.landing import Landing, between, landing_of, middle_between
from league.estimates.strokes_left import strokes_left
from league.estimates.tee_shots import Choice, best_tee_shot
from league.estimates.zones import half_width, line_of, zones_of
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width, in_unit

ORDINARY = Conditions()
AGAINST = Conditions(wind_speed="moderate", wind_from="ahead")
BAG = carries_of([(club, ()) for club in starter_set(published_drive("men", 18))], 19)
WATER, OUT, BUNKER = TroubleKind.PENALTY_AREA, TroubleKind.OUT_OF_BOUNDS, TroubleKind.BUNKER

spreads = some.floats(4, 40)
levels = some.floats(0, 40)


def iron(carry: float = 200, long_sd: float = 20, wide_sd: float = 6, curve: float = 0, name: str = "3 iron") -> Carry:
    return Carry(name, "iron", carry, long_sd, wide_sd, curve)


def hole(*trouble: Trouble, **rest: object) -> Described:
    return Described(number=4, trouble=trouble, **rest)  # type: ignore[arg-type]


def chosen_on(
    described: Described, length: int = 380, par: int = 4, level: float = 19, bag: tuple[Carry, ...] = BAG
) -> Choice:
    choice = best_tee_shot(described, length, par, bag, level, ORDINARY, "yards")
    assert choice is not None
    return choice


def shot(described: Described, club: Carry, across: float = 0, length: int = 380, level: float = 19) -> TeeShot:
    return shot_of(club, Tee(described, length, level, ORDINARY, "yards"), across)


# By hand.


def test_the_chance_of_a_rectangle_is_a_product_of_two_normals() -> None:
    """One spread to either side in both: 0.6827 x 0.6827 of the table of the normal distribution."""
    assert Landing(200, 0, 20, 25, 0).chance_in(180, 220, -25, 25) == pytest.approx(0.6827**2, abs=1e-4)


def test_the_middle_of_the_upper_half_of_a_normal() -> None:
    """The square root of 2 over pi."""
    assert middle_between(0, 1, 0, math.inf) == pytest.approx(math.sqrt(2 / math.pi))


def test_what_lands_short_runs_in() -> None:
    """An iron of 200 rolls 8 (4 %): 192 to 240 counts, 0.4 of a spread short of the middle to 2 beyond: 0.6554 -
    0.0228.
    """
    landing = landing_of(iron(), ORDINARY)
    assert landing.run == pytest.approx(8)
    assert landing.chance_in(200, 240, -math.inf, math.inf) == pytest.approx(0.9772 - 0.3446, abs=1e-4)


def test_the_cost_of_out_of_bounds_is_stroke_and_distance() -> None:
    """One shot in two goes out, and a good one needs two tries in the mean, the failed one costing two strokes.

    c = 1 + (1 + c) / 2 + left / 2, so c = 3 + left; left is 380 - 208 = 172 from short grass.
    """
    out = Trouble(OUT, Side.RIGHT, 0, 380, off_line=0)
    told = shot(hole(out), iron(wide_sd=6, long_sd=1))
    assert told.meets[0].chance == pytest.approx(0.5)
    assert told.cost == pytest.approx(3 + strokes_left(172, 19, "yards"))


def test_the_cost_of_a_penalty_area_across_is_a_stroke_and_a_drop_before_it() -> None:
    """A carry of 200 spread by 20 over water from 1 to 180: it fails by one spread, 0.158655 of the normal table.

    Those balls carry 200 - 20 x 0.24197 / 0.158655 = 169.5 in the mean and would have left 380 - 177.5 = 202.5; instead
    they are dropped 379 from the green, for a stroke.
    """
    told = shot(hole(Trouble(WATER, Side.ACROSS, 1, 180)), iron())
    good, short = strokes_left(172, 19, "yards"), strokes_left(202.5, 19, "yards")
    more = 1 + strokes_left(379, 19, "yards", "rough") - short
    assert told.meets[0].chance == pytest.approx(0.158655, abs=1e-5)
    assert told.meets[0].lost == pytest.approx(0.158655 * more, abs=1e-4)
    assert told.cost == pytest.approx(1 + good + 0.158655 * more, abs=1e-4)
    assert told.meets[0].words == "fails to clear the penalty area across the hole from 1 to 180 about 1 in 6"


def drawn_cost(described: Described, club: Carry, across: float, length: int = 380) -> float:
    """The same rules, one ball after the other; out of bounds is played again until it stays in."""
    chance, landing, n = random.Random(3), landing_of(club, ORDINARY).aimed(across), 20_000
    strokes = 0.0
    for _ in range(n):
        while True:
            strokes += 1
            along, off = chance.gauss(landing.along, landing.long_sd), chance.gauss(landing.across, landing.wide_sd)
            met = [
                one
                for one in zones_of(described, line_of(described, length), "yards")
                if one.begins - landing.run <= along < one.ends and one.left <= off < one.right
            ]
            kind = described.trouble[met[0].place].kind if met else None
            if kind != OUT:
                break
            strokes += 1
        left = length - along - landing.run
        if met and kind == WATER and described.trouble[met[0].place].side == Side.ACROSS:
            strokes += 1 + strokes_left(length - met[0].begins, 19, "yards", "rough")
        elif met:
            at = length - min(max(along, met[0].begins), met[0].ends)
            strokes += (
                (1 + strokes_left(at, 19, "yards", "rough")) if kind == WATER else strokes_left(at, 19, "yards", "sand")
            )
        else:
            strokes += strokes_left(left, 19, "yards")
    return strokes / n


@pytest.mark.parametrize(
    "rows",
    [
        (Trouble(WATER, Side.RIGHT, 170, 240, off_line=18), Trouble(OUT, Side.LEFT, 0, 380, off_line=30)),
        (Trouble(WATER, Side.ACROSS, 150, 178), Trouble(BUNKER, Side.LEFT, 190, 230, off_line=8, depth=15)),
        (Trouble(OUT, Side.RIGHT, 150, 300, off_line=12), Trouble(WATER, Side.LEFT, 160, 260, off_line=10)),
    ],
)
def test_the_cost_is_what_playing_it_often_gives(rows: tuple[Trouble, ...]) -> None:
    told = shot(hole(*rows), iron(), across=4)
    assert told.cost == pytest.approx(drawn_cost(hole(*rows), iron(), 4), abs=0.03)


def test_a_bend_is_seen_along_its_second_part() -> None:
    """200 on a hole that turns right by 90 degrees at 150: 50 through the bend, which is 50 left of the new line."""
    seen = Landing(200, 10, 20, 5, 0).seen_past(150, math.radians(90))
    assert (seen.along, seen.across) == (pytest.approx(160), pytest.approx(-50))
    assert (seen.long_sd, seen.wide_sd) == (pytest.approx(5), pytest.approx(20))


def test_what_is_left_past_a_bend_is_as_the_crow_flies() -> None:
    """Through a right angle by 30, the green 40 farther on to the right: 50."""
    bent = hole(bend_to=Side.RIGHT, bend_at=178, bend_degrees=90)
    assert shot(bent, iron(), length=218).left == pytest.approx(50)


def test_trouble_through_the_bend_is_cut_in_two() -> None:
    """A right angle left: 20 off the line both parts stop 20 from the bend on the left, reach on right."""
    inside = Trouble(TroubleKind.TREES, Side.LEFT, 100, 300, off_line=20)
    outside = Trouble(TroubleKind.TREES, Side.RIGHT, 100, 300, off_line=20)
    bent = hole(inside, outside, bend_to=Side.LEFT, bend_at=200, bend_degrees=90)
    reaches = [(zone.begins, zone.ends) for zone in zones_of(bent, line_of(bent, 400), "yards")]
    assert reaches == [pytest.approx(pair) for pair in ((100, 180), (220, 300), (100, 220), (180, 300))]


def test_widths_between_two_rows_lie_on_a_straight_line() -> None:
    described = hole(widths=(Width(150, 40), Width(200, 30)))
    assert [half_width(described, at) for at in (100, 175, 300)] == [20, 17.5, 15]


# Drawn at random beside the closed form.


def drawn(landing: Landing, n: int = 40_000) -> list[tuple[float, float]]:
    chance = random.Random(14)
    return [
        (chance.gauss(landing.along, landing.long_sd), chance.gauss(landing.across, landing.wide_sd)) for _ in range(n)
    ]


@pytest.mark.parametrize(
    ("begins", "ends", "left", "right"),
    [(170, 240, 18, math.inf), (150, 205, -30, -10), (0, 185, -math.inf, math.inf), (195, 225, -12, 12)],
)
def test_the_closed_form_is_what_drawing_gives(begins: float, ends: float, left: float, right: float) -> None:
    """A draw is in when it stops or passes over the ground in it: lands before its end, stops after its beginning."""
    landing = landing_of(iron(curve=15), ORDINARY).aimed(6)
    hits = sum(
        along < ends and along + landing.run >= begins and left <= across < right for along, across in drawn(landing)
    )
    assert landing.chance_in(begins, ends, left, right) == pytest.approx(hits / 40_000, abs=0.0075)


@pytest.mark.parametrize("degrees", [30, 60, 90])
def test_past_a_bend_the_closed_form_is_near_what_drawing_gives(degrees: int) -> None:
    """Trees from the bend on, 15 outside the line. Not exact: the spreads hang together there."""
    turn, bend = math.radians(degrees), 190
    landing = Landing(205, 0, 18, 20, 0)
    hits = 0
    for along, across in drawn(landing):
        off = -(along - bend) * math.sin(turn) + across * math.cos(turn)
        on = bend + (along - bend) * math.cos(turn) + across * math.sin(turn)
        hits += 150 <= on < 300 and off < -15
    assert landing.seen_past(bend, turn).chance_in(150, 300, -math.inf, -15) == pytest.approx(hits / 40_000, abs=0.02)


# Laws.


@settings(deadline=None)
@given(spreads, spreads, some.floats(2, 12), some.floats(2, 12), some.integers(5, 40))
def test_more_spread_never_lowers_the_risk_of_trouble_on_a_straight_hole(
    long: float, longer: float, wide: float, wider: float, off_line: int
) -> None:
    beside = hole(
        Trouble(WATER, Side.RIGHT, 0, 380, off_line=off_line), Trouble(OUT, Side.LEFT, 0, 380, off_line=off_line)
    )
    narrow, broad = sorted((wide, wider))
    risks = [sum(one.chance for one in shot(beside, iron(long_sd=1, wide_sd=sd)).meets) for sd in (narrow, broad)]
    assert risks[0] <= risks[1] + 0.02, "chances under one in a hundred are not named"
    across = hole(Trouble(WATER, Side.ACROSS, 1, 185))
    near, far = sorted((long, longer))
    short = [sum(one.chance for one in shot(across, iron(long_sd=sd)).meets) for sd in (near, far)]
    assert short[0] <= short[1] + 0.01


troubles = some.builds(
    lambda kind, side, begins, deep, off: Trouble(
        kind, side, begins, begins + deep, None if side == Side.ACROSS else off
    ),
    some.sampled_from(TroubleKind),
    some.sampled_from((Side.LEFT, Side.RIGHT, Side.ACROSS)),
    some.integers(60, 250),
    some.integers(0, 150),
    some.integers(0, 40),
)


@settings(deadline=None)
@given(
    some.lists(some.integers(120, 260), min_size=2, max_size=6, unique=True),
    some.integers(300, 560),
    some.lists(troubles, max_size=3),
    some.integers(-30, 30),
    some.sampled_from((ORDINARY, AGAINST, Conditions(wind_speed="strong", wind_from="left", ground="hard"))),
)
def test_a_longer_club_never_leaves_more(
    lengths: list[int], length: int, rows: list[Trouble], rise: int, day: Conditions
) -> None:
    """On any straight hole, whatever stands there, however it climbs and the wind blows."""
    bag = tuple(iron(carry=carry, name=f"club {carry}") for carry in lengths)
    choice = best_tee_shot(hole(*rows, rise_to_landing=rise), length, 4, bag, 19, day, "yards")
    assert choice is not None
    short = [one for one in choice.tried if one.today.carry * 1.08 <= length]
    assert [one.club.carry for one in choice.tried] == sorted((one.club.carry for one in choice.tried), reverse=True)
    assert [one.left for one in short] == sorted(one.left for one in short)


@settings(deadline=None)
@given(some.integers(150, 230), some.integers(10, 60))
def test_short_of_a_bend_a_longer_club_never_leaves_more(bend_at: int, degrees: int) -> None:
    bent = hole(bend_to=Side.LEFT, bend_at=bend_at, bend_degrees=degrees, widths=(Width(150, 40),))
    short = [one for one in chosen_on(bent, 440).tried if one.today.carry * 1.08 <= bend_at]
    assert [one.left for one in short] == sorted(one.left for one in short)


def dreaded(one: TeeShot) -> float:
    """The trade-off: a quarter of a stroke for every penalty on top of what it costs."""
    return one.cost + 0.25 * one.penalty_chance


@settings(deadline=None)
@given(some.lists(troubles, max_size=4), levels, some.integers(300, 560))
def test_trouble_never_makes_a_hole_cheaper(rows: list[Trouble], level: float, length: int) -> None:
    """And no shot costs less than itself and the best that it can leave."""
    free, troubled = chosen_on(hole(), length, level=level), chosen_on(hole(*rows), length, level=level)
    before = {one.club.name: one.cost for one in free.tried}
    for after in troubled.tried:
        assert after.cost >= before.get(after.club.name, 0.0) - 1e-6
        assert after.cost >= 1 + strokes_left(after.left, level, "yards") - 1e-9
        assert all(0 < meeting.chance <= 1 for meeting in after.meets)
    assert min(map(dreaded, troubled.tried)) == pytest.approx(dreaded(troubled.best))


@settings(deadline=None)
@given(some.lists(troubles, max_size=3), some.integers(320, 520))
def test_left_and_right_are_alike(rows: list[Trouble], length: int) -> None:
    other = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.ACROSS: Side.ACROSS}
    mirrored = [Trouble(row.kind, other[row.side], row.begins, row.ends, row.off_line) for row in rows]
    here, there = chosen_on(hole(*rows), length), chosen_on(hole(*mirrored), length)
    assert [one.cost for one in here.tried] == pytest.approx([one.cost for one in there.tried], abs=1e-3)


def test_yards_and_metres_tell_the_same() -> None:
    described = hole(Trouble(WATER, Side.RIGHT, 170, 240, off_line=18), Trouble(OUT, Side.LEFT, 0, 380, off_line=30))
    metres = tuple(Carry(one.name, one.kind, one.carry * 0.9144, one.long_sd * 0.9144, one.wide_sd) for one in BAG)
    there = best_tee_shot(in_unit(described, "yards", "metres"), 347, 4, metres, 19, ORDINARY, "metres")
    here = chosen_on(described)
    assert there is not None
    assert there.best.club.name == here.best.club.name
    assert there.best.cost == pytest.approx(here.best.cost, abs=0.03)


# What is chosen, and what is said.


def test_without_trouble_the_longest_club_goes_down_the_middle() -> None:
    told = chosen_on(hole())
    assert (told.best.club.name, told.best.aim) == ("driver", 0)
    assert told.price_of_boldness.endswith("the longer club pays here.")
    assert "No trouble is described: that there is none is not known." in told.unknown


def test_clubs_that_go_less_than_six_tenths_of_the_longest_are_not_tried() -> None:
    """But one that is wanted to stay short of what crosses."""
    tried = [one.club.carry for one in chosen_on(hole()).tried]
    shorter = [club.carry for club in BAG if club.carry < 0.6 * tried[0]]
    assert min(tried) >= 0.6 * tried[0] > max(shorter)
    crossed = chosen_on(hole(Trouble(WATER, Side.ACROSS, max(map(int, shorter)) + 30, 260))).tried
    assert min(one.club.carry for one in crossed) in shorter


def test_the_aim_leaves_the_trouble() -> None:
    right = best_with(BAG[0], Tee(hole(Trouble(WATER, Side.RIGHT, 150, 260, off_line=15)), 380, 19, ORDINARY, "yards"))
    assert right.ends_off < 0


def test_a_curve_is_aimed_for_not_exaggerated() -> None:
    """Common practice. A ball that ends 15 right of its line starts 15 left and ends in the middle, no dearer."""
    straight, curving = shot(hole(), iron()), shot(hole(), iron(curve=15))
    assert (curving.aim, curving.ends_off) == (-15, 0)
    assert curving.cost == pytest.approx(straight.cost)
    assert "start it 15 left of the middle, to end in the middle" in curving.words


def test_boldness_has_its_price_in_one_sentence() -> None:
    tight = hole(Trouble(WATER, Side.RIGHT, 170, 240, off_line=15), Trouble(WATER, Side.LEFT, 175, 240, off_line=15))
    told = chosen_on(tight)
    assert told.best.club.name != "driver"
    assert "less and costs" in told.price_of_boldness
    assert "in the penalty area" in told.price_of_boldness
    assert told.runner_up is not None
    assert told.runner_up.club != told.best.club


def test_the_next_best_club_is_named_with_its_price_once() -> None:
    """Beside the bold club where it is another; where the bold one is next best it is said in the same sentence."""
    both = hole(Trouble(WATER, Side.RIGHT, 170, 240, off_line=15), Trouble(WATER, Side.LEFT, 175, 240, off_line=15))
    for told in (chosen_on(both), chosen_on(hole()), chosen_on(hole(), 150, 3)):
        assert told.runner_up is not None
        named = told.price_of_boldness.partition("Next best: ")[2]
        assert named.startswith(told.runner_up.club.name)
        assert " costs " in named
        assert told.price_of_boldness.count(told.runner_up.club.name) == 1


def test_a_price_that_no_trouble_asks_says_what_does() -> None:
    """A longer club over a green that is hard from behind: what costs is where it comes to rest."""
    told = chosen_on(replace(hole(), hard_chip_from=(Side.LONG,)), 150, 3)
    assert " more, most of it by where it comes to rest." in told.price_of_boldness


def test_a_carry_that_fails_too_often_is_not_taken_on() -> None:
    """Against the wind water to 165 stops one drive in three: the drive saves a twentieth of a stroke, not enough."""
    told = best_tee_shot(hole(Trouble(WATER, Side.ACROSS, 140, 165)), 527, 5, BAG, 19, AGAINST, "yards")
    assert told is not None
    assert told.best.club.name == "7 iron"
    assert told.price_of_boldness == (
        "Next best: driver leaves 70 less and costs half a stroke in the penalty area across the hole, "
        "a twentieth of a stroke less in all: too little for its penalties."
    )


def test_two_penalty_areas_are_reason_enough_to_protect() -> None:
    """Common practice: said beside the arithmetic, whatever that takes."""
    tight = [Trouble(WATER, side, 170, 240, off_line=15) for side in (Side.LEFT, Side.RIGHT)]
    wide = [Trouble(WATER, side, 170, 240, off_line=60) for side in (Side.LEFT, Side.RIGHT)]
    agreed, other = chosen_on(hole(*tight)), chosen_on(hole(*wide))
    assert "The arithmetic agrees" in agreed.practice[0]
    assert "The arithmetic still takes driver" in other.practice[0]
    assert not chosen_on(hole(tight[0])).practice


def test_where_practice_and_arithmetic_disagree_the_protecting_club_has_its_price() -> None:
    wide = [Trouble(WATER, side, 170, 240, off_line=40) for side in (Side.LEFT, Side.RIGHT)]
    told = chosen_on(hole(*wide))
    safest = min(told.tried[1:], key=lambda one: (round(one.penalty_chance, 2), one.cost))
    assert told.best is told.tried[0]
    assert told.practice[0].endswith(" more.")
    assert f". {safest.club.name.capitalize()} meets one " in told.practice[0]


def test_two_rows_of_one_area_are_one_area_to_the_tee_shot_too() -> None:
    one_pond = (Trouble(WATER, Side.RIGHT, 100, 180, off_line=30), Trouble(WATER, Side.RIGHT, 170, 240, off_line=40))
    assert not chosen_on(hole(*one_pond)).practice


def test_the_reason_of_a_forced_carry_names_the_club_that_stays_short() -> None:
    """The driver carries 190: 175 is near it, and 165 of water against the wind is not taken on."""
    bold = chosen_on(hole(Trouble(WATER, Side.ACROSS, 150, 172)))
    assert bold.forced_carry == (
        "The carry over what crosses is 172 yards, near the 190 that driver carries here (common practice)."
    )
    kept = best_tee_shot(hole(Trouble(WATER, Side.ACROSS, 140, 165)), 527, 5, BAG, 19, AGAINST, "yards")
    assert kept is not None
    assert kept.forced_carry == (
        "The carry over what crosses is 165 yards, near the 173 that driver carries here (common practice), "
        "so the 7 iron stays short."
    )


def test_sand_across_is_no_forced_carry() -> None:
    told = chosen_on(hole(Trouble(BUNKER, Side.ACROSS, 150, 172)))
    assert not told.forced_carry
    assert not told.practice


def test_a_forced_carry_near_the_usual_carry_is_trouble() -> None:
    """Common practice: poor strikes come up shorter than good ones."""
    near = chosen_on(hole(Trouble(WATER, Side.ACROSS, 150, 172)))
    assert near.best.club.name == "driver"
    assert near.practice[0].startswith("Clearing the penalty area across the hole from 150 to 172 is near the 190")
    assert "7 iron stays short of it and costs a third of a stroke more." in near.practice[0]
    assert not chosen_on(hole(Trouble(WATER, Side.ACROSS, 60, 100))).practice


def test_short_of_the_bunkers_of_a_par_3_or_past_them() -> None:
    """Water before the green costs more than a longer club: more of it than the number says (common practice)."""
    guarded = hole(Trouble(WATER, Side.ACROSS, -40, -20, counted_from=CountedFrom.GREEN))
    open_green, wet = chosen_on(hole(), 150, 3), chosen_on(guarded, 150, 3)
    assert wet.best.club.carry > open_green.best.club.carry


def test_water_that_no_club_clears_is_laid_up_to_on_a_par_3_too() -> None:
    """The longest carries 140 where 148 are needed."""
    bag = carries_of([(club, ()) for club in starter_set(150)], 29)
    told = chosen_on(hole(Trouble(WATER, Side.ACROSS, 95, 148)), 163, 3, 29, bag)
    assert told.best.club.carry < 95
    assert told.best.penalty_chance < 0.05
    assert told.tried[0].club.name == "driver"
    assert told.price_of_boldness.startswith("Next best: driver ends 10 short of the middle of the green and costs")


def test_the_green_is_hit_as_often_as_published() -> None:
    """Common practice: a player around 90 hits a green from 130 to 140 one time in three or four.

    Of the good strikes, 0.655 of all, some 0.4 with spreads of 11.5 and 15.1. What a par 3 costs then: on it two putts
    and some, beside it a chip and two; and from where the poor ones come up, 47, 81 and 108 yards on.
    """
    told = shot(hole(), Carry("7 iron", "iron", 130, 11.05, 6.375), length=135)
    green = chance_on(Green(28, 26), 0.2, 11.05, 0, 15.1)
    assert 1 / 4 <= 0.655 * green <= 1 / 3
    on, off = strokes_left(7, 19, "yards", "green"), strokes_left(18, 19, "yards")
    poor = fmean(strokes_left(135 - gone, 19, "yards") for gone in (47, 81, 108))
    assert told.cost == pytest.approx(1 + 0.655 * (green * on + (1 - green) * off) + 0.345 * poor, abs=0.05)


def test_between_two_clubs_of_one_spread_the_one_that_ends_by_the_middle_costs_less() -> None:
    """And it gets dearer to either side, but for steps of less than a hundredth."""
    tee = Tee(hole(green_depth=24, green_width=20), 128, 19, ORDINARY, "yards")
    costs = [shot_of(iron(carry, 10, 6), tee, 0).cost for carry in range(100, 147)]
    lowest = costs.index(min(costs))
    assert abs((100 + lowest) * 1.04 - 128) < 4
    outwards = zip([*costs[1 : lowest + 1], *costs[lowest:-1]], [*costs[:lowest], *costs[lowest + 1 :]], strict=True)
    assert all(nearer < farther + 0.01 for nearer, farther in outwards)


def test_what_is_not_known_is_said() -> None:
    told = chosen_on(hole(Trouble(BUNKER, Side.LEFT, 180, 200), bend_to=Side.LEFT, bend_at=230))
    said = " ".join(told.unknown)
    assert "How far off the line the bunker on the left from 180 to 200 begins is not described." in said
    assert "taken as 45 degrees" in said
    assert "No width is described" in said
    assert "published figures" in said


def test_an_empty_carry_book_has_no_tee_shot() -> None:
    assert best_tee_shot(hole(), 380, 4, (), 19, ORDINARY, "yards") is None


def test_between_is_all_or_nothing_without_a_spread() -> None:
    assert (between(5, 0, 0, 10), between(15, 0, 0, 10)) == (1, 0)
