"""Every field of every writing address of the API, with values that must be refused, and nothing of them stored.

The fields and their kinds come from the published schema, so that a new field is tried without a line here.
"""

import hashlib
import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.http import HttpResponse
from django.urls import get_resolver

from league.api.docs import schema
from tests.access.asking import INVENTED, address_of, ask, routes, sent
from tests.access.test_cells import LINES, Line, Written
from tests.access.world import World, taken_back

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

PASSING = {"sessions", "axes"}
PASSING_MODELS = {"league.SignIn", "league.Token"}
DOCUMENT = schema("league.config.urls")
RAW = "raw: "
"""What json.dumps cannot write stands in the body as a text with this mark, and is put in its place afterwards."""

TEXTS = [7, True, [], {}, "a\x00b", "a\u202eb", "\u200b", "a\x07b", "e" + "\u0301" * 4_000, f'{RAW}"\\ud800"']
NUMBERS = ["72", True, [], f"{RAW}NaN", f"{RAW}Infinity", f"{RAW}1e309", f"{RAW}{'9' * 5000}", 10**20]
DAYS = ["03/04/2026", "45123", 45123, "2025-02-29", "2026-04-31", "today", "0000-01-01", "9999-12-31", "2026-4-3", ""]
IDS = ["x", "", 7, INVENTED.upper() + "0", f"{{{INVENTED}}}", "' OR 1=1"]
FLAGS = ["true", 1, 0, [], ""]
LISTS = [{}, "x", 7, True]
BODIES = [
    (b"", 400), (b"{", 400), (b"[]", 400), (b'"x"', 400), (b"null", 400), (b"7", 400), (b"\xff\xfe{}", 400),
    (b'{"a": "\xc3"}', 400), (b'{"a": ' + b"[" * 25 + b"]" * 25 + b"}", 400), (b'{"a": 1, "a": 2}', 400),
    (b'{"a": "' + b"x" * 300_000 + b'"}', 413),
]  # fmt: skip


def stored() -> dict[str, str]:
    """What every table holds, as one number each."""
    kept = {}
    for model in apps.get_models():
        if model._meta.app_label not in PASSING and model._meta.label not in PASSING_MODELS:
            rows = sorted(repr(row) for row in model._default_manager.values_list())
            kept[model._meta.label] = hashlib.sha256("\n".join(rows).encode()).hexdigest()
    return kept


def writing() -> list[Line]:
    """For each address and method that takes JSON, the line of the table in which somebody does it."""
    found: dict[tuple[str, str], Line] = {}
    for line in LINES:
        takes = line.is_api and (line.name, line.method) in BODY_OF
        if takes and any(status < 300 for status in line.cells.values()):
            found.setdefault((line.name, line.method), line)
    return list(found.values())


def _operations() -> dict[tuple[str, str], dict[str, Any]]:
    """By name of route and method: the shape of the JSON that it takes."""
    names = {re.sub(r"\{\w+\}", "{}", template): name for name, template in _templates().items()}
    found = {}
    for path, item in DOCUMENT["paths"].items():
        for method, operation in item.items():
            shape = operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema")
            if shape:
                found[names[re.sub(r"\{\w+\}", "{}", path)], method.upper()] = resolved(shape)
    return found


def _templates() -> dict[str, str]:
    found = {}
    for name in routes():
        for candidate, _ in get_resolver().reverse_dict.getlist(name)[0][0]:
            found[name] = "/" + re.sub(r"%\((\w+)\)s", r"{\1}", candidate)
    return found


def resolved(shape: dict[str, Any]) -> dict[str, Any]:
    if "allOf" in shape:
        beside = {name: value for name, value in shape.items() if name != "allOf"}
        return {**resolved(shape["allOf"][0]), **beside}
    if "$ref" in shape:
        return resolved(DOCUMENT["components"]["schemas"][shape["$ref"].rpartition("/")[2]])
    return shape


BODY_OF = _operations()


def junk_for(shape: dict[str, Any]) -> list[Any]:
    nothing = [] if shape.get("nullable") else [None]
    kind = shape.get("type")
    if "oneOf" in shape:
        return [7, "nonsense", *nothing]
    if shape.get("format") == "uuid":
        return [*IDS, *nothing]
    if shape.get("format") == "date":
        return [*DAYS, *nothing]
    if shape.get("format") == "date-time":
        return ["today", "2026-04-31T10:00:00Z", 45123, True, [], {}, *nothing]
    if "enum" in shape:
        return [7, True, [], "nonsense", "a\x00b", *nothing]
    if kind == "string":
        blank = [] if "minLength" not in shape else ["", "  "]
        return [*TEXTS, "x" * (shape["maxLength"] + 1), *blank, *nothing]
    if kind in ("integer", "number"):
        beyond = [shape["minimum"] - 1, shape["maximum"] + 1]
        return [*NUMBERS, *beyond, 72.5 if kind == "integer" else 72.35, *nothing]
    if kind == "boolean":
        return [*FLAGS, *nothing]
    if kind == "array":
        return [*LISTS, *nothing]
    assert kind == "object", shape
    return [7, "x", [], *nothing]


def tries(shape: dict[str, Any], value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Each field under this value with each junk value that its kind must refuse."""
    for name, below in shape.get("properties", {}).items():
        inner = resolved(below)
        for junk in junk_for(inner):
            yield (*path, name), junk
        if inner.get("type") == "object":
            yield from tries(inner, None, (*path, name))
        if inner.get("type") == "array" and resolved(inner["items"]).get("type") == "object":
            yield from tries(resolved(inner["items"]), None, (*path, name, 0))
    if shape.get("properties"):
        yield (*path, "unknown_field"), 1


def put(body: dict[str, Any], path: tuple[Any, ...], junk: Any) -> str:
    changed = json.loads(json.dumps(body))
    here = changed
    for step, following in zip(path, path[1:], strict=False):
        if isinstance(step, int):
            while len(here) <= step:
                here.append({})
            here = here[step]
        else:
            empty: Any = [] if isinstance(following, int) else {}
            if not isinstance(here.get(step), type(empty)) or not here[step]:
                here[step] = empty
            here = here[step]
    here[path[-1]] = junk
    text = json.dumps(changed)
    return re.sub(rf'"{RAW}((?:[^"\\]|\\.)*)"', lambda found: json.loads(f'"{found[1]}"'), text)


def refused(answer: HttpResponse, status: int = 400) -> dict[str, Any]:
    assert answer.status_code == status, answer.content[:300]
    problem: dict[str, Any] = json.loads(answer.content)
    assert problem["status"] == status
    assert problem["detail"]
    for error in problem["errors"]:
        assert 0 < len(error["message"]) <= 300
    return problem


def test_every_body_of_the_schema_is_tried() -> None:
    assert {(line.name, line.method) for line in writing()} == set(BODY_OF)


def somebody(line: Line) -> str:
    return next(person for person, status in line.cells.items() if status < 300)


@pytest.mark.parametrize("line", writing(), ids=str)
def test_it_refuses_junk_in_each_field_and_names_the_field(world: World, line: Line) -> None:
    address, person = address_of(world, line.name, line.label), somebody(line)
    body, shape = sent(world)[line.name, line.method], BODY_OF[line.name, line.method]
    before, n_tried, taken = stored(), 0, []
    for path, junk in tries(shape, body):
        with taken_back():
            with connection.execute_wrapper(written := Written()):
                answer = ask(world, person, line.method, line.name, address, put(body, path, junk))
            if answer.status_code < 300 or (written and stored() != before):
                taken.append((path, junk, answer.status_code))
                continue
        n_tried += 1
        problem = refused(answer)
        field = ".".join(str(step) for step in path)
        named = [error["field"] for error in problem["errors"]]
        assert any(name == field or field.startswith(f"{name}.") or name.startswith(f"{field}.") for name in named), (
            path, junk, problem,
        )  # fmt: skip
    assert not taken
    assert n_tried or not shape.get("properties")


@pytest.mark.parametrize("line", writing(), ids=str)
def test_it_refuses_bodies_that_are_no_object(world: World, line: Line) -> None:
    address, person = address_of(world, line.name, line.label), somebody(line)
    before = stored()
    for body, status in BODIES:
        if not body and line.method == "DELETE" or not body and line.name == "api-round-attestation":
            continue
        with taken_back():
            with connection.execute_wrapper(written := Written()):
                refused(ask(world, person, line.method, line.name, address, body), status)
            assert not written or stored() == before
    for headers in ({"Content-Encoding": "gzip"}, {"Content-Type": "text/plain"}, {"Content-Type": "text/html"}):
        with taken_back():
            refused(ask(world, person, line.method, line.name, address, None, **headers), 415)


@pytest.mark.parametrize("line", [line for line in writing() if line.method == "POST"], ids=str)
def test_a_key_that_cannot_be_one_is_refused(world: World, line: Line) -> None:
    address, person = address_of(world, line.name, line.label), somebody(line)
    for key in (
        "short",
        "k" * 65,
        "k" * 10_000,
        "with a space in the key",
        "ключ-ключ-ключ-ключ",
        '"half-quoted-key-here',
    ):
        with taken_back():
            problem = refused(ask(world, person, "POST", line.name, address, None, **{"Idempotency-Key": key}))
            assert problem["code"] == "invalid_key"
