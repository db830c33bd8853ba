"""The group strip: who scores what, and how far each barrier is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row
from league.charts.words import DASH, count_words, tenths_words


@dataclass(frozen=True)
class StripRow:
    """A player's gross scores, oldest first (the last ten are drawn), and the total to get under, if one is set."""

    name: str
    scores: tuple[int, ...]
    barrier: int | None = None
    is_reader: bool = False

    @property
    def recent(self) -> tuple[int, ...]:
        return self.scores[-10:]

    @property
    def bar(self) -> tuple[int, int] | None:
        """Lowest and highest of the last ten without the best and the worst; none under three scores."""
        kept = sorted(self.recent)[1:-1]
        return (kept[0], kept[-1]) if kept else None

    @property
    def to_go(self) -> int | None:
        """Tenths from the mean of the last ten down to the last total under the barrier, halves up."""
        if not self.recent or self.barrier is None:
            return None
        total, count = sum(self.recent) - (self.barrier - 1) * len(self.recent), len(self.recent)
        return (20 * total + count) // (2 * count)

    @property
    def place(self) -> tuple[bool, bool, int]:
        """Nearest to the barrier first; those without one, or without a score, last."""
        return (not self.scores, self.to_go is None, self.to_go or 0)

    @property
    def is_under(self) -> bool:
        return bool(self.recent) and self.barrier is not None and self.recent[-1] < self.barrier


STRIP_TOP, STRIP_PITCH, STRIP_MIDDLE = 22.0, 36.0, 25.0
NAME_LENGTH = 24


def group_strip(rows: Sequence[StripRow]) -> Picture:
    """Nearest to the barrier first; players without one, or without a score, come last in the order given.
    Raises ValueError when nobody has a score."""
    if not any(row.scores for row in rows):
        raise ValueError("a group strip needs a score")
    ordered = sorted(rows, key=lambda row: row.place)
    held = [value for row in rows for value in (*(row.bar or ()), *row.recent[-1:])]
    held += [row.barrier for row in rows if row.barrier is not None and row.scores]
    across = drawing.scale_for([min(held) - 1, max(held) + 1], (5, 10, 20, 50, 100), 5, 0.0, 1.0)
    bottom = STRIP_TOP + STRIP_PITCH * len(ordered)
    parts = []
    for tick in across.ticks():
        x = across.along(tick)
        parts.append(drawing.line("hr", x, STRIP_TOP, x, bottom) + drawing.text("t2 mid", x, 13, str(tick)))
    has_barrier = any(row.to_go is not None for row in ordered)
    if has_barrier:
        parts.append(drawing.text("t2 end", 1, 13, "to go", 50))
    for at, row in enumerate(ordered):
        parts += _strip_row(row, STRIP_TOP + STRIP_PITCH * at, across)
    parts.append(drawing.line("hr", 0, bottom, 1, bottom))
    reading = _strip_reading(ordered)
    columns = (
        Column("Player"), Column("Last", True), Column("Usual", True), Column("Barrier", True), Column("To go", True),
    )  # fmt: skip
    table = tuple(_strip_table_row(row) for row in ordered)
    return Picture(drawing.svg("group-strip", bottom + 4, reading, parts), reading, columns, table)


def _strip_row(row: StripRow, top: float, across: drawing.Scale) -> list[str]:
    middle = top + STRIP_MIDDLE
    short = row.name if len(row.name) <= NAME_LENGTH else row.name[: NAME_LENGTH - 1].rstrip() + "\u2026"
    parts = []
    if row.is_reader:
        parts.append(drawing.area("land", 0, top, 1, top + STRIP_PITCH))
        parts.append(
            f'<rect class="land gutter" y="{drawing.down(top)}" width="205" height="{drawing.down(STRIP_PITCH)}"/>'
        )
    parts.append(
        drawing.line("hr", 0, top, 1, top)
        + f'<line class="hr gutter" x2="205" y1="{drawing.down(top)}" y2="{drawing.down(top)}"/>'
    )
    parts.append(drawing.text("name lbl" if row.is_reader else "name", 0, top + 14, short))
    if not row.scores:
        return [*parts, drawing.text("t2 marks", 0, middle + 4, "no score yet", 6)]
    parts.append('<g class="marks">')
    if row.bar:
        low, high = (across.along(value) for value in row.bar)
        parts.append(drawing.area("sea", low, middle - 5, high, middle + 5))
        parts += [drawing.line("wh", x, middle - 5, x, middle + 5) for x in (low, high)]
    if row.barrier is not None:
        edge = across.along(row.barrier - 0.5)
        parts.append(drawing.line("bar", edge, middle - 9, edge, middle + 9))
    parts.append(drawing.dot("dot" if row.is_under else "open", across.along(row.recent[-1]), middle, 5))
    if row.to_go is not None:
        parts.append(drawing.text("end", 1, middle + 4, _to_go_words(row), 50))
    return [*parts, "</g>"]


def _to_go_words(row: StripRow) -> str:
    return "there" if row.to_go is not None and row.to_go <= 0 else tenths_words(row.to_go)


def _strip_table_row(row: StripRow) -> Row:
    usual = f"{row.bar[0]} to {row.bar[1]}" if row.bar else DASH
    last = str(row.recent[-1]) if row.recent else DASH
    return Row((row.name, last, usual, DASH if row.barrier is None else str(row.barrier), _to_go_words(row)))


def _strip_reading(rows: Sequence[StripRow]) -> str:
    aiming = [row for row in rows if row.to_go is not None]
    if not aiming:
        return "The last score of each player, on the range of their last ten less the best and the worst."
    reaching = sum(row.bar is not None and row.bar[0] < (row.barrier or 0) for row in aiming)
    ahead = next((row.name for row in aiming if (row.to_go or 0) > 0), "")
    reaches = f"For {count_words(reaching)} of {count_words(len(aiming))} the usual range reaches under the barrier"
    return f"{reaches}; {ahead} is nearest to it." if ahead else f"{reaches}."
