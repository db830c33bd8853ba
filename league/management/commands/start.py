import ctypes
import errno
import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from argparse import ArgumentParser
from collections.abc import Callable

import psycopg
from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import DatabaseError, connection

from league.config.health import durability_fault

SIGN_INS = settings.BASE / "fixtures" / "demo" / "sign_ins.json"
LOOPBACK = ("127.0.0.1", "localhost", "::1")
ANY_ADDRESS = ("0.0.0.0", "::")
PATIENCE = 30


class Command(BaseCommand):
    help = "Prepares the database and runs the service: the server and one worker, until Ctrl-C."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--demo", action="store_true", help="load the demo season, unless it is there already")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--host", default="127.0.0.1", help="the address to listen on")

    def handle(self, *args: object, demo: bool, port: int, host: str, **options: object) -> None:
        check_platform()
        hosts = allowed_hosts(host)
        listener = listen(host, port)
        try:
            prepare(demo)
        except KeyboardInterrupt:
            raise SystemExit("Ended before anything was started; the next start goes on from here.") from None
        except (DatabaseError, OSError) as error:
            raise SystemExit(f"The service could not be made ready, nothing was started: {reason(error)}.") from None
        children = Children()
        try:
            children.start(listener, {"LEAGUE_HOSTS": ",".join(hosts)})
            listener.close()
            children.wait_until_ready(host, port, hosts[0])
            self.stdout.write(announcement(host, port))
            self.stdout.flush()
            children.wait()
        finally:
            children.end()


def check_platform() -> None:
    if not hasattr(os, "fork"):
        raise SystemExit("The server runs on Linux and macOS; on Windows start it inside WSL.")


def allowed_hosts(host: str) -> list[str]:
    """The names in the address bar under which the service answers."""
    if host in ANY_ADDRESS and not os.environ.get("LEAGUE_HOSTS"):
        raise SystemExit(
            f"With --host {host} say under which names people reach the service, "
            f"for example LEAGUE_HOSTS=cards.example python3 manage.py start --host {host}."
        )
    name = f"[{host}]" if ":" in host else host
    return [*settings.ALLOWED_HOSTS, *([] if host in ANY_ADDRESS or name in settings.ALLOWED_HOSTS else [name])]


def listen(host: str, port: int) -> socket.socket:
    """The listening socket, handed to the server: a port that is busy shows before anything else is done."""
    if not 1 <= port <= 65535:
        raise SystemExit(f"Port {port} does not exist; choose one from 1 to 65535 with --port.")
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except OSError:
        raise SystemExit(f"The address {host} is not known here; choose another with --host.") from None
    until = time.monotonic() + 2
    while True:
        listener = socket.socket(family, kind, protocol)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind(address)
            listener.listen(2048)
        except OSError as error:
            listener.close()
            # A service that was just ended may still be letting go of the port.
            if error.errno != errno.EADDRINUSE or time.monotonic() > until:
                raise SystemExit(port_refusal(host, port, error)) from None
            time.sleep(0.1)
        else:
            return listener


def port_refusal(host: str, port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return f"Port {port} is in use by another program; end it, or choose another port: --port {port + 1}."
    if error.errno == errno.EACCES:
        return f"Port {port} is reserved for the system; choose one above 1023 with --port."
    return f"The service cannot listen on {host} port {port} ({error.strerror}); choose others with --host and --port."


def check_database() -> None:
    """One plain connection first: the pool would try again and again, and never say why it cannot."""
    if connection.vendor == "postgresql":
        parameters = {**connection.get_connection_params(), "connect_timeout": 5}
        try:
            psycopg.connect(**parameters).close()
        except psycopg.Error as error:
            raise SystemExit(
                f"The database that LEAGUE_DATABASE_URL names cannot be reached, nothing was started: {reason(error)}."
            ) from None


def prepare(demo: bool) -> None:
    check_database()
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)
    fault = durability_fault()
    if fault:
        raise SystemExit(fault)
    call_command("collectstatic", interactive=False, verbosity=0)
    if demo and not demo_sign_ins():
        sys.stderr.write("Loading the demo season; this takes about half a minute ...\n")
        sys.stderr.flush()
        call_command("demo")


def reason(error: Exception) -> str:
    if isinstance(error, OSError) and error.strerror:
        return error.strerror[:1].lower() + error.strerror[1:]
    return " ".join(str(error).split()).rstrip(".?") or type(error).__name__


def demo_sign_ins() -> list[dict[str, str]]:
    """The demo's sign-ins that exist in this database."""
    if not SIGN_INS.exists():
        return []
    known = json.loads(SIGN_INS.read_text(encoding="utf-8"))
    emails = [sign_in["email"] for sign_in in known]
    there = set(get_user_model().objects.filter(email__in=emails).values_list("email", flat=True))
    return [sign_in for sign_in in known if sign_in["email"] in there]


def announcement(host: str, port: int) -> str:
    name = settings.ALLOWED_HOSTS[0] if host in ANY_ADDRESS else host
    lines = [f"The service runs at http://{f'[{name}]' if ':' in name else name}:{port}/"]
    sign_ins = demo_sign_ins()
    if sign_ins:
        lines.append("Demo sign-ins (e-mail, password):")
        lines += [f"  {entry['email']}  {entry['password']}  {entry['note']}" for entry in sign_ins]
    lines.append(f"Everything is kept in {settings.DATA}")
    lines.append("Press Ctrl-C to stop.")
    return "\n".join(lines)


def ends_with_parent() -> Callable[[], None] | None:
    """On Linux: asks the kernel to end a child when this process is gone, however hard it was killed."""
    if sys.platform != "linux":
        return None
    prctl = ctypes.CDLL(None).prctl
    return lambda: prctl(1, signal.SIGTERM)


class Children:
    """The server and the worker: they run together and end together."""

    def __init__(self) -> None:
        self.running: dict[str, subprocess.Popen[bytes]] = {}
        self.asked_to_end = False
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self._ask)
        # Under nohup the end of the terminal is to be ignored, and it stays so.
        if signal.getsignal(signal.SIGHUP) is not signal.SIG_IGN:
            signal.signal(signal.SIGHUP, self._ask)

    def _ask(self, *_: object) -> None:
        self.asked_to_end = True

    def start(self, listener: socket.socket, extra: dict[str, str]) -> None:
        server = ["-m", "gunicorn", "-c", "python:league.config.gunicorn", "--bind", f"fd://{listener.fileno()}"]
        self._start("server", server, extra, pass_fds=(listener.fileno(),))
        if settings.REDIS:
            celery = ["-m", "celery", "-A", "league.config", "--quiet"]
            self._start("worker", [*celery, "worker", "--concurrency", "1"], extra)
            self._start("timetable", [*celery, "beat"], extra)
        else:
            self._start("worker", [str(settings.BASE / "manage.py"), "work"], extra)

    def _start(self, name: str, arguments: list[str], extra: dict[str, str], pass_fds: tuple[int, ...] = ()) -> None:
        self.running[name] = subprocess.Popen(
            [sys.executable, *arguments],
            cwd=settings.BASE,
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "league.config.settings", **extra},
            pass_fds=pass_fds,
            start_new_session=True,
            preexec_fn=ends_with_parent(),
        )

    def _dead(self) -> list[str]:
        return [name for name, child in self.running.items() if child.poll() is not None]

    def wait_until_ready(self, host: str, port: int, name: str) -> None:
        to = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
        address = f"http://{f'[{to}]' if ':' in to else to}:{port}/healthz"
        until = time.monotonic() + PATIENCE
        while not self.asked_to_end and not self._dead():
            if answers(address, name):
                return
            if time.monotonic() > until:
                raise SystemExit(f"The server did not get ready within {PATIENCE} seconds; its log is above.")
            time.sleep(0.1)

    def wait(self) -> None:
        while not self.asked_to_end:
            dead = self._dead()
            if dead:
                raise SystemExit(f"The {dead[0]} ended by itself, so everything was stopped; its log is above.")
            time.sleep(0.2)

    def end(self) -> None:
        for child in self.running.values():
            if child.poll() is None:
                child.terminate()
        until = time.monotonic() + PATIENCE
        for child in self.running.values():
            try:
                child.wait(timeout=max(0.1, until - time.monotonic()))
            except subprocess.TimeoutExpired:
                child.kill()
                child.wait()


def answers(address: str, name: str) -> bool:
    request = urllib.request.Request(address, headers={"Host": name})
    try:
        with urllib.request.urlopen(request, timeout=5) as answer:
            return bool(answer.status == 200)
    except (urllib.error.URLError, OSError):
        return False
