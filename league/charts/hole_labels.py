"""Lettering of a hole's strip: never over other lettering, near what it names, clear of other marks where it can be.

Every mark is made known first, with what crossing it costs. Of the wishes for a label the cheapest is taken: how far it
is from its best place, and what it crosses, on the narrowest phone and on a wide sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from league.charts.drawing import LETTER, LINE, NARROW, WIDE, Boxes, Label, meet
from league.charts.hole_ground import Box, Green, Ground, Placed
from league.charts.hole_words import KINDS, bend_arrow_words
from league.rules.described import CountedFrom, Described, Side

LEFT_GUTTER, RIGHT_GUTTER = 34.0, 38.0
"""Pixels beside the plot that lettering may use where no distance stands: a little less than the style sheet leaves."""
INSIDE, OUTWARD, ABOVE, INWARD, ACROSS_ITS_EDGE, NUMBER_ALONE = 0.0, 1.0, 2.0, 3.0, 6.0, 12.0
"""What a place for the words of a piece of trouble costs; a number without words is the last resort."""
LIGHT, PLAIN, HEAVY = 1.5, 4.0, 8.0
"""What crossing a mark costs."""
SPREAD = (0.5, 0.38, 0.62, 0.26, 0.74, 0.14, 0.86)
NUDGES = (0, -8, 8, -16, 16)

Wish = tuple[float, Label]


@dataclass(frozen=True)
class _Mark:
    owner: object
    boxes: Boxes
    cost: float


@dataclass
class Lettering:
    """`height` of the strip in pixels. What an `owner` draws may be lettered over by its own label."""

    height: float
    taken: list[Boxes] = field(default_factory=list)
    marks: list[_Mark] = field(default_factory=list)

    def mark(self, box: Box, cost: float, owner: object = None) -> None:
        boxes = [(box.left * w - 1, box.top - 1, box.right * w + 1, box.bottom + 1) for w in (NARROW, WIDE)]
        self.marks.append(_Mark(owner, boxes, cost))

    def fixed(self, label: Label) -> str:
        """Lettering that stands where it stands: first come, so that the rest keeps clear of it."""
        self.taken.append(label.boxes())
        return label.drawn()

    def place(self, wishes: Iterable[Wish], owner: object = None) -> str:
        """The cheapest wish that meets no other lettering, drawn; nothing where there is none."""
        free = [(cost, label) for cost, label in wishes if self._is_free(label)]
        if not free:
            return ""
        priced = [(cost + self._crossed(label, owner), at) for at, (cost, label) in enumerate(free)]
        return self.fixed(free[min(priced)[1]][1])

    def _is_free(self, label: Label) -> bool:
        boxes = label.boxes()
        is_inside = all(
            box[0] >= -LEFT_GUTTER and box[2] <= width + RIGHT_GUTTER and box[1] >= 0 and box[3] <= self.height
            for box, width in zip(boxes, (NARROW, WIDE), strict=True)
        )
        return is_inside and not any(meet(boxes, kept) for kept in self.taken)

    def _crossed(self, label: Label, owner: object) -> float:
        boxes = label.boxes()
        others = (mark for mark in self.marks if owner is None or mark.owner is not owner)
        return sum(mark.cost for mark in others if meet(boxes, mark.boxes))


def lettered(
    hole: Described, ground: Ground, green: Green, placed: list[Placed], lettering: Lettering
) -> Iterator[str]:
    """All words of the strip but those of its axis; what has least room is placed first."""
    _make_known(hole, ground, green, placed, lettering)
    yield lettering.fixed(Label("mid", 0.5, ground.y(0) + 14, 0, "tee"))
    yield lettering.place(_green_wishes(green), owner=green)
    near = [one for one in placed if one.trouble.counted_from == CountedFrom.GREEN]
    yield from (_letter_trouble(one, lettering) for one in near)
    yield from _letter_sides(hole, green, lettering)
    yield from (_letter_trouble(one, lettering) for one in placed if one not in near)
    yield _letter_bend(hole, ground, lettering)
    for row in hole.widths:
        y, words = ground.y(row.distance), f"{row.width} wide"
        yield lettering.place((abs(by + 5) / 10, Label("mid figure", 0.5, y + by, 0, words)) for by in (-5, 14))


def _make_known(hole: Described, ground: Ground, green: Green, placed: list[Placed], lettering: Lettering) -> None:
    lettering.mark(green.box, HEAVY, owner=green)
    sides = [*hole.hard_chip_from, *([hole.safe_side] if hole.safe_side else [])]
    for side in sides:
        lettering.mark(green.edge(side), PLAIN)
    for one in placed:
        lettering.mark(one.box, PLAIN, owner=one)
    for row in hole.widths:
        y, half = ground.y(row.distance), row.width / 2
        lettering.mark(Box(ground.x(-half), ground.x(half), y, y), PLAIN)
    if hole.bend_at is not None:
        lettering.mark(bend_box(hole, ground), PLAIN)
    lettering.mark(Box(0.5, 0.5, green.box.bottom + 2, ground.y(0)), LIGHT)


def bend_box(hole: Described, ground: Ground) -> Box:
    """Where the arrow of a bend is drawn, its head's height too."""
    y, tip = ground.y(hole.bend_at or 0), 0.5 + 0.12 * (-1 if hole.bend_to == Side.LEFT else 1)
    return Box(min(0.5, tip), max(0.5, tip), y - 4, y + 4)


def _green_wishes(green: Green) -> Iterator[Wish]:
    words = "green"
    if (green.box.right - green.box.left) * NARROW > len(words) * LETTER:
        yield 0, Label("mid lbl", 0.5, green.middle + 4, 0, words)
    for cost, y in ((1, green.box.top - 6), (2, green.box.top - 11), (3, green.box.bottom + 20)):
        yield cost, Label("mid lbl", 0.5, y, 0, words)


def _letter_trouble(one: Placed, lettering: Lettering) -> str:
    return lettering.place(_beside(one, KINDS[one.trouble.kind]), owner=one)


def _beside(one: Placed, words: str) -> Iterator[Wish]:
    """Where the words of a piece of trouble may stand, and what each place costs; then its number alone."""
    for extra, told in ((0.0, f"{one.number} {words}"), (NUMBER_ALONE, str(one.number))):
        yield from ((extra + cost, label) for cost, label in _round(one.box, told, one.is_left))


def _round(box: Box, told: str, is_left: bool) -> Iterator[Wish]:
    middle, tall = (box.left + box.right) / 2, box.bottom - box.top
    outward, inward = Label("end", box.left, 0, -4, told), Label("", box.right, 0, 4, told)
    if not is_left:
        outward, inward = inward, outward
    fits = len(told) * LETTER + 4 <= (box.right - box.left) * NARROW and tall >= LINE + 2
    for share in SPREAD if tall > 3 * LINE else SPREAD[:1]:
        y, far = box.top + tall * share + 4, abs(share - 0.5)
        if fits:
            yield INSIDE + far, Label("mid", middle, y, 0, told)
        yield ACROSS_ITS_EDGE + far, Label("", 0.0, y, 3, told) if is_left else Label("end", 1.0, y, -3, told)
        for by in NUDGES:
            yield OUTWARD + far + abs(by) / 10, replace(outward, y=y + by)
            yield INWARD + far + abs(by) / 10, replace(inward, y=y + by)
    for y in (box.top - 5, box.bottom + 13):
        for kind, x in (("", box.left), ("end", box.right), ("mid", middle)):
            yield ABOVE, Label(kind, x, y, 0, told)


def _letter_sides(hole: Described, green: Green, lettering: Lettering) -> Iterator[str]:
    told = [(side, "hard chip") for side in hole.hard_chip_from]
    if hole.safe_side is not None:
        told.append((hole.safe_side, "safe side"))
    for side, words in told:
        yield lettering.place(_by_edge(green.edge(side), side, words))


def _by_edge(edge: Box, side: Side, words: str) -> Iterator[Wish]:
    if side in (Side.SHORT, Side.LONG):
        for by in (4, 0, 8):
            yield abs(by - 4) / 10, Label("figure", edge.right, edge.top + by, 5, words)
            yield 0.5 + abs(by - 4) / 10, Label("figure end", edge.left, edge.top + by, -5, words)
        yield 1, Label("figure mid", 0.5, edge.top + (-6 if side == Side.LONG else 15), 0, words)
        return
    kind, shift = ("figure", 6) if side == Side.RIGHT else ("figure end", -6)
    middle = (edge.top + edge.bottom) / 2
    for by in (4, -9, 17):
        yield abs(by - 4) / 10, Label(kind, edge.left, middle + by, shift, words)
    for by in (0, 5, 10):
        for y in (edge.top - 4 - by, edge.bottom + 12 + by):
            yield 1.5 + by / 10, Label(kind, edge.left, y, -shift // 2, words)
            yield 2.5 + by / 10, Label("figure mid", edge.left, y, 0, words)


def _letter_bend(hole: Described, ground: Ground, lettering: Lettering) -> str:
    if hole.bend_at is None:
        return ""
    y, sign = ground.y(hole.bend_at), -1 if hole.bend_to == Side.LEFT else 1
    words, tip = bend_arrow_words(hole), 0.5 + sign * 0.12
    beyond = Label("" if sign > 0 else "end", tip, y + 4, 5 * sign, words)
    over = (Label("mid", 0.5 + sign * 0.1, y + by, 0, words) for by in (-8, 18, -22, 32))
    return lettering.place([(0.0, beyond), *((0.5 + at, label) for at, label in enumerate(over))])
