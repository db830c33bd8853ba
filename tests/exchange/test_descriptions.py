"""Described holes as a table and in a course file: what is written comes back the same, what is wrong is named."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from league.exchange import courses_json, descriptions_table
from league.exchange.courses_json import CourseFile
from league.exchange.descriptions_json import DescribedHole
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width, check

FOLDER = Path(__file__).parents[2] / "fixtures"
COURSE = (FOLDER / "exchange" / "courses" / "course.json").read_text(encoding="utf-8")
GREEN_SIDES = (Side.LEFT, Side.RIGHT, Side.SHORT, Side.LONG)
WORDS = st.text("abcåß, ;\"'=-@", max_size=30).map(str.strip)


@st.composite
def troubles(draw: st.DrawFn) -> Trouble:
    counted = draw(st.sampled_from(CountedFrom))
    lowest, highest = (-60, 60) if counted == CountedFrom.GREEN else (0, 600)
    begins = draw(st.integers(lowest, highest))
    side = draw(st.sampled_from([Side.LEFT, Side.RIGHT, Side.ACROSS]))
    return Trouble(
        kind=draw(st.sampled_from(TroubleKind)),
        side=side,
        begins=begins,
        ends=draw(st.integers(begins, highest)),
        off_line=None if side == Side.ACROSS else draw(st.none() | st.integers(0, 150)),
        depth=draw(st.none() | st.integers(1, 150)),
        counted_from=counted,
        note=draw(WORDS),
    )


@st.composite
def holes(draw: st.DrawFn, number: int) -> Described:
    safe = draw(st.none() | st.sampled_from(GREEN_SIDES))
    bend = draw(st.none() | st.tuples(st.sampled_from([Side.LEFT, Side.RIGHT]), st.integers(1, 600)))
    rows = draw(st.dictionaries(st.integers(1, 600), st.integers(1, 150), max_size=6))
    hole = Described(
        number=number,
        name=draw(WORDS),
        trouble=tuple(draw(st.lists(troubles(), max_size=6))),
        widths=tuple(Width(*row) for row in sorted(rows.items())),
        green_depth=draw(st.none() | st.integers(1, 80)),
        green_width=draw(st.none() | st.integers(1, 80)),
        safe_side=safe,
        hard_chip_from=tuple(side for side in GREEN_SIDES if side != safe and draw(st.booleans())),
        bend_to=bend and bend[0],
        bend_at=bend and bend[1],
        bend_degrees=draw(st.none() | st.integers(5, 100)) if bend else None,
        rise_to_landing=draw(st.none() | st.integers(-100, 100)),
        rise_to_green=draw(st.none() | st.integers(-100, 100)),
        note=draw(WORDS),
    )
    check(hole)
    return hole


COURSES = st.sets(st.integers(1, 18), max_size=4).flatmap(lambda numbers: st.tuples(*map(holes, sorted(numbers))))


@settings(max_examples=80, deadline=None)
@given(COURSES)
def test_a_table_written_is_read_back_the_same(many: tuple[Described, ...]) -> None:
    said = [hole for hole in many if hole != Described(number=hole.number)]
    reading = descriptions_table.read(descriptions_table.write(said))
    assert reading.holes == said
    assert [problem.code for problem in reading.problems] == ([] if said else ["empty"])


@settings(max_examples=80, deadline=None)
@given(COURSES, st.sampled_from(["yards", "metres"]), st.sampled_from([None, ("white", "men"), ("white", "women")]))
def test_a_course_file_carries_them_out_and_in(
    many: tuple[Described, ...], unit: str, tee: tuple[str, str] | None
) -> None:
    bare = courses_json.read(COURSE.encode()).course
    assert bare is not None
    nine = tuple(DescribedHole(hole, unit, tee) for hole in many if hole.number <= bare.n_holes)
    tees = tuple(replace(one, holes=tuple(replace(hole, length=700) for hole in one.holes)) for one in bare.tees)
    course = replace(bare, tees=tees, descriptions=nine)
    reading = courses_json.read(courses_json.write(course).encode())
    assert reading.problems == []
    assert reading.course == course


HOLE = {"number": 7, "length_unit": "yards", "measured_from": {"name": "white", "rated_for": "men"}}
SAND = {"kind": "bunker", "side": "left", "begins": 150, "ends": 160, "off_line": 20}


@pytest.mark.parametrize(
    ("change", "path", "code"),
    [
        ({"number": 19}, "descriptions.0.number", "number"),
        ({"length_unit": "feet"}, "descriptions.0.length_unit", "choice"),
        ({"measured_from": {"name": "gold", "rated_for": "men"}}, "descriptions.0.measured_from.name", "tee_unknown"),
        ({"measured_from": "white"}, "descriptions.0.measured_from", "shape"),
        ({"lakes": 3}, "descriptions.0.lakes", "field_unknown"),
        ({"trouble": [{**SAND, "ends": 140}]}, "descriptions.0.trouble.0.ends", "trouble_order"),
        ({"trouble": [{**SAND, "kind": "lava"}]}, "descriptions.0.trouble.0.kind", "choice"),
        ({"trouble": [{**SAND, "off_line": 20.5}]}, "descriptions.0.trouble.0.off_line", "number"),
        ({"trouble": "water"}, "descriptions.0.trouble", "shape"),
        ({"trouble": [SAND] * 21}, "descriptions.0.trouble", "too_many_rows"),
        ({"widths": [{"distance": 200, "width": 0}]}, "descriptions.0.widths.0.width", "width_range"),
        ({"hard_chip_from": "left"}, "descriptions.0.hard_chip_from", "choice"),
        ({"hard_chip_from": [3]}, "descriptions.0.hard_chip_from", "choice"),
        ({"bend_to": "left"}, "descriptions.0.bend_at", "bend_half"),
        ({"bend_to": "left", "bend_at": 690}, "descriptions.0.bend_at", "distance_range"),
        ({"name": "x" * 41}, "descriptions.0.name", "text_too_long"),
    ],
)
def test_what_is_wrong_is_named_by_its_path(change: dict[str, object], path: str, code: str) -> None:
    plain = {**json.loads(COURSE), "descriptions": [{**HOLE, **change}]}
    problems = courses_json.read(json.dumps(plain).encode()).problems
    assert (path, code) in [(problem.column, problem.code) for problem in problems]


def test_a_hole_twice_and_a_hole_too_many() -> None:
    plain = {**json.loads(COURSE), "descriptions": [HOLE, HOLE]}
    codes = [problem.code for problem in courses_json.read(json.dumps(plain).encode()).problems]
    assert codes == ["hole_repeated"]
    water = json.loads((FOLDER / "demo" / "courses" / "tollen-water.json").read_text(encoding="utf-8"))
    water["descriptions"][0]["number"] = 10
    codes = [problem.code for problem in courses_json.read(json.dumps(water).encode()).problems]
    assert codes == ["hole_unknown"]


@pytest.mark.parametrize("name", ["skerrin-head", "low-farrow-moor", "tollen-water"])
def test_every_hole_of_the_demo_is_described_fully(name: str) -> None:
    reading = courses_json.read((FOLDER / "demo" / "courses" / f"{name}.json").read_bytes())
    course: CourseFile | None = reading.course
    assert course is not None
    assert [one.hole.number for one in course.descriptions] == list(range(1, course.n_holes + 1))
    tee = next(tee for tee in course.tees if (tee.name, tee.rated_for) == course.descriptions[0].measured_from)
    for one, printed in zip(course.descriptions, tee.holes, strict=True):
        hole = one.hole
        assert hole.trouble
        assert hole.green_depth
        assert hole.green_width
        assert hole.safe_side
        assert hole.hard_chip_from
        assert hole.rise_to_green is not None
        assert bool(hole.widths) == (printed.par > 3)
        assert all(width.distance < (printed.length or 0) for width in hole.widths)
        along = [trouble for trouble in hole.trouble if trouble.counted_from == CountedFrom.TEE]
        assert all(trouble.ends <= (printed.length or 0) + 25 for trouble in along)
