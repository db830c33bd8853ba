"""A phone with the card on it: a browser profile, and what its owner does with a thumb."""

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, TimeoutError, expect

from league.models import Player
from tests import build, servers

FILL = """async ([numbers, strokes]) => {
  const store = await import("/static/league/card/store.js");
  const {cards} = await store.everything(), card = cards.find(one => location.hash.includes(one.client_id));
  for (const number of numbers) await store.writeHole(card.client_id, card.account, number, () => ({strokes}));
  new BroadcastChannel("league-card").postMessage("changed");
  dispatchEvent(new Event(navigator.onLine ? "online" : "offline"));
}"""
SAID = "words => document.querySelector('#kept')?.textContent.includes(words)"
"""Asked at every frame: what asks again after a tenth, a quarter and half a second costs a minute over all tests."""
SIZE = {"width": 390, "height": 844}


class Phone:
    def __init__(self, context: BrowserContext, server: str) -> None:
        self.context, self.server = context, server
        self.page: Page = context.pages[0] if context.pages else context.new_page()

    def sign_in(self, player: Player) -> None:
        """The cookie lasts, as the real one does."""
        value = build.signed_in(player).cookies["session"].value
        cookie: Any = {"name": "session", "value": value, "url": self.server, "expires": 4_102_444_800}
        self.context.add_cookies([cookie])

    def sign_out(self) -> None:
        self.context.clear_cookies(name="session")

    def open(self, *, kept: bool = True) -> Page:
        """The card's page; `kept`: and wait until the phone could open it without a signal."""
        self.page.goto(f"{self.server}/card/")
        if kept:
            self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
            self.page.wait_for_function(
                "async () => (await Promise.all((await caches.keys()).map(async name =>"
                " (await (await caches.open(name)).keys()).length))).some(n => n > 5)"
            )
            self.page.get_by_role("button", name="Open the card").wait_for()
        return self.page

    def new_card(self, *others: str) -> None:
        for name in others:
            self.page.get_by_label(name, exact=True).check()
        self.page.get_by_role("button", name="Open the card").click()
        self.page.get_by_role("heading", name="1", exact=True).wait_for()

    def tap(self, **keys: int) -> None:
        """`strokes=5, putts=2`: and each is seen to be kept."""
        for name, value in keys.items():
            self.page.locator(f"label:has(#{name}-{value})").click()
            self.page.locator(f'label[class="kept"]:has(#{name}-{value})').wait_for()

    def go_on(self) -> None:
        self.page.locator("#on").click()

    def says(self, words: str) -> None:
        try:
            self.page.wait_for_function(SAID, arg=words, timeout=15_000)
        except TimeoutError:
            expect(self.page.locator("#kept")).to_contain_text(words, timeout=1)

    def waiting(self) -> int:
        """How many things in the phone's storage still have to be sent."""
        found = self.page.evaluate(
            """() => new Promise(done => { const asked = indexedDB.open("league-card"); asked.onsuccess = () => {
            const count = asked.result.transaction("outbox").objectStore("outbox").count();
            count.onsuccess = () => { asked.result.close(); done(count.result); }; }; })"""
        )
        return int(found)

    def fill(self, *numbers: int, strokes: int = 5) -> None:
        """Holes of whoever holds the phone, written quickly, without a tap for each."""
        self.page.evaluate(FILL, [numbers, strokes])

    def hole(self, number: int | str) -> None:
        """To a hole, or to the "whole" card."""
        self.page.evaluate("at => { location.hash = location.hash.replace(/[^/]+$/, at) }", str(number))
        name = "Whole card" if number == "whole" else str(number)
        self.page.get_by_role("heading", name=name, exact=True).first.wait_for()


_washed: list[BrowserContext] = []
"""Phones that were used before and forgot whose they were; the page is still on them, as after a visit."""


@contextmanager
def phone(
    browser: Browser, server: str, player: Player | None = None, *, fresh: bool = False, **options: Any
) -> Iterator[Phone]:
    """`fresh`: one that never saw the service. `options` are those of a browser profile, made for this once."""
    is_usual = not options
    known = [] if fresh or options else [one for one in _washed if one.browser is browser]
    if known:
        context = known[0]
        _washed.remove(context)
    else:
        context = browser.new_context(
            **{"viewport": SIZE, "locale": "en-GB", "timezone_id": "UTC", "reduced_motion": "reduce", **options}
        )
    held = Phone(context, server)
    if player:
        held.sign_in(player)
    yield held
    if is_usual and not fresh:
        _wash(context, server)
    else:
        context.close()


def _wash(context: BrowserContext, server: str) -> None:
    """Nobody's any more: no cookies, no card; what the worker keeps of the page stays."""
    for page in context.pages:
        page.close()
    context.unroute_all(behavior="ignoreErrors")
    context.set_offline(False)
    context.clear_cookies()
    page = context.new_page()
    session = context.new_cdp_session(page)
    session.send("Storage.clearDataForOrigin", {"origin": server, "storageTypes": "indexeddb,local_storage"})
    session.detach()
    _washed.append(context)


def lasting(browser: Browser, folder: Path, server: str) -> Phone:
    """A profile on the disk, which outlives its browser."""
    context = browser.browser_type.launch_persistent_context(
        folder,
        executable_path=servers.chromium(),
        args=["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
        viewport={"width": 390, "height": 844},
        locale="en-GB",
        timezone_id="UTC",
    )
    return Phone(context, server)


def kill(folder: Path) -> None:
    """SIGKILL to the browser that uses this profile; its children go with it."""
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            words = (entry / "cmdline").read_bytes().split(b"\0")
        except OSError:
            continue
        if f"--user-data-dir={folder}".encode() in words and not any(word.startswith(b"--type=") for word in words):
            os.kill(int(entry.name), signal.SIGKILL)
