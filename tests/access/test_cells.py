"""Every address x method x person, against the table in tests/access/cells.py."""

import re
from collections.abc import Callable
from typing import Any, NamedTuple

import pytest
from django.db import connection
from django.http import HttpResponse

from tests.access.asking import INVENTED, METHODS, PUBLIC, address_of, ask, labels, routes
from tests.access.cells import API, PAGES
from tests.access.pages import faults_of
from tests.access.private import DRAFT_ON_HOME, hits, logged
from tests.access.world import NOBODY, OWN_COURSE, PEOPLE, World, canaries, taken_back

pytestmark = pytest.mark.django_db

LINE = re.compile(r"(?P<name>[\w-]+) *(?P<label>.*?) +(?P<method>[A-Z]+) +(?P<cells>\d{3}(?: +\d{3})*)")
API_PEOPLE = (*PEOPLE, "read", "write", NOBODY)
PAGE_PEOPLE = (*PEOPLE, NOBODY)
OVER = ("over", "ended")
JUNK = ("", "{", "[1]", '{"junk": [1]}', "\x00")
VARYING = {"X-Request-ID", "Set-Cookie", "Content-Length"}
SECRET_OF_THE_FORM = re.compile(rb'name="(csrfmiddlewaretoken|key)" value="[^"]*"')
WRITES = re.compile(r"\s*(INSERT INTO|UPDATE|DELETE FROM|REPLACE INTO)\s+\"?(\w+)", re.IGNORECASE)
MAY_BE_NOTED = {"django_session", "league_signin", "league_token", "league_cache"}
"""What a look may leave behind: that somebody is there."""


class Line(NamedTuple):
    name: str
    label: str
    method: str
    cells: dict[str, int]

    @property
    def is_api(self) -> bool:
        return self.name.startswith("api-")

    def __str__(self) -> str:
        return " ".join(part for part in (self.name, self.label, self.method) if part)


class Written(set[str]):
    """Wrapped about every statement: the tables written to, but for those in which only a presence is noted."""

    def __call__(self, execute: Callable[..., Any], sql: str, *rest: Any) -> Any:
        match = WRITES.match(sql)
        self |= {match[2]} - MAY_BE_NOTED if match else set()
        return execute(sql, *rest)


def lines_of(table: str, people: tuple[str, ...]) -> list[Line]:
    found = []
    for text in table.strip("\n").split("\n")[1:]:
        match = LINE.fullmatch(text.strip())
        assert match, text
        cells = [int(cell) for cell in match["cells"].split()]
        found.append(Line(match["name"], match["label"], match["method"], dict(zip(people, cells, strict=True))))
    return found


LINES = lines_of(API, API_PEOPLE) + lines_of(PAGES, PAGE_PEOPLE)
every_line = pytest.mark.parametrize("line", LINES, ids=str)


def told(answer: HttpResponse) -> tuple[int, bytes, list[tuple[str, str]]]:
    body = SECRET_OF_THE_FORM.sub(b"", b"" if answer.streaming else answer.content)
    return answer.status_code, body, sorted((name, value) for name, value in answer.items() if name not in VARYING)


def test_every_address_has_its_lines() -> None:
    wanted = {(name, label) for name, arguments in routes().items() for label in labels(name, arguments)}
    assert {(line.name, line.label) for line in LINES} == wanted
    assert len({(line.name, line.label, line.method) for line in LINES}) == len(LINES)


@every_line
def test_everybody_gets_what_the_table_says(world: World, line: Line) -> None:
    address = address_of(world, line.name, line.label)
    expected = expected_of(line)
    got, faults = {}, []
    with logged() as log:
        for person in expected:
            with taken_back(), connection.execute_wrapper(written := Written()):
                answer = ask(world, person, line.method, line.name, address)
            is_first = answer.status_code not in got.values()
            got[person] = answer.status_code
            if line.method == "GET" and written:
                faults.append(f"{person}: a look wrote to {sorted(written)}")
            faults += [f"{person}: {fault}" for fault in faults_of(answer, line.name)]
            faults += _journal_leaks(world, person, line, answer)
            if line.method == "GET" and answer.status_code == 200:
                faults += _leaks(world, person, answer)
                if is_first:
                    faults += _head_faults(world, person, line, answer)
    assert got == expected
    assert not faults
    assert not hits("\n".join(log))


def _head_faults(world: World, person: str, line: Line, answer: HttpResponse) -> list[str]:
    """Asked in one person's name: behind the doors HEAD is GET for everybody."""
    with taken_back():
        head = ask(world, person, "HEAD", line.name, address_of(world, line.name, line.label))
    told_by_head = (answer.status_code, b"", told(answer)[2])
    return [] if told(head) == told_by_head else [f"{person}: HEAD answers unlike GET"]


def expected_of(line: Line) -> dict[str, int]:
    """By person; on a second database one person for each answer: the doors are the same there."""
    nobody = line.cells[NOBODY]
    expected = {**line.cells, **dict.fromkeys(OVER if line.is_api else ("read", "write"), nobody)}
    if connection.vendor == "sqlite":
        return expected
    first = {status: person for person, status in reversed(expected.items())}
    return {person: status for status, person in first.items()}


READERS = {
    "ann": {"note": ("ann", "read", "write"), "ref": ("ann", "read", "write"), "marker": ("ann", "read", "write")},
    "gus": {"note": ("kim", "ben"), "ref": ("kim",), "marker": ("kim", "ben")},
    "rex": {"note": ("rex",), "ref": ("rex",), "marker": ("rex",)},
    "cat": {"note": ("cat",), "ref": ("cat",), "marker": ("cat",)},
}
"""Whose private words who reads: the player, and for gus his keeper and the organiser, but the ref its writer alone."""


def _leaks(world: World, person: str, answer: HttpResponse) -> list[str]:
    """Private words in somebody else's answer. Ann's own course is named to mates in her ledger's lines only."""
    text = answer.content.decode(errors="replace")
    found = [
        f"{name}'s {kind}"
        for name, readers in READERS.items()
        for kind, word in canaries(name).items()
        if word in text and person not in readers[kind]
    ]
    if world.email in text and person not in ("ann", "read", "write"):
        found.append("ann's e-mail")
    if world.ids["hidden barrier"] in text and person not in ("ann", "read", "write"):
        found.append("ann's hidden barrier")
    if OWN_COURSE in text and person in ("fay", "rex", "cat", "staff", NOBODY, *OVER):
        found.append("ann's own course")
    return [f"{person} reads {what}" for what in found]


def _journal_leaks(world: World, person: str, line: Line, answer: HttpResponse) -> list[str]:
    """Words of ann's journal in whatever else answers; and outside the journal, what tells that there is one."""
    if person == "ann":
        return []
    text = answer.content.decode(errors="replace") + str(dict(answer.items())) + str(answer.cookies)
    found = hits(text, shared_too=person != "dan")
    if line.method == "GET" and not line.name.startswith(("journal", "api-journal", "intention")):
        found += [name for name in ("intention", "draft", "reset") if world.ids[name] in text]
        found += [DRAFT_ON_HOME] * (DRAFT_ON_HOME in text)
    return [f"{person} reads {what} of ann's journal" for what in found]


@pytest.mark.one_database
@every_line
def test_a_stranger_cannot_tell_a_hidden_row_from_an_invented_one(world: World, line: Line) -> None:
    if line.cells["cat"] != 404:
        return
    hidden = address_of(world, line.name, line.label)
    invented = address_of(world, line.name, line.label, instead=INVENTED)
    bodies: list[Any] = [None, *JUNK] if line.is_api and line.method != "GET" else [None]
    if not line.is_api and line.method == "POST":
        bodies = [None, {"junk": "1", "version": "x", "key": "short"}]
    for person in ("cat", NOBODY):
        for body in bodies:
            with taken_back():
                one = told(ask(world, person, line.method, line.name, hidden, body))
            with taken_back():
                other = told(ask(world, person, line.method, line.name, invented, body))
            here, there = hidden.partition("?")[0].encode(), invented.partition("?")[0].encode()
            assert (one[0], one[1].replace(here, there), one[2]) == other, (person, body)


@pytest.mark.one_database
@pytest.mark.parametrize("name", sorted(routes()))
def test_other_methods_are_refused(world: World, name: str) -> None:
    taken = {line.method for line in LINES if line.name == name}
    if name == "api-unknown":
        return
    address = address_of(world, name, labels(name, routes()[name])[0])
    for method in set(METHODS) - taken - ({"HEAD"} if "GET" in taken else set()):
        for person in ("ann", "cat", "staff"):
            with taken_back():
                assert ask(world, person, method, name, address).status_code == 405, (method, person)
        with taken_back():
            expected = 405 if name in PUBLIC else 401
            assert ask(world, NOBODY, method, name, address).status_code == expected, method
