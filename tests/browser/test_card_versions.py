"""Two who write on one card, a second phone, a tee that changed, a line sent in meanwhile: a person decides."""

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any, NamedTuple

import pytest
from playwright.sync_api import Browser, expect

from league.models import Card, CardLine, CardMark, Tee
from tests import build
from tests.browser.card_service import Signal, Stored
from tests.browser.phone import Phone, phone
from tests.build import People

pytestmark = pytest.mark.django_db(transaction=True)


class Two(NamedTuple):
    """Ann's phone with an open card for herself and Dan; Dan's phone, with the same card open at the first hole."""

    ann: Phone
    dan: Phone
    people: People
    tee: Tee


@pytest.fixture
def two(browser: Browser, live_server: Any, settings: Any) -> Iterator[Two]:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    people = build.people()
    tee = build.tee(build.course(people.group))
    with ExitStack() as held:
        ann, dan = (held.enter_context(phone(browser, live_server.url, one)) for one in (people.ann, people.dan))
        ann.open()
        ann.new_card("Dan")
        ann.says("Stored")
        dan.open()
        dan.page.get_by_role("link", name="Marsh Links").click()
        expect(dan.page.get_by_role("group", name="Strokes of Dan")).to_be_visible()
        yield Two(ann, dan, people, tee)


def choose(held: Phone, name: str) -> None:
    held.page.locator(".whose label", has_text=name).click()
    expect(held.page.get_by_role("group", name=f"Strokes of {name}")).to_be_visible()


def test_two_values_for_one_hole_are_both_shown_and_a_person_chooses(two: Two) -> None:
    for held, strokes in ((two.ann, 6), (two.dan, 7)):
        held.context.set_offline(True)
        choose(held, "Dan")
        held.tap(strokes=strokes)
    choose(two.ann, "Ann")
    two.ann.tap(strokes=4)
    for held in (two.ann, two.dan):
        held.context.set_offline(False)
        held.says("Stored")
    two.ann.page.reload()
    expect(two.ann.page.get_by_text("two values")).to_be_visible()
    two.ann.page.locator(".whose label", has_text="Dan").click()
    expect(two.ann.page.get_by_text("written by Dan")).to_be_visible()
    expect(two.ann.page.get_by_role("button", name="6")).to_be_visible()
    two.ann.page.get_by_role("link", name="Whole card").first.click()
    expect(two.ann.page.get_by_text("Two values wait for a choice: hole 1.")).to_be_visible()
    expect(two.ann.page.get_by_role("button", name="Send the card")).to_have_count(0)
    two.ann.page.go_back()
    two.ann.page.get_by_role("button", name="7").click()
    expect(two.ann.page.locator("label:has(#strokes-7)")).to_have_class("kept")
    two.ann.says("Stored")
    stored = Stored(two.people.ann)
    assert (stored.values(1), stored.values(2)) == ({1: {"strokes": 4}}, {1: {"strokes": 7}})


def test_a_second_phone_goes_on_where_the_first_one_stopped(browser: Browser, two: Two) -> None:
    two.ann.tap(strokes=5, putts=2)
    two.ann.says("Stored")
    with phone(browser, two.ann.server, two.people.ann) as other:
        other.open()
        other.page.get_by_role("link", name="Marsh Links").click()
        expect(other.page.get_by_role("heading", name="2", exact=True)).to_be_visible()
        other.page.locator("#back").click()
        expect(other.page.locator("label:has(#putts-2)")).to_have_class("kept")
        other.tap(strokes=6)
        other.says("Stored")
    assert Stored(two.people.ann).values() == {1: {"strokes": 6, "putts": 2}}


def whole_card(held: Phone) -> None:
    """The card as it stands, with what was written elsewhere."""
    held.page.goto(f"{held.page.url.rsplit('/', 1)[0]}/whole")
    held.page.reload()
    expect(held.page.locator("tfoot")).to_contain_text("90")


def test_what_comes_after_the_line_was_sent_is_kept_and_a_person_decides(two: Two) -> None:
    two.ann.context.set_offline(True)
    choose(two.ann, "Dan")
    two.ann.tap(strokes=9)
    Stored(two.people.dan).fill(place=2)
    whole_card(two.dan)
    two.dan.page.get_by_role("button", name="Send the card").click()
    expect(two.dan.page.get_by_role("link", name="Your round")).to_be_visible()
    two.ann.context.set_offline(False)
    expect(two.ann.page.get_by_text("Hole 1, Dan: this phone says 9; stored is 5.")).to_be_visible(timeout=15_000)
    two.ann.page.reload()
    expect(two.ann.page.get_by_text("Hole 1, Dan: this phone says 9; stored is 5.")).to_be_visible()
    assert two.ann.waiting() == 1
    two.ann.page.get_by_role("button", name="Keep what is stored").click()
    two.ann.says("Stored")
    assert two.ann.waiting() == 0
    [played] = Stored(two.people.dan).get("rounds/")["results"]
    assert played["gross"] == 90


@pytest.mark.parametrize(
    "chosen", ["Send it with the tee as it is now", "Send it for the Bittern tee"], ids=["this tee", "another"]
)
def test_a_tee_that_changed_meanwhile_is_told_with_both_versions(two: Two, chosen: str) -> None:
    Tee.objects.filter(pk=two.tee.pk).update(course_rating_tenths=735, slope_rating=131, version=two.tee.version + 1)
    build.tee(two.tee.course, "Bittern")
    stored = Stored(two.people.ann)
    stored.fill()
    whole_card(two.ann)
    two.ann.context.set_offline(True)
    two.ann.page.get_by_role("button", name="Send the card").click()
    expect(two.ann.page.get_by_text("It leaves as soon as there is a signal.")).to_be_visible()
    two.ann.context.set_offline(False)
    told = "When the card was opened: course rating 72.1, slope rating 128, par 72. Now: course rating 73.5, slope"
    expect(two.ann.page.get_by_text(told)).to_be_visible(timeout=15_000)
    two.ann.context.set_offline(True)
    two.ann.page.get_by_role("button", name=chosen).click()
    expect(two.ann.page.get_by_text("It leaves as soon as there is a signal.")).to_be_visible()
    two.ann.page.reload()
    two.ann.context.set_offline(False)
    expect(two.ann.page.get_by_role("link", name="Your round")).to_be_visible(timeout=15_000)
    [played] = stored.get("rounds/")["results"]
    assert (played["gross"], played["tee"]["name"]) == (90, "Bittern" if "Bittern" in chosen else "Heron")


def take_away(held: Phone) -> None:
    held.page.get_by_role("link", name="Whole card").first.click()
    held.page.get_by_role("button", name="Take this card away").click()
    expect(held.page.get_by_role("alert").get_by_text("The lines of Ann (yourself), Dan go,")).to_be_visible()
    held.page.get_by_role("button", name="Take it away", exact=True).click()


def write_unsent_and_lose_the_card(two: Two) -> None:
    """Dan wrote for himself and for Ann without a signal, and hears afterwards that Ann took the card away."""
    two.ann.tap(strokes=4)
    two.ann.says("Stored")
    two.dan.context.set_offline(True)
    choose(two.dan, "Ann")
    two.dan.tap(strokes=6)
    choose(two.dan, "Dan")
    two.dan.tap(strokes=7, putts=2)
    two.dan.go_on()
    two.dan.tap(strokes=5)
    take_away(two.ann)
    expect(two.ann.page.get_by_role("button", name="Open the card")).to_be_visible()
    assert not Stored(two.people.ann).cards()
    two.dan.context.set_offline(False)
    two.dan.says("Ann took this card away. On this phone only.")
    expect(
        two.dan.page.get_by_text("Your strokes are still on this phone: Ann one hole; Dan two holes.")
    ).to_be_visible()


def test_a_card_taken_away_while_another_phone_writes_becomes_a_card_of_its_own(two: Two) -> None:
    write_unsent_and_lose_the_card(two)
    two.dan.page.reload()
    two.dan.page.get_by_role("button", name="Open it as my own card").click()
    two.dan.says("Stored")
    assert two.dan.waiting() == 0
    stored = Stored(two.people.dan)
    places = {line["name"]: line["place"] for line in stored.card()["lines"]}
    assert stored.values(places["Dan"]) == {1: {"strokes": 7, "putts": 2}, 2: {"strokes": 5}}
    assert stored.values(places["Ann"]) == {1: {"strokes": 6}}
    assert stored.card()["opened_by"] == str(two.people.dan.pk)


def test_strokes_of_a_card_taken_away_go_only_after_a_second_tap(two: Two) -> None:
    write_unsent_and_lose_the_card(two)
    two.dan.page.get_by_role("link", name="Keep it or let it go").click()
    two.dan.page.get_by_role("button", name="Let it go").click()
    two.dan.page.get_by_role("button", name="Keep them").click()
    assert two.dan.waiting() > 0
    two.dan.page.get_by_role("button", name="Let it go").click()
    two.dan.page.get_by_role("button", name="Let them go").click()
    expect(two.dan.page.get_by_role("button", name="Open the card")).to_be_visible()
    expect(two.dan.page.get_by_role("heading", name="Open", exact=True)).to_have_count(0)
    assert two.dan.waiting() == 0


def test_own_strokes_stay_on_the_phone_of_who_was_taken_off_the_card(two: Two) -> None:
    two.ann.page.locator(".whose label", has_text="Dan").click()
    two.ann.tap(strokes=8)
    two.ann.says("Stored")
    two.dan.page.reload()
    expect(two.dan.page.locator("label:has(#strokes-8)")).to_have_class("kept")
    CardMark.objects.all().delete()
    CardLine.objects.filter(player=two.people.dan).delete()
    two.dan.page.reload()
    two.dan.says("This card is no longer at the service. On this phone only.")
    two.dan.page.get_by_role("button", name="Open it as my own card").click()
    two.dan.says("Stored")
    assert Stored(two.people.dan).values() == {1: {"strokes": 8}}


def test_two_values_and_a_reset_of_a_card_taken_away_go_along(two: Two) -> None:
    for strokes in (6, 7):
        Stored(two.people.ann).write(1, strokes, place=2)
    two.dan.page.reload()
    expect(two.dan.page.get_by_text("Two values for this hole. Which one stands?")).to_be_visible()
    two.dan.context.set_offline(True)
    two.dan.page.get_by_role("button", name="Reset done").click()
    expect(two.dan.page.get_by_text("Reset noted")).to_be_visible()
    take_away(two.ann)
    expect(two.ann.page.get_by_role("button", name="Open the card")).to_be_visible()
    two.dan.context.set_offline(False)
    two.dan.says("Ann took this card away.")
    two.dan.page.goto(f"{two.dan.server}/settings/")
    two.dan.page.get_by_role("button", name="Sign out").click()
    expect(two.dan.page.get_by_role("alert")).to_contain_text("One card has something that is on this phone only")
    two.dan.page.go_back()
    two.dan.page.get_by_role("button", name="Open it as my own card").click()
    two.dan.says("Stored")
    expect(two.dan.page.get_by_text("Two values for this hole. Which one stands?")).to_be_visible()
    assert two.dan.waiting() == 0
    stored = Stored(two.people.dan)
    [line] = stored.card()["lines"]
    assert {one["value"]["strokes"] for one in line["holes"][0]["contested"]} == {6, 7}
    assert [one["hole"] for one in stored.get("journal/resets/")["results"]] == [1]


def test_strokes_that_come_after_a_line_closed_without_a_round_are_kept(two: Two) -> None:
    two.dan.context.set_offline(True)
    two.dan.tap(strokes=7)
    ann, dan = Stored(two.people.ann), Stored(two.people.dan)
    for place in (1, 2):
        ann.fill(place)
    card = ann.card()
    ann.post(f"cards/{card['id']}/send/", {})
    dan.post(f"cards/{card['id']}/lines/{card['lines'][1]['id']}/answer/", {"answer": "decline"})
    two.dan.context.set_offline(False)
    two.dan.says("Your line of this card was closed without a round. On this phone only.")
    two.dan.page.get_by_role("button", name="Open it as my own card").click()
    two.dan.says("Stored")
    assert dan.values()[1] == {"strokes": 7}


def test_the_service_says_why_a_card_is_not_taken_away(two: Two) -> None:
    two.dan.tap(strokes=7)
    two.dan.says("Stored")
    take_away(two.ann)
    expect(two.ann.page.get_by_text("Dan wrote on this card, so it is not dropped.")).to_be_visible()
    assert Stored(two.people.ann).card()["state"] == "open"


def test_a_card_whose_opening_was_never_answered_is_taken_away_at_the_service_too(
    browser: Browser, live_server: Any, settings: Any
) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    people = build.people()
    build.tee(build.course(people.group))
    with phone(browser, live_server.url, people.ann) as held:
        signal = Signal(held.context)
        signal.breaks = lambda method, path: "after" if (method, path) == ("POST", "cards/") else ""
        held.open()
        held.new_card()
        held.says("It waits for a signal.")
        held.context.set_offline(True)
        held.hole("whole")
        held.page.get_by_role("button", name="Take this card away").click()
        held.page.get_by_role("button", name="Take it away", exact=True).click()
        expect(held.page.get_by_text("the service has it or may have it, so that needs a signal.")).to_be_visible()
        signal.breaks = lambda method, path: ""
        held.context.set_offline(False)
        held.page.get_by_role("button", name="Take this card away").click()
        held.page.get_by_role("button", name="Take it away", exact=True).click()
        expect(held.page.get_by_role("button", name="Open the card")).to_be_visible()
    assert not Stored(people.ann).cards()
    assert Card.objects.count() == 1


def test_the_scorer_sends_and_the_other_says_yes(two: Two) -> None:
    for place, strokes in ((1, 5), (2, 6)):
        Stored(two.people.ann).fill(place, strokes)
    whole_card(two.ann)
    two.ann.page.get_by_role("button", name="Send the card").click()
    expect(two.ann.page.get_by_text("Waits for a yes: Dan.")).to_be_visible(timeout=15_000)
    assert not Stored(two.people.dan).get("rounds/")["results"]
    two.dan.page.reload()
    two.dan.page.get_by_role("button", name="Yes, post it").click()
    expect(two.dan.page.get_by_role("link", name="Your round")).to_be_visible()
    [played] = Stored(two.people.dan).get("rounds/")["results"]
    assert played["gross"] == 108


def test_the_reset_goes_to_the_journal_and_never_onto_the_card(two: Two) -> None:
    two.ann.context.set_offline(True)
    two.ann.page.get_by_role("button", name="Reset done").click()
    expect(two.ann.page.get_by_text("Reset noted, for your journal alone.")).to_be_visible()
    two.ann.page.reload()
    expect(two.ann.page.get_by_text("Reset noted, for your journal alone.")).to_be_visible()
    two.ann.context.set_offline(False)
    two.ann.says("Stored")
    assert two.ann.waiting() == 0
    stored = Stored(two.people.ann)
    [reset] = stored.get("journal/resets/")["results"]
    assert (reset["hole"], reset["line"]) == (1, stored.card()["lines"][0]["id"])
    assert not Stored(two.people.dan).get("journal/resets/")["results"]
