"""The carry book: clubs, measured shots, what the day makes of them. Its owner's alone, like everything in it."""

from dataclasses import fields
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access, charts
from league.estimates.carries import PUTTER
from league.estimates.conditions import Conditions, playing_length
from league.models import Club, LengthUnit, Shot
from league.reports import carries as reports
from league.reports.carries import BookTold, ClubToday
from league.reports.courses import index_of
from league.reports.shots import shot_lists
from league.rules.described import converted
from league.rules.errors import RuleBroken
from league.services import carries
from league.services.carries import BookFacts, ClubFacts, ShotFacts
from league.services.errors import Refused
from league.web.carry_forms import NOTES, BookForm, ClubForm, DayForm, ShotForm, StarterForm
from league.web.doors import account_of, form_page, player_of, press_only, signed_in
from league.web.forms import form_shown, see_other, send_once, store_once
from league.web.rounds import pager

SHOTS_A_PAGE = 50
USUAL_SHOT = {LengthUnit.YARDS: 150, LengthUnit.METRES: 140}


@signed_in
@require_safe
def carry_book(request: HttpRequest) -> HttpResponse:
    """How far does each of my clubs carry, and how sure is that?"""
    return _book_page(request, StarterForm())


def _book_page(request: HttpRequest, starter: StarterForm, status: int = 200) -> HttpResponse:
    me = player_of(request)
    told = reports.carry_book(me)
    page = {
        "told": told,
        "picture": _picture(told),
        "notes": [(label, getattr(told.book, name)) for name, label in NOTES.items() if told.book],
        "lists": shot_lists(me),
        "n_shots": sum(one.n_shots for one in told.clubs),
        "n_carried": sum(one.club.is_carried for one in told.clubs),
        "other_unit": next(unit for unit in LengthUnit.values if unit != told.length_unit),
        "form": starter,
    }
    return render(request, "league/carry_book.html", page, status=status)


def _picture(told: BookTold, today: tuple[ClubToday, ...] = ()) -> charts.Picture | None:
    """The clubs that are carried, longest first."""
    day = {one.name: one.carry for one in today}
    rows = [
        charts.CarryRow(
            name=one.club.name,
            carry=one.told.carry,
            low=one.four_in_five[0],
            high=one.four_in_five[1],
            is_published=one.told.is_published,
            n_shots=one.n_shots,
            today=day.get(one.club.name),
        )
        for one in told.clubs
        if one.told is not None and one.four_in_five is not None and one.club.is_carried
    ]
    return charts.carry_ranges(rows, told.length_unit) if rows else None


@signed_in
@press_only
def starter_set(request: HttpRequest) -> HttpResponse:
    form = StarterForm(request.POST)
    if not form.is_valid():
        return _book_page(request, form, 400)
    me = player_of(request)
    index = index_of(me)

    def act() -> str:
        carries.take_starter_set(
            player=me, drive=form.cleaned_data["drive"], index=None if index is None else float(index)
        )
        messages.success(request, "A usual set is in the book: a guess, to be put right club by club.")
        return reverse("carry_book")

    try:
        return send_once(request, act)
    except RuleBroken as broken:
        form.take(broken)
        return _book_page(request, form, 400)
    except Refused as refused:
        form.add_error(None, refused.message)
        return _book_page(request, form, 409)


@signed_in
@form_page
def carry_book_change(request: HttpRequest) -> HttpResponse:
    """Notes by lie and the distance one likes to leave."""
    me = player_of(request)
    told = reports.carry_book(me)
    stands = {name: getattr(told.book, name) for name in ("liked_distance", *NOTES)} if told.book else {}
    form = BookForm(request.POST or None, initial={**stands, "version": told.version})
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/carry_book_form.html", form, told=told)
    entered = {name: form.cleaned_data[name] for name in ("liked_distance", *NOTES)}
    facts = BookFacts(length_unit=told.length_unit, **entered)

    def act() -> str:
        carries.change_book(player=me, facts=facts, if_version=form.seen_version)
        messages.success(request, "Stored.")
        return reverse("carry_book")

    return store_once(request, "league/carry_book_form.html", form, act, told=told)


@signed_in
@press_only
def carry_book_unit(request: HttpRequest) -> HttpResponse:
    """Tells the whole book in the other unit."""
    me = player_of(request)
    told = reports.carry_book(me)
    unit = request.POST.get("length_unit", "")
    if unit not in LengthUnit.values:
        return render(request, "400.html", status=400)
    notes = {name: getattr(told.book, name) for name in NOTES} if told.book else {}
    liked = told.liked_distance
    facts = BookFacts(
        length_unit=unit,
        liked_distance=None if liked is None else min(carries.LONGEST_CARRY, converted(liked, told.length_unit, unit)),
        **notes,
    )
    carries.change_book(player=me, facts=facts, if_version=told.version)
    messages.success(request, f"The book is in {unit} now.")
    return see_other(reverse("carry_book"))


# Clubs


@signed_in
@form_page
def club_new(request: HttpRequest) -> HttpResponse:
    form = ClubForm(request.POST or None)
    told: dict[str, Any] = {"length_unit": reports.unit_of(player_of(request))}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/club_form.html", form, **told)

    def act() -> str:
        made = carries.add_club(player=player_of(request), facts=form.facts)
        messages.success(request, f"{made.name} is in the book.")
        return reverse("club", args=[made.pk])

    return store_once(request, "league/club_form.html", form, act, **told)


@signed_in
@require_safe
def club_page(request: HttpRequest, club_id: str) -> HttpResponse:
    return _club_page(request, access.own_club(account_of(request), club_id), ShotForm())


def _club_page(request: HttpRequest, club: Club, form: ShotForm, status: int = 200) -> HttpResponse:
    told = reports.carry_book(player_of(request))
    shown = Paginator(Shot.objects.filter(club=club).order_by("-pk"), SHOTS_A_PAGE).get_page(request.GET.get("page"))
    page = {
        "club": club,
        "one": next(one for one in told.clubs if one.club.pk == club.pk),
        "told": told,
        "is_putter": club.kind == PUTTER,
        "shots": shown.object_list,
        "pager": pager(request, shown),
        "form": form,
    }
    return render(request, "league/club.html", page, status=status)


@signed_in
@form_page
def club_change(request: HttpRequest, club_id: str) -> HttpResponse:
    club = access.own_club(account_of(request), club_id)
    stands = {field.name: getattr(club, field.name) for field in fields(ClubFacts)}
    degrees = {"loft": _degrees(club.loft_tenths), "wide": _degrees(club.wide_tenths), "version": club.version}
    form = ClubForm(request.POST or None, initial={**stands, **degrees})
    told: dict[str, Any] = {"length_unit": club.book.length_unit, "club": club}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/club_form.html", form, **told)

    def act() -> str:
        carries.change_club(club=club, facts=form.facts, if_version=form.seen_version)
        messages.success(request, "Stored.")
        return reverse("club", args=[club.pk])

    return store_once(request, "league/club_form.html", form, act, **told)


def _degrees(tenths: int | None) -> Decimal | None:
    return None if tenths is None else Decimal(tenths) / 10


@signed_in
@form_page
def club_remove(request: HttpRequest, club_id: str) -> HttpResponse:
    club = access.own_club(account_of(request), club_id)
    if request.method != "POST":
        n_shots = club.shots.count()
        return form_shown(request, "league/club_remove.html", forms.Form(), club=club, n_shots=n_shots)
    carries.remove_club(club=club)
    messages.success(request, f"{club.name} is out of the book.")
    return see_other(reverse("carry_book"))


@signed_in
@press_only
def shot_new(request: HttpRequest, club_id: str) -> HttpResponse:
    club = access.own_club(account_of(request), club_id)
    form = ShotForm(request.POST)
    if not form.is_valid():
        return _club_page(request, club, form, 400)
    shot = ShotFacts(**{name: form.cleaned_data[name] for name in ("carry", "off_line", "hit_on")})

    def act() -> str:
        carries.add_shots(club=club, shots=[shot])
        return reverse("club", args=[club.pk]) + "#shots"

    try:
        return send_once(request, act)
    except RuleBroken as broken:
        form.take(broken)
        return _club_page(request, club, form, 400)
    except Refused as refused:
        form.add_error(None, refused.message)
        return _club_page(request, club, form, 409)


@signed_in
@press_only
def shot_remove(request: HttpRequest, club_id: str, number: int) -> HttpResponse:
    carries.remove_shot(shot=access.own_shot(account_of(request), club_id, number))
    return see_other(reverse("club", args=[club_id]) + "#shots")


# The day


@signed_in
@require_safe
def carries_today(request: HttpRequest) -> HttpResponse:
    """How far does each club go today, and why?"""
    told = reports.carry_book(player_of(request))
    usual = told.liked_distance or USUAL_SHOT[LengthUnit(told.length_unit)]
    form = DayForm(request.GET or None, initial={"distance": usual})
    page: dict[str, Any] = {"told": told, "status": 200}
    if form.is_bound and not form.is_valid():
        page["status"] = 400
    elif form.is_bound:
        asked = form.cleaned_data
        day = _day_of(asked)
        rise = asked["rise"] or 0
        today = told.today(day, rise)
        distance = asked["distance"] or usual
        page |= {
            "today": today,
            "picture": _picture(told, today),
            "distance": distance,
            "plays": playing_length(distance, day, rise),
            "is_blown": any(abs(one.aside) >= 0.5 for one in today),
        }
    return form_shown(request, "league/carries_today.html", form, **page)


def _day_of(asked: dict[str, Any]) -> Conditions:
    return Conditions(
        temperature_c=asked["temperature"],
        wind_speed=asked["wind"],
        wind_from=asked["wind_from"],
        ground=asked["ground"],
        altitude_m=asked["altitude"],
    )


urlpatterns: list[URLPattern | URLResolver] = [
    path("carry-book/", carry_book, name="carry_book"),
    path("carry-book/change/", carry_book_change, name="carry_book_change"),
    path("carry-book/unit/", carry_book_unit, name="carry_book_unit"),
    path("carry-book/starter/", starter_set, name="starter_set"),
    path("carry-book/today/", carries_today, name="carries_today"),
    path("carry-book/clubs/new/", club_new, name="club_new"),
    path("carry-book/clubs/<uuid:club_id>/", club_page, name="club"),
    path("carry-book/clubs/<uuid:club_id>/change/", club_change, name="club_change"),
    path("carry-book/clubs/<uuid:club_id>/remove/", club_remove, name="club_remove"),
    path("carry-book/clubs/<uuid:club_id>/shots/", shot_new, name="shot_new"),
    path("carry-book/clubs/<uuid:club_id>/shots/<int:number>/remove/", shot_remove, name="shot_remove"),
]
