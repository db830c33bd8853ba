"""A stand-in for the API of cards, small enough to see through: it stores what it is sent, each thing once."""

import json
import uuid
from collections.abc import Callable
from typing import Any

from playwright.sync_api import BrowserContext, Route

from league.models import Tee
from tests import build
from tests.build import People


class CardService:
    def __init__(self, people: People, tee: Tee) -> None:
        self.people, self.tee = people, tee
        self.cards: dict[str, dict[str, Any]] = {}
        self.asked: list[tuple[str, str]] = []
        self.seen: set[str] = set()
        self.marks: list[dict[str, Any]] = []
        self.breaks: Callable[[str, str], str] = lambda method, path: ""

    def serve(self, context: BrowserContext) -> None:
        context.route("**/api/v1/**", self._answer)

    def _answer(self, route: Route) -> None:
        request = route.request
        path = request.url.partition("/api/v1/")[2]
        self.asked.append((request.method, path))
        how = self.breaks(request.method, path)
        if how == "before":
            route.abort()
            return
        status, body = self._told(request.method, path, request.post_data_json if request.post_data else {})
        if how == "after":
            route.abort()
            return
        kind = "application/json" if status < 400 else "application/problem+json"
        route.fulfill(status=status, content_type=kind, headers={"ETag": '"1"'}, body=json.dumps(body))

    def _told(self, method: str, path: str, sent: Any) -> tuple[int, Any]:
        parts = path.strip("/").split("/")
        if path == "cards/kit/":
            return 200, self._kit()
        if path == "cards/":
            if method == "GET":
                return 200, {"results": [one for one in self.cards.values() if one["state"] == "open"], "next": None}
            return 201, self._opened(sent)
        if parts[0] != "cards" or parts[1] not in self.cards:
            return 404, {"code": "not_found", "detail": "Nothing here.", "errors": []}
        card = self.cards[parts[1]]
        if len(parts) == 2:
            return 200, card
        if parts[2] == "marks":
            for mark in sent["marks"]:
                self._write(card, mark)
        if parts[2] == "send":
            card["state"] = "sent"
        return 200, card

    def _kit(self) -> dict[str, Any]:
        holes = [
            {"number": n, "par": par, "stroke_index": index, "length": 60 + 85 * par}
            for n, (par, index) in enumerate(zip(build.PARS, build.STROKE_INDEXES, strict=True), 1)
        ]
        tee = {"id": str(self.tee.pk), "name": "Heron", "course": "Marsh Links", "version": 1, "holes": holes}
        mates = [{"id": str(one.pk), "name": one.name} for one in (self.people.dan, self.people.eve)]
        pars = [par + 1 for par in build.PARS]
        return {
            "player": str(self.people.ann.pk),
            "tees": [tee],
            "people": mates,
            "barriers": [{"target": 91, "tee": None, "personal_pars": {str(self.tee.pk): pars}}],
            "plans": [],
            "length_unit": "yards",
        }

    def _opened(self, sent: dict[str, Any]) -> dict[str, Any]:
        for one in self.cards.values():
            if one["client_id"] == sent["client_id"]:
                return one
        names = {str(one.pk): one.name for one in (self.people.ann, self.people.dan, self.people.eve)}
        lines = [
            {"id": str(uuid.uuid4()), "player": player, "name": names[player], "place": n, "state": "open",
             "round": None, "holes": []}
            for n, player in enumerate(sent["players"], 1)
        ]  # fmt: skip
        card = {**sent, "id": str(uuid.uuid4()), "version": 1, "state": "open", "lines": lines, "notes": []}
        return self.cards.setdefault(card["id"], card)

    def _write(self, card: dict[str, Any], mark: dict[str, Any]) -> None:
        if mark["client_id"] in self.seen:
            return
        self.seen.add(mark["client_id"])
        self.marks.append(mark)
        line = next(one for one in card["lines"] if one["id"] == mark["line"])
        line["holes"] = [one for one in line["holes"] if one["number"] != mark["number"]]
        line["holes"].append(
            {"number": mark["number"], "value": mark["value"], "mark": mark["client_id"], "contested": []}
        )
