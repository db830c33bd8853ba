"""What a phone takes along before it goes offline, over the API."""

from typing import Any

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api import fields
from league.api.base import Endpoint
from league.models import HolesInPlay, LengthUnit, Player, Tee
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.reports.card_kit import CardKit, card_kit, holes_in_play_of
from league.rules.rounding import as_decimal


class KitHoleOut(serializers.Serializer[Any]):
    number = fields.Whole(1, 18)
    par = fields.Whole(3, 6)
    stroke_index = fields.Whole(1, 18)
    length = fields.Whole(1, 999, allow_null=True)


class KitCourseOut(serializers.Serializer[Any]):
    id = fields.Id()
    name = fields.Text(80)
    group = fields.Id(allow_null=True)


class KitRatedOut(serializers.Serializer[Any]):
    """The holes of one way to play the tee, as a course handicap needs them (Rule 6.1)."""

    holes_in_play = fields.Choice(HolesInPlay)
    course_rating = fields.Tenths()
    slope_rating = fields.Whole(55, 155)
    par = fields.Whole(27, 108)
    ranks = serializers.ListField(
        child=fields.Whole(1, 18), help_text="Of each hole in order: its place in the order in which strokes are given."
    )


class KitTeeOut(serializers.Serializer[Any]):
    id = fields.Id()
    version = fields.Whole(1, 99999)
    course = KitCourseOut()
    name = fields.Text(40)
    rated_for = fields.Text(5)
    length_unit = fields.Choice(LengthUnit)
    course_rating = fields.Tenths()
    slope_rating = fields.Whole(55, 155)
    valid_from = fields.Day(allow_null=True)
    valid_until = fields.Day(allow_null=True)
    holes_in_play = serializers.ListField(child=fields.Choice(HolesInPlay), help_text="The usual first.")
    holes = KitHoleOut(many=True)
    rated = KitRatedOut(many=True)


class KitPersonOut(serializers.Serializer[Any]):
    id = fields.Id()
    name = fields.Text(90)
    has_account = fields.Flag()
    index = fields.Tenths(allow_null=True, help_text="Unofficial, as it stands now.")
    groups = serializers.ListField(child=fields.Id(), help_text="Those of yours that they are in, guests too.")


class KitGroupOut(serializers.Serializer[Any]):
    id = fields.Id()
    name = fields.Text(80)


class KitBarrierOut(serializers.Serializer[Any]):
    id = fields.Id()
    barrier = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    tee = fields.Id(allow_null=True)
    personal_pars = serializers.JSONField(help_text="By tee: number and personal_par of each of eighteen holes.")


class KitPlanHoleOut(serializers.Serializer[Any]):
    number = fields.Whole(1, 18)
    personal_par = fields.Whole(1, 99)
    made_in = serializers.CharField(help_text="How that is made, such as “on in three, two putts”.")
    due = fields.Whole(1, 999, help_text="Strokes after this hole, when the plan is kept.")
    stance = fields.Text(8)
    reason = serializers.CharField()
    club = fields.Text(30)
    aim = serializers.CharField()
    safe_side = serializers.CharField(help_text="Where to miss.")
    lay_up = serializers.CharField()
    own_note = fields.Text(200)


class KitPlanOut(serializers.Serializer[Any]):
    id = fields.Id()
    tee = fields.Id()
    for_day = fields.Day(allow_null=True)
    barrier = fields.Whole(LOWEST_BARRIER, HIGHEST_BARRIER)
    holes = KitPlanHoleOut(many=True)


class KitUsualScoreOut(serializers.Serializer[Any]):
    tee = fields.Id()
    usual = fields.Tenths(help_text="Gross strokes over eighteen holes.")
    low = fields.Tenths(help_text="One round in ten is under it.")
    n_rounds = fields.Whole(1, 99999)


class KitDayOut(serializers.Serializer[Any]):
    played_on = fields.Day()
    orders_in_day = serializers.ListField(child=fields.Whole(1, 9))


class KitOut(serializers.Serializer[Any]):
    player = fields.Id()
    length_unit = fields.Choice(LengthUnit)
    tees = KitTeeOut(many=True)
    people = KitPersonOut(many=True)
    barriers = KitBarrierOut(many=True, help_text="Your own open ones, highest first.")
    plans = KitPlanOut(many=True, help_text="Your own that are not played yet, newest first.")
    groups = KitGroupOut(many=True, help_text="Those you are in: a card may be opened for one of them.")
    usual_scores = KitUsualScoreOut(many=True, help_text="Your own, on each tee; empty under three rounds.")
    days_played = KitDayOut(many=True, help_text="Of the last two weeks: days on which rounds of yours stand.")
    usual_tee = fields.Id(allow_null=True, help_text="Of those you last played.")


def kit_out(kit: CardKit) -> dict[str, Any]:
    return {
        "player": str(kit.player.pk),
        "length_unit": kit.player.length_unit,
        "tees": [_tee_out(tee) for tee in kit.tees],
        "people": [_person_out(kit, one, name) for one, name in kit.people],
        "groups": [{"id": str(group.pk), "name": group.name} for group in kit.groups],
        "barriers": [
            {
                "id": str(barrier.pk),
                "barrier": barrier.score,
                "tee": str(barrier.tee_id) if barrier.tee_id else None,
                "personal_pars": {
                    str(tee): [{"number": number, "personal_par": due} for number, due in holes]
                    for tee, holes in pars.items()
                },
            }
            for barrier, pars in kit.barriers
        ],
        "plans": [
            {
                "id": str(plan.pk),
                "tee": str(plan.tee_id),
                "for_day": plan.for_day.isoformat() if plan.for_day else None,
                "barrier": plan.barrier,
                "holes": holes,
            }
            for plan, holes in kit.plans
        ],
        "usual_scores": [
            {
                "tee": str(one.tee),
                "usual": round(one.usual, 1),
                "low": round(one.low, 1),
                "n_rounds": one.n_rounds,
            }
            for one in kit.usual_scores
        ],
        "days_played": [
            {"played_on": day.isoformat(), "orders_in_day": places} for day, places in kit.days_played.items()
        ],
        "usual_tee": str(kit.usual_tee) if kit.usual_tee else None,
    }


def _person_out(kit: CardKit, person: Player, name: str) -> dict[str, Any]:
    index_tenths = kit.indexes.get(person.pk)
    return {
        "id": str(person.pk),
        "name": name,
        "has_account": person.account_id is not None,
        "index": None if index_tenths is None else as_decimal(index_tenths),
        "groups": [str(group) for group in kit.places.get(person.pk, [])],
    }


def _tee_out(tee: Tee) -> dict[str, Any]:
    group = str(tee.course.group_id) if tee.course.group_id else None
    return {
        "id": str(tee.pk),
        "version": tee.version,
        "course": {"id": str(tee.course_id), "name": tee.course.name, "group": group},
        "name": tee.name,
        "rated_for": tee.rated_for,
        "length_unit": tee.length_unit,
        "course_rating": tee.course_rating_tenths / 10,
        "slope_rating": tee.slope_rating,
        "valid_from": tee.valid_from.isoformat() if tee.valid_from else None,
        "valid_until": tee.valid_until.isoformat() if tee.valid_until else None,
        "holes_in_play": holes_in_play_of(tee),
        "holes": [
            {"number": hole.number, "par": hole.par, "stroke_index": hole.stroke_index, "length": hole.length}
            for hole in tee.holes.all()
        ],
        "rated": [_rated_out(tee, holes_in_play) for holes_in_play in holes_in_play_of(tee)],
    }


def _rated_out(tee: Tee, holes_in_play: str) -> dict[str, Any]:
    rated = tee.in_play(holes_in_play)
    in_order = sorted(zip(rated.holes, rated.ranks, strict=True), key=lambda pair: pair[0].number)
    return {
        "holes_in_play": holes_in_play,
        "course_rating": rated.course_rating,
        "slope_rating": rated.slope_rating,
        "par": rated.par,
        "ranks": [rank for _, rank in in_order],
    }


class CardKitDetail(Endpoint):
    @extend_schema(responses={200: KitOut})
    def get(self, request: Request) -> Response:
        """What a phone needs before it goes offline. Barriers are your own and told to nobody else."""
        me = access.own_player(self.account)
        tees = Tee.objects.filter(course__in=access.visible_courses(self.account))
        people, groups = access.people_to_write_for(self.account), access.groups_of(self.account)
        return Response(kit_out(card_kit(me, tees, people, groups)))


urlpatterns: list[URLPattern | URLResolver] = [path("cards/kit/", CardKitDetail.as_view(), name="api-card-kit")]
