"""Invitation links: making and showing one, and coming in by it."""

from typing import Any
from uuid import UUID

import segno
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.signing import BadSignature
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_safe

from league import access
from league.models import Account, Group, Invitation, Membership, Player
from league.reports import members as reports
from league.services import members
from league.services.errors import Refused
from league.web.accounts import let_in
from league.web.doors import account_of, form_page, is_too_fast, press_only, signed_in, too_many
from league.web.forms import AcceptForm, JoinForm, SignInForm, form_shown, see_other, send_once
from league.web.member_forms import InvitationForm

HOUR = 3600
SHOW_SECONDS = 300


# Making one


@signed_in
@form_page
def invitation_new(request: HttpRequest, group_id: UUID) -> HttpResponse:
    joined = access.group_to_run(account_of(request), group_id)
    form = InvitationForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/invitation_new.html", form, group=joined.group)
    entered = {field: form.cleaned_data[field] for field in ("role", "label", "uses", "days", "is_under_18")}
    try:
        return _make(request, joined.group, joined.membership.player, **entered)
    except Refused as refused:
        form.add_error(None, refused.message)
        return form_shown(request, "league/invitation_new.html", form, 409, group=joined.group)


@signed_in
@press_only
def claim_link(request: HttpRequest, membership_id: UUID) -> HttpResponse:
    """A link by which somebody without an account takes over their cards."""
    joined, place = access.membership_for(account_of(request), membership_id)
    if not joined.runs_it:
        raise PermissionDenied
    return _make(request, joined.group, joined.membership.player, guest=place.player, label=place.player.name)


def _make(request: HttpRequest, group: Group, actor: Player, **wanted: Any) -> HttpResponse:
    """The value goes to the maker's browser in a signed cookie of five minutes; the server keeps its hash only."""
    values: list[str] = []

    def act() -> str:
        invitation, value = members.make_invitation(group=group, actor=actor, **wanted)
        values.append(value)
        return reverse("invitation", args=[invitation.pk])

    answer = send_once(request, act)
    for value in values:
        show_once(answer, request, value)
    return answer


def show_once(answer: HttpResponse, request: HttpRequest, value: str) -> None:
    """For the next page alone, which is named in `Location`."""
    where = answer["Location"]
    answer.set_signed_cookie(
        "once",
        value,
        salt=where,
        max_age=SHOW_SECONDS,
        path=where,
        secure=request.is_secure(),
        httponly=True,
        samesite="Lax",
    )


def shown_once(request: HttpRequest) -> str:
    """The value that the page before left, or nothing."""
    try:
        return request.get_signed_cookie("once", "", salt=request.path, max_age=SHOW_SECONDS) or ""
    except BadSignature:
        return ""


@signed_in
@require_safe
def invitation(request: HttpRequest, invitation_id: UUID) -> HttpResponse:
    """The link and its square, once."""
    found = access.invitation_to_change(account_of(request), invitation_id)
    value = shown_once(request)
    link = request.build_absolute_uri(reverse("join", args=[value])) if value else ""
    square = (
        segno.make(link, error="m").svg_inline(omitsize=True, border=4, svgclass="square", lineclass=None)
        if link
        else ""
    )
    page = render(
        request, "league/invitation.html", {"invitation": found, "group": found.group, "link": link, "square": square}
    )
    page.delete_cookie("once", path=request.path)
    return page


@signed_in
@press_only
def invitation_withdraw(request: HttpRequest, invitation_id: UUID) -> HttpResponse:
    account = account_of(request)
    found = access.invitation_to_change(account, invitation_id)
    members.withdraw_invitation(invitation=found, actor=access.own_player(account))
    messages.success(request, "The invitation is withdrawn; its link leads nowhere now.")
    return see_other(reverse("desk", args=[found.group_id]))


# Coming in


@form_page
@sensitive_post_parameters()
def join(request: HttpRequest, value: str) -> HttpResponse:
    if is_too_fast(request, "join", 120, HOUR):
        return too_many(request, "an hour")
    is_known = isinstance(request.user, Account)  # asked first, so that guessed and ended links answer alike
    if request.method == "POST" and access.was_a_link(value) and (group := _joined_already(request, value)):
        return _welcome(request, group)
    invitation = access.invitation_by_link(value)
    page = _join_known(request, invitation) if is_known else _join_new(request, invitation)
    page["Referrer-Policy"] = "same-origin"  # "no-referrer" would send the form with Origin: null, and it be refused
    page["X-Robots-Tag"] = "noindex, nofollow"
    return page


def _joined_already(request: HttpRequest, value: str) -> Group | None:
    """Somebody whose button was pressed twice: the second time finds the link used up and the address taken."""
    account = request.user if isinstance(request.user, Account) else None
    form = SignInForm(request.POST)
    if account is None and form.is_valid() and Account.objects.filter(email=form.cleaned_data["email"]).exists():
        account = access.account_by_password(request, form.cleaned_data["email"], form.cleaned_data["password"])
    if account is None:
        return None
    try:
        group = access.joined_by_link(account, value).group
    except Http404:
        return None
    if request.user != account:
        let_in(request, account)
    return group


def _invited(invitation: Invitation) -> dict[str, Any]:
    names = reports.names_in(invitation.group)
    by = invitation.invited_by_id
    return {
        "invitation": invitation,
        "group": invitation.group,
        "invited_by": names.get(by, "") if by else "",
        "n_members": Membership.objects.filter(group=invitation.group, left_at=None).count(),
    }


def _join_known(request: HttpRequest, invitation: Invitation) -> HttpResponse:
    player = access.own_player(account_of(request))
    form = AcceptForm(request.POST if request.method == "POST" else None)
    status = 0
    if request.method == "POST" and form.is_valid():
        try:
            members.accept_invitation(invitation=invitation, player=player, **form.cleaned_data)
        except Refused as refused:
            form.add_error(None, refused.message)
            status = 409
        else:
            return _welcome(request, invitation.group)
    is_in = Membership.objects.filter(group=invitation.group, player=player, left_at=None).exists()
    return form_shown(request, "league/join.html", form, status, player=player, is_in=is_in, **_invited(invitation))


def _join_new(request: HttpRequest, invitation: Invitation) -> HttpResponse:
    guest = invitation.guest
    now = {"name": guest.name, "rated_for": guest.rated_for} if guest else {}
    form = JoinForm(request.POST or None, initial=now)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/join.html", form, **_invited(invitation))
    try:
        account = members.join_as_new(invitation=invitation, **form.cleaned_data)
    except Refused as refused:
        form.add_error("email" if refused.code == "email_taken" else None, refused.message)
        return form_shown(request, "league/join.html", form, 409, **_invited(invitation))
    let_in(request, account)
    return _welcome(request, invitation.group)


def _welcome(request: HttpRequest, group: Group) -> HttpResponse:
    messages.success(request, f"You are in {group}.")
    return see_other(reverse("group", args=[group.pk]))


urlpatterns = [
    path("group/<uuid:group_id>/invitations/new/", invitation_new, name="invitation_new"),
    path("members/<uuid:membership_id>/claim/", claim_link, name="claim_link"),
    path("invitations/<uuid:invitation_id>/", invitation, name="invitation"),
    path("invitations/<uuid:invitation_id>/withdraw/", invitation_withdraw, name="invitation_withdraw"),
    path("join/<str:value>/", join, name="join"),
]
