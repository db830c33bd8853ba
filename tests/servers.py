"""A real PostgreSQL and a real Redis for the tests: each in a folder of its own, on a socket there, gone afterwards."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PATIENCE = 30


def postgresql_programs() -> Path | None:
    """The folder of initdb and postgres; Debian keeps them off the PATH, a folder for each version."""
    installed = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=lambda path: int(path.parts[-3]))
    if installed:
        return installed[-1].parent
    found = shutil.which("postgres")
    return Path(found).resolve().parent if found else None


def chromium() -> str | None:
    return shutil.which("chromium") or shutil.which("chromium-browser")


@contextmanager
def running(command: list[str], ready: list[str], folder: Path, user: str | None) -> Iterator[None]:
    """The program, once the command `ready` succeeds; SIGINT ends both programs quickly and in order."""
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(
            command, stdout=log, stderr=log, cwd=folder, user=user, extra_groups=[] if user else None
        )
    try:
        until = time.monotonic() + PATIENCE
        while subprocess.run(ready, capture_output=True, cwd=folder, check=False).returncode:
            if server.poll() is not None or time.monotonic() > until:
                raise RuntimeError(f"{command[0]} did not start: {(folder / 'log').read_text()[-2000:]}")
            time.sleep(0.05)
        yield
    finally:
        server.send_signal(signal.SIGINT)
        server.wait(PATIENCE)


@contextmanager
def own_folder(user: str | None) -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="league-"))
    try:
        if user:
            shutil.chown(folder, user)
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def postgresql() -> Iterator[str]:
    """Its address. PostgreSQL refuses to run as root; then it runs as the account its package made."""
    programs = postgresql_programs()
    if programs is None:
        raise RuntimeError("PostgreSQL is not installed; on Debian: apt-get install postgresql")
    user = "postgres" if os.geteuid() == 0 else None
    name = user or pwd.getpwuid(os.geteuid()).pw_name
    with own_folder(user) as folder:
        subprocess.run(
            [programs / "initdb", "-D", "cluster", "-A", "trust", "--locale=C.UTF-8", "--no-sync", "-U", name],
            check=True, capture_output=True, cwd=folder, user=user, extra_groups=[] if user else None,
        )  # fmt: skip
        quick = ["-c", "fsync=off", "-c", "full_page_writes=off", "-c", "listen_addresses=", "-c", "max_connections=60"]
        command = [str(programs / "postgres"), "-D", str(folder / "cluster"), "-k", str(folder), *quick]
        ready = [str(programs / "pg_isready"), "-h", str(folder), "-q"]
        with running(command, ready, folder, user):
            yield f"postgresql:///postgres?host={folder}&user={name}"


@contextmanager
def redis() -> Iterator[str]:
    program = shutil.which("redis-server")
    if program is None:
        raise RuntimeError("Redis is not installed; on Debian: apt-get install redis-server")
    with own_folder(None) as folder:
        socket = str(folder / "redis.sock")
        command = [program, "--port", "0", "--unixsocket", socket, "--save", "", "--appendonly", "no"]
        with running(command, ["redis-cli", "-s", socket, "ping"], folder, None):
            yield f"unix://{socket}?db=0"
