"""Lines of a card sent in, and a player's yes or no to the line that a scorer sent in for them."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields
from league.api.base import Answer
from league.api.cards import CardEndpoint, CardOut
from league.models import NotPlayedReason
from league.services import card_lines
from league.services.card_lines import Sending
from league.services.cards import MOST_PLAYERS


class Confirmed(fields.Many):
    child = fields.Choice([card_lines.TEE_CHANGED])


class Lines(fields.Many):
    child = fields.Id()

    def to_internal_value(self, data: Any) -> list[Any]:
        if isinstance(data, list) and len(data) > MOST_PLAYERS:
            raise serializers.ValidationError(f"Send at most {MOST_PLAYERS} lines.", code="list_length")
        return super().to_internal_value(data)


class LineSendIn(fields.Strict):
    confirm = Confirmed(required=False, help_text="What was refused by this code and has been looked at.")
    tee = fields.Id(required=False, allow_null=True, help_text="Another tee with the same holes.")
    not_played_reason = fields.Choice(["", *NotPlayedReason.values], required=False)
    order_in_day = fields.Whole(
        1,
        9,
        required=False,
        allow_null=True,
        help_text="Which round of that day this was; who stood there moves on by one. Left out: after those stored.",
    )


class SendIn(LineSendIn):
    without_round = Lines(required=False, help_text="Of your own line and guests': those that close without a round.")


class LineAnswerIn(LineSendIn):
    answer = fields.Choice(["post", "decline"])


class LineEndpoint(CardEndpoint):
    def sending(self, sent: dict[str, Any]) -> Sending:
        return Sending(
            confirmed=frozenset(sent.get("confirm", ())),
            tee=self.tee_in_body(sent.get("tee")),
            not_played_reason=sent.get("not_played_reason", ""),
            order_in_day=sent.get("order_in_day"),
            without_round=frozenset(sent.get("without_round", ())),
        )


class CardSend(LineEndpoint):
    @extend_schema(request=SendIn, responses={200: CardOut})
    def post(self, request: Request, card_id: UUID) -> Response:
        """Send in your line; whoever opened the card sends all lines that are open.

        Your own line and those of guests become rounds. Lines of players with an account wait for their yes.
        """
        card = access.card_for(self.account, card_id)
        sending = self.sending(self.read(SendIn))
        me = access.own_player(self.account)
        return self.once(request, lambda: self.answered(card_lines.send_card(card=card, sender=me, sending=sending)))


class CardAnswer(LineEndpoint):
    @extend_schema(request=LineAnswerIn, responses={200: CardOut})
    def post(self, request: Request, card_id: UUID, line_id: UUID) -> Response:
        """Your own yes or no to the line that a scorer sent in for you."""
        line = access.card_line_to_answer(self.account, card_id, line_id)
        sent = self.read(LineAnswerIn)
        sending, me = self.sending(sent), access.own_player(self.account)
        is_yes = sent["answer"] == "post"

        def act() -> Answer:
            return self.answered(card_lines.answer_line(line=line, player=me, post=is_yes, sending=sending))

        return self.once(request, act)


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/<uuid:card_id>/send/", CardSend.as_view(), name="api-card-send"),
    path("cards/<uuid:card_id>/lines/<uuid:line_id>/answer/", CardAnswer.as_view(), name="api-card-answer"),
]
