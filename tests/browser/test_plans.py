"""The sheet for the pocket is one page of A5, light or dark, with all eighteen holes at their longest."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import Browser

from league.models import Plan
from tests.browser.soundness import visitor
from tests.browser.test_every_page import PLAYER, cookie, player_of

LONG = "Two separate penalty areas and a forced carry near the usual one; leave the driver in the bag all day. "
A5 = (420, 595)
"""Points."""


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_sheet_is_one_page_of_a5(browser: Browser, demo: str, theme: str) -> None:
    plan = Plan.objects.filter(player=player_of(PLAYER)).latest("created_at")
    for hole in plan.told["holes"]:
        hole |= {"reason": LONG * 2, "stance": "measured", "club": "fairway wood number five", "safe_side": "short"}
    plan.save()
    with visitor(browser, demo, cookie(PLAYER)) as reader:
        page = reader.go(demo + reverse("plan_sheet", args=[plan.pk]))
        page.emulate_media(color_scheme=theme)
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        paper = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", paper)) == 1
    box = re.search(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)", paper)
    assert box is not None
    assert [round(float(side) / 5) for side in box.groups()] == [round(side / 5) for side in A5]
