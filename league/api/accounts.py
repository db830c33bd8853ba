"""One's own account: profile, tokens, sign-ins, the archive, erasure."""

from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.auth import logout
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, invalid
from league.api.fields import NEEDED, Choice, Day, Flag, Id, Many, Strict, Text, Whole
from league.api.members import NAME, PlaceOut, StandingOut, places_body, standing_body
from league.api.paging import QUERY as PAGING
from league.api.paging import page, page_of
from league.models import Account, LengthUnit, Player, RatedFor, SignIn, Tee, Theme, Token
from league.reports import members as reports
from league.reports.leaving import person_archive
from league.services import accounts, audit, leaving, tokens
from league.services import members as services

SCOPES = ("read", "write", "journal")


@extend_schema_field({"type": "string", "maxLength": 200})
class Secret(serializers.Field[str, Any, str, Any]):
    """A password, taken to the letter."""

    default_error_messages = NEEDED

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str) or not 0 < len(data) <= 200 or "\0" in data or not data.isprintable():
            raise serializers.ValidationError("Send your password, in quotes.", code="text")
        return data


class MeChangeIn(Strict):
    name = Text(NAME, required=False)
    length_unit = Choice(LengthUnit, required=False)
    rated_for = Choice(RatedFor, required=False)
    home_tee = Id(required=False, allow_null=True)
    theme = Choice(Theme, required=False)
    is_under_18 = Flag(required=False)


class MeOut(StandingOut):
    id = Id(help_text="Your id as a player.")
    name = Text(NAME)
    email = serializers.EmailField()
    joined_on = Day()
    length_unit = Choice(LengthUnit)
    rated_for = Choice(RatedFor)
    home_tee = Id(allow_null=True)
    theme = Choice(Theme)
    is_under_18 = Flag()
    erase_due_at = serializers.DateTimeField(allow_null=True)
    groups = PlaceOut(many=True)


class PasswordIn(Strict):
    password = Secret()


class TokenIn(PasswordIn):
    name = Text(NAME)
    scopes = Many(child=Choice(SCOPES), min_length=1, max_length=3)
    days = Whole(1, 365)


class TokenOut(serializers.Serializer[Any]):
    id = Id()
    name = Text(NAME)
    scopes = serializers.ListField(child=Choice(SCOPES))
    created_at = serializers.DateTimeField()
    ends_at = serializers.DateTimeField()
    last_used_on = Day(allow_null=True)
    value = serializers.CharField(allow_null=True, help_text="In the first answer to its POST, and never again.")


class SignInOut(serializers.Serializer[Any]):
    id = Id()
    agent = Text(120)
    created_at = serializers.DateTimeField()
    last_seen_at = serializers.DateTimeField()
    is_this = Flag()


class ErasureOut(serializers.Serializer[Any]):
    due_at = serializers.DateTimeField()
    days = Whole(0, 30)


def me_body(account: Account, player: Player) -> dict[str, Any]:
    seen = reports.profile(player, access.groups_of(account))
    return {
        "id": str(player.pk),
        "name": player.name,
        "email": account.email,
        "joined_on": player.joined_on.isoformat(),
        "length_unit": player.length_unit,
        "rated_for": player.rated_for,
        "home_tee": str(player.home_tee_id) if player.home_tee_id else None,
        "theme": player.theme,
        "is_under_18": player.is_under_18,
        "erase_due_at": account.erase_due_at,
        "groups": places_body(seen.places),
        **standing_body(seen),
    }


def token_body(token: Token) -> dict[str, Any]:
    return {
        "id": str(token.pk),
        "name": token.name,
        "scopes": token.scopes,
        "created_at": token.created_at,
        "ends_at": token.ends_at,
        "last_used_on": token.last_used_on.isoformat() if token.last_used_on else None,
        "value": None,
    }


class Me(Endpoint):
    @extend_schema(responses=MeOut)
    def get(self, request: Request) -> Response:
        player = access.own_player(self.account)
        return tagged(Response(me_body(self.account, player)), player.version)

    @extend_schema(request=MeChangeIn, responses=MeOut)
    def patch(self, request: Request) -> Response:
        player = access.own_player(self.account)
        self.require_match(request, player.version, lambda: me_body(self.account, player))
        changes = self.read(MeChangeIn)
        if changes.get("home_tee"):
            changes["home_tee"] = self._tee(changes["home_tee"])
        changed = services.change_profile(player=player, actor=player, changes=changes)
        return tagged(Response(me_body(self.account, changed)), changed.version)

    def _tee(self, tee_id: UUID) -> Tee:
        try:
            return access.tee_for(self.account, tee_id)
        except Http404:
            raise invalid([FieldError("home_tee", "id", "Send the id of a tee that you can see.")]) from None


class Guarded(Endpoint):
    """What manages the account: never by a token, and what is hard to take back with the password again."""

    browser_only = True

    @property
    def browser(self) -> HttpRequest:
        return self.request._request

    def check_password(self, password: str) -> None:
        if access.account_by_password(self.browser, self.account.email, password) is None:
            raise invalid([FieldError("password", "password", "This is not the password of your account.")])


class Tokens(Guarded):
    query = PAGING

    @extend_schema(responses=page_of(TokenOut))
    def get(self, request: Request) -> Response:
        live = Token.objects.filter(account=self.account, withdrawn_at=None, ends_at__gt=timezone.now())
        return Response(page(self, live, token_body, ("-created_at", "id")))

    @extend_schema(request=TokenIn, responses={201: TokenOut})
    def post(self, request: Request) -> Response:
        """The value is in this answer alone; a repeated key hears everything but the value."""
        sent = self.read(TokenIn)
        self.check_password(sent.pop("password"))
        values: list[str] = []

        def act() -> Answer:
            token, value = tokens.make_token(account=self.account, **sent)
            values.append(value)
            return Answer(token_body(token), headers={"Location": reverse("api-token", args=[token.pk])})

        response = self.once(request, act)
        for value in values:
            response.data["value"] = value
        return response


class TokenDetail(Guarded):
    @extend_schema(responses=TokenOut)
    def get(self, request: Request, token_id: UUID) -> Response:
        return Response(token_body(access.own_token(self.account, token_id)))

    @extend_schema(responses={204: None})
    def delete(self, request: Request, token_id: UUID) -> Response:
        tokens.withdraw_token(token=access.own_token(self.account, token_id))
        return Response(status=204)


class SignIns(Guarded):
    query = PAGING

    @extend_schema(responses=page_of(SignInOut))
    def get(self, request: Request) -> Response:
        return Response(page(self, SignIn.objects.filter(account=self.account), self._body, ("-last_seen_at", "id")))

    def _body(self, sign_in: SignIn) -> dict[str, Any]:
        return {
            "id": str(sign_in.pk),
            "agent": sign_in.agent,
            "created_at": sign_in.created_at,
            "last_seen_at": sign_in.last_seen_at,
            "is_this": sign_in.session_key == self.browser.session.session_key,
        }


class SignInDetail(Guarded):
    @extend_schema(responses={204: None})
    def delete(self, request: Request, sign_in_id: UUID) -> Response:
        found = access.own_sign_in(self.account, sign_in_id)
        is_this = found.session_key == self.browser.session.session_key
        accounts.end_sign_in(sign_in=found)
        if is_this:
            logout(self.browser)
        return Response(status=204)


class Export(Guarded):
    @extend_schema(request=PasswordIn, responses={(200, "application/zip"): OpenApiTypes.BINARY})
    def post(self, request: Request) -> HttpResponse:
        """Everything you gave and everything computed from it: one zip of JSON and CSV."""
        player = access.own_player(self.account)
        self.check_password(self.read(PasswordIn)["password"])
        audit.note_action(action="exported", actor=player, about=player)
        packed = HttpResponse(person_archive(self.account), content_type="application/zip")
        packed["Content-Disposition"] = 'attachment; filename="everything-of-mine.zip"'
        return packed


class Erasure(Guarded):
    @extend_schema(request=PasswordIn, responses={202: ErasureOut})
    def post(self, request: Request) -> Response:
        """Sign-ins and tokens end at once; everything else is erased when it falls due, unless called off."""
        access.own_player(self.account)
        self.check_password(self.read(PasswordIn)["password"])
        due_at = leaving.ask_to_erase(account=self.account)
        logout(self.browser)
        return Response({"due_at": due_at, "days": settings.ERASE_AFTER_DAYS}, status=202)

    @extend_schema(responses={204: None})
    def delete(self, request: Request) -> Response:
        access.own_player(self.account)
        leaving.keep_account(account=self.account)
        return Response(status=204)


urlpatterns: list[URLPattern | URLResolver] = [
    path("me/", Me.as_view(), name="api-me"),
    path("me/tokens/", Tokens.as_view(), name="api-tokens"),
    path("me/tokens/<uuid:token_id>/", TokenDetail.as_view(), name="api-token"),
    path("me/sign-ins/", SignIns.as_view(), name="api-sign-ins"),
    path("me/sign-ins/<uuid:sign_in_id>/", SignInDetail.as_view(), name="api-sign-in"),
    path("me/export/", Export.as_view(), name="api-export"),
    path("me/erasure/", Erasure.as_view(), name="api-erasure"),
]
