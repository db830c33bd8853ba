"""Progress: rounds carried to one tee, the level after each, and the band that held it. It never looks ahead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row
from league.charts.words import MONTHS, day_words

TOP, BOTTOM, HEIGHT = 16.0, 214.0, 244.0
EVEN_SHARE = 0.5
"""Of the width that is shared out evenly among rounds, so that a busy month keeps its dots apart."""


@dataclass(frozen=True)
class ProgressPoint:
    """A round: `made` as it was played, `score` carried to the tee; the level after it and the band of four in five."""

    day: date
    made: int
    score: float
    level: float
    low: float
    high: float


def progress_line(points: Sequence[ProgressPoint], barrier: int | None = None) -> Picture:
    """Oldest first. ValueError without a point."""
    if not points:
        raise ValueError("the picture needs a round")
    edges = [edge for point in points for edge in (point.score, point.low, point.high)]
    edges += [] if barrier is None else [barrier - 2]
    whole = [int(min(edges)) - 1, int(max(edges)) + 1]
    scale = drawing.scale_for(whole, (5, 10, 20, 50), 6, TOP, BOTTOM)
    xs = _across(points)
    parts = _ground(scale)
    for point, (left, right) in zip(points, pairwise([*xs, 1.0]), strict=True):
        parts.append(drawing.area("sea", left, scale.at(point.high), right, scale.at(point.low)))
    parts += _levels(points, xs, scale)
    parts += _barrier(barrier, scale)
    radius = 5.0 if len(points) <= 40 else 3.0
    for point, x in zip(points, xs, strict=True):
        is_under = barrier is not None and point.score <= barrier - 0.5
        parts.append(drawing.dot("dot" if is_under else "open", x, scale.at(point.score), radius))
    parts += _days(points, xs)
    last = points[-1]
    parts.append(drawing.text("lbl", 1, scale.at(last.level) + 4, f"{last.level:.1f}", 7))
    reading = _reading(points, barrier)
    columns = (
        Column("Played"), Column("Score", True), Column("Carried here", True), Column("Level", True),
        Column("Four in five", True),
    )  # fmt: skip
    rows = tuple(
        Row(
            (
                day_words(point.day),
                str(point.made),
                f"{point.score:.1f}",
                f"{point.level:.1f}",
                f"{point.low:.0f} to {point.high:.0f}",
            )
        )
        for point in reversed(points)
    )
    return Picture(drawing.svg("progress-line", HEIGHT, reading, parts), reading, columns, rows)


def _across(points: Sequence[ProgressPoint]) -> list[float]:
    """Where each round stands: half by its place in the row, half by its day; a little room is left after the last."""
    days = [point.day.toordinal() for point in points]
    span = max(days[-1] - days[0], 1)
    count = max(len(points) - 1, 1)
    return [
        0.97 * (EVEN_SHARE * place / count + (1 - EVEN_SHARE) * (day - days[0]) / span)
        for place, day in enumerate(days)
    ]


def _ground(scale: drawing.Scale) -> list[str]:
    parts = []
    for tick in scale.ticks():
        parts.append(drawing.line("ax" if tick == scale.low else "hr", 0, scale.at(tick), 1, scale.at(tick)))
        parts.append(drawing.text("t2 end", 0, scale.at(tick) + 4, str(tick), -8))
    return parts


def _levels(points: Sequence[ProgressPoint], xs: Sequence[float], scale: drawing.Scale) -> list[str]:
    """A stepped line: the level holds until the next round."""
    parts, before = [], None
    for point, (left, right) in zip(points, pairwise([*xs, 1.0]), strict=True):
        y = scale.at(point.level)
        if before is not None:
            parts.append(drawing.line("level", left, before, left, y))
        parts.append(drawing.line("level", left, y, right, y))
        before = y
    return parts


def _barrier(barrier: int | None, scale: drawing.Scale) -> list[str]:
    if barrier is None:
        return []
    y = scale.at(barrier - 0.5)
    return [drawing.line("bar", 0, y, 1, y), drawing.text("lbl", 0, y + 16, f"under {barrier}", 4)]


def _days(points: Sequence[ProgressPoint], xs: Sequence[float]) -> list[str]:
    """The month of the first round of each month, as many as stand clear of one another on a phone."""
    room, parts, seen, year = drawing.Room(), [], set(), 0
    for point, x in zip(points, xs, strict=True):
        month = (point.day.year, point.day.month)
        if month in seen:
            continue
        seen.add(month)
        words = MONTHS[month[1] - 1][:3] if month[0] == year else f"{MONTHS[month[1] - 1][:3]} {month[0]}"
        kind = "t2" if x < 0.1 else "t2 end" if x > 0.92 else "t2 mid"
        drawn = room.place(drawing.Label(kind, x, BOTTOM + 20, 0, words))
        if drawn:
            parts += [drawing.line("ax", x, BOTTOM, x, BOTTOM + 5), drawn]
            year = month[0]
    return parts


def _reading(points: Sequence[ProgressPoint], barrier: int | None) -> str:
    first, last = points[0], points[-1]
    told = f"Your level was {first.level:.1f} on {day_words(first.day)} and is {last.level:.1f} now, on this tee"
    if barrier is None:
        return f"{told}."
    under = sum(point.score <= barrier - 0.5 for point in points)
    rounds = f"{under} of {len(points)} rounds would have been under {barrier} here"
    return f"{told}; the barrier asks for {barrier - 1}. {rounds}."
