"""The pages of described holes: the strip and what it says, the form beside it, a pasted table, versions."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from league import access, charts
from league.charts import Picture
from league.exchange import descriptions_table
from league.exchange.descriptions_table import DescriptionsReading
from league.models import Course, Player, Tee
from league.reports import courses as course_reports
from league.reports import descriptions as reports
from league.reports.descriptions import HoleShown
from league.rules import described
from league.rules.described import Described
from league.rules.errors import RuleBroken
from league.services import descriptions as services
from league.services.descriptions import Description
from league.web.description_forms import HoleForm, HolesTableForm, hole_entries
from league.web.doors import account_of, form_page, player_of, press_only, signed_in
from league.web.forms import form_shown, see_other, store_once

FORM, TABLE = "league/hole_form.html", "league/holes_table.html"
CHANGED_WORDS = {
    "trouble": "trouble",
    "widths": "widths",
    "green_depth": "green",
    "green_width": "green",
    "safe_side": "sides of the green",
    "hard_chip_from": "sides of the green",
    "bend_to": "bend",
    "bend_at": "bend",
    "bend_degrees": "bend",
    "rise_to_landing": "ups and downs",
    "rise_to_green": "ups and downs",
    "name": "name",
    "note": "note",
}


def _hole_page(course: Course, number: int) -> str:
    return reverse("hole", args=[course.pk, number])


def _tees(course: Course) -> list[Tee]:
    """Those in force today, one of each set, and where none is in force the newest; longest first."""
    today = course_reports.today_at(course)
    by_set: dict[object, Tee] = {}
    for tee in course.tees.select_related("course").prefetch_related("holes").order_by("valid_from", "created_at"):
        held = by_set.get(tee.set_id)
        if held is None or tee.is_valid_on(today) or not held.is_valid_on(today):
            by_set[tee.set_id] = tee
    return sorted(by_set.values(), key=lambda tee: (-(tee.as_printed().length or 0), tee.name, tee.rated_for))


def _tee_asked(request: HttpRequest, tees: list[Tee], player: Player) -> Tee | None:
    """The one named in the address, else the reader's own, else the longest that is rated for them."""
    asked = request.GET.get("tee")
    if asked:
        found = next((tee for tee in tees if str(tee.pk) == asked), None)
        if found is None:
            raise Http404
        return found
    mine = [tee for tee in tees if tee.pk == player.home_tee_id]
    rated = [tee for tee in tees if tee.rated_for == player.rated_for]
    return next(iter([*mine, *rated, *tees]), None)


def _shown(course: Course, number: int, tee: Tee | None, player: Player) -> HoleShown:
    if not 1 <= number <= course.n_holes:
        raise Http404
    return reports.holes_shown(course, tee, player.length_unit)[number - 1]


def _picture(hole: Described, length: int | None, unit: str) -> Picture | None:
    return None if described.is_blank(hole) else charts.hole_strip(hole, length, unit)


@signed_in
@require_safe
def hole_page(request: HttpRequest, course_id: str, number: int) -> HttpResponse:
    """As it is from a tee (`?tee=`), or one of its versions as it was written (`?version=`)."""
    account, player = account_of(request), player_of(request)
    course = access.course_for(account, course_id)
    tees = _tees(course)
    tee = _tee_asked(request, tees, player)
    shown = _shown(course, number, tee, player)
    rows = reports.versions(course, number)
    old = _version_asked(request, course, number, shown.version)
    told = old or shown
    changed = reports.what_changed(rows)
    context = {
        "course": course,
        "shown": told,
        "is_old": old is not None,
        "now": shown.version,
        "tee": None if old else tee,
        "tees": tees,
        "picture": _picture(told.hole, told.length, told.length_unit),
        "shift": charts.distance_words(abs(told.shift), told.length_unit),
        "unknown": charts.not_known(told.hole, told.length) if told.is_described else (),
        "versions": [(row, _changes(changed.get(row.version, ()))) for row in rows],
        "before": number - 1 if number > 1 else None,
        "after": number + 1 if number < course.n_holes else None,
        "may_change": access.may_change_course(account, course),
    }
    return render(request, "league/hole.html", context)


def _version_asked(request: HttpRequest, course: Course, number: int, now: int) -> HoleShown | None:
    asked = request.GET.get("version", "")
    if not asked or asked == str(now):
        return None
    if not (asked.isascii() and asked.isdigit() and len(asked) < 7):
        raise Http404
    found = reports.version_shown(course, number, int(asked))
    if found is None:
        raise Http404
    return found


def _changes(names: tuple[str, ...]) -> str:
    return ", ".join(dict.fromkeys(CHANGED_WORDS[name] for name in names))


@signed_in
@form_page
def hole_change(request: HttpRequest, course_id: str, number: int) -> HttpResponse:
    course = access.course_to_change(account_of(request), course_id)
    player = player_of(request)
    tees = _tees(course)
    shown = _shown(course, number, _tee_asked(request, tees, player), player)
    written = reports.version_shown(course, number, shown.version)
    if written and written.row and written.row.measured_from:
        tees = list({tee.pk: tee for tee in [*tees, written.row.measured_from]}.values())
    form = HoleForm(number, tees, request.POST or None, initial=_entries(request, shown, written, tees, player))
    stands = written or shown
    beside: dict[str, Any] = {
        "course": course,
        "number": number,
        "picture": _picture(stands.hole, stands.length, stands.length_unit),
    }
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, FORM, form, **beside)
    hole = form.hole
    try:
        services.check_description(_description(form, hole), course)
    except RuleBroken as broken:
        form.take(broken)
        return form_shown(request, FORM, form, **beside)
    if request.POST.get("draw") == "yes":
        length = services.measured_length(_description(form, hole))
        beside["picture"] = _picture(hole, length, form.cleaned_data["length_unit"])
        return form_shown(request, FORM, form.drawn(hole), was_drawn=True, **beside)

    def act() -> str:
        services.describe_hole(
            actor=player,
            course=course,
            to=_description(form, hole),
            reason=form.cleaned_data["reason"],
            if_version=form.seen_version,
        )
        messages.success(request, "Stored.")
        return _hole_page(course, number)

    return store_once(request, FORM, form, act, **beside)


def _entries(
    request: HttpRequest, shown: HoleShown, written: HoleShown | None, tees: list[Tee], player: Player
) -> dict[str, object]:
    """As the hole was written; a hole that nobody described begins from the reader's tee."""
    if written is not None and written.row is not None:
        from_tee = written.row.measured_from_id
        about = {"measured_from": from_tee or "", "length_unit": written.length_unit, "version": written.version}
        return {**hole_entries(written.hole), **about}
    tee = _tee_asked(request, tees, player)
    return {"measured_from": tee.pk if tee else "", "length_unit": shown.length_unit, "version": 0}


def _description(form: HoleForm, hole: Described) -> Description:
    return Description(hole=hole, length_unit=form.cleaned_data["length_unit"], measured_from=form.tee)


@signed_in
@press_only
def hole_restore(request: HttpRequest, course_id: UUID, number: int, version: int) -> HttpResponse:
    course = access.course_to_change(account_of(request), course_id)
    seen = request.POST.get("seen", "")
    try:
        services.restore_hole(
            actor=player_of(request),
            course=course,
            number=number,
            version=version,
            if_version=int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 7 else None,
        )
    except RuleBroken:
        raise Http404 from None
    messages.success(request, f"Version {version} stands again.")
    return see_other(_hole_page(course, number))


@signed_in
@form_page
def holes_table(request: HttpRequest, course_id: str) -> HttpResponse:
    """A table is read and shown; only what was shown is stored, all its holes or none."""
    course = access.course_to_change(account_of(request), course_id)
    player = player_of(request)
    tees = _tees(course)
    tee = _tee_asked(request, tees, player)
    begin = {"measured_from": tee.pk if tee else "", "length_unit": tee.length_unit if tee else player.length_unit}
    form = HolesTableForm(tees, request.POST or None, initial=begin)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, TABLE, form, course=course, columns=descriptions_table.COLUMNS)
    reading = descriptions_table.read(form.cleaned_data["table"])
    to = [
        Description(hole=hole, length_unit=form.cleaned_data["length_unit"], measured_from=form.tee)
        for hole in reading.holes
    ]
    faults = [f"Line {one.row}: {one.message}" if one.row else one.message for one in reading.problems]
    if faults or not form.was_read or request.POST.get("apply") != "yes":
        return _table_shown(request, form, course, reading, faults)
    try:
        stored = services.describe_holes(actor=player, course=course, to=to, reason=form.cleaned_data["reason"])
    except RuleBroken as broken:
        return _table_shown(request, form, course, reading, [one.message for one in broken.problems])
    said = f"{len(stored)} hole{'' if len(stored) == 1 else 's'} stored." if stored else "Nothing in it was new."
    messages.success(request, said)
    return see_other(reverse("course", args=[course.pk]))


def _table_shown(
    request: HttpRequest, form: HolesTableForm, course: Course, reading: DescriptionsReading, faults: list[str]
) -> HttpResponse:
    read = [] if faults else [(hole.number, charts.whole_words(hole)) for hole in reading.holes]
    if not faults:
        form.ask()
    shown = {"course": course, "columns": descriptions_table.COLUMNS, "read": read, "table_faults": faults}
    return form_shown(request, TABLE, form, 400 if faults else 200, **shown)


@signed_in
@require_safe
def holes_file(request: HttpRequest, course_id: str) -> HttpResponse:
    """All described holes from the reader's tee as a table; the file's name tells the unit."""
    course, player = access.course_for(account_of(request), course_id), player_of(request)
    tee = _tee_asked(request, _tees(course), player)
    shown = [one for one in reports.holes_shown(course, tee, player.length_unit) if one.is_described]
    name = slugify(f"{course.name} {tee.name if tee else ''} {shown[0].length_unit if shown else ''}") or "holes"
    response = HttpResponse(descriptions_table.write(one.hole for one in shown), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return response


urlpatterns = [
    path("course/<str:course_id>/hole/<int:number>/", hole_page, name="hole"),
    path("course/<str:course_id>/hole/<int:number>/change/", hole_change, name="hole_change"),
    path("course/<uuid:course_id>/hole/<int:number>/restore/<int:version>/", hole_restore, name="hole_restore"),
    path("course/<str:course_id>/holes/table/", holes_table, name="holes_table"),
    path("course/<str:course_id>/holes/file/", holes_file, name="holes_file"),
]
