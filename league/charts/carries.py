"""The clubs of a carry book on one axis: how far each usually carries, and where four shots in five come down.

Solid bar and filled dot: the spread rests on the player's own shots or values. Open bar with broken edges and open
dot: it rests on published figures. The word stands beside it as well. Farther is to the right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row

TOP, PITCH, MIDDLE = 22.0, 38.0, 26.0
NAME_LENGTH = 22
OWN, PUBLISHED = "own", "published"


@dataclass(frozen=True)
class CarryRow:
    """Distances in one unit; between `low` and `high` lie four shots in five. `today` is None without a day."""

    name: str
    carry: float
    low: float
    high: float
    is_published: bool
    n_shots: int = 0
    today: float | None = None

    @property
    def rests_on(self) -> str:
        return PUBLISHED if self.is_published else OWN


def carry_ranges(rows: Sequence[CarryRow], unit: str) -> Picture:
    """Longest first, in the order given. ValueError without rows."""
    if not rows:
        raise ValueError("the picture needs a club")
    held = [value for row in rows for value in (row.low, row.high, *([] if row.today is None else [row.today]))]
    across = drawing.scale_for([int(min(held)), -int(-max(held) // 1)], (20, 50, 100), 5, 0.0, 1.0)
    bottom = TOP + PITCH * len(rows)
    parts = []
    for tick in across.ticks():
        x = across.along(tick)
        parts.append(drawing.line("hr", x, TOP, x, bottom) + drawing.text("t2 mid", x, 13, str(tick)))
    for at, row in enumerate(rows):
        parts += _row(row, TOP + PITCH * at, across)
    parts.append(drawing.line("hr", 0, bottom, 1, bottom))
    reading = _reading(rows, unit)
    return Picture(drawing.svg("carries", bottom + 4, reading, parts), reading, _columns(rows), _table(rows))


def _row(row: CarryRow, top: float, across: drawing.Scale) -> list[str]:
    y = top + MIDDLE
    low, high, usual = (across.along(value) for value in (row.low, row.high, row.carry))
    short = row.name if len(row.name) <= NAME_LENGTH else row.name[: NAME_LENGTH - 1].rstrip() + "\u2026"
    parts = [
        drawing.line("hr", 0, top, 1, top),
        drawing.text("name", 0, top + 12, short),
        drawing.text("t2 end basis", 1, top + 12, row.rests_on, 40),
        drawing.area("sea unsure" if row.is_published else "sea", low, y - 5, high, y + 5),
        *(drawing.line("wh", x, y - 5, x, y + 5) for x in (low, high)),
    ]
    if row.today is not None:
        x = across.along(row.today)
        parts.append(drawing.line("said", x, y - 9, x, y + 9))
    parts.append(drawing.dot("open" if row.is_published else "ink", usual, y, 4.5))
    return parts


def _columns(rows: Sequence[CarryRow]) -> tuple[Column, ...]:
    today = (Column("Today", True),) if _has_day(rows) else ()
    return (
        Column("Club"), Column("Carry", True), *today, Column("Four in five, from", True), Column("to", True),
        Column("Shots", True), Column("Spread"),
    )  # fmt: skip


def _table(rows: Sequence[CarryRow]) -> tuple[Row, ...]:
    def cells(row: CarryRow) -> tuple[str, ...]:
        today = () if row.today is None else (f"{row.today:.0f}",)
        figures = (f"{row.carry:.0f}", *today, f"{row.low:.0f}", f"{row.high:.0f}", str(row.n_shots))
        return (row.name, *figures, row.rests_on)

    return tuple(Row(cells(row)) for row in rows)


def _has_day(rows: Sequence[CarryRow]) -> bool:
    return any(row.today is not None for row in rows)


def _reading(rows: Sequence[CarryRow], unit: str) -> str:
    first, last = rows[0], rows[-1]
    if len(rows) == 1:
        said = f"{first.name} usually carries {first.carry:.0f} {unit}"
    else:
        said = f"From {first.carry:.0f} {unit} with {first.name} to {last.carry:.0f} with {last.name}"
    published = sum(row.is_published for row in rows)
    if published == len(rows):
        return f"{said}; every spread here is a published figure."
    if not published:
        return f"{said}; every spread here is your own."
    return f"{said}; {published} of {len(rows)} spreads are published figures, the others your own."
