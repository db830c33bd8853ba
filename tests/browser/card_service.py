"""The signal between a phone and the service: what was asked over it, and where it breaks."""

from collections.abc import Callable
from contextlib import suppress
from typing import Any
from uuid import UUID, uuid4, uuid5

from playwright.sync_api import BrowserContext, Error, Route

from league.models import Player
from tests import build

API = "/api/v1/"


class Signal:
    """`breaks` tells of each request: "before" it never arrives, "after" it is stored and the answer is lost."""

    def __init__(self, *contexts: BrowserContext) -> None:
        self.asked: list[tuple[str, str, Any]] = []
        self.keys: dict[str, list[str | None]] = {}  # the Idempotency-Key of each POST, by the last word of its address
        self.breaks: Callable[[str, str], str] = lambda method, path: ""
        for context in contexts:
            context.route(f"**{API}**", self._carry)

    def posts(self, kind: str = "") -> list[Any]:
        """The bodies of what was sent to addresses that end so."""
        return [body for method, path, body in self.asked if method == "POST" and path.endswith(f"{kind}/")]

    def _carry(self, route: Route) -> None:
        request = route.request
        path = request.url.partition(API)[2]
        self.asked.append((request.method, path, request.post_data_json if request.post_data else None))
        if request.method == "POST":
            self.keys.setdefault(path.strip("/").rpartition("/")[2], []).append(request.headers.get("idempotency-key"))
        how = self.breaks(request.method, path)
        if how == "before":
            route.abort()
        elif how == "after":
            with suppress(Error):  # the browser may be killed while it waits
                route.fetch()
                route.abort()
        else:
            route.continue_()


class Stored:
    """What the service has, as this player reads it over the API."""

    def __init__(self, player: Player) -> None:
        self.player, self.client = player, build.signed_in(player)

    def get(self, path: str) -> Any:
        answer = self.client.get(f"{API}{path}")
        assert answer.status_code == 200, answer.content
        return answer.json()

    def cards(self) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.get("cards/")["results"]
        return found

    def card(self) -> dict[str, Any]:
        [found] = self.cards()
        return found

    def fill(self, place: int = 1, strokes: int = 5) -> None:
        """Every hole of a line, as this player's other phone would write it."""
        card = self.card()
        line = card["lines"][place - 1]
        marks = [
            {
                "client_id": str(uuid4()),
                "line": line["id"],
                "number": hole["number"],
                "over": hole["mark"],
                "value": {"strokes": strokes},
            }
            for hole in line["holes"]
        ]
        self.post(f"cards/{card['id']}/marks/", {"device": str(uuid4()), "marks": marks})

    def values(self, place: int = 1) -> dict[int, Any]:
        """The holes that are written on a line of the one open card."""
        holes = self.card()["lines"][place - 1]["holes"]
        return {hole["number"]: hole["value"] for hole in holes if hole["value"]}

    def post(self, path: str, body: dict[str, Any]) -> Any:
        answer = self.client.post(f"{API}{path}", body, "application/json")
        assert answer.status_code < 300, answer.content
        return answer.json()

    def write(self, number: int, strokes: int, *, place: int = 1, seen: bool = False) -> str:
        """A mark on the one open card, from this player's other phone, where what stands was `seen`; its id."""
        card, mark = self.card(), str(uuid4())
        line = card["lines"][place - 1]
        standing = next(hole["mark"] for hole in line["holes"] if hole["number"] == number)
        one = {"client_id": mark, "line": line["id"], "number": number, "over": standing if seen else None}
        device = str(uuid5(UUID(int=0), str(self.player.pk)))
        self.post(f"cards/{card['id']}/marks/", {"device": device, "marks": [{**one, "value": {"strokes": strokes}}]})
        return mark

    def settle(self, number: int, mark: str, *, place: int = 1) -> None:
        card = self.card()
        chosen = {"line": card["lines"][place - 1]["id"], "number": number, "mark": mark}
        self.post(f"cards/{card['id']}/settlements/", chosen)
