"""Practice over the API: an hour split by the own leaks, and games with a pass mark."""

from dataclasses import asdict
from typing import Any

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields
from league.api.base import Endpoint
from league.api.errors import FieldError, invalid
from league.estimates.estimate import Estimate
from league.estimates.games import Game
from league.estimates.practice import BLOCK, HOUR, LONGEST_HOUR, NAMES, SHORTEST_HOUR
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.reports.practice import PracticeView, practice_of


class PracticeQuery(fields.Strict):
    minutes = fields.AskedNumber(SHORTEST_HOUR, LONGEST_HOUR, required=False, help_text="In fives; left out: 60.")
    barrier = fields.AskedNumber(
        LOWEST_BARRIER,
        HIGHEST_BARRIER,
        required=False,
        help_text="Whose leaks: one of your open barriers. Left out: the one spoken of.",
    )


class StrokesOut(serializers.Serializer[Any]):
    value = serializers.FloatField(help_text="Strokes a round.")
    low = serializers.FloatField()
    high = serializers.FloatField()
    n = fields.Whole(0, 99999, help_text="Holes that it rests on.")


class PartOut(serializers.Serializer[Any]):
    kind = fields.Text(20)
    words = fields.Text(40)
    minutes = fields.Whole(0, LONGEST_HOUR)
    costs = StrokesOut()
    may_save = StrokesOut(help_text="If kept up every week for some two months; the way it gives way is ours.")


class UnknownOut(serializers.Serializer[Any]):
    kind = fields.Text(20)
    reason = fields.Text(200)


class LeftOutOut(serializers.Serializer[Any]):
    words = fields.Text(40)
    costs = StrokesOut()
    reason = fields.Text(200)


class GameOut(serializers.Serializer[Any]):
    kind = fields.Text(20)
    name = fields.Text(40)
    setup = fields.Text(200)
    counts = fields.Text(200)
    tries = fields.Whole(1, 99)
    chance = serializers.FloatField(help_text="Of one try, in the mean.")
    pass_mark = fields.Whole(1, 99)
    chance_to_pass = serializers.FloatField()
    rests_on = fields.Text(200)


class PracticeOut(serializers.Serializer[Any]):
    barrier = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER, allow_null=True)
    n_rounds = fields.Whole(0, 99, help_text="Cards hole by hole that the leaks rest on.")
    minutes = fields.Whole(SHORTEST_HOUR, LONGEST_HOUR)
    parts = PartOut(many=True)
    may_save = StrokesOut(allow_null=True)
    reason = fields.Text(200, help_text="Why there is no part, when there is none.")
    unknown = UnknownOut(many=True)
    left_out = LeftOutOut(many=True, help_text="What costs strokes and gets no minute, beside a time that is split.")
    level = serializers.FloatField(help_text="Expected differential that the games are set by.")
    level_is_known = fields.Flag(help_text="false: too few rounds, and 20 is taken.")
    length_unit = fields.Text(10)
    up_to_date = fields.Flag()
    games = GameOut(many=True)


class OwnPractice(Endpoint):
    """An hour of practice split over what costs most by your own leaks, and a game for each part. Yours alone."""

    query = frozenset(PracticeQuery().fields)

    @extend_schema(parameters=[PracticeQuery], responses={200: PracticeOut})
    def get(self, request: Request) -> Response:
        player = access.own_player(self.account)
        asked = self.parameters(PracticeQuery)
        minutes = asked.get("minutes", HOUR)
        if minutes % BLOCK:
            raise invalid([FieldError("minutes", "range", "Minutes come in fives.")])
        return Response(practice_out(practice_of(player, minutes, asked.get("barrier"))))


def practice_out(view: PracticeView) -> dict[str, Any]:
    hour = view.hour
    return {
        "barrier": view.barrier,
        "n_rounds": view.n_rounds,
        "minutes": hour.minutes,
        "parts": [
            {
                "kind": part.kind,
                "words": NAMES[part.kind],
                "minutes": part.minutes,
                "costs": _strokes_out(part.strokes),
                "may_save": _strokes_out(part.gain),
            }
            for part in hour.parts
        ],
        "may_save": _strokes_out(hour.gain) if hour.gain else None,
        "reason": hour.words,
        "unknown": [{"kind": kind, "reason": reason} for kind, reason in hour.unknown],
        "left_out": [
            {"words": one.name, "costs": _strokes_out(one.strokes), "reason": one.reason} for one in view.left_out
        ],
        "level": round(view.level, 2),
        "level_is_known": view.level_is_known,
        "length_unit": view.unit,
        "up_to_date": not view.is_due,
        "games": [_game_out(game) for game in view.games],
    }


def _game_out(game: Game) -> dict[str, Any]:
    body = asdict(game)
    rounded = {name: round(body[name], 4) for name in ("chance", "chance_to_pass")}
    rests_on = body.pop("source")
    return {**body, **rounded, "rests_on": rests_on}


def _strokes_out(strokes: Estimate) -> dict[str, Any]:
    rounded = {name: round(getattr(strokes, name), 2) for name in ("value", "low", "high")}
    return {**rounded, "n": strokes.n}


urlpatterns: list[URLPattern | URLResolver] = [path("me/practice/", OwnPractice.as_view(), name="api-practice")]
