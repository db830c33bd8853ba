"""Before a round: what to expect, one aim, one if-then sentence."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from journal import access, library
from journal.expectation import before_words
from journal.forms import IntentionForm, tried
from journal.models import Intention
from journal.readings import expected_on, what_became
from journal.services import before
from journal.services.before import today_for
from journal.services.words import may_write_freely
from league.models import Player, Tee
from league.web.doors import account_of, form_page, signed_in
from league.web.forms import form_shown, see_other, send_once

INTENTIONS_A_PAGE = 30
CHANGED = "This was changed meanwhile. Your entries are kept; send them again to put them in its place."


def owner(request: HttpRequest) -> Player:
    return access.own_player(account_of(request))


def _expected(player: Player, tee: Tee | None, day: date) -> dict[str, Any]:
    found = expected_on(player, tee, day) if tee is not None else None
    words = before_words(found.range) if found is not None and found.range else ""
    return {"tee": tee, "day": day, "expected": found, "expected_words": words}


@signed_in
@form_page
def intention_new(request: HttpRequest) -> HttpResponse:
    account, player = account_of(request), owner(request)
    tees = access.tees_of(account)
    asked = request.GET.get("tee")
    tee = access.tee_for(account, asked) if asked else access.usual_tee(player, tees)
    day = today_for(player, tee)
    first = {"played_on": day, "tee": tee}
    form = IntentionForm(may_write_freely(player), tees, request.POST or None, initial=first)
    if form.is_bound and form.is_valid():
        tee, day = form.cleaned_data["tee"], form.cleaned_data["played_on"]
    page: dict[str, Any] = _expected(player, tee, day)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "journal/intention_new.html", form, **page)
    if request.POST.get("act") == "range":
        return form_shown(request, "journal/intention_new.html", form, status=200, **page)

    def act() -> str:
        changes = form.changes
        made = before.write_intention(
            player=player, played_on=changes.pop("played_on"), tee=changes.pop("tee"), played=None, words=changes
        )
        return reverse("intention", args=[made.pk])

    answers: list[HttpResponse] = []
    if not tried(form, lambda: answers.append(send_once(request, act))):
        return form_shown(request, "journal/intention_new.html", form, **page)
    return answers[0]


@signed_in
@require_safe
def intentions(request: HttpRequest) -> HttpResponse:
    """All of them, and what became of each."""
    found = access.latest_first(access.own_intentions(account_of(request)))
    page = Paginator(found, INTENTIONS_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "journal/intentions.html", {"page": page, "past": what_became(list(page))})


@signed_in
@form_page
def intention(request: HttpRequest, intention_id: UUID) -> HttpResponse:
    """One of them: what was meant, and what became of it."""
    account, player = account_of(request), owner(request)
    found = access.own_intention(account, intention_id)
    tees = [*access.tees_of(account), *([found.tee] if found.tee else [])]
    form = IntentionForm(may_write_freely(player), tees, request.POST or None, initial=_initial_of(found))
    page: dict[str, Any] = {"intention": found, "became": what_became([found])[0]}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "journal/intention.html", form, **page)
    if form.seen_version not in (None, found.version):
        form.add_error(None, CHANGED)
        form.keep_against(found.version)
        return form_shown(request, "journal/intention.html", form, status=409, **page)
    if not tried(form, lambda: before.change_intention(intention=found, changes=form.changes)):
        return form_shown(request, "journal/intention.html", form, **page)
    messages.success(request, "Stored.")
    return see_other(reverse("intention", args=[found.pk]))


def _initial_of(one: Intention) -> dict[str, Any]:
    ready = next((known.key for known in library.INTENTIONS if (known.when, known.then) == (one.when, one.then)), "")
    own = {"when": "", "then": ""} if ready else {"when": one.when, "then": one.then}
    known = {name: getattr(one, name) for name in ("played_on", "range_words", "goal", "version")}
    return {**known, **own, "ready": ready, "tee": one.tee_id}


@signed_in
@form_page
def intention_drop(request: HttpRequest, intention_id: UUID) -> HttpResponse:
    found = access.own_intention(account_of(request), intention_id)
    if request.method != "POST":
        return form_shown(request, "journal/intention_drop.html", forms.Form(), intention=found)
    before.drop_intention(intention=found)
    messages.success(request, "Dropped.")
    return see_other(reverse("journal"))


urlpatterns: list[URLPattern | URLResolver] = [
    path("before/", intention_new, name="intention_new"),
    path("before/all/", intentions, name="intentions"),
    path("before/<uuid:intention_id>/", intention, name="intention"),
    path("before/<uuid:intention_id>/drop/", intention_drop, name="intention_drop"),
]
