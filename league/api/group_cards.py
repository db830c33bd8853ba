"""Cards that are being kept for a group, for its organisers: who keeps what and how far it is, without the strokes."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields, paging
from league.api.base import Endpoint
from league.models import CardState, HolesInPlay, LineState
from league.reports.cards import CardTold, LineTold, card_told, cards_of_group, with_lines


class KeptLineOut(serializers.Serializer[Any]):
    player = fields.Id()
    name = fields.Text(80)
    state = fields.Choice(LineState)
    holes_written = fields.Whole(0, 18)
    contested = serializers.ListField(child=fields.Whole(1, 18), help_text="Holes with two values.")


class KeptCardOut(serializers.Serializer[Any]):
    id = fields.Id()
    opened_by = fields.Id(allow_null=True)
    opened_by_name = fields.Text(80, allow_null=True)
    opened_at = serializers.DateTimeField()
    course = fields.Text(80)
    tee = fields.Id()
    played_on = fields.Day()
    holes_in_play = fields.Choice(HolesInPlay)
    state = fields.Choice(CardState)
    lines = KeptLineOut(many=True)


def _line_out(line: LineTold) -> dict[str, Any]:
    return {
        "player": str(line.row.player_id),
        "name": line.name,
        "state": line.row.state,
        "holes_written": line.n_written,
        "contested": line.contested,
    }


def kept_card_out(told: CardTold) -> dict[str, Any]:
    card = told.card
    return {
        "id": str(card.pk),
        "opened_by": str(card.opened_by_id) if card.opened_by_id else None,
        "opened_by_name": card.opened_by.name if card.opened_by else None,
        "opened_at": card.opened_at.isoformat(),
        "course": card.tee.course.name,
        "tee": str(card.tee_id),
        "played_on": card.played_on.isoformat(),
        "holes_in_play": card.holes_in_play,
        "state": card.state,
        "lines": [_line_out(line) for line in told.lines],
    }


class GroupCards(Endpoint):
    query = paging.QUERY

    @extend_schema(responses={200: paging.page_of(KeptCardOut)})
    def get(self, request: Request, group_id: UUID) -> Response:
        """Cards of the group that are open, or on which a line waits for a yes; for organisers, without the strokes."""
        group = access.group_to_run(self.account, group_id).group
        me = access.own_player(self.account)
        rows = with_lines(cards_of_group(group))
        return Response(
            paging.page(self, rows, lambda card: kept_card_out(card_told(card, me)), order=("-played_on", "id"))
        )


urlpatterns: list[URLPattern | URLResolver] = [
    path("groups/<uuid:group_id>/cards/", GroupCards.as_view(), name="api-group-cards")
]
