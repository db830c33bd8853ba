"""Described holes inside a course file; everything but number and unit may be left out.

    "descriptions": [{"number": 7, "length_unit": "yards", "measured_from": {"name": "white", "rated_for": "men"},
                      "trouble": [{"kind": "bunker", "side": "right", "begins": 180, "ends": 200, "off_line": 25}],
                      "widths": [{"distance": 210, "width": 32}], "green_depth": 28, "safe_side": "short"}]

The fields are those of `league.rules.described`. `measured_from` is a tee of the same file, or null.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from league.exchange.json_in import Place
from league.rules import described
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width
from league.rules.errors import RuleBroken
from league.rules.printed import LONGEST_HOLE, MEN, METRES, WOMEN, YARDS, PrintedTee

TEE_NAME_CHARACTERS = 40
SIDES = tuple(side.value for side in Side)
NUMBERS = ("green_depth", "green_width", "bend_at", "bend_degrees", "rise_to_landing", "rise_to_green")


@dataclass(frozen=True, slots=True)
class DescribedHole:
    """A hole with the unit of its distances, and name and gender of the tee they count from."""

    hole: Described
    length_unit: str
    measured_from: tuple[str, str] | None = None


def read(places: Iterable[Place], n_holes: int, tees: Sequence[PrintedTee]) -> tuple[DescribedHole, ...]:
    """Every problem is added at its path."""
    found: list[DescribedHole] = []
    for place in places:
        one = _hole(place, tees)
        if one.hole.number > n_holes:
            place.add("number", "hole_unknown", f"This course has {n_holes} holes.")
        if one.hole.number in [other.hole.number for other in found]:
            place.add("number", "hole_repeated", f"Hole {one.hole.number} is described twice.")
        found.append(one)
    return tuple(found)


def _hole(place: Place, tees: Sequence[PrintedTee]) -> DescribedHole:
    place.only(
        "number", "length_unit", "measured_from", "name", "note", "trouble", "widths", "safe_side", "hard_chip_from",
        "bend_to", *NUMBERS,
    )  # fmt: skip
    hole = Described(
        number=place.whole("number", 1, 18),
        name=place.text("name", described.LONGEST_NAME, is_needed=False),
        note=place.text("note", described.LONGEST_NOTE, is_needed=False),
        trouble=tuple(map(_trouble, _rows(place, "trouble", described.MOST_TROUBLE))),
        widths=tuple(map(_width, _rows(place, "widths", described.MOST_WIDTHS))),
        safe_side=_side(place, "safe_side"),
        hard_chip_from=_sides(place, "hard_chip_from"),
        bend_to=_side(place, "bend_to"),
        **{name: _number(place, name) for name in NUMBERS},
    )
    read = DescribedHole(hole, place.one_of("length_unit", (YARDS, METRES)), _tee(place, tees))
    try:
        described.check(hole, _length(read, tees))
    except RuleBroken as broken:
        for each in broken.problems:
            place.add(each.field, each.code, each.message)
    return read


def _length(read: DescribedHole, tees: Sequence[PrintedTee]) -> int | None:
    """The hole's length from the tee it was measured from, in the unit of the description; None if unknown."""
    for tee in tees:
        if (tee.name, tee.rated_for) == read.measured_from and read.hole.number <= len(tee.holes):
            length = tee.holes[read.hole.number - 1].length
            return None if length is None else described.converted(length, tee.length_unit, read.length_unit)
    return None


def _tee(place: Place, tees: Sequence[PrintedTee]) -> tuple[str, str] | None:
    if not place.has("measured_from"):
        return None
    inner = place.inner("measured_from")
    inner.only("name", "rated_for")
    named = inner.text("name", TEE_NAME_CHARACTERS), inner.one_of("rated_for", (MEN, WOMEN))
    if named not in [(tee.name, tee.rated_for) for tee in tees]:
        inner.add("name", "tee_unknown", "Distances are measured from a tee of this course.")
    return named


def _rows(place: Place, name: str, most: int) -> Iterable[Place]:
    return place.places(name, most) if place.has(name) else ()


def _number(place: Place, name: str) -> int | None:
    return place.whole(name, -LONGEST_HOLE, LONGEST_HOLE) if place.has(name) else None


def _side(place: Place, name: str) -> Side | None:
    return Side(place.one_of(name, SIDES)) if place.has(name) else None


def _sides(place: Place, name: str) -> tuple[Side, ...]:
    """A list of words, which no set of named values holds."""
    value = place.values.get(name)
    if value is None:
        return ()
    if not isinstance(value, list) or not all(isinstance(side, str) and side in SIDES for side in value):
        place.add(name, "choice", f"A list of these is expected here: {', '.join(SIDES)}.")
        return ()
    return tuple(Side(side) for side in value)


def _trouble(place: Place) -> Trouble:
    place.only("kind", "side", "begins", "ends", "off_line", "depth", "counted_from", "note")
    counted = place.one_of("counted_from", tuple(CountedFrom)) if place.has("counted_from") else CountedFrom.TEE
    return Trouble(
        kind=TroubleKind(place.one_of("kind", tuple(TroubleKind))),
        side=Side(place.one_of("side", SIDES)),
        begins=place.whole("begins", -LONGEST_HOLE, LONGEST_HOLE),
        ends=place.whole("ends", -LONGEST_HOLE, LONGEST_HOLE),
        off_line=_number(place, "off_line"),
        depth=_number(place, "depth"),
        counted_from=CountedFrom(counted),
        note=place.text("note", described.LONGEST_NOTE, is_needed=False),
    )


def _width(place: Place) -> Width:
    place.only("distance", "width")
    return Width(place.whole("distance", 0, LONGEST_HOLE), place.whole("width", 0, LONGEST_HOLE))


def as_plain(one: DescribedHole) -> dict[str, Any]:
    """What `read` reads back as the same hole."""
    tee = one.measured_from and {"name": one.measured_from[0], "rated_for": one.measured_from[1]}
    known = described.as_plain(one.hole)
    return {"number": known.pop("number"), "length_unit": one.length_unit, "measured_from": tee, **known}
