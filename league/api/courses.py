"""Courses and tees. The shape of a tee is the one of a course file (`league.exchange.courses_json`)."""

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem
from league.api.fields import Choice, Day, Flag, Id, Strict, Tenths, Text, Whole
from league.api.paging import QUERY as PAGING
from league.api.paging import page, page_of
from league.exchange import courses_csv, courses_json
from league.exchange.courses_csv import TABLE_CHARACTERS
from league.exchange.problems import Note
from league.exchange.problems import Problem as FileProblem
from league.models import Course, Group, LengthUnit, RatedFor, Tee
from league.reports import courses as reports
from league.rules.errors import RuleBroken
from league.rules.printed import LONGEST_HOLE, Doubt, PrintedHole, PrintedTee, doubts
from league.services import courses as services
from league.services.errors import Stale

N_CODES = 40
INDEX = re.compile(r"-?[0-9]{1,2}(?:\.[0-9])?", re.ASCII)
LOWEST_INDEX, CEILING = Decimal("-9.9"), Decimal("54.0")


@extend_schema_field(
    {"oneOf": [{"type": "boolean"}, {"type": "array", "items": {"type": "string"}, "maxItems": N_CODES}]}
)
class Confirmed(serializers.Field[Any, Any, Any, Any]):
    """true for every doubt, or a list of the codes that somebody has looked at."""

    def to_internal_value(self, data: Any) -> bool | list[str]:
        if isinstance(data, bool):
            return services.ALL_CONFIRMED if data else []
        if isinstance(data, list) and len(data) <= N_CODES and all(isinstance(code, str) for code in data):
            return data
        raise serializers.ValidationError("Send true, or a list of the codes to confirm.", code="choice")


@extend_schema_field({"type": "number", "minimum": -9.9, "maximum": 54.0})
class IndexText(serializers.Field[Any, Any, Any, Any]):
    """A handicap index in an address: 18.4, a plus index with its minus sign."""

    def to_internal_value(self, data: Any) -> Decimal:
        if not INDEX.fullmatch(data):
            raise serializers.ValidationError("Enter an index with at most one decimal, like 18.4.", code="tenths")
        index = Decimal(data)
        if not LOWEST_INDEX <= index <= CEILING:
            raise serializers.ValidationError(f"Enter {LOWEST_INDEX} to {CEILING} at most.", code="range")
        return index.quantize(Decimal("0.1"))


class CourseIn(Strict):
    name = Text(80)
    place = Text(80, allow_blank=True, required=False)
    n_holes = Whole(9, 18, required=False)
    time_zone = Text(64, allow_blank=True, required=False)
    group = Id(required=False, allow_null=True)


class CourseChangeIn(Strict):
    name = Text(80, required=False)
    place = Text(80, allow_blank=True, required=False)
    n_holes = Whole(9, 18, required=False)
    time_zone = Text(64, allow_blank=True, required=False)


class HoleIn(Strict):
    number = Whole(1, 18, required=False)
    par = Whole(3, 6)
    stroke_index = Whole(1, 18)
    length = Whole(1, LONGEST_HOLE, required=False, allow_null=True)


class Holes(serializers.ListField):
    child = HoleIn()

    def to_internal_value(self, data: Any) -> list[Any]:
        if isinstance(data, list) and not 9 <= len(data) <= 18:
            raise serializers.ValidationError("A tee has 9 or 18 holes.", code="list_length")
        return super().to_internal_value(data)


class NineIn(Strict):
    course_rating = Tenths("0.1", "999.9")
    slope_rating = Whole(55, 155)


class TeeIn(Strict):
    name = Text(40)
    rated_for = Choice(RatedFor)
    length_unit = Choice(LengthUnit, required=False)
    course_rating = Tenths("0.1", "999.9")
    slope_rating = Whole(55, 155)
    front = NineIn(required=False, allow_null=True)
    back = NineIn(required=False, allow_null=True)
    holes = Holes()
    valid_from = Day(required=False, allow_null=True)
    valid_until = Day(required=False, allow_null=True)
    par_total = Whole(1, 999, required=False, allow_null=True)
    length_total = Whole(1, 99_999, required=False, allow_null=True)
    confirm_warnings = Confirmed(required=False)


class TeeChangeIn(TeeIn):
    """What is left out stays as it is; `holes` are given whole or not at all."""

    name = Text(40, required=False)
    rated_for = Choice(RatedFor, required=False)
    course_rating = Tenths("0.1", "999.9", required=False)
    slope_rating = Whole(55, 155, required=False)
    holes = Holes(required=False)


class VersionIn(TeeChangeIn):
    """What is left out is taken from the present version. The new one has no end yet."""

    rated_for = None  # type: ignore[assignment]
    valid_until = None  # type: ignore[assignment]
    valid_from = Day()


class TableIn(Strict):
    table = Text(TABLE_CHARACTERS, lines=True)


class CourseQuery(Strict):
    group = Id(required=False)
    q = Text(160, required=False, allow_blank=True)


class ImportQuery(Strict):
    group = Id(required=False)
    confirm_warnings = Choice(("true", "false"), required=False)


class IndexQuery(Strict):
    index = IndexText(required=False)


class NoteOut(serializers.Serializer[Any]):
    field = serializers.CharField()
    code = serializers.CharField()
    message = serializers.CharField()


class HoleOut(serializers.Serializer[Any]):
    number = Whole(1, 18)
    par = Whole(3, 6)
    stroke_index = Whole(1, 18)
    length = Whole(1, LONGEST_HOLE, allow_null=True)


class NineOut(serializers.Serializer[Any]):
    course_rating = Tenths()
    slope_rating = Whole(55, 155)


class TeeOut(serializers.Serializer[Any]):
    id = Id()
    course = Id()
    set = Id(help_text="The same for every version of one set of tees for one gender.")
    name = Text(40)
    rated_for = Choice(RatedFor)
    length_unit = Choice(LengthUnit)
    course_rating = Tenths()
    slope_rating = Whole(55, 155)
    front = NineOut(allow_null=True)
    back = NineOut(allow_null=True)
    par = serializers.IntegerField()
    length = serializers.IntegerField(allow_null=True)
    holes = HoleOut(many=True)
    valid_from = Day(allow_null=True)
    valid_until = Day(allow_null=True)
    notes = NoteOut(many=True, help_text="What is unusual, if anything; nothing was changed.")


class CourseOut(serializers.Serializer[Any]):
    id = Id()
    name = Text(80)
    place = Text(80, allow_blank=True)
    n_holes = Whole(9, 18)
    time_zone = serializers.CharField(allow_blank=True)
    group = Id(allow_null=True)
    tees = TeeOut(many=True)


class HandicapOut(serializers.Serializer[Any]):
    holes = serializers.CharField(help_text="18, front, back, nine, or twice for a nine played twice.")
    course_handicap = serializers.IntegerField()
    unrounded = serializers.CharField(help_text="To four decimals, for reading.")
    par = serializers.IntegerField()
    course_rating = Tenths()
    slope_rating = serializers.IntegerField()


class HandicapsOut(serializers.Serializer[Any]):
    tee = Id()
    index = Tenths(allow_null=True)
    official = Flag(help_text="Always false.")
    handicaps = HandicapOut(many=True, help_text="Empty while there is no index.")


class ReadProblemOut(serializers.Serializer[Any]):
    row = serializers.IntegerField(help_text="The line of the table, from 1; 0 for the table as a whole.")
    column = serializers.CharField()
    code = serializers.CharField()
    message = serializers.CharField()


class HolesReadOut(serializers.Serializer[Any]):
    holes = HoleOut(many=True, help_text="Empty while there are problems.")
    length_unit = serializers.CharField(allow_blank=True)
    problems = ReadProblemOut(many=True)
    notes = ReadProblemOut(many=True)


def course_body(course: Course) -> dict[str, Any]:
    return {
        "id": str(course.pk),
        "name": course.name,
        "place": course.place,
        "n_holes": course.n_holes,
        "time_zone": course.time_zone,
        "group": None if course.group_id is None else str(course.group_id),
        "tees": [tee_body(tee) for tee in course.tees.all()],
    }


def tee_body(tee: Tee) -> dict[str, Any]:
    card = tee.as_printed()
    nines = {
        name: None if rating is None else {"course_rating": rating, "slope_rating": slope}
        for name, rating, slope in card.nines
    }
    return {
        "id": str(tee.pk),
        "course": str(tee.course_id),
        "set": str(tee.set_id),
        "name": card.name,
        "rated_for": card.rated_for,
        "length_unit": card.length_unit,
        "course_rating": card.course_rating,
        "slope_rating": card.slope_rating,
        **nines,
        "par": card.par,
        "length": card.length,
        "holes": [hole_body(hole) for hole in card.holes],
        "valid_from": card.valid_from,
        "valid_until": card.valid_until,
        "notes": [_note(doubt) for doubt in doubts(card)],
    }


def hole_body(hole: PrintedHole) -> dict[str, Any]:
    return {"number": hole.number, "par": hole.par, "stroke_index": hole.stroke_index, "length": hole.length}


def _note(doubt: Doubt) -> dict[str, str]:
    return {"field": sent_path(doubt.field), "code": doubt.code, "message": doubt.message}


def sent_path(field: str) -> str:
    """The name of a rule's field as it stands in what was sent: the ratings of a nine are one object."""
    for nine in ("front", "back"):
        field = field.replace(f"{nine}_course", f"{nine}.course").replace(f"{nine}_slope", f"{nine}.slope")
    return field


def printed_tee(sent: Mapping[str, Any], old: PrintedTee | None = None) -> PrintedTee:
    values = {name: value for name, value in sent.items() if name not in ("front", "back", "holes", "confirm_warnings")}
    for nine in ("front", "back"):
        if nine in sent:
            rated = sent[nine] or {}
            values[f"{nine}_course_rating"] = rated.get("course_rating")
            values[f"{nine}_slope_rating"] = rated.get("slope_rating")
    if "holes" in sent:
        values["holes"] = tuple(
            PrintedHole(hole.get("number", place), hole["par"], hole["stroke_index"], hole.get("length"))
            for place, hole in enumerate(sent["holes"], 1)
        )
    return replace(old, **values) if old else PrintedTee(**values)


@contextmanager
def told_to_sender(yours: Callable[[], Any], stored: Callable[[Any], Any]) -> Iterator[None]:
    """Names fields as they were sent, lists what is asked first, and shows both versions to a late writer."""
    try:
        yield
    except RuleBroken as broken:
        first, *others = (RuleBroken(one.code, one.message, sent_path(one.field)) for one in broken.problems)
        raise RuleBroken(first.code, first.message, first.field, tuple(others)) from None
    except services.Unconfirmed as asked:
        errors = [FieldError(sent_path(doubt.field), doubt.code, doubt.message) for doubt in asked.doubts]
        raise Problem("confirm_first", asked.message, errors) from None
    except Stale as late:
        raise Problem("stale", members={"yours": yours(), "stored": stored(late.stored)}) from None


def _whole_course(course: Course) -> Course:
    return Course.objects.select_related("group").prefetch_related("tees__holes").get(pk=course.pk)


def _course_location(course: Course) -> dict[str, str]:
    return {"Location": reverse("api-course", args=[course.pk]), "ETag": f'"{course.version}"'}


def _tee_location(tee: Tee) -> dict[str, str]:
    return {"Location": reverse("api-tee", args=[tee.pk]), "ETag": f'"{tee.version}"'}


class CourseEndpoint(Endpoint):
    def group_named(self, group_id: Any) -> Group | None:
        return access.group_to_run(self.account, group_id).group if group_id else None

    def stored_course(self, course: Course) -> dict[str, Any]:
        return course_body(_whole_course(course))

    def stored_tee(self, tee: Tee) -> dict[str, Any]:
        return tee_body(Tee.objects.prefetch_related("holes").get(pk=tee.pk))


class Courses(CourseEndpoint):
    query = PAGING | {"group", "q"}

    @extend_schema(parameters=[CourseQuery], responses=page_of(CourseOut))
    def get(self, request: Request) -> Response:
        asked = self.parameters(CourseQuery)
        rows = access.visible_courses(self.account).prefetch_related("tees__holes")
        if "group" in asked:
            rows = rows.filter(group=access.group_for(self.account, asked["group"]).group)
        return Response(page(self, reports.find_courses(rows, text=asked.get("q", "")), course_body, ("name", "id")))

    @extend_schema(request=CourseIn, responses={201: CourseOut})
    def post(self, request: Request) -> Response:
        sent = self.read(CourseIn)
        group = self.group_named(sent.pop("group", None))

        def act() -> Answer:
            me = access.own_player(self.account)
            made = services.create_course(actor=me, group=group, facts=services.CourseFacts(**sent))
            return Answer(self.stored_course(made), headers=_course_location(made))

        return self.once(request, act)


class CourseDetail(CourseEndpoint):
    @extend_schema(responses=CourseOut)
    def get(self, request: Request, course_id: UUID) -> Response:
        course = _whole_course(access.course_for(self.account, course_id))
        return tagged(Response(course_body(course)), course.version)

    @extend_schema(request=CourseChangeIn, responses=CourseOut)
    def patch(self, request: Request, course_id: UUID) -> Response:
        course = access.course_to_change(self.account, course_id)
        self.require_match(request, course.version, lambda: self.stored_course(course))
        sent = self.read(CourseChangeIn)
        facts = services.CourseFacts(
            name=sent.get("name", course.name),
            place=sent.get("place", course.place),
            n_holes=sent.get("n_holes", course.n_holes),
            time_zone=sent.get("time_zone", course.time_zone),
        )
        with told_to_sender(self.payload, self.stored_course):
            me = access.own_player(self.account)
            changed = services.change_course(actor=me, course=course, facts=facts, if_version=course.version)
        return tagged(Response(self.stored_course(changed)), changed.version)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, course_id: UUID) -> Response:
        course = access.course_to_change(self.account, course_id)
        self.require_match(request, course.version, lambda: self.stored_course(course))
        with told_to_sender(lambda: None, self.stored_course):
            me = access.own_player(self.account)
            services.delete_course(actor=me, course=course, if_version=course.version)
        return Response(status=204)


class CourseTees(CourseEndpoint):
    @extend_schema(request=TeeIn, responses={201: TeeOut})
    def post(self, request: Request, course_id: UUID) -> Response:
        course = access.course_to_change(self.account, course_id)
        sent = self.read(TeeIn)

        def act() -> Answer:
            made = services.add_tee(
                actor=access.own_player(self.account),
                course=course,
                tee=printed_tee(sent),
                confirmed=sent.get("confirm_warnings", ()),
            )
            return Answer(tee_body(made), headers=_tee_location(made))

        with told_to_sender(self.payload, self.stored_course):
            return self.once(request, act)


class TeeDetail(CourseEndpoint):
    @extend_schema(responses=TeeOut)
    def get(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_for(self.account, tee_id)
        return tagged(Response(tee_body(tee)), tee.version)

    @extend_schema(request=TeeChangeIn, responses=TeeOut)
    def patch(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_to_change(self.account, tee_id)
        self.require_match(request, tee.version, lambda: tee_body(tee))
        sent = self.read(TeeChangeIn, partial=False)
        with told_to_sender(self.payload, self.stored_tee):
            changed = services.change_tee(
                actor=access.own_player(self.account),
                tee=tee,
                to=printed_tee(sent, tee.as_printed()),
                confirmed=sent.get("confirm_warnings", ()),
                if_version=tee.version,
            )
        return tagged(Response(tee_body(changed)), changed.version)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_to_change(self.account, tee_id)
        self.require_match(request, tee.version, lambda: tee_body(tee))
        with told_to_sender(lambda: None, self.stored_tee):
            services.delete_tee(actor=access.own_player(self.account), tee=tee, if_version=tee.version)
        return Response(status=204)


class TeeVersions(CourseEndpoint):
    @extend_schema(request=VersionIn, responses={201: TeeOut})
    def post(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_to_change(self.account, tee_id)
        sent = self.read(VersionIn)

        def act() -> Answer:
            made = services.rerate_tee(
                actor=access.own_player(self.account),
                tee=tee,
                to=printed_tee(sent, replace(tee.as_printed(), valid_until=None)),
                confirmed=sent.get("confirm_warnings", ()),
            )
            return Answer(tee_body(made), headers=_tee_location(made))

        with told_to_sender(self.payload, self.stored_tee):
            return self.once(request, act)


class TeeCourseHandicap(CourseEndpoint):
    query = frozenset({"index"})

    @extend_schema(parameters=[IndexQuery], responses=HandicapsOut)
    def get(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_for(self.account, tee_id)
        asked = self.parameters(IndexQuery)
        index = asked["index"] if "index" in asked else reports.index_of(access.own_player(self.account))
        here = reports.course_handicaps(tee, index) if index is not None else ()
        handicaps = [
            {
                "holes": one.holes_in_play,
                "course_handicap": one.course_handicap,
                "unrounded": str(one.unrounded),
                "par": one.par,
                "course_rating": one.course_rating,
                "slope_rating": one.slope_rating,
            }
            for one in here
        ]
        return Response({"tee": str(tee.pk), "index": index, "official": False, "handicaps": handicaps})


class CourseExport(CourseEndpoint):
    @extend_schema(responses={(200, "application/json"): OpenApiTypes.OBJECT})
    def get(self, request: Request, course_id: UUID) -> HttpResponse:
        course = access.course_for(self.account, course_id)
        return Response(json.loads(courses_json.write(reports.as_file(course)), parse_float=Decimal))


class CourseImport(CourseEndpoint):
    post_query = frozenset({"group", "confirm_warnings"})

    @extend_schema(parameters=[ImportQuery], request=OpenApiTypes.OBJECT, responses={201: CourseOut})
    def post(self, request: Request) -> Response:
        asked = self.parameters(ImportQuery)
        group = self.group_named(asked.get("group"))
        reading = courses_json.read_value(self.payload())
        if reading.course is None:
            raise Problem("invalid", errors=[FieldError(one.column, one.code, one.message) for one in reading.problems])
        held = reading.course

        def act() -> Answer:
            made = services.create_course(
                actor=access.own_player(self.account),
                group=group,
                facts=services.CourseFacts(name=held.name, place=held.place, n_holes=held.n_holes),
                tees=held.tees,
                confirmed=asked.get("confirm_warnings") == "true",
            )
            return Answer(self.stored_course(made), headers=_course_location(made))

        with told_to_sender(self.payload, self.stored_course):
            return self.once(request, act)


class HolesReading(CourseEndpoint):
    """Reads a pasted table and stores nothing."""

    @extend_schema(request=TableIn, responses=HolesReadOut)
    def post(self, request: Request) -> Response:
        reading = courses_csv.read_holes(self.read(TableIn)["table"])
        return Response(
            {
                "holes": [hole_body(row) for row in reading.rows],
                "length_unit": reading.length_unit,
                "problems": _listed(reading.problems),
                "notes": _listed(reading.notes),
            }
        )


def _listed(problems: Sequence[FileProblem | Note]) -> list[dict[str, Any]]:
    return [dict(one._asdict()) for one in problems]


urlpatterns: list[URLPattern | URLResolver] = [
    path("courses/", Courses.as_view(), name="api-courses"),
    path("courses/import/", CourseImport.as_view(), name="api-course-import"),
    path("courses/read-holes/", HolesReading.as_view(), name="api-read-holes"),
    path("courses/<uuid:course_id>/", CourseDetail.as_view(), name="api-course"),
    path("courses/<uuid:course_id>/tees/", CourseTees.as_view(), name="api-course-tees"),
    path("courses/<uuid:course_id>/file/", CourseExport.as_view(), name="api-course-file"),
    path("tees/<uuid:tee_id>/", TeeDetail.as_view(), name="api-tee"),
    path("tees/<uuid:tee_id>/versions/", TeeVersions.as_view(), name="api-tee-versions"),
    path("tees/<uuid:tee_id>/course-handicap/", TeeCourseHandicap.as_view(), name="api-tee-course-handicap"),
]
