"""The card on the phone: its page, what makes it open without a signal, and who is signed in there.

The page is the same for everybody and says nothing about anybody, since the phone keeps a copy of it. What is private
is asked for by script and kept in the phone's own storage, bound to its account.
"""

import hashlib
import json
from pathlib import Path

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league.web.doors import player_of, signed_in

CARD = Path(__file__).resolve().parents[1] / "static" / "league" / "card"
WORKER = "worker.js"
ELSEWHERE = {WORKER, "leave.js"}
"""Files that the page itself does not need."""


def shell_files() -> list[str]:
    ours = sorted(f"league/card/{file.name}" for file in CARD.iterdir() if file.name not in ELSEWHERE)
    return [static(name) for name in ("league/sheet.css", "league/favicon.svg", *ours)]


def shell() -> str:
    return render_to_string("league/card_shell.html")


def shell_version() -> str:
    """Another one whenever any part of the shell is another, so that a phone fetches all of it anew."""
    content = hashlib.sha256(shell().encode())
    for file in sorted(CARD.iterdir()):
        content.update(file.read_bytes())
    content.update("".join(shell_files()).encode())
    return content.hexdigest()[:16]


@signed_in
@require_safe
def card(request: HttpRequest) -> HttpResponse:
    player_of(request)
    return HttpResponse(shell())


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    told = {"version": shell_version(), "page": reverse("card"), "files": shell_files()}
    text = f"const SHELL = {json.dumps(told)};\n{(CARD / WORKER).read_text(encoding='utf-8')}"
    answer = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = reverse("card")
    return answer


@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    told = {
        "name": "Golf card",
        "short_name": "Card",
        "id": reverse("card"),
        "start_url": reverse("card"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#f6f7f4",
        "theme_color": "#f6f7f4",
        "icons": [
            {"src": static("league/favicon.svg"), "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
            *(
                {"src": static(f"league/icon-{n}.png"), "sizes": f"{n}x{n}", "type": "image/png", "purpose": "any"}
                for n in (192, 512)
            ),
        ],
    }
    return HttpResponse(json.dumps(told), content_type="application/manifest+json")


@signed_in
@require_safe
def card_who(request: HttpRequest) -> HttpResponse:
    """Who is signed in, with a token that ends with this very sign-in: what is sent with it is sent as this player."""
    player = player_of(request)
    return JsonResponse({"player": str(player.pk), "name": player.name, "csrf": get_token(request)})


urlpatterns: list[URLPattern | URLResolver] = [
    path("card/", card, name="card"),
    path("card/who/", card_who, name="card_who"),
    path("card/worker/", worker, name="card_worker"),
    path("card/manifest/", manifest, name="card_manifest"),
]
