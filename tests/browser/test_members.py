"""From nobody to a group of two in a browser, by forms alone; every page on the way is sound on a phone and wide."""

import re
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from league.models import Group
from tests import build

PASSWORD = "lapwings over the dyke"
SIZES = {"phone": (390, 800), "wide": (1280, 900)}


@pytest.fixture(autouse=True)
def _counts_in_memory(settings: Any) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}


def opened(browser: Browser, size: str, **options: Any) -> Page:
    """A fresh profile. Axe brings its own script, which the pages' policy would rightly stop."""
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height}, locale="en-GB", bypass_csp=True, **options
    )
    return context.new_page()


def is_sound(page: Page) -> None:
    page.wait_for_load_state("load")
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0, page.url
    found = Axe().run(page).response["violations"]
    assert [(page.url, one["id"], one["nodes"][0]["html"]) for one in found] == []


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("size", SIZES)
def test_a_group_is_set_up_and_somebody_joins_without_script(browser: Browser, live_server: Any, size: str) -> None:
    ivy = opened(browser, size, java_script_enabled=False)
    ivy.goto(f"{live_server.url}/sign-up/")
    ivy.get_by_role("button", name="Set up the group").click()
    expect(ivy.get_by_role("alert")).to_contain_text("Four things need a look")
    ivy.get_by_label("Your name").fill("Ivy")
    ivy.get_by_label("E-mail address").fill("ivy@example.org")
    ivy.get_by_label("Password").fill(PASSWORD)
    ivy.get_by_label("Name of the group").fill("Teal Tuesday Group")
    ivy.get_by_role("button", name="Set up the group").click()
    expect(ivy.get_by_role("heading", name="Teal Tuesday Group")).to_be_visible()
    ivy.get_by_role("link", name="Make an invitation").click()
    ivy.get_by_role("button", name="Make the link").click()
    link = ivy.locator(".code").inner_text()
    expect(ivy.locator(".square-frame svg")).to_be_visible()

    gus = opened(browser, size, java_script_enabled=False)
    gus.goto(link)
    expect(gus.get_by_role("heading", name="Ivy asks you in")).to_be_visible()
    gus.get_by_label("Your name").fill("Gus")
    gus.get_by_label("E-mail address").fill("gus@example.org")
    gus.get_by_label("Password").fill(PASSWORD)
    gus.get_by_role("button", name="Join the group").click()
    expect(gus.get_by_role("status")).to_contain_text("You are in Teal Tuesday Group.")
    assert Group.objects.get().memberships.count() == 2
    gus.goto(f"{live_server.url}/settings/")
    gus.get_by_role("button", name="Sign out").click()
    expect(gus.get_by_role("status")).to_contain_text("You are signed out.")
    gus.goto(link)
    expect(gus.get_by_role("heading", name="Nothing here, or not for you")).to_be_visible()
    ivy.context.close()
    gus.context.close()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("size", SIZES)
def test_an_invitation_is_sound_from_the_form_to_the_link(browser: Browser, live_server: Any, size: str) -> None:
    people = build.people()
    page = opened(browser, size)
    session = build.signed_in(people.ben).cookies["session"].value
    page.context.add_cookies([{"name": "session", "value": session, "url": live_server.url}])
    page.goto(f"{live_server.url}/group/{people.group.pk}/invitations/new/")
    page.get_by_label("How many people").fill("61")
    page.get_by_role("button", name="Make the link").click()
    is_sound(page)
    page.get_by_label("How many people").fill("6")
    page.get_by_role("button", name="Make the link").click()
    link = page.locator(".code").inner_text()
    assert re.fullmatch(r"http://localhost:\d+/join/[\w-]{43}/", link)
    is_sound(page)
    page.context.clear_cookies()
    page.goto(link)
    is_sound(page)
    page.context.close()
