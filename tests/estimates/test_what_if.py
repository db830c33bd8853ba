from datetime import date
from random import Random
from statistics import fmean

import pytest

from league.estimates.leaks import PlayedHole
from league.estimates.outlook import Ground, Level, chance, predict
from league.estimates.what_if import (
    CHANGES,
    NO_WORSE_THAN_DOUBLE,
    ONE_PENALTY_FEWER,
    THREE_PUTTS_HALVED,
    what_if,
)

GROUND = Ground(70.4, 121)
NEXT = predict(Level(22.0, 0.08, 15.0, 20, date(2024, 6, 24)), date(2024, 7, 1))


def draw_round(rng: Random) -> list[PlayedHole]:
    day = rng.gauss(0, 0.2)
    holes = []
    for stroke_index in range(1, 19):
        over = max(-1, round(rng.gauss(1.2 + day, 1.1)))
        putts = rng.choice((1, 2, 3)) if over > 0 else 2
        holes.append(PlayedHole(4, stroke_index, 4 + over, putts=putts, penalties=int(over > 1 and rng.random() < 0.4)))
    return holes


def rounds(n: int) -> list[list[PlayedHole]]:
    rng = Random("own rounds")
    return [draw_round(rng) for _ in range(n)]


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.code)
def test_before_is_the_outlooks_own_chance_and_after_is_no_lower(change):
    for barrier in (85, 90, 95, 100):
        told = what_if(NEXT, GROUND, barrier, rounds(20), change)
        assert told.before == chance(NEXT, GROUND, barrier)
        assert told.before <= told.after.low <= told.after.value <= told.after.high <= 1
        assert told.after.n == 20
        assert 0 <= told.draw_error < 0.012


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.code)
def test_the_same_seed_gives_the_same_answer(change):
    first, again, other = (what_if(NEXT, GROUND, 95, rounds(12), change, seed) for seed in (1, 1, 2))
    assert first == again
    assert abs(first.after.value - other.after.value) <= 5 * (first.draw_error**2 + other.draw_error**2) ** 0.5


def test_another_seed_draws_otherwise():
    first, other = (what_if(NEXT, GROUND, 95, rounds(12), THREE_PUTTS_HALVED, seed) for seed in (1, 2))
    assert first.after != other.after


def test_a_stroke_off_every_round_is_worth_the_next_barrier():
    """Every round has a penalty here, so one fewer takes a stroke off every score."""
    own = [[PlayedHole(4, index, 5, putts=2, penalties=int(index == 1)) for index in range(1, 19)]] * 6
    told = what_if(NEXT, GROUND, 95, own, ONE_PENALTY_FEWER)
    assert told.saved == 1.0
    assert told.after.value == pytest.approx(chance(NEXT, GROUND, 96), abs=0.005)


def test_nothing_to_save_changes_nothing():
    own = [[PlayedHole(4, index, 5, putts=2, penalties=0) for index in range(1, 19)]] * 6
    for change in CHANGES:
        told = what_if(NEXT, GROUND, 95, own, change)
        assert (told.after.value, told.saved, told.draw_error) == (told.before, 0.0, 0.0)


def test_half_of_the_three_putts_are_saved():
    own = rounds(30)
    extra = fmean(sum(max(0, hole.putts - 2) for hole in holes) for holes in own)
    assert what_if(NEXT, GROUND, 95, own, THREE_PUTTS_HALVED).saved == pytest.approx(extra / 2, rel=0.1)


def test_it_is_not_a_shift_of_the_mean():
    """No hole worse than double saves most where the round was poor already, so it helps less than its mean says."""
    own = rounds(30)
    told = what_if(NEXT, GROUND, 90, own, NO_WORSE_THAN_DOUBLE)
    shifted = NEXT.cdf(GROUND.differential(89.5 + told.saved))
    assert told.before < told.after.value < shifted


@pytest.mark.parametrize(("n", "is_said"), [(0, False), (4, False), (5, True)])
def test_from_fewer_than_five_rounds_nothing_is_said(n, is_said):
    assert (what_if(NEXT, GROUND, 95, rounds(n), NO_WORSE_THAN_DOUBLE) is not None) is is_said


def test_rounds_without_what_it_needs_do_not_count():
    bare = [[PlayedHole(4, index, 5) for index in range(1, 19)]] * 10
    assert what_if(NEXT, GROUND, 95, bare, ONE_PENALTY_FEWER) is None
    assert what_if(NEXT, GROUND, 95, bare, THREE_PUTTS_HALVED) is None
    assert what_if(NEXT, GROUND, 95, bare + rounds(7), ONE_PENALTY_FEWER).after.n == 7
    assert what_if(NEXT, GROUND, 95, bare, NO_WORSE_THAN_DOUBLE).after.n == 10
