"""Personal pars: what to score on each hole, so that the sum is always the barrier's last allowed score.

Strokes over par go to the holes one by one, each to where it is most expected: by stroke index first (common practice),
so that without results of the player's own this is `holes.personal_pars`. Own results on a hole weigh n / (n + 20)
against that. A hole that is fixed by hand stays, and the others share what is left.

>>> holes = [Share(number, 4, number) for number in range(1, 19)]
>>> balanced(90, holes)
(5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 4)
>>> balanced(90, holes, {6: 6})
(5, 5, 5, 5, 5, 6, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 4, 4)
>>> balanced(90, holes, {6: 14})
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: Hole 6: a personal par is from 3 to 13 there.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from league.estimates.holes import GROUP_WEIGHT, Expected
from league.estimates.words import count
from league.rules.errors import RuleBroken
from league.rules.scorecard import Hole

LEAST_OVER, MOST_OVER = -1, 9
"""A personal par is no better than a birdie and no worse than nine over; ours."""
HOLES = 18


@dataclass(frozen=True, slots=True)
class Share:
    """A hole that takes part. `harder`: strokes over par it takes more than the mean hole; None is by stroke index."""

    number: int
    par: int
    stroke_index: int
    harder: float | None = None

    @property
    def least(self) -> int:
        return self.par + LEAST_OVER

    @property
    def most(self) -> int:
        return self.par + MOST_OVER

    @property
    def target(self) -> float:
        """Up to a constant that is the same for all holes. Stroke indexes together span less than one stroke."""
        by_index = by_stroke_index(self.stroke_index)
        return self.par + (by_index if self.harder is None else self.harder)


def by_stroke_index(stroke_index: int) -> float:
    """Strokes that a hole is harder than the mean one, by its stroke index alone: a line from +0.47 to -0.47."""
    return ((HOLES + 1) / 2 - stroke_index) / HOLES


def shares(holes: Sequence[Hole], expected: Mapping[int, Expected] | None = None) -> tuple[Share, ...]:
    """Every hole with how hard it is for this player. ValueError unless there are eighteen of them."""
    if sorted(hole.stroke_index for hole in holes) != [*range(1, HOLES + 1)]:
        raise ValueError("a plan is for eighteen holes, with stroke indexes 1 to 18")
    known = expected or {}
    usual = fmean(one.strokes.value - one.par for one in known.values()) if known else 0.0
    return tuple(_share(hole, known.get(hole.number), usual) for hole in holes)


def _share(hole: Hole, expected: Expected | None, usual: float) -> Share:
    if expected is None or not expected.strokes.n:
        return Share(hole.number, hole.par, hole.stroke_index)
    weight = expected.strokes.n / (expected.strokes.n + GROUP_WEIGHT)
    own = expected.strokes.value - expected.par - usual
    harder = weight * own + (1 - weight) * by_stroke_index(hole.stroke_index)
    return Share(hole.number, hole.par, hole.stroke_index, harder)


def balanced(barrier: int, holes: Sequence[Share], fixed: Mapping[int, int] | None = None) -> tuple[int, ...]:
    """Personal pars in the order of the holes; they add up to `barrier` - 1.

    `fixed` by hole number. RuleBroken `personal_par_range` or `personal_par_sum` where that cannot be.
    """
    kept = dict(fixed or {})
    _refuse_out_of_range(holes, kept)
    pars = {hole.number: kept.get(hole.number, hole.least) for hole in holes}
    free = [hole for hole in holes if hole.number not in kept]
    left = barrier - 1 - sum(pars.values())
    _refuse_impossible(barrier, kept, free, left)
    for _ in range(left):
        open_to_more = (hole for hole in free if pars[hole.number] < hole.most)
        chosen = min(open_to_more, key=lambda hole: (pars[hole.number] - hole.target, hole.stroke_index))
        pars[chosen.number] += 1
    return tuple(pars[hole.number] for hole in holes)


def _refuse_out_of_range(holes: Sequence[Share], fixed: Mapping[int, int]) -> None:
    for hole in holes:
        if hole.number in fixed and not hole.least <= fixed[hole.number] <= hole.most:
            text = f"Hole {hole.number}: a personal par is from {hole.least} to {hole.most} there."
            raise RuleBroken("personal_par_range", text, "personal_par")


def _refuse_impossible(barrier: int, fixed: Mapping[int, int], free: Sequence[Share], left: int) -> None:
    """`left`: strokes over the least that the free holes can be given."""
    most = sum(hole.most - hole.least for hole in free)
    if 0 <= left <= most:
        return
    if not fixed:
        raise RuleBroken("barrier_range", "This barrier cannot be spread over these eighteen holes.", "barrier")
    for_the_rest = barrier - 1 - sum(fixed.values())
    held = count(len(fixed), "hole") + (" is fixed" if len(fixed) == 1 else " are fixed")
    if not free:
        text = f"All holes are fixed, and they add up to {sum(fixed.values())}, not {barrier - 1}. Free one first."
    elif left < 0:
        text = f"{held}: {for_the_rest} strokes are left for the others, less than a birdie on each."
    else:
        text = f"{held}: {for_the_rest} strokes are left for the others, more than nine over par on each."
    raise RuleBroken("personal_par_sum", text[0].upper() + text[1:], "personal_par")


def due(pars: Sequence[int]) -> tuple[int, ...]:
    """Strokes that may have been played after each hole.

    >>> due((5, 4, 3))
    (5, 9, 12)
    """
    total, found = 0, []
    for par in pars:
        total += par
        found.append(total)
    return tuple(found)
