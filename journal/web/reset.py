"""The reset: a breath, one sentence, the next shot; one tap marks it, and the mark can be taken back."""

import uuid
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from journal import access
from journal.forms import MarkForm, tried
from journal.library import DEFAULT_BREATHS, DEFAULT_SENTENCE
from journal.models import Reset
from journal.readings import from_here, meant_today, open_lines, resets_told
from journal.services import resets
from journal.web.before import owner
from league.models import CardLine
from league.web.doors import account_of, form_page, press_only, signed_in
from league.web.forms import form_shown, see_other


@signed_in
@form_page
def reset_page(request: HttpRequest) -> HttpResponse:
    """`?line=` and `?hole=` come from the card; without them the card that is open counts."""
    account, player = account_of(request), owner(request)
    asked = request.GET.get("line")
    lines = [] if asked else open_lines(player)
    line = access.own_line(account, _key(asked)) if asked else next(iter(lines), None)
    routine = access.own_routine(account)
    client_id = request.GET.get("client_id") or uuid.uuid4()
    form = MarkForm(request.POST or None, initial={"client_id": client_id, "hole": request.GET.get("hole", "")})
    page: dict[str, Any] = {
        "sentence": (routine.sentence if routine else "") or DEFAULT_SENTENCE,
        "breaths": routine.breaths if routine else DEFAULT_BREATHS,
        "from_here": from_here(line) if line else "",
        "line": line,
        "meant": meant_today(player, line),
        "others": lines[1:],
        "is_done": "done" in request.GET,
        "done": _done(request),
        "card_url": _card_of(line, request.GET.get("hole")) if line and asked else reverse("card"),
    }
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "journal/reset.html", form, **page)
    entered = form.cleaned_data
    made: list[Reset] = []
    mark_id = entered["client_id"] or uuid.uuid4()
    if not tried(
        form,
        lambda: made.append(resets.mark_reset(player=player, client_id=mark_id, line=line, hole=entered["hole"])),
    ):
        return form_shown(request, "journal/reset.html", form, **page)
    from_card = {"line": asked, "hole": request.GET.get("hole", "")} if asked else {}
    return see_other(f"{reverse('journal_reset')}?{urlencode({'done': made[0].pk, **from_card})}")


def _done(request: HttpRequest) -> Reset | None:
    """The mark that was just made, while it stands."""
    try:
        asked = uuid.UUID(request.GET.get("done", ""))
    except ValueError:
        return None
    return access.own_resets(account_of(request)).filter(pk=asked).first()


def _card_of(line: CardLine, hole: str | None) -> str:
    number = int(hole) if hole and hole.isascii() and hole.isdigit() and len(hole) <= 2 else 0
    return reverse("card_page", args=[line.card_id]) + (f"?hole={number}" if number else "")


def _key(text: str) -> uuid.UUID:
    try:
        return uuid.UUID(text)
    except ValueError:
        raise Http404 from None


@signed_in
@press_only
def reset_drop(request: HttpRequest, reset_id: uuid.UUID) -> HttpResponse:
    """It was marked and not done, or marked at the wrong hole: the mark goes."""
    reset = access.own_reset(account_of(request), reset_id)
    hole, line = reset.hole, reset.line
    resets.drop_reset(reset=reset)
    from_card = {"line": line.pk} if line is not None else {}
    return see_other(f"{reverse('journal_reset')}?{urlencode({'hole': hole or '', **from_card})}")


@signed_in
@require_safe
def reset_evidence(request: HttpRequest) -> HttpResponse:
    """Do resets shorten my bad runs?"""
    return render(request, "journal/reset_evidence.html", {"told": resets_told(owner(request))})


urlpatterns: list[URLPattern | URLResolver] = [
    path("reset/", reset_page, name="journal_reset"),
    path("reset/<uuid:reset_id>/drop/", reset_drop, name="journal_reset_drop"),
    path("reset/evidence/", reset_evidence, name="journal_reset_evidence"),
]
