"""Cards while they are played: opened by phones that may be offline, read, dropped."""

from typing import Any
from uuid import UUID

from django.http import Http404
from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields, paging
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem, invalid
from league.api.rounds import NoteOut
from league.models import Card, CardState, Group, HolesInPlay, LineState, Player, Tee
from league.reports.cards import (
    CardTold,
    LineTold,
    MarkTold,
    card_told,
    open_cards,
    with_lines,
)
from league.services import cards
from league.services.cards import CardFacts, Opening


class Players(fields.Many):
    child = fields.Id()

    def to_internal_value(self, data: Any) -> list[Any]:
        if isinstance(data, list) and not 1 <= len(data) <= cards.MOST_PLAYERS:
            raise serializers.ValidationError(f"Send 1 to {cards.MOST_PLAYERS} players.", code="list_length")
        return super().to_internal_value(data)


class CardIn(fields.Strict):
    client_id = fields.Id(
        help_text="Made on the phone when the card is opened there. Sent again, it is one card.",
        error_messages=fields.MADE_BY_SENDER,
    )
    tee = fields.Id()
    tee_version = fields.Whole(1, 99999, required=False, help_text="The tee's version that the phone knew.")
    holes_in_play = fields.Choice(HolesInPlay)
    played_on = fields.Day()
    order_in_day = fields.Whole(1, 9, required=False)
    group = fields.Id(required=False, allow_null=True, help_text="Of which everybody on the card is a member or guest.")
    players = Players(help_text="Yourself, mates with an account, guests whose cards you keep; in the order of lines.")


class CardChangeIn(fields.Strict):
    """What is left out stays as it is."""

    tee = fields.Id(required=False, help_text="Another tee with the same holes.")
    played_on = fields.Day(required=False)
    order_in_day = fields.Whole(1, 9, required=False)
    group = fields.Id(required=False, allow_null=True)
    players = Players(required=False, help_text="Everybody on it. Who has something written on their line stays.")


class ValueOut(serializers.Serializer[Any]):
    """Only what is known stands here. Of another player's line: strokes and picked up."""

    strokes = fields.Whole(1, 99, required=False)
    picked_up = fields.Flag(required=False)
    putts = fields.Whole(0, 99, required=False)
    penalties = fields.Whole(0, 99, required=False)
    first_putt_beyond_20ft = fields.Flag(required=False)
    strokes_from_60 = fields.Whole(0, 99, required=False)
    recovery = fields.Flag(required=False)


class ContestedOut(serializers.Serializer[Any]):
    mark = fields.Id()
    value = ValueOut(allow_null=True)
    written_by = fields.Text(80)
    claimed_at = serializers.DateTimeField(allow_null=True)
    written_at = serializers.DateTimeField()


class CardHoleOut(serializers.Serializer[Any]):
    number = fields.Whole(1, 18)
    value = ValueOut(allow_null=True)
    mark = fields.Id(allow_null=True, help_text="The mark that stands: what a new one is written `over`.")
    contested = ContestedOut(many=True, help_text="Two or more that say different things; a person chooses.")


class CardLineOut(serializers.Serializer[Any]):
    id = fields.Id()
    player = fields.Id()
    name = fields.Text(80)
    place = fields.Whole(1, 4)
    state = fields.Choice(LineState)
    round = fields.Id(allow_null=True)
    holes = CardHoleOut(many=True)


class CardOut(serializers.Serializer[Any]):
    id = fields.Id()
    client_id = fields.Id()
    version = fields.Whole(1, 99999)
    opened_by = fields.Id(allow_null=True)
    group = fields.Id(allow_null=True)
    tee = fields.Id()
    tee_version = fields.Whole(1, 99999)
    played_on = fields.Day()
    order_in_day = fields.Whole(1, 9)
    holes_in_play = fields.Choice(HolesInPlay)
    state = fields.Choice(CardState)
    lines = CardLineOut(many=True)
    notes = NoteOut(many=True)


def _mark_out(mark: MarkTold) -> dict[str, Any]:
    return {
        "mark": str(mark.mark),
        "value": mark.value,
        "written_by": mark.written_by,
        "claimed_at": mark.claimed_at.isoformat() if mark.claimed_at else None,
        "written_at": mark.written_at.isoformat(),
    }


def _line_out(line: LineTold) -> dict[str, Any]:
    return {
        "id": str(line.row.pk),
        "player": str(line.row.player_id),
        "name": line.name,
        "place": line.row.place,
        "state": line.row.state,
        "round": str(line.row.round_id) if line.row.round_id else None,
        "holes": [
            {
                "number": hole.number,
                "value": hole.value,
                "mark": str(hole.standing.mark) if hole.standing else None,
                "contested": [_mark_out(mark) for mark in hole.contested],
            }
            for hole in line.holes
        ],
    }


def card_out(told: CardTold) -> dict[str, Any]:
    card = told.card
    return {
        "id": str(card.pk),
        "client_id": str(card.client_id),
        "version": card.version,
        "opened_by": str(card.opened_by_id) if card.opened_by_id else None,
        "group": str(card.group_id) if card.group_id else None,
        "tee": str(card.tee_id),
        "tee_version": card.tee_version,
        "played_on": card.played_on.isoformat(),
        "order_in_day": card.order_in_day,
        "holes_in_play": card.holes_in_play,
        "state": card.state,
        "lines": [_line_out(line) for line in told.lines],
        "notes": [{"code": code, "message": words} for code, words in told.notes],
    }


def unknown(field: str) -> Problem:
    return invalid([FieldError(field, "id", "Send the id of something you can see.")])


class CardEndpoint(Endpoint):
    def shown(self, card: Card) -> dict[str, Any]:
        fresh = with_lines(Card.objects.all()).get(pk=card.pk)
        return card_out(card_told(fresh, access.own_player(self.account)))

    def answered(self, card: Card, status: int = 200, **headers: str) -> Answer:
        body = self.shown(card)
        return Answer(body, status, headers={"ETag": f'"{body["version"]}"', **headers})

    def tee_in_body(self, tee_id: UUID | None) -> Tee | None:
        if tee_id is None:
            return None
        try:
            return access.tee_for(self.account, tee_id)
        except Http404:
            raise unknown("tee") from None

    def group_in_body(self, group_id: UUID | None) -> Group | None:
        if group_id is None:
            return None
        try:
            return access.group_for(self.account, group_id).group
        except Http404:
            raise unknown("group") from None

    def players_in_body(self, ids: list[UUID], known: dict[UUID, Player] | None = None) -> tuple[Player, ...]:
        found = {one.pk: one for one in access.people_to_write_for(self.account).filter(pk__in=ids)} | (known or {})
        errors = [
            FieldError(f"players.{place}", "id", "Send the id of somebody you may write for.")
            for place, player_id in enumerate(ids)
            if player_id not in found
        ]
        if errors:
            raise invalid(errors)
        return tuple(found[player_id] for player_id in ids)


class Cards(CardEndpoint):
    """Open cards that you may write on: those you opened, and those you stand on."""

    query = paging.QUERY

    @extend_schema(responses={200: paging.page_of(CardOut)})
    def get(self, request: Request) -> Response:
        me = access.own_player(self.account)
        rows = with_lines(open_cards(access.visible_cards(self.account)))
        return Response(paging.page(self, rows, lambda card: card_out(card_told(card, me)), order=("-played_on", "id")))

    @extend_schema(request=CardIn, responses={201: CardOut})
    def post(self, request: Request) -> Response:
        """Open a card. The same `client_id` from you again is the same card, answered as it stands now."""
        me = access.own_player(self.account)
        opening = self._opening(self.read(CardIn))

        def act() -> Answer:
            made = cards.open_card(opener=me, opening=opening)
            return self.answered(made, 201, Location=f"{request.path}{made.pk}/")

        return self.once(request, act)

    def _opening(self, sent: dict[str, Any]) -> Opening:
        tee = self.tee_in_body(sent["tee"])
        assert tee is not None
        return Opening(
            client_id=sent["client_id"],
            tee=tee,
            tee_version=sent.get("tee_version", tee.version),
            holes_in_play=sent["holes_in_play"],
            played_on=sent["played_on"],
            order_in_day=sent.get("order_in_day", 1),
            group=self.group_in_body(sent.get("group")),
            players=self.players_in_body(sent["players"]),
        )


class CardDetail(CardEndpoint):
    @extend_schema(responses={200: CardOut})
    def get(self, request: Request, card_id: UUID) -> Response:
        card = access.card_for(self.account, card_id)
        body = self.shown(card)
        return tagged(Response(body), body["version"])

    @extend_schema(request=CardChangeIn, responses={200: CardOut})
    def patch(self, request: Request, card_id: UUID) -> Response:
        """Put right tee, day, place in the day, group or people while every line is open; whoever opened it."""
        card = access.card_to_change(self.account, card_id)
        self.require_match(request, card.version, lambda: self.shown(card))
        sent = self.read(CardChangeIn)
        facts = CardFacts(
            tee=self.tee_in_body(sent.get("tee")) or card.tee,
            played_on=sent.get("played_on", card.played_on),
            order_in_day=sent.get("order_in_day", card.order_in_day),
            group=self.group_in_body(sent["group"]) if "group" in sent else card.group,
            players=self._players(card, sent.get("players")),
        )
        cards.change_card(card=card, version=card.version, facts=facts, changed_by=access.own_player(self.account))
        body = self.shown(card)
        return tagged(Response(body), body["version"])

    def _players(self, card: Card, ids: list[UUID] | None) -> tuple[Player, ...]:
        """Who stands on it already may stay, also when the reader could not write for them any more."""
        standing = {line.player_id: line.player for line in card.lines.select_related("player")}
        if ids is None:
            return tuple(standing.values())
        return self.players_in_body(ids, standing)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, card_id: UUID) -> Response:
        """Drop a card: lines that are open become no rounds, lines that were sent in stay. Other players are told.

        Where another account wrote on an open line, the card stays: 409 `card_written`.
        """
        card = access.card_to_change(self.account, card_id)
        self.require_match(request, card.version, lambda: self.shown(card))
        cards.drop_card(card=card, version=card.version, dropped_by=access.own_player(self.account))
        return Response(status=204)


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/", Cards.as_view(), name="api-cards"),
    path("cards/<uuid:card_id>/", CardDetail.as_view(), name="api-card"),
]
