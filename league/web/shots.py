"""Measured shots from a list: reading it, looking at it, storing it, taking it back."""

import hashlib
from collections import Counter
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse

from league import access
from league.exchange import shots_csv
from league.reports.carries import unit_of
from league.reports.shots import shot_lists
from league.services import shots
from league.services.shots import CheckedShots
from league.web.carry_forms import ShotsForm
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import form_shown, see_other, send_once
from league.web.list_forms import refused_status

LINES_SHOWN = 100


@signed_in
@form_page
def shots_list(request: HttpRequest) -> HttpResponse:
    """A list is read and shown; only its second sending, with the word to store it, stores it."""
    me = player_of(request)
    unit = unit_of(me)
    form = ShotsForm(request.POST or None, request.FILES or None, initial={"length_unit": unit})
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/shots.html", form, length_unit=unit)
    data = form.data_sent
    reading = shots_csv.read(
        data, wanted=unit, unit=form.cleaned_data["length_unit"], day_first=form.answer("day_first")
    )
    checked = shots.check_shots(player=me, reading=reading)
    if request.POST.get("store") != "yes" or not checked.is_ready:
        return _looked_at(request, form, data, checked, unit)

    def act() -> str:
        shots.import_shots(player=me, reading=reading)
        messages.success(request, f"{_shots(len(checked.rows))} stored.")
        return reverse("carry_book") + "#measured"

    return send_once(request, act, also=hashlib.sha256(data).hexdigest())


def _shots(count: int) -> str:
    return f"{count} shot{' is' if count == 1 else 's are'}"


def _looked_at(request: HttpRequest, form: ShotsForm, data: bytes, checked: CheckedShots, unit: str) -> HttpResponse:
    """What the list would do; 400 with everything that needs a look, 413 and 415 where it is too big or no table."""
    status = refused_status(checked.problems) if checked.problems else 200
    if not checked.problems:
        form.keep(data.decode("utf-8-sig"))
    counted = Counter(row.club for row in checked.rows)
    page: dict[str, Any] = {
        "checked": checked,
        "length_unit": unit,
        "clubs": list(counted.items()),
        "lines": checked.rows[:LINES_SHOWN],
        "n_more": max(0, len(checked.rows) - LINES_SHOWN),
    }
    return form_shown(request, "league/shots.html", form, status, **page)


@signed_in
@form_page
def shots_undo(request: HttpRequest, list_id: str) -> HttpResponse:
    player, batch = access.own_shot_list(account_of(request), list_id)
    if request.method != "POST":
        one = next(one for one in shot_lists(player) if one.batch == batch)
        return render(request, "league/shots_undo.html", {"one": one})
    gone = shots.undo_shots(player=player, batch=batch)
    messages.success(request, f"{_shots(gone)} out of the book.")
    return see_other(reverse("carry_book") + "#measured")


urlpatterns: list[URLPattern | URLResolver] = [
    path("carry-book/shots/", shots_list, name="shots"),
    path("carry-book/shot-lists/<uuid:list_id>/undo/", shots_undo, name="shots_undo"),
]
