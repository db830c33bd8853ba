"""Whole copies of the SQLite database, made while the service runs. Used by `backup` and `restore`."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

PAGES_AT_ONCE = 1_000
"""Between two helpings others may write; the copy still is of one moment."""


def copy_database(source: Path, target: Path) -> None:
    """Copy one database over another, online; the target needs no second file beside it afterwards."""
    with closing(_open(source)) as from_, closing(sqlite3.connect(target, timeout=20)) as to:
        from_.backup(to, pages=PAGES_AT_ONCE)


def settle(file: Path) -> None:
    """Make a copy complete in itself, readable by its owner alone, and on the disk."""
    with closing(sqlite3.connect(file)) as copy:
        copy.execute("PRAGMA journal_mode=DELETE")
    os.chmod(file, 0o600)
    for path, flags in ((file, os.O_RDWR), (file.parent, os.O_RDONLY)):
        descriptor = os.open(path, flags)
        os.fsync(descriptor)
        os.close(descriptor)


def fault_of(file: Path) -> str:
    """What is wrong with a copy, or nothing."""
    try:
        with closing(_open(file)) as copy:
            answer = [row[0] for row in copy.execute("PRAGMA integrity_check")]
            broken_links = copy.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.DatabaseError as error:
        return str(error)
    if answer != ["ok"]:
        return str(answer[0])
    return f"a row of {broken_links[0]} points to nothing" if broken_links else ""


def migrations_in(file: Path) -> set[tuple[str, str]]:
    """The migrations that a copy has been through; empty for a database that is none of ours."""
    try:
        with closing(_open(file)) as copy:
            return {(app, name) for app, name in copy.execute("SELECT app, name FROM django_migrations")}
    except sqlite3.DatabaseError:
        return set()


def _open(file: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True, timeout=20)
