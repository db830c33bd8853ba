"""Twenty dots: the next score as twenty equally likely ones, the barrier a line among them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row
from league.charts.words import count_words

PITCH, RADIUS = 15.0, 6.0
AXIS_ROOM, HEAD_ROOM = 26.0, 26.0


def twenty_dots(scores: Sequence[int], barrier: int | None = None) -> Picture:
    """Equally likely next scores (whole, any number of them) stacked on a score axis. ValueError without any."""
    if not scores:
        raise ValueError("the picture needs a score")
    stacks = Counter(scores)
    edges = [*scores, *([barrier - 1, barrier] if barrier is not None else [])]
    floor = HEAD_ROOM + max(max(stacks.values()), 3) * PITCH
    scale = drawing.Scale(min(edges) - 1, max(edges) + 1, 5, HEAD_ROOM, floor)
    parts = [] if barrier is None else [drawing.area("sea", 0, HEAD_ROOM - 4, scale.along(barrier - 0.5), floor)]
    parts += [drawing.line("ax", 0, floor, 1, floor), *_axis(scale)]
    for score, count in sorted(stacks.items()):
        kind = "dot" if barrier is not None and score < barrier else "open"
        for place in range(count):
            parts.append(drawing.dot(kind, scale.along(score), floor - PITCH * (place + 0.65), RADIUS))
    parts += _barrier_line(barrier, scale)
    reading = _reading(scores, barrier)
    rows, so_far = [], 0
    for score, count in sorted(stacks.items()):
        so_far += count
        rows.append(Row((str(score), str(count), f"{so_far} of {len(scores)}")))
    columns = (Column("Score"), Column("Dots", True), Column("Running", True))
    return Picture(drawing.svg("twenty-dots", floor + AXIS_ROOM, reading, parts), reading, columns, tuple(rows))


def _axis(scale: drawing.Scale) -> list[str]:
    every = 5 if scale.high - scale.low <= 45 else 10
    parts = []
    for score in range(scale.low, scale.high + 1):
        if score % every == 0:
            x = scale.along(score)
            parts.append(drawing.line("ax", x, scale.bottom, x, scale.bottom + 6))
            parts.append(drawing.text("t2 mid", x, scale.bottom + 20, str(score)))
    return parts


def _barrier_line(barrier: int | None, scale: drawing.Scale) -> list[str]:
    if barrier is None:
        return []
    x, room = scale.along(barrier - 0.5), drawing.Room()
    under = drawing.Label("lbl end", x, 14, -8, f"under {barrier}")
    over = drawing.Label("t2", x, 14, 8, f"{barrier} and over")
    return [drawing.line("bar", x, 4, x, scale.bottom + 6), room.place(under), room.place(over)]


def _reading(scores: Sequence[int], barrier: int | None) -> str:
    ordered = sorted(scores)
    half = len(ordered) // 2
    low, high = ordered[half - 1] if len(ordered) % 2 == 0 else ordered[half], ordered[half]
    middle = str(low) if low == high else f"{low} or {high}" if high == low + 1 else f"between {low} and {high}"
    told = f"The middle of the {_number(len(scores))} is {middle}."
    if barrier is None:
        return told
    n_under = sum(score < barrier for score in scores)
    return f"{n_under} of {len(scores)} fall under {barrier}; the middle of the {_number(len(scores))} is {middle}."


def _number(count: int) -> str:
    return "twenty" if count == 20 else count_words(count)
