"""Where the strokes go that stand between the usual score and a barrier: the leak ladder.

On every hole the strokes over the personal par (see `holes`) are given away, each to one kind, in this order:

1. penalties: penalty strokes. The stroke played again, or the ground lost, is not counted here.
2. three-putts: putts beyond two on the green.
3. short game: strokes beyond three to get down from inside about 60 yards, those already given away left out.
4. recovery: one stroke on a hole where a shot only brought the ball back into play.
5. approach: one stroke on a hole whose green was not hit in regulation (strokes less putts above par less two).
6. short game again, as its own kind: the third stroke to get down from inside about 60 yards.
7. doubles or worse: what is left above a bogey.
8. everything else: what is left, less the strokes saved on holes played better than the personal par.

So the kinds add up to the usual score less the barrier's last allowed score, exactly. That two putts a green, two
strokes to get down and greens in regulation are the measures is common practice; the order, the weight of the group and
the choice to count only what the budget does not bear are ours.

A kind rests on the holes where it was recorded, and is carried to eighteen. With few rounds it is shrunk to the group's
mean: own rounds weigh n / (n + 5). From fewer than three rounds' worth of holes nothing is said.

>>> holes = [PlayedHole(4, number, 6, putts=3, penalties=0) for number in range(1, 19)]
>>> found = ladder([holes] * 3, barrier=90)
>>> [(leak.kind, leak.strokes.value) for leak in found.leaks if leak.strokes]
[('penalties', 0.0), ('three_putts', 18.0), ('approach', 1.0), ('doubles', 0.0), ('everything_else', 0.0)]
>>> found.gap
19.0
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from league.estimates.estimate import Estimate, about
from league.estimates.holes import allowances

PENALTIES, THREE_PUTTS, SHORT_GAME = "penalties", "three_putts", "short_game"
RECOVERY, APPROACH, DOWN_IN_THREE = "recovery", "approach", "down_in_three"
DOUBLES, EVERYTHING_ELSE = "doubles", "everything_else"
ORDER = (PENALTIES, THREE_PUTTS, SHORT_GAME, RECOVERY, APPROACH, DOWN_IN_THREE, DOUBLES)
KINDS = (*ORDER, EVERYTHING_ELSE)

FEWEST_HOLES = 54
GROUP_WEIGHT = 5
"""Rounds that the group's mean is worth against the player's own."""


@dataclass(frozen=True, slots=True)
class PlayedHole:
    """What was recorded of a hole; None is not recorded. Putts and penalties are part of the strokes.

    `strokes_from_60`: strokes to get down from inside about 60 yards, putts too. `recovery`: whether a shot only
    brought the ball back into play.
    """

    par: int
    stroke_index: int
    strokes: int
    putts: int | None = None
    penalties: int | None = None
    first_putt_beyond_20ft: bool | None = None
    strokes_from_60: int | None = None
    recovery: bool | None = None


@dataclass(frozen=True, slots=True)
class Leak:
    """Strokes a round of one kind. None comes with a reason. `n` of the estimate counts holes."""

    kind: str
    strokes: Estimate | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Ladder:
    """`gap` is the usual score less the barrier's last allowed score: what the kinds add up to.

    Of `three_putts_noted` three-putts whose first putt's length was noted, `three_putts_from_far` began beyond 20 feet.
    """

    gap: float
    n_rounds: int
    leaks: tuple[Leak, ...]
    three_putts_noted: int = 0
    three_putts_from_far: int = 0


Given = Mapping[str, int]


def ladder(
    rounds: Sequence[Sequence[PlayedHole]],
    barrier: int,
    group: Mapping[str, float] | None = None,
    usual: float | None = None,
) -> Ladder | None:
    """The kinds in their order, everything else last. `group` has the group's strokes a round by kind.

    `usual` is the usual gross score, the mean of these rounds if left out. None without a round. ValueError unless
    every round has eighteen holes.
    """
    if not rounds:
        return None
    given = [[given_away(hole, barrier, par) for hole in holes] for holes, par in _with_pars(rounds)]
    mean_gross = fmean(sum(hole.strokes for hole in holes) for holes in rounds)
    gap = (mean_gross if usual is None else usual) - (barrier - 1)
    leaks = [_leak(kind, rounds, given, (group or {}).get(kind)) for kind in ORDER]
    known = {leak.kind: leak.strokes.value for leak in leaks if leak.strokes}
    leaks.append(_everything_else(rounds, given, barrier, gap, known))
    far = [hole.first_putt_beyond_20ft for holes in rounds for hole in holes if (hole.putts or 0) >= 3]
    noted = [answer for answer in far if answer is not None]
    return Ladder(gap, len(rounds), tuple(leaks), len(noted), sum(noted))


def group_means(players: Sequence[Sequence[Sequence[PlayedHole]]], barrier: int) -> dict[str, float]:
    """Strokes a round by kind, each player with enough holes counting once: what `ladder` shrinks to."""
    found: dict[str, list[float]] = {}
    for rounds in players:
        made = ladder(rounds, barrier)
        for leak in made.leaks if made else ():
            if leak.strokes and leak.kind != EVERYTHING_ELSE:
                found.setdefault(leak.kind, []).append(leak.strokes.value)
    return {kind: fmean(values) for kind, values in found.items()}


def given_away(hole: PlayedHole, barrier: int, par: int) -> Given:
    """The strokes of one hole over its personal par, by kind; a kind that was not recorded is left out."""
    left = hole.strokes - hole.par - allowances(barrier, par)[hole.stroke_index - 1]
    given: dict[str, int] = {}
    for kind in ORDER:
        lost = _lost(kind, hole, given)
        if lost is None:
            continue
        given[kind] = max(0, min(left, lost))
        left -= given[kind]
    return given


def _lost(kind: str, hole: PlayedHole, given: Given) -> int | None:
    """Strokes of this kind on the hole, None if it was not recorded."""
    if kind == PENALTIES:
        return hole.penalties
    if kind == THREE_PUTTS:
        return None if hole.putts is None else _extra_putts(hole)
    if kind == SHORT_GAME:
        return None if hole.strokes_from_60 is None else max(0, hole.strokes_from_60 - 3 - _extra_putts(hole))
    if kind == RECOVERY:
        return None if hole.recovery is None else int(hole.recovery)
    if kind == APPROACH:
        return None if hole.putts is None else int(hole.strokes - hole.putts > hole.par - 2)
    if kind == DOWN_IN_THREE:
        return None if hole.strokes_from_60 is None else int(hole.strokes_from_60 - _extra_putts(hole) >= 3)
    return max(0, hole.strokes - hole.par - 1 - sum(given.values()))


def _extra_putts(hole: PlayedHole) -> int:
    return max(0, (hole.putts or 0) - 2)


def _with_pars(rounds: Sequence[Sequence[PlayedHole]]) -> Iterator[tuple[Sequence[PlayedHole], int]]:
    for holes in rounds:
        if sorted(hole.stroke_index for hole in holes) != [*range(1, 19)]:
            raise ValueError("a barrier is for eighteen holes, with stroke indexes 1 to 18")
        yield holes, sum(hole.par for hole in holes)


def _leak(
    kind: str, rounds: Sequence[Sequence[PlayedHole]], given: Sequence[Sequence[Given]], usual: float | None
) -> Leak:
    by_round = [[on_hole[kind] for on_hole in holes if kind in on_hole] for holes in given]
    n_holes = sum(map(len, by_round))
    if not n_holes:
        return Leak(kind, None, "not recorded yet")
    if n_holes < FEWEST_HOLES:
        return Leak(kind, None, f"recorded on {n_holes} holes; from {FEWEST_HOLES} on something can be said")
    own = 18 * sum(map(sum, by_round)) / n_holes
    n = n_holes / 18
    weight = 0 if usual is None else GROUP_WEIGHT
    value = (n * own + weight * (usual or 0.0)) / (n + weight)
    per_round = [18 * fmean(holes) for holes in by_round if holes]
    # Counts scatter at least as widely as if they fell independently; that none were seen does not mean there are none.
    variance = max(_variance(per_round), value) + 2 / len(per_round)
    return Leak(kind, about(value, math.sqrt(variance / (n + weight)), n_holes, floor=0.0))


def _everything_else(
    rounds: Sequence[Sequence[PlayedHole]],
    given: Sequence[Sequence[Given]],
    barrier: int,
    gap: float,
    known: Mapping[str, float],
) -> Leak:
    n_holes = 18 * len(rounds)
    if n_holes < FEWEST_HOLES:
        return Leak(EVERYTHING_ELSE, None, f"{len(rounds)} rounds with holes; from 3 on something can be said")
    per_round = [
        sum(hole.strokes for hole in holes) - (barrier - 1) - sum(sum(on_hole.values()) for on_hole in on_holes)
        for holes, on_holes in zip(rounds, given, strict=True)
    ]
    error = math.sqrt(max(_variance(per_round), 1.0) / len(rounds))
    return Leak(EVERYTHING_ELSE, about(gap - sum(known.values()), error, n_holes))


def _variance(values: Sequence[float]) -> float:
    if len(values) < 2:
        return 0.0
    mean = fmean(values)
    return sum((value - mean) ** 2 for value in values) / (len(values) - 1)
