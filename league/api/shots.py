"""Lists of measured shots over the API: read, looked at, stored together, taken back together."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint
from league.api.fields import Choice, Day, Flag, Id, Strict, Text
from league.exchange import shots_csv
from league.models import LengthUnit
from league.reports.carries import unit_of
from league.reports.shots import ShotList, shot_lists
from league.services import shots as services
from league.services.shots import CheckedShots

TABLE_CHARACTERS = 120_000


class ShotsTableIn(Strict):
    table = Text(TABLE_CHARACTERS, lines=True, help_text="Headings first: club, carry, off line, date, unit.")
    length_unit = Choice(LengthUnit, required=False, help_text="Of lines that name none; else the book's own.")
    day_first = Flag(required=False, help_text="Answers the question of that name.")
    apply = Flag(required=False, help_text="Stores all of it, or nothing while there is a problem.")


class ShotReadOut(serializers.Serializer[Any]):
    row = serializers.IntegerField()
    club = serializers.CharField()
    carry = serializers.IntegerField()
    off_line = serializers.IntegerField(allow_null=True)
    hit_on = Day(allow_null=True)


class ShotProblemOut(serializers.Serializer[Any]):
    row = serializers.IntegerField(help_text="Line of the table; 0 for the table as a whole.")
    column = serializers.CharField()
    code = serializers.CharField()
    message = serializers.CharField()


class ShotQuestionOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    message = serializers.CharField()
    choices = serializers.ListField(child=serializers.CharField())
    rows = serializers.ListField(child=serializers.IntegerField())


class ShotsReadOut(serializers.Serializer[Any]):
    length_unit = Choice(LengthUnit, help_text="The book's unit, in which the shots are told.")
    shots = ShotReadOut(many=True)
    new_clubs = serializers.ListField(child=serializers.CharField())
    problems = ShotProblemOut(many=True)
    questions = ShotQuestionOut(many=True)
    n_alike = serializers.IntegerField(help_text="Dated shots that equal one that is stored already.")
    list = Id(allow_null=True, help_text="By which it is taken back; null while it is not stored.")
    stored = Flag(help_text="Whether this list stands in the book now.")


class ShotListOut(serializers.Serializer[Any]):
    id = Id()
    n_shots = serializers.IntegerField()
    n_clubs = serializers.IntegerField()
    first_on = Day(allow_null=True)
    last_on = Day(allow_null=True)


class ShotListsOut(serializers.Serializer[Any]):
    lists = ShotListOut(many=True)


def list_body(one: ShotList) -> dict[str, Any]:
    days = {name: None if day is None else day.isoformat() for name, day in _days(one)}
    return {"id": str(one.batch), "n_shots": one.n_shots, "n_clubs": one.n_clubs, **days}


def _days(one: ShotList) -> list[tuple[str, Any]]:
    return [("first_on", one.first_on), ("last_on", one.last_on)]


def read_body(checked: CheckedShots, unit: str) -> dict[str, Any]:
    return {
        "length_unit": unit,
        "shots": [
            {
                "row": row.row,
                "club": row.club,
                "carry": row.carry,
                "off_line": row.off_line,
                "hit_on": None if row.hit_on is None else row.hit_on.isoformat(),
            }
            for row in checked.rows
        ],
        "new_clubs": [club.name for club in checked.new_clubs],
        "problems": [problem._asdict() for problem in checked.problems],
        "questions": [
            {**question._asdict(), "choices": list(question.choices), "rows": list(question.rows)}
            for question in checked.questions
        ],
        "n_alike": checked.n_alike,
        "list": str(checked.batch) if checked.is_stored else None,
        "stored": checked.is_stored,
    }


class ShotsTable(Endpoint):
    @extend_schema(request=ShotsTableIn, responses=ShotsReadOut)
    def post(self, request: Request) -> Response:
        """Reads a pasted list of shots; with `apply` stores it, and enters the clubs that the book lacks."""
        me = access.own_player(self.account)
        sent = self.read(ShotsTableIn)

        def act() -> Answer:
            unit = unit_of(me)
            reading = shots_csv.read(
                sent["table"].encode(), wanted=unit, unit=sent.get("length_unit", ""), day_first=sent.get("day_first")
            )
            checked = services.check_shots(player=me, reading=reading)
            if sent.get("apply", False) and checked.is_ready:
                services.import_shots(player=me, reading=reading)
                checked.is_stored = True
            return Answer(read_body(checked, unit), 200)

        return self.once(request, act)


class ShotLists(Endpoint):
    @extend_schema(responses=ShotListsOut)
    def get(self, request: Request) -> Response:
        return Response({"lists": [list_body(one) for one in shot_lists(access.own_player(self.account))]})


class ShotListDetail(Endpoint):
    @extend_schema(responses=ShotListOut)
    def get(self, request: Request, list_id: UUID) -> Response:
        player, batch = access.own_shot_list(self.account, list_id)
        return Response(next(list_body(one) for one in shot_lists(player) if one.batch == batch))

    @extend_schema(responses={204: None})
    def delete(self, request: Request, list_id: UUID) -> Response:
        """Takes back all its shots. Clubs stay."""
        player, batch = access.own_shot_list(self.account, list_id)
        services.undo_shots(player=player, batch=batch)
        return Response(status=204)


urlpatterns: list[URLPattern | URLResolver] = [
    path("carry-book/shots/", ShotsTable.as_view(), name="api-shots-table"),
    path("carry-book/shot-lists/", ShotLists.as_view(), name="api-shot-lists"),
    path("carry-book/shot-lists/<uuid:list_id>/", ShotListDetail.as_view(), name="api-shot-list"),
]
