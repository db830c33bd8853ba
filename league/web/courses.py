"""Courses and tees: looking, entering, re-rating, and the course file."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from league import access, charts
from league.exchange import courses_csv, courses_json
from league.exchange.problems import Limits, Problem
from league.models import Course, Group, Membership, Role, Tee
from league.reports import courses as reports
from league.reports import descriptions
from league.rules import printed
from league.rules.errors import RuleBroken
from league.rules.printed import Doubt, PrintedTee
from league.services import courses
from league.services.errors import Refused
from league.web.course_forms import (
    FILE_BYTES,
    CourseFileForm,
    CourseForm,
    TeeForm,
    tee_entries,
)
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import form_shown, see_other, store_once

LINES_A_PAGE = 50
SEARCH_CHARACTERS = 160


def _course_page(course_id: object) -> str:
    return reverse("course", args=[course_id])


def _tee_page(tee_id: object) -> str:
    return reverse("tee", args=[tee_id])


def _groups_run(request: HttpRequest) -> list[Group]:
    run = Membership.objects.filter(
        player=player_of(request), left_at=None, role=Role.ORGANISER, group__rests_since=None
    )
    return [membership.group for membership in run.select_related("group").order_by("group__name")]


@signed_in
@require_safe
def course_list(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("q", "")[:SEARCH_CHARACTERS].replace("\x00", "")
    mine = access.visible_courses(account_of(request))
    found = (
        reports.find_courses(mine, text=text).select_related("group").prefetch_related("tees").order_by("name", "id")
    )
    pages = Paginator(found, LINES_A_PAGE)
    part = pages.get_page(request.GET.get("page"))
    shown = {
        "courses": part.object_list,
        "q": text,
        "n_found": pages.count,
        "has_any": bool(pages.count) or mine.exists(),
        "pager": {
            "newer_url": f"?q={text}&page={part.previous_page_number()}" if part.has_previous() else "",
            "older_url": f"?q={text}&page={part.next_page_number()}" if part.has_next() else "",
            "said": f"{part.start_index()} to {part.end_index()} of {pages.count}",
        },
    }
    return render(request, "league/course_list.html", shown)


@signed_in
@require_safe
def course_page(request: HttpRequest, course_id: str) -> HttpResponse:
    account = account_of(request)
    course = access.course_for(account, course_id)
    sheet = reports.course_sheet(course, player_of(request))
    holes = descriptions.holes_shown(course, None, "")
    shown = {
        "course": course,
        "sheet_of": sheet,
        "holes": [(one.number, one.hole.name, charts.known_words(one.hole)) for one in holes],
        "n_described": sum(one.is_described for one in holes),
        "may_change": access.may_change_course(account, course),
    }
    return render(request, "league/course.html", shown)


@signed_in
@form_page
def course_new(request: HttpRequest) -> HttpResponse:
    form = CourseForm(_groups_run(request), request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/course_form.html", form)

    def act() -> str:
        made = courses.create_course(actor=player_of(request), group=form.group, facts=_course_facts(form))
        messages.success(request, "The course is there. Now its tees.")
        return _course_page(made.pk)

    return store_once(request, "league/course_form.html", form, act)


def _course_facts(form: CourseForm) -> courses.CourseFacts:
    return courses.CourseFacts(**{name: form.cleaned_data[name] for name in ("name", "place", "n_holes", "time_zone")})


@signed_in
@form_page
def course_change(request: HttpRequest, course_id: str) -> HttpResponse:
    course = access.course_to_change(account_of(request), course_id)
    stands = {name: getattr(course, name) for name in ("name", "place", "n_holes", "time_zone", "version")}
    form = CourseForm([], request.POST or None, course=course, initial=stands)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/course_form.html", form, course=course)

    def act() -> str:
        courses.change_course(
            actor=player_of(request), course=course, facts=_course_facts(form), if_version=form.seen_version
        )
        messages.success(request, "Stored.")
        return _course_page(course.pk)

    return store_once(request, "league/course_form.html", form, act, course=course)


@signed_in
@form_page
def course_delete(request: HttpRequest, course_id: str) -> HttpResponse:
    course = access.course_to_change(account_of(request), course_id)
    if request.method != "POST":
        return render(request, "league/course_delete.html", {"course": course})
    try:
        courses.delete_course(actor=player_of(request), course=course)
    except Refused as refused:
        return render(request, "league/course_delete.html", {"course": course, "said": refused.message}, status=409)
    messages.success(request, f"{course} is deleted.")
    return see_other(reverse("courses"))


@signed_in
@require_safe
def course_export(request: HttpRequest, course_id: str) -> HttpResponse:
    course = access.course_for(account_of(request), course_id)
    response = HttpResponse(courses_json.write(reports.as_file(course)), content_type="application/json")
    response["Content-Disposition"] = f'attachment; filename="{slugify(course.name) or "course"}.json"'
    return response


@signed_in
@form_page
def course_file(request: HttpRequest) -> HttpResponse:
    """A file is read and shown; only its second sending, with the word to store it, stores it."""
    form = CourseFileForm(_groups_run(request), request.POST or None, request.FILES or None)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/course_file.html", form)
    is_preview = form.cleaned_data["file"] is not None
    raw = form.raw
    reading = courses_json.read(raw, limits=Limits(bytes=FILE_BYTES))
    if reading.course is None:
        return form_shown(request, "league/course_file.html", form, 400, problems=reading.problems)
    held = reading.course
    asks = [doubt for tee in held.tees for doubt in printed.doubts(tee)]
    if is_preview or (asks and not form.cleaned_data["confirmed"]):
        form.data = {**dict(form.data.items()), "text": raw.decode("utf-8-sig")}
        shown = {"held": held, "tees": [(tee, printed.doubts(tee)) for tee in held.tees], "has_doubts": bool(asks)}
        return form_shown(request, "league/course_file.html", form, 200, **shown)

    def act() -> str:
        facts = courses.CourseFacts(name=held.name, place=held.place, n_holes=held.n_holes)
        made = courses.create_course(
            actor=player_of(request),
            group=form.group,
            facts=facts,
            tees=held.tees,
            described=held.descriptions,
            confirmed=courses.ALL_CONFIRMED,
        )
        messages.success(request, f"Stored, with {len(held.tees)} tee{'' if len(held.tees) == 1 else 's'}.")
        return _course_page(made.pk)

    return store_once(request, "league/course_file.html", form, act)


@signed_in
@require_safe
def tee_page(request: HttpRequest, tee_id: str) -> HttpResponse:
    account = account_of(request)
    tee = access.tee_for(account, tee_id)
    sheet = reports.course_sheet(tee.course, player_of(request))
    versions = next(one for one in sheet.sets if any(version.tee.pk == tee.pk for version in one.versions))
    shown = {
        "course": tee.course,
        "tee": tee,
        "card": next(version for version in versions.versions if version.tee.pk == tee.pk),
        "versions": versions.versions,
        "index_tenths": sheet.index_tenths,
        "may_change": access.may_change_course(account, tee.course),
    }
    return render(request, "league/tee.html", shown)


@signed_in
@form_page
def tee_new(request: HttpRequest, course_id: str) -> HttpResponse:
    """Empty, or as a copy of another tee of the course (`?copy=`): its holes, with other ratings."""
    course = access.course_to_change(account_of(request), course_id)
    entries = _copied(request, course)
    form = TeeForm(course.n_holes, request.POST or None, initial=entries)

    def store(tee: PrintedTee) -> Tee:
        return courses.add_tee(actor=player_of(request), course=course, tee=tee, confirmed=courses.ALL_CONFIRMED)

    return _tee_form(request, form, course, store, copied=bool(entries))


def _copied(request: HttpRequest, course: Course) -> dict[str, object]:
    copied = request.GET.get("copy", "")
    if not copied:
        return {"length_unit": player_of(request).length_unit}
    card = access.tee_for(account_of(request), copied).as_printed()
    if len(card.holes) != course.n_holes:
        return {}
    entries = tee_entries(replace(card, valid_from=None, valid_until=None))
    ratings = [name for name in entries if name.endswith(("_rating", "rated_for"))]
    return {name: value for name, value in entries.items() if name not in ratings}


@signed_in
@form_page
def tee_change(request: HttpRequest, tee_id: str) -> HttpResponse:
    tee = access.tee_to_change(account_of(request), tee_id)
    entries = {**tee_entries(tee.as_printed()), "version": tee.version}
    form = TeeForm(tee.course.n_holes, request.POST or None, initial=entries, is_used=tee.rounds.exists())

    def store(to: PrintedTee) -> Tee:
        return courses.change_tee(
            actor=player_of(request), tee=tee, to=to, confirmed=courses.ALL_CONFIRMED, if_version=form.seen_version
        )

    return _tee_form(request, form, tee.course, store, tee=tee, stood=tee.as_printed())


@signed_in
@form_page
def tee_rerate(request: HttpRequest, tee_id: str) -> HttpResponse:
    tee = access.tee_to_change(account_of(request), tee_id)
    card = replace(tee.as_printed(), valid_from=None, valid_until=None)
    entries = {**tee_entries(card), "version": tee.version}
    form = TeeForm(tee.course.n_holes, request.POST or None, initial=entries, is_version=True)

    def store(to: PrintedTee) -> Tee:
        return courses.rerate_tee(
            actor=player_of(request), tee=tee, to=to, confirmed=courses.ALL_CONFIRMED, if_version=form.seen_version
        )

    return _tee_form(request, form, tee.course, store, tee=tee, is_version=True)


@signed_in
@form_page
def tee_delete(request: HttpRequest, tee_id: str) -> HttpResponse:
    tee = access.tee_to_change(account_of(request), tee_id)
    shown = {"tee": tee, "course": tee.course}
    if request.method != "POST":
        return render(request, "league/tee_delete.html", shown)
    try:
        courses.delete_tee(actor=player_of(request), tee=tee)
    except Refused as refused:
        return render(request, "league/tee_delete.html", {**shown, "said": refused.message}, status=409)
    messages.success(request, f"{tee.name} is deleted.")
    return see_other(_course_page(tee.course_id))


def _tee_form(
    request: HttpRequest,
    form: TeeForm,
    course: Course,
    store: Callable[[PrintedTee], Tee],
    stood: PrintedTee | None = None,
    **shown: Any,
) -> HttpResponse:
    """A pasted table first fills the rows; then the checks; then whatever is unusual is asked; then it is stored."""
    shown = {"course": course, **shown}
    if request.method == "POST" and "table" in form.fields and request.POST.get("table", "").strip():
        return _table_read(request, form, shown)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/tee_form.html", form, **shown)
    to = form.printed
    try:
        printed.check(to, course.n_holes)
    except RuleBroken as broken:
        form.take(broken)
        return form_shown(request, "league/tee_form.html", form, **shown)
    doubts = _new_doubts(to, stood)
    if doubts and not form.is_confirmed(doubts):
        form.ask(doubts)
        return form_shown(request, "league/tee_form.html", form, 200, doubts=doubts, **shown)

    def act() -> str:
        stored = store(to)
        messages.success(request, "Stored.")
        return _tee_page(stored.pk)

    return store_once(request, "league/tee_form.html", form, act, doubts=doubts, **shown)


def _new_doubts(to: PrintedTee, stood: PrintedTee | None) -> list[Doubt]:
    """What was confirmed once is not asked again."""
    known = {doubt.message for doubt in printed.doubts(stood)} if stood else set()
    return [doubt for doubt in printed.doubts(to) if doubt.message not in known]


def _table_read(request: HttpRequest, form: TeeForm, shown: dict[str, Any]) -> HttpResponse:
    table = request.POST["table"]
    reading = courses_csv.read_holes(table)
    faults = [_at_line(problem) for problem in reading.problems]
    if not faults and len(reading.rows) != form.n_holes:
        faults = [f"The table has {len(reading.rows)} holes; this course has {form.n_holes}."]
    is_version = "is_version" in shown
    if faults:
        kept = form.refilled([], "", table=table, is_version=is_version)
        return form_shown(request, "league/tee_form.html", kept, 400, table_faults=faults, **shown)
    filled = form.refilled(reading.rows, reading.length_unit, is_version=is_version)
    return form_shown(request, "league/tee_form.html", filled, was_read=True, notes=reading.notes, **shown)


def _at_line(problem: Problem) -> str:
    return f"Line {problem.row}: {problem.message}" if problem.row else problem.message


urlpatterns = [
    path("courses/", course_list, name="courses"),
    path("courses/new/", course_new, name="course_new"),
    path("courses/file/", course_file, name="course_file"),
    path("course/<str:course_id>/", course_page, name="course"),
    path("course/<str:course_id>/change/", course_change, name="course_change"),
    path("course/<str:course_id>/delete/", course_delete, name="course_delete"),
    path("course/<str:course_id>/file/", course_export, name="course_export"),
    path("course/<str:course_id>/tees/new/", tee_new, name="tee_new"),
    path("tee/<str:tee_id>/", tee_page, name="tee"),
    path("tee/<str:tee_id>/change/", tee_change, name="tee_change"),
    path("tee/<str:tee_id>/rerate/", tee_rerate, name="tee_rerate"),
    path("tee/<str:tee_id>/delete/", tee_delete, name="tee_delete"),
]
