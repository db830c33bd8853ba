"""Does a bad hole carry over to the next, and does a reset change that? Shuffle tests that do not fool themselves.

The plain chart, "average on the hole after a double", says yes for everybody, because worse players and worse days have
more doubles. Here every score is first taken against the hole's expectation (the player's own, shrunk to the group's)
and then against the round's mean; holes a stroke and a half over are marked; and the mean on the next holes, less the
mean elsewhere, is compared with the same number after shuffling the order of holes within every round. In simulated
rounds without carry-over it calls a false alarm in about one of twenty, as it should; from about 100 rounds on it would
usually notice 0.3 strokes, from about 200 rounds 0.2. So under 100 rounds it says that there are too few to tell.

Of resets it is asked whether the hole after a bad one differs when one was done. What shuffling that round's holes
would bring there is taken off; then which bad holes had a reset is shuffled within each player.

>>> carry_over([[0.0, 2.0, 1.0, -1.0, -2.0]] * 3, shuffles=200).words
'too few rounds to tell'
"""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from statistics import fmean

from league.estimates.estimate import Estimate
from league.estimates.holes import Expected, Result

FEWEST_ROUNDS = 100
FEWEST_PLAYERS = 3
"""Of a smaller group nothing is told: it would tell of single people."""
FEWEST_EACH = 60
"""Bad holes with a reset, and as many without, under which nothing is said, however many rounds there are. At a spread
of 1.1 strokes half a stroke would be noticed four times in five from 76 of each; under 60 hardly anything would be."""
FEWEST_WAYS = 40
"""Ways to deal the resets out to the bad holes, under which nothing can lie outside nineteen in twenty."""
SHUFFLES = 2000
MARK = 1.5
FALSE_ALARMS = 0.05


@dataclass(frozen=True, slots=True)
class CarryOver:
    """`effect`: strokes on the next hole after a marked one, less what chance alone brings; n counts rounds.

    `share_by_chance`: share of shuffles with at least as much.
    """

    effect: Estimate
    share_by_chance: float

    @property
    def words(self) -> str:
        if self.effect.n < FEWEST_ROUNDS:
            return "too few rounds to tell"
        if self.share_by_chance < FALSE_ALARMS:
            return "a bad hole seems to carry over"
        return "no sign that a bad hole carries over"


@dataclass(frozen=True, slots=True)
class AfterBad:
    """A bad hole: whose, whether a reset was done after it, and strokes on the next hole of the round beyond chance."""

    player: str
    had_reset: bool
    beyond_chance: float


@dataclass(frozen=True, slots=True)
class ResetUse:
    """`effect`: strokes on the next hole after a bad one with a reset, less those without; below 0 is better.

    Its n counts bad holes that have a next one. `share_by_chance`: share of shuffles at least as far out, on either
    side. Both are None while the resets could be dealt out in too few ways for an interval.
    """

    n_rounds: int
    n_with: int
    n_without: int
    effect: Estimate | None = None
    share_by_chance: float | None = None

    @property
    def is_enough(self) -> bool:
        return self.n_rounds >= FEWEST_ROUNDS and min(self.n_with, self.n_without) >= FEWEST_EACH

    @property
    def words(self) -> str:
        """Whoever resets chooses when; so a difference is never called an effect of the reset."""
        if not self.is_enough:
            return "too few rounds to tell"
        if self.effect is None or self.share_by_chance is None or self.share_by_chance >= FALSE_ALARMS:
            return "no sign that the next hole differs after a reset"
        better = "better" if self.effect.value < 0 else "worse"
        return f"the next hole went {better} after a reset than without one; when you reset is your choice, not chance"


def residuals(results: Sequence[Result], expectations: Mapping[int, Expected]) -> list[float]:
    """One round in the order of play, against the expected strokes and then against the round's mean."""
    against = [result.strokes - expectations[result.number].strokes.value for result in results]
    mean = fmean(against)
    return [residual - mean for residual in against]


def carry_over(rounds: Sequence[Sequence[float]], seed: int = 0, shuffles: int = SHUFFLES) -> CarryOver | None:
    """`rounds`: the residuals of each round in the order of play. None without a hole after a marked one.

    Rounds without a mark have nothing to carry over; they are not shuffled and only widen "elsewhere".
    """
    marked = [list(holes) for holes in rounds if any(residual >= MARK for residual in holes)]
    plain = [residual for holes in rounds if all(residual < MARK for residual in holes) for residual in holes[1:]]
    other, n_other = sum(plain), len(plain)
    observed = _difference(marked, other, n_other)
    if observed is None:
        return None
    rng = Random(f"shuffles {seed}")
    by_chance = []
    for _ in range(shuffles):
        for holes in marked:
            rng.shuffle(holes)
        difference = _difference(marked, other, n_other)
        if difference is not None:
            by_chance.append(difference)
    by_chance.sort()
    usual = fmean(by_chance)
    low, high = (by_chance[round(share * (len(by_chance) - 1))] for share in (0.025, 0.975))
    effect = observed - usual
    return CarryOver(
        effect=Estimate(effect, effect - (high - usual), effect + (usual - low), len(rounds)),
        share_by_chance=sum(difference >= observed for difference in by_chance) / len(by_chance),
    )


def after_bad(player: str, residuals: Sequence[float], resets: Collection[int]) -> list[AfterBad]:
    """The bad holes of one round that have a next one. `resets`: places in the order of play, from 0, with a reset.

    Shuffled within the round, the next hole is any of the others, so their mean is what chance brings: the worse the
    bad hole, the lower, since the round's mean was taken off.
    """
    total = sum(residuals)
    return [
        AfterBad(player, place in resets, residuals[place + 1] - (total - residual) / (len(residuals) - 1))
        for place, residual in enumerate(residuals[:-1])
        if residual >= MARK
    ]


def reset_use(n_rounds: int, holes: Sequence[AfterBad], seed: int = 0, shuffles: int = SHUFFLES) -> ResetUse:
    """Of the bad holes of so many rounds, which had a reset is shuffled within each player."""
    by_player: dict[str, list[AfterBad]] = defaultdict(list)
    for hole in holes:
        by_player[hole.player].append(hole)
    labels = [[hole.had_reset for hole in theirs] for theirs in by_player.values()]
    next_holes = [[hole.beyond_chance for hole in theirs] for theirs in by_player.values()]
    n_with = sum(map(sum, labels))
    told = ResetUse(n_rounds, n_with, len(holes) - n_with)
    if math.prod(math.comb(len(theirs), sum(theirs)) for theirs in labels) < FEWEST_WAYS:
        return told
    observed = _with_less_without(labels, next_holes)
    rng = Random(f"resets {seed}")
    by_chance = []
    for _ in range(shuffles):
        for theirs in labels:
            rng.shuffle(theirs)
        by_chance.append(_with_less_without(labels, next_holes))
    by_chance.sort()
    usual = fmean(by_chance)
    low, high = (by_chance[round(share * (len(by_chance) - 1))] for share in (0.025, 0.975))
    effect = observed - usual
    return replace(
        told,
        effect=Estimate(effect, effect - (high - usual), effect + (usual - low), len(holes)),
        share_by_chance=min(
            1.0, 2 * min(_share(one <= observed for one in by_chance), _share(one >= observed for one in by_chance))
        ),
    )


def _share(events: Iterable[bool]) -> float:
    return fmean(map(float, events))


def _with_less_without(labels: Sequence[Sequence[bool]], next_holes: Sequence[Sequence[float]]) -> float:
    sums, counts = [0.0, 0.0], [0, 0]
    for theirs, after in zip(labels, next_holes, strict=True):
        for had_reset, beyond in zip(theirs, after, strict=True):
            sums[had_reset] += beyond
            counts[had_reset] += 1
    return sums[True] / counts[True] - sums[False] / counts[False]


def _difference(marked: Sequence[Sequence[float]], other: float, n_other: int) -> float | None:
    """Mean on next holes after a mark less the mean on other next holes; None if there are none of either.

    `other` is the sum over `n_other` next holes in rounds without a mark.
    """
    after, n_after = 0.0, 0
    for holes in marked:
        is_after = False
        for residual in holes:
            if is_after:
                after += residual
                n_after += 1
            is_after = residual >= MARK
        other += sum(holes) - holes[0]
        n_other += len(holes) - 1
    if not n_after or n_after == n_other:
        return None
    return after / n_after - (other - after) / (n_other - n_after)
