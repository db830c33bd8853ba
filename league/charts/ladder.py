"""The leak ladder: from the usual score down to the barrier, a rung for each kind of loss."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from league.charts import drawing
from league.charts.drawing import Column, Picture, Row
from league.charts.words import DASH, MINUS

PITCH, TOP = 46.0, 26.0
REST = "everything else"


@dataclass(frozen=True)
class Rung:
    """Strokes a round lost in one way, with the range it could be; None with a reason when nothing is known of it."""

    kind: str
    strokes: float | None
    low: float | None = None
    high: float | None = None
    holes: int = 0
    reason: str = ""


def leak_ladder(usual: float, barrier: int, rungs: Sequence[Rung]) -> Picture:
    """The costliest known kind first, everything else last; beside each the usual score once those so far are gone.

    A heavy line stands where that comes under the barrier. ValueError when no kind is known.
    """
    known = sorted((rung for rung in rungs if rung.strokes is not None), key=_place)
    if not known:
        raise ValueError("the ladder needs a rung")
    edges = [edge for rung in known for edge in (rung.low or 0.0, rung.high or 0.0, rung.strokes or 0.0)]
    scale = drawing.scale_for([min(0, int(min(edges)) - 1), int(max(edges)) + 1], (1, 2, 5, 10), 6, 0.0, 1.0)
    floor = TOP + PITCH * len(known)
    parts = [drawing.text("t2 mid", scale.along(tick), 14, _tick(tick)) for tick in scale.ticks()]
    parts += [drawing.line("hr", scale.along(tick), 20, scale.along(tick), floor) for tick in scale.ticks()]
    parts.append(drawing.line("ax", scale.along(0), 20, scale.along(0), floor))
    left, is_under = usual, usual <= barrier - 1
    for place, rung in enumerate(known):
        left -= rung.strokes or 0.0
        bottom = TOP + PITCH * (place + 1)
        parts += _rung(rung, bottom - PITCH, scale, left)
        if not is_under and left <= barrier - 0.95:
            is_under = True
            parts.append(drawing.line("bar", 0, bottom, 1, bottom))
    reading = _reading(usual, barrier, known)
    columns = (
        Column("Kind"), Column("Strokes a round", True), Column("It could be", True), Column("Holes", True),
        Column("Usual score without it", True),
    )  # fmt: skip
    rows = tuple(_row(rung, usual) for rung in rungs)
    return Picture(drawing.svg("leak-ladder", floor + 6, reading, parts), reading, columns, rows)


def _place(rung: Rung) -> tuple[bool, float]:
    return rung.kind == REST, -(rung.strokes or 0.0)


def _tick(tick: int) -> str:
    return str(tick).replace("-", MINUS)


def _rung(rung: Rung, top: float, scale: drawing.Scale, left: float) -> list[str]:
    """The kind in words above, the bar of its strokes and its range below; at the right what is left then."""
    middle = top + 31
    zero, end = scale.along(0), scale.along(rung.strokes or 0.0)
    low, high = scale.along(rung.low or 0.0), scale.along(rung.high or 0.0)
    return [
        drawing.area("sea", min(zero, end), middle - 7, max(zero, end), middle + 7),
        drawing.line("wh", low, middle, high, middle),
        drawing.line("wh", low, middle - 4, low, middle + 4),
        drawing.line("wh", high, middle - 4, high, middle + 4),
        drawing.dot("ink", end, middle, 3.5),
        drawing.text("lbl", 0, top + 17, f"{rung.kind}, {_strokes(rung.strokes or 0.0)}"),
        drawing.text("t2 end", 1, top + 17, f"then {left:.1f}"),
    ]


def _strokes(count: float) -> str:
    return f"{count:.1f}".replace("-", MINUS)


def _row(rung: Rung, usual: float) -> Row:
    if rung.strokes is None:
        return Row((rung.kind, DASH, rung.reason, DASH, DASH))
    between = f"{rung.low:.1f} to {rung.high:.1f}" if rung.low is not None and rung.high is not None else DASH
    return Row((rung.kind, f"{rung.strokes:.1f}", between, str(rung.holes), f"{usual - rung.strokes:.1f}"))


def _reading(usual: float, barrier: int, known: Sequence[Rung]) -> str:
    gap = usual - (barrier - 1)
    if gap <= 0:
        return f"The usual score of {usual:.1f} is under {barrier} already."
    worked = [rung for rung in known if rung.kind != REST and (rung.strokes or 0) > 0]
    told = f"From a usual {usual:.1f} down to {barrier - 1} is {gap:.1f} strokes."
    if not worked:
        return told
    most = max(worked, key=lambda rung: rung.strokes or 0.0)
    return f"{told} Most of what was noted goes on {most.kind}: {most.strokes:.1f} a round."
