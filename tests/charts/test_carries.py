"""The clubs on one axis: bars where four shots in five come down; published ones open, with the word beside them."""

import pytest

from league.charts import CarryRow, carry_ranges
from tests.charts.drawn import of_kind, parse, share

ROWS = [
    CarryRow("driver", 200, 180, 220, is_published=True),
    CarryRow("7 iron", 140, 130, 150, is_published=False, n_shots=14, today=134),
    CarryRow("sand wedge", 80, 70, 90, is_published=True, n_shots=2),
]


def test_bars_and_dots_stand_at_their_distances() -> None:
    """The axis goes from 50 to 250 in steps of 50: 200 is three quarters along."""
    root = parse(carry_ranges(ROWS, "yards"))
    bars = [(share(mark.get("x", "")), share(mark.get("width", ""))) for mark in of_kind(root, "sea")]
    assert bars == [pytest.approx(one, abs=1e-3) for one in ((0.65, 0.2), (0.4, 0.1), (0.1, 0.1))]
    assert [share(mark.get("cx", "")) for mark in of_kind(root, "open")] == pytest.approx([0.75, 0.15], abs=1e-3)
    assert [share(mark.get("cx", "")) for mark in of_kind(root, "ink")] == pytest.approx([0.45], abs=1e-3)
    assert [share(mark.get("x1", "")) for mark in of_kind(root, "said")] == pytest.approx([0.42], abs=1e-3)


def test_what_is_published_differs_in_shape_and_in_word() -> None:
    root = parse(carry_ranges(ROWS, "yards"))
    assert len(of_kind(root, "unsure")) == 2
    assert [mark.text for mark in of_kind(root, "basis")] == ["published", "own", "published"]


def test_the_sentence_and_the_numbers_say_the_same() -> None:
    picture = carry_ranges(ROWS, "yards")
    assert picture.reading == (
        "From 200 yards with driver to 80 with sand wedge; 2 of 3 spreads are published figures, the others your own."
    )
    told = carry_ranges([ROWS[1]], "metres")
    assert told.reading == "7 iron usually carries 140 metres; every spread here is your own."
    assert told.rows[0].cells == ("7 iron", "140", "134", "130", "150", "14", "own")
    assert [column.title for column in told.columns][2] == "Today"
    assert carry_ranges(ROWS[:1], "yards").reading.endswith("every spread here is a published figure.")
    assert len(carry_ranges(ROWS[:1], "yards").columns) == len(carry_ranges(ROWS[:1], "yards").rows[0].cells) == 6


def test_a_hostile_name_is_shown_as_text() -> None:
    picture = carry_ranges([CarryRow("<script>x", 100, 90, 110, is_published=True)], "yards")
    assert "<script>" not in picture.svg
    assert not any("style" in mark.attrib for mark in parse(picture).iter())


def test_without_a_club_there_is_no_picture() -> None:
    with pytest.raises(ValueError, match="needs a club"):
        carry_ranges([], "yards")
