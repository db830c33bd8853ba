"""A JSON file -> plain values, and a walk over them that names every problem by its path."""

import json
from collections import Counter
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from league.exchange.cells import CellFault, clean_text, shown
from league.exchange.incoming import text_of
from league.exchange.problems import Limits, Problem, ProblemList

LONGEST_NUMBER = 15


class _Refused(ValueError):
    """Raised out of the JSON reader for what JSON allows and we do not."""


def load(data: bytes, limits: Limits) -> object | Problem:
    """The value of a JSON file with decimals kept exactly, or the one problem that stops it."""
    text = text_of(data, limits, "a JSON file", "Choose the file that was exported here.")
    if isinstance(text, Problem):
        return text
    try:
        value: object = json.loads(
            text, parse_int=_whole, parse_float=_decimal, parse_constant=_constant, object_pairs_hook=_once
        )
    except json.JSONDecodeError as fault:
        return Problem(fault.lineno, "", "json", f"Line {fault.lineno} is not JSON: {fault.msg}.")
    except _Refused as fault:
        return Problem(0, "", "json", str(fault))
    except RecursionError:
        return Problem(0, "", "depth", f"Values are nested more than {limits.depth} deep.")
    if _is_deeper(value, limits.depth):
        return Problem(0, "", "depth", f"Values are nested more than {limits.depth} deep.")
    return value


def _whole(text: str) -> int:
    if len(text) > LONGEST_NUMBER:
        raise _Refused(f"“{shown(text)}” is not a number that can be used here.")
    return int(text)


def _decimal(text: str) -> Decimal:
    if len(text) > LONGEST_NUMBER or "e" in text.lower():
        raise _Refused(f"“{shown(text)}” is not a number that can be used here.")
    return Decimal(text)


def _constant(text: str) -> object:
    raise _Refused(f"“{text}” is not a number that can be used here.")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    if len(values) < len(pairs):
        twice, _ = Counter(name for name, _ in pairs).most_common(1)[0]
        raise _Refused(f"“{shown(twice)}” stands twice in one place.")
    return values


def _is_deeper(value: object, depth: int) -> bool:
    level = [value]
    for _ in range(depth + 1):
        inner = [item for item in level if isinstance(item, dict | list)]
        if not inner:
            return False
        level = [child for item in inner for child in (item.values() if isinstance(item, dict) else item)]
    return True


class Place:
    """One set of named values in a file. Every reader below returns a fallback and adds a problem on a bad value.

    Something else in its place is one problem, not one for every value that it does not have.
    """

    def __init__(self, value: object, path: str, problems: ProblemList, limits: Limits) -> None:
        self.values: dict[str, Any] = value if isinstance(value, dict) else {}
        self.path = path
        self.problems = problems
        self.limits = limits
        self.is_there = True
        if not isinstance(value, dict):
            self.add("", "shape", "A set of named values is expected here.")
            self.is_there = False

    def add(self, name: str, code: str, message: str) -> None:
        if self.is_there:
            self.problems.add(0, ".".join(part for part in (self.path, name) if part), code, message)

    def only(self, *names: str) -> None:
        """Names every value that does not belong here."""
        for name in self.values:
            if name not in names:
                self.add(shown(name), "field_unknown", f"We do not know “{shown(name)}” here.")

    def text(self, name: str, limit: int, *, is_needed: bool = True) -> str:
        value = self.values.get(name, "")
        if not isinstance(value, str):
            self.add(name, "shape", "Text is expected here.")
        elif not value.strip():
            if is_needed:
                self.add(name, "missing", "This must not be blank.")
        else:
            try:
                return clean_text(value.strip(), limit, self.limits)
            except CellFault as fault:
                self.add(name, fault.code, fault.message)
        return ""

    def one_of(self, name: str, choices: tuple[str, ...]) -> str:
        value = self.values.get(name)
        if isinstance(value, str) and value in choices:
            return value
        self.add(name, "choice", f"One of these is expected here: {', '.join(choices)}.")
        return choices[0]

    def flag(self, name: str) -> bool:
        value = self.values.get(name)
        if not isinstance(value, bool):
            self.add(name, "flag", "true or false is expected here.")
        return value is True

    def whole(self, name: str, low: int, high: int) -> int:
        value = self.values.get(name)
        if isinstance(value, int) and not isinstance(value, bool) and low <= value <= high:
            return value
        expected = f"A whole number from {low} to {high}" if low < high else f"The number {low}"
        self.add(name, "number", f"{expected} is expected here.")
        return low

    def decimal(self, name: str) -> Decimal:
        value = self.values.get(name)
        if isinstance(value, int | Decimal) and not isinstance(value, bool):
            return Decimal(value)
        self.add(name, "number", "A number is expected here.")
        return Decimal(0)

    def day_or_none(self, name: str) -> date | None:
        value = self.values.get(name)
        if value is None:
            return None
        try:
            return date.fromisoformat(value)
        except (TypeError, ValueError):
            self.add(name, "date", "A day like 2026-04-03 is expected here.")
            return None

    def places(self, name: str, limit: int) -> Iterator["Place"]:
        value = self.values.get(name)
        if not isinstance(value, list):
            self.add(name, "shape", "A list is expected here.")
            return
        if len(value) > limit:
            self.add(name, "too_many_rows", f"{limit} at most are expected here.")
            return
        at = f"{self.path}.{name}" if self.path else name
        for position, item in enumerate(value):
            yield Place(item, f"{at}.{position}", self.problems, self.limits)

    def inner(self, name: str) -> "Place":
        return Place(self.values.get(name), f"{self.path}.{name}" if self.path else name, self.problems, self.limits)

    def has(self, name: str) -> bool:
        return self.values.get(name) is not None
