"""The plan's chance of the barrier beside the plain outlook.

What a plan changes that can be counted: on some holes another club than the habit, and so fewer strokes expected. The
habit is the longest sensible club, on a par 3 the one that usually goes nearest to what the hole plays; that it is so
is ours to assume. On every hole the saving is taken as one stroke, saved as often as it is worth (a quarter of a
stroke: one time in four); the strokes saved come off a score that the outlook draws. That the arithmetic of a tee shot
may be wrong by half as much either way is ours too: the interval is for that. Nothing is assumed about courage, calm or
kept promises.

>>> from league.estimates.outlook import Ground, Level, predict
>>> from datetime import date
>>> score = predict(Level(n=12), date(2024, 5, 1))
>>> told = beside_outlook(score, Ground(70.4, 121), 90, [0.2] * 6, seed=1)
>>> round(told.before, 3), told.before < told.after <= told.high, told.low >= told.before
(0.383, True, True)
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from statistics import fmean, stdev

from league.estimates.outlook import Ground, chance
from league.estimates.student import TwoPiece

BLOCKS = 40
DRAWS_EACH = 50
DOUBT = 0.5
"""Standard deviation of how much of a computed saving is real; the mean is all of it."""


@dataclass(frozen=True, slots=True)
class BesideOutlook:
    """`low` to `high` holds `after` 19 times in 20, if the saving is as uncertain as stated. `saved`: strokes a round.

    `draw_error`: standard error of `after` from drawing alone.
    """

    before: float
    after: float
    low: float
    high: float
    saved: float
    draw_error: float
    n_holes: int


def beside_outlook(
    next_score: TwoPiece, ground: Ground, barrier: int, savings: Sequence[float], seed: int = 0
) -> BesideOutlook:
    """`savings`: strokes expected to be saved, hole by hole. The same seed gives the same answer."""
    rng = Random(seed)
    worth = [min(1.0, saving) for saving in savings if saving > 0]
    under = [chance(next_score, ground, barrier + saved) for saved in range(len(worth) + 1)]
    if not worth:
        return BesideOutlook(under[0], under[0], under[0], under[0], 0.0, 0.0, 0)
    blocks, errors = [], []
    for _ in range(BLOCKS):
        real = max(0.0, rng.gauss(1.0, DOUBT))
        drawn = [under[sum(rng.random() < real * one for one in worth)] for _ in range(DRAWS_EACH)]
        blocks.append(fmean(drawn))
        errors.append(stdev(drawn) ** 2 / DRAWS_EACH)
    blocks.sort()
    return BesideOutlook(
        before=under[0],
        after=fmean(blocks),
        low=blocks[0],
        high=blocks[-1],
        saved=sum(worth),
        draw_error=math.sqrt(fmean(errors) / BLOCKS),
        n_holes=len(worth),
    )


def exactly(next_score: TwoPiece, ground: Ground, barrier: int, savings: Sequence[float]) -> float:
    """The same chance in closed form, were every computed saving real: the draws are checked against it."""
    spread = [1.0]
    for one in (min(1.0, max(0.0, saving)) for saving in savings):
        stay = [share * (1 - one) for share in spread] + [0.0]
        up = [0.0] + [share * one for share in spread]
        spread = [a + b for a, b in zip(stay, up, strict=True)]
    return sum(share * chance(next_score, ground, barrier + saved) for saved, share in enumerate(spread))
