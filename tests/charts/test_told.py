"""Said and happened: a row for each class, the tick said, the dot happened, the tint where it should lie."""

import pytest

from league.charts import SaidRow, said_and_happened
from tests.charts.drawn import of_kind, parse, share

ROWS = [SaidRow(0.1, 0.12, 0.05, 0.2, 80), SaidRow(0.4, 0.7, 0.25, 0.55, 40), SaidRow(0.8, 0.75, 0.6, 0.95, 20)]


def test_marks_stand_at_their_shares() -> None:
    root = parse(said_and_happened(ROWS))
    assert [share(mark.get("x1", "")) for mark in of_kind(root, "said")] == pytest.approx([0.1, 0.4, 0.8], abs=1e-4)
    assert [share(mark.get("cx", "")) for mark in of_kind(root, "ink")] == pytest.approx([0.12, 0.7, 0.75], abs=1e-4)
    tints = [(share(mark.get("x", "")), share(mark.get("width", ""))) for mark in of_kind(root, "sea")]
    assert [edge for left, width in tints for edge in (left, left + width)] == pytest.approx(
        [0.05, 0.2, 0.25, 0.55, 0.6, 0.95], abs=1e-4
    )


def test_the_sentence_counts_the_rows_that_hold() -> None:
    assert said_and_happened(ROWS).reading == (
        "140 outlooks have met their round; in 2 of 3 rows what happened lies where it should if they are right."
    )
    assert "in every row" in said_and_happened(ROWS[:1]).reading
    assert [row.is_within for row in ROWS] == [True, False, True]


def test_the_numbers_are_the_same() -> None:
    assert said_and_happened(ROWS).rows[1].cells == ("40 %", "70 %", "25 %", "55 %", "40")


def test_edges_stay_on_the_axis() -> None:
    root = parse(said_and_happened([SaidRow(0.0, 0.0, 0.0, 0.0, 8), SaidRow(1.0, 1.0, 1.0, 1.0, 8)]))
    for mark in root.iter():
        for name in ("x", "x1", "x2", "cx"):
            if (mark.get(name) or "").endswith("%"):
                assert 0 <= share(mark.get(name, "")) <= 1
    assert not any("style" in mark.attrib for mark in root.iter())


def test_without_rows_there_is_no_picture() -> None:
    with pytest.raises(ValueError, match="needs a row"):
        said_and_happened([])
