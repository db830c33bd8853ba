"""Pages of past rounds from a file: sending it, what it would do, taking, declining and undoing it."""

import hashlib
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access
from league.exchange import rounds_csv
from league.models import Group, Membership, Player, Role, RoundImport
from league.reports import imports as reports
from league.services import imports
from league.services.errors import Refused
from league.services.imports import Checked
from league.web.doors import account_of, form_page, player_of, press_only, signed_in
from league.web.forms import form_shown, see_other, send_once
from league.web.import_forms import FIELD_OF_QUESTION, ImportForm
from league.web.list_forms import refused_status
from league.web.rounds import pager

IMPORTS_A_PAGE = 10
ROWS_A_PAGE = 500
OWN = "own"


@signed_in
@form_page
def import_list(request: HttpRequest) -> HttpResponse:
    """A file is read and checked; what is in order waits at a page of its own until somebody says yes."""
    form = ImportForm(_whose_choices(request), request.POST or None, request.FILES or None)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/imports.html", form, **_earlier(request))
    group, players, default = _whose(request, form.cleaned_data["whose"])
    data = form.data_sent
    checked = _checked(request, form, data, players, default)
    if not checked.is_ready:
        return _refused(request, form, data, checked)
    if not checked.n_new:
        n_stored = len(checked.placed)
        return form_shown(request, "league/imports.html", form, 200, n_stored=n_stored, **_earlier(request))

    def act() -> str:
        made = imports.prepare_import(made_by=player_of(request), group=group, checked=checked)
        return reverse("import", args=[made[0].pk]) if len(made) == 1 else reverse("imports")

    return send_once(request, act, also=hashlib.sha256(data).hexdigest())


def _groups_run(request: HttpRequest) -> list[Group]:
    run = Membership.objects.filter(player=player_of(request), left_at=None, role=Role.ORGANISER)
    open_ones = run.filter(group__rests_since=None).select_related("group").order_by("group__name")
    return [membership.group for membership in open_ones]


def _whose_choices(request: HttpRequest) -> list[tuple[str, str]]:
    kept = access.kept_players(account_of(request)).exclude(account=account_of(request)).order_by("name")
    return [
        (OWN, "your own"),
        *((f"player:{player.pk}", f"those of {player.name}, whose cards you keep") for player in kept),
        *((f"group:{group.pk}", f"of members of {group}, named in the file") for group in _groups_run(request)),
    ]


def _whose(request: HttpRequest, chosen: str) -> tuple[Group | None, list[Player], Player | None]:
    """The group, the players whom a name may mean, and whose a row without a name is."""
    kind, _, row_id = chosen.partition(":")
    if kind == "group":
        joined = access.group_to_run(account_of(request), row_id)
        return joined.group, list(access.players_in(joined.group)), None
    player = access.player_to_keep(account_of(request), row_id) if kind == "player" else player_of(request)
    return None, [player], player


def _checked(
    request: HttpRequest, form: ImportForm, data: bytes, players: list[Player], default: Player | None
) -> Checked:
    reading = rounds_csv.read(data, day_first=form.answer("day_first"), keep_twice=form.answer("keep_twice"))
    courses = access.visible_courses(account_of(request)).select_related("group").prefetch_related("tees__holes")
    return imports.check_rounds(reading=reading, players=players, default=default, courses=courses)


def _refused(request: HttpRequest, form: ImportForm, data: bytes, checked: Checked) -> HttpResponse:
    """400 with everything that needs a look; 413 and 415 where the file as a whole is too big or no table."""
    asked = [FIELD_OF_QUESTION[question.code] for question in checked.questions]
    if asked:
        form.ask(asked, data.decode("utf-8-sig"))
    page = {"problems": checked.problems, "questions": checked.questions, **_earlier(request)}
    return form_shown(request, "league/imports.html", form, refused_status(checked.problems), **page)


def _earlier(request: HttpRequest) -> dict[str, Any]:
    mine = access.imports_of(account_of(request)).select_related("player", "made_by", "group")
    shown = Paginator(mine.order_by("-created_at", "-id"), IMPORTS_A_PAGE).get_page(request.GET.get("page"))
    entries = reports.import_entries(shown.object_list)
    return {"me": player_of(request), "entries": entries, "pager": pager(request, shown)}


@signed_in
@require_safe
def template(request: HttpRequest) -> HttpResponse:
    answer = HttpResponse(rounds_csv.TEMPLATE, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="rounds-template.csv"'
    return answer


@signed_in
@require_safe
def import_page(request: HttpRequest, import_id: str) -> HttpResponse:
    return _shown(request, access.import_for(account_of(request), import_id))


def _shown(request: HttpRequest, found: RoundImport, said: str = "", status: int = 200) -> HttpResponse:
    me = player_of(request)
    shown = Paginator(found.rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    lines = reports.import_lines(list(shown.object_list))
    page = {
        "found": found,
        "is_mine": found.player_id in (None, me.pk),
        "is_asked": found.player_id == me.pk,
        "n_new": reports.n_new(found),
        "n_rows": len(found.rows),
        "lines": lines,
        "has_names": any(line.player != me.name for line in lines),
        "notes": [note for note in found.notes if note["code"] != "stored_already"],
        "gains": reports.gains(found),
        "pager": pager(request, shown),
        "said": said,
    }
    return render(request, "league/import.html", page, status=status)


def _step(request: HttpRequest, found: RoundImport, act: Callable[[], RoundImport], done: str) -> HttpResponse:
    try:
        act()
    except Refused as refused:
        found.refresh_from_db()
        return _shown(request, found, refused.message, 409)
    messages.success(request, done)
    return see_other(reverse("import", args=[found.pk]))


@signed_in
@press_only
def import_apply(request: HttpRequest, import_id: str) -> HttpResponse:
    found = access.import_to_change(account_of(request), import_id)
    me = player_of(request)
    return _step(request, found, lambda: imports.apply_import(imported=found, applied_by=me), "The rounds are stored.")


@signed_in
@press_only
def import_decline(request: HttpRequest, import_id: str) -> HttpResponse:
    found = access.import_for(account_of(request), import_id)
    me = player_of(request)
    return _step(request, found, lambda: imports.decline_import(imported=found, declined_by=me), "Nothing was stored.")


@signed_in
@form_page
def import_undo(request: HttpRequest, import_id: str) -> HttpResponse:
    found = access.import_to_change(account_of(request), import_id)
    me = player_of(request)
    if request.method != "POST":
        n_rounds = sum(gain.n_rounds for gain in reports.gains(found))
        return render(request, "league/import_undo.html", {"found": found, "n_rounds": n_rounds})
    return _step(request, found, lambda: imports.undo_import(imported=found, undone_by=me), "The rounds are withdrawn.")


urlpatterns: list[URLPattern | URLResolver] = [
    path("imports/", import_list, name="imports"),
    path("imports/template/", template, name="imports_template"),
    path("imports/<uuid:import_id>/", import_page, name="import"),
    path("imports/<uuid:import_id>/apply/", import_apply, name="import_apply"),
    path("imports/<uuid:import_id>/decline/", import_decline, name="import_decline"),
    path("imports/<uuid:import_id>/undo/", import_undo, name="import_undo"),
]
