"""Every field of every form with entries that must be refused: the page comes back, and nothing is stored."""

import re
from collections import defaultdict
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from tests import build
from tests.access.asking import address_of, ask, typed
from tests.access.pages import faults_of
from tests.access.test_bad_json import stored
from tests.access.test_cells import LINES, Line, Written
from tests.access.world import World, taken_back

pytestmark = [pytest.mark.django_db, pytest.mark.one_database(on="postgresql")]

ENTRIES = ["a\x00b", "\u200b", "x" * 10_001, "nonsense", "-1", "١٢٣456789", "1e309"]
WORDS = ["a\u202eb", "a\x07b", "' OR 1=1", "=1+1"]
"""For fields of text besides; for a number, a day or a choice these are the nonsense that is tried already."""
TEXT = {"name", "group_name", "label", "reason", "place", "note", "marker_name", "playing_conditions_from", "password",
        "new_password", "email", "from_rough", "from_bare", "ball_above", "ball_below", "goal",
        "sentence", "keep"}  # fmt: skip
"""Fields that any visible text may fill. Every other must refuse every entry above."""
PLAIN = {"nonsense", "-1", "١٢٣456789", "1e309", "' OR 1=1", "=1+1"}
FREE = {"to_all", "key", "confirmed", "hides_lines", "is_under_18", "on_paper", "whose", "is_hidden", "is_carried"}
"""Boxes that are ticked by any value, and the key, which then does not count."""
MORE = {
    "round_new": (
        "note",
        "marker_name",
        "marker",
        "order_in_day",
        "playing_conditions",
        "holes",
        "by",
        "putts1",
        "h18",
    ),
    "round_correct": ("note", "marker", "reason", "version"),
    "invitation_new": ("label", "uses", "days"),
    "course_new": ("place", "time_zone"),
    "hole_change": (
        "measured_from",
        "safe_side",
        "hard_chip_from",
        "bend_to",
        "green_depth",
        "trouble_0_ends",
        "trouble_0_counted_from",
        "widths_0_distance",
        "version",
    ),
    "carry_book_change": ("from_bare", "ball_above", "ball_below"),
    "club_new": ("loft", "long_spread", "wide", "curve", "curve_by"),
    "shots": ("length_unit", "day_first"),
    "tee_new": ("valid_from", "front_course_rating", "par_total", "length_3", "table"),
}
"""Fields that a form in order leaves empty."""
FORGIVING = {
    *(("round_new", "holes"), ("round_new", "by"), ("tee_rerate", "rated_for"), ("shot_new", "off_line")),
    ("card_take_back", "hole"),
}
"""What chooses the form itself (anything else shows the usual one), stands fast whatever is sent, or takes a -1."""
NOTHING_NEEDED = (
    "look_back",
    "journal_reset",
    "journal_reset_drop",
    "index_only",
    "round_attest",
    "carry_book_change",
    "carry_book_unit",
    "starter_set",
    "card_page",
    "card_settle",
    "card_send",
    "card_answer",
    "card_drop",
    "card_take_back",
    "plan_hole",
)
"""Buttons, and forms in which every field may stay empty."""
OPEN_TO_ALL = {"tee_change": "unused", "course_change": "unplayed", "card_answer": "sent"}
"""The row of which every field can be changed."""


def forms() -> list[Line]:
    found = {}
    for line in LINES:
        if line.method == "POST" and 303 in line.cells.values() and line.name in FORMS:
            found[line.name] = line if line.label == OPEN_TO_ALL.get(line.name) else found.get(line.name, line)
    return list(found.values())


FORMS = set(typed(World(people=None, clients={}, ids=defaultdict(str))))  # type: ignore[arg-type]


def _stands_for_others(field: str) -> bool:
    """Of fields that repeat hole by hole the first and the last are tried: all are made by the same line."""
    number = re.search(r"[0-9]+$", field)
    return number is None or number[0] in ("1", "18")


@pytest.mark.parametrize("line", forms(), ids=str)
def test_a_form_takes_no_junk(world: World, line: Line) -> None:
    person = next(person for person, status in line.cells.items() if status == 303)
    if line.name in ("sign_up", "sign_in", "reset", "join"):
        person = "nobody"
    address, entries = address_of(world, line.name, line.label), typed(world)[line.name]
    before, wrongly = stored(), []
    for field in filter(_stands_for_others, [*entries, *MORE.get(line.name, ())]):
        for entry in (*ENTRIES, *(WORDS if field in TEXT else ())):
            with taken_back():
                with connection.execute_wrapper(written := Written()):
                    answer = ask(world, person, "POST", line.name, address, {**entries, field: entry})
                assert answer.status_code < 500, (field, entry)
                assert not faults_of(answer, line.name)
                may_pass = field in FREE or (line.name, field) in FORGIVING or (field in TEXT and entry in PLAIN)
                if answer.status_code == 303 and not may_pass:
                    wrongly.append((field, entry))
                if answer.status_code not in (200, 303):
                    assert answer.status_code in (400, 404, 409, 429), (field, entry)
                    if written and stored() != before:
                        wrongly.append((field, entry, "stored"))
    assert not wrongly


@pytest.mark.parametrize("line", forms(), ids=str)
def test_an_empty_form_comes_back_with_what_is_needed(world: World, line: Line) -> None:
    if line.name in NOTHING_NEEDED:
        return
    person = next(person for person, status in line.cells.items() if status == 303)
    if line.name in ("sign_up", "sign_in", "reset", "join"):
        person = "nobody"
    before = stored()
    answer = ask(world, person, "POST", line.name, address_of(world, line.name, line.label), {"junk": "1"})
    assert answer.status_code in (303, 400), line
    assert stored() == before
    if line.name not in ("settings_email", "sign_in"):
        assert b'aria-invalid="true"' in answer.content


@pytest.mark.parametrize("line", forms(), ids=str)
def test_a_form_from_elsewhere_is_refused(world: World, line: Line) -> None:
    person = next(person for person, status in line.cells.items() if status == 303)
    client: Any = Client(enforce_csrf_checks=True, raise_request_exception=False)
    client.cookies = world.client(person).cookies
    before, address = stored(), address_of(world, line.name, line.label)
    for sent in ({}, {"csrfmiddlewaretoken": "x" * 64}, {"csrfmiddlewaretoken": ""}):
        answer = client.post(address, {**typed(world)[line.name], **sent})
        assert answer.status_code == 403
    assert stored() == before


@pytest.mark.parametrize("wanted", ["//evil.example", "https://evil.example/", "javascript:alert(1)", "/\\evil.example",
                                    "\t//evil.example", "/\r\nSet-Cookie: a=b", "data:text/html,x"])  # fmt: skip
def test_sign_in_leads_to_a_page_of_ours_only(world: World, wanted: str) -> None:
    with taken_back():
        client = Client()
        entered = {"email": world.email, "password": build.PASSWORD, "next": wanted}
        assert client.post("/sign-in/", entered)["Location"] == "/"
