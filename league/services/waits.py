"""Writes that may be lost are not waited for: a locked database must not hold up those who only read."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection

BRIEF_MILLISECONDS = 250


@contextmanager
def brief_wait() -> Iterator[None]:
    """On SQLite, statements inside give up soon when another process writes; elsewhere rows are locked, not all."""
    if connection.vendor != "sqlite":
        yield
        return
    usual = round(1000 * connection.settings_dict["OPTIONS"].get("timeout", 5))
    _set_wait(BRIEF_MILLISECONDS)
    try:
        yield
    finally:
        _set_wait(usual)


def _set_wait(milliseconds: int) -> None:
    """Past Django's cursor: this goes with every request, and asks nothing of the database."""
    connection.ensure_connection()
    connection.connection.execute(f"PRAGMA busy_timeout = {milliseconds}")
