"""The strip of a hole: tee below, green above, trouble to its sides, as far along and as far off the line as described.

The line of play is drawn straight, for distances follow it; where it bends is marked. Sideways is drawn larger than
along. Each kind of trouble has a pattern of its own and its words; a number leads to its line in the table.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from league.charts import drawing
from league.charts.drawing import Column, Label, Picture, Room, Row
from league.charts.hole_words import KINDS, bend_words, hole_reading, rise_words, sides_words, signed_place
from league.charts.words import DASH
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, is_blank

TOP, FOOT = 30.0, 34.0
LEAST_HEIGHT, MOST_HEIGHT = 300.0, 540.0
PIXELS_A_STEP = 1.15
TICK, COARSE_TICK = 50, 100
USUAL_LENGTH = 400
BEYOND_THE_GREEN = 25
USUAL_GREEN, USUAL_DEPTH = 24, 14
USUAL_EDGE = 25
"""Where trouble is drawn of which nobody said how far off it is; outlined with dashes, and said in words."""
LEAST_REACH, MOST_REACH = 40, 90
LEAST_THICKNESS = 7.0
PATTERNS = {
    TroubleKind.OUT_OF_BOUNDS: '<line x1="2" y1="2" x2="7" y2="7"/><line x1="7" y1="2" x2="2" y2="7"/>',
    TroubleKind.PENALTY_AREA: '<line x1="0" y1="2" x2="9" y2="2"/><line x1="0" y1="6.5" x2="9" y2="6.5"/>',
    TroubleKind.BUNKER: '<circle cx="2" cy="2" r="1"/><circle cx="6.5" cy="6.5" r="1"/>',
    TroubleKind.TREES: '<circle class="ring" cx="4.5" cy="4.5" r="2.7"/>',
    TroubleKind.FALL_OFF: '<line x1="0" y1="9" x2="9" y2="0"/>',
}


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


def hole_strip(hole: Described, length: int | None, unit: str) -> Picture:
    """`length` in the unit of the description. ValueError when nothing is described: then a sentence serves better."""
    if is_blank(hole):
        raise ValueError("nothing is described of this hole")
    ground = _ground(hole, length)
    room = Room()
    placed = [_Placed.of(trouble, hole, ground) for trouble in hole.trouble]
    parts = [_patterns({trouble.kind for trouble in hole.trouble}), *_corridor(hole, ground), *_axis(ground, length)]
    parts += [one.drawn() for one in placed]
    parts += [*_line_and_green(hole, ground), *_letter_tee_and_green(ground, room)]
    parts += [room.place(*one.labels(number)) for number, one in enumerate(placed, 1)]
    parts += _letter_sides(hole, ground, room)
    parts += [*_bend(hole, ground, room), *_letter_widths(hole, ground, room)]
    reading = hole_reading(hole, length, unit)
    height = TOP + ground.height + FOOT
    columns = (
        Column("What"), Column("Side"), Column("From", True), Column("To", True), Column("Off the line", True),
        Column("Deep or wide", True), Column("Note"),
    )  # fmt: skip
    return Picture(drawing.svg("hole-strip", height, reading, parts), reading, columns, tuple(_table(hole, unit)))


def _ground(hole: Described, length: int | None) -> Ground:
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
class _Placed:
    """A piece of trouble where it is drawn: left and right in shares, top and bottom in pixels."""

    trouble: Trouble
    left: float
    right: float
    top: float
    bottom: float

    @classmethod
    def of(cls, trouble: Trouble, hole: Described, ground: Ground) -> _Placed:
        start = ground.length if trouble.counted_from == CountedFrom.GREEN else 0
        top, bottom = ground.y(start + trouble.ends), ground.y(start + trouble.begins)
        if bottom - top < LEAST_THICKNESS:
            middle = (top + bottom) / 2
            top, bottom = middle - LEAST_THICKNESS / 2, middle + LEAST_THICKNESS / 2
        if trouble.side == Side.ACROSS:
            return cls(trouble, 0.0, 1.0, top, bottom)
        off = USUAL_EDGE if trouble.off_line is None else min(trouble.off_line, ground.reach - 6)
        edge = ground.reach if trouble.depth is None else min(ground.reach, max(off + trouble.depth, off + 5))
        sign = -1 if trouble.side == Side.LEFT else 1
        near, far = ground.x(sign * off), ground.x(sign * edge)
        return cls(trouble, min(near, far), max(near, far), top, bottom)

    def drawn(self) -> str:
        kind = "trouble" if self.trouble.side == Side.ACROSS or self.trouble.off_line is not None else "trouble unsure"
        box = (
            f'x="{drawing.across(self.left)}" y="{drawing.down(self.top)}" '
            f'width="{drawing.across(self.right - self.left)}" height="{drawing.down(self.bottom - self.top)}"'
        )
        ground = f'<rect class="under" {box}/>' if self.trouble.kind == TroubleKind.PENALTY_AREA else ""
        return f'{ground}<rect class="{kind}" fill="url(#hole-{self.trouble.kind.value})" {box}/>'

    def labels(self, number: int) -> Iterator[Label]:
        """Beside its number the words, as near to its middle as there is room; failing that the number alone."""
        middle = (self.top + self.bottom) / 2 + 4
        is_left = self.trouble.side == Side.LEFT
        kind, x, shift = ("", 0.0, 3) if is_left else ("end", 1.0, -3)
        outer, outside, away = (self.left, "end", -3) if is_left else (self.right, "", 3)
        spots = [middle + by for by in (0, 14, -14, 28, -28, 42, -42)]
        words = f"{number} {KINDS[self.trouble.kind]}"
        room = (outer if is_left else 1 - outer) * drawing.NARROW
        if room > len(words) * drawing.LETTER + abs(away):
            yield from (Label(outside, outer, middle + by, away, words) for by in (0, 13, -13))
        for told in (words, str(number)):
            yield from (Label(kind, x, y, shift, told) for y in spots)


def _patterns(kinds: set[TroubleKind]) -> str:
    made = (
        f'<pattern id="hole-{kind.value}" class="hatch" width="9" height="9" patternUnits="userSpaceOnUse">'
        f"{PATTERNS[kind]}</pattern>"
        for kind in TroubleKind
        if kind in kinds
    )
    return f"<defs>{''.join(made)}</defs>" if kinds else ""


def _corridor(hole: Described, ground: Ground) -> Iterator[str]:
    """The ground that can be played from: steps from middle to middle of the distances at which it was measured."""
    rows = hole.widths
    for place, row in enumerate(rows):
        begin = (rows[place - 1].distance + row.distance) / 2 if place else row.distance - 20
        end = (row.distance + rows[place + 1].distance) / 2 if place + 1 < len(rows) else row.distance + 20
        half = row.width / 2
        yield drawing.area("land", ground.x(-half), ground.y(end), ground.x(half), ground.y(begin))
        y = ground.y(row.distance)
        yield drawing.line("wh", ground.x(-half), y, ground.x(half), y)
        yield from (drawing.line("wh", x, y - 4, x, y + 4) for x in (ground.x(-half), ground.x(half)))


def _axis(ground: Ground, length: int | None) -> Iterator[str]:
    """Distances from the tee in the left gutter; to the middle of the green in the right one, where that is known."""
    step = TICK if ground.length / TICK <= 10 else COARSE_TICK
    for at in range(step, ground.length, step):
        y = ground.y(at)
        yield drawing.line("hr", 0, y, 1, y)
        yield drawing.text("t2 end figure", 0, y + 4, str(at), -5)
        if length is not None:
            yield drawing.text("t2 figure", 1, y + 4, str(length - at), 5)
    yield drawing.text("t2 figure", 0, 12, "left")
    yield drawing.text("t2 end figure", 1, 12, "right")
    foot = ground.y(0) + FOOT - 6
    yield drawing.text("t2 figure", 0, foot, "from the tee", -27)
    if length is not None:
        yield drawing.text("t2 end figure", 1, foot, "to the green", 35)


def _line_and_green(hole: Described, ground: Ground) -> Iterator[str]:
    tee, middle = ground.y(0), ground.y(ground.length)
    half, radius = _green_size(hole, ground)
    yield drawing.line("play", 0.5, tee, 0.5, middle)
    yield drawing.line("bar", 0.47, tee, 0.53, tee)
    is_sure = hole.green_width is not None and hole.green_depth is not None
    yield (
        f'<ellipse class="green{"" if is_sure else " unsure"}" cx="50%" cy="{drawing.down(middle)}" '
        f'rx="{drawing.across(half / ground.reach / 2)}" ry="{drawing.down(radius)}"/>'
    )
    for side in hole.hard_chip_from:
        yield _edge("bar", side, ground, half, radius)
    if hole.safe_side is not None:
        yield _edge("said", hole.safe_side, ground, half, radius)


def _green_size(hole: Described, ground: Ground) -> tuple[float, float]:
    """Half its width in the unit of the hole, half its depth in pixels; what is usual where it is not known."""
    half = (hole.green_width or USUAL_GREEN) / 2
    return half, max(8.0, (hole.green_depth or USUAL_DEPTH) / 2 / ground.far * ground.height)


def _edge(kind: str, side: Side, ground: Ground, half: float, radius: float) -> str:
    """A line along one side of the green, a little off it."""
    middle, gap = ground.y(ground.length), 4.0
    if side in (Side.SHORT, Side.LONG):
        y = middle + (radius + gap) * (1 if side == Side.SHORT else -1)
        return drawing.line(kind, ground.x(-half * 0.7), y, ground.x(half * 0.7), y)
    x = ground.x((half + 1) * (1 if side == Side.RIGHT else -1))
    return drawing.line(kind, x, middle - radius * 0.8, x, middle + radius * 0.8)


def _letter_tee_and_green(ground: Ground, room: Room) -> Iterator[str]:
    middle = ground.y(ground.length)
    room.keep_clear(0.5, middle, 14)
    yield room.place(Label("mid lbl", 0.5, middle + 4, 0, "green"), Label("mid", 0.5, middle + 22, 0, "green"))
    yield room.place(Label("mid", 0.5, ground.y(0) + 14, 0, "tee"))


def _letter_sides(hole: Described, ground: Ground, room: Room) -> Iterator[str]:
    middle = ground.y(ground.length)
    half, radius = _green_size(hole, ground)
    told = [(side, "hard chip") for side in hole.hard_chip_from]
    if hole.safe_side is not None:
        told.append((hole.safe_side, "safe side"))
    for side, words in told:
        if side in (Side.SHORT, Side.LONG):
            y = middle + (radius + 4) * (1 if side == Side.SHORT else -1) + 4
            wishes = [Label("figure", ground.x(half * 0.7), y, 5, words)]
            wishes.append(Label("figure end", ground.x(-half * 0.7), y, -5, words))
        else:
            kind, shift = ("figure", 6) if side == Side.RIGHT else ("figure end", -6)
            edge = ground.x((half + 1) * (1 if side == Side.RIGHT else -1))
            wishes = [Label(kind, edge, middle + by, shift, words) for by in (4, -9, 17, -22, 30)]
        yield room.place(*wishes)


def _bend(hole: Described, ground: Ground, room: Room) -> Iterator[str]:
    if hole.bend_to is None or hole.bend_at is None:
        return
    y, sign = ground.y(hole.bend_at), -1 if hole.bend_to == Side.LEFT else 1
    tip = 0.5 + sign * 0.12
    yield drawing.line("ax", 0.5, y, tip, y)
    yield drawing.line("ax", tip, y, tip - sign * 0.025, y - 4) + drawing.line("ax", tip, y, tip - sign * 0.025, y + 4)
    words = f"bends {hole.bend_to.value}" + (f" {hole.bend_degrees}\u00b0" if hole.bend_degrees is not None else "")
    wishes = [Label("mid", 0.5 + sign * 0.1, y + by, 0, words) for by in (-8, 18, -22, 32)]
    yield room.place(*wishes)


def _letter_widths(hole: Described, ground: Ground, room: Room) -> Iterator[str]:
    for row in hole.widths:
        y = ground.y(row.distance)
        yield room.place(*(Label("mid figure", 0.5, y + by, 0, f"{row.width} wide") for by in (-5, 14)))


def _table(hole: Described, unit: str) -> Iterator[Row]:
    for number, one in enumerate(hole.trouble, 1):
        by_green = one.counted_from == CountedFrom.GREEN
        spot = [signed_place(at) if by_green else str(at) for at in (one.begins, one.ends)]
        off = DASH if one.off_line is None else str(one.off_line)
        note = "; ".join(words for words in ("from the middle of the green" if by_green else "", one.note) if words)
        deep = DASH if one.depth is None else str(one.depth)
        yield Row((f"{number} {KINDS[one.kind]}", one.side.value, *spot, off, deep, note))
    for width in hole.widths:
        yield _plain("width", at=str(width.distance), size=str(width.width))
    if hole.green_depth is not None or hole.green_width is not None:
        sizes = [DASH if size is None else str(size) for size in (hole.green_depth, hole.green_width)]
        yield _plain("green", size=f"{sizes[0]} deep, {sizes[1]} wide")
    if hole.safe_side is not None:
        yield _plain("safe side of the green", side=hole.safe_side.value)
    if hole.hard_chip_from:
        yield _plain("a hard chip from", side=sides_words(hole.hard_chip_from))
    if bend := bend_words(hole):
        yield _plain("bend", side=str(hole.bend_to), at=str(hole.bend_at), note=bend)
    rises: Sequence[tuple[str, int | None]] = (
        ("to where the tee shot lands", hole.rise_to_landing), ("to the green", hole.rise_to_green)
    )  # fmt: skip
    for where, rise in rises:
        if rise is not None:
            yield _plain(where, note=rise_words(rise, unit))


def _plain(what: str, *, side: str = DASH, at: str = DASH, size: str = DASH, note: str = "") -> Row:
    return Row((what, side, at, DASH, DASH, size, note))
