import pytest

from league.estimates import words
from league.estimates.estimate import about


def test_an_estimate_reaches_two_standard_errors_to_either_side():
    found = about(2.0, 0.5, 30)
    assert (found.value, found.n) == (2.0, 30)
    assert (found.low, found.high) == pytest.approx((1.02, 2.98))


def test_what_cannot_be_negative_is_not():
    assert about(0.2, 0.5, 3, floor=0.0).low == 0.0


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.2, "no strokes"),
        (0.25, "half a stroke"),
        (0.74, "half a stroke"),
        (1.0, "one stroke"),
        (1.5, "one and a half strokes"),
        (7.6, "seven and a half strokes"),
        (20.0, "twenty strokes"),
        (23.5, "23 and a half strokes"),
    ],
)
def test_strokes_to_the_nearest_half(value, said):
    assert words.strokes(value) == said
