"""A server that is killed after it stored what a phone sent, but before the phone heard so: it is stored once."""

import http.client
import json
import os
import signal
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from tests.faults.posting import Answer, send
from tests.faults.running import Service, becomes_true, rows
from tests.faults.seed import Seed

CARDS = "/api/v1/cards/"
KEY = "one-wish-to-send-it"


class Phones:
    """Those of ann and dan.

    What is `unheard` is sent, and once it is stored whoever would answer is killed; nobody listens. `with_all`: so is
    every other process of the service, which is started again.
    """

    def __init__(self, seeded: Seed, data: Path) -> None:
        self.data, self.tokens = data, seeded.tokens
        self.start()

    def start(self) -> None:
        self.service = Service(self.data)
        self.service.wait_until_ready()

    def heard(self, path: str, body: dict[str, Any], who: str = "ann", key: str = "") -> Answer:
        answer = send(self.service.port, "POST", path, self.tokens[who], body, key)
        assert answer.status < 300, answer.content
        return answer

    def unheard(
        self, path: str, body: dict[str, Any], stored: str, who: str = "ann", key: str = "", *, with_all: bool = False
    ) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", self.service.port, timeout=60)
        headers = {"Authorization": f"Bearer {self.tokens[who]}", "Content-Type": "application/json"}
        if key:
            headers["Idempotency-Key"] = key
        assert rows(self.data, stored) == [(0,)]
        connection.request("POST", path, json.dumps(body).encode(), headers)
        assert becomes_true(lambda: rows(self.data, stored) == [(1,)])
        killed = (self.service.process.pid, *self.service.children()) if with_all else self.service.that_answer()
        assert killed
        for pid in killed:
            kill_hard(pid)
        connection.close()
        if with_all:
            self.service.ended()
            self.start()

    def end(self) -> None:
        if self.service.process.poll() is None:
            self.service.end()


def kill_hard(pid: int) -> None:
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return


def test_a_card_whose_answers_are_never_heard_is_one_card_and_a_round_each(seeded: Seed, tmp_path: Path) -> None:
    """Opened, written, sent in, answered, each sent again as a phone does: under the same ids, once with a key."""
    data = seeded.copied_to(tmp_path / "data")
    opening = {
        "client_id": str(uuid4()),
        "tee": seeded.tee,
        "holes_in_play": "18",
        "played_on": "2026-05-20",
        "players": [str(UUID(seeded.players[name])) for name in ("ann", "dan")],
    }
    phones = Phones(seeded, data)
    try:
        phones.unheard(CARDS, opening, "SELECT COUNT(*) FROM league_card")
        card = phones.heard(CARDS, opening).body
        path = f"{CARDS}{card['id']}/"
        batch = {"device": str(uuid4()), "marks": [mark for line in card["lines"] for mark in marks(line, seeded.pars)]}
        phones.unheard(f"{path}marks/", batch, "SELECT COUNT(*) / 36 FROM league_cardmark")
        written = phones.heard(f"{path}marks/", batch).body
        told = [hole["mark"] for line in written["lines"] for hole in line["holes"]]
        assert told == [mark["client_id"] for mark in batch["marks"]]
        phones.unheard(f"{path}send/", {}, "SELECT COUNT(*) FROM league_round", key=KEY, with_all=True)
        again = phones.heard(f"{path}send/", {}, key=KEY)
        assert (again.body["state"], again.headers["idempotency-replayed"]) == ("sent", "true")
        answer = f"{path}lines/{card['lines'][1]['id']}/answer/"
        phones.unheard(answer, {"answer": "post"}, "SELECT COUNT(*) / 2 FROM league_round", who="dan")
        posted = phones.heard(answer, {"answer": "post"}, who="dan").body
        assert [line["state"] for line in posted["lines"]] == ["posted", "posted"]
        assert phones.heard(f"{path}marks/", batch).body["version"] == posted["version"]
    finally:
        phones.end()
    counted = "SELECT (SELECT COUNT(*) FROM league_card), (SELECT COUNT(*) FROM league_cardmark)"
    assert rows(data, counted) == [(1, 36)]
    assert rows(data, "SELECT gross FROM league_round") == [(sum(seeded.pars) + 18,)] * 2
    assert rows(data, "SELECT COUNT(*) FROM league_cardevent") == [(2,)]


def marks(line: dict[str, Any], pars: list[int]) -> list[dict[str, Any]]:
    return [
        {"client_id": str(uuid4()), "line": line["id"], "number": number, "value": {"strokes": par + 1}}
        for number, par in enumerate(pars, 1)
    ]
