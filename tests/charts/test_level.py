"""Progress: rounds as dots, the level as a stepped line, the band behind it."""

from datetime import date, timedelta

import pytest

from league.charts import ProgressPoint, progress_line
from tests.charts.drawn import of_kind, parse, scale_of, share

FIRST = date(2026, 1, 5)


def points(count: int, *, gap: int = 7, score: float = 95.0) -> list[ProgressPoint]:
    return [
        ProgressPoint(FIRST + timedelta(days=gap * n), 95, score - n % 9, 93.0 - n / 50, 88.0 - n / 50, 98.0 - n / 50)
        for n in range(count)
    ]


def figures(root):
    return {mark.text: float(mark.text) for mark in of_kind(root, "end") if (mark.text or "").isdigit()}


def test_dots_stand_at_their_scores_and_fill_under_the_barrier() -> None:
    told = points(12)
    root = parse(progress_line(told, 90))
    per_unit, zero = scale_of(root, figures(root))
    drawn = sorted(
        (share(mark.get("cx", "")), float(mark.get("cy", "")))
        for kind in ("dot", "open")
        for mark in of_kind(root, kind)
    )
    assert [y for _, y in drawn] == pytest.approx([zero + per_unit * one.score for one in told], abs=0.06)
    assert len(of_kind(root, "dot")) == sum(one.score < 89.5 for one in told)
    (barrier,) = [float(mark.get("y1", "")) for mark in of_kind(root, "bar")]
    assert barrier == pytest.approx(zero + per_unit * 89.5, abs=0.06)


def test_rounds_keep_their_order_and_the_level_goes_on_to_the_end() -> None:
    root = parse(progress_line(points(30), 90))
    xs = [share(mark.get("cx", "")) for mark in root.iter() if {"dot", "open"} & set(mark.get("class", "").split())]
    assert xs == sorted(xs)
    assert len(set(xs)) == 30
    assert max(share(mark.get("x2", "")) for mark in of_kind(root, "level")) == 1
    assert len(of_kind(root, "sea")) == 30


def test_the_sentence_looks_back_only() -> None:
    picture = progress_line(points(12), 90)
    assert picture.reading.startswith("Your level was 93.0 on 5 Jan 2026 and is 92.8 now, on this tee")
    assert "the barrier asks for 89" in picture.reading
    assert "would have been under 90 here" in picture.reading
    assert not any(word in picture.reading for word in ("will", "soon", "expect"))


def test_newest_first_in_the_table() -> None:
    picture = progress_line(points(3))
    assert [row.cells[0] for row in picture.rows] == ["19 Jan 2026", "12 Jan 2026", "5 Jan 2026"]
    assert picture.rows[-1].cells[1:] == ("95", "95.0", "93.0", "88 to 98")


@pytest.mark.parametrize("count", [1, 2, 3, 40, 41, 200, 1000])
@pytest.mark.parametrize("gap", [0, 1, 400])
@pytest.mark.parametrize("barrier", [None, 60, 150])
def test_every_mark_stays_on_the_sheet(count: int, gap: int, barrier: int | None) -> None:
    told = points(count, gap=min(gap, 2_000_000 // (count + 1) % 400))
    root = parse(progress_line(told, barrier))
    height = float(root.get("height", ""))
    for mark in root.iter():
        for name in ("x", "x1", "x2", "cx"):
            if (mark.get(name) or "").endswith("%"):
                assert 0 <= share(mark.get(name, "")) <= 1
        if mark.get("cy"):
            assert 0 <= float(mark.get("cy", "")) <= height


@pytest.mark.parametrize("score", [18.0, 450.0, -5.0])
def test_extremes_stay_within(score: float) -> None:
    told = [*points(5), ProgressPoint(FIRST + timedelta(days=90), 95, score, 93.0, 88.0, 98.0)]
    root = parse(progress_line(told, 90))
    for mark in root.iter():
        if mark.get("cy"):
            assert 0 <= float(mark.get("cy", "")) <= float(root.get("height", ""))


def test_without_a_round_there_is_no_picture() -> None:
    with pytest.raises(ValueError, match="needs a round"):
        progress_line([])
