"""Lists of measured shots: what is read, what is asked, what is refused and where; nothing hostile breaks it."""

import time
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from league.exchange.problems import Limits
from league.exchange.shots_csv import TEMPLATE, ShotRow, club_name, read

DAY = date(2026, 4, 3)


def rows_of(text: str, **options):
    reading = read(text.encode(), **{"wanted": "yards", **options})
    assert reading.is_ready, (reading.problems, reading.questions)
    return reading.rows


def problems_of(text: str | bytes, **options):
    data = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    reading = read(data, **{"wanted": "yards", **options})
    assert reading.rows == [] or not reading.problems
    return [(problem.row, problem.column, problem.code) for problem in reading.problems]


def test_the_template_is_read():
    assert rows_of(TEMPLATE) == [
        ShotRow(2, "7 iron", "iron", 138, 6, DAY),
        ShotRow(3, "7 iron", "iron", 131, -4, DAY),
    ]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_any_form_of_table(delimiter, line_end):
    lines = [["CARRY", "Date", "Club"], ["138", "3 April 2026", "7I"], ["", "", ""], ["140", "", "PW"]]
    text = line_end.join(delimiter.join(line) for line in lines)
    assert rows_of("\ufeff" + text) == [
        ShotRow(2, "7 iron", "iron", 138, None, DAY),
        ShotRow(4, "pitching wedge", "wedge", 140),
    ]


@pytest.mark.parametrize(
    ("typed", "carry"),
    # 100 m are 109.36 yards, 150 m are 164.04 (a yard is 0.9144 m).
    [("138", 138), ("137.6", 138), ("137,4", 137), ("137.5", 138), ("0137", 137)],
)
def test_decimals_go_to_the_nearest_whole_one(typed, carry):
    assert rows_of(f"club;carry\n7i;{typed}\n")[0].carry == carry


@pytest.mark.parametrize(
    ("head", "cells", "options", "carry", "off_line"),
    [
        ("club,carry (m)", "7i,100", {}, 109, None),
        ("club,carry_metres,off line (m)", "7i,150,-10", {}, 164, -11),
        ("club,carry,off line", "7i,150,-10", {"unit": "metres"}, 164, -11),
        ("club,carry,off line,unit", "7i,150,-10,m", {}, 164, -11),
        ("club,carry,off line,unit", "7i,150,-10,yd", {"unit": "metres"}, 150, -10),
        ("club,carry yards,off line", "7i,164,10", {"wanted": "metres", "unit": "metres"}, 150, 10),
        ("club,carry", "7i,164", {"wanted": "metres", "unit": "yards"}, 150, None),
    ],
)
def test_units_by_choice_heading_or_line(head, cells, options, carry, off_line):
    """By hand: 150 / 0.9144 = 164.04, 10 / 0.9144 = 10.94, 164 x 0.9144 = 149.96, 100 / 0.9144 = 109.36."""
    (row,) = rows_of(f"{head}\n{cells}\n", **options)
    assert (row.carry, row.off_line) == (carry, off_line)


@pytest.mark.parametrize(
    ("typed", "off_line"),
    [("12", 12), ("-12", -12), ("+12", 12), ("12 R", 12), ("12L", -12), ("left 4", -4), ("Right 4.5", 5), ("L4.5", -5),
     ("0", 0), ("\N{MINUS SIGN}3", -3), ("'-3", -3), ("", None)],
)  # fmt: skip
def test_off_line_in_the_ways_people_write_it(typed, off_line):
    assert rows_of(f"club;carry;off line\n7i;140;{typed}\n")[0].off_line == off_line


@pytest.mark.parametrize(
    ("typed", "name", "kind"),
    [
        ("7i", "7 iron", "iron"), ("7 IRON", "7 iron", "iron"), ("iron 7", "7 iron", "iron"), ("i7", "7 iron", "iron"),
        ("3w", "3 wood", "wood"), ("5-wood", "5 wood", "wood"), ("4h", "4 hybrid", "hybrid"),
        ("4 rescue", "4 hybrid", "hybrid"), ("Driver", "driver", "driver"), ("D", "driver", "driver"),
        ("pw", "pitching wedge", "wedge"), ("Sand Wedge", "sand wedge", "wedge"), ("52°", "52 degrees", "wedge"),
        ("60 deg wedge", "60 degrees", "wedge"), ("my wedge", "my wedge", "wedge"), ("The Spoon", "The Spoon", ""),
        ("Putter", "putter", "putter"),
    ],
)  # fmt: skip
def test_one_club_has_many_names(typed, name, kind):
    assert club_name(typed) == (name, kind)


@given(st.text(max_size=40))
def test_a_name_found_is_found_again(text):
    """What was written by us is read as the same club."""
    name, kind = club_name(text)
    assert club_name(name) == (name, kind)


def test_an_open_date_is_asked_about():
    text = "club,carry,date\n7i,140,03/04/2026\n"
    reading = read(text.encode(), wanted="yards")
    assert [question.code for question in reading.questions] == ["day_first"]
    assert not reading.is_ready
    assert rows_of(text, day_first=True)[0].hit_on == DAY
    assert rows_of(text, day_first=False)[0].hit_on == date(2026, 3, 4)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", [(0, "", "empty")]),
        ("club,carry\n", [(0, "", "no_rows")]),
        ("7i,140\n7i,150\n", [(1, "", "no_headings")]),
        ("club,off line\n7i,3\n", [(1, "carry", "heading_missing")]),
        ("carry\n140\n", [(1, "club", "heading_missing")]),
        ("club,carry,Spin\n7i,140,1\n", [(1, "Spin", "heading_unknown")]),
        ("club,carry,distance\n7i,140,1\n", [(1, "carry", "heading_twice")]),
        ("club,carry\n7i,140,9\n", [(2, "", "row_long")]),
        ("club,carry\n,140\n", [(2, "club", "missing")]),
        ("club,carry\n7i,\n", [(2, "carry", "missing")]),
        ("club,carry\n7i,far\n", [(2, "carry", "number")]),
        ("club,carry\n7i,-5\n", [(2, "carry", "number")]),
        ("club,carry\n7i,99999\n", [(2, "carry", "number")]),
        ("club,carry\n7i,1e3\n", [(2, "carry", "number")]),
        ("club,carry\n7i,١٤٠\n", [(2, "carry", "number")]),
        ("club,carry,off line\n7i,140,12 up\n", [(2, "off line", "number")]),
        ("club,carry,off line\n7i,140,-12 R\n", [(2, "off line", "number")]),
        ("club,carry,off line\n7i,140,R\n", [(2, "off line", "number")]),
        ("club,carry,date\n7i,140,31 April 2026\n", [(2, "date", "date")]),
        ("club,carry,date\n7i,140,45123\n", [(2, "date", "date")]),
        ("club,carry,date\n7i,140,today\n", [(2, "date", "date")]),
        ("club,carry,unit\n7i,140,miles\n", [(2, "unit", "choice")]),
        (f"club,carry\n{'x' * 31},140\n", [(2, "club", "text_too_long")]),
        ("club,carry\n\u202e7i,140\n", [(2, "club", "text")]),
        ("club,carry\n7i\x07,140\n", [(2, "club", "text")]),
        ('club,carry\n"7i,140\n', [(2, "", "quote")]),
        ("club,carry\n=1+1,x\n7i,\n", [(2, "carry", "number"), (3, "carry", "missing")]),
    ],
)
def test_every_problem_has_its_line_and_column(text, wanted):
    assert problems_of(text) == wanted


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"\x89PNG\r\n", "file_kind"),
        (b"PK\x03\x04", "file_kind"),
        (b"<html>club,carry", "file_kind"),
        ("club,carry\n7i,140\n".encode("utf-16"), "encoding"),
        (b"club,carry\n7i,\xe9\n", "encoding"),
        (b"club,carry\n7i,1\x0040\n", "nul"),
        (b"x" * (2 * 1024 * 1024 + 1), "file_too_big"),
        (b"club,carry\n" + b"7i,140\n" * 5_001, "too_many_rows"),
        (b"," * 200 + b"\nclub,carry\n", "no_rows"),
        (b"club,carry" + b",x" * 200 + b"\n7i,140\n", "too_many_columns"),
    ],
)
def test_what_is_no_list_of_shots_is_refused_whole(data, code):
    assert code in [problem[2] for problem in problems_of(data)]


def test_a_thousand_problems_at_most():
    reading = read(b"club,carry\n" + b"?,?\n" * 4_000, wanted="yards")
    assert len(reading.problems) == 1_001
    assert reading.problems[-1].code == "more_problems"


@pytest.mark.parametrize("piece", [b'"', b",", b"7i,140,", b"\xcc\x81", b"a" * 100 + b"\n", b"12 R", b"1,", b"\r"])
def test_large_and_odd_files_are_answered_in_time(piece):
    head = b"club,carry,off line\n7i,140,"
    data = head + piece * ((2 * 1024 * 1024 - len(head)) // len(piece))
    begun = time.process_time()
    read(data, wanted="yards")
    assert time.process_time() - begun < 5


@given(st.lists(st.tuples(st.integers(1, 400), st.integers(-150, 150) | st.none()), min_size=1, max_size=20))
def test_whole_numbers_come_back_as_they_went(shots):
    text = "club,carry,off line\n" + "".join(f"7i,{carry},{'' if off is None else off}\n" for carry, off in shots)
    assert [(row.carry, row.off_line) for row in rows_of(text)] == shots


@given(st.text(max_size=200))
def test_nothing_typed_breaks_it(text):
    read(text.encode("utf-8", "surrogatepass"), wanted="metres", limits=Limits())
