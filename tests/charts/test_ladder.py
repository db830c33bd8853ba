"""The leak ladder: costliest first, everything else last, the barrier where the usual score comes under it."""

import pytest

from league.charts import Rung, leak_ladder
from tests.charts.drawn import of_kind, parse, share

HOSTILE = '"><svg onload>'
RUNGS = [
    Rung("penalty strokes", 1.0, 0.5, 1.5, 180),
    Rung("three-putts", 2.5, 1.5, 3.5, 180),
    Rung("recovery shots", None, reason="not recorded yet"),
    Rung("everything else", 3.0, 1.0, 5.0, 180),
]


def on_axis(root, value: float) -> float:
    """Where so many strokes stand, from the two outermost lettered ticks."""
    ticks = sorted(
        (float((mark.text or "").replace("\u2212", "-")), share(mark.get("x", ""))) for mark in of_kind(root, "mid")
    )
    (low, left), (high, right) = ticks[0], ticks[-1]
    return left + (value - low) / (high - low) * (right - left)


def test_costliest_first_and_everything_else_last() -> None:
    root = parse(leak_ladder(95.5, 90, RUNGS))
    assert [mark.text for mark in of_kind(root, "lbl")] == [
        "three-putts, 2.5",
        "penalty strokes, 1.0",
        "everything else, 3.0",
    ]
    assert [mark.text for mark in of_kind(root, "end")] == ["then 93.0", "then 92.0", "then 89.0"]


def test_bars_and_ranges_stand_at_their_values() -> None:
    root = parse(leak_ladder(95.5, 90, RUNGS))
    dots = [share(mark.get("cx", "")) for mark in of_kind(root, "ink")]
    assert dots == pytest.approx([on_axis(root, value) for value in (2.5, 1.0, 3.0)], abs=1e-3)
    ends = [(share(mark.get("x1", "")), share(mark.get("x2", ""))) for mark in of_kind(root, "wh")][::3]
    wanted = [(on_axis(root, low), on_axis(root, high)) for low, high in ((1.5, 3.5), (0.5, 1.5), (1.0, 5.0))]
    assert [edge for pair in ends for edge in pair] == pytest.approx(
        [edge for pair in wanted for edge in pair], abs=1e-3
    )


def test_the_barrier_is_a_line_below_the_rung_that_reaches_it() -> None:
    bars = of_kind(
        parse(leak_ladder(92.4, 90, [Rung("three-putts", 2.5, 1, 4, 9), Rung("doubles", 1.0, 0, 2, 9)])), "bar"
    )
    assert len(bars) == 1
    far = leak_ladder(120.0, 90, [Rung("three-putts", 2.5, 1, 4, 9)])
    assert not of_kind(parse(far), "bar")


def test_what_is_not_known_is_said_in_the_table_with_its_reason() -> None:
    picture = leak_ladder(95.5, 90, RUNGS)
    assert ("recovery shots", "\u2013", "not recorded yet", "\u2013", "\u2013") in [row.cells for row in picture.rows]
    assert picture.rows[0].cells == ("penalty strokes", "1.0", "0.5 to 1.5", "180", "94.5")


def test_the_sentence_names_the_way_down_and_the_costliest() -> None:
    assert leak_ladder(95.5, 90, RUNGS).reading == (
        "From a usual 95.5 down to 89 is 6.5 strokes. Most of what was noted goes on three-putts: 2.5 a round."
    )
    assert leak_ladder(88.0, 90, RUNGS).reading == "The usual score of 88.0 is under 90 already."
    alone = leak_ladder(95.5, 90, [Rung("everything else", 6.5, 5, 8, 9)])
    assert alone.reading == "From a usual 95.5 down to 89 is 6.5 strokes."


@pytest.mark.parametrize("strokes", [-30.0, -0.04, 0.0, 0.04, 60.0])
def test_every_mark_stays_on_the_axis(strokes: float) -> None:
    root = parse(leak_ladder(95.5, 90, [Rung("three-putts", strokes, strokes - 9, strokes + 9, 1), *RUNGS]))
    for mark in root.iter():
        for name in ("x", "x1", "x2", "cx"):
            if (mark.get(name) or "").endswith("%"):
                assert 0 <= share(mark.get(name, "")) <= 1


def test_hostile_words_stay_text() -> None:
    picture = leak_ladder(95.5, 90, [Rung(HOSTILE, 2.0, 1.0, 3.0, 9)])
    assert "<svg onload" not in picture.svg
    assert HOSTILE in (of_kind(parse(picture), "lbl")[0].text or "")


def test_without_a_known_kind_there_is_no_picture() -> None:
    with pytest.raises(ValueError, match="needs a rung"):
        leak_ladder(95.5, 90, [Rung("recovery shots", None)])
