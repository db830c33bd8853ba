"""The holes of a tee from a table either way round, and a whole course in one JSON file."""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from league.exchange import courses_json
from league.exchange.courses_csv import read_holes
from league.exchange.courses_json import CourseFile
from league.rules.printed import LONGEST_HOLE, PrintedHole, PrintedTee

FILES = Path(__file__).parents[2] / "fixtures" / "exchange" / "courses"
PARS = [4, 3, 5, 4, 4, 3, 4, 5, 4] * 2
INDEXES = [7, 15, 3, 1, 11, 17, 9, 5, 13, 8, 16, 4, 2, 12, 18, 10, 6, 14]
LENGTHS = [352, 148, 471, 398, 340, 162, 365, 489, 310, 377, 155, 468, 401, 333, 170, 359, 495, 322]
HOLES = [PrintedHole(*hole) for hole in zip(range(1, 19), PARS, INDEXES, LENGTHS, strict=True)]
COURSE = (FILES / "course.json").read_text()


def table(**changes):
    """A table of nine holes with some lines changed: `line_3="…"` stands in place of hole 3."""
    lines = [f"{hole.number},{hole.par},{hole.stroke_index},{hole.length}" for hole in HOLES[:9]]
    for name, line in changes.items():
        lines[int(name.removeprefix("line_")) - 1] = line
    return "\n".join(["hole,par,si,metres", *lines])


def found(text):
    return [(problem.row, problem.column, problem.code) for problem in read_holes(text).problems]


@pytest.mark.parametrize(
    ("name", "n_holes", "unit"),
    [
        ("holes-down.tsv", 18, "metres"),
        ("holes-across.csv", 18, "yards"),
        ("holes-across-typed.txt", 18, "yards"),
        ("holes-without-headings.txt", 18, ""),
        ("holes-nine-typed.txt", 9, ""),
    ],
)
def test_it_reads_the_holes_however_the_table_lies(name, n_holes, unit):
    reading = read_holes((FILES / name).read_text())
    assert reading.problems == []
    assert reading.rows == HOLES[:n_holes]
    assert reading.length_unit == unit
    assert [note.code for note in reading.notes] == ([] if unit else ["length_unit_unknown"])


def test_a_table_across_without_headings_is_read_too():
    lines = zip(*[(hole.number, hole.par, hole.stroke_index, hole.length) for hole in HOLES], strict=True)
    assert read_holes("\n".join("\t".join(map(str, line)) for line in lines)).rows == HOLES


def test_lengths_may_be_left_out():
    assert read_holes(table().replace(",metres", "").replace(",352", "")).problems
    text = "hole par si\n" + "\n".join(f"{hole.number} {hole.par} {hole.stroke_index}" for hole in HOLES)
    assert read_holes(text).rows == [replace(hole, length=None) for hole in HOLES]


@pytest.mark.parametrize("name", ["holes-down.tsv", "holes-across.csv", "holes-across-typed.txt"])
@pytest.mark.parametrize(("stated", "wrong", "column"), [("3035", "3036", "length"), ("72", "71", "par")])
def test_a_sum_that_differs_is_a_problem_and_never_put_right(name, stated, wrong, column):
    text = (FILES / name).read_text()
    at = text.rindex(stated)
    reading = read_holes(text[:at] + wrong + text[at + len(stated) :])
    assert reading.rows == []
    assert [(problem.column, problem.code) for problem in reading.problems] == [(column, "sum_differs")]
    assert f"says {wrong}, the holes add up to {stated}" in reading.problems[0].message


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (table(line_3="3,7,3,471"), (4, "par", "number")),
        (table(line_3="3,,3,471"), (4, "par", "number")),
        (table(line_3="3,5,19,471"), (4, "stroke_index", "number")),
        (table(line_3="3,5,15,471"), (0, "stroke_index", "stroke_index_twice")),
        (table(line_3="3,5,3,47²"), (4, "length", "number")),
        (table(line_3="3,5,3,1e2"), (4, "length", "number")),
        (table(line_3="2,5,3,471"), (4, "number", "hole_twice")),
        (table(line_9=""), (0, "number", "hole_missing")),
        (table(line_9="10,4,13,310"), (0, "number", "hole_missing")),
        (table(line_9="19,4,13,310"), (10, "number", "number")),
        (table().replace("si", "par"), (1, "par", "heading_twice")),
        (table().replace("metres", "colour"), (1, "colour", "heading_unknown")),
        (table().replace("hole,", "x,"), (0, "number", "heading_missing")),
        ("", (0, "", "empty")),
        ("a" * 20_001, (0, "", "file_too_big")),
    ],
)
def test_a_bad_table_is_refused_and_the_place_named(text, problem):
    assert problem in found(text)
    assert read_holes(text).rows == []


@settings(max_examples=200, deadline=None)
@given(st.text(st.one_of(st.sampled_from('0123456789 \t\n,;"-holeparsiOutInTotal'), st.characters()), max_size=200))
def test_any_text_is_answered_with_problems(text):
    assert read_holes(text).problems


def printed_holes(n_holes):
    return st.tuples(
        st.lists(st.integers(3, 6), min_size=n_holes, max_size=n_holes),
        st.permutations(range(1, 19)),
        st.lists(st.none() | st.integers(1, LONGEST_HOLE), min_size=n_holes, max_size=n_holes),
    ).map(lambda drawn: tuple(PrintedHole(*hole) for hole in zip(range(1, n_holes + 1), *drawn, strict=False)))


def written(holes, length_unit):
    """The holes as a spreadsheet writes them."""
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(("hole", "par", "stroke index", length_unit or "length"))
    lines.writerows((row.number, row.par, row.stroke_index, "" if row.length is None else row.length) for row in holes)
    return text.getvalue()


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([9, 18]).flatmap(printed_holes), st.sampled_from(["yards", "metres", ""]))
def test_holes_written_are_read_back_the_same(holes, unit):
    reading = read_holes(written(holes, unit))
    assert (reading.rows, reading.length_unit) == (list(holes), unit)


def ratings():
    return st.integers(200, 8500).map(lambda tenths: Decimal(tenths).scaleb(-1))


NINES = st.none() | st.tuples(ratings(), st.integers(55, 155))


@st.composite
def courses(draw):
    n_holes = draw(st.sampled_from([9, 18]))
    front, back = (draw(NINES) or (None, None) if n_holes == 18 else (None, None) for _ in range(2))
    first_day = draw(st.none() | st.dates())
    tees = tuple(
        PrintedTee(
            name=f"tee {number}",
            rated_for=draw(st.sampled_from(["men", "women"])),
            course_rating=draw(ratings()),
            slope_rating=draw(st.integers(55, 155)),
            front_course_rating=front[0],
            front_slope_rating=front[1],
            back_course_rating=back[0],
            back_slope_rating=back[1],
            length_unit=draw(st.sampled_from(["yards", "metres"])),
            valid_from=first_day,
            holes=draw(printed_holes(n_holes)),
        )
        for number in range(draw(st.integers(0, 2)))
    )
    return CourseFile("Mill Lane", draw(st.sampled_from(["", "Northford"])), n_holes, tees)


@settings(max_examples=60, deadline=None)
@given(courses())
def test_a_course_written_is_read_back_the_same(course):
    reading = courses_json.read(courses_json.write(course).encode())
    assert reading.problems == []
    assert reading.course == course


def test_the_sample_course_is_read_whole():
    reading = courses_json.read(COURSE.encode())
    assert (reading.problems, reading.questions) == ([], [])
    assert [(tee.name, tee.rated_for, tee.course_rating) for tee in reading.course.tees] == [
        ("white", "men", Decimal("70.3")),
        ("white", "women", Decimal("75.8")),
    ]
    assert reading.course.tees[0].valid_from == date(2026, 1, 1)
    assert courses_json.write(reading.course) == COURSE


def changed(path, value):
    plain = json.loads(COURSE)
    place = plain
    *way, last = path.split(".")
    for step in way:
        place = place[int(step) if step.isdigit() else step]
    place[int(last) if last.isdigit() else last] = value
    return courses_json.read(json.dumps(plain).encode())


@pytest.mark.parametrize(
    ("path", "value", "code"),
    [
        ("format", "rounds", "choice"),
        ("version", 2, "number"),
        ("holes", 12, "number"),
        ("name", "", "missing"),
        ("name", 7, "shape"),
        ("name", "a\u202eb", "text"),
        ("name", "a" * 101, "text_too_long"),
        ("owner", "cat", "field_unknown"),
        ("tees", {}, "shape"),
        ("tees.0", [], "shape"),
        ("tees.0.rated_for", "all", "choice"),
        ("tees.0.slope_rating", 54, "slope_range"),
        ("tees.0.slope_rating", 156, "slope_range"),
        ("tees.0.slope_rating", "113", "number"),
        ("tees.0.slope_rating", True, "number"),
        ("tees.0.course_rating", 72.35, "rating_form"),
        ("tees.0.course_rating", "72.3", "number"),
        ("tees.0.front.course_rating", 35.25, "rating_form"),
        ("tees.0.front.slope_rating", None, "number"),
        ("tees.0.valid_from", "2026-02-30", "date"),
        ("tees.0.valid_from", 45123, "date"),
        ("tees.0.holes.6.par", 7, "par_range"),
        ("tees.0.holes.6.par", 4.5, "number"),
        ("tees.0.holes.6.stroke_index", 1, "stroke_index_twice"),
        ("tees.0.holes.6.length", -1, "number"),
    ],
)
def test_a_bad_value_is_named_by_its_path(path, value, code):
    reading = changed(path, value)
    assert reading.course is None
    assert (path, code) in [(problem.column, problem.code) for problem in reading.problems]


def test_a_tee_twice_for_the_same_days_is_refused_and_a_new_version_of_it_is_not():
    first = json.loads(COURSE)["tees"][0]
    assert ("tees.1.valid_from", "tee_twice") in [problem[1:3] for problem in changed("tees.1", first).problems]
    old = first | {"valid_from": None, "valid_until": "2025-12-31"}
    assert changed("tees.1", old).problems == []


def test_a_rating_that_lost_its_point_is_asked_about():
    reading = changed("tees.0.course_rating", 703)
    assert reading.problems == []
    assert [(question.code, question.choices) for question in reading.questions] == [
        ("rating_unusual", ("keep", "change"))
    ]
    assert reading.questions[0].message.startswith("tees.0.course_rating: ")
    assert reading.course.tees[0].course_rating == 703


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty"),
        (b"{", "json"),
        (b"[]", "shape"),
        (b'{"name": NaN}', "json"),
        (b'{"name": 1e309}', "json"),
        (b'{"name": -Infinity}', "json"),
        (b'{"name": ' + b"1" * 5_000 + b"}", "json"),
        (b'{"name": "a", "name": "b"}', "json"),
        (b'{"name": "\\ud800"}', "text"),
        (b"[" * 30 + b"]" * 30, "depth"),
        (b"[" * 200_000, "depth"),
        (b'{"name": "\xff"}', "encoding"),
        (b"PK\x03\x04", "file_kind"),
        ("{}".encode("utf-16"), "encoding"),
    ],
)
def test_what_is_no_course_file_is_refused(data, code):
    assert code in [problem.code for problem in courses_json.read(data).problems]


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200) | st.text(st.sampled_from('{}[]":,01.eE-truefalsn "'), max_size=60).map(str.encode))
def test_any_bytes_are_answered_by_the_course_reader(data):
    assert courses_json.read(data).problems
