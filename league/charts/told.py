"""Said and happened: outlooks gathered by what they said, beside how often it came true."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row

TOP, PITCH = 12.0, 30.0


@dataclass(frozen=True)
class SaidRow:
    """Shares from 0 to 1. From `low` to `high` the share that happened should lie, if what was said holds."""

    said: float
    happened: float
    low: float
    high: float
    n: int

    @property
    def is_within(self) -> bool:
        return self.low <= self.happened <= self.high


def said_and_happened(rows: Sequence[SaidRow]) -> Picture:
    """One row a class of outlooks, lowest first. ValueError without rows."""
    if not rows:
        raise ValueError("the picture needs a row")
    floor = TOP + PITCH * len(rows)
    parts = []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        parts.append(drawing.line("hr", share, TOP, share, floor))
        parts.append(drawing.text("t2 mid", share, floor + 18, f"{share:.0%}".replace("%", " %")))
    for place, row in enumerate(rows):
        y = TOP + PITCH * (place + 0.5)
        parts.append(drawing.area("sea", row.low, y - 7, row.high, y + 7))
        parts.append(drawing.line("said", row.said, y - 10, row.said, y + 10))
        parts.append(drawing.dot("ink", row.happened, y, 4.5))
    reading = _reading(rows)
    columns = (
        Column("Said"), Column("Happened", True), Column("If right, from", True), Column("to", True),
        Column("Outlooks", True),
    )  # fmt: skip
    table = tuple(
        Row((_percent(r.said), _percent(r.happened), _percent(r.low), _percent(r.high), str(r.n))) for r in rows
    )
    return Picture(drawing.svg("said-and-happened", floor + 26, reading, parts), reading, columns, table)


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _reading(rows: Sequence[SaidRow]) -> str:
    n, within = sum(row.n for row in rows), sum(row.is_within for row in rows)
    held = "every row" if within == len(rows) else f"{within} of {len(rows)} rows"
    return f"{n} outlooks have met their round; in {held} what happened lies where it should if they are right."
