"""A hole is described, drawn, corrected and restored, on a phone and wide; every page on the way is sound."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from league.models import HoleDescription
from tests import build

STICKS_OUT = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def is_sound(page: Page) -> None:
    page.wait_for_load_state("load")
    assert page.evaluate(STICKS_OUT) == 0
    found = Axe().run(page).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []


def fill_trouble(page: Page, number: int, **entries: str) -> None:
    for name, value in entries.items():
        label = f"Trouble {number}: {name.replace('_', ' ').capitalize()}"
        if name in ("what_it_is", "side", "counted_from"):
            page.get_by_label(label, exact=True).select_option(value)
        else:
            page.get_by_label(label, exact=True).fill(value)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(("width", "has_script"), [(390, False), (1280, True)])
def test_a_hole_is_described_beside_its_strip_corrected_and_restored(
    browser: Browser, live_server: Any, settings: Any, width: int, has_script: bool
) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()
    people = build.people()
    course = build.course(people.group)
    build.tee(course)
    session = build.signed_in(people.ben).cookies["session"].value
    # Axe brings its own script, which the pages' policy would rightly stop.
    context = browser.new_context(
        viewport={"width": width, "height": 850}, locale="en-GB", bypass_csp=True, java_script_enabled=has_script
    )
    context.add_cookies([{"name": "session", "value": session, "url": live_server.url}])
    page = context.new_page()

    def look() -> None:
        if has_script:
            is_sound(page)

    page.goto(live_server.url + reverse("course", args=[course.pk]))
    page.get_by_text("Hole by hole").click()
    look()
    page.get_by_role("link", name="7", exact=True).click()
    look()
    page.get_by_role("link", name="Describe it").click()
    look()
    fill_trouble(page, 1, what_it_is="penalty_area", side="right", **{"from": "180", "to": "140"}, off_the_line="25")
    page.get_by_role("button", name="Draw it, with room for more").click()
    expect(page.get_by_label("Trouble 1: To", exact=True)).to_have_attribute("aria-invalid", "true")
    look()
    page.get_by_label("Trouble 1: To", exact=True).fill("240")
    page.get_by_role("button", name="Draw it, with room for more").click()
    expect(page.get_by_text("Drawn. Nothing is stored yet.")).to_be_visible()
    expect(page.locator("svg.hole-strip")).to_have_accessible_name(
        "315 yards: a penalty area on the right from 180 to 240, 25 off the line."
    )
    look()
    assert not HoleDescription.objects.exists()
    page.get_by_role("button", name="Store hole 7").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Hole 7")
    look()

    page.get_by_role("link", name="Correct it").click()
    page.get_by_label("Name of the hole").fill("Sluice")
    page.get_by_label("Why it changes").fill("It has a name.")
    page.get_by_role("button", name="Store hole 7").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Hole 7, Sluice")
    expect(page.get_by_text("It has a name.")).to_be_visible()
    page.get_by_role("link", name="Version 1").click()
    look()
    page.get_by_role("button", name="Let version 1 stand again").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Hole 7")
    expect(page.get_by_text("Version 1 once more.")).to_be_visible()
    context.close()
    assert list(HoleDescription.objects.values_list("version", "is_current")) == [(1, False), (2, False), (3, True)]
