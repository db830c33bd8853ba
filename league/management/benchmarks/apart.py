"""Parts that need a database run in a process of their own, whose data folder and database are made for them."""

import os
import shutil
import subprocess
import sys
import tempfile
import uuid
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from urllib.parse import urlsplit

import psycopg
from django.conf import settings


@contextmanager
def own_database(address: str) -> Iterator[str]:
    """An empty PostgreSQL database on the server that the service uses; dropped afterwards."""
    name = f"league_benchmark_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
        try:
            yield urlsplit(address)._replace(path=f"/{name}").geturl()
        finally:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())


@contextmanager
def own_environment() -> Iterator[dict[str, str]]:
    """The variables of this process with every setting at its default, and a data folder that is gone afterwards."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("LEAGUE_")}
    address = os.environ.get("LEAGUE_DATABASE_URL", "")
    folder = tempfile.mkdtemp(prefix="league-benchmark-")
    kept |= {
        "DJANGO_SETTINGS_MODULE": "league.config.settings",
        "LEAGUE_DATA": folder,
        "PYTHONPATH": str(settings.BASE),
    }
    try:
        if address:
            with own_database(address) as own:
                yield {**kept, "LEAGUE_DATABASE_URL": own}
        else:
            yield kept
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def lines_of(arguments: Sequence[str]) -> Iterator[str]:
    """What the benchmark command prints there, each line as soon as it comes."""
    with own_environment() as environment:
        process = subprocess.Popen(
            [sys.executable, "-m", "django", "benchmark", "--inside", *arguments],
            stdout=subprocess.PIPE, text=True, cwd=settings.BASE, env=environment,
        )  # fmt: skip
        assert process.stdout is not None
        try:
            with process.stdout:
                yield from (line.rstrip("\n") for line in process.stdout)
            if process.wait():
                raise SystemExit(f"benchmark {' '.join(arguments)} ended early; what went wrong stands above.")
        finally:
            if process.poll() is None:
                process.terminate()
                process.wait()
