"""gunicorn on loopback with the service's own settings, and a client that costs little beside it."""

import contextlib
import json
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

PATIENCE = 30
HOST = "127.0.0.1"


@dataclass(frozen=True)
class Server:
    port: int
    pid: int

    def processor_seconds(self) -> float | None:
        """What its workers' threads have spent so far, as Linux counts it; None elsewhere."""
        try:
            workers = Path(f"/proc/{self.pid}/task/{self.pid}/children").read_text(encoding="ascii").split()
            spent = [
                int(threads.read_text(encoding="ascii").split()[0])
                for worker in workers
                for threads in Path(f"/proc/{worker}/task").glob("*/schedstat")
            ]
        except OSError:
            return None
        return sum(spent) / 1e9


@contextlib.contextmanager
def gunicorn(application: str) -> Iterator[Server]:
    """Answers on a free port of this machine; ended and waited for afterwards."""
    with socket.socket() as listener:
        listener.bind((HOST, 0))
        listener.listen(128)
        port = int(listener.getsockname()[1])
        fd = listener.fileno()
        command = [sys.executable, "-m", "gunicorn", "-c", "python:league.config.gunicorn", "--bind", f"fd://{fd}"]
        process = subprocess.Popen([*command, application], cwd=settings.BASE, pass_fds=(fd,))
    try:
        yield Server(port, process.pid)
    finally:
        process.terminate()
        try:
            process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def request_bytes(body: Any, token: str, path: str = "/api/v1/rounds/") -> bytes:
    sent = json.dumps(body).encode()
    head = (
        f"POST {path} HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {token}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(sent)}\r\n\r\n"
    )
    return head.encode() + sent


class Client:
    """One connection that stays open. It reads just enough of an answer to know that the round was stored."""

    def __init__(self, port: int) -> None:
        self.connection = socket.create_connection((HOST, port), PATIENCE)
        self.connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def __enter__(self) -> "Client":
        return self

    def __exit__(self, *_: object) -> None:
        self.connection.close()

    def send(self, request: bytes) -> float:
        """Seconds until the whole answer was there."""
        begun = time.perf_counter()
        self.connection.sendall(request)
        answer = b""
        while b"\r\n\r\n" not in answer:
            answer += self._more()
        head, _, body = answer.partition(b"\r\n\r\n")
        length = next(
            int(line.partition(b":")[2]) for line in head.split(b"\r\n") if line.lower().startswith(b"content-length:")
        )
        while len(body) < length:
            body += self._more()
        taken = time.perf_counter() - begun
        if not head.startswith(b"HTTP/1.1 201"):
            raise RuntimeError(f"A post was refused: {head.decode()} {body.decode()}")
        return taken

    def _more(self) -> bytes:
        piece = self.connection.recv(65536)
        if not piece:
            raise RuntimeError("The server closed the connection in the middle of an answer.")
        return piece


def send_all(port: int, requests: Sequence[bytes]) -> list[float]:
    """Seconds of each, one after another on one connection."""
    with Client(port) as client:
        return [client.send(request) for request in requests]
