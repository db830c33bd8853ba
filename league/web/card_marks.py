"""Pages on which a card is written hole by hole, and one of two values of a hole is chosen."""

from typing import Any
from uuid import UUID, uuid5

from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse

from league import access
from league.models import Player
from league.reports.cards import CardTold, last_written
from league.rules.errors import RuleBroken
from league.services import card_marks
from league.web.card_forms import HoleForm
from league.web.cards import sent, told_of
from league.web.doors import account_of, form_page, player_of, press_only, signed_in
from league.web.forms import form_shown, see_other

PAGE = UUID("5f1d3f7e-6c5b-4d86-9f0a-2b7f3f0f6a11")


def page_device(player: Player) -> UUID:
    """Names the page, as a phone is named by its own id; each player's page is another."""
    return uuid5(PAGE, str(player.pk))


@signed_in
@form_page
def card_page(request: HttpRequest, card_id: str) -> HttpResponse:
    """Which hole, how many? And the whole card below."""
    card = access.card_for(account_of(request), card_id)
    told, player = told_of(request, card), player_of(request)
    number = _number(request, told)
    if request.method == "POST" and request.POST.get("hole") != str(number):
        raise BadRequest("which hole was written is not said")
    form = HoleForm(told, number, request.POST or None)
    page: dict[str, Any] = {"told": told, "number": number, "holes": told.rows, **_beside(told, number)}
    page["last"] = last_written(told, page_device(player)) if told.is_open else None
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_page.html", form, **page)

    def act() -> str:
        marks = form.written()
        if marks:
            card_marks.write_marks(card=card, writer=player, device=page_device(player), marks=marks)
        following = page["following"] or number
        return f"{reverse('card_page', args=[card.pk])}?hole={following}"

    return sent(request, form, act, "league/card_page.html", **page)


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
@press_only
def card_take_back(request: HttpRequest, card_id: str) -> HttpResponse:
    """Take back what was written last on this page; pressed twice, it is taken back once."""
    card, player = access.card_for(account_of(request), card_id), player_of(request)
    try:
        mark = UUID(request.POST.get("mark", ""))
        card_marks.take_back(card=card, mark=mark, writer=player, device=page_device(player))
    except (ValueError, RuleBroken):
        raise Http404 from None
    return see_other(f"{reverse('card_page', args=[card.pk])}?hole={_whole(request.POST.get('hole'))}")


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/<uuid:card_id>/", card_page, name="card_page"),
    path("cards/<uuid:card_id>/settle/", card_settle, name="card_settle"),
    path("cards/<uuid:card_id>/take-back/", card_take_back, name="card_take_back"),
]
