"""The API described for people: a page for each noun of the schema, and one for every problem code."""

import json
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import get_urlconf, path
from django.views.decorators.http import require_safe
from drf_spectacular.generators import SchemaGenerator

from league.api.codes import CODES, FIELD_CODES
from league.api.errors import type_of

METHODS = ("get", "post", "put", "patch", "delete")
MAX_LEVELS = 3


class Line(NamedTuple):
    """A parameter or a field; `name` is its path, `[]` for each entry of a list."""

    name: str
    kind: str
    is_needed: bool
    note: str


class Answered(NamedTuple):
    status: str
    note: str


class Operation(NamedTuple):
    name: str
    method: str
    path: str
    note: str
    parameters: list[Line]
    sent: list[Line]
    received: list[Line]
    answers: list[Answered]


class Noun(NamedTuple):
    """`name` is the tag in the schema."""

    name: str
    operations: list[Operation]

    @property
    def words(self) -> str:
        return self.name.replace("_", " ")


@require_safe
def schema_document(request: HttpRequest) -> HttpResponse:
    return HttpResponse(_schema_text(_urlconf()), content_type="application/vnd.oai.openapi+json")


@require_safe
def api_page(request: HttpRequest) -> HttpResponse:
    return render(request, "league/api/api.html", {"nouns": nouns(_urlconf())})


@require_safe
def noun_page(request: HttpRequest, noun: str) -> HttpResponse:
    found = next((one for one in nouns(_urlconf()) if one.name == noun), None)
    if found is None:
        raise Http404
    return render(request, "league/api/noun.html", {"noun": found})


@require_safe
def problems_page(request: HttpRequest) -> HttpResponse:
    listed = [{"code": code, "url": type_of(code), **entry._asdict()} for code, entry in CODES.items()]
    listed.sort(key=lambda entry: (entry["status"], entry["code"]))
    return render(request, "league/api/problems.html", {"problems": listed, "field_codes": sorted(FIELD_CODES.items())})


@require_safe
def problem_page(request: HttpRequest, slug: str) -> HttpResponse:
    code = slug.replace("-", "_")
    if code not in CODES or "_" in slug:
        raise Http404
    return render(request, "league/api/problem.html", {"code": code, "problem": CODES[code]})


PROBLEM_PAGES = [
    path("", problems_page, name="problems"),
    path("<slug:slug>/", problem_page, name="problem"),
]


def _urlconf() -> str:
    return str(get_urlconf() or settings.ROOT_URLCONF)


@lru_cache(maxsize=4)
def schema(urlconf: str) -> dict[str, Any]:
    made: dict[str, Any] = SchemaGenerator(urlconf=urlconf).get_schema(request=None, public=True)
    return made


@lru_cache(maxsize=4)
def _schema_text(urlconf: str) -> str:
    return json.dumps(schema(urlconf), indent=1, ensure_ascii=False)


@lru_cache(maxsize=4)
def nouns(urlconf: str) -> list[Noun]:
    document = schema(urlconf)
    grouped: dict[str, list[Operation]] = {}
    for address, item in document["paths"].items():
        for method in METHODS:
            if method in item:
                operation = item[method]
                grouped.setdefault(operation["tags"][0], []).append(_operation(document, address, method, operation))
    return [Noun(name, operations) for name, operations in sorted(grouped.items())]


def _operation(document: dict[str, Any], address: str, method: str, operation: dict[str, Any]) -> Operation:
    answers = operation["responses"]
    good: dict[str, Any] = next((answer for status, answer in answers.items() if status.startswith("2")), {})
    return Operation(
        operation["operationId"],
        method.upper(),
        address,
        operation.get("description", ""),
        [_parameter(document, one) for one in operation.get("parameters", [])],
        list(_lines(document, _content(operation.get("requestBody", {})))),
        list(_lines(document, _content(good))),
        [Answered(status, _meaning(status, answer)) for status, answer in sorted(answers.items())],
    )


def _meaning(status: str, answer: dict[str, Any]) -> str:
    titles = [entry.title for entry in CODES.values() if str(entry.status) == status]
    return answer.get("description") or "; ".join(titles)


def _content(part: dict[str, Any]) -> dict[str, Any]:
    for content in part.get("content", {}).values():
        shape: dict[str, Any] = content.get("schema", {})
        return shape
    return {}


def _parameter(document: dict[str, Any], one: dict[str, Any]) -> Line:
    kind = _kind(_resolved(document, one.get("schema", {})))
    return Line(one["name"], f"{kind}, {one['in']}", bool(one.get("required")), one.get("description", ""))


def _lines(document: dict[str, Any], shape: dict[str, Any], start: str = "", level: int = 0) -> Iterator[Line]:
    resolved = _resolved(document, shape)
    if resolved.get("type") == "array" or "items" in resolved:
        yield from _lines(document, resolved.get("items", {}), f"{start}[]", level)
        return
    needed = set(resolved.get("required", ()))
    for name, below in resolved.get("properties", {}).items():
        full = f"{start}.{name}" if start else name
        inner = _resolved(document, below)
        yield Line(full, _kind(inner), name in needed, below.get("description", inner.get("description", "")))
        if level < MAX_LEVELS:
            yield from _lines(document, inner, full, level + 1)


def _resolved(document: dict[str, Any], shape: dict[str, Any]) -> dict[str, Any]:
    """The shape itself where it is named elsewhere; what stands beside the name is kept."""
    for alternatives in ("allOf", "oneOf", "anyOf"):
        if alternatives in shape:
            beside = {name: value for name, value in shape.items() if name != alternatives}
            return {**_resolved(document, shape[alternatives][0]), **beside}
    if "$ref" not in shape:
        return shape
    named: dict[str, Any] = document["components"]["schemas"][shape["$ref"].rpartition("/")[2]]
    return _resolved(document, named)


def _kind(shape: dict[str, Any]) -> str:
    words = [str(shape.get("format") or shape.get("type") or "any value")]
    if "enum" in shape:
        words = ["one of " + ", ".join(str(choice) for choice in shape["enum"] if choice is not None)]
    if "minimum" in shape and "maximum" in shape:
        words.append(f"{shape['minimum']} to {shape['maximum']}")
    if "maxLength" in shape:
        words.append(f"to {shape['maxLength']} characters")
    if shape.get("nullable"):
        words.append("or null")
    return " ".join(words)
