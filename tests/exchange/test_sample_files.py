"""Every sample file under fixtures/exchange: the good ones are read, the bad ones refused with the place named."""

import csv
from datetime import date
from pathlib import Path

import pytest

from league.exchange.problems import TOO_BIG, WRONG_KIND
from league.exchange.round_row import HoleScore
from league.exchange.rounds_csv import EXAMPLES, TEMPLATE, read

FILES = Path(__file__).parents[2] / "fixtures" / "exchange"
GOOD = sorted(path.name for path in (FILES / "good").iterdir())
with (FILES / "bad.csv").open(newline="") as listed:
    BAD = [(line["file"], int(line["row"]), line["column"], line["code"]) for line in csv.DictReader(listed)]


def good(name):
    return read((FILES / "good" / name).read_bytes())


@pytest.mark.parametrize("name", GOOD)
def test_it_reads_a_good_file_whole(name):
    reading = good(name)
    assert reading.is_ready
    assert reading.rows


@pytest.mark.parametrize(("name", "row", "column", "code"), BAD, ids=[bad[0] for bad in BAD])
def test_it_refuses_a_bad_file_and_names_the_place(name, row, column, code):
    reading = read((FILES / "bad" / name).read_bytes())
    assert not reading.is_ready
    assert (row, column, code) in [problem[:3] for problem in reading.problems]
    assert all(problem.message.isprintable() and len(problem.message) < 200 for problem in reading.problems)


def test_every_bad_file_has_its_line_in_the_list():
    assert sorted(path.name for path in (FILES / "bad").iterdir()) == [bad[0] for bad in BAD]


def test_one_fault_gives_one_problem():
    several = {"dates-mixed.csv"}
    counts = {bad[0]: len(read((FILES / "bad" / bad[0]).read_bytes()).problems) for bad in BAD}
    assert {name for name, count in counts.items() if count != 1} == several


@pytest.mark.parametrize(
    "name",
    [
        "all-quoted.csv", "blank-last-lines.csv", "blank-lines-between.csv", "byte-order-mark.csv",
        "capitals-reordered.csv", "cr-only.csv", "crlf.csv", "dates-in-words.csv", "dates-with-dots.csv",
        "no-last-newline.csv", "semicolon-decimal-comma.csv", "spaces-round-cells.csv", "tab-decimal-comma.csv",
        "trailing-separators.csv",
    ],
)  # fmt: skip
def test_the_form_of_a_file_never_changes_its_values(name):
    assert good(name).rows == good("plain.csv").rows
    assert [(row.played_on, row.gross) for row in good(name).rows] == [
        (date(2026, 4, 3), 92),
        (date(2026, 4, 12), 88),
    ]


def test_the_template_handed_out_is_the_one_documented():
    assert (FILES / "good" / "template.csv").read_bytes() == TEMPLATE.encode()
    assert good("template.csv").rows == list(EXAMPLES)
    assert not good("template.csv").notes


def test_text_that_looks_like_something_else_stays_text():
    row = good("text-stays-text.csv").rows[0]
    assert (row.course, row.tee, row.note, row.ref) == ("NA", "007", "null", "1e3")


def test_a_formula_is_kept_as_the_text_it_is():
    first, second, third = good("formulas-as-text.csv").rows
    assert (first.course, first.tee, first.note) == ('=HYPERLINK("x")', "+1", "@x")
    assert (second.course, second.note) == ("-Lane", "\t=1+1")
    assert (third.course, third.tee, third.note) == ("=1", "'+1", "'plain")


def test_accents_are_brought_to_their_composed_form():
    assert good("decomposed-accents.csv").rows[0].course == "Caf\u00e9 Lane"


def test_a_note_may_have_two_lines():
    assert good("note-of-two-lines.csv").rows[0].note == 'wind,\nrain "all" day'


def test_columns_that_are_computed_again_are_ignored_with_a_note():
    notes = good("export-with-differentials.csv").notes
    assert [note.column for note in notes if note.code == "column_ignored"] == ["differential", "unofficial"]


def test_holes_picked_up_are_told_from_holes_not_played():
    picked_up = good("picked-up.csv").rows[0].scores
    assert picked_up[:3] == (HoleScore(None, True), HoleScore(7, True), HoleScore(7, True))
    fourteen = good("fourteen-holes.csv").rows[0]
    assert fourteen.scores[14:] == (None,) * 4
    assert (fourteen.holes, fourteen.hole_numbers, fourteen.reason) == ("1 to 14", tuple(range(1, 15)), "light")


def test_one_date_that_proves_the_order_decides_for_all():
    day_first, month_first = good("dates-day-first-proven.csv"), good("dates-month-first-proven.csv")
    assert [row.played_on.isoformat() for row in day_first.rows] == ["2026-04-03", "2026-04-12", "2026-04-25"]
    assert day_first.rows == month_first.rows
    assert [note.code for note in month_first.notes][0] == "date_order"
    assert "04/25/2026" in month_first.notes[0].message


def test_files_of_another_kind_and_files_too_big_have_codes_of_their_own():
    codes = {bad[0]: bad[3] for bad in BAD}
    assert {codes[name] for name in ("image.csv", "web-page.csv", "workbook.csv", "gzip-bomb.csv")} <= WRONG_KIND
    assert {codes[name] for name in ("cell-too-long.csv", "columns-141.csv")} <= TOO_BIG
