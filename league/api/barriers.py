"""Barriers, outlook, ladder, what-ifs, budget and progress over the API; and how well outlooks have come true."""

from dataclasses import asdict
from datetime import date
from typing import Any
from uuid import UUID

from django.http import Http404
from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, invalid
from league.api.rounds import NamedOut
from league.models import Barrier, Tee
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.reports import progress
from league.reports.members import names_in
from league.reports.progress import BarrierChance, NoOutlook, OutlookView, StripLine
from league.rules.rounding import as_decimal
from league.services import barriers
from league.services.rounds import today_at

QUANTILES = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)


class BarrierIn(fields.Strict):
    score = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER, help_text="The gross score to get under, eighteen holes.")
    tee = fields.Id(required=False, allow_null=True, help_text="Left out: on any tee.")
    hidden = fields.Flag(required=False, help_text="Hidden from the group.")


class BarrierChange(fields.Strict):
    hidden = fields.Flag()


class BarrierOut(serializers.Serializer[Any]):
    id = fields.Id()
    score = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    tee = fields.Id(allow_null=True)
    hidden = fields.Flag()
    set_on = fields.Day()
    broken_on = fields.Day(allow_null=True)
    broken_by = fields.Id(allow_null=True, help_text="The round that is the proof.")
    version = fields.Whole(1, 99999)


class BarriersOut(serializers.Serializer[Any]):
    results = BarrierOut(many=True)
    next = serializers.CharField(allow_null=True)
    count = fields.Whole(0, 99)


class ChanceOut(serializers.Serializer[Any]):
    score = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    barrier = fields.Id(allow_null=True)
    probability = serializers.FloatField(help_text="Next time on this tee.")
    spoken = fields.Text(40, help_text="As it may be said from so many rounds.")
    probability_within_five = serializers.FloatField()
    spoken_within_five = fields.Text(40)
    median_rounds = fields.Whole(1, 20, allow_null=True, help_text="null: more than 20 rounds.")
    median_weeks = serializers.FloatField(allow_null=True)
    dots = fields.Whole(0, 20, help_text="Of twenty equally likely next scores, how many fall under it.")


class OutlookOut(serializers.Serializer[Any]):
    tee = fields.Id()
    day = fields.Day()
    n = fields.Whole(0, 99999, help_text="Rounds of eighteen holes that it rests on.")
    reason = fields.Text(200, help_text="Why there is no number, when there is none.")
    usual = serializers.FloatField(allow_null=True)
    usual_low = serializers.FloatField(allow_null=True)
    usual_high = serializers.FloatField(allow_null=True)
    low = fields.Whole(1, 450, allow_null=True, help_text="Four scores in five lie from `low` to `high`.")
    high = fields.Whole(1, 450, allow_null=True)
    dots = serializers.ListField(child=serializers.IntegerField())
    quantiles = serializers.DictField(child=serializers.IntegerField())
    chances = ChanceOut(many=True)
    up_to_date = fields.Flag()


class ProgressPointOut(serializers.Serializer[Any]):
    day = fields.Day()
    gross = fields.Whole(1, 450)
    carried = serializers.FloatField(help_text="The same round carried to this tee.")
    level = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()


class ProgressOut(serializers.Serializer[Any]):
    tee = fields.Id()
    n = fields.Whole(0, 99999)
    reason = fields.Text(200)
    best = fields.Whole(1, 450, allow_null=True)
    usual = serializers.FloatField(allow_null=True)
    points = ProgressPointOut(many=True)
    changes = serializers.ListField(child=serializers.CharField())
    lately = fields.Text(300)
    last_round = fields.Text(300)


class LadderOut(serializers.Serializer[Any]):
    barrier = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    gap = serializers.FloatField(allow_null=True, help_text="Usual score less the barrier's last allowed score.")
    n_rounds = fields.Whole(0, 99, help_text="Cards hole by hole that it rests on.")
    n = fields.Whole(0, 99999, help_text="Rounds that the chances rest on.")
    leaks = serializers.JSONField(help_text="By kind: value, low, high, n holes; or a reason.")
    what_if = serializers.JSONField(help_text="Chance before and after each change, with its interval.")


class BudgetOut(serializers.Serializer[Any]):
    barrier = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    par = fields.Whole(27, 80)
    over = fields.Whole(-30, 90)
    holes = serializers.JSONField(help_text="number, par, stroke_index, personal_par of each hole.")
    words = serializers.ListField(child=serializers.CharField(), help_text="What it affords, in words.")


class JudgementOut(serializers.Serializer[Any]):
    n_rounds = fields.Whole(0, 9999999)
    computed_at = serializers.DateTimeField(allow_null=True)
    told = serializers.JSONField(allow_null=True)


def barrier_out(barrier: Barrier) -> dict[str, Any]:
    return {
        "id": str(barrier.pk),
        "score": barrier.score,
        "tee": str(barrier.tee_id) if barrier.tee_id else None,
        "hidden": barrier.is_hidden,
        "set_on": barrier.set_on.isoformat(),
        "broken_on": barrier.broken_on.isoformat() if barrier.broken_on else None,
        "broken_by": str(barrier.broken_by_id) if barrier.broken_by_id else None,
        "version": barrier.version,
    }


class Barriers(Endpoint):
    """Your barriers, highest first. At most twelve, so they come on one page."""

    @extend_schema(responses={200: BarriersOut})
    def get(self, request: Request) -> Response:
        held = Barrier.objects.filter(player=access.own_player(self.account)).order_by("-score", "pk")
        return Response({"results": [barrier_out(one) for one in held], "next": None, "count": len(held)})

    @extend_schema(request=BarrierIn, responses={201: BarrierOut})
    def post(self, request: Request) -> Response:
        player = access.own_player(self.account)
        sent = self.read(BarrierIn)
        tee = _tee_in_body(self.account, sent.get("tee"))

        def act() -> Answer:
            made = barriers.set_barrier(
                player=player, score=sent["score"], tee=tee, is_hidden=sent.get("hidden", False)
            )
            address = f"{request.path}{made.pk}/"
            return Answer(barrier_out(made), headers={"Location": address, "ETag": f'"{made.version}"'})

        return self.once(request, act)


def _tee_in_body(account: Any, tee_id: UUID | None) -> Tee | None:
    if tee_id is None:
        return None
    try:
        return access.tee_for(account, tee_id)
    except Http404:
        raise invalid([FieldError("tee", "id", "Send the id of something you can see.")]) from None


class BarrierDetail(Endpoint):
    @extend_schema(responses={200: BarrierOut})
    def get(self, request: Request, barrier_id: UUID) -> Response:
        barrier = access.own_barrier(self.account, barrier_id)
        return tagged(Response(barrier_out(barrier)), barrier.version)

    @extend_schema(request=BarrierChange, responses={200: BarrierOut})
    def patch(self, request: Request, barrier_id: UUID) -> Response:
        barrier = access.own_barrier(self.account, barrier_id)
        self.require_match(request, barrier.version, lambda: barrier_out(barrier))
        sent = self.read(BarrierChange, partial=False)
        fresh = barriers.hide_barrier(barrier=barrier, is_hidden=sent["hidden"])
        return tagged(Response(barrier_out(fresh)), fresh.version)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, barrier_id: UUID) -> Response:
        barrier = access.own_barrier(self.account, barrier_id)
        self.require_match(request, barrier.version, lambda: barrier_out(barrier))
        barriers.drop_barrier(barrier=barrier)
        return Response(status=204)


class TeeQuery(fields.Strict):
    tee = fields.Id()
    day = fields.Day(required=False)


class OwnOutlook(Endpoint):
    """How your next score on a tee is likely to fall. Yours alone."""

    query = frozenset(TeeQuery().fields)

    @extend_schema(parameters=[TeeQuery], responses={200: OutlookOut})
    def get(self, request: Request) -> Response:
        player = access.own_player(self.account)
        asked = self.parameters(TeeQuery)
        tee = access.tee_for(self.account, asked["tee"])
        day = asked.get("day") or today_at(tee, player)
        return Response(outlook_out(progress.outlook_of(player, tee, day), tee, day))


def outlook_out(view: OutlookView | NoOutlook, tee: Tee, day: date) -> dict[str, Any]:
    head = {"tee": str(tee.pk), "day": day.isoformat(), "n": view.n}
    if isinstance(view, NoOutlook):
        reason = view.reason
        empty = dict.fromkeys(("usual", "usual_low", "usual_high", "low", "high"))
        return {**head, "reason": reason, **empty, "dots": [], "quantiles": {}, "chances": [], "up_to_date": True}
    return {
        **head,
        "reason": "",
        "usual": round(view.usual, 2),
        "usual_low": round(view.usual_low, 2),
        "usual_high": round(view.usual_high, 2),
        "low": view.low,
        "high": view.high,
        "dots": list(view.dots),
        "quantiles": {str(share): view.quantile(share) for share in QUANTILES},
        "chances": [_chance_out(one) for one in view.chances],
        "up_to_date": not view.is_due,
    }


def _chance_out(one: BarrierChance) -> dict[str, Any]:
    return {
        "score": one.score,
        "barrier": str(one.barrier.pk) if one.barrier else None,
        "probability": round(one.once, 4),
        "spoken": one.spoken.words,
        "probability_within_five": round(one.within, 4),
        "spoken_within_five": one.spoken_within.words,
        "median_rounds": one.rounds,
        "median_weeks": round(one.weeks, 1) if one.weeks is not None else None,
        "dots": one.n_dots,
    }


class ProgressQuery(fields.Strict):
    tee = fields.Id()


class OwnProgress(Endpoint):
    """Your rounds carried to one tee, with the level after each. It never looks ahead. Yours alone."""

    query = frozenset(ProgressQuery().fields)

    @extend_schema(parameters=[ProgressQuery], responses={200: ProgressOut})
    def get(self, request: Request) -> Response:
        player = access.own_player(self.account)
        tee = access.tee_for(self.account, self.parameters(ProgressQuery)["tee"])
        view = progress.progress_of(player, tee, None)
        if isinstance(view, NoOutlook):
            reason = view.reason
            body: dict[str, Any] = {"reason": reason, "best": None, "usual": None, "points": [], "changes": []}
            return Response({"tee": str(tee.pk), "n": view.n, **body, "lately": "", "last_round": ""})
        points = [
            {
                "day": point.day.isoformat(),
                "gross": point.made,
                "carried": round(point.score, 2),
                "level": round(point.level, 2),
                "low": round(point.low, 2),
                "high": round(point.high, 2),
            }
            for point in view.points
        ]
        return Response(
            {
                "tee": str(tee.pk),
                "n": view.n,
                "reason": "",
                "best": view.best,
                "usual": round(view.usual, 2),
                "points": points,
                "changes": list(view.changes),
                "lately": view.lately,
                "last_round": view.last_words,
            }
        )


class LadderQuery(fields.Strict):
    barrier = fields.AskedNumber(
        LOWEST_BARRIER,
        HIGHEST_BARRIER,
        help_text="One of your open barriers, or the one spoken of when none is open.",
    )


class OwnLadder(Endpoint):
    """Where the strokes go between your usual score and a barrier, and what would change the chance. Yours alone."""

    query = frozenset(LadderQuery().fields)

    @extend_schema(parameters=[LadderQuery], responses={200: LadderOut})
    def get(self, request: Request) -> Response:
        player = access.own_player(self.account)
        score = self.parameters(LadderQuery)["barrier"]
        view = progress.ladder_of(player, score)
        if view is None:
            return Response({"barrier": score, "gap": None, "n_rounds": 0, "n": 0, "leaks": [], "what_if": []})
        body = asdict(view)
        return Response({"barrier": body.pop("score"), **body})


class BudgetQuery(fields.Strict):
    barrier = fields.AskedNumber(LOWEST_BARRIER, HIGHEST_BARRIER)
    pars = fields.AskedNumber(0, 18, required=False, help_text="Left out, without birdies: a few counts of them.")
    birdies = fields.AskedNumber(0, 18, required=False)


class TeeBudget(Endpoint):
    """What a barrier allows on a tee: a personal par for each hole, adding up to its last allowed score."""

    query = frozenset(BudgetQuery().fields)

    @extend_schema(parameters=[BudgetQuery], responses={200: BudgetOut})
    def get(self, request: Request, tee_id: UUID) -> Response:
        tee = access.tee_for(self.account, tee_id)
        asked = self.parameters(BudgetQuery)
        pars, birdies = asked.get("pars"), asked.get("birdies", 0)
        if (pars or 0) + birdies > 18:
            raise invalid([FieldError("pars", "range", "Pars and birdies together are at most 18.")])
        asked_pars = progress.PARS_ASKED if pars is None and not birdies else (pars or 0,)
        found = progress.budget_of(tee, asked["barrier"], asked_pars, birdies)
        names = ("number", "par", "stroke_index", "personal_par")
        holes = [dict(zip(names, hole, strict=True)) for hole in found.holes]
        body = {"barrier": found.barrier, "par": found.par, "over": found.over, "holes": holes}
        return Response({**body, "words": list(found.affords)})


class JudgementQuery(fields.Strict):
    group = fields.Id(required=False, help_text="Left out: the whole installation.")


class OutlooksJudged(Endpoint):
    """How often “1 in 4” came true, and how the outlooks compare with plainer ways; of all, or of a group of yours."""

    query = frozenset(JudgementQuery().fields)

    @extend_schema(parameters=[JudgementQuery], responses={200: JudgementOut})
    def get(self, request: Request) -> Response:
        asked = self.parameters(JudgementQuery)
        group = access.group_for(self.account, asked["group"]).group if "group" in asked else None
        found = progress.judgement_of(group)
        if found is None:
            return Response({"n_rounds": 0, "computed_at": None, "told": None})
        body = {"n_rounds": found.n_rounds, "computed_at": found.computed_at.isoformat(), "told": found.told}
        return Response(body)


class StripOut(serializers.Serializer[Any]):
    player = NamedOut()
    scores = serializers.ListField(child=serializers.IntegerField(), help_text="The last ten, oldest first.")
    last = fields.Whole(1, 450, allow_null=True)
    usual = serializers.ListField(
        child=serializers.IntegerField(), allow_null=True, help_text="Lowest and highest but the best and the worst."
    )
    barrier = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER, allow_null=True)
    to_go = fields.Tenths(allow_null=True, help_text="From the mean of the last ten down to the barrier's last score.")


class StripsOut(serializers.Serializer[Any]):
    results = StripOut(many=True)
    next = serializers.CharField(allow_null=True)
    count = fields.Whole(0, 9999)


class GroupStrip(Endpoint):
    """Recent scores of the group beside their barriers, nearest first, without those who show the index only."""

    @extend_schema(responses={200: StripsOut})
    def get(self, request: Request, group_id: UUID) -> Response:
        joined = access.group_for(self.account, group_id)
        lines = progress.group_strip(joined.group, joined.membership.player, names_in(joined.group))
        return Response({"results": [_strip_out(line) for line in lines], "next": None, "count": len(lines)})


def _strip_out(line: StripLine) -> dict[str, Any]:
    row = line.row
    return {
        "player": {"id": str(line.player_id), "name": row.name},
        "scores": list(row.recent),
        "last": row.recent[-1] if row.recent else None,
        "usual": list(row.bar) if row.bar else None,
        "barrier": row.barrier,
        "to_go": as_decimal(row.to_go) if row.to_go is not None else None,
    }


class MateBarriers(Endpoint):
    """The barriers of somebody in your group, but those that are hidden."""

    @extend_schema(responses={200: BarriersOut})
    def get(self, request: Request, player_id: UUID) -> Response:
        seen = access.player_for(self.account, player_id)
        held = Barrier.objects.filter(player=seen.row).order_by("-score", "pk")
        if seen.relation != access.Relation.OWNER:
            held = held.filter(is_hidden=False)
        return Response({"results": [barrier_out(one) for one in held], "next": None, "count": len(held)})


urlpatterns: list[URLPattern | URLResolver] = [
    path("barriers/", Barriers.as_view(), name="api-barriers"),
    path("barriers/<uuid:barrier_id>/", BarrierDetail.as_view(), name="api-barrier"),
    path("players/<uuid:player_id>/barriers/", MateBarriers.as_view(), name="api-player-barriers"),
    path("groups/<uuid:group_id>/strip/", GroupStrip.as_view(), name="api-group-strip"),
    path("me/outlook/", OwnOutlook.as_view(), name="api-outlook"),
    path("me/ladder/", OwnLadder.as_view(), name="api-ladder"),
    path("me/progress/", OwnProgress.as_view(), name="api-progress"),
    path("tees/<uuid:tee_id>/budget/", TeeBudget.as_view(), name="api-tee-budget"),
    path("outlooks/judged/", OutlooksJudged.as_view(), name="api-judgement"),
]
