from random import Random
from statistics import fmean

import pytest

from league.estimates.evidence import carry_over, residuals
from league.estimates.hole_model import chances
from league.estimates.holes import Result, expected
from league.rules.scorecard import Hole
from tests.estimates.fixtures import table

HOLES = [Hole(number, 4, number) for number in range(1, 19)]
LEVELS = [chances(HOLES, over) for over in (10.0, 18.0, 26.0)]


def league(rng: Random, n: int, tilt: float = 0.0) -> list[list[list[Result]]]:
    """By player: rounds whose next hole costs `tilt` strokes more after a bad one; by drawing, so one or none."""
    players: list[list[list[Result]]] = [[] for _ in LEVELS]
    for number in range(n):
        scores = LEVELS[number % len(LEVELS)]
        played, was_bad = [], False
        for hole, weights in zip(HOLES, scores, strict=True):
            over = rng.choices(range(-2, 9), weights)[0] + (was_bad and rng.random() < tilt)
            was_bad = over - sum(place * weight for place, weight in enumerate(weights, -2)) >= 1.5
            played.append(Result(hole.number, hole.par, hole.par + over))
        players[number % len(LEVELS)].append(played)
    return players


def shuffled(players: list[list[list[Result]]]):
    found = []
    for number, rounds in enumerate(players):
        others = [result for other, them in enumerate(players) if other != number for one in them for result in one]
        expectations = expected([result for one in rounds for result in one], others)
        found += [residuals(one, expectations) for one in rounds]
    return carry_over(found, shuffles=100)


def naive(players: list[list[list[Result]]]) -> float:
    """The plain chart: strokes over par on the hole after a double less those on other holes."""
    after, other = [], []
    for one in (one for rounds in players for one in rounds):
        for before, now in zip(one, one[1:], strict=False):
            (after if before.over >= 2 else other).append(now.over)
    return fmean(after) - fmean(other)


def test_false_alarms_are_few_where_the_plain_chart_always_raises_one():
    """6 % of 200 simulated leagues at a nominal 5 % in the table; here 60 leagues, so up to 7 of them."""
    assert "6%" in dict(table("tilt_test"))["no tilt: permutation-corrected"]
    rng = Random("no tilt")
    leagues = [league(rng, 45) for _ in range(60)]
    found = [shuffled(one) for one in leagues]
    assert sum(one.share_by_chance < 0.05 for one in found) <= 7
    assert abs(fmean(one.effect.value for one in found)) < 0.06
    assert fmean(naive(one) for one in leagues) > 0.1


def test_power_at_half_a_stroke():
    """Table: half a stroke is noticed in 79 % of leagues of 50 rounds, estimated at 0.40; here 20 leagues.

    It is understated, there and here: the round's mean takes a part of it, and marks are not the true bad holes.
    """
    assert dict(table("tilt_test"))["tilt 0.5 rounds 50"].startswith("power 0.79, mean estimate +0.40")
    rng = Random("tilt")
    found = [shuffled(league(rng, 51, tilt=0.5)) for _ in range(20)]
    assert sum(one.share_by_chance < 0.05 for one in found) >= 11
    assert 0.2 < fmean(one.effect.value for one in found) < 0.5


def test_the_interval_is_always_there_and_the_verdict_only_from_a_hundred_rounds():
    few = shuffled(league(Random("few"), 99, tilt=0.9))
    assert few.words == "too few rounds to tell"
    assert few.effect.low < few.effect.value < few.effect.high
    assert few.effect.n == 99
    many = shuffled(league(Random("many"), 120, tilt=0.9))
    assert many.words == "a bad hole seems to carry over"
    assert many.effect.low > 0
    none = shuffled(league(Random("none"), 120))
    assert none.words == "no sign that a bad hole carries over"


def test_without_a_bad_hole_there_is_nothing_to_test():
    assert carry_over([[0.1, -0.1] * 9] * 120) is None
    assert carry_over([]) is None


def test_residuals_are_centred_in_the_round():
    played = [Result(1, 4, 6), Result(2, 4, 4)]
    found = residuals(played, expected([Result(1, 4, 5), Result(2, 4, 5)]))
    assert sum(found) == pytest.approx(0)
    assert found[0] == pytest.approx(1)


def test_the_same_seed_shuffles_the_same_way():
    rounds = [[2.0, -1.0, 0.5, -0.5, -1.0, 1.6, -1.6] for _ in range(8)]
    assert carry_over(rounds, 3, 50) == carry_over(rounds, 3, 50)
    assert rounds[0] == [2.0, -1.0, 0.5, -0.5, -1.0, 1.6, -1.6]
