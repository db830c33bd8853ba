"""Holes as described: what stands, who wrote it, and how it reads from a given tee."""

from dataclasses import dataclass
from datetime import datetime

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
