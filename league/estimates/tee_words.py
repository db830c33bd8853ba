"""What is said about a tee shot.

>>> odds(0.13), odds(0.5), odds(0.001), a_part(0.24), a_part(1.43)
('about 1 in 8', 'about half the time', 'almost never', 'a quarter of a stroke', '1.4 strokes')
"""

import math

from league.rules.described import CountedFrom, Side, Trouble, TroubleKind

KINDS = {
    TroubleKind.OUT_OF_BOUNDS: "out of bounds",
    TroubleKind.PENALTY_AREA: "the penalty area",
    TroubleKind.BUNKER: "the bunker",
    TroubleKind.TREES: "the trees",
    TroubleKind.FALL_OFF: "the fall-off",
}
SIDES = {Side.LEFT: " on the left", Side.RIGHT: " on the right", Side.ACROSS: " across the hole"}
PARTS = (
    *((0.05, "a twentieth of a stroke"), (0.1, "a tenth of a stroke"), (0.2, "a fifth of a stroke")),
    *((0.25, "a quarter of a stroke"), (1 / 3, "a third of a stroke"), (0.5, "half a stroke")),
    *((2 / 3, "two thirds of a stroke"), (0.75, "three quarters of a stroke"), (1.0, "one stroke")),
)


TO_THE_FIVE = 20.0
"""From here on a distance left is told to the nearest five."""


def name_of(trouble: Trouble) -> str:
    return KINDS[trouble.kind] + SIDES.get(trouble.side, "")


def lost_in(trouble: Trouble) -> str:
    name = name_of(trouble)
    return name if trouble.kind == TroubleKind.OUT_OF_BOUNDS else f"in {name}"


def where(trouble: Trouble) -> str:
    """Its name and how far it is."""
    if trouble.counted_from == CountedFrom.GREEN:
        return f"{name_of(trouble)} at the green"
    return f"{name_of(trouble)} from {trouble.begins} to {trouble.ends}"


def odds(chance: float) -> str:
    if chance < 0.005:
        return "almost never"
    if chance < 0.02:
        return "less than 1 in 50"
    if chance < 0.4:
        return f"about 1 in {_round(1 / chance)}"
    if chance < 0.6:
        return "about half the time"
    return "about 2 in 3" if chance < 0.72 else "about 3 in 4" if chance < 0.85 else "nearly always"


def _round(one_in: float) -> int:
    return max(3, round(one_in)) if one_in < 20 else 10 * round(one_in / 10)


def a_part(strokes: float) -> str:
    """So much of a stroke, to the nearest plain fraction."""
    if strokes < 0.025:
        return "next to nothing"
    if strokes > 1.1:
        return f"{strokes:.1f} strokes"
    return min(PARTS, key=lambda part: abs(part[0] - strokes))[1]


def percent(chance: float) -> str:
    return f"{math.floor(100 * chance + 0.5)} %"


def told_left(distance: float) -> int:
    """A distance left as it is told and planned on from: to the nearest five, to the nearest one near the green."""
    return 5 * round(distance / 5) if distance >= TO_THE_FIVE else max(0, round(distance))


def about(distance: float) -> int:
    """To the nearest five."""
    return 5 * round(distance / 5)


def rest(left: float, is_long: bool, is_near: bool) -> str:
    """What is left; near the green, where it ends."""
    if not is_near:
        return f"leaves {about(left)}"
    if left < 2.5:
        return "ends by the middle of the green"
    return f"ends {about(left)} {'past' if is_long else 'short of'} the middle of the green"


def aimed(aim: float, ends_off: float) -> str:
    """`aim` is the line to start on, `ends_off` where the ball then ends, both off the middle, right positive."""
    if abs(aim - ends_off) < 3:
        return off_middle(aim)
    return f"start it {off_middle(aim)}, to end {'in the middle' if abs(ends_off) < 3 else off_middle(ends_off)}"


def off_middle(off: float) -> str:
    near = round(abs(off))
    if near < 3:
        return "down the middle"
    return f"{near} {'right' if off > 0 else 'left'} of the middle"
