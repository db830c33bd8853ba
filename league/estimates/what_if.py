"""What if there were one penalty fewer a round, half the three-putts, no hole worse than a double?

Scores are drawn from the outlook again and again, and every one is played with the holes of one of the player's own
rounds that was about as good among theirs: a poor score gets the holes of a poor round, which holds more to save. The
change is made hole by hole there, and the strokes it saves come off the drawn score. So the chance before is the
outlook's own, and the change works on the tail it belongs to; no mean is shifted. What cannot be known is left as it
was: a penalty fewer saves the penalty stroke alone, and nobody plays the next hole otherwise.

>>> from datetime import date
>>> from league.estimates.outlook import Level, predict
>>> holes = [PlayedHole(4, number, 4 + number % 3, putts=2, penalties=number % 2) for number in range(1, 19)]
>>> told = what_if(predict(Level(n=12), date(2024, 5, 1)), Ground(70.4, 121), 100, [holes] * 6, ONE_PENALTY_FEWER)
>>> round(told.before, 3), round(told.after.value, 3), told.after.n
(0.851, 0.879, 6)
"""

import math
from bisect import bisect
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from statistics import fmean

from league.estimates.estimate import Estimate
from league.estimates.leaks import PlayedHole
from league.estimates.outlook import Ground, chance
from league.estimates.student import TwoPiece

FEWEST_ROUNDS = 5
DRAWS = 2000
ROUNDS_DRAWN_ANEW = 200
DRAWS_EACH = 200
VARIANTS = 16
"""How often a change that is left to chance is played on each round."""
NEIGHBOURS = 1.5
"""How many places in the order of the player's rounds a drawn score may reach to either side."""

Saving = Callable[[Sequence[PlayedHole], Random], int | None]


@dataclass(frozen=True, slots=True)
class Change:
    """`saving`: strokes saved on the holes of one round, None if that round does not hold what is needed."""

    code: str
    words: str
    saving: Saving


def _a_penalty(holes: Sequence[PlayedHole], rng: Random) -> int | None:
    noted = [hole.penalties for hole in holes if hole.penalties is not None]
    return min(1, sum(noted)) if noted else None


def _half_the_three_putts(holes: Sequence[PlayedHole], rng: Random) -> int | None:
    noted = [hole.putts for hole in holes if hole.putts is not None]
    if not noted:
        return None
    return sum(putts - 2 for putts in noted if putts >= 3 and rng.random() < 0.5)


def _over_double(holes: Sequence[PlayedHole], rng: Random) -> int | None:
    return sum(max(0, hole.strokes - hole.par - 2) for hole in holes)


ONE_PENALTY_FEWER = Change("one_penalty_fewer", "one penalty fewer a round", _a_penalty)
THREE_PUTTS_HALVED = Change("three_putts_halved", "three-putts halved", _half_the_three_putts)
NO_WORSE_THAN_DOUBLE = Change("no_worse_than_double", "no hole worse than double", _over_double)
CHANGES = (ONE_PENALTY_FEWER, THREE_PUTTS_HALVED, NO_WORSE_THAN_DOUBLE)


@dataclass(frozen=True, slots=True)
class Told:
    """Chances of the barrier; `before` is the outlook's. `after` rests on n rounds with holes.

    Its interval is for which of the player's rounds happened to be recorded, `draw_error` its standard error from
    drawing; `saved` is the mean of strokes a round that the change saves.
    """

    before: float
    after: Estimate
    saved: float
    draw_error: float


def what_if(
    next_score: TwoPiece,
    ground: Ground,
    barrier: int,
    rounds: Sequence[Sequence[PlayedHole]],
    change: Change,
    seed: int = 0,
) -> Told | None:
    """The same seed gives the same answer. None when fewer than five rounds hold what the change needs."""
    rng = Random(f"{change.code} {seed}")
    usable = [holes for holes in rounds if change.saving(holes, rng) is not None]
    if len(usable) < FEWEST_ROUNDS:
        return None
    ordered = sorted(usable, key=lambda holes: sum(hole.strokes - hole.par for hole in holes))
    savings = [[change.saving(holes, rng) or 0 for _ in range(VARIANTS)] for holes in ordered]
    scores = _Near(next_score, ground, barrier, max(map(max, savings)))
    gained, draw_error = _gained(scores, savings, rng, DRAWS)
    others = []
    for _ in range(ROUNDS_DRAWN_ANEW):
        anew = sorted(rng.choices(range(len(savings)), k=len(savings)))
        others.append(_gained(scores, [savings[place] for place in anew], rng, DRAWS_EACH)[0])
    others.sort()
    low, high = others[round(0.025 * len(others))], others[round(0.975 * len(others)) - 1]
    before = chance(next_score, ground, barrier)
    return Told(
        before=before,
        after=Estimate(before + gained, before + min(low, gained), before + max(high, gained), len(usable)),
        saved=fmean(map(fmean, savings)),
        draw_error=draw_error,
    )


class _Near:
    """The whole scores of an outlook that a change can bring under the barrier, with the places they take up."""

    def __init__(self, next_score: TwoPiece, ground: Ground, barrier: int, most: int) -> None:
        above = range(-1, most)
        self.up_to = [next_score.cdf(ground.differential(barrier + distance + 0.5)) for distance in above]

    def missing(self, place: float) -> int:
        """Strokes from the score at this place (0 is the best, 1 the worst) to the barrier's last allowed score."""
        return bisect(self.up_to, place)


def _gained(scores: _Near, savings: Sequence[Sequence[int]], rng: Random, draws: int) -> tuple[float, float]:
    """Chance that only the change brings the score under, and its standard error. Draws are spread evenly."""
    first, last = scores.up_to[0], scores.up_to[-1]
    n, under = len(savings), 0
    for number in range(draws):
        place = first + (last - first) * (number + rng.random()) / draws
        near = place * n + rng.uniform(-NEIGHBOURS, NEIGHBOURS)
        saved = savings[min(max(int(near), 0), n - 1)][number % VARIANTS]
        under += scores.missing(place) <= saved
    share = under / draws
    return (last - first) * share, (last - first) * math.sqrt(share * (1 - share) / draws)
