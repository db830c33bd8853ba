"""The group: who is in it and where each stands; the organiser's desk; people, roles, the record."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_safe

from league import access, charts
from league.models import Membership, Role
from league.reports import members as reports
from league.reports.evidence import carry_over_of
from league.reports.progress import group_strip, strip_picture
from league.services import leaving, members
from league.services.errors import Refused, Stale
from league.web.context import CHOSEN_GROUP
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import form_shown, see_other, send_once
from league.web.member_forms import GroupChangeForm, GroupForm, KeptForm, PersonForm, ReasonForm, RoleForm

LINES_A_PAGE = 100


def _group_page(group_id: object) -> str:
    return reverse("group", args=[group_id])


def _desk_page(group_id: object) -> str:
    return reverse("desk", args=[group_id])


def _where_all_stand(lines: list[reports.MemberLine]) -> str:
    indexes = [line.index_tenths for line in lines if line.index_tenths is not None]
    if not indexes:
        return "Nobody has an index yet. Three rounds of eighteen make one."
    lowest, highest = charts.index_words(min(indexes)), charts.index_words(max(indexes))
    stretch = f"from {lowest} to {highest}" if lowest != highest else lowest
    some, all_of_them = charts.count_words(len(indexes)).capitalize(), charts.count_words(len(lines))
    return f"{some} of {all_of_them} {'has' if len(indexes) == 1 else 'have'} an index: {stretch}."


@signed_in
@require_safe
def group(request: HttpRequest, group_id: UUID) -> HttpResponse:
    account = account_of(request)
    joined = access.group_for(account, group_id)
    if request.session.get(CHOSEN_GROUP) != str(joined.group.pk):
        request.session[CHOSEN_GROUP] = str(joined.group.pk)
    lines = reports.group_members(joined.group, joined.membership)
    others = reports.places_of(joined.membership.player).exclude(group=joined.group)
    names = {line.player.pk: line.name for line in lines}
    page = {
        "group": joined.group,
        "strip": strip_picture(group_strip(joined.group, joined.membership.player, names)),
        "carry_over": carry_over_of(joined.group),
        "runs_it": joined.runs_it,
        "lines": [line for line in lines if line.membership.role != Role.GUEST],
        "guests": [line for line in lines if line.membership.role == Role.GUEST],
        "without_account": [line for line in lines if not line.has_account],
        "where_all_stand": _where_all_stand(lines),
        "others": others,
        "invitations": reports.open_invitations(joined.group) if joined.runs_it else [],
        "place": joined.membership,
    }
    return render(request, "league/group.html", page)


@signed_in
@require_safe
def desk(request: HttpRequest, group_id: UUID) -> HttpResponse:
    joined = access.group_to_run(account_of(request), group_id)
    waiting = reports.desk(joined.group, joined.membership)
    page = {"group": joined.group, "desk": waiting, "lines": waiting.members, "me": joined.membership.player}
    return render(request, "league/desk.html", page)


@signed_in
@form_page
def group_new(request: HttpRequest) -> HttpResponse:
    player = player_of(request)
    form = GroupForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/group_form.html", form, is_new=True)

    def act() -> str:
        entered = form.cleaned_data
        place = members.found_group(player=player, name=entered["name"], time_zone=entered["time_zone"])
        return _group_page(place.group_id)

    return send_once(request, act)


@signed_in
@form_page
def group_change(request: HttpRequest, group_id: UUID) -> HttpResponse:
    joined = access.group_to_run(account_of(request), group_id)
    now = {"name": joined.group.name, "time_zone": joined.group.time_zone}
    form = GroupChangeForm(request.POST or None, initial={**now, "version": joined.group.version})
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/group_form.html", form, group=joined.group)
    changes = {field: form.cleaned_data[field] for field in now}
    try:
        joined.group.version = form.seen_version or 0
        members.change_group(group=joined.group, actor=joined.membership.player, changes=changes)
    except Stale as late:
        form.keep_against(late.stored.version)  # type: ignore[attr-defined]
        return form_shown(request, "league/group_form.html", form, 409, group=late.stored, is_late=True)
    messages.success(request, "Stored.")
    return see_other(_desk_page(joined.group.pk))


@signed_in
@require_safe
def record(request: HttpRequest, group_id: UUID) -> HttpResponse:
    """The whole record for organisers; what concerns oneself for everybody else."""
    joined = access.group_for(account_of(request), group_id)
    about = None if joined.runs_it else joined.membership.player
    pages = Paginator(reports.audit_entries(joined.group, about=about), LINES_A_PAGE)
    part = pages.get_page(request.GET.get("page"))
    shown = reports.audit_lines(joined.group, part.object_list)
    pager = {
        "newer_url": f"?page={part.previous_page_number()}" if part.has_previous() else "",
        "older_url": f"?page={part.next_page_number()}" if part.has_next() else "",
        "said": f"{part.start_index()} to {part.end_index()} of {pages.count}",
    }
    context = {"group": joined.group, "runs_it": joined.runs_it, "lines": shown, "pager": pager}
    return render(request, "league/group_record.html", context)


# People


@signed_in
@form_page
def person_new(request: HttpRequest, group_id: UUID) -> HttpResponse:
    joined = access.group_to_add_people_to(account_of(request), group_id)
    form = PersonForm(request.POST or None)
    if not joined.runs_it:
        form.fields["role"].disabled, form.fields["role"].initial = True, Role.GUEST
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/person_new.html", form, group=joined.group)

    def act() -> str:
        entered = {field: form.cleaned_data[field] for field in ("name", "role", "rated_for", "is_under_18")}
        members.add_player(group=joined.group, actor=joined.membership.player, **entered)
        return _desk_page(joined.group.pk) if joined.runs_it else _group_page(joined.group.pk)

    try:
        return send_once(request, act)
    except Refused as refused:
        form.add_error(None, refused.message)
        return form_shown(request, "league/person_new.html", form, 409, group=joined.group)


def _place_to_run(request: HttpRequest, membership_id: UUID) -> tuple[access.Joined, Membership]:
    joined, place = access.membership_for(account_of(request), membership_id)
    if not joined.runs_it:
        raise PermissionDenied
    return joined, place


@signed_in
@form_page
def member(request: HttpRequest, membership_id: UUID) -> HttpResponse:
    """What an organiser may do about one member: the role, and for somebody without an account what a keeper may."""
    joined, place = _place_to_run(request, membership_id)
    role_form = RoleForm(place.player, request.POST or None, initial={"role": place.role, "version": place.version})
    status = 0
    if request.method == "POST" and role_form.is_valid():
        try:
            changes = {"role": role_form.cleaned_data["role"]}
            place.version = role_form.cleaned_data["version"]
            members.change_membership(membership=place, actor=joined.membership.player, changes=changes)
        except Refused as refused:
            role_form.add_error("role", refused.message)
            status = 409
            place.refresh_from_db()
            role_form.data = {**request.POST.dict(), "version": str(place.version)}
        else:
            messages.success(request, "Stored.")
            return see_other(_desk_page(joined.group.pk))
    line = reports.member_line(place, joined.membership)
    return form_shown(request, "league/member.html", role_form, status, line=line, group=joined.group, place=place)


@signed_in
@form_page
def member_profile(request: HttpRequest, membership_id: UUID) -> HttpResponse:
    """Name and ratings of somebody without an account, by whoever keeps their cards."""
    joined, place = access.membership_for(account_of(request), membership_id)
    player = access.player_to_keep(account_of(request), place.player_id)
    if player.account_id is not None:
        raise PermissionDenied
    now = {"name": player.name, "rated_for": player.rated_for}
    form = KeptForm(player, request.POST or None, initial=now)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/member_profile.html", form, group=joined.group, place=place)
    members.change_profile(player=player, actor=joined.membership.player, changes=form.cleaned_data)
    messages.success(request, "Stored.")
    return see_other(_group_page(joined.group.pk))


@signed_in
@form_page
def member_remove(request: HttpRequest, membership_id: UUID) -> HttpResponse:
    joined, place = _place_to_run(request, membership_id)
    if place.pk == joined.membership.pk:
        return see_other(reverse("group_leave", args=[joined.group.pk]))
    form = ReasonForm(request.POST or None)
    line = reports.member_line(place, joined.membership)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/member_remove.html", form, group=joined.group, line=line)
    members.remove_member(membership=place, actor=joined.membership.player, reason=form.cleaned_data["reason"])
    messages.success(request, f"{line.name} is no longer in the group.")
    return see_other(_desk_page(joined.group.pk))


@signed_in
@form_page
def member_erase(request: HttpRequest, membership_id: UUID) -> HttpResponse:
    """Somebody without an account, at once."""
    joined, place = _place_to_run(request, membership_id)
    if place.player.account_id is not None:
        raise PermissionDenied
    if request.method != "POST":
        line = reports.member_line(place, joined.membership)
        return render(request, "league/member_erase.html", {"group": joined.group, "line": line})
    leaving.erase_guest(player=place.player, actor=joined.membership.player)
    messages.success(request, "Erased: name, cards and ledger.")
    return see_other(_desk_page(joined.group.pk))


@signed_in
@form_page
def group_leave(request: HttpRequest, group_id: UUID) -> HttpResponse:
    joined = access.group_for(account_of(request), group_id)
    if request.method != "POST":
        return render(request, "league/group_leave.html", {"group": joined.group})
    try:
        members.leave_group(membership=joined.membership)
    except Refused as refused:
        return render(request, "league/group_leave.html", {"group": joined.group, "said": refused.message}, status=409)
    messages.success(request, f"You have left {joined.group}. Your cards and your ledger came along.")
    return see_other("/")


urlpatterns = [
    path("groups/new/", group_new, name="group_new"),
    path("group/<uuid:group_id>/", group, name="group"),
    path("group/<uuid:group_id>/desk/", desk, name="desk"),
    path("group/<uuid:group_id>/change/", group_change, name="group_change"),
    path("group/<uuid:group_id>/record/", record, name="group_record"),
    path("group/<uuid:group_id>/people/new/", person_new, name="person_new"),
    path("group/<uuid:group_id>/leave/", group_leave, name="group_leave"),
    path("members/<uuid:membership_id>/", member, name="member"),
    path("members/<uuid:membership_id>/profile/", member_profile, name="member_profile"),
    path("members/<uuid:membership_id>/remove/", member_remove, name="member_remove"),
    path("members/<uuid:membership_id>/erase/", member_erase, name="member_erase"),
]
