"""Cards by page, for a browser without script: opened, kept hole by hole, settled, sent in, answered."""

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access
from league.models import Card, LineState, Player
from league.reports.cards import CardTold, card_news, card_told, open_cards, with_lines
from league.rules.errors import RuleBroken
from league.services import card_lines, card_marks, rounds
from league.services import cards as services
from league.services.card_lines import TEE_CHANGED, Sending
from league.services.cards import Opening
from league.services.errors import Refused
from league.web.card_forms import HoleForm, OpenForm, SendForm
from league.web.doors import account_of, form_page, player_of, press_only, signed_in
from league.web.forms import SeenForm, form_shown, see_other, send_once
from league.web.rounds import chosen_tee, holes_choices, tees_of

PAGE = UUID("5f1d3f7e-6c5b-4d86-9f0a-2b7f3f0f6a11")
"""Names the page, as a phone is named by its own id; each player's page is another."""


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
@form_page
def card_open(request: HttpRequest) -> HttpResponse:
    player, tees = player_of(request), tees_of(request)
    tee = chosen_tee(request, player, tees)
    if tee is None:
        return render(request, "league/round_no_tee.html", {"player": player, "heading": "Open a card"})
    people = access.people_to_write_for(account_of(request)).order_by("name_folded", "pk")
    choices = holes_choices(tee)
    first = {"tee": tee.pk, "players": [player.pk], "played_on": rounds.today_at(tee, player)}
    form = OpenForm(tees, people, choices, request.POST or None, initial=first)
    if not form.is_valid():
        return form_shown(request, "league/card_open.html", form)
    entered = form.cleaned_data

    def act() -> str:
        opening = Opening(
            client_id=uuid4(),
            tee=entered["tee"],
            tee_version=entered["tee"].version,
            holes_in_play=entered["holes_in_play"],
            played_on=entered["played_on"],
            players=_in_order(entered["players"], player),
        )
        return reverse("card_page", args=[services.open_card(opener=player, opening=opening).pk])

    return _sent(request, form, act, "league/card_open.html")


def _in_order(players: Any, me: Player) -> tuple[Player, ...]:
    return tuple(sorted(players, key=lambda one: one.pk != me.pk))


@signed_in
@form_page
def card_page(request: HttpRequest, card_id: str) -> HttpResponse:
    """Which hole, how many? And the whole card below."""
    card = access.card_for(account_of(request), card_id)
    told = told_of(request, card)
    number = _number(request, told)
    if request.method == "POST" and request.POST.get("hole") != str(number):
        raise BadRequest("which hole was written is not said")
    form = HoleForm(told, number, request.POST or None)
    page: dict[str, Any] = {"told": told, "number": number, "holes": told.rows, **_beside(told, number)}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_page.html", form, **page)
    player = player_of(request)

    def act() -> str:
        marks = form.written()
        if marks:
            card_marks.write_marks(card=card, writer=player, device=uuid5(PAGE, str(player.pk)), marks=marks)
        following = page["following"] or number
        return f"{reverse('card_page', args=[card.pk])}?hole={following}"

    return _sent(request, form, act, "league/card_page.html", **page)


def _number(request: HttpRequest, told: CardTold) -> int:
    """The hole asked for, else the first that somebody has not written."""
    asked = request.POST.get("hole") or request.GET.get("hole") or ""
    if asked.isascii() and asked.isdigit() and len(asked) <= 2 and int(asked) in told.numbers:
        return int(asked)
    open_ones = [first.number for first, across in told.rows if any(hole.value is None for hole in across)]
    return next(iter(open_ones), told.numbers[-1])


def _beside(told: CardTold, number: int) -> dict[str, int | None]:
    place = told.numbers.index(number)
    before = told.numbers[place - 1] if place else None
    return {"before": before, "following": told.numbers[place + 1] if place + 1 < len(told.numbers) else None}


@signed_in
@press_only
def card_settle(request: HttpRequest, card_id: str) -> HttpResponse:
    """Choose one of two values of a hole."""
    card = access.card_for(account_of(request), card_id)
    line = card.lines.filter(place=_whole(request.POST.get("place"))).first()
    number = _whole(request.POST.get("hole"))
    if line is None:
        raise Http404
    try:
        mark = UUID(request.POST.get("mark", ""))
        card_marks.settle_hole(card=card, line=line, number=number, mark=mark, settled_by=player_of(request))
    except (ValueError, RuleBroken):
        raise Http404 from None
    return see_other(f"{reverse('card_page', args=[card.pk])}?hole={number}")


def _whole(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) <= 2 else 0


@signed_in
@form_page
def card_send(request: HttpRequest, card_id: str) -> HttpResponse:
    """What becomes of each line when the card is sent in?"""
    card = access.card_for(account_of(request), card_id)
    told = told_of(request, card)
    form = SendForm(request.POST or None, asks_tee=told.asks_tee)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_send.html", form, told=told)

    def act() -> str:
        card_lines.send_card(card=card, sender=player_of(request), sending=_sending(form))
        return reverse("card_page", args=[card.pk])

    return _sent(request, form, act, "league/card_send.html", told=told)


def _sending(form: SendForm) -> Sending:
    confirmed = {TEE_CHANGED} if form.cleaned_data.get("tee_seen") else set()
    return Sending(confirmed=confirmed, not_played_reason=form.cleaned_data["not_played_reason"])


@signed_in
@form_page
def card_drop(request: HttpRequest, card_id: str) -> HttpResponse:
    """What goes, what stays, and who is told?"""
    card = access.card_to_drop(account_of(request), card_id)
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


def _sent(request: HttpRequest, form: Form, act: Callable[[], str], template: str, **page: Any) -> HttpResponse:
    """Done once; or the page again with what the rules ask for."""
    try:
        return send_once(request, act)
    except RuleBroken as broken:
        for one in broken.problems:
            form.add_error(one.field if one.field in form.fields else None, one.message)
        return form_shown(request, template, form, **page)


@signed_in
@form_page
def card_answer(request: HttpRequest, card_id: str) -> HttpResponse:
    """Is what a scorer wrote for me right?"""
    card = access.card_for(account_of(request), card_id)
    told = told_of(request, card)
    mine = next((line for line in told.lines if line.is_own), None)
    if mine is None:
        raise Http404
    if mine.row.state == LineState.OPEN:
        return see_other(reverse("card_page", args=[card.pk]))
    form = SendForm(request.POST or None, asks_tee=told.asks_tee)
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_answer.html", form, told=told, mine=mine)
    if request.POST.get("answer") not in ("post", "decline"):
        form.add_error(None, "Say yes or no.")
        return form_shown(request, "league/card_answer.html", form, told=told, mine=mine)
    is_yes = request.POST["answer"] == "post"

    def act() -> str:
        line = access.card_line_to_answer(account_of(request), str(card.pk), str(mine.row.pk))
        card_lines.answer_line(line=line, player=player_of(request), post=is_yes, sending=_sending(form))
        messages.success(request, "It is in your record." if is_yes else "Declined. It is no round of yours.")
        return reverse("card_page", args=[card.pk])

    return _sent(request, form, act, "league/card_answer.html", told=told, mine=mine)


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/", cards, name="cards"),
    path("cards/open/", card_open, name="card_open"),
    path("cards/<uuid:card_id>/", card_page, name="card_page"),
    path("cards/<uuid:card_id>/settle/", card_settle, name="card_settle"),
    path("cards/<uuid:card_id>/send/", card_send, name="card_send"),
    path("cards/<uuid:card_id>/answer/", card_answer, name="card_answer"),
    path("cards/<uuid:card_id>/drop/", card_drop, name="card_drop"),
]
