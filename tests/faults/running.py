"""The real commands in processes of their own, each with a data folder of its own."""

import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 40


def environment(data: Path, **extra: str) -> dict[str, str]:
    """This Python has the libraries already, so nothing is installed; no variable of the developer gets through."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("LEAGUE_", "DJANGO_", "TEST_"))}
    return {**kept, "LEAGUE_OWN_PYTHON": "1", "LEAGUE_DATA": str(data), **extra}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def manage(*arguments: str, **options: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *arguments],
        capture_output=True, text=True, timeout=PATIENCE, check=False, **options,
    )  # fmt: skip


class Service:
    def __init__(self, data: Path, *arguments: str, **extra: str) -> None:
        self.port = free_port()
        self.process = subprocess.Popen(
            [sys.executable, str(ROOT / "manage.py"), "start", "--port", str(self.port), *arguments],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment(data, **extra),
        )  # fmt: skip

    def wait_until_ready(self) -> str:
        """What it prints up to the line that says how to stop."""
        lines = []
        for line in self.process.stdout:
            lines.append(line)
            if "Ctrl-C" in line:
                return "".join(lines)
        raise AssertionError(self.process.stderr.read())

    def get(self, path: str) -> int:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{self.port}{path}", timeout=10) as answer:
                return answer.status
        except urllib.error.HTTPError as error:
            with error:
                return error.code

    def children(self) -> list[int]:
        direct, below = self._descendants()
        return direct + below

    def that_answer(self) -> list[int]:
        """The processes that answer requests; who watches over them starts another for one that is gone."""
        return self._descendants()[1]

    def _descendants(self) -> tuple[list[int], list[int]]:
        pairs = [(int(stat[0]), int(stat[3])) for stat in all_stats()]
        direct = [pid for pid, parent in pairs if parent == self.process.pid]
        return sorted(direct), [pid for pid, parent in pairs if parent in direct]

    def end(self, number: int = signal.SIGTERM) -> tuple[int, str]:
        """Its exit code and what it wrote on the error stream."""
        self.process.send_signal(number)
        return self.ended()

    def ended(self) -> tuple[int, str]:
        _, errors = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, errors


def all_stats() -> list[list[str]]:
    """Process, name, state, parent and more of every process; a name may hold blanks, so it is cut out."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            front, behind = path.read_text().rsplit(")", 1)
        except (FileNotFoundError, ProcessLookupError):
            continue
        pid, name = front.split(" (", 1)
        found.append([pid, name, *behind.split()])
    return found


@contextmanager
def service(data: Path, *arguments: str, **extra: str) -> Iterator[Service]:
    started = Service(data, *arguments, **extra)
    try:
        yield started
    finally:
        if started.process.poll() is None:
            started.end()
        started.process.stdout.close()
        started.process.stderr.close()


def becomes_true(question: Callable[[], bool]) -> bool:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        if question():
            return True
        time.sleep(0.1)
    return False


def is_gone(pid: int) -> bool:
    """Whether it ends in time; one that has ended and is only not yet collected by its parent counts as gone."""

    def has_ended() -> bool:
        return all(stat[0] != str(pid) or stat[2] == "Z" for stat in all_stats())

    return becomes_true(has_ended)


def rows(data: Path, query: str) -> list[tuple[object, ...]]:
    connection = sqlite3.connect(data / "league.sqlite3", isolation_level=None)
    try:
        return connection.execute(query).fetchall()
    finally:
        connection.close()
