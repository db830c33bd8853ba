"""The pace line: a round hole by hole, strokes made against strokes due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row
from league.charts.words import DASH, count_words, signed_words


@dataclass(frozen=True)
class PlayedHole:
    """A hole of a card: strokes received may be below zero, strokes are none when it was not played."""

    number: int
    par: int
    received: int
    due: int
    strokes: int | None
    has_reset: bool = False
    name: str = ""

    @property
    def is_blow_up(self) -> bool:
        """At net double bogey or worse."""
        return self.strokes is not None and self.strokes >= self.par + 2 + self.received

    @property
    def against(self) -> int:
        return 0 if self.strokes is None else self.strokes - self.due


PACE_TOP, PACE_BOTTOM, PACE_HEIGHT = 28.0, 204.0, 226.0


def pace_line(holes: Sequence[PlayedHole], budget: int | None = None) -> Picture:
    """Strokes made less strokes due after each hole. `budget` is the last allowed total of the whole card; the end
    mark stands at what was due on the holes played when it is left out or a hole is missing. Raises ValueError
    unless a hole was played."""
    played = [hole for hole in holes if hole.strokes is not None]
    if not played:
        raise ValueError("a pace line needs a hole that was played")
    running = list(accumulate(hole.against for hole in holes))
    due = sum(hole.due for hole in played)
    allowed = budget if budget is not None and len(played) == len(holes) else due
    made = due + running[-1]
    reach = [*running, 0, allowed - due]
    scale = drawing.scale_for([min(reach) - 1, max(reach) + 1], (1, 2, 5, 10, 20, 50, 100), 7, PACE_TOP, PACE_BOTTOM)
    room = drawing.Room()
    for at, total in enumerate(running):
        room.run_line(at / len(holes), (at + 1) / len(holes), scale.at(total))
    over = drawing.Label("t2", 0, 14, 0, "over what is due \u2191")
    hand = drawing.Label("t2 end", 1, 14, 0, "in hand \u2193")
    legend = [room.place(over), room.place(hand)]
    end = _pace_end(made, allowed, scale.at(made - due), scale.at(allowed - due), room)
    parts = [*_pace_ground(holes, scale), *_pace_steps(holes, running, scale)]
    parts += _pace_marks(holes, running, scale, room)
    reading = _pace_reading(holes, made, allowed)
    columns = (
        Column("Hole"), Column("Par", True), Column("Due", True), Column("Score", True), Column("Against", True),
        Column("So far", True), Column("Note"),
    )  # fmt: skip
    rows = tuple(_pace_row(hole, total) for hole, total in zip(holes, running, strict=True))
    return Picture(drawing.svg("pace-line", PACE_HEIGHT, reading, [*legend, *parts, *end]), reading, columns, rows)


def _pace_ground(holes: Sequence[PlayedHole], scale: drawing.Scale) -> list[str]:
    parts = [drawing.area("sea", 0, scale.at(0), 1, scale.bottom)]
    for tick in scale.ticks():
        if tick:
            parts.append(drawing.line("hr", 0, scale.at(tick), 1, scale.at(tick)))
        parts.append(drawing.text("t2 end", 0, scale.at(tick) + 4, signed_words(tick), -8))
    wide = len(holes)
    for at in range(0, wide + 1, 3):
        parts.append(drawing.line("hr", at / wide, scale.top, at / wide, scale.bottom))
    parts += [
        drawing.line("ax", 0, scale.bottom, 1, scale.bottom),
        drawing.line("plan", 0, scale.at(0), 1, scale.at(0)),
    ]
    for at, hole in enumerate(holes):
        fine = "" if at % 3 == 2 or wide <= 9 or at == wide - 1 and wide % 3 else " fine"
        parts.append(drawing.text(f"t2 mid figure{fine}", (at + 0.5) / wide, scale.bottom + 17, str(hole.number)))
    return parts


def _pace_steps(holes: Sequence[PlayedHole], running: Sequence[int], scale: drawing.Scale) -> list[str]:
    parts, before = [], 0
    for at, (hole, total) in enumerate(zip(holes, running, strict=True)):
        left, right = at / len(holes), (at + 1) / len(holes)
        y, came_from = scale.at(total), scale.at(before)
        if hole.is_blow_up:
            # Where more than a net double was due the line does not rise; the mark is still seen.
            foot, head = (came_from, y) if total > before else (y + 9, y - 9)
            parts.append(drawing.line("jump", left, foot, left, head))
        elif total != before:
            parts.append(drawing.line("pace", left, came_from, left, y))
        parts.append(drawing.line("pace" if hole.strokes is not None else "gone", left, y, right, y))
        before = total
    return parts


def _pace_marks(
    holes: Sequence[PlayedHole], running: Sequence[int], scale: drawing.Scale, room: drawing.Room
) -> list[str]:
    wide = len(holes)
    spots = {at: scale.at(total) for at, total in enumerate(running)}
    marks, words = [], []
    for at, hole in enumerate(holes):
        if hole.has_reset:
            x, y = (at + 0.5) / wide, spots[at]
            room.keep_clear(x, y, 8)
            marks.append(f'<svg x="{drawing.across(x)}" y="{drawing.down(y)}" overflow="visible">')
            marks.append('<path class="open" d="M0-7 7 0 0 7-7 0z"/></svg>')
    few = sum(hole.is_blow_up for hole in holes) <= 3
    for at, hole in enumerate(holes):
        x, y = at / wide, spots[at]
        if hole.is_blow_up:
            short = f"{hole.number}: {hole.strokes}"
            words.append(room.place(*[
                drawing.Label(kind, x, y + drop, shift, text)
                for text in ([f"hole {short}", short] if few else [short])
                for kind, shift, drop in (
                    ("lbl end", -6, 10), ("lbl end", -6, -4), ("lbl", 6, -10), ("lbl", 6, 18), ("lbl end", -6, 24),
                )
            ], may_cross=few))  # fmt: skip
    for at, hole in enumerate(holes):
        if hole.has_reset:
            x, y = (at + 0.5) / wide, spots[at]
            above, below = (drawing.Label("t2 mid", x, y + drop, 0, "reset") for drop in (-12, 21))
            words.append(room.place(above, below, may_cross=False))
    return [*marks, *words]


def _pace_end(made: int, allowed: int, y_made: float, y_allowed: float, room: drawing.Room) -> list[str]:
    """The end mark at the last allowed total, the end dot at the score, their figures kept apart."""
    low, high = y_made + 4, y_allowed + 4
    if made != allowed and abs(low - high) < drawing.LINE:
        middle, apart = (low + high) / 2, drawing.LINE / 2 if made < allowed else -drawing.LINE / 2
        low, high = middle + apart, middle - apart
    labels = [drawing.Label("lbl", 1, low, 9, str(made))]
    if made != allowed:
        labels.append(drawing.Label("t2", 1, high, 9, str(allowed)))
    mark = drawing.line("bar", 1, y_allowed - 9, 1, y_allowed + 9)
    return [mark, drawing.dot("ink", 1, y_made, 4), *(room.place(label) for label in labels)]


def _in_hand(against: int) -> str:
    if against == 0:
        return "level"
    return f"{count_words(abs(against))} {'over' if against > 0 else 'in hand'}"


def _pace_reading(holes: Sequence[PlayedHole], made: int, allowed: int) -> str:
    played = sum(hole.strokes is not None for hole in holes)
    on = "" if played == len(holes) else f" on {count_words(played)} {'hole' if played == 1 else 'holes'}"
    stands = f"{made}{on} for {allowed} due, {_in_hand(made - allowed)}"
    blown = [hole for hole in holes if hole.is_blow_up]
    if not blown:
        return f"{stands}. No blow-up."
    if len(blown) == 1:
        hole = blown[0]
        named = f", {hole.name}," if hole.name else ""
        return f"{stands}. Hole {hole.number}{named} took {hole.strokes}, {_in_hand(hole.against)} on its own."
    numbers = [str(hole.number) for hole in blown]
    together = _in_hand(sum(hole.against for hole in blown))
    return f"{stands}. Holes {', '.join(numbers[:-1])} and {numbers[-1]} were blow-ups, {together} between them."


def _pace_row(hole: PlayedHole, total: int) -> Row:
    notes = [word for word, holds in (("blow-up", hole.is_blow_up), ("reset done", hole.has_reset)) if holds]
    if hole.strokes is None:
        notes.insert(0, "not played")
    score, against = ("", "") if hole.strokes is None else (str(hole.strokes), signed_words(hole.against))
    name, so_far = f"{hole.number} {hole.name}".strip(), signed_words(total)
    return Row((name, str(hole.par), str(hole.due), score or DASH, against or DASH, so_far, ", ".join(notes)))
