"""A course as a reader sees it: its tees with their versions, sums as in accounts, doubts, and strokes here."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Count, QuerySet
from django.utils import timezone

from league.exchange.courses_json import CourseFile
from league.exchange.descriptions_json import DescribedHole
from league.models import Course, HolesInPlay, Player, Standing, Tee
from league.models.courses import fold_for_search
from league.reports import descriptions
from league.rules import printed, rounding, scorecard


@dataclass(frozen=True, kw_only=True)
class HandicapHere:
    """A course handicap on one way of playing a tee (Rule 6.1), unofficial."""

    holes_in_play: str
    course_handicap: int
    unrounded: Decimal
    par: int
    course_rating: Decimal
    slope_rating: int

    @property
    def label(self) -> str:
        return HolesInPlay(self.holes_in_play).label

    @property
    def words(self) -> str:
        """As players write it: a plus handicap, which gives strokes back, has a plus sign."""
        return f"+{-self.course_handicap}" if self.course_handicap < 0 else str(self.course_handicap)


@dataclass(frozen=True, kw_only=True)
class Sum:
    label: str
    par: int
    length: int | None


@dataclass(frozen=True, kw_only=True)
class TeeSheet:
    """One version of a tee. `card` has the sums out, in and all after the holes that they add up."""

    tee: Tee
    card: printed.PrintedTee
    doubts: tuple[printed.Doubt, ...]
    n_rounds: int
    is_current: bool
    handicaps: tuple[HandicapHere, ...] = ()

    @property
    def front(self) -> Sum:
        return _sum("Out" if len(self.card.holes) == 18 else "All", self.card.holes[:9])

    @property
    def back(self) -> Sum | None:
        return _sum("In", self.card.holes[9:]) if len(self.card.holes) == 18 else None

    @property
    def whole(self) -> Sum:
        return _sum("All", self.card.holes)

    @property
    def has_lengths(self) -> bool:
        return any(hole.length is not None for hole in self.card.holes)

    @property
    def outgoing(self) -> tuple[printed.PrintedHole, ...]:
        return self.card.holes[:9]

    @property
    def incoming(self) -> tuple[printed.PrintedHole, ...]:
        return self.card.holes[9:]


@dataclass(frozen=True, kw_only=True)
class TeeSet:
    """The versions of one set of tees for one gender, the newest first."""

    versions: tuple[TeeSheet, ...]

    @property
    def newest(self) -> TeeSheet:
        return self.versions[0]

    @property
    def current(self) -> TeeSheet | None:
        return next((sheet for sheet in self.versions if sheet.is_current), None)

    @property
    def shown(self) -> TeeSheet:
        return self.current or self.newest

    @property
    def more_doubts(self) -> int:
        return max(0, len(self.shown.doubts) - 1)


@dataclass(frozen=True, kw_only=True)
class CourseSheet:
    course: Course
    sets: tuple[TeeSet, ...]
    index: Decimal | None
    n_rounds: int

    @property
    def index_tenths(self) -> int | None:
        return None if self.index is None else rounding.tenths(self.index)

    @property
    def n_doubts(self) -> int:
        return sum(len(one.shown.doubts) for one in self.sets)


def course_sheet(course: Course, viewer: Player) -> CourseSheet:
    """Four statements: tees with their counts of rounds, holes, and the viewer's standing."""
    index = index_of(viewer)
    today = today_at(course)
    sheets = [_sheet(tee, tee.n_rounds, index, today) for tee in _counted(course)]
    by_set: dict[object, list[TeeSheet]] = {}
    for sheet in sheets:
        by_set.setdefault(sheet.tee.set_id, []).append(sheet)
    sets = [TeeSet(versions=tuple(sorted(versions, key=_first_day, reverse=True))) for versions in by_set.values()]
    sets.sort(key=lambda one: (-(one.shown.card.length or 0), one.shown.card.name.casefold(), one.shown.card.rated_for))
    return CourseSheet(course=course, sets=tuple(sets), index=index, n_rounds=sum(sheet.n_rounds for sheet in sheets))


def find_courses(courses: QuerySet[Course], *, text: str = "") -> QuerySet[Course]:
    """Those in whose name or place each word stands, whatever its case, in any script."""
    for word in fold_for_search(text).split():
        courses = courses.filter(search_folded__contains=word)
    return courses


def course_handicaps(tee: Tee, index: Decimal) -> tuple[HandicapHere, ...]:
    """Every way to play the tee: eighteen and its rated nines, or a nine once and twice (Rule 6.1)."""
    return tuple(
        HandicapHere(
            holes_in_play=holes_in_play,
            course_handicap=rated.course_handicap(index),
            unrounded=_to_four_places(rated, index),
            par=rated.par,
            course_rating=rated.course_rating,
            slope_rating=rated.slope_rating,
        )
        for holes_in_play, rated in _ways_to_play(tee)
    )


def index_of(player: Player) -> Decimal | None:
    standing = Standing.objects.filter(player=player).only("index_tenths").first()
    if standing is None or standing.index_tenths is None:
        return None
    return rounding.as_decimal(standing.index_tenths)


def today_at(course: Course) -> date:
    zone = course.time_zone or (course.group.time_zone if course.group else settings.TIME_ZONE)
    return timezone.now().astimezone(ZoneInfo(zone)).date()


def as_file(course: Course) -> CourseFile:
    """The course with all versions of its tees, oldest first."""
    tees = sorted(_counted(course), key=lambda tee: (tee.name.casefold(), tee.rated_for, tee.valid_from or date.min))
    cards = tuple(tee.as_printed() for tee in tees)
    return CourseFile(course.name, course.place, course.n_holes, cards, tuple(_described(course)))


def _described(course: Course) -> Iterator[DescribedHole]:
    """The holes that somebody described, as they were written."""
    for _, row in sorted(descriptions.current(course).items()):
        tee = row.measured_from
        named = None if tee is None else (tee.name, tee.rated_for)
        yield DescribedHole(descriptions.as_described(row), row.length_unit, named)


def _counted(course: Course) -> QuerySet[Any]:
    return (
        course.tees.select_related("course")
        .annotate(n_rounds=Count("rounds"))
        .prefetch_related("holes")
        .order_by("created_at", "id")
    )


def _sheet(tee: Tee, n_rounds: int, index: Decimal | None, today: date) -> TeeSheet:
    card = tee.as_printed()
    return TeeSheet(
        tee=tee,
        card=card,
        doubts=tuple(printed.doubts(card)),
        n_rounds=n_rounds,
        is_current=tee.is_valid_on(today),
        handicaps=course_handicaps(tee, index) if index is not None else (),
    )


def _ways_to_play(tee: Tee) -> Iterable[tuple[str, scorecard.Tee]]:
    is_rated = {HolesInPlay.FRONT: tee.front_slope_rating, HolesInPlay.BACK: tee.back_slope_rating}
    ways: tuple[HolesInPlay, ...] = (HolesInPlay.NINE, HolesInPlay.TWICE)
    if tee.course.n_holes == 18:
        ways = (HolesInPlay.EIGHTEEN, *(nine for nine, slope in is_rated.items() if slope is not None))
    return [(way.value, tee.in_play(way)) for way in ways]


def _to_four_places(rated: scorecard.Tee, index: Decimal) -> Decimal:
    """For reading only; what is rounded for play starts from the exact fraction."""
    return Decimal(rounding.round_to_whole(rated.course_handicap_exact(index) * 10_000)).scaleb(-4)


def _sum(label: str, holes: Sequence[printed.PrintedHole]) -> Sum:
    lengths = [hole.length for hole in holes]
    length = None if None in lengths else sum(length for length in lengths if length is not None)
    return Sum(label=label, par=sum(hole.par for hole in holes), length=length)


def _first_day(sheet: TeeSheet) -> date:
    return sheet.card.valid_from or date.min
