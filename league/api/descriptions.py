"""Described holes over the API: read from any tee, corrected by whoever may change the course, versions kept."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.http import Http404
from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import Problem
from league.api.fields import Choice, Flag, Id, Many, Strict, Text, Whole
from league.api.tees import ReadProblemOut
from league.exchange import descriptions_table
from league.models import Course, HoleDescription, LengthUnit, Tee
from league.reports import descriptions as reports
from league.rules import described
from league.rules.described import CountedFrom, Described, Side, TroubleKind
from league.rules.errors import RuleBroken
from league.rules.printed import LONGEST_HOLE
from league.services import descriptions as services
from league.services.errors import Stale

NEAR, FAR = -LONGEST_HOLE, LONGEST_HOLE
LANDING_HEIGHT = "Where the tee shot lands, above the tee that was described from; below zero it lies lower."
GREEN_HEIGHT = "The green, above that tee too, not above the landing; below zero it lies lower."
MOVED = (
    "True: measured from another tee and moved by the difference of the lengths. Heights, and distances in notes, are "
    "not moved."
)


class TroubleIn(Strict):
    """`begins` and `ends` along the hole, `off_line` to its nearer edge, `depth` beyond that; whole yards or metres."""

    kind = Choice(TroubleKind)
    side = Choice(Side)
    begins = Whole(NEAR, FAR)
    ends = Whole(NEAR, FAR)
    off_line = Whole(0, FAR, required=False, allow_null=True)
    depth = Whole(0, FAR, required=False, allow_null=True)
    counted_from = Choice(CountedFrom, required=False)
    note = Text(described.LONGEST_NOTE, required=False, allow_blank=True)


class WidthIn(Strict):
    distance = Whole(0, FAR)
    width = Whole(0, FAR)


class HoleDescriptionIn(Strict):
    """The whole hole as it is now: what is left out is not known."""

    length_unit = Choice(LengthUnit)
    measured_from = Id(required=False, allow_null=True, help_text="The tee that distances count from.")
    reason = Text(services.LONGEST_REASON, required=False, allow_blank=True)
    name = Text(described.LONGEST_NAME, required=False, allow_blank=True)
    trouble = Many(child=TroubleIn(), required=False)
    widths = Many(child=WidthIn(), required=False)
    green_depth = Whole(0, FAR, required=False, allow_null=True)
    green_width = Whole(0, FAR, required=False, allow_null=True)
    safe_side = Choice(Side, required=False, allow_null=True)
    hard_chip_from = Many(child=Choice(Side), required=False)
    bend_to = Choice(Side, required=False, allow_null=True)
    bend_at = Whole(0, FAR, required=False, allow_null=True)
    bend_degrees = Whole(0, 360, required=False, allow_null=True)
    rise_to_landing = Whole(NEAR, FAR, required=False, allow_null=True, help_text=LANDING_HEIGHT)
    rise_to_green = Whole(NEAR, FAR, required=False, allow_null=True, help_text=GREEN_HEIGHT)
    note = Text(described.LONGEST_NOTE, required=False, allow_blank=True)


class TroubleOut(serializers.Serializer[Any]):
    kind = Choice(TroubleKind)
    side = Choice(Side)
    begins = serializers.IntegerField()
    ends = serializers.IntegerField()
    off_line = serializers.IntegerField(allow_null=True)
    depth = serializers.IntegerField(allow_null=True)
    counted_from = Choice(CountedFrom)
    note = serializers.CharField(allow_blank=True)


class WidthOut(serializers.Serializer[Any]):
    distance = serializers.IntegerField()
    width = serializers.IntegerField()


class HoleDescriptionOut(serializers.Serializer[Any]):
    number = Whole(1, 18)
    version = serializers.IntegerField(help_text="0 while nobody described the hole.")
    length_unit = Choice(LengthUnit)
    measured_from = Id(allow_null=True)
    measured_length = serializers.IntegerField(allow_null=True)
    name = serializers.CharField(allow_blank=True)
    trouble = TroubleOut(many=True)
    widths = WidthOut(many=True)
    green_depth = serializers.IntegerField(allow_null=True)
    green_width = serializers.IntegerField(allow_null=True)
    safe_side = Choice(Side, allow_null=True)
    hard_chip_from = serializers.ListField(child=Choice(Side))
    bend_to = Choice(Side, allow_null=True)
    bend_at = serializers.IntegerField(allow_null=True)
    bend_degrees = serializers.IntegerField(allow_null=True)
    rise_to_landing = serializers.IntegerField(allow_null=True, help_text=LANDING_HEIGHT)
    rise_to_green = serializers.IntegerField(allow_null=True, help_text=GREEN_HEIGHT)
    note = serializers.CharField(allow_blank=True)
    reason = serializers.CharField(allow_blank=True)
    written_by = serializers.CharField(allow_null=True)
    written_at = serializers.DateTimeField(allow_null=True)


class HoleFromTeeOut(HoleDescriptionOut):
    is_moved = Flag(help_text=MOVED)


class HolesOut(serializers.Serializer[Any]):
    tee = Id(allow_null=True)
    holes = HoleFromTeeOut(many=True)


class VersionsOut(serializers.Serializer[Any]):
    versions = HoleDescriptionOut(many=True, help_text="The newest first.")


class HolesQuery(Strict):
    tee = Id(required=False)


class DescriptionsTableIn(Strict):
    """`apply` false (or left out) reads the table and stores nothing."""

    table = Text(descriptions_table.TABLE_CHARACTERS, lines=True)
    length_unit = Choice(LengthUnit)
    measured_from = Id(required=False, allow_null=True)
    reason = Text(services.LONGEST_REASON, required=False, allow_blank=True)
    apply = Flag(required=False)


class DescriptionsReadOut(serializers.Serializer[Any]):
    holes = HoleDescriptionOut(many=True, help_text="What the table says; empty while there are problems.")
    problems = ReadProblemOut(many=True)
    stored = serializers.ListField(child=Whole(1, 18), help_text="Numbers of the holes that say something new now.")


def hole_values(hole: Described) -> dict[str, Any]:
    """Every field by name; what is not known is null or empty."""
    known = described.as_plain(hole)
    blank: dict[str, Any] = dict.fromkeys(map(str, HoleDescriptionOut().fields))
    empty: dict[str, Any] = {"name": "", "note": "", "trouble": [], "widths": [], "hard_chip_from": []}
    trouble = [{"off_line": None, "depth": None, "note": "", **row} for row in known.pop("trouble", ())]
    return {**blank, **empty, **known, "trouble": trouble}


def description_body(row: HoleDescription) -> dict[str, Any]:
    return hole_values(reports.as_described(row)) | _about(row) | {"length_unit": row.length_unit}


def _about(row: HoleDescription | None) -> dict[str, Any]:
    if row is None:
        return {"version": 0, "measured_from": None, "measured_length": None, "reason": ""}
    return {
        "version": row.version,
        "measured_from": None if row.measured_from_id is None else str(row.measured_from_id),
        "measured_length": row.measured_length,
        "reason": row.reason,
        "written_by": row.written_by.name if row.written_by else None,
        "written_at": row.written_at,
    }


def _undescribed(course: Course, number: int, unit: str) -> dict[str, Any]:
    return hole_values(Described(number=number)) | _about(None) | {"length_unit": unit}


class DescriptionEndpoint(Endpoint):
    def tee_named(self, course: Course, tee_id: Any) -> Tee | None:
        """A tee of this course that the person sees; one of another course answers like one that does not exist."""
        if not tee_id:
            return None
        tee = access.tee_for(self.account, tee_id)
        if tee.course_id != course.pk:
            raise Http404
        return tee

    def course_hole(self, course: Course, number: int) -> int:
        """The number, 404 where the course has no such hole."""
        if not 1 <= number <= course.n_holes:
            raise Http404
        return number

    def stored_body(self, course: Course, number: int) -> dict[str, Any]:
        row = reports.current(course).get(number)
        unit = access.own_player(self.account).length_unit
        return description_body(row) if row else _undescribed(course, number, unit)


class Holes(DescriptionEndpoint):
    query = frozenset({"tee"})

    @extend_schema(parameters=[HolesQuery], responses=HolesOut)
    def get(self, request: Request, course_id: UUID) -> Response:
        """All holes: as they were written, or with `tee` as they are from there, in that tee's unit."""
        course = access.course_for(self.account, course_id)
        tee = self.tee_named(course, self.parameters(HolesQuery).get("tee"))
        if tee is None:
            holes = [{**self.stored_body(course, number), "is_moved": False} for number in self._numbers(course)]
        else:
            holes = [
                hole_values(told.hole) | _about(told.row) | {"length_unit": told.length_unit, "is_moved": told.is_moved}
                for told in reports.holes_told(tee)
            ]
        return Response({"tee": None if tee is None else str(tee.pk), "holes": holes})

    def _numbers(self, course: Course) -> range:
        return range(1, course.n_holes + 1)


class HoleDetail(DescriptionEndpoint):
    @extend_schema(responses=HoleDescriptionOut)
    def get(self, request: Request, course_id: UUID, number: int) -> Response:
        course = access.course_for(self.account, course_id)
        body = self.stored_body(course, self.course_hole(course, number))
        return tagged(Response(body), body["version"])

    @extend_schema(request=HoleDescriptionIn, responses=HoleDescriptionOut)
    def put(self, request: Request, course_id: UUID, number: int) -> Response:
        """The next version. `If-Match` names the version that was read, "0" where there is none yet."""
        course = access.course_to_change(self.account, course_id)
        stored = self.stored_body(course, self.course_hole(course, number))
        self.require_match(request, stored["version"], stored)
        sent = self.read(HoleDescriptionIn)
        to = services.Description(
            hole=described_of(number, sent),
            length_unit=sent["length_unit"],
            measured_from=self.tee_named(course, sent.get("measured_from")),
        )
        try:
            made = services.describe_hole(
                actor=access.own_player(self.account),
                course=course,
                to=to,
                reason=sent.get("reason", ""),
                if_version=stored["version"],
            )
        except Stale:
            members = {"yours": self.payload(), "stored": self.stored_body(course, number)}
            raise Problem("stale", members=members) from None
        return tagged(Response(description_body(made)), made.version)


class HoleVersions(DescriptionEndpoint):
    @extend_schema(responses=VersionsOut)
    def get(self, request: Request, course_id: UUID, number: int) -> Response:
        course = access.course_for(self.account, course_id)
        rows = reports.versions(course, self.course_hole(course, number))
        return Response({"versions": [description_body(row) for row in rows]})


class HoleRestore(DescriptionEndpoint):
    @extend_schema(request=None, responses=HoleDescriptionOut)
    def post(self, request: Request, course_id: UUID, number: int, version: int) -> Response:
        """An older version once more, as the next one; what stands already stores nothing. Send If-Match."""
        course = access.course_to_change(self.account, course_id)
        self.course_hole(course, number)

        def act() -> Answer:
            stored = self.stored_body(course, number)
            self.require_match(request, stored["version"], stored)
            me = access.own_player(self.account)
            try:
                row = services.restore_hole(
                    actor=me, course=course, number=number, version=version, if_version=stored["version"]
                )
            except RuleBroken:
                raise Http404 from None
            except Stale:
                raise Problem("stale", members={"yours": None, "stored": self.stored_body(course, number)}) from None
            return Answer(description_body(row), 200, {"ETag": f'"{row.version}"'})

        return self.once(request, act)


class HolesTable(DescriptionEndpoint):
    @extend_schema(request=DescriptionsTableIn, responses=DescriptionsReadOut)
    def post(self, request: Request, course_id: UUID) -> Response:
        """Reads a pasted table; with `apply` stores all its holes, or none while there is a problem."""
        course = access.course_to_change(self.account, course_id)
        sent = self.read(DescriptionsTableIn)
        tee = self.tee_named(course, sent.get("measured_from"))
        reading = descriptions_table.read(sent["table"])
        to = [
            services.Description(hole=hole, length_unit=sent["length_unit"], measured_from=tee)
            for hole in reading.holes
        ]

        def act() -> Answer:
            stored = []
            if to and sent.get("apply", False):
                me = access.own_player(self.account)
                stored = services.describe_holes(actor=me, course=course, to=to, reason=sent.get("reason", ""))
            return Answer(_read_body(reading, sent["length_unit"], tee, stored), 200)

        return self.once(request, act)


def _read_body(
    reading: descriptions_table.DescriptionsReading, unit: str, tee: Tee | None, stored: list[int]
) -> dict[str, Any]:
    about = {**_about(None), "length_unit": unit, "measured_from": None if tee is None else str(tee.pk)}
    return {
        "holes": [hole_values(hole) | about for hole in reading.holes],
        "problems": [dict(problem._asdict()) for problem in reading.problems],
        "stored": stored,
    }


def described_of(number: int, sent: Mapping[str, Any]) -> Described:
    plain = {
        name: value
        for name, value in sent.items()
        if name not in ("length_unit", "measured_from", "reason") and value is not None
    }
    return described.from_plain({"number": number, **plain})


urlpatterns: list[URLPattern | URLResolver] = [
    path("courses/<uuid:course_id>/holes/", Holes.as_view(), name="api-holes"),
    path("courses/<uuid:course_id>/holes/table/", HolesTable.as_view(), name="api-holes-table"),
    path("courses/<uuid:course_id>/holes/<int:number>/", HoleDetail.as_view(), name="api-hole"),
    path("courses/<uuid:course_id>/holes/<int:number>/versions/", HoleVersions.as_view(), name="api-hole-versions"),
    path(
        "courses/<uuid:course_id>/holes/<int:number>/versions/<int:version>/restore/",
        HoleRestore.as_view(),
        name="api-hole-restore",
    ),
]
