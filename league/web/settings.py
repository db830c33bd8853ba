"""One's own: profile, privacy, sign-ins, tokens, the archive, leaving."""

from typing import Any
from uuid import UUID

from django.conf import settings as configured
from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.core.exceptions import PermissionDenied
from django.core.mail import EmailMessage
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_safe

from league import access
from league.models import Account, Player, SignIn, Tee, Token
from league.reports import members as reports
from league.reports.leaving import person_archive
from league.services import accounts, audit, leaving, members, tokens
from league.services.errors import Refused
from league.web.accounts import post_room
from league.web.doors import account_of, form_page, knows_password, player_of, press_only, signed_in
from league.web.forms import (
    ChangePasswordForm,
    EmailForm,
    PasswordForm,
    ProfileForm,
    TokenForm,
    form_shown,
    see_other,
    send_once,
)
from league.web.join import show_once, shown_once


def _tees(account: Account) -> QuerySet[Tee]:
    courses = access.visible_courses(account)
    return Tee.objects.filter(course__in=courses).select_related("course").order_by("course__name", "name", "rated_for")


@signed_in
@form_page
def settings(request: HttpRequest) -> HttpResponse:
    account, player = account_of(request), player_of(request)
    fields = ("name", "length_unit", "rated_for", "home_tee", "theme", "is_under_18")
    now = {field: getattr(player, field) for field in fields}
    form = ProfileForm(_tees(account), request.POST or None, initial=now)
    if request.method == "POST" and form.is_valid():
        members.change_profile(player=player, actor=player, changes=form.cleaned_data)
        messages.success(request, "Stored.")
        return see_other(reverse("settings"))
    return form_shown(request, "league/settings.html", form, **_own(request, account, player))


def _own(request: HttpRequest, account: Account, player: Player) -> dict[str, Any]:
    live = Token.objects.filter(account=account, withdrawn_at=None, ends_at__gt=timezone.now())
    return {
        "player": player,
        "account": account,
        "places": reports.places_of(player),
        "places_left": reports.places_left(player),
        "sign_ins": SignIn.objects.filter(account=account).order_by("-last_seen_at"),
        "this_session": request.session.session_key,
        "tokens": live.order_by("-created_at"),
        "idle_days": configured.SESSION_COOKIE_AGE // 86_400,
        "max_days": configured.SIGN_IN_MAX_DAYS,
        "erase_days": configured.ERASE_AFTER_DAYS,
    }


@signed_in
@press_only
def index_only(request: HttpRequest, membership_id: UUID) -> HttpResponse:
    joined, place = access.membership_for(account_of(request), membership_id)
    if place.pk != joined.membership.pk:
        raise PermissionDenied
    hides_lines = request.POST.get("hides_lines") == "yes"
    members.change_membership(membership=place, actor=place.player, changes={"hides_lines": hides_lines})
    shown = "your index only" if hides_lines else "the lines of your ledger"
    messages.success(request, f"In {joined.group} the others see {shown}.")
    return see_other(reverse("settings"))


@signed_in
@form_page
@sensitive_post_parameters()
def password(request: HttpRequest) -> HttpResponse:
    account = account_of(request)
    form = ChangePasswordForm(account, request.POST or None)
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "league/settings_password.html", form)
    was = request.session.session_key or ""
    accounts.set_password(account=account, password=form.cleaned_data["new_password"], keep_session=was)
    update_session_auth_hash(request, account)
    accounts.move_sign_in(session_key=was, new_key=request.session.session_key or "")
    messages.success(request, "The new password holds. Every other sign-in has ended.")
    return see_other(reverse("settings"))


@signed_in
@form_page
@sensitive_post_parameters()
def email(request: HttpRequest) -> HttpResponse:
    account = account_of(request)
    form = EmailForm(request.POST or None, initial={"email": account.email})
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "league/settings_email.html", form)
    was = account.email
    try:
        accounts.change_email(account=account, email=form.cleaned_data["email"])
    except Refused as refused:
        form.add_error("email", refused.message)
        return form_shown(request, "league/settings_email.html", form, 409)
    text = render_to_string("league/mail/email_changed.txt", {"email": account.email})
    post_room.submit(EmailMessage("Your address was changed", text, to=[was]).send, True)
    messages.success(request, f"From now on you sign in with {account.email}.")
    return see_other(reverse("settings"))


# Sign-ins and tokens


@signed_in
@press_only
def sign_in_end(request: HttpRequest, sign_in_id: UUID) -> HttpResponse:
    found = access.own_sign_in(account_of(request), sign_in_id)
    if found.session_key == request.session.session_key:
        logout(request)
    accounts.end_sign_in(sign_in=found)
    messages.success(request, "That sign-in has ended.")
    return see_other(reverse("settings"))


@signed_in
@form_page
@sensitive_post_parameters()
def token_new(request: HttpRequest) -> HttpResponse:
    account = account_of(request)
    form = TokenForm(request.POST or None)
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "league/token_new.html", form)
    values: list[str] = []

    def act() -> str:
        entered = form.cleaned_data
        token, value = tokens.make_token(
            account=account, name=entered["name"], scopes=form.scopes, days=entered["days"]
        )
        values.append(value)
        return reverse("token", args=[token.pk])

    answer = send_once(request, act)
    for value in values:
        show_once(answer, request, value)
    return answer


@signed_in
@require_safe
def token(request: HttpRequest, token_id: UUID) -> HttpResponse:
    found = access.own_token(account_of(request), token_id)
    page = render(request, "league/token.html", {"token": found, "value": shown_once(request)})
    page.delete_cookie("once", path=request.path)
    return page


@signed_in
@press_only
def token_withdraw(request: HttpRequest, token_id: UUID) -> HttpResponse:
    tokens.withdraw_token(token=access.own_token(account_of(request), token_id))
    messages.success(request, "The token is withdrawn; nothing can be read or written with it any more.")
    return see_other(reverse("settings"))


# Taking along and leaving


@signed_in
@form_page
@sensitive_post_parameters()
def archive(request: HttpRequest) -> HttpResponse:
    account = account_of(request)
    form = PasswordForm(request.POST or None)
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "league/archive.html", form)
    player = access.own_player(account)
    audit.note_action(action="exported", actor=player, about=player)
    packed = HttpResponse(person_archive(account), content_type="application/zip")
    packed["Content-Disposition"] = 'attachment; filename="everything-of-mine.zip"'
    return packed


@signed_in
@form_page
@sensitive_post_parameters()
def erase(request: HttpRequest) -> HttpResponse:
    """Asking for it; and, signed in again within the days, the page on which to stay after all."""
    account = account_of(request)
    form = PasswordForm(request.POST or None)
    context: dict[str, Any] = {
        "account": account,
        "erase_days": configured.ERASE_AFTER_DAYS,
        "last_of": reports.only_organiser_of(access.own_player(account)),
    }
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "league/erase.html", form, **context)
    due_at = leaving.ask_to_erase(account=account)
    logout(request)
    messages.success(
        request,
        f"You are signed out everywhere. On {due_at:%-d %B} at {due_at:%H:%M} UTC everything is erased; "
        "until then, sign in to keep it.",
    )
    return see_other(reverse("sign_in"))


@signed_in
@press_only
def keep(request: HttpRequest) -> HttpResponse:
    player_of(request)
    leaving.keep_account(account=account_of(request))
    messages.success(request, "Everything stays. Tokens that ended with the erasure have to be made anew.")
    return see_other(reverse("settings"))


urlpatterns = [
    path("settings/", settings, name="settings"),
    path("settings/places/<uuid:membership_id>/", index_only, name="index_only"),
    path("settings/password/", password, name="settings_password"),
    path("settings/email/", email, name="settings_email"),
    path("settings/sign-ins/<uuid:sign_in_id>/end/", sign_in_end, name="sign_in_end"),
    path("settings/tokens/new/", token_new, name="token_new"),
    path("settings/tokens/<uuid:token_id>/", token, name="token"),
    path("settings/tokens/<uuid:token_id>/withdraw/", token_withdraw, name="token_withdraw"),
    path("settings/archive/", archive, name="archive"),
    path("settings/erase/", erase, name="erase"),
    path("settings/keep/", keep, name="keep"),
]
