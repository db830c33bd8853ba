"""Where a score falls, and what a barrier leaves; worked by hand."""

from hypothesis import given
from hypothesis import strategies as st

from journal.expectation import ABOVE, BELOW, INSIDE, fell, from_here_words


@given(low=st.integers(60, 120), width=st.integers(0, 40), gross=st.integers(50, 180))
def test_a_score_falls_in_one_place(low: int, width: int, gross: int) -> None:
    where = fell(gross, low, low + width)
    assert (where == INSIDE) == (low <= gross <= low + width)
    assert (where == BELOW) == (gross < low)
    assert (where == ABOVE) == (gross > low + width)


@given(strokes=st.integers(1, 120), par_left=st.integers(3, 72))
def test_what_is_said_to_be_left_gets_under_the_barrier_and_one_more_does_not(strokes: int, par_left: int) -> None:
    words = from_here_words(90, strokes, par_left, max(1, par_left // 4))
    if "out of reach" in words:
        return
    left = int(words.split(": ")[1].split()[0])
    assert strokes + left < 90 <= strokes + left + 1


def test_a_hole_or_two_under_par_is_not_called_out_of_reach_by_its_par() -> None:
    assert from_here_words(90, 83, 8, 2) == (
        "2 holes to go: 6 strokes would still get under 90, 2 under their par. The next hole is one hole."
    )
    assert from_here_words(90, 84, 4, 1) == "1 hole to go: 5 strokes still get under 90, 1 over their par."
