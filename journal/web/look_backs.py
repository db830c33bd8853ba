"""The list with its search, the two-minute look-back, one entry."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from journal import access
from journal.forms import LookBackForm, SearchForm, tried
from journal.models import LookBack, State
from journal.readings import (
    coming,
    costliest,
    fell_of,
    found_in,
    holes_of,
    intention_of,
    open_draft,
    resets_of,
    rounds_without,
    what_became,
)
from journal.services import look_backs
from journal.services.words import may_write_freely
from journal.web.before import CHANGED, owner
from league.models import Round
from league.web.doors import account_of, form_page, signed_in
from league.web.forms import form_shown, see_other

ENTRIES_A_PAGE, INTENTIONS_SHOWN = 30, 4
PRESSED = {"finish": State.DONE, "draft": State.DRAFT, "skip": State.SKIPPED}
NAMES = ("worst_hole", "cause", "hole_words", "plan_kept", "keep", "change", "version")


@signed_in
@form_page
def journal(request: HttpRequest) -> HttpResponse:
    """Searching is a POST: what is looked for stands in no address, history or log."""
    account, player = account_of(request), owner(request)
    form = SearchForm(request.POST or None)
    entries = access.latest_first(access.own_look_backs(account))
    words = form.cleaned_data["words"] if form.is_bound and form.is_valid() else ""
    meant = access.latest_first(access.own_intentions(account))
    page = {
        "entries": found_in(entries, words) if words else None,
        "meant": what_became(found_in(meant, words)) if words else [],
        "page": Paginator(entries, ENTRIES_A_PAGE).get_page(request.GET.get("page")),
        "words": words,
        "past": what_became(list(meant[:INTENTIONS_SHOWN])),
        "n_meant": meant.count(),
        "coming": coming(player),
        "draft": open_draft(player),
        "rounds": rounds_without(player)[:3],
        "groups": access.own_groups(account),
        "shared": access.shares_with(account).order_by("-shared_at")[:20],
    }
    status = 400 if form.is_bound and not form.is_valid() else 200
    return form_shown(request, "journal/journal.html", form, status=status, **page)


@signed_in
@form_page
def look_back(request: HttpRequest, round_id: UUID) -> HttpResponse:
    """Looking at it stores nothing; storing opens the entry."""
    account, player = account_of(request), owner(request)
    played = access.own_round(account, round_id)
    stored = access.own_look_backs(account).filter(round=played).first()
    holes = holes_of(played)
    worst = costliest(holes)
    first: dict[str, Any] = {"version": 0}
    if stored is not None:
        first = {name: getattr(stored, name) for name in NAMES}
    choices = [(hole.number, hole.words) for hole in holes] or [(number, str(number)) for number in played.hole_numbers]
    form = LookBackForm(may_write_freely(player), choices, request.POST or None, initial=first)
    shares = list(access.readers_of(stored)) if stored is not None else []
    page = {"played": played, "stored": stored, "worst": worst, "shares": shares, **_beside(played)}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "journal/look_back.html", form, **page)
    if form.seen_version not in (None, stored.version if stored else 0):
        form.add_error(None, CHANGED)
        form.keep_against(stored.version if stored else 0)
        return form_shown(request, "journal/look_back.html", form, status=409, **page)
    state = PRESSED.get(request.POST.get("act", ""))
    if state is None:
        form.add_error(None, "Press one of the buttons: finish it, keep it as a draft, or skip it.")
        return form_shown(request, "journal/look_back.html", form, **page)
    if stored is not None and stored.state == State.DONE and state == State.DRAFT:
        state = State.DONE

    def act() -> None:
        opened = look_backs.open_look_back(player=player, played=played)
        written = {} if state == State.SKIPPED else form.changes
        look_backs.write_look_back(look_back=opened, changes={**written, "state": state})

    if not tried(form, act):
        return form_shown(request, "journal/look_back.html", form, **page)
    if state == State.DONE:
        return see_other(reverse("journal_entry", args=[access.own_look_backs(account).get(round=played).pk]))
    messages.success(request, "Skipped." if state == State.SKIPPED else "Kept as a draft.")
    return see_other(reverse("journal"))


def _beside(played: Round) -> dict[str, Any]:
    """What the round and the evening before say of themselves."""
    meant = intention_of(played)
    return {"meant": meant, "fell": fell_of(meant, played), "resets": resets_of(played)}


@signed_in
@require_safe
def entry(request: HttpRequest, look_back_id: UUID) -> HttpResponse:
    found = access.own_look_back(account_of(request), look_back_id)
    page: dict[str, Any] = {"entry": found, "shares": list(access.readers_of(found))}
    if found.round is not None:
        page |= _beside(found.round)
    return render(request, "journal/entry.html", page)


@signed_in
@form_page
def entry_drop(request: HttpRequest, look_back_id: UUID) -> HttpResponse:
    found: LookBack = access.own_look_back(account_of(request), look_back_id)
    if request.method != "POST":
        return form_shown(request, "journal/entry_drop.html", forms.Form(), entry=found)
    look_backs.drop_look_back(look_back=found)
    messages.success(request, "Deleted.")
    return see_other(reverse("journal"))


urlpatterns: list[URLPattern | URLResolver] = [
    path("", journal, name="journal"),
    path("rounds/<uuid:round_id>/", look_back, name="look_back"),
    path("entries/<uuid:look_back_id>/", entry, name="journal_entry"),
    path("entries/<uuid:look_back_id>/delete/", entry_drop, name="journal_entry_drop"),
]
