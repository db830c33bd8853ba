"""One range on an axis: the scores that were expected and the one that came; a difference and how far off it could be.

More strokes is to the right. The range is tinted and has ends, the value is a dot, each lettered with its number.
"""

from __future__ import annotations

from league.charts import drawing
from league.charts.drawing import Column, Label, Picture, Row
from league.charts.words import difference_words

MIDDLE, BOTTOM, HEIGHT = 40.0, 64.0, 90.0
PART = 100
"""A difference is drawn in hundredths of a stroke."""


def score_in_range(gross: int, low: int, high: int, reading: str) -> Picture:
    """A gross score beside the range, both ends in, that was expected before."""
    scale = drawing.scale_for([min(low, gross) - 1, max(high, gross) + 1], (5, 10, 20), 6, 0.0, 1.0)
    parts = _range(scale, low, high, gross, (str(low), str(high), str(gross)))
    parts += _axis(scale, {tick: str(tick) for tick in scale.ticks()})
    columns = (Column("Expected, from", True), Column("to", True), Column("Came", True))
    return Picture(_svg(reading, parts), reading, columns, (Row((str(low), str(high), str(gross))),))


def difference_range(value: float, low: float, high: float, reading: str) -> Picture:
    """Strokes more or fewer, from `low` to `high` nineteen times in twenty; a line stands where there is none."""
    one, start, end = (round(number * PART) for number in (value, low, high))
    scale = drawing.scale_for([min(start, 0), max(end, 0)], (20, 50, 100, 200, 500), 5, 0.0, 1.0)
    none = scale.along(0)
    parts = [
        drawing.line("bar", none, 4, none, BOTTOM),
        *_range(scale, start, end, one, ("", "", difference_words(value))),
    ]
    parts += _axis(
        scale, {tick: f"{tick / PART:+.1f}".replace("-", "\u2212") if tick else "0" for tick in scale.ticks()}
    )
    columns = (Column("Strokes", True), Column("From", True), Column("to", True))
    cells = tuple(difference_words(number) for number in (value, low, high))
    return Picture(_svg(reading, parts), reading, columns, (Row(cells),))


def _range(scale: drawing.Scale, low: int, high: int, value: int, words: tuple[str, str, str]) -> list[str]:
    left, right, at = scale.along(low), scale.along(high), scale.along(value)
    room = drawing.Room()
    return [
        drawing.area("sea", left, MIDDLE - 9, right, MIDDLE + 9),
        *(drawing.line("wh", x, MIDDLE - 9, x, MIDDLE + 9) for x in (left, right)),
        drawing.dot("dot", at, MIDDLE, 6),
        room.place(Label("lbl mid", at, 18, 0, words[2])),
        *(room.place(Label("t2 mid", x, 24, 0, word)) for x, word in ((left, words[0]), (right, words[1])) if word),
    ]


def _axis(scale: drawing.Scale, words: dict[int, str]) -> list[str]:
    parts = [drawing.line("ax", 0, BOTTOM, 1, BOTTOM)]
    for tick, word in words.items():
        x = scale.along(tick)
        parts += [drawing.line("ax", x, BOTTOM, x, BOTTOM + 6), drawing.text("t2 mid", x, BOTTOM + 20, word)]
    return parts


def _svg(reading: str, parts: list[str]) -> str:
    return drawing.svg("one-range", HEIGHT, reading, parts)
