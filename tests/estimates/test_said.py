"""Said and happened: classes by what was said, where the share should lie, ways beside ours."""

import math

import pytest

from league.estimates import said
from league.estimates.judgement import Mark


def mark(chance: float, broke: bool, *, pit: float = 0.5, crps: float = 2.0, player: int = 0) -> Mark:
    return Mark(player, 10, False, crps, 3.0, chance, broke, pit)


def test_a_class_gathers_what_was_said_and_counts_what_came_true() -> None:
    marks = [mark(0.22, place < 3) for place in range(10)] + [mark(0.7, place < 8) for place in range(10)]
    found = said.classes(marks)
    assert [(one.said, one.happened, one.n) for one in found] == [
        (pytest.approx(0.22), 0.3, 10),
        (pytest.approx(0.7), 0.8, 10),
    ]


def test_a_class_with_too_few_is_joined_and_none_is_lost() -> None:
    marks = [mark(0.02, False)] * 9 + [mark(0.07, True)] * 3 + [mark(0.5, True)] * 20
    found = said.classes(marks)
    assert [one.n for one in found] == [12, 20]
    assert found[0].happened == 0.25
    assert said.classes([mark(0.5, True)] * (said.FEWEST_IN_CLASS - 1)) == ()


@pytest.mark.parametrize(("chance", "n"), [(0.25, 40), (0.5, 10), (0.03, 100), (0.9, 8), (0.25, 400)])
def test_the_range_holds_nine_in_ten_counted_out(chance: float, n: int) -> None:
    low, high = said.expected_range(chance, n)
    chances = [math.comb(n, k) * chance**k * (1 - chance) ** (n - k) for k in range(n + 1)]
    first, last = round(low * n), round(high * n)
    assert sum(chances[first : last + 1]) >= 0.9
    # It is no wider than it must be: each tail with the edge itself is over a twentieth.
    assert sum(chances[: first + 1]) >= 0.05
    assert sum(chances[last:]) >= 0.05


def test_many_and_very_many_meet() -> None:
    exact, near = said.expected_range(0.25, said.EXACT_UP_TO), said.expected_range(0.25, said.EXACT_UP_TO + 1)
    assert near == pytest.approx(exact, abs=0.004)


@pytest.mark.parametrize("chance", [0.0, 0.01, 0.99, 1.0])
@pytest.mark.parametrize("n", [8, 40, 400, 5000])
def test_a_range_stays_between_none_and_all(chance: float, n: int) -> None:
    low, high = said.expected_range(chance, n)
    assert 0 <= low <= chance + 1e-12
    assert chance - 1e-12 <= high <= 1


def test_the_band_is_counted_by_where_the_round_fell() -> None:
    marks = [mark(0.5, True, pit=pit) for pit in (0.05, 0.1, 0.5, 0.9, 0.95)]
    found = said.band_cover(marks)
    assert (found.said, found.happened, found.n) == (pytest.approx(0.8), pytest.approx(0.6), 5)


def test_ways_stand_beside_ours_with_how_much_worse_they_are() -> None:
    ours = [mark(0.3, place % 3 == 0, crps=2.0, player=place % 12) for place in range(120)]
    theirs = [mark(0.6, place % 3 == 0, crps=2.5, player=place % 12) for place in range(120)]
    first, second = said.ways({"plain": theirs, "ours": ours}, "ours")
    assert (first.name, first.low, first.high, first.crps) == ("ours", None, None, 2.0)
    assert (second.name, second.crps) == ("plain", 2.5)
    assert (second.low, second.high) == pytest.approx((0.5, 0.5))
    # By hand: a third came true; (0.3 - 1)^2 / 3 + 0.3^2 x 2/3.
    assert first.brier == pytest.approx(0.49 / 3 + 0.09 * 2 / 3)
