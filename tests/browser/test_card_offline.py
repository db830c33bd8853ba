"""The card without a signal: from the first tee to the car park, through closed, killed and doubled browsers."""

from datetime import timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from django.contrib.sessions.models import Session
from django.db.models import F
from django.utils import timezone
from playwright.sync_api import Browser, Error, expect

from league.models import CardMark, SignIn
from tests import build
from tests.browser.card_service import Signal, Stored
from tests.browser.phone import kill, lasting, phone
from tests.build import People

pytestmark = pytest.mark.django_db(transaction=True)
TWO_DAYS = timedelta(days=2)
STROKES = (5, 4, 3, 6, 5, 5, 4, 4, 6, 5, 5, 4, 5, 5, 6, 3, 5, 7)


class Course(NamedTuple):
    url: str
    people: People
    stored: Stored


@pytest.fixture
def links(live_server: Any, settings: Any) -> Course:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    people = build.people()
    build.tee(build.course(people.group))
    return Course(live_server.url, people, Stored(people.ann))


def test_a_whole_round_without_a_signal_arrives_once_and_in_order(browser: Browser, links: Course) -> None:
    with phone(browser, links.url, links.people.ann, fresh=True) as held:
        signal = Signal(held.context)
        held.open()
        held.context.set_offline(True)
        held.new_card()
        for strokes in STROKES:
            held.tap(strokes=strokes, putts=2)
            held.go_on()
        held.says("On this phone only: eighteen holes. It waits for a signal.")
        held.page.reload()
        expect(held.page.locator("tfoot")).to_contain_text(str(sum(STROKES)))
        assert not links.stored.cards()
        held.context.set_offline(False)
        held.says("Stored")
        assert held.waiting() == 0
        assert links.stored.values() == {
            number: {"strokes": strokes, "putts": 2} for number, strokes in enumerate(STROKES, 1)
        }
        numbers = [mark["number"] for batch in signal.posts("marks") for mark in batch["marks"]]
        assert numbers == list(range(1, 19))
        held.page.get_by_role("button", name="Send the card").click()
        expect(held.page.get_by_role("link", name="Look back")).to_be_visible()
        held.page.get_by_role("link", name="Your round").click()
        expect(held.page.get_by_text(str(sum(STROKES))).first).to_be_visible()
    [played] = links.stored.get("rounds/")["results"]
    assert (played["gross"], played["complete"]) == (sum(STROKES), True)


def test_an_answer_that_got_lost_stores_nothing_twice(browser: Browser, links: Course) -> None:
    lost: list[str] = []

    def loses_each_once(method: str, path: str) -> str:
        kind = path.strip("/").rsplit("/", 1)[-1]
        if method == "POST" and kind not in lost:
            lost.append(kind)
            return "after"
        return ""

    with phone(browser, links.url, links.people.ann) as held:
        signal = Signal(held.context)
        signal.breaks = loses_each_once
        held.open()
        held.new_card()
        held.fill(*range(1, 19))
        held.hole("whole")
        held.says("Stored")
        held.page.get_by_role("button", name="Send the card").click()
        expect(held.page.get_by_role("heading", name="Sent", exact=True)).to_be_visible(timeout=15_000)
        assert held.waiting() == 0
    assert lost == ["cards", "marks", "send"]
    first, again = ([mark["client_id"] for mark in batch["marks"]] for batch in signal.posts("marks")[:2])
    assert first == again[: len(first)]
    assert CardMark.objects.count() == 18
    assert len({one["client_id"] for one in signal.posts("cards")}) == 1
    for kind in ("cards", "send"):
        [key] = set(signal.keys[kind])
        assert key
        assert len(signal.posts(kind)) == 2
    [played] = links.stored.get("rounds/")["results"]
    assert played["gross"] == 90


@pytest.mark.parametrize(
    ("holes", "written", "reason"), [("18", 17, "light"), ("18", 18, ""), ("front", 9, "")], ids=["17", "18", "nine"]
)
def test_a_correction_after_the_wish_to_send_goes_with_it(
    browser: Browser, links: Course, holes: str, written: int, reason: str
) -> None:
    with phone(browser, links.url, links.people.ann) as held:
        signal = Signal(held.context)
        held.open()
        held.context.set_offline(True)
        held.page.get_by_label("Holes").select_option(holes)
        held.new_card()
        held.fill(*range(1, written + 1))
        held.hole("whole")
        if reason:
            held.page.get_by_label("Why holes were not played").select_option(reason)
        held.page.get_by_role("button", name="Send the card").click()
        held.page.get_by_role("button", name="Do not send yet").click()
        held.page.get_by_role("button", name="Send the card").click()
        expect(held.page.get_by_text("What you still change goes with it.")).to_be_visible()
        held.hole(7)
        held.tap(strokes=6)
        held.hole("whole")
        if reason:
            held.page.get_by_label("Why holes were not played").select_option("weather")
        held.context.set_offline(False)
        expect(held.page.get_by_role("link", name="Your round")).to_be_visible(timeout=15_000)
        assert held.waiting() == 0
    assert signal.posts("send") == [{"not_played_reason": "weather"} if reason else {}]
    [played] = links.stored.get("rounds/")["results"]
    strokes = {hole["number"]: hole["strokes"] for hole in links.stored.get(f"rounds/{played['id']}/")["holes"]}
    assert {number: n for number, n in strokes.items() if n} == {
        number: 6 if number == 7 else 5 for number in range(1, written + 1)
    }


def test_the_card_is_not_sent_while_a_hole_waits_or_was_refused(browser: Browser, links: Course, settings: Any) -> None:
    settings.LEAGUE_MOST_STROKES_A_HOLE = 8
    with phone(browser, links.url, links.people.ann) as held:
        signal = Signal(held.context)
        held.open()
        held.context.set_offline(True)
        held.new_card()
        held.fill(*range(1, 19))
        held.hole("whole")
        held.page.get_by_role("button", name="Send the card").click()
        held.hole(3)
        held.tap(strokes=9)
        held.hole(7)
        held.tap(strokes=2, putts=3)
        held.context.set_offline(False)
        held.hole("whole")
        expect(held.page.get_by_text("Hole 3, Ann: this phone says 9; stored is nothing.")).to_be_visible(
            timeout=15_000
        )
        expect(held.page.get_by_text("Something is missing on hole 7.")).to_be_visible()
        expect(held.page.get_by_text("It is not sent before that is cleared up.")).to_be_visible()
        held.hole(3)
        held.tap(strokes=8)
        held.says("On this phone only: one hole.")
        assert sorted(links.stored.values()) == [n for n in range(1, 19) if n != 7]
        assert not signal.posts("send")
        held.hole(7)
        held.tap(strokes=5)
        expect(held.page.get_by_role("heading", name="Sent", exact=True)).to_be_visible(timeout=15_000)
    [played] = links.stored.get("rounds/")["results"]
    assert (played["gross"], played["complete"]) == (93, True)


def test_once_the_card_left_its_holes_take_no_tap_until_it_is_answered(browser: Browser, links: Course) -> None:
    with phone(browser, links.url, links.people.ann) as held:
        signal = Signal(held.context)
        signal.breaks = lambda method, path: "before" if path.endswith("send/") else ""
        held.open()
        held.new_card()
        held.fill(*range(1, 19))
        held.hole("whole")
        held.page.get_by_role("button", name="Send the card").click()
        expect(held.page.get_by_text("It is on its way")).to_be_visible()
        expect(held.page.get_by_role("button", name="Do not send yet")).to_have_count(0)
        held.hole(7)
        held.page.locator("label:has(#strokes-6)").click()
        expect(held.page.locator("#alarm")).to_contain_text("The card is on its way, so hole 7 was not changed.")
        held.page.get_by_role("button", name="Undo").click()
        expect(held.page.locator("label:has(#strokes-5)")).to_have_class("kept")
        signal.breaks = lambda method, path: ""
        expect(held.page.get_by_role("heading", name="Sent", exact=True)).to_be_visible(timeout=15_000)
        assert held.waiting() == 0
    [played] = links.stored.get("rounds/")["results"]
    assert played["gross"] == 90


def test_a_choice_that_was_made_otherwise_meanwhile_holds_the_card_back(browser: Browser, links: Course) -> None:
    dan = Stored(links.people.dan)
    with phone(browser, links.url, links.people.ann) as held:
        held.open()
        held.new_card("Dan")
        held.says("Stored")
        seven = dan.write(1, 7)
        held.fill(*range(1, 19))
        expect(held.page.get_by_role("heading", name="Two values for this hole")).to_be_visible(timeout=15_000)
        held.context.set_offline(True)
        held.page.get_by_role("button", name="5").click()
        held.hole("whole")
        held.page.get_by_label("Why holes were not played").select_option("light")
        held.page.get_by_role("button", name="Send the card").click()
        dan.settle(1, seven)
        held.context.set_offline(False)
        expect(held.page.get_by_text("Hole 1, Ann: this phone chose 5; stored is 7.")).to_be_visible(timeout=15_000)
        assert not links.stored.get("rounds/")["results"]
        held.page.get_by_role("button", name="Keep what is stored").click()
        expect(held.page.get_by_role("heading", name="Sent", exact=True)).to_be_visible(timeout=15_000)
    [played] = links.stored.get("rounds/")["results"]
    assert played["gross"] == 92


def test_a_browser_closed_and_killed_keeps_every_tap(browser: Browser, links: Course, tmp_path: Path) -> None:
    folder = tmp_path / "profile"
    played_at = timezone.now() - TWO_DAYS
    held = lasting(browser, folder, links.url)
    held.sign_in(links.people.ann)
    held.context.clock.install(time=played_at)
    held.open()
    held.context.set_offline(True)
    held.new_card()
    held.tap(strokes=6)
    held.context.close()
    Session.objects.update(expire_date=F("expire_date") - TWO_DAYS)
    SignIn.objects.update(created_at=played_at, last_seen_at=played_at)

    # Two days later, another browser, no signal: the page opens, the six is there. Then the phone dies in mid-sending.
    held = lasting(browser, folder, links.url)
    held.context.set_offline(True)
    held.page.goto(f"{links.url}/card/")
    held.page.get_by_role("link", name="Marsh Links").click()
    held.page.locator("#back").click()
    expect(held.page.locator("label:has(#strokes-6)")).to_have_class("kept")
    held.tap(putts=3)
    signal = Signal(held.context)
    signal.breaks = lambda method, path: "after" if method == "POST" else ""
    held.context.set_offline(False)
    for _ in range(300):
        if links.stored.cards():
            break
        held.page.wait_for_timeout(50)
    kill(folder)
    with pytest.raises(Error):
        held.page.reload()
    assert len(links.stored.cards()) == 1

    held = lasting(browser, folder, links.url)
    held.sign_in(links.people.ann)
    held.page.goto(f"{links.url}/card/")
    expect(held.page.get_by_text("stored,")).to_be_visible(timeout=15_000)
    assert held.waiting() == 0
    held.context.close()
    assert links.stored.values() == {1: {"strokes": 6, "putts": 3}}
    assert links.stored.card()["played_on"] == played_at.date().isoformat()


def test_two_tabs_send_once_and_show_the_same(browser: Browser, links: Course) -> None:
    with phone(browser, links.url, links.people.ann) as held:
        signal = Signal(held.context)
        held.open()
        held.context.set_offline(True)
        held.new_card()
        other = held.context.new_page()
        other.goto(held.page.url)
        held.tap(strokes=5)
        expect(other.locator("label:has(#strokes-5)")).to_have_class("kept")
        other.locator("label:has(#putts-1)").click()
        expect(held.page.locator("label:has(#putts-1)")).to_have_class("kept")
        held.context.set_offline(False)
        held.says("Stored")
        assert held.waiting() == 0
        expect(other.locator("#kept")).to_contain_text("Stored")
    assert len(signal.posts("cards")) == 1
    assert [mark["value"] for batch in signal.posts("marks") for mark in batch["marks"]] == [{"strokes": 5, "putts": 1}]
    assert links.stored.values() == {1: {"strokes": 5, "putts": 1}}


def test_undo_goes_back_tap_by_tap_also_after_the_page_was_left(browser: Browser, links: Course) -> None:
    with phone(browser, links.url, links.people.ann) as held:
        held.open()
        held.new_card()
        held.tap(strokes=5, putts=2)
        held.says("Stored")
        held.go_on()
        held.tap(strokes=8)
        held.page.reload()
        held.page.get_by_role("button", name="Undo").click()
        expect(held.page.locator("label:has(#strokes-8)")).not_to_have_class("kept")
        held.page.get_by_role("button", name="Undo").click()
        expect(held.page.get_by_role("heading", name="1", exact=True)).to_be_visible()
        expect(held.page.locator("label:has(#putts-2)")).not_to_have_class("kept")
        expect(held.page.locator("label:has(#strokes-5)")).to_have_class("kept")
        held.says("Stored")
    assert links.stored.values() == {1: {"strokes": 5}}


def test_a_full_phone_says_so_and_shows_nothing_as_kept(browser: Browser, links: Course, tmp_path: Path) -> None:
    folder = tmp_path / "profile"
    held = lasting(browser, folder, links.url)
    held.sign_in(links.people.ann)
    held.open()
    held.new_card()
    held.tap(strokes=5)
    held.says("Stored")
    where = held.page.url
    held.context.close()

    # The browser looks at the room there is when it opens the storage, hence a fresh one.
    held = lasting(browser, folder, links.url)
    held.sign_in(links.people.ann)
    held.page.goto(f"{links.url}/healthz")
    session = held.context.new_cdp_session(held.page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": links.url, "quotaSize": 1})
    held.page.goto(where)
    key = held.page.locator("label:has(#strokes-7)")
    key.click()
    expect(held.page.locator("#alarm")).to_contain_text("storage is full: the entry for hole 1 could not be kept")
    expect(key).not_to_have_class("kept")
    expect(held.page.locator("label:has(#strokes-5)")).to_have_class("kept")
    held.context.close()

    held = lasting(browser, folder, links.url)
    held.sign_in(links.people.ann)
    held.page.goto(where)
    held.tap(strokes=7)
    expect(held.page.locator("#alarm")).to_be_empty()
    held.says("Stored")
    held.context.close()


def test_a_phone_without_room_says_so_at_once(browser: Browser, links: Course) -> None:
    with phone(browser, links.url, links.people.ann, fresh=True) as held:
        held.page.goto(f"{links.url}/healthz")
        session = held.context.new_cdp_session(held.page)
        session.send("Storage.overrideQuotaForOrigin", {"origin": links.url, "quotaSize": 1})
        held.page.goto(f"{links.url}/card/")
        held.says("storage is full")
