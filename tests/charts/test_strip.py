"""The group strip: one axis for all, nearest to the barrier first."""

from xml.etree.ElementTree import Element

import pytest

from league.charts import StripRow, group_strip
from tests.charts.drawn import SVG, of_kind, parse, share

HOSTILE = '"><svg onload>'
TEN = (95, 91, 99, 88, 92, 93, 97, 90, 94, 92)


def on_axis(root: Element, value: float) -> float:
    """Where a score stands, from the two outermost lettered ticks."""
    ticks = sorted((int(mark.text or ""), share(mark.get("x", ""))) for mark in of_kind(root, "mid"))
    (low, left), (high, right) = ticks[0], ticks[-1]
    return left + (value - low) / (high - low) * (right - left)


def test_bar_dot_and_barrier_stand_at_their_values() -> None:
    rows = [StripRow("ann", TEN, 93), StripRow("ben", (80, 84, 82), 80)]
    root = parse(group_strip(rows))
    bars = [(share(mark.get("x", "")), share(mark.get("width", ""))) for mark in of_kind(root, "sea")]
    wanted = [(82, 82), (90, 97)]
    assert [row.bar for row in rows] == [(90, 97), (82, 82)]
    drawn = sorted((left, left + width) for left, width in bars)
    assert [edge for bar in drawn for edge in bar] == pytest.approx(
        [on_axis(root, value) for bar in wanted for value in bar], abs=1e-4
    )
    barriers = sorted(share(mark.get("x1", "")) for mark in of_kind(root, "bar"))
    assert barriers == pytest.approx([on_axis(root, 79.5), on_axis(root, 92.5)], abs=1e-4)
    under, over = of_kind(root, "dot"), of_kind(root, "open")
    assert [share(mark.get("cx", "")) for mark in under] == pytest.approx([on_axis(root, 92)], abs=1e-4)
    assert [share(mark.get("cx", "")) for mark in over] == pytest.approx([on_axis(root, 82)], abs=1e-4)


def test_under_means_less_than_the_barrier() -> None:
    assert [StripRow("ann", (score,), 90).is_under for score in (89, 90, 91)] == [True, False, False]


def test_to_go_is_the_mean_less_the_last_total_under_the_barrier() -> None:
    # By hand: 90 + 91 + 93 = 274, less 3 x 89 = 7 strokes over three rounds, 2.33; then 7 over 4, 1.75 up to 1.8.
    assert StripRow("ann", (90, 91, 93), 90).to_go == 23
    assert StripRow("ann", (90, 91, 93, 89), 90).to_go == 18
    assert StripRow("ann", (88, 88), 90).to_go == -10
    assert StripRow("ann", (70, *TEN), 93).to_go == StripRow("ann", TEN, 93).to_go
    assert StripRow("ann", (), 90).to_go is None


def test_nearest_first_and_those_without_last() -> None:
    rows = [StripRow("nobody", ()), StripRow("far", (99,), 90), StripRow("open", (88,)), StripRow("near", (91,), 90)]
    picture = group_strip(rows)
    assert [row.cells[0] for row in picture.rows] == ["near", "far", "open", "nobody"]
    assert [mark.text for mark in of_kind(parse(picture), "name")] == ["near", "far", "open", "nobody"]
    assert picture.rows[3].cells[1:] == ("\u2013",) * 4


def test_who_is_there_already_is_said_so() -> None:
    picture = group_strip([StripRow("ann", (85, 86, 84), 90), StripRow("ben", (91, 92, 93), 90)])
    assert picture.rows[0].cells[4] == "there"
    assert picture.reading == "For one of two the usual range reaches under the barrier; ben is nearest to it."


def test_without_barriers_nothing_is_claimed_about_them() -> None:
    picture = group_strip([StripRow("ann", TEN)])
    root = parse(picture)
    assert "barrier" not in picture.reading
    assert not of_kind(root, "bar")
    assert not of_kind(root, "dot")
    assert len(of_kind(root, "open")) == 1
    assert "to go" not in [mark.text for mark in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("scores", [(72,), (150,), (27, 27), tuple(range(60, 160, 10))])
def test_every_mark_stays_on_the_axis(scores: tuple[int, ...]) -> None:
    root = parse(group_strip([StripRow("ann", scores, 90)]))
    for mark in root.iter():
        for name in ("x", "x1", "x2", "cx"):
            if (mark.get(name) or "").endswith("%"):
                assert 0 <= share(mark.get(name, "")) <= 1


def test_hostile_and_long_names_stay_text() -> None:
    long = "Wilhelmina " * 12
    picture = group_strip([StripRow(HOSTILE, TEN, 93, is_reader=True), StripRow(long, TEN, 90)])
    names = [mark.text or "" for mark in of_kind(parse(picture), "name")]
    assert HOSTILE in names
    assert "<svg onload" not in picture.svg
    assert max(len(name) for name in names) <= 24
    assert long in [row.cells[0] for row in picture.rows]
    assert not any("style" in mark.attrib for mark in parse(picture).iter())


def test_the_reader_is_marked_by_ground_and_by_weight() -> None:
    root = parse(group_strip([StripRow("ann", TEN, 93, is_reader=True), StripRow("ben", TEN, 90)]))
    assert [mark.text for mark in of_kind(root, "lbl")] == ["ann"]
    assert len([mark for mark in of_kind(root, "land") if mark.get("x")]) == 1


def test_a_group_without_a_score_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a score"):
        group_strip([StripRow("ann", ())])
