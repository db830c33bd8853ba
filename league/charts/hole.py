"""The strip of a hole: tee below, green above, trouble to its sides, as far along and as far off the line as described.

The line of play is drawn straight, for distances follow it; where it bends is marked. Sideways is drawn larger than
along. Each kind of trouble has a pattern of its own and its words; a number leads to its line in the table. Ups and
downs are drawn below, from the side.
"""

from __future__ import annotations

from collections.abc import Iterator

from league.charts import drawing
from league.charts.drawing import Column, Label, Picture, Row
from league.charts.hole_ground import FOOT, Box, Green, Ground, Placed, ground_of
from league.charts.hole_labels import Lettering, bend_box, lettered
from league.charts.hole_profile import hole_profile, profile_height
from league.charts.hole_words import KINDS, against_tee, bend_words, hole_reading, sides_words, signed_place
from league.charts.words import DASH
from league.rules.described import CountedFrom, Described, Side, TroubleKind, is_blank

TICK, COARSE_TICK = 50, 100
PATTERNS = {
    TroubleKind.OUT_OF_BOUNDS: '<line x1="2" y1="2" x2="7" y2="7"/><line x1="7" y1="2" x2="2" y2="7"/>',
    TroubleKind.PENALTY_AREA: '<line x1="0" y1="2" x2="9" y2="2"/><line x1="0" y1="6.5" x2="9" y2="6.5"/>',
    TroubleKind.BUNKER: '<circle cx="2" cy="2" r="1"/><circle cx="6.5" cy="6.5" r="1"/>',
    TroubleKind.TREES: '<circle class="ring" cx="4.5" cy="4.5" r="2.7"/>',
    TroubleKind.FALL_OFF: '<line x1="0" y1="9" x2="9" y2="0"/>',
}
COLUMNS = (
    Column("What"), Column("Side"), Column("From", True), Column("To", True), Column("Off the line", True),
    Column("Deep or wide", True), Column("Note"),
)  # fmt: skip


def hole_strip(hole: Described, length: int | None, unit: str) -> Picture:
    """`length` in the unit of the description. ValueError when nothing is described: then a sentence serves better."""
    if is_blank(hole):
        raise ValueError("nothing is described of this hole")
    ground = ground_of(hole, length)
    green, lettering = Green.of(hole, ground), Lettering(ground.foot)
    placed = [Placed.of(number, trouble, ground) for number, trouble in enumerate(hole.trouble, 1)]
    parts = [_patterns({trouble.kind for trouble in hole.trouble}), *_corridor(hole, ground)]
    parts += [*_axis(ground, length, lettering), *(one.drawn() for one in placed)]
    parts += [*_line_and_green(hole, ground, green), *_bend(hole, ground)]
    parts += lettered(hole, ground, green, placed, lettering)
    parts += hole_profile(hole, unit, ground.foot)
    reading = hole_reading(hole, length, unit)
    svg = drawing.svg("hole-strip", ground.foot + profile_height(hole), reading, parts)
    return Picture(svg, reading, COLUMNS, tuple(_table(hole, unit)))


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


def _axis(ground: Ground, length: int | None, lettering: Lettering) -> Iterator[str]:
    """Distances from the tee in the left gutter; to the middle of the green in the right one, where that is known."""
    step = TICK if ground.length / TICK <= 10 else COARSE_TICK
    for at in range(step, ground.length, step):
        y = ground.y(at)
        yield drawing.line("hr", 0, y, 1, y)
        yield lettering.fixed(Label("t2 end figure", 0, y + 4, -5, str(at)))
        if length is not None:
            yield lettering.fixed(Label("t2 figure", 1, y + 4, 5, str(length - at)))
    yield lettering.fixed(Label("t2 figure", 0, 12, 0, "left"))
    yield lettering.fixed(Label("t2 end figure", 1, 12, 0, "right"))
    foot = ground.y(0) + FOOT - 6
    yield lettering.fixed(Label("t2 figure", 0, foot, -27, "from the tee"))
    if length is not None:
        yield lettering.fixed(Label("t2 end figure", 1, foot, 35, "to the green"))


def _line_and_green(hole: Described, ground: Ground, green: Green) -> Iterator[str]:
    tee = ground.y(0)
    yield drawing.line("play", 0.5, tee, 0.5, green.middle)
    yield drawing.line("bar", 0.47, tee, 0.53, tee)
    is_sure = hole.green_width is not None and hole.green_depth is not None
    yield (
        f'<ellipse class="green{"" if is_sure else " unsure"}" cx="50%" cy="{drawing.down(green.middle)}" '
        f'rx="{drawing.across(green.half / ground.reach / 2)}" ry="{drawing.down(green.radius)}"/>'
    )
    yield from (_edge("bar", green.edge(side)) for side in hole.hard_chip_from)
    if hole.safe_side is not None:
        yield _edge("said", green.edge(hole.safe_side))


def _edge(kind: str, edge: Box) -> str:
    return drawing.line(kind, edge.left, edge.top, edge.right, edge.bottom)


def _bend(hole: Described, ground: Ground) -> Iterator[str]:
    if hole.bend_at is None:
        return
    box = bend_box(hole, ground)
    y, is_left = (box.top + box.bottom) / 2, hole.bend_to == Side.LEFT
    tip, back = (box.left, 0.025) if is_left else (box.right, -0.025)
    yield drawing.line("ax", 0.5, y, tip, y)
    yield drawing.line("ax", tip, y, tip + back, box.top) + drawing.line("ax", tip, y, tip + back, box.bottom)


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
    if hole.rise_to_landing is not None:
        yield _plain("where the tee shot lands", note=against_tee(hole.rise_to_landing, unit))
    if hole.rise_to_green is not None:
        yield _plain("height of the green", note=against_tee(hole.rise_to_green, unit))


def _plain(what: str, *, side: str = DASH, at: str = DASH, size: str = DASH, note: str = "") -> Row:
    return Row((what, side, at, DASH, DASH, size, note))
