"""Simulated groups whose truth is known: does a bad hole cost strokes on the next, and does a reset take them off?

Players of three levels on one course, holes by the ordered logit of the hole model. After a hole a stroke and a half
over the player's own mean there, the next costs one stroke more with chance `tilt`. After every hole the toss of a coin
decides whether a reset is done; after a bad one it lowers that chance by `relief`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from statistics import fmean

from league.estimates.evidence import MARK, AfterBad, after_bad, residuals
from league.estimates.hole_model import HIGHEST, LOWEST, chances
from league.estimates.holes import Result, expected
from league.rules.scorecard import Hole

HOLES = tuple(Hole(number, 4, number) for number in range(1, 19))
LEVELS = (10.0, 18.0, 26.0)
"""Strokes over par of an ordinary round."""
OVERS = range(LOWEST, HIGHEST + 1)


@dataclass(frozen=True, slots=True)
class SimulatedRound:
    """`resets` are places in the order of play, from 0."""

    player: int
    results: tuple[Result, ...]
    resets: frozenset[int]


def draw_group(rng: Random, n_rounds: int, tilt: float = 0.0, relief: float = 0.0) -> list[SimulatedRound]:
    """`n_rounds` of the whole group, spread evenly over its players."""
    tables = [chances(HOLES, level) for level in LEVELS]
    return [
        _draw_round(rng, number % len(LEVELS), tables[number % len(LEVELS)], tilt, relief) for number in range(n_rounds)
    ]


def _draw_round(
    rng: Random, player: int, table: Sequence[Sequence[float]], tilt: float, relief: float
) -> SimulatedRound:
    results, resets, risk = [], set(), 0.0
    for place, (hole, weights) in enumerate(zip(HOLES, table, strict=True)):
        over = rng.choices(OVERS, weights)[0] + (rng.random() < risk)
        is_reset, risk = rng.random() < 0.5, 0.0
        if is_reset:
            resets.add(place)
        if over - sum(score * weight for score, weight in zip(OVERS, weights, strict=True)) >= MARK:
            risk = max(0.0, tilt - relief) if is_reset else tilt
        results.append(Result(hole.number, hole.par, hole.par + over))
    return SimulatedRound(player, tuple(results), frozenset(resets))


def residuals_of(group: Sequence[SimulatedRound]) -> list[list[float]]:
    """Of every round, against what that player's and the others' rounds make likely."""
    by_player = {
        player: expected(
            [result for one in group if one.player == player for result in one.results],
            [result for one in group if one.player != player for result in one.results],
        )
        for player in {one.player for one in group}
    }
    return [residuals(one.results, by_player[one.player]) for one in group]


def bad_holes(group: Sequence[SimulatedRound]) -> list[AfterBad]:
    """With and without a reset after them."""
    found: list[AfterBad] = []
    for one, left in zip(group, residuals_of(group), strict=True):
        found += after_bad(str(one.player), left, one.resets)
    return found


def naive_chart(group: Sequence[SimulatedRound]) -> float:
    """What is never shown: the mean over par after a double or worse, less the mean on other holes."""
    after: list[int] = []
    other: list[int] = []
    for one in group:
        for before, now in zip(one.results, one.results[1:], strict=False):
            (after if before.is_gross_blow_up else other).append(now.over)
    return fmean(after) - fmean(other) if after and other else 0.0
