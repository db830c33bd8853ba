"""A hole described once for the group: trouble, width, green, bend, ups and downs; what is not known stays empty.

The kinds of trouble follow the Rules of Golf: out of bounds costs a stroke and the distance (Rule 18.2), a penalty
area a stroke and a drop (Rule 17.1). All distances are whole yards or whole metres, in the unit of the description.
Along the hole they count from the tee that the hole was described from, following the line of play; round the green
from its middle, negative short of it. A description made from one tee serves another: what counts from the tee moves by
the difference of the two lengths, what counts from the green stays (common practice).

>>> water = Trouble(TroubleKind.PENALTY_AREA, Side.RIGHT, begins=180, ends=240, off_line=25)
>>> hole = Described(number=7, trouble=(water,), bend_to=Side.LEFT, bend_at=210)
>>> moved_to(hole, measured_length=380, length=360).trouble[0].begins
160
>>> check(Described(number=7, trouble=(Trouble(TroubleKind.BUNKER, Side.LEFT, begins=240, ends=180),)))
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: Trouble 1 on hole 7: it ends before it begins.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from league.rules.errors import RuleBroken, refuse_all
from league.rules.printed import LONGEST_HOLE

MOST_TROUBLE = 20
MOST_WIDTHS = 6
FARTHEST_OFF_LINE = 150
WIDEST = 150
ROUND_THE_GREEN = 60
STEEPEST = 100
LONGEST_NOTE = 200
LONGEST_NAME = 40


class TroubleKind(StrEnum):
    """What a ball may meet; the first two carry penalties of the Rules of Golf."""

    OUT_OF_BOUNDS = "out_of_bounds"
    PENALTY_AREA = "penalty_area"
    BUNKER = "bunker"
    TREES = "trees"
    FALL_OFF = "fall_off"


class Side(StrEnum):
    """Seen from the tee towards the green. `ACROSS` crosses the line of play."""

    LEFT = "left"
    RIGHT = "right"
    ACROSS = "across"
    SHORT = "short"
    LONG = "long"


class CountedFrom(StrEnum):
    """What the distances of a piece of trouble are counted from."""

    TEE = "tee"
    GREEN = "green"


@dataclass(frozen=True, slots=True)
class Trouble:
    """From `begins` to `ends` along the hole, `off_line` from the line of play to its nearer edge, `depth` beyond that.

    `off_line` is 0 for what crosses. Without a `depth` it goes on for ever on that side.
    """

    kind: TroubleKind
    side: Side
    begins: int
    ends: int
    off_line: int | None = None
    depth: int | None = None
    counted_from: CountedFrom = CountedFrom.TEE
    note: str = ""


@dataclass(frozen=True, slots=True)
class Width:
    """How wide the ground that can be played from is, so far from the tee."""

    distance: int
    width: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """One hole. Everything but the number may be unknown: None, empty, or no rows."""

    number: int
    name: str = ""
    trouble: tuple[Trouble, ...] = ()
    widths: tuple[Width, ...] = ()
    green_depth: int | None = None
    green_width: int | None = None
    safe_side: Side | None = None
    hard_chip_from: tuple[Side, ...] = ()
    bend_to: Side | None = None
    bend_at: int | None = None
    bend_degrees: int | None = None
    rise_to_landing: int | None = None
    rise_to_green: int | None = None
    note: str = ""


def moved_to(hole: Described, measured_length: int | None, length: int | None) -> Described:
    """The same hole from another tee, by the difference of lengths; unchanged where a length is not known.

    What would lie behind the tee ends at the tee, and is left out when nothing of it is in front.
    """
    if measured_length is None or length is None or measured_length == length:
        return hole
    shift = length - measured_length
    return replace(
        hole,
        trouble=tuple(moved for trouble in hole.trouble if (moved := _moved(trouble, shift)) is not None),
        widths=tuple(Width(width.distance + shift, width.width) for width in hole.widths if width.distance + shift > 0),
        bend_at=None if hole.bend_at is None else max(0, hole.bend_at + shift),
    )


def _moved(trouble: Trouble, shift: int) -> Trouble | None:
    if trouble.counted_from == CountedFrom.GREEN:
        return trouble
    if trouble.ends + shift <= 0:
        return None
    return replace(trouble, begins=max(0, trouble.begins + shift), ends=trouble.ends + shift)


def check(hole: Described) -> None:
    """RuleBroken with every problem of the description; fields are paths such as `trouble.0.ends`."""
    refuse_all([*_trouble_problems(hole), *_width_problems(hole), *_other_problems(hole)])


def _problem(code: str, message: str, field: str) -> RuleBroken:
    return RuleBroken(code, message, field)


def _trouble_problems(hole: Described) -> Iterator[RuleBroken]:
    if len(hole.trouble) > MOST_TROUBLE:
        yield _problem("trouble_many", f"Hole {hole.number}: at most {MOST_TROUBLE} rows of trouble.", "trouble")
    for place, trouble in enumerate(hole.trouble):
        for code, message, name in _one_trouble(trouble):
            yield _problem(code, f"Trouble {place + 1} on hole {hole.number}: {message}", f"trouble.{place}.{name}")


def _one_trouble(trouble: Trouble) -> Iterator[tuple[str, str, str]]:
    lowest, highest = (
        (-ROUND_THE_GREEN, ROUND_THE_GREEN) if trouble.counted_from == CountedFrom.GREEN else (0, LONGEST_HOLE)
    )
    for name in ("begins", "ends"):
        if not lowest <= getattr(trouble, name) <= highest:
            yield "distance_range", f"distances are whole numbers from {lowest} to {highest}.", name
    if trouble.ends < trouble.begins:
        yield "trouble_order", "it ends before it begins.", "ends"
    if trouble.side not in (Side.LEFT, Side.RIGHT, Side.ACROSS):
        yield "trouble_side", "the side is left, right or across.", "side"
    if trouble.side == Side.ACROSS and trouble.off_line:
        yield "trouble_off_line", "what crosses the hole is not off its line: leave that empty.", "off_line"
    if trouble.off_line is not None and not 0 <= trouble.off_line <= FARTHEST_OFF_LINE:
        yield "distance_range", f"off the line is a whole number from 0 to {FARTHEST_OFF_LINE}.", "off_line"
    if trouble.depth is not None and not 1 <= trouble.depth <= FARTHEST_OFF_LINE:
        yield "distance_range", f"its depth is a whole number from 1 to {FARTHEST_OFF_LINE}, or empty.", "depth"
    if len(trouble.note) > LONGEST_NOTE:
        yield "text_too_long", f"a note has at most {LONGEST_NOTE} characters.", "note"


def _width_problems(hole: Described) -> Iterator[RuleBroken]:
    if len(hole.widths) > MOST_WIDTHS:
        yield _problem("widths_many", f"Hole {hole.number}: at most {MOST_WIDTHS} widths.", "widths")
    for place, row in enumerate(hole.widths):
        if not 1 <= row.distance <= LONGEST_HOLE:
            message = f"Hole {hole.number}: a width stands at a distance from 1 to {LONGEST_HOLE}."
            yield _problem("distance_range", message, f"widths.{place}.distance")
        if not 1 <= row.width <= WIDEST:
            message = f"Hole {hole.number}: a width is a whole number from 1 to {WIDEST}."
            yield _problem("width_range", message, f"widths.{place}.width")
    distances = [row.distance for row in hole.widths]
    if distances != sorted(set(distances)):
        yield _problem("widths_order", f"Hole {hole.number}: widths stand in order of distance, once each.", "widths")


def _other_problems(hole: Described) -> Iterator[RuleBroken]:
    if not 1 <= hole.number <= 18:
        yield _problem("hole_numbers", "Holes are numbered 1 to 18.", "number")
    bounds = (
        ("green_depth", 1, 80),
        ("green_width", 1, 80),
        ("bend_at", 1, LONGEST_HOLE),
        ("bend_degrees", 5, 100),
        ("rise_to_landing", -STEEPEST, STEEPEST),
        ("rise_to_green", -STEEPEST, STEEPEST),
    )
    for name, lowest, highest in bounds:
        value = getattr(hole, name)
        if value is not None and not lowest <= value <= highest:
            words = name.replace("_", " ")
            message = f"Hole {hole.number}: the {words} is a whole number from {lowest} to {highest}, or empty."
            yield _problem("distance_range", message, name)
    if hole.bend_to is not None and hole.bend_to not in (Side.LEFT, Side.RIGHT):
        yield _problem("bend_side", f"Hole {hole.number}: it bends left or right.", "bend_to")
    if (hole.bend_to is None) != (hole.bend_at is None):
        message = f"Hole {hole.number}: a bend has a side and a distance, both or neither."
        yield _problem("bend_half", message, "bend_at" if hole.bend_at is None else "bend_to")
    if Side.ACROSS in (hole.safe_side, *hole.hard_chip_from):
        message = f"Hole {hole.number}: round the green the sides are left, right, short and long."
        yield _problem("green_side", message, "safe_side")
    if hole.safe_side is not None and hole.safe_side in hole.hard_chip_from:
        message = f"Hole {hole.number}: the safe side cannot leave a hard chip as well."
        yield _problem("green_side", message, "safe_side")
    if len(hole.name) > LONGEST_NAME or len(hole.note) > LONGEST_NOTE:
        name = "name" if len(hole.name) > LONGEST_NAME else "note"
        message = f"Hole {hole.number}: a name has at most {LONGEST_NAME} characters, a note {LONGEST_NOTE}."
        yield _problem("text_too_long", message, name)
