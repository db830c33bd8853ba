"""A server that is killed after it stored what a phone sent, but before the phone heard so: it is stored once."""

import http.client
import json
import os
import signal
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from tests.faults.posting import send
from tests.faults.running import Service, becomes_true, rows
from tests.faults.seed import Seed

CARDS = "/api/v1/cards/"


class Phone:
    """Sends as ann; `unheard` sends, waits until the database tells of it, and kills the server without listening."""

    def __init__(self, seeded: Seed, data: Path) -> None:
        self.data, self.token = data, seeded.tokens["ann"]
        self.start()

    def start(self) -> None:
        self.service = Service(self.data)
        self.service.wait_until_ready()

    def heard(self, path: str, body: dict[str, Any]) -> Any:
        answer = send(self.service.port, "POST", path, self.token, body)
        assert answer.status < 300, answer.content
        return answer.body

    def unheard(self, path: str, body: dict[str, Any], stored: str, expected: int) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", self.service.port, timeout=60)
        headers = {"Authorization": f"Bearer {self.token}", "Content-Type": "application/json"}
        connection.request("POST", path, json.dumps(body).encode(), headers)
        assert becomes_true(lambda: rows(self.data, stored) == [(expected,)])
        for pid in (self.service.process.pid, *self.service.children()):
            kill_hard(pid)
        connection.close()
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


def test_a_card_whose_answers_are_never_heard_is_one_card_and_one_round(seeded: Seed, tmp_path: Path) -> None:
    data = seeded.copied_to(tmp_path / "data")
    opening = {
        "client_id": str(uuid4()),
        "tee": seeded.tee,
        "holes_in_play": "18",
        "played_on": "2026-05-20",
        "players": [str(UUID(seeded.players["ann"]))],
    }
    phone = Phone(seeded, data)
    try:
        card = phone.heard(CARDS, opening)
        line, path = card["lines"][0]["id"], f"{CARDS}{card['id']}/"
        marks = [
            {"client_id": str(uuid4()), "line": line, "number": number, "value": {"strokes": par + 1}}
            for number, par in enumerate(seeded.pars, 1)
        ]
        batch = {"device": str(uuid4()), "marks": marks}
        phone.unheard(f"{path}marks/", batch, "SELECT COUNT(*) FROM league_cardmark", 18)
        written = phone.heard(f"{path}marks/", batch)
        assert [hole["mark"] for hole in written["lines"][0]["holes"]] == [mark["client_id"] for mark in marks]
        phone.unheard(f"{path}send/", {}, "SELECT COUNT(*) FROM league_round", 1)
        sent = phone.heard(f"{path}send/", {})
        assert sent["state"] == "sent"
        assert phone.heard(f"{path}marks/", batch)["version"] == sent["version"]
    finally:
        phone.end()
    counted = "SELECT (SELECT COUNT(*) FROM league_card), (SELECT COUNT(*) FROM league_cardmark)"
    assert rows(data, counted) == [(1, 18)]
    assert rows(data, "SELECT gross FROM league_round") == [(sum(seeded.pars) + 18,)]
