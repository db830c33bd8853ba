"""Marks on a card from phones that may be offline, and the choice between two values of a hole."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields
from league.api.base import Answer
from league.api.cards import CardEndpoint, CardOut, unknown
from league.api.errors import FieldError, Problem
from league.services import card_marks
from league.services.card_marks import LateMarks, Written

MOST_MARKS = 200


class ValueIn(fields.Strict):
    """What is known of a hole; null and left out are the same."""

    strokes = fields.Whole(1, 99, required=False, allow_null=True, help_text="Penalty strokes included.")
    picked_up = fields.Flag(required=False)
    putts = fields.Whole(0, 99, required=False, allow_null=True)
    penalties = fields.Whole(0, 99, required=False, allow_null=True)
    first_putt_beyond_20ft = fields.Flag(required=False, allow_null=True)
    strokes_from_60 = fields.Whole(0, 99, required=False, allow_null=True)
    recovery = fields.Flag(required=False, allow_null=True)


@extend_schema_field({"type": "string", "format": "date-time", "maxLength": 40})
class MarkIn(fields.Strict):
    client_id = fields.Id(
        help_text="Made at the tap. A mark that arrives again is one.", error_messages=fields.MADE_BY_SENDER
    )
    line = fields.Id()
    number = fields.Whole(1, 18)
    over = fields.Id(required=False, allow_null=True, help_text="The mark that the phone showed when it was written.")
    value = ValueIn(required=False, allow_null=True)
    claimed_at = fields.Moment(required=False, allow_null=True, help_text="The phone's clock: shown, never believed.")


class Marks(fields.Many):
    child = MarkIn()

    def to_internal_value(self, data: Any) -> list[Any]:
        if isinstance(data, list) and not 1 <= len(data) <= MOST_MARKS:
            raise serializers.ValidationError(f"Send 1 to {MOST_MARKS} marks at once.", code="list_length")
        return super().to_internal_value(data)


class MarksIn(fields.Strict):
    device = fields.Id(help_text="Made once on each phone.", error_messages=fields.MADE_BY_SENDER)
    marks = Marks()


class SettlementIn(fields.Strict):
    line = fields.Id()
    number = fields.Whole(1, 18)
    mark = fields.Id(help_text="One of the contested marks.")


class CardMarks(CardEndpoint):
    @extend_schema(request=MarksIn, responses={200: CardOut})
    def post(self, request: Request, card_id: UUID) -> Response:
        """Marks from one phone, in the order they were made. A mark arrives once; a bad batch stores nothing.

        409 `card_sent` and `card_dropped` name in `late` the marks that came after the line was closed.
        """
        card = access.card_for(self.account, card_id)
        sent = self.read(MarksIn)
        marks = [Written(**{"value": None, **mark}) for mark in sent["marks"]]

        def act() -> Answer:
            try:
                fresh = card_marks.write_marks(
                    card=card, writer=access.own_player(self.account), device=sent["device"], marks=marks
                )
            except LateMarks as late:
                raise self._late(late) from None
            return self.answered(fresh)

        return self.once(request, act)

    def _late(self, late: LateMarks) -> Problem:
        came = self.payload()["marks"]
        errors = [
            FieldError(f"marks.{place}", late.code, "This came after the line was closed.") for place in late.places
        ]
        return Problem(late.code, late.message, errors, members={"late": [came[place] for place in late.places]})


class CardSettlements(CardEndpoint):
    @extend_schema(request=SettlementIn, responses={200: CardOut})
    def post(self, request: Request, card_id: UUID) -> Response:
        """Choose one of the contested marks of a hole."""
        card = access.card_for(self.account, card_id)
        sent = self.read(SettlementIn)
        line = card.lines.filter(pk=sent["line"]).first()
        if line is None:
            raise unknown("line")

        def act() -> Answer:
            fresh = card_marks.settle_hole(
                card=card,
                line=line,
                number=sent["number"],
                mark=sent["mark"],
                settled_by=access.own_player(self.account),
            )
            return self.answered(fresh)

        return self.once(request, act)


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/<uuid:card_id>/marks/", CardMarks.as_view(), name="api-card-marks"),
    path("cards/<uuid:card_id>/settlements/", CardSettlements.as_view(), name="api-card-settlements"),
]
