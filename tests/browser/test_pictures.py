"""Pictures in a browser: every tread can be pressed, nothing sticks out of a phone, lettering is apart."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from django.template.loader import render_to_string
from playwright.sync_api import Page

import league
from league.charts import (
    CarryRow,
    Picture,
    PlayedHole,
    Step,
    Stretch,
    StripRow,
    carry_ranges,
    group_strip,
    hole_strip,
    pace_line,
    split_hour,
    staircase,
)
from tests.charts.drawn import demo_holes

STATIC = Path(league.__file__).parent / "static/league"
SHEET = "".join((STATIC / name).read_text(encoding="utf-8") for name in ("sheet.css", "carries.css", "hole.css"))
PRESSED = """() => [...document.querySelectorAll('.stair a')].map(link => {
  const box = link.querySelector('rect').getBoundingClientRect();
  const hit = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 3);
  return hit && hit.closest('a') && hit.closest('a').getAttribute('href');
})"""
MEETING = """() => {
  const texts = [...document.querySelectorAll('.pic > svg text')].filter(text => text.getClientRects().length);
  const boxes = texts.map(text => [text.textContent, text.getBoundingClientRect()]);
  return boxes.flatMap(([one, a], at) => boxes.slice(at + 1).filter(([, b]) =>
    a.left < b.right - 1 && b.left < a.right - 1 && a.top + 3 < b.bottom - 3 && b.top + 3 < a.bottom - 3
  ).map(([other]) => one + ' / ' + other));
}"""


OUTSIDE = """() => [...document.querySelectorAll('.pic > svg')].flatMap(svg => {
  const own = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(text => {
    const box = text.getBoundingClientRect();
    return box.left < own.left || box.right > own.right || box.top < own.top || box.bottom > own.bottom;
  }).map(text => text.textContent);
})"""


def shown(page: Page, width: int, *pictures: Picture) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    part = "".join(render_to_string("league/parts/picture.html", {"picture": picture}) for picture in pictures)
    row = f'<div class="sheet"><section class="row"><h2>One</h2><div class="matter">{part}</div></section></div>'
    page.set_content(f"<!doctype html><meta charset=utf-8><style>{SHEET}</style><body>{row}")


def season() -> Picture:
    first = date(2025, 6, 14)
    return staircase([Step(n, first + timedelta(days=9 * n), 210 - 3 * n % 40, f"#r{n}") for n in range(1, 22)])


def bad_day() -> Picture:
    strokes = (7, 9, 4, 8, 7, 9, 8, 5, 5, 7, 4, 8, 9, 4, 10, 6, 6, 5)
    return pace_line([PlayedHole(n, 4, 1, 5, made, n in (1, 2, 5, 12)) for n, made in enumerate(strokes, 1)])


def group() -> Picture:
    names = ("Ann", "Ben of the Very Long Family Name", "Dan")
    return group_strip([StripRow(name, (91 + at, 95, 99, 92 + at), 90 + at) for at, name in enumerate(names)])


def bag() -> Picture:
    """Fourteen clubs, near and far, one with a long name."""
    names = ("driver", *(f"{number} iron" for number in range(2, 13)), "The Old Spoon of my Grandmother", "lob wedge")
    rows = [
        CarryRow(name, carry, 0.85 * carry, 1.15 * carry, at % 2 == 0, at, today=0.93 * carry)
        for at, name in enumerate(names)
        for carry in [230 - 14 * at]
    ]
    return carry_ranges(rows, "yards")


def hour() -> Picture:
    """The longest time there is, with its last part short."""
    return split_hour([Stretch("first putts from far", 130), Stretch("ways out of trouble", 50)])


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_every_tread_can_be_pressed(page: Page, width: int) -> None:
    shown(page, width, season())
    assert page.evaluate(PRESSED) == [f"#r{n}" for n in range(1, 22)]


@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize(
    "picture",
    [season(), bad_day(), group(), bag(), hour()],
    ids=["staircase", "pace line", "group strip", "clubs", "hour"],
)
def test_it_fits_and_its_lettering_is_apart(page: Page, picture: Picture, width: int) -> None:
    shown(page, width, picture)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(MEETING) == []


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_the_lettering_of_every_demo_hole_is_apart_and_on_the_page(page: Page, width: int) -> None:
    shown(page, width, *(hole_strip(one.hole, length, one.length_unit) for _, one, length in demo_holes()))
    assert page.locator(".hole-strip").count() == 45
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(MEETING) == []
    assert page.evaluate(OUTSIDE) == []


def test_the_safe_side_and_the_ground_are_printed(page: Page) -> None:
    hole = next(one.hole for _, one, _ in demo_holes() if one.hole.safe_side and one.hole.rise_to_green)
    shown(page, 700, hole_strip(hole, 360, "yards"))
    page.emulate_media(media="print")
    for kind in ("said", "ground", "play"):
        assert page.locator(f".hole-strip .{kind}").first.evaluate("one => one.getClientRects().length") == 1
