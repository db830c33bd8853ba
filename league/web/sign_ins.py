"""Every open sign-in is a row that its owner can see and end."""

import time
from collections.abc import Callable
from contextlib import suppress

from django.conf import settings
from django.contrib.auth import SESSION_KEY, logout
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse

from league.models import Account
from league.services.accounts import see_sign_in
from league.services.waits import brief_wait

SEEN, SINCE = "seen", "since"
HOUR = 3600
DAY = 24 * HOUR


class SignIns:
    """Keeps the row, and ends a sign-in that is older than the setting allows. Writes at most once an hour.

    Nothing is read here on other requests: ending a sign-in deletes its session, and there is nothing more to check.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if settings.SESSION_COOKIE_NAME in request.COOKIES and SESSION_KEY in request.session:
            self._look(request, int(time.time()))
        return self.get_response(request)

    def _look(self, request: HttpRequest, now: int) -> None:
        session = request.session
        since = session.get(SINCE, now)
        if now - since > settings.SIGN_IN_MAX_DAYS * DAY:
            logout(request)
        elif now - session.get(SEEN, 0) >= HOUR and isinstance(request.user, Account):
            with suppress(DatabaseError), brief_wait():  # what may be read may be read while nothing can be written
                see_sign_in(account=request.user, session_key=session.session_key or "", agent=agent_of(request))
                session[SINCE], session[SEEN] = since, now


SYSTEMS = ("iPhone", "iPad", "Android", "Windows", "Mac OS X", "CrOS", "Linux")
BROWSERS = (("Firefox/", "Firefox"), ("Edg/", "Edge"), ("Chrome/", "Chrome"), ("Safari/", "Safari"))


def agent_of(request: HttpRequest) -> str:
    """Browser and device in words that their owner knows, from what the browser says about itself."""
    said = request.headers.get("User-Agent", "")
    browser = next((name for mark, name in BROWSERS if mark in said), "")
    system = next((name.replace("Mac OS X", "Mac") for name in SYSTEMS if name in said), "")
    return ", ".join(part for part in (browser, system) if part) or "unknown browser"
