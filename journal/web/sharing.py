"""Sharing one entry, said plainly before and after; withdrawing it; reading what others share."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from journal import access
from journal.forms import ShareForm, tried
from journal.services import look_backs
from league.web.doors import account_of, form_page, press_only, signed_in
from league.web.forms import form_shown, see_other


@signed_in
@form_page
def share(request: HttpRequest, look_back_id: UUID) -> HttpResponse:
    account = account_of(request)
    found = access.own_look_back(account, look_back_id)
    groups = access.own_groups(account)
    asked = request.GET.get("group") or request.POST.get("group")
    first = groups[0] if groups else None
    group = access.own_group(account, asked) if asked else first
    possible = list(access.possible_readers(account, group)) if group else []
    form = ShareForm(possible, request.POST or None)
    page: dict[str, Any] = {
        "entry": found,
        "shares": list(access.readers_of(found)),
        "group": group,
        "groups": groups,
        "possible": possible,
    }
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "journal/share.html", form, **page)
    entered = form.cleaned_data
    named = set(entered["readers"])
    readers = possible if entered["to_all"] else [one for one in possible if str(one.pk) in named]
    if group is None:
        form.add_error(None, "You are in no group, so there is nobody to share it with.")
        return form_shown(request, "journal/share.html", form, **page)
    sharing = group

    def act() -> None:
        look_backs.share_look_back(look_back=found, group=sharing, readers=readers, to_all=entered["to_all"])

    if not tried(form, act):
        return form_shown(request, "journal/share.html", form, **page)
    messages.success(request, f"Shared with {', '.join(one.name for one in readers)}. You can withdraw it at any time.")
    return see_other(reverse("journal_entry", args=[found.pk]))


@signed_in
@press_only
def share_withdraw(request: HttpRequest, look_back_id: UUID) -> HttpResponse:
    found = access.own_look_back(account_of(request), look_back_id)
    look_backs.withdraw_shares(look_back=found)
    messages.success(request, "Withdrawn. From now on only you can open it.")
    return see_other(reverse("journal_entry", args=[found.pk]))


@signed_in
@require_safe
def shared(request: HttpRequest, look_back_id: UUID) -> HttpResponse:
    found = access.look_back_for(account_of(request), look_back_id)
    return render(request, "journal/shared.html", {"share": found, "entry": found.look_back})


urlpatterns: list[URLPattern | URLResolver] = [
    path("entries/<uuid:look_back_id>/share/", share, name="journal_share"),
    path("entries/<uuid:look_back_id>/withdraw/", share_withdraw, name="journal_share_withdraw"),
    path("shared/<uuid:look_back_id>/", shared, name="journal_shared"),
]
