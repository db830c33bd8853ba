"""Carries and what the day does to them: worked by hand, and laws that hold for any club."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from league.estimates.carries import (
    DRIVES,
    Carry,
    Measured,
    Typed,
    carries_of,
    carry_of,
    four_in_five,
    published_drive,
    published_wide,
    starter_set,
    sure_of,
)
from league.estimates.conditions import Conditions, carry_today, playing_length, run

distances = some.integers(60, 260)
shots = some.lists(some.builds(Measured, distances, some.none() | some.integers(-40, 40)), max_size=12)


def known(typed: Typed, measured: list[Measured] | None = None, level: float | None = 19.0) -> Carry:
    found = carry_of(typed, measured or [], level)
    assert found is not None
    return found


def test_a_typed_carry_weighs_as_much_as_five_shots() -> None:
    """By hand: (5 x 150 + 140 + 140 + 145) / 8 = 1175 / 8."""
    told = known(Typed("7 iron", "iron", carry=150), [Measured(140), Measured(140), Measured(145)])
    assert told.carry == pytest.approx(1175 / 8)
    assert (told.n_shots, told.is_published) == (3, True)


def test_a_typed_spread_weighs_as_much_as_ten_shots() -> None:
    """By hand: two shots 10 to either side of their mean; sqrt((10 x 8^2 + 200) / 11)."""
    told = known(Typed("7 iron", "iron", carry=150, long=8, wide=6), [Measured(140), Measured(160)])
    assert told.long_sd == pytest.approx(math.sqrt(840 / 11))
    assert not told.is_published


def test_the_directions_lie_within_the_published_ranges() -> None:
    """Broadie, "Every Shot Counts", figure 6.3 as a reader describes it: tour 3-4, around 80 4-9, around 100 5-11."""
    for level, lowest, highest in ((-6.0, 3, 4), (9.0, 4, 9), (29.0, 5, 11)):
        assert lowest <= published_wide("driver", level) <= highest


def test_drives_are_those_of_the_distance_report() -> None:
    """Men and women, averages by handicap: report of the governing bodies on distance, as a magazine gives it."""
    assert [published_drive("men", index) for index in (5, 12, 20, 21)] == [240, 220, 204, 187]
    assert [published_drive("women", index) for index in (5, 12, 20, 28, 29)] == [196, 178, 153, 138, 118]
    assert set(DRIVES) == {"men", "women"}


def test_a_club_is_not_known_from_two_shots_and_a_putter_never() -> None:
    assert carry_of(Typed("7 iron", "iron"), [Measured(140)] * 2) is None
    assert carry_of(Typed("7 iron", "iron"), [Measured(140)] * 3) is not None
    assert carry_of(Typed("putter", "putter", carry=10)) is None


def test_a_topped_shot_counts_but_does_not_decide() -> None:
    good = [Measured(150)] * 11
    without, with_one = known(Typed("7 iron", "iron"), good), known(Typed("7 iron", "iron"), [*good, Measured(20)])
    assert without.carry > with_one.carry > without.carry - 5
    assert with_one.long_sd > without.long_sd


def test_a_topped_shot_counts_as_three_spreads_short() -> None:
    """By hand: with a spread of 10 one of 20 among eleven of 150 counts as 120; (11 x 150 + 120) / 12."""
    told = known(Typed("7 iron", "iron", long=10), [Measured(150)] * 11 + [Measured(20)])
    assert told.carry == pytest.approx(147.5)


@given(distances, shots)
def test_the_carry_lies_between_what_was_typed_and_what_was_measured(typed: int, measured: list[Measured]) -> None:
    told = known(Typed("club", "iron", carry=typed), measured)
    every = [typed, *(shot.carry for shot in measured)]
    assert min(every) - 1e-9 <= told.carry <= max(every) + 1e-9
    low, high = four_in_five(told)
    assert low <= told.carry <= high
    assert sure_of(told, has_typed=True).low <= told.carry


@given(distances, shots)
def test_a_unit_changes_nothing_but_the_unit(typed: int, measured: list[Measured]) -> None:
    yards = known(Typed("club", "iron", carry=typed), measured)
    other = [Measured(shot.carry * 2, None if shot.off_line is None else shot.off_line * 2) for shot in measured]
    doubled = known(Typed("club", "iron", carry=typed * 2), other)
    assert doubled.carry == pytest.approx(2 * yards.carry)
    assert doubled.long_sd == pytest.approx(2 * yards.long_sd)
    assert doubled.wide_sd == pytest.approx(yards.wide_sd)
    assert doubled.curve == pytest.approx(2 * yards.curve)


def test_a_starter_set_goes_down_in_carry_and_up_in_loft() -> None:
    clubs = carries_of((typed, []) for typed in starter_set(204))
    assert [one.carry for one in clubs] == sorted((one.carry for one in clubs), reverse=True)
    lofts = [one.loft for one in clubs if one.loft is not None]
    assert lofts == sorted(lofts)
    assert len(lofts) == len(clubs)
    assert all(one.is_published for one in clubs)


def test_cool_air_slightly_uphill_plays_as_golfers_say() -> None:
    """Common practice: 115 yards slightly uphill in cool air may play 120."""
    assert playing_length(115, Conditions(temperature_c=10), rise=3).distance == pytest.approx(120, abs=0.5)


@pytest.mark.parametrize(
    ("day", "plays"),
    [
        ({"altitude_m": 300}, 148.5),
        ({"altitude_m": -300}, 151.5),
        ({"wind_speed": "moderate", "wind_from": "ahead"}, 165),
        ({"wind_speed": "strong", "wind_from": "behind"}, 135),
        ({"wind_speed": "strong", "wind_from": "left"}, 150),
        ({"ground": "soft"}, 151.5),
        ({"ground": "hard"}, 148.5),
    ],
)
def test_what_a_day_makes_of_150_by_hand(day: dict[str, Any], plays: float) -> None:
    """0.33 % for 100 metres; 1 % against and half of that with the wind, a mile an hour; 1 % for the ground."""
    assert playing_length(150, Conditions(**day)).distance == pytest.approx(plays, abs=0.051)


@given(distances, some.floats(-10, 45), some.floats(-10, 45))
def test_colder_air_never_plays_shorter(distance: int, one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    colder = playing_length(distance, Conditions(temperature_c=cold)).distance
    assert colder >= playing_length(distance, Conditions(temperature_c=warm)).distance


@given(distances, some.integers(-30, 30))
def test_a_hole_that_rises_more_plays_longer(distance: int, rise: int) -> None:
    day = Conditions(wind_speed="light", wind_from="behind")
    assert playing_length(distance, day, rise + 1).distance > playing_length(distance, day, rise).distance


@given(distances)
def test_more_wind_moves_a_carry_more_and_back_again_where_it_comes_from(carry: int) -> None:
    club = known(Typed("club", "iron", carry=carry))
    speeds = ("light", "moderate", "strong")
    for wind_from, sign in (("ahead", -1), ("behind", 1)):
        carries = [carry_today(club, Conditions(wind_speed=speed, wind_from=wind_from)).carry for speed in speeds]
        assert sorted(carries, key=lambda length: sign * length) == carries
    curves = [carry_today(club, Conditions(wind_speed=speed, wind_from="left")).curve for speed in speeds]
    assert curves == sorted(curves)
    assert curves[0] > 0
    assert carry_today(club, Conditions(wind_speed="light", wind_from="right")).curve == pytest.approx(-curves[0])


def test_hard_ground_rolls_farther_than_soft() -> None:
    soft, usual, hard = (run(200, "driver", Conditions(ground=ground)) for ground in ("soft", "", "hard"))
    assert (soft, usual, hard) == pytest.approx((200 * 0.08 * 0.4, 200 * 0.08, 200 * 0.08 * 2))


@pytest.mark.parametrize(
    "changes", [{"temperature_c": 60}, {"altitude_m": 9000}, {"wind_from": "north"}, {"ground": "wet"}]
)
def test_a_day_out_of_bounds_is_refused(changes: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=next(iter(changes))):
        Conditions(**changes)  # type: ignore[arg-type]
