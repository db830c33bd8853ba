"""The reset: a breath, one sentence, the next shot; one tap marks it."""

import uuid
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, path, reverse

from journal import access
from journal.forms import MarkForm
from journal.library import DEFAULT_BREATHS, DEFAULT_SENTENCE
from journal.readings import from_here, open_line
from journal.services import resets
from journal.web.before import owner
from league.web.doors import account_of, form_page, signed_in
from league.web.forms import form_shown, see_other


@signed_in
@form_page
def reset_page(request: HttpRequest) -> HttpResponse:
    """`?line=` and `?hole=` come from the card; without them the card that is open counts."""
    account, player = account_of(request), owner(request)
    asked = request.GET.get("line")
    line = access.own_line(account, _key(asked)) if asked else open_line(player)
    routine = access.own_routine(account)
    form = MarkForm(request.POST or None, initial={"client_id": uuid.uuid4(), "hole": request.GET.get("hole", "")})
    page: dict[str, Any] = {
        "sentence": (routine.sentence if routine else "") or DEFAULT_SENTENCE,
        "breaths": routine.breaths if routine else DEFAULT_BREATHS,
        "from_here": from_here(line) if line else "",
        "is_done": "done" in request.GET,
    }
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "journal/reset.html", form, **page)
    entered = form.cleaned_data
    resets.mark_reset(player=player, client_id=entered["client_id"] or uuid.uuid4(), line=line, hole=entered["hole"])
    return see_other(reverse("journal_reset") + "?done=1")


def _key(text: str) -> uuid.UUID:
    try:
        return uuid.UUID(text)
    except ValueError:
        raise Http404 from None


urlpatterns: list[URLPattern | URLResolver] = [path("reset/", reset_page, name="journal_reset")]
