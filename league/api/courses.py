"""Courses over the API: enter, change, delete, take along as a file and bring back."""

import json
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem
from league.api.fields import Choice, Id, Strict, Text, Whole
from league.api.paging import QUERY as PAGING
from league.api.paging import page, page_of
from league.api.tees import TeeIn, TeeOut, printed_tee, tee_body, tee_location, told_to_sender
from league.exchange import courses_json
from league.models import Course, Group
from league.reports import courses as reports
from league.services import courses as services


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


class CourseQuery(Strict):
    group = Id(required=False)
    q = Text(160, required=False, allow_blank=True)


class ImportQuery(Strict):
    group = Id(required=False)
    confirm_warnings = Choice(("true", "false"), required=False)


class CourseOut(serializers.Serializer[Any]):
    id = Id()
    name = Text(80)
    place = Text(80, allow_blank=True)
    n_holes = Whole(9, 18)
    time_zone = serializers.CharField(allow_blank=True)
    group = Id(allow_null=True)
    tees = TeeOut(many=True)


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


def _whole_course(course: Course) -> Course:
    return Course.objects.select_related("group").prefetch_related("tees__holes").get(pk=course.pk)


def _course_location(course: Course) -> dict[str, str]:
    return {"Location": reverse("api-course", args=[course.pk]), "ETag": f'"{course.version}"'}


class CourseEndpoint(Endpoint):
    def group_named(self, group_id: Any) -> Group | None:
        return access.group_to_run(self.account, group_id).group if group_id else None

    def stored_course(self, course: Course) -> dict[str, Any]:
        return course_body(_whole_course(course))


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
            return Answer(tee_body(made), headers=tee_location(made))

        with told_to_sender(self.payload, self.stored_course):
            return self.once(request, act)


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
                described=held.descriptions,
                confirmed=asked.get("confirm_warnings") == "true",
            )
            return Answer(self.stored_course(made), headers=_course_location(made))

        with told_to_sender(self.payload, self.stored_course):
            return self.once(request, act)


urlpatterns: list[URLPattern | URLResolver] = [
    path("courses/", Courses.as_view(), name="api-courses"),
    path("courses/import/", CourseImport.as_view(), name="api-course-import"),
    path("courses/<uuid:course_id>/", CourseDetail.as_view(), name="api-course"),
    path("courses/<uuid:course_id>/tees/", CourseTees.as_view(), name="api-course-tees"),
    path("courses/<uuid:course_id>/file/", CourseExport.as_view(), name="api-course-file"),
]
