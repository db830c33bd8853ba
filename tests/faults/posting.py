"""Members who post rounds over HTTP and do not give up: the same key again until the answer is there."""

import http.client
import json
import random
import threading
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from tests.faults.running import manage, rows
from tests.faults.seed import Seed

LAST_DAY = date(2026, 6, 1)
COME_AGAIN = frozenset({409, 429, 503})
GIVE_UP_AFTER = 120


@dataclass(frozen=True)
class Answer:
    status: int
    headers: dict[str, str]
    content: bytes

    @property
    def body(self) -> Any:
        return json.loads(self.content)


def send(
    port: int, method: str, path: str, token: str, body: object = None, key: str = "", patience: float = 60, **more: str
) -> Answer:
    """One request on a connection of its own; OSError or HTTPException where the service went away meanwhile."""
    headers = {"Authorization": f"Bearer {token}", "Connection": "close", **more}
    if key:
        headers["Idempotency-Key"] = key
    sent = None
    if body is not None:
        sent = json.dumps(body).encode()
        headers["Content-Type"] = "application/json"
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=patience)
    try:
        connection.request(method, path, sent, headers)
        answer = connection.getresponse()
        return Answer(answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read())
    finally:
        connection.close()


def card(seed: Seed, chance: random.Random, ref: str) -> dict[str, Any]:
    """A total or a card of holes, on any day of the last months, so that many come in late."""
    sent: dict[str, Any] = {"tee": seed.tee, "ref": ref, "played_on": str(LAST_DAY - timedelta(chance.randrange(120)))}
    if chance.random() < 0.3:
        return {**sent, "gross": chance.randint(80, 110)}
    holes = [{"number": n, "strokes": par + chance.randint(0, 3), "putts": 2} for n, par in enumerate(seed.pars, 1)]
    return {**sent, "holes": holes}


@dataclass
class Poster(threading.Thread):
    """Posts one round after another until told to stop; ends only when its last one is acknowledged."""

    seed: Seed
    who: str
    port: Callable[[], int]
    number: int
    may_end: threading.Event
    acknowledged: dict[str, tuple[dict[str, Any], Answer]] = field(default_factory=dict)
    refused: list[Answer] = field(default_factory=list)
    n_retries: int = 0

    def __post_init__(self) -> None:
        super().__init__(daemon=True)
        self.chance = random.Random(self.number)

    __hash__ = threading.Thread.__hash__

    def run(self) -> None:
        while not self.may_end.is_set() and not self.refused:
            key = uuid.UUID(int=self.chance.getrandbits(128)).hex
            self.post(key, card(self.seed, self.chance, f"{self.number}-{len(self.acknowledged)}"))

    def post(self, key: str, body: dict[str, Any]) -> None:
        until = time.monotonic() + GIVE_UP_AFTER
        while time.monotonic() < until:
            # Now and then the phone loses its signal while it waits.
            patience = self.chance.uniform(0.005, 0.1) if self.chance.random() < 0.1 else 60
            try:
                answer = send(self.port(), "POST", "/api/v1/rounds/", self.seed.tokens[self.who], body, key, patience)
            except (OSError, http.client.HTTPException):
                self.n_retries += 1
                time.sleep(self.chance.uniform(0.02, 0.2))
                continue
            if answer.status == 201:
                self.acknowledged[key] = (body, answer)
                return
            if answer.status not in COME_AGAIN:
                break
            self.n_retries += 1
            time.sleep(0.1)
        else:
            answer = Answer(0, {}, b"no answer in time")
        self.refused.append(answer)


def half_stored(data: Path) -> list[tuple[object, ...]]:
    """Every place where rounds, holes, events, revisions, standings and keys do not agree; none is wanted."""
    questions = {
        "a round without exactly one entered event": """
            SELECT r.id FROM league_round r LEFT JOIN league_cardevent e ON e.round_id = r.id AND e.kind = 'entered'
            GROUP BY r.id HAVING count(e.id) <> 1""",
        "an event without exactly one revision of its number": """
            SELECT e.id FROM league_cardevent e LEFT JOIN league_revision v
            ON v.event_id = e.id AND v.number = e.number AND v.player_id = e.player_id
            GROUP BY e.id HAVING count(v.id) <> 1""",
        "numbers with gaps, or a standing that is behind": """
            SELECT e.player_id FROM league_cardevent e LEFT JOIN league_standing s ON s.player_id = e.player_id
            GROUP BY e.player_id HAVING min(e.number) <> 1 OR max(e.number) <> count(*)
            OR s.last_number IS NULL OR s.last_number <> count(*)""",
        "a card without all its holes": """
            SELECT r.id FROM league_round r LEFT JOIN league_holescore h ON h.round_id = r.id
            GROUP BY r.id HAVING count(h.id) <> CASE WHEN r.is_total THEN 0 ELSE r.n_holes END""",
        "a key without answer, or two for one round": """
            SELECT key FROM league_idempotencykey WHERE status IS NULL OR body IS NULL OR made_round_id IS NULL
            UNION ALL SELECT made_round_id FROM league_idempotencykey GROUP BY made_round_id HAVING count(*) <> 1""",
        "a database that is not sound": """
            SELECT integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'
            UNION ALL SELECT "table" FROM pragma_foreign_key_check""",
    }
    return [(what, *row) for what, question in questions.items() for row in rows(data, question)]


def stored_refs(data: Path) -> dict[str, str]:
    """The id of each round by its ref; a ref that stands twice is marked."""
    found: dict[str, str] = {}
    for ref, round_id in rows(data, "SELECT ref, id FROM league_round"):
        found[str(ref)] = "twice" if ref in found else str(uuid.UUID(str(round_id)))
    return found


def ledger_check(data: Path, env: dict[str, str]) -> tuple[int, str]:
    checked = manage("rebuild_handicaps", "--check", env=env)
    return checked.returncode, checked.stdout + checked.stderr
