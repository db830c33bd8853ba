"""After a hole that cost a lot: the barrier's arithmetic from there, the reset and taking it back, without a signal."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from league.models import Player, Tee
from league.rules.scorecard import stroke_caps
from league.services import barriers, outlooks, rounds
from league.services.rounds import RoundFacts
from tests import build
from tests.browser.card_service import Signal, Stored
from tests.browser.phone import phone
from tests.build import People

pytestmark = pytest.mark.django_db(transaction=True)
RESETS = "journal/resets/"

FORGETS = """() => new Promise(done => { const asked = indexedDB.open("league-card"); asked.onsuccess = () => {
  const facts = asked.result.transaction("facts", "readwrite").objectStore("facts"), read = facts.get("kit");
  read.onsuccess = () => { const kit = read.result;
    for (const one of kit.people) delete one.index;
    for (const one of kit.tees) delete one.rated;
    for (const name of ["usual_scores", "groups", "days_played"]) delete kit[name];
    facts.put(kit, "kit").onsuccess = () => { asked.result.close(); done(true); }; }; }; })"""
"""The kit as an older service wrote it."""

CAPS = """async ([tees, indexes]) => {
  const {courseHandicap, strokesReceived} = await import("/static/league/card/from_here.js");
  return tees.map(rated => indexes.map(index => rated.ranks.map(rank =>
    strokesReceived(courseHandicap(index, rated), rank, rated.ranks.length))));
}"""


@pytest.fixture
def people(live_server: Any, settings: Any) -> People:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    people = build.people()
    build.tee(build.course(people.group))
    barriers.set_barrier(player=people.ann, score=90)
    return people


def play(player: Player, *totals: int) -> None:
    """An index and a usual score, from rounds of the last days."""
    tee, today = Tee.objects.get(), timezone.now().date()
    for days, gross in enumerate(totals, 2):
        facts = RoundFacts(tee=tee, played_on=today - timedelta(days), holes_in_play="18", gross=gross)
        rounds.post_round(player=player, facts=facts, posted_by=player)
    outlooks.refresh_due()


def told(page: Page, words: str) -> None:
    expect(page.locator(".told")).to_contain_text(words)


def test_after_net_double_bogey_the_barrier_is_told_from_there(
    browser: Browser, live_server: Any, people: People
) -> None:
    play(people.ann, 94, 96, 95)
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.context.set_offline(True)
        held.new_card()
        told(held.page, "89 strokes for eighteen holes.")
        held.tap(strokes=6)  # a stroke is received here, so six is no double bogey net
        told(held.page, "After one hole you have used 6; due 5, one over.")
        held.tap(strokes=7)
        told(held.page, "Seventeen holes left, 82 strokes to 89: bogeys and three pars.")
        held.go_on()
        told(held.page, "Seventeen holes left, 82 strokes to 89: bogeys and three pars.")
        held.page.get_by_role("button", name="Leave it out today").click()
        expect(held.page.get_by_role("button", name="Say how it stands")).to_be_visible()
        expect(held.page.locator(".told")).not_to_contain_text("strokes to 89")
        held.page.get_by_role("button", name="Say how it stands").click()
        held.tap(strokes=4)
        told(held.page, "After two holes you have used 11; due 10, one over.")
        for number in range(3, 10):
            held.page.goto(f"{held.page.url.rsplit('/', 1)[0]}/{number}")
            expect(held.page.get_by_role("heading", name=str(number), exact=True)).to_be_visible()
            held.tap(strokes=8)
        expect(held.page.locator(".told")).to_contain_text("Under 90 is out of reach today:")
        expect(held.page.locator(".told")).to_contain_text("is the lowest likely, going by your own rounds.")


def test_a_kit_of_an_older_service_tells_it_from_gross_double_bogey(
    browser: Browser, live_server: Any, people: People
) -> None:
    play(people.ann, 94, 96, 95)
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.context.set_offline(True)
        held.page.evaluate(FORGETS)
        held.page.reload()
        held.new_card()
        held.tap(strokes=6)
        told(held.page, "Seventeen holes left, 83 strokes to 89: bogeys and two pars.")


def test_strokes_are_received_as_the_rules_give_them(browser: Browser, live_server: Any, people: People) -> None:
    tee = Tee.objects.get()
    tenths = [-51, -4, 0, 4, 96, 181, 182, 187, 360, 539, 540]
    indexes = [Decimal(one) / 10 for one in tenths]
    ways = [tee.in_play(holes) for holes in ("18", "front", "back")]
    sent = [
        {
            "course_rating": float(way.course_rating),
            "slope_rating": way.slope_rating,
            "par": way.par,
            "ranks": list(way.ranks),
        }
        for way in ways
    ]
    with phone(browser, live_server.url, people.ann) as held:
        page = held.open(kept=False)
        found = page.evaluate(CAPS, [sent, [float(index) for index in indexes]])
    for way, by_index in zip(ways, found, strict=True):
        for index, received in zip(indexes, by_index, strict=True):
            caps = stroke_caps(way, way.course_handicap(index))
            assert [hole.par + 2 + n for hole, n in zip(way.holes, received, strict=True)] == list(caps)


def test_the_reset_opens_in_own_words_without_a_signal(browser: Browser, live_server: Any, people: People) -> None:
    stored = Stored(people.ann)
    words = {"sentence": "That hole is written down.", "breaths": 2}
    worded = stored.client.patch("/api/v1/journal/routine/", words, "application/json", headers={"If-Match": '"0"'})
    assert worded.status_code == 200, worded.content
    if_then = {"when": "If I make a double bogey or worse,", "then": "then I look only at where the next ball lands."}
    meant = {"played_on": str(timezone.now().date()), "goal": "Choose a target before every shot.", **if_then}
    assert stored.client.post("/api/v1/journal/intentions/", meant, "application/json").status_code == 201
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.context.set_offline(True)
        held.new_card()
        held.tap(strokes=9)
        held.go_on()
        held.page.get_by_text("What you meant to do").click()
        expect(held.page.get_by_text(meant["goal"])).to_be_visible()
        held.page.get_by_role("link", name="The reset").click()
        expect(held.page.get_by_text(" ".join(if_then.values()))).to_be_visible()
        for said in ("Two slow breaths, out longer than in.", words["sentence"], "Where should the next ball land?"):
            expect(held.page.get_by_text(str(said))).to_be_visible()
        expect(held.page.get_by_text("80 strokes to 89")).to_be_visible()
        held.page.get_by_role("button", name="Done").click()
        expect(held.page.get_by_role("heading", name="2", exact=True)).to_be_visible()
        expect(held.page.get_by_role("link", name="The reset")).to_have_count(0)
        held.context.set_offline(False)
        held.says("Stored")
        assert held.waiting() == 0
    [reset] = stored.get(RESETS)["results"]
    assert reset["hole"] == 1


def test_a_reset_tapped_by_mistake_is_taken_back_also_after_it_was_sent(
    browser: Browser, live_server: Any, people: People
) -> None:
    stored = Stored(people.ann)
    with phone(browser, live_server.url, people.ann) as held:
        signal = Signal(held.context)
        held.open()
        held.new_card()
        held.says("Stored")
        done = held.page.get_by_role("button", name="Reset done")
        back = held.page.get_by_role("button", name="Take it back")
        done.click()
        expect(back).to_be_visible()
        held.says("Stored")
        assert len(stored.get(RESETS)["results"]) == 1
        with phone(browser, live_server.url, people.ann) as other:
            other.open()
            other.page.get_by_role("link", name="Marsh Links").click()
            expect(other.page.get_by_role("button", name="Take it back")).to_be_visible()
        held.context.set_offline(True)
        held.page.reload()
        back.click()
        expect(done).to_be_visible()
        held.context.set_offline(False)
        held.says("Stored")
        assert held.waiting() == 0
        assert stored.get(RESETS)["results"] == []

        # The answer to the mark is lost: it is sent again under its own id, and then withdrawn.
        signal.breaks = lambda method, path: "after" if (method, path) == ("POST", RESETS) else ""
        done.click()
        held.says("On this phone only")
        held.page.wait_for_function("() => document.querySelector('#kept').textContent.includes('waits for a signal')")
        assert len(stored.get(RESETS)["results"]) == 1
        held.page.get_by_role("button", name="Undo").click()
        expect(done).to_be_visible()
        signal.breaks = lambda method, path: ""
        held.says("Stored")
        assert held.waiting() == 0
        assert stored.get(RESETS)["results"] == []

        # Taken back elsewhere, it is gone here too.
        done.click()
        expect(back).to_be_visible()
        held.says("Stored")
        [mark] = stored.get(RESETS)["results"]
        assert stored.client.delete(f"/api/v1/{RESETS}{mark['id']}/").status_code == 204
        held.page.reload()
        expect(done).to_be_visible()

        # One that never left is not sent at all.
        before = len(signal.asked)
        held.context.set_offline(True)
        done.click()
        back.click()
        expect(done).to_be_visible()
        assert held.waiting() == 0
        held.context.set_offline(False)
        held.page.reload()
        held.says("Stored")
        assert not [path for method, path, _ in signal.asked[before:] if method in ("POST", "DELETE")]
