"""Holes as described: what stands, who wrote it, and how it reads from a given tee."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from league.models import Course, HoleDescription, Tee
from league.rules import described
from league.rules.described import Described
from league.rules.printed import PrintedHole


@dataclass(frozen=True, kw_only=True)
class HoleTold:
    """A hole from one tee, in that tee's unit. `version` 0 and no `row`: nobody described it yet.

    `is_moved`: the distances were measured from another tee and moved by the difference of the lengths.
    """

    printed: PrintedHole
    hole: Described
    length_unit: str
    row: HoleDescription | None
    is_moved: bool

    @property
    def version(self) -> int:
        return self.row.version if self.row else 0

    @property
    def written_at(self) -> datetime | None:
        return self.row.written_at if self.row else None

    @property
    def is_described(self) -> bool:
        return not described.is_blank(self.hole)


def current(course: Course) -> dict[int, HoleDescription]:
    """One statement; only the holes that somebody described."""
    rows = HoleDescription.objects.filter(course=course, is_current=True).select_related("written_by", "measured_from")
    return {row.number: row for row in rows}


def versions(course: Course, number: int) -> list[HoleDescription]:
    """All versions of one hole, the newest first."""
    rows = HoleDescription.objects.filter(course=course, number=number).select_related("written_by", "measured_from")
    return list(rows.order_by("-version"))


def holes_told(tee: Tee) -> list[HoleTold]:
    """Every hole of the tee, in its unit and moved to its lengths; one statement beside the tee's own holes."""
    rows = current(tee.course)
    return [_told(hole, tee.length_unit, rows.get(hole.number)) for hole in tee.as_printed().holes]


def described_holes(tee: Tee) -> dict[int, Described]:
    """Every hole of the tee by number; what nobody described is a `Described` of which nothing is known."""
    return {told.hole.number: told.hole for told in holes_told(tee)}


class Counted(StrEnum):
    """How the distances of a description stand to the tee that it is read from."""

    AS_WRITTEN = "as_written"
    FOR_EVERY_TEE = "for_every_tee"
    FROM_HERE = "from_here"
    MOVED = "moved"
    EQUAL = "equal"
    LENGTH_UNKNOWN = "length_unknown"


@dataclass(frozen=True, kw_only=True)
class HoleShown:
    """One hole of a course, whether or not it has a tee: `length` is in `length_unit`, None when nobody knows it.

    `shift`: how much longer the hole is from here than from the tee it was described from, in `length_unit`.
    `leaves_out`: something that was described lies behind this tee.
    """

    number: int
    hole: Described
    length_unit: str
    length: int | None = None
    par: int | None = None
    stroke_index: int | None = None
    row: HoleDescription | None = None
    is_moved: bool = False
    counted: Counted = Counted.AS_WRITTEN
    shift: int = 0
    leaves_out: bool = False

    @property
    def version(self) -> int:
        return self.row.version if self.row else 0

    @property
    def is_described(self) -> bool:
        return not described.is_blank(self.hole)

    @property
    def has_heights(self) -> bool:
        return self.hole.rise_to_landing is not None or self.hole.rise_to_green is not None


def holes_shown(course: Course, tee: Tee | None, length_unit: str) -> list[HoleShown]:
    """From a tee as `holes_told` has them; without one as they were written, `length_unit` where nobody did."""
    if tee is not None:
        return [_from_tee(told, tee) for told in holes_told(tee)]
    rows = current(course)
    return [_as_written(rows.get(number), number, length_unit) for number in range(1, course.n_holes + 1)]


def version_shown(course: Course, number: int, version: int) -> HoleShown | None:
    """One version as it was written, from the tee that it was measured from; None when there is none."""
    row = next((row for row in versions(course, number) if row.version == version), None)
    return None if row is None else _as_written(row, number, row.length_unit)


def what_changed(rows: list[HoleDescription]) -> dict[int, tuple[str, ...]]:
    """For each version of one hole, the names of the fields that differ from the version before it."""
    ordered = sorted(rows, key=lambda row: row.version)
    pairs = zip(ordered, ordered[1:], strict=False)
    return {after.version: described.unlike(as_described(before), as_described(after)) for before, after in pairs}


def _from_tee(told: HoleTold, tee: Tee) -> HoleShown:
    counted, shift = _counted(told, tee)
    written = as_described(told.row) if told.row else told.hole
    return HoleShown(
        number=told.printed.number,
        hole=told.hole,
        length_unit=told.length_unit,
        length=told.printed.length,
        par=told.printed.par,
        stroke_index=told.printed.stroke_index,
        row=told.row,
        is_moved=told.is_moved,
        counted=counted,
        shift=shift,
        leaves_out=len(told.hole.trouble) + len(told.hole.widths) < len(written.trouble) + len(written.widths),
    )


def _counted(told: HoleTold, tee: Tee) -> tuple[Counted, int]:
    row, length = told.row, told.printed.length
    if row is None or (row.measured_from is None and row.measured_length is None):
        return Counted.FOR_EVERY_TEE, 0
    is_own = row.measured_from is not None and row.measured_from.set_id == tee.set_id
    if row.measured_length is None or length is None:
        return Counted.FROM_HERE if is_own else Counted.LENGTH_UNKNOWN, 0
    shift = length - described.converted(row.measured_length, row.length_unit, told.length_unit)
    if shift:
        return Counted.MOVED, shift
    return Counted.FROM_HERE if is_own else Counted.EQUAL, 0


def _as_written(row: HoleDescription | None, number: int, length_unit: str) -> HoleShown:
    if row is None:
        return HoleShown(number=number, hole=Described(number=number), length_unit=length_unit)
    return HoleShown(
        number=number,
        hole=as_described(row),
        length_unit=row.length_unit,
        length=row.measured_length,
        row=row,
    )


def as_described(row: HoleDescription) -> Described:
    """As it was written, in its own unit and from its own tee."""
    return described.from_plain(row.described)


def _told(printed: PrintedHole, unit: str, row: HoleDescription | None) -> HoleTold:
    if row is None:
        return HoleTold(
            printed=printed, hole=Described(number=printed.number), length_unit=unit, row=None, is_moved=False
        )
    written = as_described(row)
    length = None if printed.length is None else described.converted(printed.length, unit, row.length_unit)
    moved = described.moved_to(written, row.measured_length, length)
    return HoleTold(
        printed=printed,
        hole=described.in_unit(moved, row.length_unit, unit),
        length_unit=unit,
        row=row,
        is_moved=moved != written,
    )
