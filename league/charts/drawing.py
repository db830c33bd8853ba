"""What every picture is made of: marks, a scale, and room for lettering.

Text is escaped here and only here. Across is in per cent of the plot, down in pixels, so nothing is squeezed at any
width and lettering keeps its size. The style sheet gives the margins (as padding), colours and line weights by class
name; no element carries a style of its own. More strokes is always up or to the right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

# The plot's width on the narrowest phone and on a wide sheet, in pixels: labels must not collide on either.
NARROW, WIDE = 215.0, 590.0
LETTER, LINE = 6.8, 14.0

# Left, top, right, bottom on the narrow and on the wide plot.
Boxes = list[tuple[float, float, float, float]]


@dataclass(frozen=True)
class Column:
    """A column's heading, and whether its cells are figures (set to the right)."""

    title: str
    is_figure: bool = False


@dataclass(frozen=True)
class Row:
    """One line of a picture's table; `href` leads from its first cell to what it tells of."""

    cells: tuple[str, ...]
    href: str = ""


@dataclass(frozen=True)
class Picture:
    """`svg` is markup, all else plain text."""

    svg: str
    reading: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


def across(fraction: float) -> str:
    return f"{100 * fraction:.2f}".rstrip("0").rstrip(".") + "%"


def down(pixels: float) -> str:
    return f"{pixels:.1f}".rstrip("0").rstrip(".")


def line(kind: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{kind}" x1="{across(x1)}" y1="{down(y1)}" x2="{across(x2)}" y2="{down(y2)}"/>'


def text(kind: str, x: float, y: float, words: str, shift: int = 0) -> str:
    shifted = f' dx="{shift}"' if shift else ""
    return f'<text class="{kind}" x="{across(x)}" y="{down(y)}"{shifted}>{escape(words)}</text>'


def area(kind: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<rect class="{kind}" x="{across(x1)}" y="{down(y1)}" width="{across(x2 - x1)}" height="{down(y2 - y1)}"/>'


def dot(kind: str, x: float, y: float, radius: float) -> str:
    return f'<circle class="{kind}" cx="{across(x)}" cy="{down(y)}" r="{radius}"/>'


def svg(kind: str, height: float, label: str, parts: Sequence[str], role: str = "img") -> str:
    opening = f'<svg class="{kind}" width="100%" height="{down(height)}" role="{role}" aria-label="{escape(label)}">'
    return opening + "".join(parts) + "</svg>"


@dataclass(frozen=True)
class Scale:
    """Whole steps from `low` to `high`, drawn from `bottom` up to `top` pixels."""

    low: int
    high: int
    step: int
    top: float
    bottom: float

    def along(self, value: float) -> float:
        return (value - self.low) / (self.high - self.low)

    def at(self, value: float) -> float:
        return self.bottom - self.along(value) * (self.bottom - self.top)

    def ticks(self) -> range:
        return range(self.low, self.high + 1, self.step)


def scale_for(values: Sequence[int], steps: Sequence[int], most: int, top: float, bottom: float) -> Scale:
    """The finest of the steps that needs at most `most` gaps to hold every value."""
    for step in steps:
        low = min(values) // step * step
        high = max(-(-max(values) // step) * step, low + step)
        if (high - low) // step <= most:
            break
    return Scale(low, high, step, top, bottom)


def meet(these: Boxes, those: Boxes) -> bool:
    """Whether two things share room on the narrow or on the wide plot."""
    return any(
        one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
        for one, other in zip(these, those, strict=True)
    )


@dataclass(frozen=True)
class Label:
    kind: str
    x: float
    y: float
    shift: int
    words: str

    def boxes(self) -> Boxes:
        length = len(self.words) * LETTER
        kinds = self.kind.split()
        before = length if "end" in kinds else length / 2 if "mid" in kinds else 0.0
        left = [self.x * width + self.shift - before for width in (NARROW, WIDE)]
        return [(start, self.y - LINE + 3, start + length, self.y + 3) for start in left]

    def drawn(self) -> str:
        return text(self.kind, self.x, self.y, self.words, self.shift)


@dataclass
class Room:
    """What is lettered already; a label goes where it fits on every width, or is left to the table."""

    taken: list[Boxes] = field(default_factory=list)
    line: list[Boxes] = field(default_factory=list)

    def has(self, label: Label, obstacles: list[Boxes]) -> bool:
        boxes = label.boxes()
        inside = boxes[0][0] >= -1 and boxes[0][2] <= NARROW + 36
        return inside and not any(meet(boxes, kept) for kept in obstacles)

    def place(self, *wishes: Label, may_cross: bool = True) -> str:
        """The first wish clear of labels and line; failing that, if it may cross the line, clear of labels."""
        for obstacles in (self.taken + self.line, self.taken) if may_cross else (self.taken + self.line,):
            for label in wishes:
                if self.has(label, obstacles):
                    self.taken.append(label.boxes())
                    return label.drawn()
        return ""

    def run_line(self, left: float, right: float, y: float) -> None:
        self.line.append([(left * width, y - 2, right * width, y + 2) for width in (NARROW, WIDE)])

    def keep_clear(self, x: float, y: float, half: float) -> None:
        self.taken.append([(x * w - half, y - half, x * w + half, y + half) for w in (NARROW, WIDE)])
