"""The card and who holds it: an ended sign-in, somebody else's phone, signing out, the keyboard, the eye."""

from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, expect

from league.models import Membership, Plan, Tee
from tests import build
from tests.browser.card_service import Signal, Stored
from tests.browser.phone import phone
from tests.browser.soundness import Visitor, faults_of
from tests.build import People

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def people(live_server: Any, settings: Any) -> People:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    people = build.people()
    build.tee(build.course(people.group))
    return people


def test_an_ended_sign_in_keeps_the_card_and_sends_it_afterwards(
    browser: Browser, live_server: Any, people: People
) -> None:
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.new_card()
        held.says("Stored")
        held.sign_out()
        held.tap(strokes=5)
        held.says("On this phone only: one hole. Sign in again, then it sends.")
        held.page.get_by_role("link", name="Sign in again").click()
        account = people.ann.account
        assert account is not None
        held.page.locator("[type=email]").fill(account.email)
        held.page.locator("[type=password]").fill(build.PASSWORD)
        held.page.get_by_role("button", name="Sign in").click()
        expect(held.page.get_by_role("heading", name="1", exact=True)).to_be_visible()
        held.says("Stored")
        assert held.waiting() == 0
    assert Stored(people.ann).values() == {1: {"strokes": 5}}


DRAWN_AGAIN = """async () => {
  dispatchEvent(new Event("offline"));
  await new Promise(done => setTimeout(done, 300));
}"""
"""The signal goes: the screen is drawn anew, whatever somebody is typing."""


def test_what_the_keys_have_no_figure_for_and_a_tap_by_mistake(
    browser: Browser, live_server: Any, people: People
) -> None:
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.new_card()
        held.tap(strokes=8, penalties=1)
        held.page.get_by_text("More about this hole").click()

        def field(name: str, value: str) -> None:
            held.page.locator("#more").get_by_label(name, exact=True).fill(value)
            held.page.keyboard.press("Tab")

        field("Strokes", "12")
        field("Putts", "5")
        field("Penalties", "")
        expect(held.page.locator("label:has(#penalties-1)")).not_to_have_class("kept")
        held.page.locator("#many").fill("1")
        held.page.evaluate(DRAWN_AGAIN)
        held.page.locator("#many").press("End")
        held.page.keyboard.type("3")
        held.page.keyboard.press("Tab")
        held.says("Stored")
        assert Stored(people.ann).values() == {1: {"strokes": 13, "putts": 5}}
        field("Strokes", "12")
        for wrong in ("30", "7.6"):
            field("Strokes", wrong)
            expect(held.page.locator("#many-fault")).to_have_text("1 to 25, whole. Not kept.")
        held.page.get_by_label("Picked up").check()
        expect(held.page.locator("#many")).to_have_value("")
        held.page.get_by_label("Picked up").uncheck()
        expect(held.page.locator("#many")).to_have_value("12")
        held.says("Stored")
        assert Stored(people.ann).values() == {1: {"strokes": 12, "putts": 5}}
        held.page.get_by_role("button", name="Clear this hole").click()
        expect(held.page.locator("#many")).to_have_value("")
        held.says("Stored")
        assert Stored(people.ann).values() == {}
        held.page.get_by_role("button", name="Undo").click()
        expect(held.page.locator("#many-putts")).to_have_value("5")


def test_another_account_on_the_phone_never_sends_it(browser: Browser, live_server: Any, people: People) -> None:
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.context.set_offline(True)
        held.new_card()
        held.tap(strokes=5)
        held.sign_in(people.dan)
        held.context.set_offline(False)
        expect(held.page.get_by_text("On this phone is one card of Ann.")).to_be_visible()
        expect(held.page.get_by_label("Dan, yourself")).to_be_visible()
        held.page.reload()
        expect(held.page.get_by_text("On this phone is one card of Ann.")).to_be_visible()
        expect(held.page.get_by_role("link", name="Marsh Links")).to_have_count(0)
        assert not Stored(people.dan).cards()
        assert not Stored(people.ann).cards()
        assert held.waiting() == 2
        held.sign_in(people.ann)
        held.page.reload()
        expect(held.page.get_by_text("stored,")).to_be_visible()
        assert held.waiting() == 0
    assert [line["player"] for line in Stored(people.ann).card()["lines"]] == [str(people.ann.pk)]


def test_signing_out_asks_about_what_is_not_sent_and_clears_the_phone(
    browser: Browser, live_server: Any, people: People
) -> None:
    with phone(browser, live_server.url, people.ann, fresh=True) as held:
        Signal(held.context).breaks = lambda method, path: "before" if method == "POST" else ""
        held.open()
        held.new_card()
        held.tap(strokes=5)
        held.page.goto(f"{live_server.url}/settings/")
        held.page.get_by_role("button", name="Sign out").click()
        expect(held.page.get_by_role("alert")).to_contain_text("One card has something that is on this phone only")
        held.page.get_by_role("button", name="Lose it and sign out").click()
        expect(held.page.get_by_text("You are signed out")).to_be_visible()
        assert held.page.evaluate("caches.keys()") == []
        assert held.page.evaluate("navigator.serviceWorker.getRegistrations().then(all => all.length)") == 0
        assert held.waiting() == 0


def test_undo_takes_back_only_what_still_stands(browser: Browser, live_server: Any, people: People) -> None:
    dan = Stored(people.dan)
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.new_card("Dan")
        held.says("Stored")
        undo, alarm = held.page.get_by_role("button", name="Undo"), held.page.locator("#alarm")
        held.context.set_offline(True)
        held.tap(strokes=3)
        undo.click()
        expect(held.page.locator("label:has(#strokes-3)")).not_to_have_class("kept")
        assert held.waiting() == 0
        held.context.set_offline(False)
        held.page.locator(".whose label", has_text="Dan").click()
        held.tap(strokes=6)
        held.says("Stored")
        dan.write(1, 7, place=2, seen=True)
        held.page.reload()
        held.page.locator(".whose label", has_text="Dan").click()
        expect(held.page.locator("label:has(#strokes-7)")).to_have_class("kept")
        undo.click()
        expect(alarm).to_have_text("Hole 1 was written on another phone too; nothing was taken back.")
        expect(held.page.locator("label:has(#strokes-7)")).to_have_class("kept")
        undo.click()
        expect(alarm).to_have_text("Nothing is left to take back on this phone.")
        assert held.waiting() == 0
    assert dan.values(2) == {1: {"strokes": 7}}


def test_undo_leaves_what_a_person_chose(browser: Browser, live_server: Any, people: People) -> None:
    dan = Stored(people.dan)
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.new_card("Dan")
        held.tap(strokes=5)
        held.says("Stored")
        dan.write(1, 7)
        held.page.reload()
        undo, alarm = held.page.get_by_role("button", name="Undo"), held.page.locator("#alarm")
        seven, five = (held.page.locator(f"label:has(#strokes-{n})") for n in (7, 5))
        held.page.get_by_role("button", name="7").click(timeout=15_000)
        expect(seven).to_have_class("kept")
        held.says("Stored")
        undo.click()
        expect(alarm).to_have_text("Two values stood for hole 1, and one was chosen; nothing was taken back.")
        undo.click()
        expect(alarm).to_have_text("Hole 1 was written on another phone too; nothing was taken back.")
        expect(seven).to_have_class("kept")
        assert dan.values() == {1: {"strokes": 7}}

        # A choice that did not leave yet is taken back, and both values wait again.
        held.go_on()
        held.tap(strokes=5)
        held.says("Stored")
        dan.write(2, 6)
        held.page.reload()
        expect(held.page.get_by_role("button", name="5")).to_be_visible()
        held.context.set_offline(True)
        held.page.get_by_role("button", name="5").click()
        expect(five).to_have_class("kept")
        undo.click()
        expect(held.page.get_by_role("button", name="6")).to_be_visible()
        assert held.waiting() == 0


def test_four_players_by_keyboard_alone(browser: Browser, live_server: Any, people: People) -> None:
    with phone(browser, live_server.url, people.ann, viewport={"width": 1280, "height": 900}) as held:
        held.open()
        held.new_card("Dan", "Eve")
        keyboard = held.page.keyboard
        held.page.locator(f"#whose-{people.ann.pk}").focus()
        keyboard.press("Tab")
        for _ in range(2):
            keyboard.press("Tab")
            if held.page.locator(":focus").get_attribute("name") == "strokes":
                break
        held.page.locator("#strokes-1").focus()
        keyboard.press("Space")
        for n in range(2, 5):
            keyboard.press("ArrowRight")
            expect(held.page.locator(f"label:has(#strokes-{n})")).to_have_class("kept")
        expect(held.page.locator("#strokes-4")).to_be_focused()
        held.page.locator(f"#whose-{people.ann.pk}").focus()
        keyboard.press("ArrowDown")
        expect(held.page.get_by_role("group", name="Strokes of Dan")).to_be_visible()
        held.page.locator("#strokes-6").focus()
        keyboard.press("Space")
        expect(held.page.locator("label:has(#strokes-6)")).to_have_class("kept")
        held.says("Stored")
        held.page.set_viewport_size({"width": 667, "height": 375})
        held.page.evaluate("scrollTo(0, 0)")
        key, bar = (held.page.locator(one).bounding_box() for one in ("label:has(#strokes-10)", ".go .acts"))
        assert key
        assert bar
        assert key["y"] + key["height"] <= bar["y"], "held sideways, the keys are above the bar"
    stored = Stored(people.ann)
    assert [stored.values(place) for place in (1, 2, 3)] == [{1: {"strokes": 4}}, {1: {"strokes": 6}}, {}]


def test_a_card_names_its_group_and_its_place_in_the_day_without_a_signal(
    browser: Browser, live_server: Any, people: People
) -> None:
    stored = Stored(people.ann)
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.context.set_offline(True)
        expect(held.page.get_by_label("Which round of that day")).to_have_count(0)
        held.new_card()
        expect(held.page.locator(".ways")).to_contain_text("Marsh Links, Heron tee, Lapwing Friday Group")
        held.page.get_by_role("link", name="All cards").click()
        expect(held.page.get_by_label("Which round of that day")).to_have_value("2")
        held.page.get_by_label("For", exact=True).select_option("")
        held.new_card()
        expect(held.page.locator(".ways")).not_to_contain_text("Lapwing")
        held.page.reload()
        held.page.get_by_role("link", name="All cards").click()
        expect(held.page.get_by_text("Ann; second round of that day; on this phone only")).to_be_visible()
        expect(held.page.get_by_text("Ann; Lapwing Friday Group; on this phone only")).to_be_visible()
        held.context.set_offline(False)
        expect(held.page.get_by_text("stored,")).to_have_count(2, timeout=15_000)
    opened = {(one["order_in_day"], one["group"]) for one in stored.cards()}
    assert opened == {(1, str(people.group.pk)), (2, None)}


def test_the_second_round_of_a_day_is_sent_first_and_counts_second(
    browser: Browser, live_server: Any, people: People
) -> None:
    stored = Stored(people.ann)
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        for place, gross in (("second", 90), ("first", 108)):
            held.page.goto(f"{live_server.url}/card/")
            held.new_card()
            held.says("Stored")
            stored.fill(strokes=gross // 18)
            held.page.goto(f"{held.page.url.rsplit('/', 1)[0]}/whole")
            held.page.reload()
            expect(held.page.locator("tfoot")).to_contain_text(str(gross))
            if place == "first":
                expect(held.page.get_by_label("Which round of that day")).to_have_value("2")
                held.page.get_by_label("Which round of that day").select_option("First")
                held.context.set_offline(True)
                held.page.reload()
                expect(held.page.get_by_label("Which round of that day")).to_have_value("1")
            held.page.get_by_role("button", name="Send the card").click()
            held.context.set_offline(False)
            expect(held.page.get_by_role("link", name="Your round")).to_be_visible(timeout=15_000)
    rounds = stored.get("rounds/")["results"]
    assert {(one["gross"], one["order_in_day"]) for one in rounds} == {(108, 1), (90, 2)}


def test_a_group_that_was_left_meanwhile_does_not_hold_the_card_back(
    browser: Browser, live_server: Any, people: People
) -> None:
    extra = build.group("Wheatear Evening Group")
    build.membership(extra, people.ann)
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.context.set_offline(True)
        expect(held.page.get_by_label("Dan", exact=True)).to_be_visible()
        held.page.get_by_label("For", exact=True).select_option("Wheatear Evening Group")
        expect(held.page.get_by_label("Dan", exact=True)).to_have_count(0)
        held.new_card()
        held.tap(strokes=5)
        Membership.objects.filter(group=extra).update(left_at=timezone.now())
        held.context.set_offline(False)
        held.page.get_by_role("button", name="Keep it without the group").click(timeout=15_000)
        held.says("Stored")
        assert held.waiting() == 0
    card = Stored(people.ann).card()
    assert (card["group"], card["lines"][0]["holes"][0]["value"]) == (None, {"strokes": 5})


def test_what_was_put_right_elsewhere_is_on_the_phone_with_every_stroke(
    browser: Browser, live_server: Any, people: People
) -> None:
    stored = Stored(people.ann)
    other = build.tee(Tee.objects.get().course, "Bittern")
    with phone(browser, live_server.url, people.ann) as held:
        held.open()
        held.page.get_by_label("Course and tee").select_option("Marsh Links, Heron tee, rated for women")
        held.new_card()
        held.tap(strokes=5)
        held.says("Stored")
        card = stored.card()
        right = {"tee": str(other.pk), "players": [str(people.ann.pk), str(people.dan.pk)]}
        answer = stored.client.patch(
            f"/api/v1/cards/{card['id']}/", right, "application/json", headers={"If-Match": "*"}
        )
        assert answer.status_code == 200, answer.content
        held.page.reload()
        expect(held.page.locator(".ways")).to_contain_text("Marsh Links, Bittern tee")
        expect(held.page.get_by_role("group", name="Whose hole")).to_contain_text("Dan")
        expect(held.page.locator("label:has(#strokes-5)")).to_have_class("kept")
        held.page.get_by_role("link", name="Whole card").first.click()
        held.page.get_by_role("link", name="Put it right").click()
        expect(held.page).to_have_url(f"{live_server.url}/cards/{card['id']}/change/")


def test_every_screen_of_it_is_sound(browser: Browser, live_server: Any, people: People) -> None:
    line = {"stance": "protect", "reason": "Water crosses at 180.", "club": "5 wood", "safe_side": "left"}
    holes = [
        {"number": n, "personal_par": par + 1, "due": 5 * n, "aim": "", "lay_up": "", "rules": [], **line}
        for n, par in enumerate(build.PARS, 1)
    ]
    tee, now = Tee.objects.get(), timezone.now()
    Plan.objects.create(
        player=people.ann, tee=tee, barrier=91, told={"holes": holes}, created_at=now, worked_out_at=now
    )
    with phone(browser, live_server.url, people.ann) as held:
        visitor = Visitor(held.context)
        faults = []
        visitor.go(f"{live_server.url}/card/")
        expect(visitor.page.get_by_role("button", name="Open the card")).to_be_visible()
        faults += faults_of(visitor, dark=True)
        visitor.page.set_viewport_size({"width": 390, "height": 844})
        visitor.page.get_by_label("Dan", exact=True).check()
        visitor.page.get_by_role("button", name="Open the card").click()
        visitor.page.locator("label:has(#strokes-8)").click()
        expect(visitor.page.locator(".told")).to_contain_text("Seventeen holes left, 82 strokes to 90: bogeys and")
        visitor.page.get_by_text("protect, 5 wood, miss left").click()
        expect(visitor.page.get_by_text("Water crosses at 180. Your 5: on in three, two putts; due 5.")).to_be_visible()
        visitor.page.get_by_text("More about this hole").click()
        faults += faults_of(visitor, dark=True)
        visitor.page.set_viewport_size({"width": 390, "height": 844})
        visitor.page.get_by_role("link", name="The reset").click()
        expect(visitor.page.get_by_role("button", name="Done")).to_be_visible()
        faults += faults_of(visitor, dark=True)
        visitor.page.set_viewport_size({"width": 390, "height": 844})
        visitor.page.get_by_role("link", name="Whole card").first.click()
        expect(visitor.page.get_by_role("button", name="Send the card")).to_be_visible()
        faults += faults_of(visitor, dark=True)
        assert not faults, "\n".join(faults)
