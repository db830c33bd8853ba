"""Who is asking: a token in the Authorization header, or the session of a signed-in browser."""

import contextlib

from django.db import DatabaseError
from django.http import QueryDict
from django.utils import timezone
from django.utils.datastructures import MultiValueDict
from rest_framework import authentication, exceptions
from rest_framework.request import Request
from rest_framework.settings import api_settings
from rest_framework.throttling import SimpleRateThrottle

from league.models import Account, Token
from league.models.members import hash_of
from league.services.waits import brief_wait

MAX_LENGTH = 200


def token_from(value: str) -> Token | None:
    """The token if it may be used now. One answer for unknown, ended and withdrawn ones."""
    now = timezone.now()
    return (
        Token.objects.filter(token_hash=hash_of(value), ends_at__gt=now, withdrawn_at=None, account__is_active=True)
        .select_related("account")
        .first()
    )


def note_use(token: Token) -> None:
    """Once a day. A database that cannot be written to at the moment may still be read from."""
    today = timezone.now().date()
    if token.last_used_on != today:
        with contextlib.suppress(DatabaseError), brief_wait():
            Token.objects.filter(pk=token.pk).update(last_used_on=today)


class TokenAuthentication(authentication.BaseAuthentication):
    def authenticate(self, request: Request) -> tuple[Account, Token] | None:
        header = authentication.get_authorization_header(request)
        if not header:
            return None
        scheme, _, value = header.decode("latin-1").partition(" ")
        usable = scheme.lower() == "bearer" and value.isascii() and 0 < len(value) <= MAX_LENGTH
        token = token_from(value) if usable else None
        if token is None:
            raise exceptions.AuthenticationFailed
        note_use(token)
        return token.account, token

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="api"'


class SessionAuthentication(authentication.SessionAuthentication):
    def enforce_csrf(self, request: Request) -> None:
        """The token comes in the header only: looking for it in a form would read the body before the door."""
        plain = request._request
        plain._post, plain._files = QueryDict(), MultiValueDict()  # type: ignore[attr-defined]
        super().enforce_csrf(plain)  # type: ignore[arg-type]


class Pace(SimpleRateThrottle):
    """So many requests a minute for each token, and for each person in a browser."""

    scope = "user"

    def get_rate(self) -> str | None:
        rate = api_settings.DEFAULT_THROTTLE_RATES.get(self.scope)
        return None if rate is None else str(rate)

    def get_cache_key(self, request: Request, view: object) -> str | None:
        if isinstance(request.auth, Token):
            return f"pace-token-{request.auth.pk}"
        return f"pace-account-{request.user.pk}" if request.user.is_authenticated else None
