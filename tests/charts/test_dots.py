"""Twenty dots: stacks on a score axis, the barrier between two scores."""

from collections import Counter

import pytest

from league.charts import twenty_dots
from tests.charts.drawn import SVG, of_kind, parse, share

TWENTY = (84, 86, 87, 88, 89, 89, 90, 90, 91, 91, 92, 92, 93, 93, 94, 95, 96, 97, 99, 103)


def centres(picture, kind):
    return [round(share(mark.get("cx", "")), 6) for mark in of_kind(parse(picture), kind)]


def test_one_dot_a_score_filled_under_the_barrier() -> None:
    picture = twenty_dots(TWENTY, 90)
    assert (len(centres(picture, "dot")), len(centres(picture, "open"))) == (6, 14)
    assert max(centres(picture, "dot")) < min(centres(picture, "open"))


def test_scores_stand_even_and_the_barrier_half_a_stroke_below() -> None:
    picture = twenty_dots(TWENTY, 90)
    at = sorted(set(centres(picture, "dot") + centres(picture, "open")))
    scores = sorted(set(TWENTY))
    unit = (at[-1] - at[0]) / (scores[-1] - scores[0])
    assert at == pytest.approx([at[0] + unit * (score - scores[0]) for score in scores], abs=1e-4)
    (barrier,) = [share(mark.get("x1", "")) for mark in of_kind(parse(picture), "bar")]
    assert barrier == pytest.approx(at[0] + unit * (89.5 - scores[0]), abs=1e-4)


def test_equal_scores_are_stacked_and_do_not_touch() -> None:
    stacks: dict[str, list[float]] = {}
    for kind in ("dot", "open"):
        for mark in of_kind(parse(twenty_dots((90,) * 20, 85)), kind):
            stacks.setdefault(mark.get("cx", ""), []).append(float(mark.get("cy", "")))
    (heights,) = stacks.values()
    assert len(heights) == 20
    gaps = [upper - lower for lower, upper in zip(sorted(heights), sorted(heights)[1:], strict=False)]
    assert min(gaps) >= 12


def test_the_numbers_are_the_same() -> None:
    picture = twenty_dots(TWENTY, 90)
    assert [(row.cells[0], row.cells[1]) for row in picture.rows] == [
        (str(score), str(count)) for score, count in sorted(Counter(TWENTY).items())
    ]
    assert picture.rows[-1].cells[2] == "20 of 20"


def test_the_sentence_counts_what_falls_under() -> None:
    assert twenty_dots(TWENTY, 90).reading == "6 of 20 fall under 90; the middle of the twenty is 91 or 92."
    assert twenty_dots(TWENTY).reading == "The middle of the twenty is 91 or 92."
    assert twenty_dots((88, 92), None).reading == "The middle of the two is between 88 and 92."


@pytest.mark.parametrize("barrier", [None, 60, 84, 90, 104, 150])
@pytest.mark.parametrize("scores", [TWENTY, (18,) * 20, tuple(range(70, 450, 19)), (90,)])
def test_every_mark_stays_on_the_sheet(scores: tuple[int, ...], barrier: int | None) -> None:
    root = parse(twenty_dots(scores, barrier))
    for mark in root.iter():
        for name in ("x", "x1", "x2", "cx"):
            if (mark.get(name) or "").endswith("%"):
                assert 0 <= share(mark.get(name, "")) <= 1
    assert root.tag == f"{SVG}svg"
    assert not any("style" in mark.attrib for mark in root.iter())


def test_without_a_score_there_is_no_picture() -> None:
    with pytest.raises(ValueError, match="needs a score"):
        twenty_dots(())
