"""Past rounds from a CSV file: check, look, apply, undo; and the rounds of a player as such a file."""

import hashlib
from collections.abc import Callable
from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse
from drf_spectacular.utils import OpenApiTypes, extend_schema
from rest_framework import serializers
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields, paging
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem
from league.exchange import rounds_csv
from league.exchange.problems import TOO_BIG, WRONG_KIND, Limits
from league.models import Group, Player, RoundImport
from league.reports.rounds import rounds_table
from league.services import imports
from league.services.imports import Checked

MOST_BYTES = Limits().bytes or 0


class FileParser(BaseParser):
    """The file as it came: what it is shows when it is read."""

    media_type = "text/csv"

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        data = bytes(stream.read(MOST_BYTES + 1))
        announced = int(stream.META.get("CONTENT_LENGTH") or 0)
        if len(data) < min(announced, MOST_BYTES + 1):
            raise Problem("unreadable", "The file did not arrive whole. Send it again. Nothing was stored.")
        return data


class ImportRowOut(serializers.Serializer[Any]):
    row = fields.Whole(1, 999999)
    player = fields.Id()
    tee = fields.Id()
    played_on = fields.Day()
    holes_in_play = fields.Text(5)
    gross = fields.Whole(1, 450, allow_null=True)
    stored_already = fields.Flag()


class ImportNoteOut(serializers.Serializer[Any]):
    row = fields.Whole(0, 999999)
    column = fields.Text(40)
    code = fields.Text(40)
    message = fields.Text(300)


class ImportOut(serializers.Serializer[Any]):
    id = fields.Id()
    state = fields.Choice(["ready", "applied", "undone", "declined"])
    group = fields.Id(allow_null=True)
    waits_for = fields.Id(allow_null=True, help_text="The player whose own yes these rows wait for.")
    n_rows = fields.Whole(0, 999999)
    n_new = fields.Whole(0, 999999)
    rows = ImportRowOut(many=True)
    notes = ImportNoteOut(many=True)
    ref = fields.Text(64)
    created_at = serializers.DateTimeField()
    applied_at = serializers.DateTimeField(allow_null=True)
    version = fields.Whole(1, 99999)


class ImportsQuery(fields.Strict):
    group = fields.Id(required=False, help_text="Organisers: rounds of this group's members, by name.")
    player = fields.Id(required=False, help_text="A player without an account whose cards you keep.")
    day_first = fields.Choice(["yes", "no"], required=False, help_text="Answers the question of that name.")
    keep_twice = fields.Choice(["yes", "no"], required=False, help_text="Answers the question `row_twice`.")
    ref = fields.Text(64, required=False)


def import_out(found: RoundImport) -> dict[str, Any]:
    return {
        "id": str(found.pk),
        "state": found.state,
        "group": str(found.group_id) if found.group_id else None,
        "waits_for": str(found.player_id) if found.player_id else None,
        "n_rows": len(found.rows),
        "n_new": sum(not row["is_stored"] for row in found.rows),
        "rows": [
            {
                "row": row["row"],
                "player": row["player"],
                "tee": row["tee"],
                "played_on": row["played_on"],
                "holes_in_play": row["holes_in_play"],
                "gross": row["gross"],
                "stored_already": row["is_stored"],
            }
            for row in found.rows
        ],
        "notes": found.notes,
        "ref": found.ref,
        "created_at": found.created_at.isoformat(),
        "applied_at": found.applied_at.isoformat() if found.applied_at else None,
        "version": found.version,
    }


def refused(checked: Checked) -> Problem:
    """400 with every problem by line and column; 413 and 415 where the file as a whole is too big or no table."""
    codes = {problem.code for problem in checked.problems}
    code = "wrong_media_type" if codes & WRONG_KIND else "too_big" if codes & TOO_BIG else "file_refused"
    errors = [FieldError(problem.column, problem.code, problem.message) for problem in checked.problems]
    rows = [problem._asdict() for problem in checked.problems]
    questions = [question._asdict() for question in checked.questions]
    count = len(rows) or len(questions)  # what is asked stands among the problems too
    detail = f"{'One thing needs' if count == 1 else f'{count} things need'} a look. Nothing was stored."
    return Problem(code, detail, errors, members={"problems": rows, "questions": questions})


class Imports(Endpoint):
    """Send the file itself as text/csv. The answer is what it would do; nothing is stored before it is applied."""

    query = paging.QUERY
    post_query = frozenset(ImportsQuery().fields)

    def get_parsers(self) -> list[BaseParser]:
        return [FileParser()]

    @extend_schema(responses={200: paging.page_of(ImportOut)})
    def get(self, request: Request) -> Response:
        rows = access.imports_of(self.account)
        return Response(paging.page(self, rows, import_out, order=("-created_at", "-id")))

    @extend_schema(
        parameters=[ImportsQuery],
        request={"text/csv": OpenApiTypes.BINARY},
        responses={201: serializers.ListSerializer(child=ImportOut())},
    )
    def post(self, request: Request) -> Response:
        asked = self.parameters(ImportsQuery)
        group, players, default = self._whose(asked)
        data = self.payload()
        me = access.own_player(self.account)

        def act() -> Answer:
            reading = rounds_csv.read(
                data, day_first=_answer(asked, "day_first"), keep_twice=_answer(asked, "keep_twice")
            )
            courses = access.visible_courses(self.account).select_related("group").prefetch_related("tees__holes")
            checked = imports.check_rounds(reading=reading, players=players, default=default, courses=courses)
            if not checked.is_ready:
                raise refused(checked)
            made = imports.prepare_import(made_by=me, group=group, checked=checked, ref=asked.get("ref", ""))
            return Answer([import_out(one) for one in made], headers=_location(made))

        sent = [hashlib.sha256(data).hexdigest(), sorted(self.request.query_params.items())]
        return self.once(request, act, body=sent)

    def _whose(self, asked: dict[str, Any]) -> tuple[Group | None, list[Player], Player | None]:
        """The group, the players whom a name may mean, and whose a row without a name is."""
        if "group" in asked:
            joined = access.group_to_run(self.account, asked["group"])
            return joined.group, list(access.players_in(joined.group)), None
        player = access.player_to_keep(self.account, asked.get("player") or access.own_player(self.account).pk)
        return None, [player], player


def _location(made: list[RoundImport]) -> dict[str, str]:
    """Several, one for each member, are told in the body alone."""
    return {"Location": reverse("api-import", args=[made[0].pk])} if len(made) == 1 else {}


def _answer(asked: dict[str, Any], name: str) -> bool | None:
    return {"yes": True, "no": False}.get(asked.get(name, ""))


class ImportDetail(Endpoint):
    @extend_schema(responses={200: ImportOut})
    def get(self, request: Request, import_id: UUID) -> Response:
        found = access.import_for(self.account, import_id)
        return tagged(Response(import_out(found)), found.version)


class ImportStep(Endpoint):
    """One step on: the same step again changes nothing."""

    step: ClassVar[Callable[..., RoundImport]]
    door = staticmethod(access.import_to_change)

    @extend_schema(request=None, responses={200: ImportOut})
    def post(self, request: Request, import_id: UUID) -> Response:
        found = type(self).door(self.account, import_id)
        me = access.own_player(self.account)

        def act() -> Answer:
            fresh = type(self).step(found, me)
            return Answer(import_out(fresh), 200, headers={"ETag": f'"{fresh.version}"'})

        return self.once(request, act)


class ImportApply(ImportStep):
    @staticmethod
    def step(found: RoundImport, me: Player) -> RoundImport:
        return imports.apply_import(imported=found, applied_by=me)


class ImportUndo(ImportStep):
    @staticmethod
    def step(found: RoundImport, me: Player) -> RoundImport:
        return imports.undo_import(imported=found, undone_by=me)


class ImportDecline(ImportStep):
    door = staticmethod(access.import_for)

    @staticmethod
    def step(found: RoundImport, me: Player) -> RoundImport:
        return imports.decline_import(imported=found, declined_by=me)


class RoundsFile(Endpoint):
    """A player's rounds as CSV in the template that imports read; reading it in again adds nothing."""

    @extend_schema(responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, request: Request, player_id: UUID) -> HttpResponse:
        player = access.player_to_keep(self.account, player_id)
        table = rounds_table(player, access.own_player(self.account))
        answer = HttpResponse(table, content_type="text/csv; charset=utf-8")
        answer["Content-Disposition"] = 'attachment; filename="rounds.csv"'
        return answer


class RoundsTemplate(Endpoint):
    """An empty file with the headings and two examples."""

    @extend_schema(responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, request: Request) -> HttpResponse:
        answer = HttpResponse(rounds_csv.TEMPLATE, content_type="text/csv; charset=utf-8")
        answer["Content-Disposition"] = 'attachment; filename="rounds-template.csv"'
        return answer


urlpatterns: list[URLPattern | URLResolver] = [
    path("imports/", Imports.as_view(), name="api-imports"),
    path("imports/template/", RoundsTemplate.as_view(), name="api-imports-template"),
    path("imports/<uuid:import_id>/", ImportDetail.as_view(), name="api-import"),
    path("imports/<uuid:import_id>/apply/", ImportApply.as_view(), name="api-import-apply"),
    path("imports/<uuid:import_id>/undo/", ImportUndo.as_view(), name="api-import-undo"),
    path("imports/<uuid:import_id>/decline/", ImportDecline.as_view(), name="api-import-decline"),
    path("players/<uuid:player_id>/rounds/file/", RoundsFile.as_view(), name="api-rounds-file"),
]
