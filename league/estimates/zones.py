"""The trouble of a hole as rectangles along its line of play, and the line itself with its one bend.

What is not known gets a stated stand-in: off the line `OFF_LINE` yards, or half the width where one is described; a
bend without degrees turns by `TURN`. A piece of trouble that passes the bend is cut in two there: outside the bend both
parts reach to where their near edges meet, inside they stop there.
"""

import math
from dataclasses import dataclass

from league.estimates.landing import Landing
from league.rules.described import CountedFrom, Described, Side, Trouble
from league.rules.printed import METRES_IN_A_YARD, YARDS

OFF_LINE = 20
"""Yards; ours."""
TURN = 45
"""Degrees; ours."""


@dataclass(frozen=True, slots=True)
class Zone:
    """From `begins` to `ends` along the line, between `left` and `right` of it; `place` is the row of trouble."""

    place: int
    begins: float
    ends: float
    left: float
    right: float
    is_past_bend: bool = False

    def chance(self, seen: Landing) -> float:
        return seen.chance_in(self.begins, self.ends, self.left, self.right)


@dataclass(frozen=True, slots=True)
class Line:
    """The line of play: straight, or with one bend; `turn` in radians, right positive."""

    length: float
    bend_at: float | None = None
    turn: float = 0.0

    def is_past(self, along: float) -> bool:
        return self.bend_at is not None and along > self.bend_at

    def seen(self, landing: Landing) -> Landing:
        """The landing along the part of the line past the bend."""
        return landing if self.bend_at is None else landing.seen_past(self.bend_at, self.turn)

    def left_from(self, landing: Landing) -> float:
        """To the middle of the green: along the line short of the bend, as the crow flies past it."""
        if self.bend_at is None or landing.ends <= self.bend_at:
            return abs(self.length - landing.ends)
        on = self.length - self.bend_at
        return math.hypot(
            self.bend_at + on * math.cos(self.turn) - landing.ends, on * math.sin(self.turn) - landing.across
        )


def line_of(hole: Described, length: int) -> Line:
    if hole.bend_at is None or hole.bend_at >= length:
        return Line(length)
    degrees = hole.bend_degrees or TURN
    return Line(length, hole.bend_at, math.radians(degrees if hole.bend_to == Side.RIGHT else -degrees))


def zones_of(hole: Described, line: Line, unit: str) -> tuple[Zone, ...]:
    return tuple(
        zone for place, trouble in enumerate(hole.trouble) for zone in _zones(hole, line, place, trouble, unit)
    )


def _zones(hole: Described, line: Line, place: int, trouble: Trouble, unit: str) -> tuple[Zone, ...]:
    from_tee = trouble.counted_from == CountedFrom.TEE
    begins = trouble.begins + (0 if from_tee else line.length)
    ends = trouble.ends + (0 if from_tee else line.length)
    left, right = _sides(hole, trouble, (begins + ends) / 2, unit)
    if line.bend_at is None or ends <= line.bend_at:
        return (Zone(place, begins, ends, left, right),)
    if begins >= line.bend_at:
        return (Zone(place, begins, ends, left, right, is_past_bend=True),)
    near = 0.0 if trouble.side == Side.ACROSS else (right if trouble.side == Side.LEFT else left)
    # The near edges of both parts meet on the line that halves the bend: earlier inside it, later outside.
    meet = -near * math.tan(line.turn / 2)
    return (
        Zone(place, begins, line.bend_at + meet, left, right),
        Zone(place, line.bend_at - meet, ends, left, right, is_past_bend=True),
    )


def _sides(hole: Described, trouble: Trouble, at: float, unit: str) -> tuple[float, float]:
    if trouble.side == Side.ACROSS:
        return -math.inf, math.inf
    near = trouble.off_line if trouble.off_line is not None else half_width(hole, at) or in_yards(OFF_LINE, unit)
    far = near + trouble.depth if trouble.depth is not None else math.inf
    return (near, far) if trouble.side == Side.RIGHT else (-far, -near)


def half_width(hole: Described, at: float) -> float | None:
    """Half of what can be played from, along straight lines between the rows; None without rows."""
    rows = hole.widths
    if not rows:
        return None
    if at <= rows[0].distance:
        return rows[0].width / 2
    for left, right in zip(rows, rows[1:], strict=False):
        if at <= right.distance:
            share = (at - left.distance) / (right.distance - left.distance)
            return (left.width + (right.width - left.width) * share) / 2
    return rows[-1].width / 2


def in_yards(yards: float, unit: str) -> float:
    """So many yards in the unit."""
    return yards if unit == YARDS else yards * float(METRES_IN_A_YARD)
