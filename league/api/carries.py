"""The carry book over the API: clubs, what is known of each, measured shots, and what the day makes of them."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path, reverse
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem
from league.api.fields import NEEDED, Choice, Day, Flag, Id, Many, Strict, Text, Whole
from league.api.paging import QUERY as PAGING
from league.api.paging import page, page_of
from league.estimates.conditions import (
    ALTITUDES,
    GROUNDS,
    TEMPERATURES,
    WIND_FROM,
    WIND_SPEEDS,
    Conditions,
    playing_length,
)
from league.models import Club, LengthUnit, Shot
from league.models.carries import ClubKind, Curve
from league.reports import carries as reports
from league.reports.carries import BookTold, ClubTold
from league.reports.courses import index_of
from league.services import carries as services
from league.services.errors import Stale

NOTE = 120
MOST_AT_ONCE = 200


class BookIn(Strict):
    """The book without its clubs; what is left out is empty."""

    length_unit = Choice(LengthUnit, help_text="Another unit converts every club and shot.")
    liked_distance = Whole(1, services.LONGEST_CARRY, required=False, allow_null=True)
    from_rough = Text(NOTE, required=False, allow_blank=True)
    from_bare = Text(NOTE, required=False, allow_blank=True)
    ball_above = Text(NOTE, required=False, allow_blank=True)
    ball_below = Text(NOTE, required=False, allow_blank=True)


class ClubIn(Strict):
    name = Text(30)
    kind = Choice(ClubKind)
    loft_tenths = Whole(0, 900, required=False, allow_null=True)
    carry = Whole(0, 999, required=False, allow_null=True)
    long_spread = Whole(0, 999, required=False, allow_null=True, help_text="Standard deviation in length.")
    wide_tenths = Whole(0, 999, required=False, allow_null=True, help_text="In direction, tenths of a degree.")
    curve = Choice(Curve, required=False)
    curve_by = Whole(0, 999, required=False, allow_null=True)
    is_carried = Flag(required=False)


class ShotIn(Strict):
    carry = Whole(0, 999)
    off_line = Whole(-999, 999, required=False, allow_null=True, help_text="Right is positive.")
    hit_on = Day(required=False, allow_null=True)


class Shots(Many):
    child = ShotIn()

    def to_internal_value(self, data: Any) -> list[Any]:
        if isinstance(data, list) and not 1 <= len(data) <= MOST_AT_ONCE:
            raise serializers.ValidationError(f"Send 1 to {MOST_AT_ONCE} shots at once.", code="list_length")
        return super().to_internal_value(data)


class ShotsIn(Strict):
    shots = Shots()


class StarterIn(Strict):
    drive = Whole(0, 999, required=False, allow_null=True, help_text="Roll included; empty: the published mean.")


@extend_schema_field({"type": "number", "minimum": -10000, "maximum": 10000})
class Number(serializers.Field[float, Any, float, Any]):
    """A number in an address, such as 7.5 or -3."""

    default_error_messages = NEEDED

    def to_internal_value(self, data: Any) -> float:
        try:
            value = float(data)
        except ValueError:
            value = float("nan")
        if value != value or abs(value) > 10_000 or not set(data) <= set("0123456789.-"):
            raise serializers.ValidationError("Enter a number, such as 7.5 or -3.", code="number")
        return value


class DayQuery(Strict):
    temperature = Number(required=False)
    wind = Choice([speed for speed in WIND_SPEEDS if speed], required=False)
    wind_from = Choice([side for side in WIND_FROM if side], required=False)
    ground = Choice([ground for ground in GROUNDS if ground], required=False)
    altitude = Number(required=False)
    rise = Number(required=False)
    distance = Number(required=False, help_text="A shot, in the unit of the book, whose `playing` length is asked.")


class CarryOut(serializers.Serializer[Any]):
    value = serializers.FloatField()
    low = serializers.FloatField(help_text="The usual carry lies from `low` to `high` 95 times in 100.")
    high = serializers.FloatField()
    n = serializers.IntegerField(help_text="Measured shots that it rests on.")
    long_sd = serializers.FloatField()
    wide_sd = serializers.FloatField(help_text="Degrees.")
    curve = serializers.FloatField(help_text="Off its starting line, right positive.")
    four_in_five = serializers.ListField(child=serializers.FloatField())
    is_published = Flag(help_text="The spread rests on published figures more than on your own.")


class ClubOut(serializers.Serializer[Any]):
    id = Id()
    name = Text(30)
    kind = Choice(ClubKind)
    loft_tenths = serializers.IntegerField(allow_null=True)
    carry = serializers.IntegerField(allow_null=True)
    long_spread = serializers.IntegerField(allow_null=True)
    wide_tenths = serializers.IntegerField(allow_null=True)
    curve = Choice(Curve)
    curve_by = serializers.IntegerField(allow_null=True)
    is_carried = Flag()
    version = serializers.IntegerField()
    n_shots = serializers.IntegerField()
    usual = CarryOut(allow_null=True)
    reason = serializers.CharField(allow_blank=True, help_text="Why there is no usual carry, when there is none.")


class BookOut(serializers.Serializer[Any]):
    version = serializers.IntegerField(help_text="0 while nothing is written.")
    length_unit = Choice(LengthUnit)
    liked_distance = serializers.IntegerField(allow_null=True)
    from_rough = Text(NOTE)
    from_bare = Text(NOTE)
    ball_above = Text(NOTE)
    ball_below = Text(NOTE)
    level = serializers.FloatField(allow_null=True, help_text="Expected differential, for the published figures.")
    clubs = ClubOut(many=True)


class ShotOut(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    carry = serializers.IntegerField()
    off_line = serializers.IntegerField(allow_null=True)
    hit_on = Day(allow_null=True)


class ShotsOut(serializers.Serializer[Any]):
    shots = ShotOut(many=True)


class ClubTodayOut(serializers.Serializer[Any]):
    name = serializers.CharField()
    usual = serializers.FloatField()
    carry = serializers.FloatField()
    roll = serializers.FloatField()
    aside = serializers.FloatField(help_text="Where the wind takes it, right positive.")


class PlayingOut(serializers.Serializer[Any]):
    distance = serializers.FloatField(help_text="As it measures.")
    plays = serializers.FloatField(help_text="To a tenth.")
    reasons = serializers.ListField(
        child=serializers.CharField(), help_text="What adds or takes off half a unit or more, with its source."
    )


class TodayOut(serializers.Serializer[Any]):
    length_unit = Choice(LengthUnit)
    playing = PlayingOut(allow_null=True, help_text="null where no `distance` is asked.")
    clubs = ClubTodayOut(many=True)


def book_body(told: BookTold) -> dict[str, Any]:
    notes = ("from_rough", "from_bare", "ball_above", "ball_below")
    return {
        "version": told.version,
        "length_unit": told.length_unit,
        "liked_distance": told.liked_distance,
        **{name: getattr(told.book, name) if told.book else "" for name in notes},
        "level": told.level,
        "clubs": [club_body(one) for one in told.clubs],
    }


def club_body(one: ClubTold) -> dict[str, Any]:
    club = one.club
    names = ("name", "kind", "loft_tenths", "carry", "long_spread", "wide_tenths", "curve", "curve_by", "is_carried")
    return {
        "id": str(club.pk),
        **{name: getattr(club, name) for name in names},
        "version": club.version,
        "n_shots": one.n_shots,
        "usual": _usual(one),
        "reason": one.reason,
    }


def _usual(one: ClubTold) -> dict[str, Any] | None:
    if one.told is None or one.sure is None or one.four_in_five is None:
        return None
    return {
        "value": one.sure.value,
        "low": one.sure.low,
        "high": one.sure.high,
        "n": one.n_shots,
        "long_sd": one.told.long_sd,
        "wide_sd": one.told.wide_sd,
        "curve": one.told.curve,
        "four_in_five": list(one.four_in_five),
        "is_published": one.told.is_published,
    }


def shot_body(shot: Shot) -> dict[str, Any]:
    day = None if shot.hit_on is None else shot.hit_on.isoformat()
    return {"id": shot.pk, "carry": shot.carry, "off_line": shot.off_line, "hit_on": day}


class CarryEndpoint(Endpoint):
    def told(self) -> BookTold:
        return reports.carry_book(access.own_player(self.account))

    def club_told(self, club: Club) -> dict[str, Any]:
        return next(club_body(one) for one in self.told().clubs if one.club.pk == club.pk)


class CarryBookDetail(CarryEndpoint):
    @extend_schema(responses=BookOut)
    def get(self, request: Request) -> Response:
        told = self.told()
        return tagged(Response(book_body(told)), told.version)

    @extend_schema(request=BookIn, responses=BookOut)
    def put(self, request: Request) -> Response:
        """The book without its clubs. `If-Match` names the version that was read, "0" where there is none yet."""
        me = access.own_player(self.account)
        seen = self.told()
        self.require_match(request, seen.version, lambda: book_body(seen))
        facts = services.BookFacts(**self.read(BookIn))
        try:
            services.change_book(player=me, facts=facts, if_version=seen.version)
        except Stale:
            raise Problem("stale", members={"yours": self.payload(), "stored": book_body(self.told())}) from None
        told = self.told()
        return tagged(Response(book_body(told)), told.version)


class CarryBookClubs(CarryEndpoint):
    @extend_schema(request=ClubIn, responses={201: ClubOut})
    def post(self, request: Request) -> Response:
        me = access.own_player(self.account)
        facts = services.ClubFacts(**self.read(ClubIn))

        def act() -> Answer:
            made = services.add_club(player=me, facts=facts)
            where = {"Location": reverse("api-club", args=[made.pk]), "ETag": f'"{made.version}"'}
            return Answer(self.club_told(made), headers=where)

        return self.once(request, act)


class CarryBookStarter(CarryEndpoint):
    @extend_schema(request=StarterIn, responses=BookOut)
    def post(self, request: Request) -> Response:
        """A usual set as a first guess, into an empty book. Lofts and shares are common practice, from memory."""
        me = access.own_player(self.account)
        drive = self.read(StarterIn).get("drive")

        def act() -> Answer:
            index = index_of(me)
            services.take_starter_set(player=me, drive=drive, index=None if index is None else float(index))
            told = self.told()
            return Answer(book_body(told), 200, {"ETag": f'"{told.version}"'})

        return self.once(request, act)


class ClubDetail(CarryEndpoint):
    @extend_schema(responses=ClubOut)
    def get(self, request: Request, club_id: UUID) -> Response:
        club = access.own_club(self.account, club_id)
        return tagged(Response(self.club_told(club)), club.version)

    @extend_schema(request=ClubIn, responses=ClubOut)
    def patch(self, request: Request, club_id: UUID) -> Response:
        club = access.own_club(self.account, club_id)
        self.require_match(request, club.version, lambda: self.club_told(club))
        sent = self.read(ClubIn)
        stands = {name: getattr(club, name) for name in services.ClubFacts.__dataclass_fields__}
        try:
            changed = services.change_club(
                club=club, facts=services.ClubFacts(**{**stands, **sent}), if_version=club.version
            )
        except Stale as late:
            stored = self.club_told(late.stored)  # type: ignore[arg-type]
            raise Problem("stale", members={"yours": self.payload(), "stored": stored}) from None
        return tagged(Response(self.club_told(changed)), changed.version)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, club_id: UUID) -> Response:
        club = access.own_club(self.account, club_id)
        self.require_match(request, club.version, lambda: self.club_told(club))
        services.remove_club(club=club, if_version=club.version)
        return Response(status=204)


class ClubShots(CarryEndpoint):
    query = PAGING

    @extend_schema(responses=page_of(ShotOut))
    def get(self, request: Request, club_id: UUID) -> Response:
        club = access.own_club(self.account, club_id)
        return Response(page(self, Shot.objects.filter(club=club), shot_body, ("id",)))

    @extend_schema(request=ShotsIn, responses=ShotsOut)
    def post(self, request: Request, club_id: UUID) -> Response:
        club = access.own_club(self.account, club_id)
        shots = [services.ShotFacts(**shot) for shot in self.read(ShotsIn)["shots"]]

        def act() -> Answer:
            made = services.add_shots(club=club, shots=shots)
            return Answer({"shots": [shot_body(shot) for shot in made]}, 200)

        return self.once(request, act)


class ShotDetail(CarryEndpoint):
    @extend_schema(responses=ShotOut)
    def get(self, request: Request, club_id: UUID, number: int) -> Response:
        return Response(shot_body(access.own_shot(self.account, club_id, number)))

    @extend_schema(responses={204: None})
    def delete(self, request: Request, club_id: UUID, number: int) -> Response:
        services.remove_shot(shot=access.own_shot(self.account, club_id, number))
        return Response(status=204)


class CarriesToday(CarryEndpoint):
    query = frozenset({"temperature", "wind", "wind_from", "ground", "altitude", "rise", "distance"})

    @extend_schema(parameters=[DayQuery], responses=TodayOut)
    def get(self, request: Request) -> Response:
        """What the day makes of each club, and how long a shot of `distance` plays.

        Degrees Celsius, metres of height; `rise` and `distance` in the book's unit. The rules and their sources:
        `conditions`.
        """
        asked = self.parameters(DayQuery)
        told, day, rise = self.told(), _day_of(asked), asked.get("rise", 0.0)
        names = ("name", "usual", "carry", "roll", "aside")
        return Response(
            {
                "length_unit": told.length_unit,
                "playing": _playing(asked["distance"], day, rise) if "distance" in asked else None,
                "clubs": [{name: getattr(one, name) for name in names} for one in told.today(day, rise)],
            }
        )


def _playing(distance: float, day: Conditions, rise: float) -> dict[str, Any]:
    playing = playing_length(distance, day, rise)
    return {"distance": distance, "plays": playing.distance, "reasons": list(playing.reasons)}


def _day_of(asked: dict[str, Any]) -> Conditions:
    bounds = {"temperature": TEMPERATURES, "altitude": ALTITUDES, "rise": (-100, 100), "distance": (1, 999)}
    errors = [
        FieldError(name, "range", f"Enter {lowest} to {highest}.")
        for name, (lowest, highest) in bounds.items()
        if name in asked and not lowest <= asked[name] <= highest
    ]
    if ("wind" in asked) != ("wind_from" in asked):
        missing = "wind_from" if "wind" in asked else "wind"
        errors.append(FieldError(missing, "required", "A wind has a strength and a side it comes from."))
    if errors:
        raise Problem("invalid_parameter", errors=errors)
    return Conditions(
        temperature_c=asked.get("temperature"),
        wind_speed=asked.get("wind", ""),
        wind_from=asked.get("wind_from", ""),
        ground=asked.get("ground", ""),
        altitude_m=asked.get("altitude"),
    )


urlpatterns: list[URLPattern | URLResolver] = [
    path("carry-book/", CarryBookDetail.as_view(), name="api-carry-book"),
    path("carry-book/clubs/", CarryBookClubs.as_view(), name="api-clubs"),
    path("carry-book/starter/", CarryBookStarter.as_view(), name="api-starter-set"),
    path("carry-book/today/", CarriesToday.as_view(), name="api-carries-today"),
    path("carry-book/clubs/<uuid:club_id>/", ClubDetail.as_view(), name="api-club"),
    path("carry-book/clubs/<uuid:club_id>/shots/", ClubShots.as_view(), name="api-club-shots"),
    path("carry-book/clubs/<uuid:club_id>/shots/<int:number>/", ShotDetail.as_view(), name="api-shot"),
]
