"""Whole ways through the service with scripts switched off: forms, links and keys alone."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Browser, Page, expect

from league.models import Account, Membership, Round
from tests import build

PASSWORD = "lapwings over the dyke"
LENGTHS = {3: 160, 4: 360, 5: 490}
BOGEYS = [par + 1 for par in build.PARS]


@pytest.fixture(autouse=True)
def _counts_in_memory(settings: Any) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()


@pytest.fixture
def profiles(browser: Browser) -> Iterator[Any]:
    """Makes fresh browser profiles of a phone without scripts, and closes them."""
    opened = []

    def profile(session: str = "", url: str = "") -> Page:
        context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False, locale="en-GB")
        opened.append(context)
        if session:
            context.add_cookies([{"name": "session", "value": session, "url": url}])
        return context.new_page()

    yield profile
    for context in opened:
        context.close()


def press(page: Page, words: str) -> None:
    page.get_by_role("button", name=words, exact=True).first.click()


def headed(page: Page, words: str) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words)


def tab_to(page: Page, words: str) -> None:
    """By the Tab key alone, as far as the link or button of these words."""
    for _ in range(150):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()") == words:
            return
    raise AssertionError(f"“{words}” is not reached by the Tab key")


def sign_up(page: Page, server: str) -> str:
    """Ivy sets up a group; the link of an invitation."""
    page.goto(f"{server}/sign-up/")
    page.get_by_label("Your name").fill("Ivy")
    page.get_by_label("E-mail address").fill("ivy@example.org")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_label("Name of the group").fill("Teal Tuesday Group")
    press(page, "Set up the group")
    headed(page, "Teal Tuesday Group")
    page.get_by_role("link", name="Make an invitation").click()
    press(page, "Make the link")
    return page.locator(".code").inner_text()


def join(page: Page, link: str) -> None:
    page.goto(link)
    page.get_by_label("Your name").fill("Gus")
    page.get_by_label("E-mail address").fill("gus@example.org")
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Join the group")
    expect(page.get_by_role("status")).to_contain_text("You are in Teal Tuesday Group.")


def enter_a_course(page: Page, server: str) -> None:
    page.goto(f"{server}/courses/new/")
    page.get_by_label("Name of the course").fill("Marsh Links")
    page.locator(".matter form .btn").first.click()
    headed(page, "Marsh Links")
    page.get_by_role("link", name="Enter a tee").click()
    page.get_by_label("Name of the tee").fill("Wigeon")
    page.get_by_label("Course rating").fill("72.0")
    page.get_by_label("Slope rating").fill("128")
    page.get_by_text("Paste the holes instead of typing them").click()
    rows = zip(range(1, 19), build.PARS, build.STROKE_INDEXES, strict=True)
    table = "\n".join(f"{number} {par} {index} {LENGTHS[par]}" for number, par, index in rows)
    page.get_by_label("A table to paste").fill(table)
    press(page, "Fill the rows from the table")
    expect(page.get_by_label("Stroke index of hole 18")).to_have_value("14")
    press(page, "Store the tee")
    headed(page, "Marsh Links, Wigeon")


def post_a_total(page: Page, server: str, days_ago: int, gross: int) -> None:
    page.goto(f"{server}/rounds/new/")
    page.locator("summary").first.click()
    page.get_by_label("Entered").select_option("total")
    press(page, "Take this")
    page.get_by_label("Played on").fill(str(date.today() - timedelta(days=days_ago)))
    page.get_by_label("Gross score", exact=False).first.fill(str(gross))
    press(page, "Store the round")
    headed(page, f"{gross} at Marsh Links")


def post_by_keys(page: Page, server: str) -> None:
    """Eighteen bogeys, 90 strokes, without touching the glass: from the first page to the stored card."""
    page.goto(f"{server}/")
    tab_to(page, "Post a round")
    page.keyboard.press("Enter")
    headed(page, "Post a round")
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "h1":
            break
    for strokes in BOGEYS:
        page.keyboard.type(str(strokes))
        for _ in range(3):
            page.keyboard.press("Tab")
    tab_to(page, "Store the round")
    page.keyboard.press("Enter")
    headed(page, "90 at Marsh Links")


@pytest.mark.django_db(transaction=True)
def test_from_nobody_to_an_index_that_a_mate_attests(live_server: Any, profiles: Any) -> None:
    ivy, gus, server = profiles(), profiles(), live_server.url
    join(gus, sign_up(ivy, server))
    enter_a_course(ivy, server)
    for days_ago, gross in ((2, 100), (1, 95)):
        post_a_total(ivy, server, days_ago, gross)
    ivy.goto(f"{server}/")
    expect(ivy.get_by_text("One more round of eighteen holes, and there is an index.")).to_be_visible()
    post_by_keys(ivy, server)
    # (90 - 72.0) x 113 / 128 = 15.9, the lowest of three, less 2 (Rules 5.1a and 5.2a).
    expect(ivy.get_by_text("The index begins at 13.9.")).to_be_visible()
    card = ivy.url

    ivy.get_by_role("link", name="Correct it").click()
    ivy.get_by_label("Hole 18, strokes", exact=True).fill("5")
    ivy.get_by_label("Why the card changes").fill("A putt was counted twice.")
    press(ivy, "Store the correction")
    headed(ivy, "89 at Marsh Links")
    # (89 - 72.0) x 113 / 128 = 15.0, less 2.
    ivy.goto(f"{server}/")
    expect(ivy.get_by_role("link", name="Why it is 13.0")).to_be_visible()

    gus.goto(f"{server}/")
    gus.get_by_role("navigation", name="Short").get_by_role("link", name="Group").click()
    gus.get_by_role("link", name="Ivy").first.click()
    headed(gus, "Ivy: index 13.0")
    gus.get_by_role("region", name="The scores that count as a table").get_by_role("link").first.click()
    assert gus.url == card
    expect(gus.get_by_role("region", name="The card as a table")).to_have_count(0)
    press(gus, "Attest it")
    expect(gus.get_by_role("status")).to_contain_text("Attested.")
    ivy.goto(card)
    expect(ivy.get_by_text("Attested by Gus")).to_be_visible()

    ivy.get_by_role("link", name="Withdraw it").click()
    press(ivy, "Withdraw the round")
    expect(ivy.get_by_label("Why")).to_have_attribute("aria-invalid", "true")
    ivy.get_by_label("Why").fill("It was a practice round.")
    press(ivy, "Withdraw the round")
    expect(ivy.get_by_role("status")).to_contain_text("Withdrawn.")
    ivy.goto(f"{server}/")
    expect(ivy.get_by_text("One more round of eighteen holes, and there is an index.")).to_be_visible()


HEADINGS = "played_on,course,tee,gross\n"
BAD = HEADINGS + "2026-04-31,Marsh Links,Heron,90\n2026-04-03,Nowhere,Heron,90\n"
ASKED = HEADINGS + "".join(f"0{day}/04/2026,Marsh Links,Heron,9{day}\n" for day in (3, 4, 5))


@pytest.mark.django_db(transaction=True)
def test_past_rounds_come_in_and_go_again(live_server: Any, profiles: Any) -> None:
    people = build.people()
    build.tee(build.course(people.group))
    page = profiles(build.signed_in(people.ann).cookies["session"].value, live_server.url)
    page.goto(f"{live_server.url}/imports/")
    page.get_by_label("File", exact=True).set_input_files(
        {"name": "bad.csv", "mimeType": "text/csv", "buffer": BAD.encode()}
    )
    press(page, "Read it")
    expect(page.get_by_role("alert")).to_contain_text("Two things need a look")
    expect(page.get_by_role("row").filter(has_text="played_on").first).to_be_visible()
    expect(page.get_by_text("There is no course “Nowhere” here.")).to_be_visible()

    page.get_by_label("Or paste the rows here").fill(ASKED)
    press(page, "Read it")
    expect(page.get_by_role("alert")).to_contain_text("One question first")
    page.get_by_label("the day first").check()
    press(page, "Read it again")
    expect(page.get_by_text("3 new rounds")).to_be_visible()
    assert not Round.objects.exists()
    press(page, "Take the 3 rounds")
    expect(page.get_by_role("status")).to_contain_text("The rounds are stored.")
    assert sorted(Round.objects.values_list("played_on", flat=True)) == [date(2026, 4, day) for day in (3, 4, 5)]
    page.get_by_role("link", name="Undo it").click()
    press(page, "Withdraw the rounds")
    expect(page.get_by_role("status")).to_contain_text("The rounds are withdrawn.")
    page.goto(f"{live_server.url}/rounds/")
    expect(page.get_by_text("No round stored yet.")).to_be_visible()


@pytest.mark.django_db(transaction=True)
def test_tokens_sign_ins_the_archive_and_second_thoughts(live_server: Any, profiles: Any) -> None:
    people, server = build.people(), live_server.url
    here, there = profiles(), profiles()
    assert people.ann.account is not None
    for page in (there, here):
        page.goto(f"{server}/sign-in/")
        page.get_by_label("E-mail address").fill(people.ann.account.email)
        page.get_by_label("Password").fill(build.PASSWORD)
        press(page, "Sign in")
        headed(page, "Your next round")
    here.goto(f"{server}/settings/")
    here.get_by_role("link", name="Make a token").click()
    here.get_by_label("What it is for").fill("spreadsheet")
    here.get_by_label("Your password").fill(build.PASSWORD)
    press(here, "Make the token")
    value = here.locator(".code").inner_text()
    told = here.request.get(f"{server}/api/v1/me/", headers={"Authorization": f"Bearer {value}", "Cookie": ""})
    assert told.json()["email"] == people.ann.account.email
    here.reload()
    expect(here.locator(".code")).to_have_count(0)

    here.goto(f"{server}/settings/")
    others = here.get_by_role("listitem").filter(has_text="last seen")
    expect(others).to_have_count(1)
    others.get_by_role("button").click()
    there.goto(f"{server}/")
    headed(there, "Sign in")
    headed(here, "Settings")

    here.get_by_role("link", name="Take it").click()
    here.get_by_label("Your password").fill(build.PASSWORD)
    with here.expect_download() as taken:
        press(here, "Take it")
    assert taken.value.suggested_filename.endswith(".zip")

    here.goto(f"{server}/settings/erase/")
    here.get_by_label("Your password").fill(build.PASSWORD)
    press(here, "Erase me")
    headed(here, "Sign in")
    here.get_by_label("E-mail address").fill(people.ann.account.email)
    here.get_by_label("Password").fill(build.PASSWORD)
    press(here, "Sign in")
    here.goto(f"{server}/settings/")
    press(here, "Keep it after all")
    assert Account.objects.get(pk=people.ann.account_id).erase_due_at is None
    assert Membership.objects.filter(player=people.ann, left_at=None).exists()
