from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests import servers

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


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
