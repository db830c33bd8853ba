"""Pages of cards, for a browser without script: the list, a new card, what is put right on one, dropping it."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access
from league.models import Card, Group, Player, Tee
from league.reports.cards import CardTold, card_news, card_told, cards_of_group, open_cards, with_lines
from league.rules.errors import RuleBroken, refuse_all
from league.services import cards as services
from league.services import rounds
from league.services.cards import CardFacts, Opening
from league.services.courses import tee_on
from league.services.errors import Refused
from league.web.card_forms import ChangeForm, OpenForm
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import SeenForm, form_shown, see_other, send_once
from league.web.rounds import chosen_tee, tees_of


def told_of(request: HttpRequest, card: Card) -> CardTold:
    return card_told(with_lines(Card.objects.all()).get(pk=card.pk), player_of(request))


@signed_in
@require_safe
def cards(request: HttpRequest) -> HttpResponse:
    """Which cards are open, and which wait for my yes?"""
    player = player_of(request)
    found = with_lines(open_cards(access.visible_cards(account_of(request)))).order_by("-played_on", "pk")
    page = {
        "cards": [card_told(card, player) for card in found],
        "news": card_news(player),
    }
    return render(request, "league/cards.html", page)


@signed_in
@require_safe
def group_cards(request: HttpRequest, group_id: str) -> HttpResponse:
    """Which cards are being kept for the group, by whom, and how far are they?"""
    group = access.group_to_run(account_of(request), group_id).group
    found = with_lines(cards_of_group(group)).order_by("-played_on", "pk")
    page = {"group": group, "cards": [card_told(card, player_of(request)) for card in found]}
    return render(request, "league/group_cards.html", page)


@signed_in
@form_page
def card_open(request: HttpRequest) -> HttpResponse:
    player, tees = player_of(request), tees_of(request)
    tee = chosen_tee(request, player, tees)
    if tee is None:
        return render(request, "league/round_no_tee.html", {"player": player, "heading": "Open a card"})
    groups, people = _groups_and_people(request)
    first = {"tee": tee.pk, "players": [player.pk], "played_on": rounds.today_at(tee, player)}
    first["group"] = next((group.pk for group in groups if group.pk == tee.course.group_id), None)
    form = OpenForm(tees, groups, people, request.POST or None, initial=first)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_open.html", form)
    entered = form.cleaned_data

    def act() -> str:
        chosen = tee_on(entered["tee"], entered["played_on"]) or entered["tee"]
        refuse_all(rounds.day_problems(chosen, entered["played_on"], rounds.today_at(chosen, player)))
        opening = Opening(
            client_id=uuid4(),
            tee=chosen,
            tee_version=chosen.version,
            holes_in_play=entered["holes_in_play"] or chosen.usual_holes_in_play,
            played_on=entered["played_on"],
            group=entered["group"],
            players=_in_order(entered["players"], player),
        )
        return reverse("card_page", args=[services.open_card(opener=player, opening=opening).pk])

    return sent(request, form, act, "league/card_open.html")


def _groups_and_people(request: HttpRequest) -> tuple[QuerySet[Group], QuerySet[Player]]:
    groups = access.groups_of(account_of(request)).order_by("name", "pk")
    return groups, access.people_to_write_for(account_of(request)).order_by("name_folded", "pk")


def _in_order(players: Any, me: Player) -> tuple[Player, ...]:
    return tuple(sorted(players, key=lambda one: one.pk != me.pk))


@signed_in
@form_page
def card_change(request: HttpRequest, card_id: str) -> HttpResponse:
    """What was said when the card was opened is put right; what is written on it stays."""
    card = access.card_to_change(account_of(request), card_id)
    told = told_of(request, card)
    if not told.is_changeable:
        raise Refused("card_sent", "A line of this card was sent in, so the card stays as it is. Correct the round.")
    on_it = [line.row.player_id for line in told.lines]
    groups, people = _groups_and_people(request)
    people = Player.objects.filter(Q(pk__in=people.values("pk")) | Q(pk__in=on_it)).order_by("name_folded", "pk")
    first = {name: getattr(card, name) for name in ("played_on", "order_in_day", "version")}
    first |= {"tee": card.tee_id, "group": card.group_id, "players": on_it}
    tees = [told.card.tee, *other_tees(request, told.card)]
    form = ChangeForm(tees, groups, people, request.POST or None, initial=first)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_change.html", form, told=told)
    if form.seen_version != card.version:
        form.keep_against(card.version)
        status = 400 if form.seen_version is None else 409
        return form_shown(request, "league/card_change.html", form, status, told=told, is_changed=True)
    entered = form.cleaned_data

    def act() -> str:
        facts = CardFacts(
            **{name: entered[name] for name in ("tee", "played_on", "order_in_day", "group")},
            players=tuple(entered["players"]),
        )
        services.change_card(card=card, version=card.version, facts=facts, changed_by=player_of(request))
        return reverse("card_page", args=[card.pk])

    return sent(request, form, act, "league/card_change.html", told=told)


def other_tees(request: HttpRequest, card: Card) -> list[Tee]:
    """The other tees of the card's course that have the holes of the card."""
    visible = access.visible_courses(account_of(request))
    tees = Tee.objects.filter(course=card.tee.course_id, course__in=visible).exclude(pk=card.tee_id)
    found = tees.select_related("course").prefetch_related("holes").order_by("name", "rated_for", "valid_from")
    return [tee for tee in found if not services.other_holes(card, tee)]


@signed_in
@form_page
def card_drop(request: HttpRequest, card_id: str) -> HttpResponse:
    """What goes, what stays, and who is told?"""
    card = access.card_to_change(account_of(request), card_id)
    told = told_of(request, card)
    if told.is_dropped:
        return see_other(reverse("card_page", args=[card.pk]))
    if not told.is_open:
        raise Refused("card_sent", "Every line of this card was sent in, so nothing is left to drop.")
    form = SeenForm(request.POST or None, initial={"version": card.version})
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_drop.html", form, told=told)
    if form.seen_version != card.version:
        form.keep_against(card.version)
        status = 400 if form.seen_version is None else 409
        return form_shown(request, "league/card_drop.html", form, status, told=told, is_changed=True)
    services.drop_card(card=card, version=card.version, dropped_by=player_of(request))
    messages.success(request, "The card was dropped.")
    return see_other(reverse("cards"))


def sent(request: HttpRequest, form: Form, act: Callable[[], str], template: str, **page: Any) -> HttpResponse:
    """Done once; or the page again with what the rules ask for."""
    try:
        return send_once(request, act)
    except RuleBroken as broken:
        for one in broken.problems:
            names = (one.field, one.field.partition(".")[0], one.field.rpartition(".")[2])
            form.add_error(next((name for name in names if name in form.fields), None), one.message)
        return form_shown(request, template, form, **page)


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/", cards, name="cards"),
    path("group/<uuid:group_id>/cards/", group_cards, name="group_cards"),
    path("cards/open/", card_open, name="card_open"),
    path("cards/<uuid:card_id>/change/", card_change, name="card_change"),
    path("cards/<uuid:card_id>/drop/", card_drop, name="card_drop"),
]
