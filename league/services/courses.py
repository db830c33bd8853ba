"""Courses and their tees. A tee that was played on keeps its numbers; a new rating is a new version of it.

Whoever writes holds the course's row, so two writers never make versions that overlap.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import available_timezones

from django.db import transaction
from django.db.models import F, Max, Min, QuerySet
from django.utils import timezone

from league.exchange.descriptions_json import DescribedHole
from league.models import Card, Course, Group, Hole, Player, Round, RoundState, Tee
from league.rules import printed, rounding
from league.rules.errors import RuleBroken, refuse_all
from league.rules.printed import Doubt, PrintedTee
from league.services.audit import note_action
from league.services.descriptions import Description, describe_holes
from league.services.errors import Refused, Stale

ALL_CONFIRMED = True
"""Instead of a collection of codes: somebody has looked at every doubt."""


class Unconfirmed(Refused):
    """Lawful, but unusual enough to be asked about; nothing was stored."""

    def __init__(self, doubts: Sequence[Doubt]) -> None:
        super().__init__("confirm_first", "Some values are unusual. Nothing was stored: check them, then confirm.")
        self.doubts = tuple(doubts)


@dataclass(frozen=True, kw_only=True)
class CourseFacts:
    name: str
    place: str = ""
    n_holes: int = 18
    time_zone: str = ""


@transaction.atomic
def create_course(
    *,
    actor: Player,
    group: Group | None,
    facts: CourseFacts,
    tees: Sequence[PrintedTee] = (),
    described: Sequence[DescribedHole] = (),
    confirmed: Collection[str] | bool = (),
) -> Course:
    """A course of the group, or the actor's own; with all its tees and described holes, or not at all."""
    _refuse_resting(group)
    _check_course(facts)
    _check_tees(tees, facts.n_holes)
    _ask(
        [
            replace(doubt, field=f"tees.{place}.{doubt.field}")
            for place, tee in enumerate(tees)
            for doubt in printed.doubts(tee)
        ],
        confirmed,
    )
    course = Course.objects.create(
        group=group,
        owner=None if group else actor,
        name=facts.name,
        place=facts.place,
        n_holes=facts.n_holes,
        time_zone=facts.time_zone,
        created_at=timezone.now(),
    )
    sets: list[tuple[PrintedTee, UUID]] = []
    for tee in tees:
        set_id = next((known for other, known in sets if printed.same_set(tee, other)), uuid4())
        sets.append((tee, set_id))
        _store_tee(course, set_id, tee)
    _note("course_made", actor, course, after={"course": facts.name})
    if described:
        describe_holes(actor=actor, course=course, to=[_description(course, one) for one in described])
    return course


def _description(course: Course, one: DescribedHole) -> Description:
    """Measured from the newest version of the tee that the file names."""
    tee = None
    if one.measured_from is not None:
        name, rated_for = one.measured_from
        tee = course.tees.filter(name=name, rated_for=rated_for).order_by("valid_from", "created_at").last()
    return Description(hole=one.hole, length_unit=one.length_unit, measured_from=tee)


@transaction.atomic
def change_course(*, actor: Player, course: Course, facts: CourseFacts, if_version: int | None = None) -> Course:
    """Name, place and zone any time; the number of holes while the course has no tee."""
    locked = _lock(course, if_version)
    _check_course(facts)
    if facts.n_holes != locked.n_holes and locked.tees.exists():
        raise Refused("course_has_tees", "The number of holes stays while the course has tees. Delete the tees first.")
    before = {"course": locked.name, "place": locked.place}
    locked.name, locked.place = facts.name, facts.place
    locked.n_holes, locked.time_zone = facts.n_holes, facts.time_zone
    locked.version += 1
    locked.save()
    _note("course_changed", actor, locked, before=before, after={"course": locked.name, "place": locked.place})
    return locked


@transaction.atomic
def delete_course(*, actor: Player, course: Course, if_version: int | None = None) -> None:
    """Only while no round was played on any of its tees."""
    locked = _lock(course, if_version)
    n_rounds = Round.objects.filter(tee__course=locked).count()
    if n_rounds:
        raise Refused("course_used", f"{_rounds(n_rounds)} on this course, so it stays.")
    if Card.objects.filter(tee__course=locked).exists():
        raise Refused("course_used", "Cards were opened on this course, so it stays.")
    _note("course_deleted", actor, locked, before={"course": locked.name})
    locked.delete()


@transaction.atomic
def add_tee(*, actor: Player, course: Course, tee: PrintedTee, confirmed: Collection[str] | bool = ()) -> Tee:
    locked = _lock(course)
    _refuse_resting(locked.group)
    printed.check(tee, locked.n_holes)
    _refuse_twin(locked, [tee])
    _ask(printed.doubts(tee), confirmed)
    made = _store_tee(locked, uuid4(), tee)
    _touch(locked)
    _note("tee_made", actor, locked, after=_summary(made))
    return made


@transaction.atomic
def change_tee(
    *, actor: Player, tee: Tee, to: PrintedTee, confirmed: Collection[str] | bool = (), if_version: int | None = None
) -> Tee:
    """Everything while unused. Once played on: the name, the lengths, and days that still cover every round.

    The name is the set's, so all versions take it.
    """
    course = _lock(tee.course)
    locked = _lock_tee(tee, if_version)
    printed.check(to, course.n_holes)
    _refuse_change_of_used(locked, to)
    others = [one.as_printed() for one in _versions(locked.set_id).exclude(pk=locked.pk)]
    _refuse_unlike_others(to, others)
    _refuse_twin(course, [to, *(replace(one, name=to.name) for one in others)], but=locked.set_id)
    stood, before = locked.as_printed(), _summary(locked)
    known = {doubt.message for doubt in printed.doubts(stood)}
    _ask((doubt for doubt in printed.doubts(to) if doubt.message not in known), confirmed)
    _write(locked, to)
    locked.version += 1
    locked.save()
    if to.holes != stood.holes:
        locked.holes.all().delete()
        _write_holes(locked, to)
    Tee.objects.filter(set_id=locked.set_id).exclude(pk=locked.pk).exclude(name=to.name).update(
        name=to.name, version=F("version") + 1
    )
    _touch(course)
    _note("tee_changed", actor, course, before=before, after=_summary(locked))
    return _fresh(locked)


@transaction.atomic
def rerate_tee(
    *, actor: Player, tee: Tee, to: PrintedTee, confirmed: Collection[str] | bool = (), if_version: int | None = None
) -> Tee:
    """A new version from `to.valid_from` on. The present one ends the day before; its rounds keep it."""
    course = _lock(tee.course)
    old = _lock_tee(tee, if_version)
    _refuse_resting(course.group)
    to = replace(to, rated_for=old.rated_for, valid_until=None)
    printed.check(to, course.n_holes)
    _refuse_twin(course, [to], but=old.set_id)
    first_day = _first_day_of_new_version(old, to.valid_from)
    _ask(printed.doubts(to), confirmed)
    last_day_before = first_day - timedelta(days=1)
    if old.valid_until is None or old.valid_until > last_day_before:
        old.valid_until = last_day_before
        old.version += 1
        old.save()
    made = _store_tee(course, old.set_id, to)
    Tee.objects.filter(set_id=old.set_id).exclude(name=to.name).update(name=to.name, version=F("version") + 1)
    _touch(course)
    _note("tee_rerated", actor, course, before=_summary(old), after=_summary(made))
    return made


@transaction.atomic
def delete_tee(*, actor: Player, tee: Tee, if_version: int | None = None) -> None:
    """Only while unused. If it followed another version without a gap, that version holds again."""
    course = _lock(tee.course)
    locked = _lock_tee(tee, if_version)
    n_rounds = locked.rounds.count()
    if n_rounds:
        raise Refused("tee_used", f"{_rounds(n_rounds)} on this tee, so it stays. A last day can end it.")
    if Card.objects.filter(tee=locked).exists():
        raise Refused("tee_used", "Cards were opened on this tee, so it stays. A last day can end it.")
    last_day, first_day = locked.valid_until, locked.valid_from
    _note("tee_deleted", actor, course, before=_summary(locked))
    set_id = locked.set_id
    locked.delete()
    if first_day is not None:
        Tee.objects.filter(set_id=set_id, valid_until=first_day - timedelta(days=1)).update(
            valid_until=last_day, version=F("version") + 1
        )
    _touch(course)


def tee_on(tee: Tee, day: date) -> Tee | None:
    """The version of the tee's set that holds on a day."""
    versions = _versions(tee.set_id).select_related("course__group")
    return next((version for version in versions if version.is_valid_on(day)), None)


def _lock(course: Course, if_version: int | None = None) -> Course:
    locked = Course.objects.select_for_update(of=("self",)).select_related("group").get(pk=course.pk)
    if if_version is not None and locked.version != if_version:
        raise Stale(locked)
    return locked


def _lock_tee(tee: Tee, if_version: int | None) -> Tee:
    """A round that is being posted on this tee waits here, or is waited for: its foreign key needs the row too."""
    locked = Tee.objects.select_for_update().get(pk=tee.pk)
    if if_version is not None and locked.version != if_version:
        raise Stale(locked)
    return locked


def _fresh(tee: Tee) -> Tee:
    return Tee.objects.select_related("course__group").prefetch_related("holes").get(pk=tee.pk)


def _touch(course: Course) -> None:
    Course.objects.filter(pk=course.pk).update(version=F("version") + 1)


def _refuse_resting(group: Group | None) -> None:
    if group is not None and group.rests_since is not None:
        raise Refused("group_rests", "This group rests until somebody organises it again; nothing new can be added.")


def _ask(doubts: Iterable[Doubt], confirmed: Collection[str] | bool) -> None:
    """Raise Unconfirmed for what must be asked first and has not been confirmed."""
    if confirmed is ALL_CONFIRMED:
        return
    codes = () if isinstance(confirmed, bool) else confirmed
    open_doubts = [doubt for doubt in doubts if doubt.asks and doubt.code not in codes]
    if open_doubts:
        raise Unconfirmed(open_doubts)


def _check_course(facts: CourseFacts) -> None:
    problems = []
    if facts.n_holes not in (9, 18):
        problems.append(RuleBroken("course_holes", "A course has 9 or 18 holes.", "n_holes"))
    if facts.time_zone and facts.time_zone not in available_timezones():
        text = "Choose a time zone from the list, or leave it empty for the group's."
        problems.append(RuleBroken("time_zone_unknown", text, "time_zone"))
    refuse_all(problems)


def _check_tees(tees: Sequence[PrintedTee], n_holes: int) -> None:
    problems: list[RuleBroken] = []
    for place, tee in enumerate(tees):
        try:
            printed.check(tee, n_holes)
        except RuleBroken as broken:
            problems += [RuleBroken(one.code, one.message, f"tees.{place}.{one.field}") for one in broken.problems]
        if any(printed.same_set(tee, other) and printed.days_overlap(tee, other) for other in tees[:place]):
            text = f"Two versions of {tee.name} hold on the same day."
            problems.append(RuleBroken("versions_overlap", text, f"tees.{place}.valid_from"))
    refuse_all(problems)


def _refuse_change_of_used(tee: Tee, to: PrintedTee) -> None:
    used = tee.rounds.aggregate(first=Min("played_on"), last=Max("played_on"))
    if used["first"] is None:
        return
    if _what_counts(tee.as_printed()) != _what_counts(to):
        raise Refused(
            "tee_used",
            f"{_rounds(tee.rounds.count())} on this tee, so its ratings, pars and stroke indexes stay. "
            "Re-rate it from a day on, or enter a new tee and correct the rounds onto it.",
        )
    first_kept = to.valid_from is None or to.valid_from <= used["first"]
    last_kept = to.valid_until is None or used["last"] <= to.valid_until
    if not (first_kept and last_kept):
        raise Refused(
            "tee_used_on_those_days",
            f"Rounds were played on this tee from {used['first']} to {used['last']}: its days must cover them.",
        )


def _what_counts(tee: PrintedTee) -> tuple[Any, ...]:
    return (
        tee.rated_for,
        tee.course_rating,
        tee.slope_rating,
        tee.nines,
        tuple((hole.number, hole.par, hole.stroke_index) for hole in tee.holes),
    )


def _first_day_of_new_version(old: Tee, first_day: date | None) -> date:
    """The day the new version begins, if it can begin then."""
    if first_day is None:
        raise RuleBroken("valid_from_missing", "Give the first day of the new rating.", "valid_from")
    later = Tee.objects.filter(set_id=old.set_id).exclude(pk=old.pk)
    if old.valid_from is not None and first_day <= old.valid_from:
        text = f"The present rating holds from {old.valid_from}: a new one begins after that day."
        raise RuleBroken("valid_from_early", text, "valid_from")
    if later.filter(valid_from__gt=old.valid_from or date.min).exists():
        raise Refused("newer_version", "This tee was re-rated already. Re-rate its newest version.")
    last = old.rounds.filter(state=RoundState.STANDING).aggregate(last=Max("played_on"))["last"]
    if last is not None and last >= first_day:
        raise Refused(
            "tee_used_on_those_days",
            f"A round was posted on the present rating for {last}. Begin the new one after that day, or withdraw or "
            "correct that round first.",
        )
    return first_day


def _versions(set_id: UUID) -> QuerySet[Tee]:
    return Tee.objects.filter(set_id=set_id).prefetch_related("holes")


def _refuse_unlike_others(to: PrintedTee, others: Sequence[PrintedTee]) -> None:
    """The other versions of its set: for the same gender, on other days."""
    for other in others:
        if other.rated_for != to.rated_for:
            text = f"The other versions of this tee are rated for {other.rated_for}. Enter a tee of its own instead."
            raise RuleBroken("versions_rated_for", text, "rated_for")
        if printed.days_overlap(other, to):
            first = to.valid_from or date.min
            starts_inside = (other.valid_from or date.min) <= first <= (other.valid_until or date.max)
            field = "valid_from" if starts_inside else "valid_until"
            raise RuleBroken("versions_overlap", f"Another version of this tee holds {_days(other)}.", field)


def _refuse_twin(course: Course, tees: Sequence[PrintedTee], but: UUID | None = None) -> None:
    """A name and a gender mean one tee of the course on any day; cards and files find it by them."""
    for other in course.tees.prefetch_related("holes"):
        card = other.as_printed()
        if other.set_id != but and any(printed.same_set(card, tee) and printed.days_overlap(card, tee) for tee in tees):
            text = (
                f"This course has a tee {card.name} rated for {card.rated_for} already. Re-rate it, or choose a name."
            )
            raise RuleBroken("tee_twice", text, "name")


def _days(tee: Tee | PrintedTee) -> str:
    first = f"from {tee.valid_from}" if tee.valid_from else "from the beginning"
    return f"{first} until {tee.valid_until}" if tee.valid_until else f"{first} on"


def _store_tee(course: Course, set_id: UUID, tee: PrintedTee) -> Tee:
    made = Tee(course=course, set_id=set_id, created_at=timezone.now())
    _write(made, tee)
    made.save(force_insert=True)
    _write_holes(made, tee)
    return _fresh(made)


def _write(row: Tee, tee: PrintedTee) -> None:
    row.name, row.rated_for, row.length_unit = tee.name, tee.rated_for, tee.length_unit
    row.course_rating_tenths, row.slope_rating = rounding.tenths(tee.course_rating), tee.slope_rating
    row.front_rating_tenths, row.back_rating_tenths = (
        None if rating is None else rounding.tenths(rating) for _, rating, _ in tee.nines
    )
    row.front_slope_rating, row.back_slope_rating = tee.front_slope_rating, tee.back_slope_rating
    row.valid_from, row.valid_until = tee.valid_from, tee.valid_until


def _write_holes(row: Tee, tee: PrintedTee) -> None:
    Hole.objects.bulk_create(
        Hole(tee=row, number=hole.number, par=hole.par, stroke_index=hole.stroke_index, length=hole.length)
        for hole in tee.holes
    )


def _rounds(n_rounds: int) -> str:
    return "1 round was played" if n_rounds == 1 else f"{n_rounds} rounds were played"


def _summary(tee: Tee) -> dict[str, Any]:
    return {
        "tee": tee.name,
        "rated_for": tee.rated_for,
        "course_rating": str(tee.course_rating),
        "slope_rating": tee.slope_rating,
        "days": _days(tee),
    }


def _note(action: str, actor: Player, course: Course, *, before: Any = None, after: Any = None) -> None:
    note_action(action=action, actor=actor, group=course.group, before=before, after=after)
