"""Ups and downs of a hole, drawn under its strip: from the tee at the left to the green at the right, from the side.

Heights are drawn larger than lengths, and where the tee shot lands stands in the middle, since it has no distance of
its own. The thin line is the height of the tee; words say how far above or below it each place lies.
"""

from __future__ import annotations

from collections.abc import Iterator

from league.charts import drawing
from league.charts.hole_words import height_words
from league.rules.described import Described

CAPTION, BAND, LETTERING = 30.0, 30.0, 34.0
PIXELS_A_UNIT = 3.0
TEE, LANDING, GREEN = 0.0, 0.5, 1.0
STAND = 0.06
"""How wide the flat places at the tee and at the green are drawn."""


def profile_height(hole: Described) -> float:
    """Pixels that the drawing takes; 0 where no height is known."""
    return 0.0 if hole.rise_to_landing is None and hole.rise_to_green is None else CAPTION + BAND + LETTERING


def hole_profile(hole: Described, unit: str, top: float) -> Iterator[str]:
    """The drawing from `top` pixels down; nothing where no height is known."""
    known = [
        (place, words, rise)
        for place, words, rise in ((LANDING, "landing", hole.rise_to_landing), (GREEN, "green", hole.rise_to_green))
        if rise is not None
    ]
    if not known:
        return
    rises = [0, *(rise for _, _, rise in known)]
    span = max(rises) - min(rises)
    each = min(PIXELS_A_UNIT, BAND / span) if span else PIXELS_A_UNIT
    above = top + CAPTION + (BAND - span * each) / 2

    def y(rise: int) -> float:
        return above + (max(rises) - rise) * each

    yield drawing.text("t2 figure", 0, top + 16, f"ups and downs, in {unit} against the tee", -27)
    yield drawing.line("hr", TEE, y(0), GREEN, y(0))
    foot = top + CAPTION + BAND + 14
    yield drawing.line("bar", TEE, y(0), STAND, y(0)) + drawing.text("", TEE, foot, "tee")
    x, before = STAND, 0
    for place, words, rise in known:
        end = place - STAND if place == GREEN else place
        yield drawing.line("ground", x, y(before), end, y(rise))
        yield from _stand(place, words, rise, y(0), y(rise), foot)
        x, before = place, rise


def _stand(place: float, words: str, rise: int, level: float, at: float, foot: float) -> Iterator[str]:
    """A place that the ball comes to, with how far it is from the height of the tee."""
    kind = "end" if place == GREEN else "mid"
    if place == GREEN:
        yield drawing.line("bar", place - STAND, at, place, at)
    if rise:
        inner = place - STAND / 2 if place == GREEN else place
        yield drawing.line("ax", inner, level, inner, at)
    yield drawing.text(kind, place, foot, words)
    yield drawing.text(f"{kind} figure", place, foot + 14, height_words(rise))
