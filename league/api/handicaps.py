"""The ledger over the API: its lines, one revision explained, the whole as a file, and what the next round would do."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import OpenApiTypes, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields, paging
from league.api.base import Endpoint
from league.api.errors import FieldError, Problem
from league.models import HolesInPlay
from league.reports import handicaps
from league.reports.handicaps import LedgerLine
from league.rules.errors import RuleBroken
from league.rules.rounding import as_decimal


class LedgerLineOut(serializers.Serializer[Any]):
    number = fields.Whole(1, 999999)
    official = fields.Flag(help_text="Always false: no authorised body issued this.")
    kind = fields.Text(9)
    issued_on = fields.Day()
    played_on = fields.Day(allow_null=True)
    round = fields.Id(allow_null=True)
    course = fields.Text(80)
    tee = fields.Text(40)
    gross = fields.Whole(1, 450, allow_null=True)
    adjusted_gross = fields.Whole(1, 450, allow_null=True)
    differential = fields.Tenths(allow_null=True)
    index = fields.Tenths(allow_null=True)
    low_index = fields.Tenths(allow_null=True)
    step = fields.Tenths(allow_null=True)
    made_of = fields.Text(80)


class RevisionOut(LedgerLineOut):
    edition = fields.Text(60)
    in_short = fields.Text(300)
    sentences = serializers.ListField(child=serializers.CharField())
    rules = serializers.ListField(child=serializers.CharField())
    explanation = serializers.JSONField(
        help_text="The revision as data: window, reductions, caps, the card's own sums."
    )


class NextLineOut(serializers.Serializer[Any]):
    gross = fields.Whole(1, 450)
    differential = fields.Tenths()
    index = fields.Tenths()
    step = fields.Tenths()


class NextTimeOut(serializers.Serializer[Any]):
    official = fields.Flag()
    results = NextLineOut(many=True)


def _tenths(value: int | None) -> Any:
    return None if value is None else as_decimal(value)


def line_out(line: LedgerLine) -> dict[str, Any]:
    return {
        "number": line.number,
        "official": False,
        "kind": line.kind,
        "issued_on": line.issued_on.isoformat(),
        "played_on": line.played_on.isoformat() if line.played_on else None,
        "round": str(line.round_id) if line.round_id else None,
        "course": line.course,
        "tee": line.tee,
        "gross": line.gross,
        "adjusted_gross": line.adjusted_gross,
        "differential": _tenths(line.differential_tenths),
        "index": _tenths(line.index_tenths),
        "low_index": _tenths(line.low_tenths),
        "step": _tenths(line.step_tenths),
        "made_of": line.made_of,
    }


class Ledger(Endpoint):
    """A player's revisions, newest first."""

    query = paging.QUERY

    @extend_schema(responses={200: paging.page_of(LedgerLineOut)})
    def get(self, request: Request, player_id: UUID) -> Response:
        seen = access.ledger_for(self.account, player_id)
        listed = paging.page(self, handicaps.revisions_of(seen.row), lambda revision: revision, order=("-number",))
        listed["results"] = [line_out(line) for line in handicaps.ledger_lines(listed["results"])]
        return Response(listed)


class LedgerRevision(Endpoint):
    """One revision with the reason for every tenth. Hole scores stay with those who keep the card."""

    @extend_schema(responses={200: RevisionOut})
    def get(self, request: Request, player_id: UUID, number: int) -> Response:
        seen, revision = access.revision_for(self.account, player_id, number)
        page = handicaps.revision_page(revision, in_full=seen.relation.sees_cards)
        return Response(
            {
                **line_out(page.line),
                "edition": page.edition,
                "in_short": page.in_short,
                "sentences": page.sentences,
                "rules": page.rules,
                "explanation": page.detail,
            }
        )


class LedgerFile(Endpoint):
    """The whole ledger as one file, from which every number can be computed again without this service."""

    @extend_schema(responses={(200, "application/json"): OpenApiTypes.OBJECT})
    def get(self, request: Request, player_id: UUID) -> HttpResponse:
        player = access.player_to_keep(self.account, player_id)
        answer = HttpResponse(handicaps.ledger_text(player), content_type="application/json")
        answer["Content-Disposition"] = 'attachment; filename="ledger.json"'
        return answer


class NextTimeQuery(fields.Strict):
    tee = fields.Id()
    holes_in_play = fields.Choice(HolesInPlay, required=False)


class NextTime(Endpoint):
    """What each adjusted gross score next time would make of the index."""

    query = frozenset(NextTimeQuery().fields)

    @extend_schema(parameters=[NextTimeQuery], responses={200: NextTimeOut})
    def get(self, request: Request, player_id: UUID) -> Response:
        player = access.player_to_keep(self.account, player_id)
        asked = self.parameters(NextTimeQuery)
        tee = access.tee_for(self.account, asked["tee"])
        try:
            lines = handicaps.next_time(player, tee, asked.get("holes_in_play") or tee.usual_holes_in_play)
        except RuleBroken as broken:
            error = FieldError("holes_in_play", broken.code, broken.message)
            raise Problem("invalid_parameter", errors=[error]) from None
        shown = [
            {
                "gross": line.gross,
                "differential": as_decimal(line.differential_tenths),
                "index": as_decimal(line.index_tenths),
                "step": as_decimal(line.step_tenths),
            }
            for line in lines
        ]
        return Response({"official": False, "results": shown})


urlpatterns: list[URLPattern | URLResolver] = [
    path("players/<uuid:player_id>/ledger/", Ledger.as_view(), name="api-ledger"),
    path("players/<uuid:player_id>/ledger/file/", LedgerFile.as_view(), name="api-ledger-file"),
    path("players/<uuid:player_id>/ledger/<int:number>/", LedgerRevision.as_view(), name="api-revision"),
    path("players/<uuid:player_id>/next-time/", NextTime.as_view(), name="api-next-time"),
]
