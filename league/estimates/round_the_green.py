"""What a shot at a green may meet: trouble on its way, and what a miss leaves on each side.

Distances count from the middle of the green, beyond it positive, right of the line positive. A row of trouble whose
distance off the line is not known begins at the edge of the green where it lies beside it, else where the described
width ends, else `OFF_LINE` yards off (ours). A ball meets water, sand and the boundary where it lands, runs or rests;
trees and a steep fall only where it rests.

A penalty area costs a stroke and a drop (Rule 17.1): played on from where the ball went in, out of rough. Out of bounds
costs a stroke and the distance (Rule 18.2). A steep fall, and a side that leaves a hard chip, cost `HARD` strokes more;
ours.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from league.estimates.green import Green, in_unit_of
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind

OFF_LINE = 20.0
"""Yards; ours."""
BESIDE = 25.0
"""Yards short of and beyond the middle that count as beside the green; ours."""
HARD = 0.35
FAIRWAY = 15.0
"""Half the width of short grass, in yards, where none is described; ours."""
LOSES_A_STROKE = (TroubleKind.OUT_OF_BOUNDS, TroubleKind.PENALTY_AREA)
AT_REST = (TroubleKind.TREES, TroubleKind.FALL_OFF)
GRAVEST = (
    *(TroubleKind.OUT_OF_BOUNDS, TroubleKind.PENALTY_AREA),
    *(TroubleKind.TREES, TroubleKind.BUNKER, TroubleKind.FALL_OFF),
)


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """One row of trouble as a rectangle. Two patches are never the same one, alike or not."""

    trouble: Trouble
    kind: TroubleKind
    side: Side
    begins: float
    ends: float
    left: float
    right: float

    def holds(self, landed: float, rests: float, across: float) -> bool:
        """Whether a ball that lands and comes to rest so far beyond the middle is in it."""
        if not self.left <= across <= self.right:
            return False
        first = rests if self.kind in AT_REST else landed
        return first <= self.ends and rests >= self.begins


@dataclass(frozen=True, slots=True)
class Surroundings:
    """A green and what lies on the way to it."""

    green: Green
    patches: tuple[Patch, ...]
    hard: tuple[Side, ...]
    fairway: float

    def met(self, landed: float, rests: float, across: float) -> Patch | None:
        """The gravest trouble that a ball is in; on the green only out of bounds counts."""
        for patch in self.patches:
            if patch.holds(landed, rests, across):
                is_out = patch.kind == TroubleKind.OUT_OF_BOUNDS
                return patch if is_out or not self.green.holds(rests, across) else None
        return None

    def side_of(self, rests: float, across: float) -> Side:
        """On which side of the green a miss lies."""
        if abs(rests) / self.green.depth >= abs(across) / self.green.width:
            return Side.LONG if rests > 0 else Side.SHORT
        return Side.RIGHT if across > 0 else Side.LEFT


def surroundings(hole: Described, length: float, left: float, green: Green, unit: str) -> Surroundings:
    """Of a shot from so far away; what lies wholly behind the player is left out."""
    patches = [patch for patch in _patches(hole, length, green, unit) if patch.ends > -left]
    patches.sort(key=lambda patch: GRAVEST.index(patch.kind))
    return Surroundings(green, tuple(patches), hole.hard_chip_from, in_unit_of(FAIRWAY, unit))


def _patches(hole: Described, length: float, green: Green, unit: str) -> Iterator[Patch]:
    for trouble in hole.trouble:
        shift = 0.0 if trouble.counted_from == CountedFrom.GREEN else -length
        begins, ends = trouble.begins + shift, trouble.ends + shift
        near, far = 0.0, math.inf
        if trouble.side != Side.ACROSS:
            near = _off_line(hole, trouble, (begins + ends) / 2, length, green, unit)
            far = near + (trouble.depth or math.inf)
        sides = {Side.LEFT: (-far, -near), Side.RIGHT: (near, far)}
        yield Patch(trouble, trouble.kind, trouble.side, begins, ends, *sides.get(trouble.side, (-math.inf, math.inf)))


def _off_line(hole: Described, trouble: Trouble, at: float, length: float, green: Green, unit: str) -> float:
    if trouble.off_line is not None:
        return float(trouble.off_line)
    if abs(at) <= in_unit_of(BESIDE, unit):
        return green.width / 2
    nearest = min(hole.widths, key=lambda row: abs(row.distance - length - at), default=None)
    return nearest.width / 2 if nearest else in_unit_of(OFF_LINE, unit)


def guards(around: Surroundings, unit: str) -> Sequence[Patch]:
    """Trouble that guards the green: across the line or within reach of a small miss, near and short of its middle."""
    near, reach = in_unit_of(2 * BESIDE, unit), around.green.width / 2 + in_unit_of(5.0, unit)
    return [
        patch
        for patch in around.patches
        if patch.begins < 0 and patch.ends >= -near and patch.left < reach and patch.right > -reach
    ]
