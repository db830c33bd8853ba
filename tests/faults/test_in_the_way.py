"""The disk is full, the database is locked, Redis is away: nothing is half stored, and work goes on when it is over."""

import os
import resource
import shutil
import signal
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.faults.posting import Answer, half_stored, ledger_check, send, stored_refs
from tests.faults.running import PATIENCE, Service, becomes_true, environment, rows, service
from tests.faults.seed import Seed

FAST = {"LEAGUE_RATE_SIGNED": "1000000"}
ROUNDS = "/api/v1/rounds/"
Switch = tuple[Path, Callable[[Service], None], Callable[[Service], None]]
"""A data folder, and what fills and frees its disk."""


@contextmanager
def small_disk(folder: Path) -> Iterator[Switch]:
    folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=24m", "tmpfs", str(folder)], check=True)
    filler = folder / "filler"

    def fill(started: Service) -> None:
        with filler.open("ab", buffering=0) as file:
            for size in (1 << 20, 1 << 12, 1):
                try:
                    while True:
                        file.write(bytes(size))
                except OSError:
                    continue

    try:
        yield folder / "data", fill, lambda started: filler.unlink()
    finally:
        subprocess.run(["umount", str(folder)], check=True)


@contextmanager
def bounded_files(folder: Path) -> Iterator[Switch]:
    """Where no disk can be mounted: no process of the service may write to any file."""

    def bound(started: Service, most: int) -> None:
        for pid in started.children():
            resource.prlimit(pid, resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))

    yield folder / "data", lambda started: bound(started, 0), lambda started: bound(started, resource.RLIM_INFINITY)


DISKS = [bounded_files, *([small_disk] if os.geteuid() == 0 and shutil.which("mount") else [])]


class Ann:
    def __init__(self, seed: Seed, started: Service) -> None:
        self.seed, self.started = seed, started

    def posts(self, n: int) -> Answer:
        body = {"tee": self.seed.tee, "played_on": "2026-05-02", "gross": 95, "ref": f"card {n}"}
        return send(self.started.port, "POST", ROUNDS, self.seed.tokens["ann"], body, f"0123456789-{n:06}")

    def reads(self) -> int:
        return send(self.started.port, "GET", ROUNDS, self.seed.tokens["ann"]).status


def is_told_to_come_again(answer: Answer) -> bool:
    return (answer.status, answer.body["code"]) == (503, "busy") and int(answer.headers["retry-after"]) > 0


def look_at(data: Path) -> None:
    """Whether all that is stored agrees, once the service has ended."""
    assert half_stored(data) == []
    code, said = ledger_check(data, environment(data))
    assert code == 0, said


@pytest.mark.parametrize("disk", DISKS)
def test_on_a_full_disk_nothing_is_stored_and_then_it_goes_on(seeded: Seed, tmp_path: Path, disk) -> None:
    with disk(tmp_path / "disk") as (folder, fill, free):
        data = seeded.copied_to(folder)
        with service(data, **FAST) as started:
            started.wait_until_ready()
            ann = Ann(seeded, started)
            assert ann.posts(0).status == 201
            fill(started)
            # What the log has room for still gets through; each of these is acknowledged, so it must be there.
            n = next(n for n in range(1, 3_000) if ann.posts(n).status != 201)
            kept = {f"card {k}" for k in range(n)}
            for _ in range(3):
                assert is_told_to_come_again(ann.posts(n))
                assert ann.reads() in (200, 503)
                assert started.get("/") in (200, 401, 503)
            assert stored_refs(data).keys() == kept
            free(started)
            assert ann.posts(n).status == 201
            assert ann.reads() == 200
            assert started.get("/healthz") == 200
            assert stored_refs(data).keys() == {*kept, f"card {n}"}
            assert started.end()[0] == 0
        look_at(data)


def test_while_the_database_is_locked_a_post_waits_and_is_told_to_come_again(seeded: Seed, tmp_path: Path) -> None:
    data = seeded.copied_to(tmp_path / "data")
    with service(data, **FAST) as started:
        started.wait_until_ready()
        ann = Ann(seeded, started)
        assert ann.posts(0).status == 201
        lock = sqlite3.connect(data / "league.sqlite3", isolation_level=None)
        lock.execute("BEGIN IMMEDIATE")
        began = time.monotonic()
        assert ann.reads() == 200
        reading = time.monotonic() - began
        told = ann.posts(1)
        waited = time.monotonic() - began - reading
        lock.execute("ROLLBACK")
        lock.close()
        assert is_told_to_come_again(told)
        assert stored_refs(data).keys() == {"card 0"}
        assert ann.posts(1).status == 201
        assert reading < 5
        assert 15 < waited < 30
    look_at(data)


class Redis:
    """One that can be ended and started again at the same address."""

    def __init__(self, folder: Path) -> None:
        self.socket = folder / "redis.sock"
        self.start()

    def start(self) -> None:
        command = ["redis-server", "--port", "0", "--unixsocket", str(self.socket), "--save", "", "--appendonly", "no"]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL, cwd=self.socket.parent)
        ask = ["redis-cli", "-s", str(self.socket), "ping"]
        assert becomes_true(lambda: subprocess.run(ask, capture_output=True, check=False).returncode == 0)

    def end(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(PATIENCE)


def outlooks_are_known(data: Path) -> bool:
    return rows(data, "SELECT o.last_number FROM league_outlook o JOIN league_standing s USING (last_number)") != []


def test_while_redis_is_away_pages_and_posts_go_on_and_what_is_due_is_done_after(seeded: Seed, tmp_path: Path) -> None:
    data, redis = seeded.copied_to(tmp_path / "data"), Redis(tmp_path)
    try:
        with service(data, LEAGUE_REDIS_URL=f"unix://{redis.socket}?db=0", **FAST) as started:
            started.wait_until_ready()
            ann = Ann(seeded, started)
            assert ann.posts(0).status == 201
            assert becomes_true(lambda: outlooks_are_known(data))
            redis.end()
            assert [ann.posts(1).status, ann.posts(2).status, ann.reads(), started.get("/healthz")] == [
                201,
                201,
                200,
                200,
            ]
            assert started.get("/") in (200, 401)
            assert ann.posts(1).headers["idempotency-replayed"] == "true"
            assert not outlooks_are_known(data)
            redis.start()
            assert ann.posts(3).status == 201
            assert becomes_true(lambda: outlooks_are_known(data))
            assert started.end()[0] == 0
    finally:
        redis.end()
    assert stored_refs(data).keys() == {f"card {n}" for n in range(4)}
    look_at(data)
