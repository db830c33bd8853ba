"""Killed at random moments, over and over, while members post: what was acknowledged is there once and whole."""

import os
import random
import signal
import threading
import time
from pathlib import Path

from tests.faults.posting import Poster, half_stored, ledger_check, send, stored_refs
from tests.faults.running import Service, environment
from tests.faults.seed import Seed

KILLS = int(os.environ.get("FAULT_KILLS", "5"))
FIRST_SEED = int(os.environ.get("FAULT_SEED", "1"))
HARDEST = ("child", "leader", "child", "group")
"""Each kind comes up in every run; `child` is one of the server's own processes, which the leader replaces."""
FAST = {"LEAGUE_RATE_SIGNED": "1000000"}
POSTERS = ("ann", "ann", "dan", "ben")
REPLAYED = 20


class Killed:
    """A service that is started anew whenever it was killed; `port` is that of the one that runs."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.start()

    def start(self) -> None:
        self.service = Service(self.data, **FAST)
        self.service.wait_until_ready()

    def port(self) -> int:
        return self.service.port

    def kill(self, what: str, chance: random.Random) -> None:
        leader, worker, *children = self.service.children()
        if what == "child":
            if children:
                kill_hard(chance.choice(children))
            return
        group = [self.service.process.pid, leader, worker, *children]
        for pid in {"leader": [leader], "worker": [worker]}.get(what, group):
            kill_hard(pid)
        self.service.ended()
        self.start()

    def end(self) -> None:
        if self.service.process.poll() is None:
            self.service.end()


def kill_hard(pid: int) -> None:
    """It may have ended by itself since it was listed."""
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return


def kinds(n: int, chance: random.Random) -> list[str]:
    further = chance.choices(("child", "leader", "worker", "group"), (4, 1, 1, 1), k=max(0, n - len(HARDEST)))
    return [*HARDEST, *further][:n]


def test_every_acknowledged_round_is_there_once_and_whole(seeded: Seed, tmp_path: Path) -> None:
    data = seeded.copied_to(tmp_path / "data")
    chance, may_end = random.Random(FIRST_SEED), threading.Event()
    killed = Killed(data)
    posters = [
        Poster(seed=seeded, who=who, port=killed.port, number=FIRST_SEED * 100 + n, may_end=may_end)
        for n, who in enumerate(POSTERS)
    ]
    try:
        for poster in posters:
            poster.start()
        for what in kinds(KILLS, chance):
            time.sleep(chance.uniform(0.1, 0.9))
            killed.kill(what, chance)
        may_end.set()
        for poster in posters:
            poster.join(150)
        replays_are_the_same(posters, killed.port(), seeded)
    finally:
        may_end.set()
        killed.end()
    assert [poster.refused for poster in posters] == [[]] * len(posters)
    assert all(poster.acknowledged for poster in posters)
    assert sum(poster.n_retries for poster in posters) > 0
    acknowledged = {
        body["ref"]: answer.body["id"] for poster in posters for body, answer in poster.acknowledged.values()
    }
    assert stored_refs(data) == acknowledged
    assert half_stored(data) == []
    code, said = ledger_check(data, environment(data))
    assert code == 0, said


def replays_are_the_same(posters: list[Poster], port: int, seed: Seed) -> None:
    for poster in posters:
        for key, (body, answer) in list(poster.acknowledged.items())[-REPLAYED // len(posters) :]:
            again = send(port, "POST", "/api/v1/rounds/", seed.tokens[poster.who], body, key)
            assert (again.status, again.content) == (answer.status, answer.content)
            assert again.headers["idempotency-replayed"] == "true"
