"""Before a round over the API: the range to expect, the library, intentions and what became of them."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from journal import access, library
from journal.api.base import Private
from journal.expectation import before_words
from journal.models import Intention
from journal.readings import Became, expected_on, what_became
from journal.services import before
from journal.services.before import today_for
from league.api import fields
from league.api.base import Answer, tagged
from league.api.paging import QUERY, page, page_of

WORDS = 300
TEXTS = ("range_words", "goal", "when", "then")


class IntentionIn(fields.Strict):
    played_on = fields.Day(required=False, help_text="Left out: today at the course.")
    tee = fields.Id(required=False, allow_null=True, help_text="With it the range to expect is written down too.")
    round = fields.Id(required=False, allow_null=True, help_text="Your own round, once it is posted.")
    range_words = fields.Text(WORDS, lines=True, required=False, allow_blank=True, help_text="In place of the range.")
    goal = fields.Text(WORDS, lines=True, required=False, allow_blank=True, help_text="One aim of how to play.")
    when = fields.Text(WORDS, lines=True, required=False, allow_blank=True, help_text="If …")
    then = fields.Text(WORDS, lines=True, required=False, allow_blank=True, help_text="… then …")


class IntentionOut(serializers.Serializer[Any]):
    id = fields.Id()
    played_on = fields.Day()
    tee = fields.Id(allow_null=True)
    round = fields.Id(allow_null=True, help_text="The one tied to it, else the one of that day that it was meant for.")
    low = fields.Whole(1, 450, allow_null=True, help_text="Four rounds in five fall from `low` to `high`, gross.")
    high = fields.Whole(1, 450, allow_null=True)
    n_rounds = fields.Whole(0, 99999)
    range_words = fields.Text(WORDS)
    goal = fields.Text(WORDS)
    when = fields.Text(WORDS)
    then = fields.Text(WORDS)
    kept = fields.Text(6, help_text="From the look-back: yes, partly, no, none; empty when not said.")
    gross = fields.Whole(1, 450, allow_null=True)
    fell = fields.Text(200, help_text="Where the score fell in the range told before it; empty when there was none.")
    told = fields.Text(200, help_text="What became of it, in one sentence.")
    created_at = serializers.DateTimeField()
    version = fields.Whole(1, 99999)


class RangeOut(serializers.Serializer[Any]):
    tee = fields.Id()
    day = fields.Day()
    low = fields.Whole(1, 450, allow_null=True)
    high = fields.Whole(1, 450, allow_null=True)
    usual = serializers.FloatField(allow_null=True)
    n_rounds = fields.Whole(0, 99999)
    words = fields.Text(300)
    reason = fields.Text(200, help_text="Why there is no range, when there is none.")


class IfThenOut(serializers.Serializer[Any]):
    key = fields.Text(40)
    when = fields.Text(WORDS)
    then = fields.Text(WORDS)


class LibraryOut(serializers.Serializer[Any]):
    intentions = IfThenOut(many=True)
    sentences = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


class RangeQuery(fields.Strict):
    tee = fields.Id()
    day = fields.Day(required=False)


def intention_out(became: Became) -> dict[str, Any]:
    one = became.intention
    return {
        "id": str(one.pk),
        "played_on": one.played_on.isoformat(),
        "tee": str(one.tee_id) if one.tee_id else None,
        "round": str(became.played.pk) if became.played else None,
        "low": one.low,
        "high": one.high,
        "n_rounds": one.n_rounds,
        **{name: getattr(one, name) for name in TEXTS},
        "kept": became.kept,
        "gross": became.gross,
        "fell": became.words,
        "told": became.told,
        "created_at": one.created_at.isoformat(),
        "version": one.version,
    }


def _one_out(intention: Intention) -> dict[str, Any]:
    return intention_out(what_became([intention])[0])


class OwnRange(Private):
    """The range in which four of your rounds in five fall on this tee."""

    query = frozenset(RangeQuery().fields)

    @extend_schema(parameters=[RangeQuery], responses={200: RangeOut})
    def get(self, request: Request) -> Response:
        player = access.own_player(self.account)
        asked = self.parameters(RangeQuery)
        tee = access.tee_for(self.account, asked["tee"])
        day = asked.get("day") or today_for(player, tee)
        found = expected_on(player, tee, day)
        return Response(
            {
                "tee": str(tee.pk),
                "day": day.isoformat(),
                "low": found.range.low if found.range else None,
                "high": found.range.high if found.range else None,
                "usual": round(found.usual, 1) if found.usual is not None else None,
                "n_rounds": found.n_rounds,
                "words": before_words(found.range) if found.range else "",
                "reason": found.reason,
            }
        )


class Library(Private):
    """Sentences to choose from, all our own; under 18 without a guardian's yes, the only ones that are stored."""

    @extend_schema(responses={200: LibraryOut})
    def get(self, request: Request) -> Response:
        access.own_player(self.account)
        ready = [{"key": one.key, "when": one.when, "then": one.then} for one in library.INTENTIONS]
        return Response({"intentions": ready, "sentences": {name: list(all_) for name, all_ in library.FIXED.items()}})


class Intentions(Private):
    """What you took into rounds, and what became of it, newest day first."""

    query = QUERY

    @extend_schema(responses={200: page_of(IntentionOut)})
    def get(self, request: Request) -> Response:
        shown = page(self, access.own_intentions(self.account), lambda one: one, ("-played_on", "-pk"))
        became = what_became(shown["results"])
        return Response({**shown, "results": [intention_out(one) for one in became]})

    @extend_schema(request=IntentionIn, responses={201: IntentionOut})
    def post(self, request: Request) -> Response:
        player = access.own_player(self.account)
        sent = self.read(IntentionIn)
        tee, played = self.named_tee(sent), self.named_round(sent)
        words = {name: sent[name] for name in TEXTS if name in sent}
        played_on = sent.get("played_on") or (played.played_on if played else today_for(player, tee))

        def act() -> UUID:
            made = before.write_intention(player=player, played_on=played_on, tee=tee, played=played, words=words)
            return made.pk

        def afresh(intention_id: UUID) -> Answer:
            found = access.own_intention(self.account, intention_id)
            headers = {"Location": f"{request.path}{found.pk}/", "ETag": f'"{found.version}"'}
            return Answer(_one_out(found), headers=headers)

        return self.made_once(request, act, afresh)


class IntentionDetail(Private):
    @extend_schema(responses={200: IntentionOut})
    def get(self, request: Request, intention_id: UUID) -> Response:
        found = access.own_intention(self.account, intention_id)
        return tagged(Response(_one_out(found)), found.version)

    @extend_schema(request=IntentionIn, responses={200: IntentionOut})
    def patch(self, request: Request, intention_id: UUID) -> Response:
        found = access.own_intention(self.account, intention_id)
        self.require_match(request, found.version, lambda: _one_out(found))
        changes = self.read(IntentionIn)
        if "tee" in changes:
            changes["tee"] = self.named_tee(changes)
        if "round" in changes:
            changes["round"] = self.named_round(changes)
        fresh = before.change_intention(intention=found, changes=changes)
        return tagged(Response(_one_out(fresh)), fresh.version)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, intention_id: UUID) -> Response:
        found = access.own_intention(self.account, intention_id)
        self.require_match(request, found.version, lambda: _one_out(found))
        before.drop_intention(intention=found)
        return Response(status=204)


urlpatterns: list[URLPattern | URLResolver] = [
    path("range/", OwnRange.as_view(), name="api-journal-range"),
    path("library/", Library.as_view(), name="api-journal-library"),
    path("intentions/", Intentions.as_view(), name="api-journal-intentions"),
    path("intentions/<uuid:intention_id>/", IntentionDetail.as_view(), name="api-journal-intention"),
]
