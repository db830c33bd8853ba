"""Personal pars: the sum is the barrier's last allowed score, whatever is fixed; what cannot be is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from league.estimates import holes as holes_module
from league.estimates.holes import Result, expected
from league.estimates.personal_pars import Share, balanced, due, shares
from league.rules.errors import RuleBroken
from league.rules.scorecard import Hole

PARS = (4, 4, 3, 5, 4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 5, 4)
INDEXES = (9, 3, 15, 7, 13, 1, 17, 11, 5, 8, 14, 2, 6, 16, 4, 18, 12, 10)
COURSE = tuple(Hole(number, par, index) for number, par, index in zip(range(1, 19), PARS, INDEXES, strict=True))

barriers = st.integers(60, 150)
orders = st.permutations(range(1, 19))
hardness = st.lists(st.one_of(st.none(), st.floats(-2, 2)), min_size=18, max_size=18)


def course(order: list[int], harder: list[float | None]) -> list[Share]:
    return [
        Share(number, PARS[number - 1], index, hard)
        for number, index, hard in zip(range(1, 19), order, harder, strict=True)
    ]


def test_a_bogey_everywhere_and_one_par_breaks_ninety() -> None:
    """Common practice: a bogey on every hole of a par 72 is 18 over, one too many; the easiest hole is the par."""
    pars = balanced(90, shares(COURSE))
    assert sum(pars) == 89
    assert [par - hole.par for par, hole in zip(pars, COURSE, strict=True)] == [
        0 if hole.stroke_index == 18 else 1 for hole in COURSE
    ]


@given(barriers, orders)
def test_without_own_results_it_is_the_budget_by_stroke_index(barrier: int, order: list[int]) -> None:
    printed = [Hole(number, PARS[number - 1], index) for number, index in zip(range(1, 19), order, strict=True)]
    assert balanced(barrier, shares(printed)) == holes_module.personal_pars(barrier, printed)


@given(barriers, orders, hardness, st.dictionaries(st.integers(1, 18), st.integers(2, 15), max_size=18))
def test_the_sum_always_holds_or_the_wish_is_refused(
    barrier: int, order: list[int], harder: list[float | None], fixed: dict[int, int]
) -> None:
    parts = course(order, harder)
    try:
        pars = balanced(barrier, parts, fixed)
    except RuleBroken:
        out_of_range = any(
            not parts[number - 1].least <= par <= parts[number - 1].most for number, par in fixed.items()
        )
        free = [part for part in parts if part.number not in fixed]
        left = barrier - 1 - sum(fixed.values())
        assert out_of_range or not sum(part.least for part in free) <= left <= sum(part.most for part in free)
        return
    assert sum(pars) == barrier - 1
    assert all(pars[number - 1] == par for number, par in fixed.items())
    assert all(part.least <= par <= part.most for part, par in zip(parts, pars, strict=True))


@given(st.integers(60, 149), orders, hardness)
def test_a_higher_barrier_takes_nothing_from_a_hole(barrier: int, order: list[int], harder: list[float | None]) -> None:
    parts = course(order, harder)
    lower, higher = balanced(barrier, parts), balanced(barrier + 1, parts)
    assert sum(one != other for one, other in zip(lower, higher, strict=True)) == 1
    assert all(one <= other for one, other in zip(lower, higher, strict=True))


@given(st.integers(75, 130), orders, hardness, st.integers(1, 18))
def test_a_stroke_fixed_onto_a_hole_comes_off_one_other(
    barrier: int, order: list[int], harder: list[float | None], number: int
) -> None:
    parts = course(order, harder)
    before = balanced(barrier, parts)
    after = balanced(barrier, parts, {number: before[number - 1] + 1})
    changes = sorted(new - old for new, old in zip(after, before, strict=True) if new != old)
    assert changes == [-1, 1]
    assert balanced(barrier, parts, {number: before[number - 1]}) == before


@given(barriers, orders, hardness, st.integers(0, 17))
def test_a_hole_that_is_harder_for_the_player_never_gets_less(
    barrier: int, order: list[int], harder: list[float | None], place: int
) -> None:
    parts = course(order, harder)
    one = parts[place]
    harder_now = parts.copy()
    harder_now[place] = Share(one.number, one.par, one.stroke_index, one.target - one.par + 0.7)
    assert balanced(barrier, harder_now)[place] >= balanced(barrier, parts)[place]


def test_own_results_move_a_stroke_and_few_do_not() -> None:
    """Hole 16 has index 18; forty cards with a double there and bogeys elsewhere outweigh the index, one does not."""

    def cards(n: int) -> list[Result]:
        return [Result(h.number, h.par, h.par + 1 + (h.number == 16)) for h in COURSE for _ in range(n)]

    one = balanced(90, shares(COURSE, expected(cards(1))))
    many = balanced(90, shares(COURSE, expected(cards(40))))
    assert one[15] == 3
    assert many[15] == 4
    assert sum(many) == 89


def test_what_cannot_be_met_is_refused_with_a_reason() -> None:
    parts = shares(COURSE)
    with pytest.raises(RuleBroken, match="Hole 3: a personal par is from 2 to 12 there") as refused:
        balanced(90, parts, {3: 1})
    assert (refused.value.code, refused.value.field) == ("personal_par_range", "personal_par")
    dear = {number: PARS[number - 1] + 9 for number in range(1, 5)}
    with pytest.raises(
        RuleBroken, match="Four holes are fixed: 37 strokes are left for the others, less than a birdie"
    ):
        balanced(90, parts, dear)
    with pytest.raises(RuleBroken, match="All holes are fixed, and they add up to 72, not 89"):
        balanced(90, parts, dict(zip(range(1, 19), PARS, strict=True)))
    with pytest.raises(ValueError, match="eighteen"):
        shares(COURSE[:9])


def test_due_runs_to_the_last_allowed_score() -> None:
    assert due(balanced(90, shares(COURSE)))[-1] == 89
