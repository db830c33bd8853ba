"""The reset over the API: its words, and the mark that it was done."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from journal import access
from journal.api.base import Private
from journal.library import DEFAULT_BREATHS, DEFAULT_SENTENCE, MOST_BREATHS
from journal.models import Reset, Routine
from journal.readings import resets_told
from journal.services import resets
from league.api import fields
from league.api.base import Answer, tagged
from league.api.paging import QUERY, page, page_of
from league.estimates.evidence import FEWEST_EACH, FEWEST_ROUNDS

SENTENCE_CHARACTERS = 200


class RoutineIn(fields.Strict):
    sentence = fields.Text(SENTENCE_CHARACTERS, required=False, allow_blank=True, help_text="Empty: the usual one.")
    breaths = fields.Whole(0, MOST_BREATHS, required=False)


class RoutineOut(serializers.Serializer[Any]):
    sentence = fields.Text(SENTENCE_CHARACTERS)
    breaths = fields.Whole(0, MOST_BREATHS)
    is_own = fields.Flag(help_text="false: the usual sentence, for there is none of your own.")
    version = fields.Whole(0, 99999)


class ResetIn(fields.Strict):
    client_id = fields.Id(
        help_text="Made on the phone: sent again, it is the same mark.", error_messages=fields.MADE_BY_SENDER
    )
    line = fields.Id(required=False, allow_null=True, help_text="Your own line of a card.")
    round = fields.Id(required=False, allow_null=True, help_text="Your own round.")
    hole = fields.Whole(1, 18, required=False, allow_null=True)
    done_at = fields.Moment(required=False, allow_null=True, help_text="By the phone's clock.")


class ResetOut(serializers.Serializer[Any]):
    id = fields.Id()
    client_id = fields.Id()
    line = fields.Id(allow_null=True)
    round = fields.Id(allow_null=True, help_text="Also when the card became a round later.")
    hole = fields.Whole(1, 18, allow_null=True)
    done_at = serializers.DateTimeField(allow_null=True)
    stored_at = serializers.DateTimeField()


class DifferenceOut(serializers.Serializer[Any]):
    value = serializers.FloatField(help_text="Strokes on the hole after a bad one with a reset, less those without.")
    low = serializers.FloatField(help_text="From `low` to `high` nineteen times in twenty.")
    high = serializers.FloatField()
    n = fields.Whole(0, 99999, help_text="Bad holes that it rests on.")


class ResetEvidenceOut(serializers.Serializer[Any]):
    n_rounds = fields.Whole(0, 99999, help_text="Your rounds of eighteen holes with strokes on every hole.")
    n_with = fields.Whole(0, 99999, help_text="Bad holes, not the last of a round, with a reset marked on them.")
    n_without = fields.Whole(0, 99999)
    rounds_needed = fields.Whole(0, 99999)
    each_needed = fields.Whole(0, 99999, help_text="Bad holes with a reset, and as many without.")
    verdict = fields.Text(200, help_text="In words; “too few rounds to tell” under what is needed.")
    effect = DifferenceOut(allow_null=True, help_text="null while there are too few bad holes for an interval.")
    share_by_chance = serializers.FloatField(allow_null=True, help_text="Share of shuffles at least as far out.")


def routine_out(routine: Routine | None) -> dict[str, Any]:
    own = routine.sentence if routine else ""
    return {
        "sentence": own or DEFAULT_SENTENCE,
        "breaths": routine.breaths if routine else DEFAULT_BREATHS,
        "is_own": bool(own),
        "version": routine.version if routine else 0,
    }


def reset_out(reset: Reset) -> dict[str, Any]:
    played = reset.round_played
    return {
        "id": str(reset.pk),
        "client_id": str(reset.client_id),
        "line": str(reset.line_id) if reset.line_id else None,
        "round": str(played.pk) if played else None,
        "hole": reset.hole,
        "done_at": reset.done_at.isoformat() if reset.done_at else None,
        "stored_at": reset.stored_at.isoformat(),
    }


class OwnRoutine(Private):
    """Your own words for the reset. Nobody else reads them."""

    @extend_schema(responses={200: RoutineOut})
    def get(self, request: Request) -> Response:
        access.own_player(self.account)
        routine = access.own_routine(self.account)
        return tagged(Response(routine_out(routine)), routine.version if routine else 0)

    @extend_schema(request=RoutineIn, responses={200: RoutineOut})
    def patch(self, request: Request) -> Response:
        player = access.own_player(self.account)
        routine = access.own_routine(self.account)
        self.require_match(request, routine.version if routine else 0, lambda: routine_out(routine))
        fresh = resets.word_routine(player=player, **self.read(RoutineIn))
        return tagged(Response(routine_out(fresh)), fresh.version)


class Resets(Private):
    """Marks that a reset was done, newest first; no card and no group knows of them."""

    query = QUERY

    @extend_schema(responses={200: page_of(ResetOut)})
    def get(self, request: Request) -> Response:
        return Response(page(self, access.own_resets(self.account), reset_out, ("-stored_at", "-pk")))

    @extend_schema(request=ResetIn, responses={201: ResetOut})
    def post(self, request: Request) -> Response:
        player = access.own_player(self.account)
        sent = self.read(ResetIn)
        line, played = self.named_line(sent), self.named_round(sent)

        def act() -> UUID:
            made = resets.mark_reset(
                player=player,
                client_id=sent["client_id"],
                line=line,
                played=played,
                hole=sent.get("hole"),
                done_at=sent.get("done_at"),
            )
            return made.pk

        def afresh(reset_id: UUID) -> Answer:
            found = access.own_reset(self.account, reset_id)
            return Answer(reset_out(found), headers={"Location": f"{request.path}{found.pk}/"})

        return self.made_once(request, act, afresh)


class ResetDetail(Private):
    @extend_schema(responses={200: ResetOut})
    def get(self, request: Request, reset_id: UUID) -> Response:
        return Response(reset_out(access.own_reset(self.account, reset_id)))

    @extend_schema(responses={204: None})
    def delete(self, request: Request, reset_id: UUID) -> Response:
        resets.drop_reset(reset=access.own_reset(self.account, reset_id))
        return Response(status=204)


class ResetEvidence(Private):
    """Whether your bad runs are shorter with a reset: the hole after a bad one, with and without.

    Every hole against what it usually takes you and against the round's mean; which bad holes had a reset is shuffled
    2,000 times. When you reset is your choice, so a difference is no proof of an effect.
    """

    @extend_schema(responses={200: ResetEvidenceOut})
    def get(self, request: Request) -> Response:
        use = resets_told(access.own_player(self.account)).use
        effect = use.effect
        names = ("value", "low", "high", "n")
        return Response(
            {
                "n_rounds": use.n_rounds,
                "n_with": use.n_with,
                "n_without": use.n_without,
                "rounds_needed": FEWEST_ROUNDS,
                "each_needed": FEWEST_EACH,
                "verdict": use.words,
                "effect": {name: getattr(effect, name) for name in names} if effect else None,
                "share_by_chance": use.share_by_chance,
            }
        )


urlpatterns: list[URLPattern | URLResolver] = [
    path("routine/", OwnRoutine.as_view(), name="api-journal-routine"),
    path("resets/", Resets.as_view(), name="api-journal-resets"),
    path("resets/evidence/", ResetEvidence.as_view(), name="api-journal-reset-evidence"),
    path("resets/<uuid:reset_id>/", ResetDetail.as_view(), name="api-journal-reset"),
]
