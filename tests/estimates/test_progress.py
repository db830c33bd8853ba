from datetime import date, timedelta
from random import Random
from statistics import fmean

import pytest

from league.estimates.outlook import Ground, Level, Played, level_of, levels_of
from league.estimates.progress import (
    ROUNDS_BETWEEN_FALSE_ALARMS,
    Cusum,
    changes,
    lately,
    next_barrier,
    one_round,
    standing,
)
from tests.estimates.fixtures import table

DAY = date(2024, 3, 3)
SETTLED = Level(mean=20.0, variance=0.07, surprises=29 * 3.34**2, n=30, last=DAY)


def weekly(differentials, first=DAY):
    return [Played(first + timedelta(days=7 * place), x) for place, x in enumerate(differentials)]


def rounds_until_alarm(rng: Random, shift: float = 0.0) -> int:
    sums, count = Cusum(), 0
    while not sums.alarm:
        sums = sums.after(rng.gauss(shift, 1))
        count += 1
    return count


def test_a_false_alarm_comes_as_seldom_as_is_said():
    """Simulated anew here: 600 runs, so within 8 %, two standard errors of the mean run."""
    [printed] = [row[1] for row in table("cusum") if row[0] == 5]
    assert printed == ROUNDS_BETWEEN_FALSE_ALARMS
    rng = Random("false alarms")
    assert fmean(rounds_until_alarm(rng) for _ in range(600)) == pytest.approx(printed, rel=0.08)


def test_a_real_change_is_noticed_as_soon_as_is_said():
    [(one, three_quarters)] = [row[2:] for row in table("cusum") if row[0] == 5]
    rng = Random("changes")
    assert fmean(rounds_until_alarm(rng, 1.0) for _ in range(1500)) == pytest.approx(one, rel=0.05)
    assert fmean(rounds_until_alarm(rng, -0.75) for _ in range(1500)) == pytest.approx(three_quarters, rel=0.05)


def test_one_round_never_says_that_the_level_changed():
    assert Cusum().after(3.0).alarm is None
    assert Cusum().after(-3.0).alarm is None
    usual = [20.0 + 3 * (-1) ** n for n in range(30)]
    for wild in (-20.0, 70.0):
        assert changes(levels_of(weekly([*usual, wild]))) == []


def test_better_rounds_are_lower_and_the_sums_start_anew_after_an_alarm():
    sums = Cusum()
    for _ in range(3):
        sums = sums.after(-2.5)
    assert sums.alarm == "better"
    assert sums.after(0.0) == Cusum()


@pytest.mark.parametrize(("change", "direction"), [(-8.0, "better"), (8.0, "worse")])
def test_a_step_in_the_record_is_noticed_once(change, direction):
    usual = [20.0 + 2 * (-1) ** n for n in range(40)]
    found = changes(levels_of(weekly([*usual, *(x + change for x in usual)])))
    assert [one.direction for one in found] == [direction]
    assert 41 < found[0].place < 48


def test_the_first_round_finds_the_level_and_surprises_nobody():
    assert changes(levels_of(weekly([45.0]))) == []


@pytest.mark.parametrize(
    ("differential", "said"),
    [
        (12.0, "expect seven and a half of those eight strokes back"),
        (28.0, "seven and a half of those eight strokes are likely to go again"),
        (21.9, "about as expected"),
        (18.1, "about as expected"),
    ],
)
def test_what_one_round_is_worth(differential, said):
    """At weekly play a round moves the level by about 7 % of its surprise."""
    told = one_round(SETTLED, Played(DAY + timedelta(days=7), differential))
    assert told.words == said
    assert told.kept == pytest.approx(0.07 * told.surprise, abs=0.01)


def test_a_steeper_tee_stretches_the_strokes():
    played = Played(DAY + timedelta(days=7), 12.0)
    flat, steep = one_round(SETTLED, played), one_round(SETTLED, played, slope_rating=140)
    assert steep.surprise == pytest.approx(flat.surprise * 140 / 113)
    assert "ten strokes" in steep.words


def test_the_last_rounds_against_those_before():
    usual = [20.0 + 3 * (-1) ** n for n in range(30)]
    found = lately(weekly([*usual, *[22.0] * 5]), 20.0)
    assert (found.k, found.n_before) == (5, 30)
    assert found.difference == pytest.approx(2.0, abs=0.3)
    assert found.standard_error == pytest.approx(1.6, abs=0.3)
    assert found.words == "the last five rounds were two strokes worse, within what luck often does"
    much = lately(weekly([*usual, *[13.0] * 5]), 20.0)
    assert much.z < -2
    assert much.words == "the last five rounds were seven strokes better, more than what luck often does"
    same = lately(weekly([*usual, *[level_of(weekly(usual)).mean] * 5]), 20.0)
    assert same.words == "the last five rounds were as those before"


def test_luck_alone_seldom_goes_beyond_two_standard_errors():
    rng = Random("luck")
    beyond = [abs(lately(weekly(rng.gauss(20, 3.3) for _ in range(40)), 20.0).z) > 2 for _ in range(400)]
    assert 0.005 < fmean(beyond) < 0.08


@pytest.mark.parametrize(("n", "is_said"), [(0, False), (5, False), (7, False), (8, True)])
def test_too_few_rounds_to_compare(n, is_said):
    assert (lately(weekly([20.0] * n), 20.0) is not None) is is_said


def test_where_the_barrier_lies():
    found = standing(SETTLED, Ground(70.4, 121), [99, 93, 104], 90)
    assert (found.best, found.n) == (93, 3)
    assert found.usual == pytest.approx(70.4 + 20 * 121 / 113)
    assert found.distance == pytest.approx(found.usual - 89)
    assert standing(SETTLED, Ground(70.4, 121), [], 90) is None


@pytest.mark.parametrize(("usual", "barrier"), [(91.8, 90), (89.2, 90), (89.0, 80), (101.0, 100), (78.0, None)])
def test_the_next_barrier_is_the_highest_not_passed(usual, barrier):
    assert next_barrier(usual, [80, 100, 90]) == barrier
