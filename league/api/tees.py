"""Tees over the API. The shape of a tee is the one of a course file (`league.exchange.courses_json`)."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path, reverse
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem
from league.api.fields import NEEDED, Choice, Day, Flag, Id, Many, Strict, Tenths, Text, Whole
from league.exchange import courses_csv
from league.exchange.courses_csv import TABLE_CHARACTERS
from league.exchange.problems import Note
from league.exchange.problems import Problem as FileProblem
from league.models import LengthUnit, RatedFor, Tee
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

    default_error_messages = NEEDED

    def to_internal_value(self, data: Any) -> bool | list[str]:
        if isinstance(data, bool):
            return services.ALL_CONFIRMED if data else []
        if isinstance(data, list) and len(data) <= N_CODES and all(isinstance(code, str) for code in data):
            return data
        raise serializers.ValidationError("Send true, or a list of the codes to confirm.", code="choice")


@extend_schema_field({"type": "number", "minimum": -9.9, "maximum": 54.0})
class IndexText(serializers.Field[Any, Any, Any, Any]):
    """A handicap index in an address: 18.4, a plus index with its minus sign."""

    default_error_messages = NEEDED

    def to_internal_value(self, data: Any) -> Decimal:
        if not INDEX.fullmatch(data):
            raise serializers.ValidationError("Enter an index with at most one decimal, like 18.4.", code="tenths")
        index = Decimal(data)
        if not LOWEST_INDEX <= index <= CEILING:
            raise serializers.ValidationError(f"Enter {LOWEST_INDEX} to {CEILING} at most.", code="range")
        return index.quantize(Decimal("0.1"))


class HoleIn(Strict):
    number = Whole(1, 18, required=False)
    par = Whole(3, 6)
    stroke_index = Whole(1, 18)
    length = Whole(1, LONGEST_HOLE, required=False, allow_null=True)


class Holes(Many):
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


def tee_location(tee: Tee) -> dict[str, str]:
    return {"Location": reverse("api-tee", args=[tee.pk]), "ETag": f'"{tee.version}"'}


def stored_tee(tee: Tee) -> dict[str, Any]:
    return tee_body(Tee.objects.prefetch_related("holes").get(pk=tee.pk))


class TeeDetail(Endpoint):
    @extend_schema(responses=TeeOut)
    def get(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_for(self.account, tee_id)
        return tagged(Response(tee_body(tee)), tee.version)

    @extend_schema(request=TeeChangeIn, responses=TeeOut)
    def patch(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_to_change(self.account, tee_id)
        self.require_match(request, tee.version, lambda: tee_body(tee))
        sent = self.read(TeeChangeIn, partial=False)
        with told_to_sender(self.payload, stored_tee):
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
        with told_to_sender(lambda: None, stored_tee):
            services.delete_tee(actor=access.own_player(self.account), tee=tee, if_version=tee.version)
        return Response(status=204)


class TeeVersions(Endpoint):
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
            return Answer(tee_body(made), headers=tee_location(made))

        with told_to_sender(self.payload, stored_tee):
            return self.once(request, act)


class TeeCourseHandicap(Endpoint):
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


class HolesReading(Endpoint):
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
    path("courses/read-holes/", HolesReading.as_view(), name="api-read-holes"),
    path("tees/<uuid:tee_id>/", TeeDetail.as_view(), name="api-tee"),
    path("tees/<uuid:tee_id>/versions/", TeeVersions.as_view(), name="api-tee-versions"),
    path("tees/<uuid:tee_id>/course-handicap/", TeeCourseHandicap.as_view(), name="api-tee-course-handicap"),
]
