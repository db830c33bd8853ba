"""Pages on which lines of a card are sent in, and the player's yes or no to a line that a scorer sent in."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse

from league import access
from league.models import Card, LineState, Tee
from league.reports.cards import played_before
from league.services import card_lines
from league.web.card_forms import SendAllForm, SendForm
from league.web.cards import other_tees, sent, told_of
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import form_shown, see_other


@signed_in
@form_page
def card_send(request: HttpRequest, card_id: str) -> HttpResponse:
    """What becomes of each line when the card is sent in?"""
    card = access.card_for(account_of(request), card_id)
    told = told_of(request, card)
    before = played_before(told, told.closing, access.kept_players(account_of(request)))
    form = SendAllForm(told, before, _tees_that_day(request, told.card), request.POST or None)
    page: dict[str, Any] = {"told": told, "before": before}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_send.html", form, **page)

    def act() -> str:
        card_lines.send_card(card=card, sender=player_of(request), sending=form.sending)
        return reverse("card_page", args=[card.pk])

    return sent(request, form, act, "league/card_send.html", **page)


def _tees_that_day(request: HttpRequest, card: Card) -> list[Tee]:
    return [tee for tee in other_tees(request, card) if tee.is_valid_on(card.played_on)]


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
    waiting = [mine] if mine.row.state == LineState.WAITS else []
    before = played_before(told, waiting, access.kept_players(account_of(request)))
    form = SendForm(told, before, _tees_that_day(request, told.card), request.POST or None)
    page: dict[str, Any] = {"told": told, "mine": mine, "before": before}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/card_answer.html", form, **page)
    if request.POST.get("answer") not in ("post", "decline"):
        form.add_error(None, "Say yes or no.")
        return form_shown(request, "league/card_answer.html", form, **page)
    is_yes = request.POST["answer"] == "post"

    def act() -> str:
        line = access.card_line_to_answer(account_of(request), str(card.pk), str(mine.row.pk))
        card_lines.answer_line(line=line, player=player_of(request), post=is_yes, sending=form.sending)
        messages.success(request, "It is in your record." if is_yes else "Declined. It is no round of yours.")
        return reverse("card_page", args=[card.pk])

    return sent(request, form, act, "league/card_answer.html", **page)


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/<uuid:card_id>/send/", card_send, name="card_send"),
    path("cards/<uuid:card_id>/answer/", card_answer, name="card_answer"),
]
