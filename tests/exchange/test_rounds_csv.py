"""Rounds in CSV files: questions asked, limits kept, rows told apart, and the way back."""

import csv
import io
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from league.exchange.cells import guarded, unguarded
from league.exchange.problems import Limits
from league.exchange.round_row import (
    COLUMNS,
    MORE_COLUMNS,
    NAMED_HOLES,
    REASONS,
    HoleScore,
    RoundRow,
    holes_text,
    round_identity,
)
from league.exchange.rounds_csv import EXAMPLES, TEMPLATE, read, write
from league.models import NotPlayedReason

HEAD = "played_on,course,tee,gross\n"
ROW = "2026-04-03,Mill Lane,white,92\n"


def rounds(text, **choices):
    return read(text.encode(), **choices)


def codes(reading):
    return [problem.code for problem in reading.problems]


def test_it_asks_which_way_round_the_dates_are():
    reading = rounds(HEAD + "03/04/2026,Mill Lane,white,92\n2026-04-05,Mill Lane,white,90\n")
    question = reading.questions[0]
    assert (question.code, question.choices, question.rows) == ("day_first", ("day_first", "month_first"), (2,))
    assert [(problem.row, problem.code) for problem in reading.problems] == [(2, "date")]
    assert "choose day first" in reading.problems[0].message


@pytest.mark.parametrize(("day_first", "day"), [(True, date(2026, 4, 3)), (False, date(2026, 3, 4))])
def test_the_answer_decides(day_first, day):
    reading = rounds(HEAD + "03/04/2026,Mill Lane,white,92\n", day_first=day_first)
    assert reading.is_ready
    assert reading.rows[0].played_on == day


def test_a_chosen_order_that_a_row_contradicts_is_a_problem_of_that_row():
    reading = rounds(HEAD + "03/04/2026,A,b,92\n04/25/2026,A,b,90\n", day_first=True)
    assert [(problem.row, problem.code) for problem in reading.problems] == [(3, "date")]


def test_a_day_that_is_the_same_both_ways_is_not_asked_about():
    assert rounds(HEAD + "04/04/2026,Mill Lane,white,92\n").rows[0].played_on == date(2026, 4, 4)


@pytest.mark.parametrize(
    "text", ["2026-04-03", "2026/4/3", "3 April 2026", "3. Apr. 2026", "3rd apr 2026", "April 3 2026", "3-Apr-2026"]
)
def test_dates_that_can_be_read_one_way_only(text):
    assert rounds(HEAD + f"{text},Mill Lane,white,92\n").rows[0].played_on == date(2026, 4, 3)


def test_decimal_commas_can_be_refused():
    text = (HEAD + ROW).replace(",", ";").replace("92", "92,0")
    assert rounds(text).rows[0].gross == 92
    assert rounds(text, decimal_comma=True).rows[0].gross == 92
    assert codes(rounds(text, decimal_comma=False)) == ["number"]
    assert codes(rounds(text.replace("92,0", "92.0"), decimal_comma=True)) == ["number"]


def test_a_row_that_stands_twice_is_asked_about():
    reading = rounds(HEAD + ROW + ROW.replace("white", "White"))
    assert codes(reading) == ["row_twice"]
    assert (reading.questions[0].code, reading.questions[0].rows) == ("row_twice", (3,))
    assert len(rounds(HEAD + ROW + ROW, keep_twice=True).rows) == 2
    once = rounds(HEAD + ROW + ROW, keep_twice=False)
    assert (once.is_ready, len(once.rows)) == (True, 1)
    assert [(note.row, note.code) for note in once.notes if note.row] == [(3, "row_twice")]


def test_two_rounds_of_one_day_are_told_apart_by_their_order():
    text = "played_on,order_in_day,course,tee,gross\n2026-04-03,1,A,b,92\n2026-04-03,2,A,b,92\n"
    assert rounds(text).is_ready


def test_the_same_file_again_tells_of_the_same_rounds():
    text = HEAD + ROW + ROW + "2026-04-04,Mill Lane,white,92\n"
    first = [round_identity(row) for row in rounds(text, keep_twice=True).rows]
    again = [round_identity(row) for row in rounds(text.replace(",", ";").upper(), keep_twice=True).rows]
    assert first == again
    assert len(set(first)) == 2


@pytest.mark.parametrize(
    "change",
    [
        {"player": "Cat"}, {"played_on": date(2026, 4, 4)}, {"course": "Other"}, {"tee": "red"}, {"gross": 93},
        {"rated": "women"}, {"order_in_day": 2}, {"adjusted_gross": 90}, {"holes": "9"},
    ],
)  # fmt: skip
def test_another_round_has_another_identity(change):
    said = {"played_on": date(2026, 4, 3), "course": "Mill Lane", "tee": "white", "holes": "18", "gross": 92}
    assert round_identity(RoundRow(**said)) != round_identity(RoundRow(**(said | change)))


def test_note_and_reference_do_not_make_another_round():
    said = {"played_on": date(2026, 4, 3), "course": "Mill Lane", "tee": "white", "holes": "18", "gross": 92}
    noted = RoundRow(**said, note="wind", ref="7", marker="Ben", row=7)
    assert round_identity(noted) == round_identity(RoundRow(**said))


def test_every_problem_of_a_row_is_named():
    reading = rounds("played_on,course,tee,gross\n31/04/2026,,white,92.5\n")
    assert [(problem.column, problem.code) for problem in reading.problems] == [
        ("played_on", "date"),
        ("gross", "number"),
    ]
    reading = rounds("played_on,course,tee,gross\n,,,\n2026-04-03,,,5\n")
    assert [problem.column for problem in reading.problems] == ["course", "tee", "gross"]


def test_a_fault_of_the_table_does_not_hide_the_rows_above_it():
    reading = rounds(HEAD + ROW.replace("92", "?") + 'x,"y,z\n')
    assert sorted((problem.row, problem.code) for problem in reading.problems) == [(2, "number"), (3, "quote")]


def test_only_so_many_problems_are_listed_and_the_rest_counted():
    reading = rounds(HEAD + "x,A,b,92\n" * 30, limits=Limits(problems=10))
    assert codes(reading) == ["date"] * 10 + ["more_problems"]
    assert "20 more" in reading.problems[-1].message


def test_a_file_too_big_is_not_looked_at():
    assert codes(read(b"\x00" * (2 * 1024 * 1024 + 1))) == ["file_too_big"]
    assert rounds(HEAD + ROW, limits=Limits(bytes=None, rows=None)).is_ready


def test_five_thousand_rows_and_no_more():
    rows = "".join(
        f"20{10 + number // 336}-{number % 12 + 1:02d}-{number // 12 % 28 + 1:02d},A,b,92\n" for number in range(5_001)
    )
    assert len(rounds(HEAD + rows[: rows.rindex("\n", 0, -1) + 1]).rows) == 5_000
    too_many = rounds(HEAD + rows)
    assert [(problem.row, problem.code) for problem in too_many.problems] == [(5_002, "too_many_rows")]
    assert len(rounds(HEAD + rows, limits=Limits(rows=None)).rows) == 5_001


def test_the_columns_of_an_export_fit_the_limit():
    assert len((*COLUMNS, *MORE_COLUMNS)) + 2 <= Limits().columns
    assert rounds(write(EXAMPLES, [104, None])).is_ready


def test_a_line_number_counts_the_lines_inside_a_cell():
    text = 'played_on,course,tee,gross,note\n2026-04-03,A,b,92,"one\ntwo\nthree"\nx,A,b,92,\n'
    assert rounds(text).problems[0].row == 5


def test_holes_stated_and_holes_filled_are_the_same_set_however_written():
    for text, holes in [
        ("1-9", "front 9"),
        ("Back 9", "back 9"),
        ("holes 1 to 18", "18"),
        ("1-6; 10-18", "1 to 6, 10 to 18"),
    ]:
        strokes = [
            "5" if number in NAMED_HOLES.get(holes, (*range(1, 7), *range(10, 19))) else "" for number in range(1, 19)
        ]
        head = "played_on,course,tee,reason,holes," + ",".join(f"Hole {number}" for number in range(1, 19))
        row = rounds(f"{head}\n2026-04-03,A,b,light,{text},{','.join(strokes)}\n").rows[0]
        assert row.holes == holes


def test_holes_left_out_are_taken_from_the_card():
    head = "played_on,course,tee," + ",".join(f"h{number}" for number in range(1, 19))
    row = rounds(f"{head}\n2026-04-03,A,b,{'5,' * 9}{',' * 8}\n").rows[0]
    assert (row.holes, row.gross) == ("front 9", None)


def test_an_adjusted_total_alone_is_enough():
    row = rounds("played_on,course,tee,adjusted_gross\n2026-04-03,A,b,90\n").rows[0]
    assert (row.gross, row.adjusted_gross, row.holes) == (None, 90, "18")


def test_an_export_with_differentials_says_it_is_unofficial_on_every_row():
    lines = list(csv.DictReader(io.StringIO(write(EXAMPLES, [-15, None]))))
    assert [line["differential"] for line in lines] == ["-1.5", ""]
    assert all(line["unofficial"].startswith("Unofficial: ") for line in lines)
    assert rounds(write(EXAMPLES, [-15, None])).rows == list(EXAMPLES)


@pytest.mark.parametrize("start", list("=+-@\t\r"))
def test_no_text_cell_of_an_export_begins_like_a_formula(start):
    row = RoundRow(date(2026, 4, 3), f"{start}1", f"'{start}1", "18", gross=92, note=f"{start}cmd", ref=f"{start}x")
    cells = next(csv.DictReader(io.StringIO(write([row]), newline="")))
    assert all(cells[name].startswith("'") for name in ("course", "tee", "note", "ref"))


def test_no_cell_of_an_export_but_a_number_begins_like_a_formula():
    row = RoundRow(date(2026, 4, 3), "-", "@", "18", gross=92, playing_conditions=-1, note="=1")
    for line in csv.reader(io.StringIO(write([row, *EXAMPLES], [-15, None, 104]), newline="")):
        assert not [cell for cell in line if cell.startswith(("=", "+", "-", "@")) and cell not in ("-1", "-1.5")]


@given(st.text())
def test_the_apostrophe_of_an_export_comes_off_again(text):
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@", "\t", "\r"))


def test_the_reasons_of_a_file_are_those_that_are_stored():
    assert dict(NotPlayedReason.choices) == REASONS


def test_a_text_that_grows_when_composed_is_measured_afterwards():
    assert codes(rounds(HEAD + ROW.replace("Mill Lane", "\u0958" * 41))) == ["text_too_long"]


LETTERS = st.characters(exclude_categories=["C", "Z", "M"], exclude_characters="\u115f\u1160\u3164\uffa0\u2800")


def composed(text):
    return rounds(write([RoundRow(date(2026, 4, 3), text, "b", "18", gross=90)])).rows[0].course


NAMES = st.text(st.one_of(LETTERS, st.sampled_from("=+-@',;\"")), min_size=1, max_size=30).map(composed)
NOTES = st.one_of(st.just(""), st.tuples(NAMES, st.sampled_from([" ", "\n", "\t", "\n\n,"]), NAMES).map("".join))
PLAYED = st.one_of(
    st.sampled_from([NAMED_HOLES["18"], NAMED_HOLES["front 9"], NAMED_HOLES["back 9"]]),
    st.sets(st.integers(1, 18), min_size=10, max_size=17).map(lambda numbers: tuple(sorted(numbers))),
)


@st.composite
def hole_scores(draw):
    strokes = draw(st.integers(1, 25))
    putts = draw(st.none() | st.integers(0, strokes))
    penalties = draw(st.none() | st.integers(0, strokes - (putts or 0)))
    picked_up = draw(st.booleans())
    known = None if picked_up and draw(st.booleans()) else strokes
    return HoleScore(known, picked_up, putts, penalties)


@st.composite
def round_rows(draw):
    numbers = draw(PLAYED)
    scores, gross = (), None
    if len(numbers) not in (9, 18) or draw(st.booleans()):
        scores = tuple(draw(hole_scores()) if number in numbers else None for number in range(1, 19))
        known = [mark.strokes for mark in scores if mark]
        gross = sum(known) if None not in known and draw(st.booleans()) else None
    else:
        gross = draw(st.integers(len(numbers), 25 * len(numbers)))
    adjusted = draw(st.none() | st.integers(len(numbers), gross)) if gross is not None else None
    return RoundRow(
        played_on=draw(st.dates(date(1900, 1, 1), date(2100, 12, 31))),
        course=draw(NAMES),
        tee=draw(NAMES),
        holes=holes_text(numbers),
        gross=gross,
        adjusted_gross=adjusted,
        scores=scores,
        player=draw(st.just("") | NAMES),
        order_in_day=draw(st.none() | st.integers(1, 9)),
        rated=draw(st.sampled_from(["", "men", "women"])),
        marker=draw(st.just("") | NAMES),
        playing_conditions=draw(st.none() | st.integers(-1, 3)),
        playing_conditions_from=draw(st.just("") | NAMES),
        reason=draw(st.sampled_from(sorted(REASONS) if len(numbers) not in (9, 18) else ["", *REASONS])),
        note=draw(NOTES),
        ref=draw(st.just("") | NAMES),
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(round_rows(), min_size=1, max_size=4), st.booleans())
def test_rounds_written_are_read_back_the_same(rows, with_differentials):
    text = write(rows, [100] * len(rows) if with_differentials else None)
    reading = rounds(text, keep_twice=True)
    assert reading.problems == []
    assert reading.rows == rows


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_answered_with_problems(data):
    reading = read(data)
    assert reading.problems
    assert not reading.rows


CELLS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        ["2026-04-03", "03/04/2026", "25/04/2026", "92", "7x", "x", "-", "1-14", "18", '"', "A", "men", ""]
    ),
)


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.sampled_from([*COLUMNS, "differential", "x"]), min_size=1, max_size=12),
    st.lists(st.lists(CELLS, max_size=12), max_size=6),
    st.sampled_from(",;\t"),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.booleans(),
)
def test_any_table_is_read_or_answered_with_problems(heads, lines, delimiter, line_end, is_quoted):
    text = io.StringIO()
    table = csv.writer(
        text, delimiter=delimiter, lineterminator=line_end, quoting=csv.QUOTE_ALL if is_quoted else csv.QUOTE_MINIMAL
    )
    table.writerows([["played_on", "course", "tee", "gross", *heads], *lines])
    reading = read(text.getvalue().encode("utf-8", "replace"))
    assert reading.problems or reading.rows
    assert all(row.played_on and row.course and row.tee for row in reading.rows)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(TEMPLATE) - 1), st.sampled_from([*'",;\n\r\t\x00=x-', "\u202e", "\u0301"]))
def test_a_template_with_one_character_changed_never_gives_other_numbers(place, character):
    reading = rounds(TEMPLATE[:place] + character + TEMPLATE[place + 1 :])
    if reading.is_ready:
        for row in reading.rows:
            known = [mark.strokes for mark in row.scores if mark]
            assert not row.scores or row.gross in (None, sum(known))


MORE = RoundRow(
    played_on=date(2026, 4, 3),
    course="Mill Lane",
    tee="white",
    holes="front 9",
    gross=45,
    scores=(
        HoleScore(5, putts=2, penalties=0, first_putt_is_long=True, strokes_from_60=3, had_recovery=False),
        HoleScore(5, first_putt_is_long=False, had_recovery=True),
        HoleScore(5, strokes_from_60=0),
        *(HoleScore(5),) * 6,
        *(None,) * 9,
    ),
)


def test_what_else_was_noted_comes_back_as_it_was():
    assert read(write([MORE, *EXAMPLES]).encode()).rows == [MORE, *EXAMPLES]


def test_columns_for_it_are_written_only_where_something_was_noted():
    assert write([MORE]).split("\r\n")[0].split(",") == [*COLUMNS, *MORE_COLUMNS]
    assert TEMPLATE.split("\r\n")[0].split(",") == list(COLUMNS)


@pytest.mark.parametrize(
    ("column", "cell", "code"),
    [
        ("longputt1", "perhaps", "yes_or_no"),
        ("recovery1", "1", "yes_or_no"),
        ("shortgame1", "26", "number"),
        ("shortgame1", "6", "strokes_from_60_range"),
        ("shortgame10", "2", "strokes_missing"),
        ("longputt10", "no", "strokes_missing"),
    ],
)
def test_what_else_was_noted_is_checked(column, cell, code):
    head = "played_on,course,tee," + ",".join(f"h{number}" for number in range(1, 10))
    text = f"{head},{column}\n2026-04-03,Mill Lane,white,{','.join('5' * 9)},{cell}\n"
    reading = rounds(text)
    assert [(problem.column, problem.code) for problem in reading.problems] == [(column, code)]
