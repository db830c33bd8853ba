"""A tee is entered from a pasted table, on a phone and on a wide sheet, and every page on the way is sound."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from league.models import Tee
from tests import build

STICKS_OUT = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
LENGTHS = {3: 160, 4: 360, 5: 490}
KEYS = """() => [...document.querySelectorAll('.holes input')].every(field => field.inputMode === 'numeric')"""


def is_sound(page: Page) -> None:
    page.wait_for_load_state("load")
    assert page.evaluate(STICKS_OUT) == 0
    found = Axe().run(page).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [390, 1280])
def test_a_table_fills_the_rows_a_doubt_is_asked_and_the_tee_is_stored(
    browser: Browser, live_server: Any, settings: Any, width: int
) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()
    people = build.people()
    course = build.course(people.group)
    session = build.signed_in(people.ben).cookies["session"].value
    # Axe brings its own script, which the pages' policy would rightly stop.
    context = browser.new_context(viewport={"width": width, "height": 850}, locale="en-GB", bypass_csp=True)
    context.add_cookies([{"name": "session", "value": session, "url": live_server.url}])
    page = context.new_page()

    page.goto(live_server.url + reverse("tee_new", args=[course.pk]))
    is_sound(page)
    assert page.evaluate(KEYS)
    page.get_by_label("Name of the tee").fill("Wigeon")
    page.get_by_label("Course rating").fill("720")
    page.get_by_label("Slope rating").fill("128")
    page.get_by_text("Paste the holes instead of typing them").click()
    rows = zip(range(1, 19), build.PARS, build.STROKE_INDEXES, strict=True)
    table = "\n".join(f"{number} {par} {index} {LENGTHS[par]}" for number, par, index in rows)
    page.get_by_label("A table to paste").fill(table)
    page.get_by_role("button", name="Fill the rows from the table").click()
    expect(page.get_by_label("Stroke index of hole 18")).to_have_value("14")
    is_sound(page)
    assert not Tee.objects.exists()

    page.get_by_role("button", name="Store the tee").first.click()
    expect(page.get_by_text("Did you mean 72.0?")).to_be_visible()
    is_sound(page)
    page.get_by_label("Course rating").fill("72.0")
    page.get_by_label("Stroke index of hole 13").fill("3")
    page.get_by_role("button", name="Store the tee").first.click()
    expect(page.get_by_label("Stroke index of hole 13")).to_have_attribute("aria-invalid", "true")
    is_sound(page)
    page.get_by_label("Stroke index of hole 13").fill("12")
    page.get_by_role("button", name="Store the tee").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Marsh Links, Wigeon")
    is_sound(page)
    page.goto(live_server.url + reverse("course", args=[course.pk]))
    is_sound(page)
    context.close()
    assert Tee.objects.get().as_printed().length == 6200
