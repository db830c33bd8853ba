"""The staircase: an index over time, one tread a revision, each tread a link to its reasons."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from html import escape
from itertools import accumulate, pairwise

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row
from league.charts.words import DASH, MONTHS, count_words, day_words, index_words, step_words

LINKS_IN_TAB_ORDER = 40


@dataclass(frozen=True)
class Step:
    """One revision of an index, in tenths (below zero is a plus; none is no index), and the way to its reasons."""

    number: int
    issued_on: date
    tenths: int | None
    href: str


STAIR_TOP, STAIR_BOTTOM, STAIR_HEIGHT = 14.0, 190.0, 216.0
ACROSS = 10_000


# How much of the width is shared out evenly, so that the days of a busy month keep targets a finger can find.
EVEN_SHARE = 0.6


@dataclass(frozen=True)
class _Calendar:
    """Days across the plot. Time is stretched where revisions crowd; `edges` are where each tread begins, and 1."""

    days: tuple[int, ...]
    edges: tuple[float, ...]

    def at(self, day: date) -> float:
        """Where a day stands, at the last tread that begins on or before it."""
        number = day.toordinal()
        tread = max(bisect_right(self.days, number) - 1, 0)
        if tread == len(self.days) - 1:
            return 1.0
        length = self.days[tread + 1] - self.days[tread]
        return self.edges[tread] + (number - self.days[tread]) / length * (self.edges[tread + 1] - self.edges[tread])


def _calendar(steps: Sequence[Step], until: date | None) -> _Calendar:
    starts = [step.issued_on.toordinal() for step in steps]
    least = starts[-1] + max((starts[-1] - starts[0]) // 40, 7)
    days = [*starts, max(until.toordinal() if until else 0, least)]
    even, spread = EVEN_SHARE / len(steps), (1 - EVEN_SHARE) / (days[-1] - days[0])
    widths = [even + spread * (after - before) for before, after in pairwise(days)]
    return _Calendar(tuple(days), (0.0, *list(accumulate(widths))[:-1], 1.0))


def staircase(steps: Sequence[Step], until: date | None = None) -> Picture:
    """One tread a revision, oldest first (issue dates never go back), the last one drawn on to `until`.

    Raises ValueError without steps.
    """
    if not steps:
        raise ValueError("a staircase needs at least one step")
    last = steps[-1]
    calendar = _calendar(steps, until)
    values = [step.tenths for step in steps if step.tenths is not None] or [0]
    scale = drawing.scale_for([min(values) - 1, *values], (5, 10, 20, 50, 100, 200), 4, STAIR_TOP, STAIR_BOTTOM)
    parts = [*_index_axis(scale), *_month_axis(calendar), *_treads(steps, calendar.edges, scale)]
    if last.tenths is not None:
        parts.append(drawing.text("lbl", 1, scale.at(last.tenths) + 4, index_words(last.tenths), 7))
    reading = _stair_reading(steps)
    columns = (Column("Revision"), Column("From"), Column("Index, unofficial", True), Column("Step"))
    rows = tuple(
        Row((str(step.number), day_words(step.issued_on), index_words(step.tenths), words), step.href)
        for step, words in zip(steps, _stair_steps(steps), strict=True)
    )
    return Picture(drawing.svg("staircase", STAIR_HEIGHT, reading, parts, role="group"), reading, columns, rows)


def _index_axis(scale: drawing.Scale) -> list[str]:
    whole = scale.step % 10 == 0
    parts = []
    for tick in scale.ticks():
        words = index_words(tick)
        parts.append(drawing.line("ax" if tick == scale.low else "hr", 0, scale.at(tick), 1, scale.at(tick)))
        parts.append(drawing.text("t2 end", 0, scale.at(tick) + 4, words.removesuffix(".0") if whole else words, -8))
    return parts


def _month_axis(calendar: _Calendar) -> list[str]:
    """First days of months or years, as many as stand clear of one another on a phone; else the first day of all."""
    first, last = date.fromordinal(calendar.days[0]), date.fromordinal(calendar.days[-1])
    months = range(first.year * 12 + first.month, last.year * 12 + last.month)
    every = next(step for step in (1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 12000) if len(months) // step <= 5)
    shown = [date(month // 12, month % 12 + 1, 1) for month in months if month % every == 0]
    room, parts, year = drawing.Room(), [], 0
    for day in shown or [first]:
        x, month = calendar.at(day), MONTHS[day.month - 1][:3]
        words = month if day.year == year else str(day.year) if every >= 12 else f"{month} {day.year}"
        kind = "t2 mid" if 0.12 < x < 0.9 else "t2 end" if x >= 0.9 else "t2"
        label = drawing.Label(kind, x, STAIR_BOTTOM + 18, 0, words if shown else day_words(day))
        if drawn := room.place(label):
            parts += [drawing.line("ax", x, STAIR_BOTTOM, x, STAIR_BOTTOM + 4), drawn]
            year = day.year
    return parts


def _treads(steps: Sequence[Step], edges: Sequence[float], scale: drawing.Scale) -> list[str]:
    """Targets and line in a drawing of their own, stretched across the plot: whole numbers keep a long record small."""
    tab = "" if len(steps) <= LINKS_IN_TAB_ORDER else ' tabindex="-1"'
    height = drawing.down(STAIR_BOTTOM)
    xs = [round(edge * ACROSS) for edge in edges]
    parts = [f'<svg class="stair" width="100%" height="{height}" viewBox="0 0 {ACROSS} {height}"']
    parts.append(' preserveAspectRatio="none" overflow="visible">')
    for step, (x, end) in zip(steps, pairwise(xs), strict=True):
        label = f"{day_words(step.issued_on)}: {'no index' if step.tenths is None else index_words(step.tenths)}"
        parts.append(f'<a href="{escape(step.href)}" aria-label="{escape(label)}"{tab}>')
        parts.append(f'<rect x="{x}" width="{end - x}" height="{height}"/></a>')
    line, ticks = _stair_paths(steps, xs, scale)
    return [*parts, f'<path class="treads" d="{line}"/><path class="ticks" d="{ticks}"/></svg>']


def _stair_paths(steps: Sequence[Step], xs: Sequence[int], scale: drawing.Scale) -> tuple[str, str]:
    """The treads with their risers, and a tick under every revision: by differences, which repeat and so pack well."""
    line, ticks = "", ""
    ys = [STAIR_BOTTOM - 6 if step.tenths is None else round(scale.at(step.tenths)) for step in steps]
    is_drawing = False
    for at, step in enumerate(steps):
        rise = ys[at] - ys[at - 1]
        ticks += f"m{xs[at] - xs[at - 1]} {rise - 6:g}v6" if at else f"M{xs[0]} {ys[0]:g}v6"
        if step.tenths is not None:
            start = f"v{rise:g}" if is_drawing and rise else "" if is_drawing else f"M{xs[at]} {ys[at]:g}"
            line += f"{start}h{xs[at + 1] - xs[at]}"
        is_drawing = step.tenths is not None
    return line, ticks


def _stair_steps(steps: Sequence[Step]) -> list[str]:
    words = ["first" if steps[0].tenths is not None else DASH]
    for before, after in pairwise(steps):
        if after.tenths is None:
            words.append("no index")
        elif before.tenths is None:
            words.append("index again" if any(s.tenths is not None for s in steps[: len(words)]) else "first")
        else:
            words.append(step_words(after.tenths - before.tenths))
    return words


def _stair_reading(steps: Sequence[Step]) -> str:
    known = [step for step in steps if step.tenths is not None]
    if not known:
        return f"No index in {count_words(len(steps))} {'revision' if len(steps) == 1 else 'revisions'}."
    first, last = known[0], known[-1]
    if len(known) == 1 and len(steps) == 1:
        return f"One step so far: {index_words(first.tenths)}, from {day_words(first.issued_on)}."
    led = f"in {count_words(len(steps))} revisions; each step leads to its reasons"
    now = "" if steps[-1].tenths is not None else " There is no index now."
    if first.tenths == last.tenths:
        return f"{index_words(first.tenths)} at both ends, {led}.{now}"
    return f"From {index_words(first.tenths)} to {index_words(last.tenths)} {led}.{now}"
