"""Whether the plan was kept, hole by hole, and what came of it.

Compared within a round, so that a good or bad day does not count: strokes over what was expected on the holes where the
plan was kept, less the same where it was not. Rounds weigh by how many holes of both sorts they hold. It is no
experiment: a plan is left most often after something went wrong, or where the hole is hard, and the words say so. What
was expected is the player's own mean there, as the plan was made with; the personal par where there was none.

>>> one = PlannedHole(kept=True, strokes=5, expected=5.2)
>>> kept_or_not([[one] * 12]).words
'Too few to tell: 12 holes kept and no others answered; it takes 30 of each, in 5 rounds.'
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from league.estimates.estimate import Estimate, about

FEWEST_HOLES = 30
"""Of each sort; ours."""
FEWEST_ROUNDS = 5
"""With both sorts; ours."""


@dataclass(frozen=True, slots=True)
class PlannedHole:
    """`expected`: strokes, when the plan was made."""

    kept: bool
    strokes: int
    expected: float

    @property
    def over(self) -> float:
        return self.strokes - self.expected


@dataclass(frozen=True, slots=True)
class Kept:
    """`gain`: strokes a hole fewer where the plan was kept; None while there are too few. `words` is one sentence."""

    n_kept: int
    n_left: int
    n_rounds: int
    gain: Estimate | None
    words: str


def kept_or_not(rounds: Sequence[Sequence[PlannedHole]]) -> Kept:
    n_kept = sum(hole.kept for holes in rounds for hole in holes)
    n_left = sum(not hole.kept for holes in rounds for hole in holes)
    both = [holes for holes in rounds if {hole.kept for hole in holes} == {True, False}]
    if min(n_kept, n_left) < FEWEST_HOLES or len(both) < FEWEST_ROUNDS:
        others = "no others" if not n_left else f"{n_left} left"
        held = f"{n_kept} hole{'' if n_kept == 1 else 's'} kept and {others} answered"
        text = f"Too few to tell: {held}; it takes {FEWEST_HOLES} of each, in {FEWEST_ROUNDS} rounds."
        return Kept(n_kept, n_left, len(rounds), None, text)
    gain = _gain(both)
    return Kept(n_kept, n_left, len(rounds), gain, _words(gain))


def _gain(rounds: Sequence[Sequence[PlannedHole]]) -> Estimate:
    """The error follows from how the rounds differ among each other, so holes of a round may hang together."""
    weights, gains = [], []
    for holes in rounds:
        kept = [hole.over for hole in holes if hole.kept]
        left = [hole.over for hole in holes if not hole.kept]
        weights.append(len(kept) * len(left) / (len(kept) + len(left)))
        gains.append(fmean(left) - fmean(kept))
    whole = sum(weights)
    gain = sum(weight * one for weight, one in zip(weights, gains, strict=True)) / whole
    n = len(rounds)
    scatter = sum((weight * (one - gain)) ** 2 for weight, one in zip(weights, gains, strict=True))
    return about(gain, math.sqrt(scatter * n / (n - 1)) / whole, n)


def _words(gain: Estimate) -> str:
    caution = "A plan is left most often when things go wrong, so part of this is not the plan."
    low, high = sorted((gain.low, gain.high))
    if low <= 0 <= high:
        span = f"between {_signed(low)} and {_signed(high)} of a stroke a hole"
        return f"Kept or not makes no difference that shows yet: {span}. {caution}"
    least, most = sorted((abs(low), abs(high)))
    less = "less" if gain.value > 0 else "more"
    span = f"between {least:.2f} and {most:.2f}"
    return f"Where the plan was kept you needed {abs(gain.value):.2f} strokes {less} a hole, {span}. {caution}"


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-", "−")
