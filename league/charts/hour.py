"""The time for practice on a line of minutes: every minute a tick, every part under the one before it, farther on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row

LONG = 90
PITCH, TOP = 44.0, 24.0
SHORT, TALL = 4.0, 8.0
"""Half the height of a tick, and of every fifth; in pixels."""


@dataclass(frozen=True)
class Stretch:
    """Minutes that go to one thing, one after the other."""

    name: str
    minutes: int


def split_hour(stretches: Sequence[Stretch]) -> Picture:
    """In the order given, on a scale with a mark each quarter of an hour, or half. ValueError without a minute."""
    whole = sum(stretch.minutes for stretch in stretches)
    if whole <= 0:
        raise ValueError("the picture needs a minute")
    floor = TOP + PITCH * len(stretches)
    marks = range(0, whole + 1, 15 if whole <= LONG else 30)
    parts = [drawing.line("hr", minute / whole, 18, minute / whole, floor) for minute in marks]
    parts += [drawing.text("t2 mid", minute / whole, 12, str(minute)) for minute in marks]
    rows, begun = list[Row](), 0
    for place, stretch in enumerate(stretches):
        parts += _stretch(stretch, begun, whole, TOP + PITCH * place)
        rows.append(Row((stretch.name, str(stretch.minutes), f"{begun} to {begun + stretch.minutes}")))
        begun += stretch.minutes
    reading = _reading(stretches, whole)
    columns = (Column("What"), Column("Minutes", True), Column("When", True))
    return Picture(drawing.svg("split-hour", floor + 4, reading, parts), reading, columns, tuple(rows))


def _stretch(stretch: Stretch, begun: int, whole: int, top: float) -> list[str]:
    """Its name above, a tick in the middle of each of its minutes on a line below."""
    middle = top + 31
    ticks = []
    for minute in range(begun, begun + stretch.minutes):
        half = TALL if (minute - begun) % 5 == 4 else SHORT
        x = (minute + 0.5) / whole
        ticks.append(drawing.line("wh", x, middle - half, x, middle + half))
    return [
        drawing.line("ax", begun / whole, middle, (begun + stretch.minutes) / whole, middle),
        *ticks,
        drawing.text("lbl", 0, top + 16, stretch.name),
        drawing.text("t2 end", 1, top + 16, f"{stretch.minutes} minutes"),
    ]


def _reading(stretches: Sequence[Stretch], whole: int) -> str:
    if len(stretches) == 1:
        return f"All {whole} minutes go to {stretches[0].name}."
    *others, last = [f"{stretch.minutes} to {stretch.name}" for stretch in stretches]
    return f"Of {whole} minutes go {', '.join(others)} and {last}."
