"""Pages on which lines of a card are sent in, and the player's yes or no to a line that a scorer sent in."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse

from league import access
from league.models import LineState
from league.services import card_lines
from league.services.card_lines import TEE_CHANGED, Sending
from league.web.card_forms import SendForm
from league.web.cards import sent, told_of
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import form_shown, see_other


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

    return sent(request, form, act, "league/card_send.html", told=told)


def _sending(form: SendForm) -> Sending:
    confirmed = {TEE_CHANGED} if form.cleaned_data.get("tee_seen") else set()
    return Sending(confirmed=confirmed, not_played_reason=form.cleaned_data["not_played_reason"])


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

    return sent(request, form, act, "league/card_answer.html", told=told, mine=mine)


urlpatterns: list[URLPattern | URLResolver] = [
    path("cards/<uuid:card_id>/send/", card_send, name="card_send"),
    path("cards/<uuid:card_id>/answer/", card_answer, name="card_answer"),
]
