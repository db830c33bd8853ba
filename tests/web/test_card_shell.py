"""The card's page on a phone: how much has to come before it can be used, what is kept, and its icons."""

import gzip
import re
import runpy
import struct
import zlib
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client

from league.config.static import without_comments
from tests import build
from tests.house.documents import ROOT

LIGHT = 30_000
"""Bytes, compressed: page, sheets and scripts of a first visit."""
CARD = ROOT / "league" / "static" / "league" / "card"
IMPORTED = re.compile(r'^import .*? from "\./([a-z_]+\.js)";$', re.MULTILINE)
ASKED_FOR = re.compile(r'import\("\./([a-z_]+\.js)"\)')
DRAWS = runpy.run_path(str(ROOT / ".ci" / "draw_icons.py"))


def imported(name: str) -> set[str]:
    """The module and all it cannot do without."""
    return {name}.union(*(imported(other) for other in IMPORTED.findall((CARD / name).read_text(encoding="utf-8"))))


def weight(*files: Path) -> int:
    """Bytes as they are served."""
    texts = (without_comments(file.read_text(encoding="utf-8")) for file in files)
    return sum(len(gzip.compress(text.encode(), 6)) for text in texts)


@pytest.mark.django_db
def test_a_first_visit_is_light_and_nothing_is_left_out() -> None:
    client = build.signed_in(build.player("Ann"))
    page = client.get("/card/").content
    first = imported("main.js")
    sheets = re.findall(r'href="/static/(league/[a-z/]+\.css)"', page.decode())
    assert len(sheets) == 2
    files = [*(CARD / name for name in first), *(ROOT / "league" / "static" / sheet for sheet in sheets)]
    assert len(gzip.compress(page, 6)) + weight(*files) < LIGHT
    later = set().union(*(imported(name) for name in ASKED_FOR.findall((CARD / "main.js").read_text("utf-8"))))
    kept = client.get("/card/worker/").content.decode()
    assert {file.name for file in CARD.glob("*.js")} - {"leave.js", "worker.js"} == first | later
    assert all(f"/static/league/card/{name}" in kept for name in first | later)


def test_no_text_of_a_script_goes_over_a_line_that_only_looks_like_a_comment() -> None:
    for file in (ROOT / "league" / "static").rglob("*.js"):
        assert all(line.count("`") % 2 == 0 for line in file.read_text(encoding="utf-8").split("\n")), file


def pixels_of(png: bytes) -> list[list[tuple[int, ...]]]:
    """A picture with a palette of a byte each and no filters, as ours are written."""
    parts, at = {}, 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        parts[png[at + 4 : at + 8]] = png[at + 8 : at + 8 + length]
        at += length + 12
    width, height = struct.unpack(">II", parts[b"IHDR"][:8])
    colours = [tuple(parts[b"PLTE"][n : n + 3]) for n in range(0, len(parts[b"PLTE"]), 3)]
    raw = zlib.decompress(parts[b"IDAT"])
    lines = [raw[y * (width + 1) : (y + 1) * (width + 1)] for y in range(height)]
    return [[colours[number] for number in line[1:]] for line in lines if line[0] == 0]


@pytest.mark.parametrize("size", DRAWS["SIZES"])
def test_an_icon_is_what_is_drawn_from_the_shapes(size: int) -> None:
    png = (DRAWS["STATIC"] / f"icon-{size}.png").read_bytes()
    assert len(png) < 1500
    assert pixels_of(png) == DRAWS["pixels"](size)


def test_a_phone_is_told_of_each(client: Client) -> None:
    icons = client.get("/card/manifest/").json()["icons"]
    told = {icon["sizes"]: icon["src"] for icon in icons if icon["type"] == "image/png"}
    assert set(told) == {"192x192", "512x512"}
    assert all(finders.find(src.removeprefix("/static/")) for src in told.values())


@pytest.mark.django_db
def test_the_card_names_the_one_for_a_home_screen() -> None:
    page = build.signed_in(build.player("Ann")).get("/card/").content.decode()
    found = re.search(r'<link rel="apple-touch-icon" href="/static/(league/icon-180.png)">', page)
    assert found
    assert finders.find(found[1])
