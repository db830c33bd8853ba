"""The sheet that every page stands on: its parts, its error pages without a database, its filters and its colours."""

import re
from datetime import date
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest
from django import forms
from django.template import Context, Template
from django.template.loader import render_to_string

import league
from league.charts import Step, StripRow, group_strip, staircase
from league.templatetags import league_sheet

PLACE = Path(league.__file__).parent
TEMPLATES = sorted((PLACE / "templates").rglob("*.html"))
SHEET = (PLACE / "static/league/sheet.css").read_text(encoding="utf-8")
HOSTILE = '"><svg onload=alert(1)>'
ERRORS = ("400", "403", "403_csrf", "404", "409", "413", "429", "500", "503")


class Page(HTMLParser):
    """Every element with its attributes, and the ids."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.feed(markup)
        self.ids = {attributes["id"] for _, attributes in self.elements if "id" in attributes}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]


class CardForm(forms.Form):
    gross = forms.IntegerField(min_value=18, help_text="Penalties included.")
    played = forms.ChoiceField(choices=[("18", "eighteen"), ("9", "nine")], widget=forms.RadioSelect)
    note = forms.CharField(required=False, max_length=5)
    mail = forms.BooleanField(label=HOSTILE)


def part(name: str, **context: object) -> str:
    return render_to_string(f"league/parts/{name}.html", context)


@pytest.fixture
def returned() -> CardForm:
    form = CardForm({"gross": "7", "note": HOSTILE})
    assert len(form.errors) == 4
    return form


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: str(path.relative_to(PLACE / "templates")))
def test_no_template_carries_style_or_script(template: Path) -> None:
    text = template.read_text(encoding="utf-8")
    assert not re.search(r"<style|<script(?![^>]* src=)|\sstyle=|\son[a-z]+=|javascript:", text)


def test_every_field_names_its_hint_and_its_errors(returned: CardForm) -> None:
    markup = "".join(part("field", field=field) for field in returned)
    page = Page(markup)
    marked = [attributes for _, attributes in page.elements if "aria-describedby" in attributes]
    named = [name for attributes in marked for name in attributes["aria-describedby"].split()]
    assert {"id_gross_helptext", "id_gross_error", "id_played_error", "id_note_error", "id_mail_error"} == set(named)
    assert set(named) <= page.ids
    invalid = [attributes["name"] for attributes in page.all("input") if attributes.get("aria-invalid") == "true"]
    assert set(invalid) == {"gross", "played", "note", "mail"}
    fields = {attributes["id"] for attributes in page.all("input")}
    assert {attributes["for"] for attributes in page.all("label")} == fields
    assert "<svg" not in markup


def test_a_clean_field_says_nothing_of_errors() -> None:
    markup = part("field", field=CardForm()["note"])
    assert "aria-invalid" not in markup
    assert "optional" in markup
    assert "optional" not in part("field", field=CardForm()["gross"])


def test_the_summary_leads_to_every_field(returned: CardForm) -> None:
    summary = part("form_errors", form=returned)
    fields = Page("".join(part("field", field=field) for field in returned))
    targets = [attributes["href"].removeprefix("#") for attributes in Page(summary).all("a")]
    assert len(targets) == 4
    assert set(targets) <= fields.ids
    assert "Four things need a look" in summary
    assert "<svg" not in summary
    assert part("form_errors", form=CardForm()).strip() == ""


def test_a_picture_comes_with_its_sentence_and_its_table() -> None:
    picture = staircase([Step(1, date(2025, 6, 14), 208, "#r1"), Step(2, date(2025, 6, 28), 204, "#r2")])
    markup = part("picture", picture=picture)
    assert picture.svg in markup
    assert picture.reading in markup
    page = Page(markup)
    assert len(page.all("details")) == 1
    assert len(page.all("tr")) == 3
    assert [attributes["href"] for attributes in page.all("a")] == ["#r1", "#r2", "#r1", "#r2"]
    elsewhere = Page(part("picture", picture=picture, numbers_at="#every-revision"))
    assert not elsewhere.all("table")
    assert elsewhere.all("a")[-1]["href"] == "#every-revision"


def test_a_name_in_a_picture_stays_text_on_the_page() -> None:
    picture = group_strip([StripRow(HOSTILE, (91, 92, 90), 95), StripRow("ben", (99, 98, 97), 95)])
    page = Page(part("picture", picture=picture))
    assert len(page.all("svg")) == 1
    assert not any(name.startswith("on") for _, attributes in page.elements for name in attributes)


def test_leaders_show_an_en_dash_for_nothing_and_a_zero_for_zero() -> None:
    markup = part("leaders", lines=[{"term": "Low", "value": None}, {"term": "Putts", "value": 0, "is_sum": True}])
    assert "<dd>\u2013</dd>" in markup
    assert '<div class="sum"><dt>Putts</dt><dd>0</dd>' in markup


def test_confirming_posts_and_can_be_left() -> None:
    hidden = [{"name": "v", "value": HOSTILE}]
    markup = part("confirm", question="Withdraw it?", act="Withdraw", back_url="/back/", hidden=hidden)
    page = Page(markup)
    assert [attributes["method"] for attributes in page.all("form")] == ["post"]
    assert {"name": "v", "type": "hidden", "value": HOSTILE} in page.all("input")
    assert "/back/" in [attributes["href"] for attributes in page.all("a")]


def test_the_pager_is_silent_when_all_is_shown() -> None:
    assert part("pager", pager={}).strip() == ""
    assert [a["href"] for a in Page(part("pager", pager={"older_url": "?c=2"})).all("a")] == ["?c=2"]


def test_the_base_page_has_its_landmarks_and_one_contents_a_width() -> None:
    entry = {"label": "Ledger", "url": "/ledger/", "fact": "21 revisions", "current": True}
    sheet = {"group_name": HOSTILE, "group_url": "/g/", "player_name": HOSTILE, "player_url": "/s/", "theme": "dark",
             "contents": [entry], "short": [entry]}  # fmt: skip
    page = Page(render_to_string("league/base.html", {"sheet": sheet}))
    assert page.all("html") == [{"lang": "en-GB", "data-theme": "dark"}]
    assert [len(page.all(tag)) for tag in ("header", "main", "footer", "h1", "svg")] == [1, 1, 1, 1, 0]
    assert [a["href"] for a in page.all("a") if a.get("aria-current") == "page"] == ["/ledger/"] * 3
    assert page.all("a")[0]["href"].removeprefix("#") in page.ids
    assert re.search(r"\.head \.index\{display:none\}", SHEET)
    assert re.search(r"min-width:60rem.*\.head \.index\{display:block.*\.contents \.index\{display:none\}", SHEET, re.S)


@pytest.mark.parametrize("name", ERRORS)
def test_error_pages_need_neither_database_nor_request(name: str) -> None:
    page = Page(render_to_string(f"{name}.html"))
    assert [len(page.all(tag)) for tag in ("html", "main", "h1")] == [1, 1, 1]
    assert [a["href"] for a in page.all("a") if a.get("class") == "btn"] == ["/"]


@pytest.mark.parametrize("name", ["500", "503"])
def test_pages_of_last_resort_load_nothing(name: str) -> None:
    text = (PLACE / f"templates/{name}.html").read_text(encoding="utf-8")
    assert set(re.findall(r"{% *(\w+)", text)) == {"if", "endif"}
    assert set(re.findall(r"{{ *(\w+)", text)) == {"request_id"}
    assert "quote <b>3f9c</b>" in render_to_string(f"{name}.html", {"request_id": "3f9c"})


@pytest.mark.parametrize(
    ("shown", "value", "words"),
    [
        ("index", 24, "2.4"), ("index", -24, "+2.4"), ("index", 0, "0.0"), ("index", None, "\u2013"),
        ("tenths", 169, "16.9"), ("tenths", -4, "\u22120.4"), ("tenths", 1000, "100.0"),
        ("step", -4, "down 0.4"), ("step", 2, "up 0.2"), ("step", 0, "no change"), ("step", None, "\u2013"),
        ("handicap", 17, "17"), ("handicap", -2, "+2"), ("handicap", 0, "0"), ("handicap", None, "\u2013"),
        ("signed", 3, "+3"), ("signed", -1, "\u22121"), ("signed", 0, "0"),
        ("long_day", date(2026, 9, 12), "Saturday 12 September 2026"), ("short_day", date(2026, 9, 12), "12 Sep"),
        ("day", date(2026, 9, 2), "2 Sep 2026"), ("day", None, "\u2013"),
        ("in_words", 12, "twelve"), ("in_words", 13, "13"), ("or_dash", "", "\u2013"), ("or_dash", 0, "0"),
        ("name", HOSTILE, "<bdi>&quot;&gt;&lt;svg onload=alert(1)&gt;</bdi>"),
    ],
)  # fmt: skip
def test_filters(shown: str, value: object, words: str) -> None:
    assert Template(f"{{% load league_sheet %}}{{{{ value|{shown} }}}}").render(Context({"value": value})) == words


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, definition of terms."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def colours(selector: str) -> dict[str, str]:
    block = re.search(re.escape(selector) + r"\{(.*?)\}", SHEET, re.S)
    assert block
    return dict(re.findall(r"--([\w-]+):(#[0-9a-f]{6})", block.group(1)))


def test_contrast_is_computed_right() -> None:
    # WCAG 2.2, 1.4.3: black on white is 21:1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("selector", ["\n:root", ":root:not([data-theme=light])", ":root[data-theme=dark]"])
def test_text_and_marks_have_contrast_on_every_ground(selector: str) -> None:
    plates = colours(selector)
    grounds = [plates[ground] for ground in ("paper", "buff", "shallow")]
    for ink in ("ink", "ink-2", "accent", "warn"):
        assert min(contrast(plates[ink], ground) for ground in grounds) >= 4.5, ink
    assert min(contrast(plates["edge"], ground) for ground in grounds) >= 3
    assert contrast(plates["on-ink"], plates["ink"]) >= 4.5
    assert contrast(plates["paper"], plates["warn"]) >= 4.5


def test_both_ways_to_the_dark_are_the_same_dark() -> None:
    assert colours(":root:not([data-theme=light])") == colours(":root[data-theme=dark]")


def test_the_sheet_is_balanced_and_fetches_nothing() -> None:
    assert SHEET.count("{") == SHEET.count("}")
    assert not re.search(r"url\(|@import|@font-face", SHEET)
    assert all(before != after for before, after in pairwise(SHEET.splitlines()) if before.strip(" }"))


def test_a_minus_before_a_figure_is_printed_as_one():
    said = league_sheet.figures("each change by -2.0: -3.1, 10.1; 2026-05-01 and well-made stay")
    assert said == "each change by −2.0: −3.1, 10.1; 2026-05-01 and well-made stay"
