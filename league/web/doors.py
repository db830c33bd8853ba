"""What stands before a page: somebody signed in, the right method, not too many tries."""

import logging
from collections.abc import Callable
from functools import wraps
from typing import Any, cast

from django import forms
from django.core.cache import cache
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_http_methods

from league import access
from league.models import Account, Player
from league.services.errors import Refused
from league.web.forms import SignInForm

WRONG_PASSWORD = "This is not the password of your account."
log = logging.getLogger(__name__)
View = Callable[..., HttpResponse]

form_page = require_http_methods(["GET", "HEAD", "POST"])
"""A page with a form."""
press_only = require_http_methods(["POST"])
"""The address behind a button."""


def signed_in(view: View) -> View:
    """Anybody else gets the sign-in page at this very address, and comes back to it: 401, whether or not it exists."""

    @wraps(view)
    def checked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if isinstance(request.user, Account):
            return view(request, *args, **kwargs)
        came_for = request.get_full_path() if request.method in ("GET", "HEAD") else ""
        page = render(request, "league/sign_in.html", {"form": SignInForm(), "next": came_for}, status=401)
        patch_vary_headers(page, ["Cookie"])
        return page

    return checked


def account_of(request: HttpRequest) -> Account:
    return cast(Account, request.user)


def knows_password(request: HttpRequest, form: forms.Form) -> bool:
    """Whether the form's `password` is that of who is signed in; if not, that stands at the field."""
    if access.account_by_password(request, account_of(request).email, form.cleaned_data["password"]) is not None:
        return True
    form.add_error("password", WRONG_PASSWORD)
    return False


def player_of(request: HttpRequest) -> Player:
    return access.own_player(account_of(request))


def is_too_fast(request: HttpRequest, what: str, limit: int, seconds: int) -> bool:
    """Counts tries of one network address; approximate, as the cache counts without a lock."""
    name = f"pace-{what}-{request.META.get('REMOTE_ADDR', '')}"
    cache.add(name, 0, seconds)
    try:
        return cache.incr(name) > limit
    except ValueError:
        return False


def too_many(request: HttpRequest, wait: str) -> HttpResponse:
    return render(request, "429.html", {"wait": wait}, status=429)


class Refusals:
    """What no page has put at a field of its own: lawful but not now (409), or a database that is busy (503)."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        if isinstance(fault, Refused):
            return render(request, "409.html", {"detail": fault.message}, status=409)
        if isinstance(fault, OperationalError | InterfaceError):
            log.error("database not available: %s", type(fault.__cause__ or fault).__qualname__)
            return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": "5"})
        return None
