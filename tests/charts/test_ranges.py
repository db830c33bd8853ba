"""One range on an axis: where the score or the difference lies in it, and what is lettered."""

import pytest

from league.charts import difference_range, score_in_range
from tests.charts.drawn import of_kind, parse, share

pytestmark = pytest.mark.one_database


def places(picture):
    root = parse(picture)
    (tint,), (dot,) = of_kind(root, "sea"), of_kind(root, "dot")
    left = round(share(tint.get("x", "")), 6)
    return left, round(share(dot.get("cx", "")), 6), round(left + share(tint.get("width", "")), 6)


@pytest.mark.parametrize("gross", [60, 85, 86, 91, 97, 98, 140])
def test_the_dot_lies_where_the_score_fell(gross: int) -> None:
    picture = score_in_range(gross, 86, 97, "As it fell.")
    left, at, right = places(picture)
    assert (left <= at <= right) == (86 <= gross <= 97)
    assert 0 <= min(left, at) < max(right, at) <= 1
    assert (at - left) / (right - left) == pytest.approx((gross - 86) / 11, abs=0.01)
    assert (picture.reading, picture.rows[0].cells) == ("As it fell.", ("86", "97", str(gross)))


def test_scores_and_ends_are_lettered_apart() -> None:
    words = [mark.text for mark in of_kind(parse(score_in_range(104, 86, 97, "")), "mid")]
    assert {"104", "86", "97"} <= set(words)


@pytest.mark.parametrize(("value", "low", "high"), [(-0.4, -1.2, 0.4), (0.3, 0.1, 0.5), (-2.0, -3.1, -0.9), (0, 0, 0)])
def test_no_difference_is_a_line_of_its_own(value: float, low: float, high: float) -> None:
    picture = difference_range(value, low, high, "")
    left, at, right = places(picture)
    (none,) = (share(mark.get("x1", "")) for mark in of_kind(parse(picture), "bar"))
    assert left <= at <= right
    assert (left <= none <= right) == (low <= 0 <= high)
    assert 0 <= none <= 1


def test_the_numbers_of_a_difference_carry_their_signs() -> None:
    picture = difference_range(-0.4, -1.2, 0.4, "")
    assert picture.rows[0].cells == ("−0.40", "−1.20", "+0.40")
    assert "−0.40" in [mark.text for mark in of_kind(parse(picture), "lbl")]
