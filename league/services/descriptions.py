"""Holes as the group describes them. A version is never changed: who corrects a hole appends the next.

Whoever writes holds the course's row, so that versions are numbered without a gap and one of them is current.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from league.models import Course, HoleDescription, Player, Tee
from league.rules import described
from league.rules.described import Described
from league.rules.errors import RuleBroken, refuse_all
from league.services.audit import note_action
from league.services.errors import Refused, Stale

LONGEST_REASON = 200
Lengths = Mapping[int, Sequence[tuple[int | None, str]]]


@dataclass(frozen=True, kw_only=True)
class Description:
    """`measured_from` is the tee that the distances count from; without one they serve every tee as they stand."""

    hole: Described
    length_unit: str
    measured_from: Tee | None = None


@transaction.atomic
def describe_hole(
    *, actor: Player, course: Course, to: Description, reason: str = "", if_version: int | None = None
) -> HoleDescription:
    """The next version of one hole; what says nothing new stores nothing. 0 is the version of what nobody described."""
    locked = _lock(course)
    _check([to], locked)
    stands = _standing(locked).get(to.hole.number)
    if if_version is not None and if_version != (stands.version if stands else 0):
        raise Stale(stands or HoleDescription(course=locked, number=to.hole.number, version=0, described={}))
    made = _append(actor, locked, to, stands, reason)
    if made is not stands:
        _note(actor, locked, [to.hole.number], reason)
    return made


@transaction.atomic
def describe_holes(*, actor: Player, course: Course, to: Sequence[Description], reason: str = "") -> list[int]:
    """Several holes together or none of them; the numbers of those that say something new."""
    locked = _lock(course)
    _check(to, locked)
    standing = _standing(locked)
    new = []
    for one in to:
        stands = standing.get(one.hole.number)
        if _append(actor, locked, one, stands, reason) is not stands:
            new.append(one.hole.number)
    if new:
        _note(actor, locked, new, reason)
    return new


@transaction.atomic
def restore_hole(
    *, actor: Player, course: Course, number: int, version: int, if_version: int | None = None
) -> HoleDescription:
    """An older version once more, as the next one; RuleBroken when there is no such version."""
    locked = _lock(course)
    stands = _standing(locked).get(number)
    if if_version is not None and stands is not None and if_version != stands.version:
        raise Stale(stands)
    old = HoleDescription.objects.filter(course=locked, number=number, version=version).first()
    if old is None or stands is None:
        raise RuleBroken("description_unknown", f"There is no version {version} of hole {number}.", "version")
    if _said(stands) == _said(old):
        return stands
    stands.is_current = False
    stands.save(update_fields=["is_current"])
    reason = f"Version {version} once more."
    made = HoleDescription.objects.create(
        course=locked,
        number=number,
        version=stands.version + 1,
        length_unit=old.length_unit,
        measured_from=old.measured_from,
        measured_length=old.measured_length,
        described=old.described,
        reason=reason,
        written_by=actor,
        written_at=timezone.now(),
    )
    _note(actor, locked, [number], reason)
    return made


def _lock(course: Course) -> Course:
    locked = Course.objects.select_for_update(of=("self",)).select_related("group").get(pk=course.pk)
    if locked.group is not None and locked.group.rests_since is not None:
        raise Refused("group_rests", "This group rests until somebody organises it again; nothing new can be added.")
    return locked


def _standing(course: Course) -> Mapping[int, HoleDescription]:
    return {row.number: row for row in HoleDescription.objects.filter(course=course, is_current=True)}


def _check(to: Sequence[Description], course: Course) -> None:
    problems: list[RuleBroken] = []
    lengths = lengths_of(course)
    is_alone = len(to) == 1
    for place, one in enumerate(to):
        try:
            check_description(one, course, lengths)
        except RuleBroken as broken:
            path = "" if is_alone else f"holes.{place}."
            problems += [RuleBroken(each.code, each.message, f"{path}{each.field}") for each in broken.problems]
    numbers = [one.hole.number for one in to]
    for number in sorted({number for number in numbers if numbers.count(number) > 1}):
        problems.append(RuleBroken("hole_repeated", f"Hole {number} is described twice.", "holes"))
    refuse_all(problems)


def check_description(one: Description, course: Course, lengths: Lengths | None = None) -> None:
    """RuleBroken with what keeps it from being stored; `lengths` are those of the course, if read already."""
    measured = measured_length(one) if one.measured_from else longest(lengths or lengths_of(course), one)
    described.check(one.hole, measured)
    if one.hole.number > course.n_holes:
        text = f"This course has {course.n_holes} holes; there is no hole {one.hole.number}."
        raise RuleBroken("hole_unknown", text, "number")
    if one.measured_from is not None and one.measured_from.course_id != course.pk:
        raise RuleBroken("tee_unknown", "Distances are measured from a tee of this course.", "measured_from")


def _append(
    actor: Player, course: Course, to: Description, stands: HoleDescription | None, reason: str
) -> HoleDescription:
    """The row that stands afterwards: a new one, or the old one where nothing is new."""
    measured = measured_length(to)
    new = HoleDescription(
        course=course,
        number=to.hole.number,
        version=stands.version + 1 if stands else 1,
        length_unit=to.length_unit,
        measured_from=to.measured_from,
        measured_length=measured,
        described=described.as_plain(to.hole),
        reason=reason,
        written_by=actor,
        written_at=timezone.now(),
    )
    if stands is not None:
        if _said(stands) == _said(new):
            return stands
        stands.is_current = False
        stands.save(update_fields=["is_current"])
    elif described.is_blank(to.hole):
        raise RuleBroken("description_empty", f"Hole {to.hole.number}: nothing is described yet.", "")
    new.save(force_insert=True)
    return new


def _said(row: HoleDescription) -> tuple[object, ...]:
    return row.described, row.length_unit, row.measured_from_id, row.measured_length


def lengths_of(course: Course) -> Lengths:
    """For each hole its length from every tee, with the unit; two statements."""
    found: dict[int, list[tuple[int | None, str]]] = {}
    for tee in course.tees.prefetch_related("holes"):
        for hole in tee.holes.all():
            found.setdefault(hole.number, []).append((hole.length, tee.length_unit))
    return found


def longest(lengths: Lengths, to: Description) -> int | None:
    """The hole from the tee that makes it longest, in the unit of the description; None while a tee has no length."""
    told = lengths.get(to.hole.number, [])
    known = [described.converted(length, unit, to.length_unit) for length, unit in told if length is not None]
    return max(known) if known and len(known) == len(told) else None


def measured_length(to: Description) -> int | None:
    """The hole's length on that tee, in the unit of the description."""
    if to.measured_from is None:
        return None
    hole = next((hole for hole in to.measured_from.holes.all() if hole.number == to.hole.number), None)
    if hole is None or hole.length is None:
        return None
    return described.converted(hole.length, to.measured_from.length_unit, to.length_unit)


def _note(actor: Player, course: Course, numbers: Sequence[int], reason: str) -> None:
    after = {"course": course.name, "holes": list(numbers)}
    note_action(action="holes_described", actor=actor, group=course.group, reason=reason, after=after)
