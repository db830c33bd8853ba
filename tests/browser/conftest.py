import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from django.core.management import call_command
from django.db import connection
from django.test import override_settings
from playwright.sync_api import Browser, Page, sync_playwright
from pytest_django.live_server_helper import LiveServer

from tests import build, servers

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
IN_MEMORY = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    program = servers.chromium()
    if program is None:
        raise RuntimeError("Chromium is not installed; on Debian: apt-get install chromium fonts-dejavu-core")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=QUIET)
        yield browser
        browser.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A fresh browser profile, wide; `page.set_viewport_size` makes it a phone."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, locale="en-GB")
    yield context.new_page()
    context.close()


@pytest.fixture(scope="session")
def loaded(django_db_setup: Any, django_db_blocker: Any) -> Iterator[sqlite3.Connection]:
    """A database with the demo season: loaded once, since it takes many seconds."""
    with closing(sqlite3.connect(":memory:")) as kept:
        with django_db_blocker.unblock(), override_settings(CACHES=IN_MEMORY):
            # Where no chosen test is marked to need a database, none has been made.
            call_command("migrate", verbosity=0)
            with open(os.devnull, "w", encoding="utf-8") as nowhere:
                call_command("demo", until=date.today(), stdout=nowhere)
            connection.connection.backup(kept)
        yield kept


@pytest.fixture(scope="module")
def demo(loaded: sqlite3.Connection, django_db_blocker: Any) -> Iterator[str]:
    """The address of a server that shows the demo season, anew for a file of tests and gone afterwards."""
    with django_db_blocker.unblock(), override_settings(CACHES=IN_MEMORY):
        cache.clear()
        connection.ensure_connection()
        loaded.backup(connection.connection)
        server = LiveServer("localhost")
        yield server.url
        server.stop()
        build.let_go_of_the_ledger()
        call_command("flush", interactive=False, verbosity=0)
