"""Whether a bad hole carries over in a group, over the API."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Endpoint
from league.reports.evidence import carry_over_of


class EffectOut(serializers.Serializer[Any]):
    value = serializers.FloatField(help_text="Strokes on the hole after a bad one, less what chance alone brings.")
    low = serializers.FloatField(help_text="From `low` to `high` nineteen times in twenty.")
    high = serializers.FloatField()
    n = serializers.IntegerField(help_text="Rounds that it rests on.")


class CarryOverOut(serializers.Serializer[Any]):
    n_rounds = serializers.IntegerField()
    n_players = serializers.IntegerField()
    verdict = serializers.CharField(help_text="In words; “too few rounds to tell” under 100 rounds.")
    effect = EffectOut(allow_null=True)
    share_by_chance = serializers.FloatField(allow_null=True, help_text="Share of shuffles with at least as much.")
    computed_at = serializers.DateTimeField(allow_null=True)


class GroupCarryOver(Endpoint):
    """Shuffled within rounds, so that worse players and worse days do not pass for it."""

    @extend_schema(responses=CarryOverOut)
    def get(self, request: Request, group_id: UUID) -> Response:
        told = carry_over_of(access.group_for(self.account, group_id).group)
        effect = told.effect
        names = ("value", "low", "high", "n")
        return Response(
            {
                "n_rounds": told.n_rounds,
                "n_players": told.n_players,
                "verdict": told.verdict,
                "effect": None if effect is None else {name: getattr(effect, name) for name in names},
                "share_by_chance": told.found.share_by_chance if told.found else None,
                "computed_at": told.computed_at,
            }
        )


urlpatterns: list[URLPattern | URLResolver] = [
    path("groups/<uuid:group_id>/carry-over/", GroupCarryOver.as_view(), name="api-group-carry-over")
]
