"""Where things lie in the strip of a hole: along and off the line of play to shares of the plot and pixels."""

from __future__ import annotations

from dataclasses import dataclass

from league.charts import drawing
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind

TOP, FOOT = 30.0, 34.0
LEAST_HEIGHT, MOST_HEIGHT = 300.0, 540.0
PIXELS_A_STEP = 1.15
USUAL_LENGTH = 400
BEYOND_THE_GREEN = 25
USUAL_GREEN, USUAL_DEPTH = 24, 14
USUAL_EDGE = 25
"""Where trouble is drawn of which nobody said how far off it is; outlined with dashes, and said in words."""
LEAST_REACH, MOST_REACH = 40, 90
LEAST_THICKNESS = 7.0
EDGE_GAP = 4.0


@dataclass(frozen=True)
class Box:
    """A piece of ground: left and right in shares of the plot, top and bottom in pixels."""

    left: float
    right: float
    top: float
    bottom: float


@dataclass(frozen=True)
class Ground:
    """Along and off the line to per cent and pixels. `length` is to the middle of the green, `far` the last drawn."""

    length: int
    far: int
    reach: int
    height: float

    def y(self, along: float) -> float:
        return TOP + (self.far - min(max(along, 0), self.far)) / self.far * self.height

    def x(self, off: float) -> float:
        return 0.5 + min(max(off / self.reach, -1), 1) / 2

    @property
    def foot(self) -> float:
        """The end of the strip, its lettering too."""
        return TOP + self.height + FOOT


def ground_of(hole: Described, length: int | None) -> Ground:
    ends = [trouble.ends for trouble in hole.trouble if trouble.counted_from == CountedFrom.TEE]
    known = [*ends, *(width.distance for width in hole.widths), hole.bend_at or 0]
    middle = length or max(USUAL_LENGTH, *known)
    beyond = [trouble.ends for trouble in hole.trouble if trouble.counted_from == CountedFrom.GREEN]
    far = middle + max(BEYOND_THE_GREEN, *beyond, (hole.green_depth or 0) // 2 + 10, *(at - middle for at in known))
    sides = [width.width / 2 + 8 for width in hole.widths]
    for trouble in hole.trouble:
        off = USUAL_EDGE if trouble.off_line is None else trouble.off_line
        sides.append(0 if trouble.side == Side.ACROSS else off + min(trouble.depth or 15, 30))
    reach = min(MOST_REACH, max(LEAST_REACH, *(int(side) for side in sides))) if sides else LEAST_REACH
    return Ground(middle, far, reach, min(MOST_HEIGHT, max(LEAST_HEIGHT, far * PIXELS_A_STEP)))


@dataclass(frozen=True)
class Placed:
    """A piece of trouble, numbered as in the table, and where it is drawn."""

    number: int
    trouble: Trouble
    box: Box

    @classmethod
    def of(cls, number: int, trouble: Trouble, ground: Ground) -> Placed:
        start = ground.length if trouble.counted_from == CountedFrom.GREEN else 0
        top, bottom = ground.y(start + trouble.ends), ground.y(start + trouble.begins)
        if bottom - top < LEAST_THICKNESS:
            middle = (top + bottom) / 2
            top, bottom = middle - LEAST_THICKNESS / 2, middle + LEAST_THICKNESS / 2
        return cls(number, trouble, Box(*_sideways(trouble, ground), top, bottom))

    @property
    def is_left(self) -> bool:
        return self.trouble.side == Side.LEFT

    def drawn(self) -> str:
        kind = "trouble" if self.trouble.side == Side.ACROSS or self.trouble.off_line is not None else "trouble unsure"
        box = (
            f'x="{drawing.across(self.box.left)}" y="{drawing.down(self.box.top)}" '
            f'width="{drawing.across(self.box.right - self.box.left)}" '
            f'height="{drawing.down(self.box.bottom - self.box.top)}"'
        )
        ground = f'<rect class="under" {box}/>' if self.trouble.kind == TroubleKind.PENALTY_AREA else ""
        return f'{ground}<rect class="{kind}" fill="url(#hole-{self.trouble.kind.value})" {box}/>'


def _sideways(trouble: Trouble, ground: Ground) -> tuple[float, float]:
    if trouble.side == Side.ACROSS:
        return 0.0, 1.0
    off = USUAL_EDGE if trouble.off_line is None else min(trouble.off_line, ground.reach - 6)
    edge = ground.reach if trouble.depth is None else min(ground.reach, max(off + trouble.depth, off + 5))
    sign = -1 if trouble.side == Side.LEFT else 1
    near, far = ground.x(sign * off), ground.x(sign * edge)
    return min(near, far), max(near, far)


@dataclass(frozen=True)
class Green:
    """Its middle and half its depth in pixels, half its width in the unit of the hole; usual where nobody measured."""

    ground: Ground
    middle: float
    half: float
    radius: float

    @classmethod
    def of(cls, hole: Described, ground: Ground) -> Green:
        radius = max(8.0, (hole.green_depth or USUAL_DEPTH) / 2 / ground.far * ground.height)
        return cls(ground, ground.y(ground.length), (hole.green_width or USUAL_GREEN) / 2, radius)

    @property
    def box(self) -> Box:
        left, right = self.ground.x(-self.half), self.ground.x(self.half)
        return Box(left, right, self.middle - self.radius, self.middle + self.radius)

    def edge(self, side: Side) -> Box:
        """A line along one side of the green, a little off it."""
        if side in (Side.SHORT, Side.LONG):
            y = self.middle + (self.radius + EDGE_GAP) * (1 if side == Side.SHORT else -1)
            return Box(self.ground.x(-self.half * 0.7), self.ground.x(self.half * 0.7), y, y)
        x = self.ground.x((self.half + 1) * (1 if side == Side.RIGHT else -1))
        return Box(x, x, self.middle - self.radius * 0.8, self.middle + self.radius * 0.8)
