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

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields, replace
from enum import StrEnum
from typing import Any

from league.rules.errors import RuleBroken, refuse_all
from league.rules.printed import LONGEST_HOLE, METRES_IN_A_YARD, YARDS
from league.rules.rounding import round_to_whole

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
    """One hole. Everything but the number may be unknown: None, empty, or no rows.

    Both rises are heights above the tee that it was described from, of the ground where the tee shot lands and of the
    green; what lies lower than that tee is below zero.
    """

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

    What would lie behind the tee ends at the tee, and is left out when nothing of it is in front; so is a bend there.
    """
    if measured_length is None or length is None or measured_length == length:
        return hole
    shift = length - measured_length
    moved = replace(
        hole,
        trouble=tuple(moved for trouble in hole.trouble if (moved := _moved(trouble, shift)) is not None),
        widths=tuple(Width(width.distance + shift, width.width) for width in hole.widths if width.distance + shift > 0),
    )
    if hole.bend_at is None:
        return moved
    if hole.bend_at + shift <= 0:
        return replace(moved, bend_to=None, bend_at=None, bend_degrees=None)
    return replace(moved, bend_at=hole.bend_at + shift)


def _moved(trouble: Trouble, shift: int) -> Trouble | None:
    """The same trouble so much farther on; None behind the tee."""
    if trouble.counted_from == CountedFrom.GREEN:
        return trouble
    if trouble.ends + shift < 0:
        return None
    return replace(trouble, begins=max(0, trouble.begins + shift), ends=trouble.ends + shift)


def converted(distance: int, from_unit: str, to_unit: str) -> int:
    """A distance or height in the other unit, to the nearest whole one, halves up.

    A yard is 0.9144 m exactly (International Yard and Pound Agreement, 1959).
    """
    if from_unit == to_unit:
        return distance
    return round_to_whole(distance * (METRES_IN_A_YARD if from_unit == YARDS else 1 / METRES_IN_A_YARD))


def in_unit(hole: Described, from_unit: str, to_unit: str) -> Described:
    """The same hole in yards or metres; all but degrees and words are distances. A distance from 1 on stays 1 or more.

    >>> in_unit(Described(number=3, green_depth=30, bend_to=Side.LEFT, bend_at=200), "yards", "metres").bend_at
    183
    """
    if from_unit == to_unit:
        return hole

    def other(distance: int | None) -> int | None:
        """The same distance; nothing stays nothing."""
        return None if distance is None else converted(distance, from_unit, to_unit)

    widths = {
        at: max(1, converted(row.width, from_unit, to_unit))
        for row in reversed(hole.widths)
        if (at := max(1, converted(row.distance, from_unit, to_unit)))
    }
    lengths: dict[str, Any] = {name: other(getattr(hole, name)) for name in LENGTHS}
    return replace(
        hole,
        trouble=tuple(
            replace(
                row,
                begins=converted(row.begins, from_unit, to_unit),
                ends=converted(row.ends, from_unit, to_unit),
                off_line=other(row.off_line),
                depth=other(row.depth),
            )
            for row in hole.trouble
        ),
        widths=tuple(Width(distance, widths[distance]) for distance in sorted(widths)),
        **lengths,
    )


LENGTHS = ("green_depth", "green_width", "bend_at", "rise_to_landing", "rise_to_green")
"""The fields of a hole, beside its rows, that are distances or heights."""


def as_plain(hole: Described) -> dict[str, Any]:
    """What JSON can hold, without what is not known; `from_plain` reads it back."""
    return _known(asdict(hole))


def _known(values: Mapping[str, Any]) -> dict[str, Any]:
    """Without None, empty words and empty lists; rows too."""
    return {
        name: [_known(row) if isinstance(row, Mapping) else row for row in value] if isinstance(value, tuple) else value
        for name, value in values.items()
        if value is not None and value not in ("", ())
    }


def from_plain(plain: Mapping[str, Any]) -> Described:
    """The hole that `as_plain` wrote; TypeError, KeyError or ValueError for anything else."""
    values = dict(plain)
    trouble = tuple(
        Trouble(
            **{
                **row,
                "kind": TroubleKind(row["kind"]),
                "side": Side(row["side"]),
                "counted_from": CountedFrom(row.get("counted_from", CountedFrom.TEE)),
            }
        )
        for row in values.pop("trouble", ())
    )
    widths = tuple(Width(**row) for row in values.pop("widths", ()))
    hard = tuple(Side(side) for side in values.pop("hard_chip_from", ()))
    sides: dict[str, Any] = {name: Side(values.pop(name)) for name in ("safe_side", "bend_to") if name in values}
    return Described(trouble=trouble, widths=widths, hard_chip_from=hard, **sides, **values)


def is_blank(hole: Described) -> bool:
    """Whether nothing at all is known but the number."""
    return hole == Described(number=hole.number)


def unlike(one: Described, other: Described) -> tuple[str, ...]:
    """The names of the fields in which two descriptions differ."""
    return tuple(each.name for each in fields(one) if getattr(one, each.name) != getattr(other, each.name))


def check(hole: Described, length: int | None = None) -> None:
    """RuleBroken with every problem of the description; fields are paths such as `trouble.0.ends`.

    With the `length` of the hole, in the unit of the description, what lies beyond it is a problem too.
    """
    refuse_all(
        [
            *_trouble_problems(hole),
            *([] if length is None else _beyond_problems(hole, length)),
            *_width_problems(hole),
            *_other_problems(hole),
            *_bend_problems(hole),
            *_green_problems(hole),
        ]
    )


def _problem(code: str, message: str, field: str) -> RuleBroken:
    """One problem; it is made here so that its code may vary."""
    return RuleBroken(code, message, field)


def _trouble_problems(hole: Described) -> Iterator[RuleBroken]:
    """What is wrong with the rows of trouble."""
    if len(hole.trouble) > MOST_TROUBLE:
        yield _problem("trouble_many", f"Hole {hole.number}: at most {MOST_TROUBLE} rows of trouble.", "trouble")
    for place, trouble in enumerate(hole.trouble):
        for code, message, name in _one_trouble(trouble):
            yield _problem(code, f"Trouble {place + 1} on hole {hole.number}: {message}", f"trouble.{place}.{name}")


def _one_trouble(trouble: Trouble) -> Iterator[tuple[str, str, str]]:
    """Code, message and field of each problem of one row."""
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


def _beyond_problems(hole: Described, length: int) -> Iterator[RuleBroken]:
    """What is said to lie beyond the hole: trouble may go on round the green, a bend and a width come before it."""
    long = f"Hole {hole.number} is {length} long"
    for place, trouble in enumerate(hole.trouble):
        farthest = length + ROUND_THE_GREEN
        for name in ("begins", "ends") if trouble.counted_from == CountedFrom.TEE else ():
            if getattr(trouble, name) > farthest:
                message = f"{long}: trouble {place + 1} {name} at {farthest} from the tee at the farthest."
                yield _problem("distance_range", message, f"trouble.{place}.{name}")
    for place, row in enumerate(hole.widths):
        if row.distance >= length:
            message = f"{long}: a width stands at less from the tee."
            yield _problem("distance_range", message, f"widths.{place}.distance")
    if hole.bend_at is not None and hole.bend_at >= length:
        yield _problem("distance_range", f"{long}: it bends at less from the tee.", "bend_at")


def _width_problems(hole: Described) -> Iterator[RuleBroken]:
    """What is wrong with the widths."""
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
    """What is wrong with the number, single distances and words."""
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
    if len(hole.name) > LONGEST_NAME or len(hole.note) > LONGEST_NOTE:
        name = "name" if len(hole.name) > LONGEST_NAME else "note"
        message = f"Hole {hole.number}: a name has at most {LONGEST_NAME} characters, a note {LONGEST_NOTE}."
        yield _problem("text_too_long", message, name)


def _bend_problems(hole: Described) -> Iterator[RuleBroken]:
    """What is wrong with where it bends."""
    if hole.bend_to is not None and hole.bend_to not in (Side.LEFT, Side.RIGHT):
        yield _problem("bend_side", f"Hole {hole.number}: it bends left or right.", "bend_to")
    if (hole.bend_to is None) != (hole.bend_at is None):
        message = f"Hole {hole.number}: a bend has a side and a distance, both or neither."
        yield _problem("bend_half", message, "bend_at" if hole.bend_at is None else "bend_to")
    elif hole.bend_to is None and hole.bend_degrees is not None:
        message = f"Hole {hole.number}: degrees belong to a bend; say to which side and where, or leave them empty."
        yield _problem("bend_half", message, "bend_to")


def _green_problems(hole: Described) -> Iterator[RuleBroken]:
    """What is wrong with the sides of the green."""
    if Side.ACROSS in (hole.safe_side, *hole.hard_chip_from):
        message = f"Hole {hole.number}: round the green the sides are left, right, short and long."
        yield _problem("green_side", message, "safe_side" if hole.safe_side == Side.ACROSS else "hard_chip_from")
    if hole.safe_side is not None and hole.safe_side in hole.hard_chip_from:
        message = f"Hole {hole.number}: the safe side cannot leave a hard chip as well."
        yield _problem("green_side", message, "safe_side")
    if len(set(hole.hard_chip_from)) < len(hole.hard_chip_from):
        yield _problem("green_side", f"Hole {hole.number}: each side stands once.", "hard_chip_from")
