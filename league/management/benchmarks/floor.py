"""The least that a post can cost: a bare WSGI function, one INSERT, one commit, as durable as the service's own.

It runs under the same server with the same settings, on the same database. gunicorn loads `application` from here.
"""

import sqlite3
import threading
from collections.abc import Callable, Iterable
from typing import Any

import psycopg
from django.conf import settings

TABLE = "benchmark_floor"
_own = threading.local()

StartResponse = Callable[[str, list[tuple[str, str]]], object]


def application(environ: dict[str, Any], start_response: StartResponse) -> Iterable[bytes]:
    body = environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0)).decode()
    _insert()(body)
    start_response("201 Created", [("Content-Type", "application/json"), ("Content-Length", "2")])
    return [b"{}"]


def _insert() -> Callable[[str], None]:
    """Each thread keeps its connection, as the service does."""
    if not hasattr(_own, "insert"):
        database: dict[str, Any] = settings.DATABASES["default"]
        _own.insert = _on_sqlite(database) if database["ENGINE"].endswith("sqlite3") else _on_postgresql(database)
    insert: Callable[[str], None] = _own.insert
    return insert


def _on_sqlite(database: dict[str, Any]) -> Callable[[str], None]:
    options = database["OPTIONS"]
    connection = sqlite3.connect(database["NAME"], timeout=options["timeout"], isolation_level=None)
    connection.executescript(options["init_command"])

    def insert(body: str) -> None:
        connection.execute(f"BEGIN {options['transaction_mode']}")
        connection.execute(f"INSERT INTO {TABLE} (body) VALUES (?)", (body,))
        connection.execute("COMMIT")

    return insert


def _on_postgresql(database: dict[str, Any]) -> Callable[[str], None]:
    options = {name: value for name, value in database["OPTIONS"].items() if name != "pool"}
    names = {"dbname": "NAME", "user": "USER", "password": "PASSWORD", "host": "HOST", "port": "PORT"}
    given = {name: database[ours] for name, ours in names.items() if database[ours]}
    connection = psycopg.connect(**given, **options)

    def insert(body: str) -> None:
        connection.execute(f"INSERT INTO {TABLE} (body) VALUES (%s)", (body,))
        connection.commit()

    return insert
