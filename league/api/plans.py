"""Plans over the API: made, read, changed by hole, worked out anew, answered after the round. The owner's alone."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django.http import Http404
from django.urls import URLPattern, URLResolver, path, reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem, invalid
from league.api.fields import Choice, Day, Flag, Id, Many, Strict, Text, Whole
from league.api.paging import QUERY as PAGING
from league.api.paging import page, page_of
from league.estimates.conditions import ALTITUDES, GROUNDS, TEMPERATURES, WIND_FROM, WIND_SPEEDS
from league.estimates.plan import Material
from league.models import Plan, Round, Tee
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.models.plans import Stance
from league.reports import plans as reports
from league.rules.errors import RuleBroken
from league.services import plans as services
from league.services.errors import Stale
from league.services.rounds import today_at


class WindIn(Strict):
    number = Whole(1, 18)
    wind_from = Choice([side for side in WIND_FROM if side], help_text="Seen along the hole.")


class Winds(Many):
    child = WindIn()

    def to_internal_value(self, data: Any) -> list[Any]:
        found = super().to_internal_value(data)
        if len({one["number"] for one in found}) < len(found):
            raise serializers.ValidationError("Each hole stands once.", code="twice")
        return found


class ConditionsIn(Strict):
    """The day. What is left out is as usual, or not known."""

    temperature_c = Whole(*TEMPERATURES, required=False, allow_null=True)
    wind_speed = Choice([speed for speed in WIND_SPEEDS if speed], required=False, allow_null=True)
    wind = Winds(required=False)
    ground = Choice([ground for ground in GROUNDS if ground], required=False, allow_null=True)
    altitude_m = Whole(*ALTITUDES, required=False, allow_null=True, help_text="Above where the carries come from.")


class PlanIn(Strict):
    tee = Id()
    barrier = Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    for_day = Day(required=False, allow_null=True)
    conditions = ConditionsIn(required=False)


class AnewIn(Strict):
    """What is left out stays."""

    barrier = Whole(LOWEST_BARRIER, HIGHEST_BARRIER, required=False)
    for_day = Day(required=False, allow_null=True)
    conditions = ConditionsIn(required=False)


class HoleIn(Strict):
    """What is left out stays. `personal_par` null frees the hole; an empty text is as worked out."""

    personal_par = Whole(1, 15, required=False, allow_null=True)
    stance = Choice([*Stance.values, ""], required=False)
    club = Text(services.LONGEST_CLUB, required=False, allow_blank=True)
    note = Text(services.LONGEST_NOTE, required=False, allow_blank=True)


class KeptHoleIn(Strict):
    number = Whole(1, 18)
    is_kept = Flag(allow_null=True, help_text="null takes an answer back.")


class KeptHoles(Many):
    child = KeptHoleIn()

    def to_internal_value(self, data: Any) -> list[Any]:
        if isinstance(data, list) and len(data) > 18:
            raise serializers.ValidationError("At most eighteen holes.", code="list_length")
        return super().to_internal_value(data)


class KeptIn(Strict):
    round = Id(help_text="Your round on this tee that the plan was for.")
    holes = KeptHoles()


class ConditionsOut(serializers.Serializer[Any]):
    """As they are sent; what is left out is as usual, or not known."""

    temperature_c = serializers.IntegerField(required=False)
    wind_speed = serializers.CharField(required=False)
    wind = WindIn(many=True, required=False)
    ground = serializers.CharField(required=False)
    altitude_m = serializers.IntegerField(required=False)


class ChanceOut(serializers.Serializer[Any]):
    before = serializers.FloatField(help_text="By the outlook, without the plan.")
    after = serializers.FloatField()
    low = serializers.FloatField(help_text="`after` lies from `low` to `high` 19 times in 20.")
    high = serializers.FloatField()
    saved = serializers.FloatField(help_text="Strokes a round that the clubs of the plan are expected to save.")
    draw_error = serializers.FloatField()
    n_holes = serializers.IntegerField()


class ShotOut(serializers.Serializer[Any]):
    """One shot as the plan has it, from the tee to the green."""

    number = Whole(1, 9)
    club = serializers.CharField()
    covers = serializers.IntegerField(help_text="The shots of a hole cover its length together.")
    leaves = serializers.IntegerField(help_text="To the middle of the green; 0 for the shot at it.")
    chance_green = serializers.FloatField(allow_null=True, help_text="Of the shot at the green alone.")
    lost = serializers.FloatField(help_text="How often it ends out of bounds or in a penalty area.")
    lost_words = serializers.CharField(help_text="In which of them most often.")
    words = serializers.CharField(help_text="Empty for the tee shot, which has `tee_words`.")
    other = serializers.CharField(help_text="The lay-up, taken or not, and what it costs.")


class TriedOut(serializers.Serializer[Any]):
    club = serializers.CharField()
    words = serializers.CharField()
    costs = serializers.FloatField(help_text="Strokes more than the club that is advised.")


class RuleOut(serializers.Serializer[Any]):
    kind = serializers.CharField(help_text="way_out, chip, first_putt, three_more; empty in an old plan.")
    words = serializers.CharField()
    chance = serializers.FloatField(
        allow_null=True, help_text="That the words rest on; of a way out, how often the gap must work to be worth it."
    )
    rests_on = serializers.CharField()


class PlanHoleOut(serializers.Serializer[Any]):
    number = Whole(1, 18)
    name = serializers.CharField()
    par = Whole(3, 6)
    stroke_index = Whole(1, 18)
    length = serializers.IntegerField(allow_null=True)
    plays = serializers.IntegerField(allow_null=True, help_text="null: as long as it is.")
    personal_par = Whole(1, 15)
    made_in = serializers.CharField(help_text="How that score is made with plain shots.")
    due = serializers.IntegerField(help_text="Strokes that may have been played after this hole.")
    is_fixed = Flag()
    moved = serializers.IntegerField(help_text="Against the plan without anything fixed by hand.")
    stance = Choice(Stance)
    stance_is_own = Flag()
    reason = serializers.CharField()
    club = serializers.CharField()
    club_is_own = Flag()
    aim = serializers.CharField()
    tee_words = serializers.CharField()
    runner_up = serializers.CharField(help_text="The club that is next best from the tee; empty where no other is.")
    price = serializers.CharField(help_text="What the bolder club gains and costs, and what the runner-up costs.")
    tried = TriedOut(many=True, help_text="Every club that was tried from the tee, longest first.")
    own_club_words = serializers.CharField(help_text="Of a club taken instead of the one worked out.")
    safe_side = serializers.CharField()
    approach_club = serializers.CharField(help_text="Of the second shot, but on a par 3.")
    approach_words = serializers.CharField()
    lay_up = serializers.CharField()
    shots = ShotOut(many=True)
    rules = RuleOut(many=True)
    practice = serializers.ListField(child=serializers.CharField())
    note = serializers.CharField(help_text="From the description of the hole.")
    own_note = serializers.CharField()
    expected = serializers.FloatField(allow_null=True)
    n_cards = serializers.IntegerField()
    blow_up = serializers.FloatField(
        allow_null=True, help_text="How often two over what the barrier allows on every hole, or worse."
    )
    unknown = serializers.ListField(child=serializers.CharField())
    is_kept = Flag(allow_null=True)


class PlanOut(serializers.Serializer[Any]):
    id = Id()
    version = serializers.IntegerField()
    tee = Id()
    barrier = Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    for_day = Day(allow_null=True)
    conditions = ConditionsOut()
    round = Id(allow_null=True)
    length_unit = serializers.CharField()
    par = serializers.IntegerField()
    last = serializers.IntegerField(help_text="The barrier's last allowed score; the personal pars add up to it.")
    basis = serializers.CharField()
    chance = ChanceOut(allow_null=True)
    chance_reason = serializers.CharField()
    unknown = serializers.ListField(child=serializers.CharField())
    worked_out_at = serializers.DateTimeField()
    holes = PlanHoleOut(many=True)


class PlanLineOut(serializers.Serializer[Any]):
    id = Id()
    version = serializers.IntegerField()
    tee = Id()
    barrier = Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    for_day = Day(allow_null=True)
    round = Id(allow_null=True)


class GainOut(serializers.Serializer[Any]):
    value = serializers.FloatField(help_text="Strokes a hole fewer where the plan was kept.")
    low = serializers.FloatField()
    high = serializers.FloatField()
    n = serializers.IntegerField(help_text="Rounds.")


class KeptOut(serializers.Serializer[Any]):
    n_kept = serializers.IntegerField()
    n_left = serializers.IntegerField()
    n_rounds = serializers.IntegerField()
    gain = GainOut(allow_null=True)
    words = serializers.CharField()


HOLE_NAMES = tuple(map(str, PlanHoleOut().fields))


def plan_body(plan: Plan) -> dict[str, Any]:
    told = reports.plan_told(plan)
    return {
        **_line(plan),
        "conditions": _conditions_told(plan.conditions),
        "length_unit": told.told["unit"],
        **{name: told.told[name] for name in ("par", "last", "basis", "chance", "chance_reason", "unknown")},
        "worked_out_at": plan.worked_out_at,
        "holes": [{name: hole[name] for name in HOLE_NAMES} for hole in told.holes],
    }


def _conditions_told(stored: Mapping[str, Any]) -> dict[str, Any]:
    """In the form in which they are sent."""
    if "wind" not in stored:
        return dict(stored)
    wind = [{"number": int(number), "wind_from": side} for number, side in stored["wind"].items()]
    return {**stored, "wind": wind}


def _line(plan: Plan) -> dict[str, Any]:
    return {
        "id": str(plan.pk),
        "version": plan.version,
        "tee": str(plan.tee_id),
        "barrier": plan.barrier,
        "for_day": plan.for_day.isoformat() if plan.for_day else None,
        "round": str(plan.round_id) if plan.round_id else None,
    }


class PlanEndpoint(Endpoint):
    def again(self, plan_id: UUID) -> Plan:
        return access.own_plan(self.account, plan_id)

    def material(self, tee: Tee, facts: services.PlanFacts) -> Material:
        player = access.own_player(self.account)
        return reports.material_for(player, tee, facts.barrier, facts.for_day, facts.conditions)

    def answer(self, plan_id: UUID) -> Response:
        plan = self.again(plan_id)
        return tagged(Response(plan_body(plan)), plan.version)

    def stale(self, plan_id: UUID) -> Problem:
        return Problem("stale", members={"yours": self.payload(), "stored": plan_body(self.again(plan_id))})


def conditions_sent(sent: dict[str, Any]) -> dict[str, Any]:
    """As they are stored; what stands against them is named by where it was sent."""
    wind = {one["number"]: one["wind_from"] for one in sent.get("wind", ())}
    given = {name: value for name, value in sent.items() if name != "wind" and value is not None}
    try:
        return services.conditions_of(**given, wind=wind)
    except RuleBroken as broken:
        field = f"conditions.{broken.field}"
        raise invalid([FieldError(field, broken.code, broken.message)], "rule_broken") from None


class Plans(PlanEndpoint):
    query = PAGING

    @extend_schema(responses=page_of(PlanLineOut))
    def get(self, request: Request) -> Response:
        """Your plans, the newest first."""
        held = Plan.objects.filter(player=access.own_player(self.account))
        return Response(page(self, held, _line, ("-created_at", "pk")))

    @extend_schema(request=PlanIn, responses={201: PlanOut})
    def post(self, request: Request) -> Response:
        """A plan for eighteen holes, worked out from what is known now."""
        player = access.own_player(self.account)
        sent = self.read(PlanIn)
        tee = self._tee(sent["tee"])
        day: date | None = sent.get("for_day")

        def act() -> Answer:
            conditions = conditions_sent(sent.get("conditions", {}))
            facts = services.PlanFacts(barrier=sent["barrier"], for_day=day, conditions=conditions)
            material, today = self.material(tee, facts), today_at(tee, player)
            made = services.make_plan(player=player, tee=tee, facts=facts, material=material, from_day=today)
            where = {"Location": reverse("api-plan", args=[made.pk]), "ETag": f'"{made.version}"'}
            return Answer(plan_body(self.again(made.pk)), headers=where)

        return self.once(request, act)

    def _tee(self, tee_id: UUID) -> Tee:
        try:
            return access.tee_for(self.account, tee_id)
        except Http404:
            raise invalid([FieldError("tee", "id", "Send the id of something you can see.")]) from None


class PlanDetail(PlanEndpoint):
    @extend_schema(responses=PlanOut)
    def get(self, request: Request, plan_id: UUID) -> Response:
        return self.answer(plan_id)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, plan_id: UUID) -> Response:
        plan = self.again(plan_id)
        self.require_match(request, plan.version, lambda: plan_body(plan))
        services.remove_plan(plan=plan, if_version=plan.version)
        return Response(status=204)


class PlanHole(PlanEndpoint):
    @extend_schema(request=HoleIn, responses=PlanOut)
    def patch(self, request: Request, plan_id: UUID, number: int) -> Response:
        """One hole by hand; the others re-balance, and the sum stays. Answers the whole plan."""
        plan = self.again(plan_id)
        own = next((hole for hole in plan.holes.all() if hole.number == number), None)
        if own is None:
            raise Http404
        self.require_match(request, plan.version, lambda: plan_body(plan))
        stands = {
            "personal_par": own.personal_par if own.is_fixed else None,
            "stance": own.stance,
            "club": own.club,
            "note": own.note,
        }
        change = services.HoleChange(**{**stands, **self.read(HoleIn)})
        try:
            services.change_hole(plan=plan, number=number, change=change, if_version=plan.version)
        except Stale:
            raise self.stale(plan_id) from None
        return self.answer(plan_id)


class PlanAnew(PlanEndpoint):
    @extend_schema(request=AnewIn, responses=PlanOut)
    def post(self, request: Request, plan_id: UUID) -> Response:
        """Worked out with what is known now; what was fixed by hand stays fixed. Send If-Match."""
        plan = self.again(plan_id)
        sent = self.read(AnewIn)

        def act() -> Answer:
            fresh = self.again(plan_id)
            self.require_match(request, fresh.version, lambda: plan_body(fresh))
            conditions = conditions_sent(sent["conditions"]) if "conditions" in sent else fresh.conditions
            facts = services.PlanFacts(
                barrier=sent.get("barrier", fresh.barrier),
                for_day=sent.get("for_day", fresh.for_day),
                conditions=conditions,
            )
            material = self.material(plan.tee, facts)
            try:
                services.work_out_anew(
                    plan=fresh,
                    facts=facts,
                    material=material,
                    if_version=fresh.version,
                    from_day=today_at(plan.tee, fresh.player),
                )
            except Stale:
                raise self.stale(plan_id) from None
            done = self.again(plan_id)
            return Answer(plan_body(done), 200, {"ETag": f'"{done.version}"'})

        return self.once(request, act)


class PlanKept(PlanEndpoint):
    @extend_schema(request=KeptIn, responses=PlanOut)
    def put(self, request: Request, plan_id: UUID) -> Response:
        """Lays the plan beside its round and answers, hole by hole, whether it was kept."""
        plan = self.again(plan_id)
        self.require_match(request, plan.version, lambda: plan_body(plan))
        sent = self.read(KeptIn)
        played = self._round(sent["round"])
        answers = {one["number"]: one["is_kept"] for one in sent["holes"]}
        try:
            services.answer_kept(plan=plan, played=played, answers=answers, if_version=plan.version)
        except Stale:
            raise self.stale(plan_id) from None
        return self.answer(plan_id)

    def _round(self, round_id: UUID) -> Round:
        try:
            return access.own_round(self.account, round_id)
        except Http404:
            raise invalid([FieldError("round", "id", "Send the id of something you can see.")]) from None


class PlansKept(Endpoint):
    @extend_schema(responses=KeptOut)
    def get(self, request: Request) -> Response:
        """What keeping the plan was worth, when there is enough to tell."""
        found = reports.kept_of(access.own_player(self.account))
        gain = found.gain
        told = None if gain is None else {"value": gain.value, "low": gain.low, "high": gain.high, "n": gain.n}
        names = ("n_kept", "n_left", "n_rounds", "words")
        return Response({**{name: getattr(found, name) for name in names}, "gain": told})


urlpatterns: list[URLPattern | URLResolver] = [
    path("plans/", Plans.as_view(), name="api-plans"),
    path("plans/kept/", PlansKept.as_view(), name="api-plans-kept"),
    path("plans/<uuid:plan_id>/", PlanDetail.as_view(), name="api-plan"),
    path("plans/<uuid:plan_id>/anew/", PlanAnew.as_view(), name="api-plan-anew"),
    path("plans/<uuid:plan_id>/kept/", PlanKept.as_view(), name="api-plan-kept"),
    path("plans/<uuid:plan_id>/holes/<int:number>/", PlanHole.as_view(), name="api-plan-hole"),
]
