import secrets
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from league.config.logs import request_id

Next = Callable[[HttpRequest], HttpResponse]


class RequestId:
    """A fresh id for every answer and log line; one sent by the client is ignored."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        made = secrets.token_hex(8)
        request.META["HTTP_X_REQUEST_ID"] = made
        token = request_id.set(made)
        try:
            response = self.get_response(request)
        finally:
            request_id.reset(token)
        response["X-Request-ID"] = made
        return response


class NamedProxy:
    """The client's address from X-Forwarded-For, believed only where a proxy named in LEAGUE_PROXIES wrote it."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        forwarded = request.META.pop("HTTP_X_FORWARDED_FOR", "")
        if request.META.get("REMOTE_ADDR") in settings.PROXIES:
            strangers = [part.strip() for part in forwarded.split(",") if part.strip() not in ("", *settings.PROXIES)]
            if strangers:
                request.META["REMOTE_ADDR"] = strangers[-1]
        return self.get_response(request)


class Private:
    """Answers are for the one who asked, unless the view says otherwise; static files are answered further out."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Cache-Control", "private, no-store")
        return response
