"""Described holes: moved to another tee, in the other unit, as plain values, and everything that is refused."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from league.rules import described
from league.rules.described import (
    CountedFrom,
    Described,
    Side,
    Trouble,
    TroubleKind,
    Width,
    as_plain,
    check,
    converted,
    from_plain,
    in_unit,
    moved_to,
)
from league.rules.errors import RuleBroken

SIDES = (Side.LEFT, Side.RIGHT, Side.ACROSS)


@st.composite
def troubles(draw):
    counted = draw(st.sampled_from(CountedFrom))
    low, high = (-60, 60) if counted == CountedFrom.GREEN else (0, 600)
    begins = draw(st.integers(low, high))
    side = draw(st.sampled_from(SIDES))
    off_line = 0 if side == Side.ACROSS else draw(st.none() | st.integers(0, 150))
    return Trouble(
        kind=draw(st.sampled_from(TroubleKind)),
        side=side,
        begins=begins,
        ends=draw(st.integers(begins, high)),
        off_line=off_line,
        depth=draw(st.none() | st.integers(1, 150)),
        counted_from=counted,
        note=draw(st.sampled_from(("", "the burn"))),
    )


@st.composite
def holes(draw):
    distances = sorted(draw(st.sets(st.integers(2, 500), max_size=6)))
    has_bend = draw(st.booleans())
    safe = draw(st.none() | st.sampled_from((Side.LEFT, Side.RIGHT, Side.SHORT, Side.LONG)))
    others = [side for side in (Side.LEFT, Side.RIGHT, Side.SHORT, Side.LONG) if side != safe]
    return Described(
        number=draw(st.integers(1, 18)),
        name=draw(st.sampled_from(("", "Kelp"))),
        trouble=tuple(draw(st.lists(troubles(), max_size=4))),
        widths=tuple(Width(distance, draw(st.integers(1, 130))) for distance in distances),
        green_depth=draw(st.none() | st.integers(1, 70)),
        green_width=draw(st.none() | st.integers(1, 70)),
        safe_side=safe,
        hard_chip_from=tuple(draw(st.lists(st.sampled_from(others), max_size=2, unique=True))),
        bend_to=draw(st.sampled_from((Side.LEFT, Side.RIGHT))) if has_bend else None,
        bend_at=draw(st.integers(1, 500)) if has_bend else None,
        bend_degrees=draw(st.none() | st.integers(5, 100)) if has_bend else None,
        rise_to_landing=draw(st.none() | st.integers(-90, 90)),
        rise_to_green=draw(st.none() | st.integers(-90, 90)),
        note=draw(st.sampled_from(("", "Two shots for most."))),
    )


LENGTHS = st.integers(60, 600)


@settings(max_examples=150, deadline=None)
@given(holes(), LENGTHS, LENGTHS)
def test_moved_to_another_tee_what_the_green_counts_stays_and_what_the_tee_counts_keeps_its_way_to_the_green(
    hole, measured, length
):
    assume(measured != length)
    moved = moved_to(hole, measured, length)
    by_green = [row for row in hole.trouble if row.counted_from == CountedFrom.GREEN]
    assert [row for row in moved.trouble if row.counted_from == CountedFrom.GREEN] == by_green
    in_front = [row for row in hole.trouble if row.counted_from == CountedFrom.TEE and row.ends + length >= measured]
    kept = [row for row in moved.trouble if row.counted_from == CountedFrom.TEE]
    assert [length - row.ends for row in kept] == [measured - row.ends for row in in_front]
    assert all(0 <= row.begins <= row.ends for row in kept)
    assert all(row.distance > 0 for row in moved.widths)
    assert moved.bend_at is None or length - moved.bend_at == measured - (hole.bend_at or 0)
    assert (moved.bend_to is None) == (moved.bend_at is None)


@settings(max_examples=100, deadline=None)
@given(holes(), LENGTHS, st.integers(0, 80), st.integers(0, 80))
def test_two_moves_back_are_one_and_a_move_back_and_forth_changes_nothing(hole, measured, first, second):
    twice = moved_to(moved_to(hole, measured, measured + first), measured + first, measured + first + second)
    assert twice == moved_to(hole, measured, measured + first + second)
    assert moved_to(moved_to(hole, measured, measured + first), measured + first, measured) == hole


@settings(max_examples=100, deadline=None)
@given(holes(), LENGTHS, LENGTHS)
def test_what_is_moved_is_a_description_still(hole, measured, length):
    check(hole)
    moved = moved_to(hole, measured, length)
    farthest = [moved.bend_at or 1, *(row.ends for row in moved.trouble), *(row.distance for row in moved.widths)]
    if max(farthest) <= 999:
        check(moved)


def test_trouble_that_ends_at_the_tee_is_there_still_after_a_move_and_back():
    hole = Described(number=1, trouble=(Trouble(TroubleKind.OUT_OF_BOUNDS, Side.LEFT, begins=0, ends=0),))
    assert moved_to(moved_to(hole, 300, 310), 310, 300) == hole
    assert moved_to(hole, 300, 299).trouble == ()


@pytest.mark.parametrize(("measured", "length"), [(None, 300), (300, None), (None, None), (300, 300)])
def test_it_stays_where_a_length_is_not_known(measured, length):
    hole = Described(number=4, trouble=(Trouble(TroubleKind.BUNKER, Side.LEFT, 180, 200),))
    assert moved_to(hole, measured, length) == hole


def test_a_bend_behind_the_tee_is_none():
    hole = Described(number=4, bend_to=Side.LEFT, bend_at=60, bend_degrees=40)
    moved = moved_to(hole, 400, 340)
    assert (moved.bend_to, moved.bend_at, moved.bend_degrees) == (None, None, None)


@settings(max_examples=150, deadline=None)
@given(holes())
def test_yards_come_back_from_metres_within_one_and_nothing_gets_lost(hole):
    """A metre is longer than a yard, so rounding to metres loses at most half of one: 0.55 yards."""
    there = in_unit(hole, "yards", "metres")
    back = in_unit(there, "metres", "yards")
    assert [replace(row, begins=0, ends=0, off_line=None, depth=None) for row in back.trouble] == [
        replace(row, begins=0, ends=0, off_line=None, depth=None) for row in hole.trouble
    ]
    for one, other in zip(hole.trouble, back.trouble, strict=True):
        assert abs(one.begins - other.begins) <= 1
        assert abs(one.ends - other.ends) <= 1
        assert one.begins >= 0 or other.begins <= 0
        assert (one.off_line is None) == (other.off_line is None)
    for name in described.LENGTHS:
        here, again = getattr(hole, name), getattr(back, name)
        assert (here is None) == (again is None)
        assert here is None or abs(here - again) <= 1
    assert (back.bend_degrees, back.number, back.name, back.note) == (
        hole.bend_degrees,
        hole.number,
        hole.name,
        hole.note,
    )
    check(there)


@settings(max_examples=60, deadline=None)
@given(holes())
def test_the_same_unit_changes_nothing_and_plain_values_come_back_as_they_went(hole):
    assert in_unit(hole, "metres", "metres") is hole
    assert from_plain(as_plain(hole)) == hole


@pytest.mark.parametrize(
    ("yards", "metres"),
    # 1 yd = 0.9144 m exactly (International Yard and Pound Agreement, 1959); products worked out by hand.
    [(0, 0), (1, 1), (100, 91), (150, 137), (200, 183), (240, 219), (402, 368), (-10, -9), (999, 913)],
)
def test_the_length_of_a_yard(yards, metres):
    assert converted(yards, "yards", "metres") == metres


def test_widths_that_fall_together_stand_once():
    hole = Described(number=1, widths=(Width(5, 20), Width(6, 30), Width(200, 40)))
    there = in_unit(hole, "yards", "metres")
    assert there.widths == (Width(5, 18), Width(183, 37))
    check(there)


BAD = [
    (replace(Described(number=7), number=19), "hole_numbers", "number"),
    (Described(number=7, bend_to=Side.LEFT), "bend_half", "bend_at"),
    (Described(number=7, bend_at=200), "bend_half", "bend_to"),
    (Described(number=7, bend_degrees=20), "bend_half", "bend_to"),
    (Described(number=7, bend_to=Side.LONG, bend_at=200), "bend_side", "bend_to"),
    (Described(number=7, safe_side=Side.ACROSS), "green_side", "safe_side"),
    (Described(number=7, hard_chip_from=(Side.ACROSS,)), "green_side", "hard_chip_from"),
    (Described(number=7, hard_chip_from=(Side.LEFT, Side.LEFT)), "green_side", "hard_chip_from"),
    (Described(number=7, safe_side=Side.LEFT, hard_chip_from=(Side.LEFT,)), "green_side", "safe_side"),
    (Described(number=7, green_depth=81), "distance_range", "green_depth"),
    (Described(number=7, rise_to_green=-101), "distance_range", "rise_to_green"),
    (Described(number=7, name="x" * 41), "text_too_long", "name"),
    (Described(number=7, note="x" * 201), "text_too_long", "note"),
    (Described(number=7, widths=(Width(200, 30), Width(200, 31))), "widths_order", "widths"),
    (Described(number=7, widths=(Width(0, 30),)), "distance_range", "widths.0.distance"),
    (Described(number=7, widths=(Width(200, 151),)), "width_range", "widths.0.width"),
    (Described(number=7, widths=tuple(Width(n, 30) for n in range(1, 8))), "widths_many", "widths"),
    (
        Described(number=7, trouble=(Trouble(TroubleKind.TREES, Side.LEFT, 1, 2),) * 21),
        "trouble_many",
        "trouble",
    ),
]


@pytest.mark.parametrize(("hole", "code", "field"), BAD)
def test_it_refuses_and_names_the_field(hole, code, field):
    with pytest.raises(RuleBroken) as broken:
        check(hole)
    assert (broken.value.code, broken.value.field) == (code, field)
    assert "7" in broken.value.message or code == "hole_numbers"


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"begins": -1}, "distance_range", "begins"),
        ({"ends": 1000}, "distance_range", "ends"),
        ({"ends": 100}, "trouble_order", "ends"),
        ({"side": Side.LONG}, "trouble_side", "side"),
        ({"side": Side.ACROSS, "off_line": 5}, "trouble_off_line", "off_line"),
        ({"off_line": 151}, "distance_range", "off_line"),
        ({"depth": 0}, "distance_range", "depth"),
        ({"note": "x" * 201}, "text_too_long", "note"),
        ({"counted_from": CountedFrom.GREEN}, "distance_range", "begins"),
    ],
)
def test_it_refuses_a_row_of_trouble_and_names_its_place(change, code, field):
    row = Trouble(TroubleKind.PENALTY_AREA, Side.RIGHT, 180, 240, 25)
    hole = Described(number=7, trouble=(row, replace(row, **change)))
    with pytest.raises(RuleBroken) as broken:
        check(hole)
    assert (broken.value.code, broken.value.field) == (code, f"trouble.1.{field}")
    assert "Trouble 2 on hole 7" in broken.value.message
