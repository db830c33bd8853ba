"""JSON as it comes from outside: strict in form, bounded in size, every fault named with its path."""

import codecs
import json
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import IO, Any, NoReturn

from rest_framework.parsers import BaseParser

from league.api.errors import FieldError, Problem, invalid

MAX_BYTES = 256 * 1024
MAX_DEPTH = 20
MAX_DIGITS = 18
MAX_ERRORS = 100

STRINGS = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*(?:"|\\?\Z)', re.DOTALL)
BRACKETS = re.compile(r"[\[\]{}]")


class BadNumber(str):
    """Stands in the tree where a number could not be taken, until its path is known."""


class TwiceNamed(dict[str, Any]):
    """An object in which names stand more than once."""

    names: tuple[str, ...] = ()


def parse_json(raw: bytes) -> Any:
    """The tree, with Decimals for numbers that have a point; raises Problem."""
    text = _decoded(raw)
    _check_depth(text)
    try:
        tree = json.loads(
            text,
            parse_int=_whole,
            parse_float=_decimal,
            parse_constant=BadNumber,
            object_pairs_hook=_object,
        )
    except json.JSONDecodeError as fault:
        place = f"line {fault.lineno}, character {fault.colno}"
        raise Problem("unreadable", f"This is not JSON: reading stopped at {place}. Nothing was stored.") from None
    found = []
    for error in _faults(tree, ""):
        found.append(error)
        if len(found) == MAX_ERRORS:
            break
    if found:
        raise invalid(found)
    return tree


def canonical(tree: Any) -> str:
    """One text for all spellings of the same JSON: order, spacing and 72.0 for 72 do not count."""
    return json.dumps(tree, sort_keys=True, separators=(",", ":"), ensure_ascii=True, default=_plain_number)


class StrictJSON(BaseParser):
    media_type = "application/json"

    def parse(
        self, stream: IO[bytes], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        raw = stream.read(MAX_BYTES + 1)
        if len(raw) > MAX_BYTES:
            raise too_big(MAX_BYTES)
        return parse_json(raw)


def too_big(limit: int) -> Problem:
    return Problem("too_big", f"This is over {limit // 1024} KiB. Send less at a time. Nothing was stored.")


def _decoded(raw: bytes) -> str:
    if raw.startswith((codecs.BOM_UTF8, codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise Problem("unreadable", "Send UTF-8 without a byte order mark. Nothing was stored.")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as fault:
        message = f"Byte {fault.start + 1} is not UTF-8. Nothing was stored."
        raise Problem("unreadable", message, [FieldError("", "text", message)]) from None


def _check_depth(text: str) -> None:
    depth = 0
    for bracket in BRACKETS.finditer(STRINGS.sub("", text)):
        depth += 1 if bracket.group() in "[{" else -1
        if depth > MAX_DEPTH:
            raise invalid([FieldError("", "depth", f"Brackets may be {MAX_DEPTH} deep at most.")])


def _whole(text: str) -> int | BadNumber:
    return int(text) if len(text.lstrip("-")) <= MAX_DIGITS else BadNumber(text)


def _decimal(text: str) -> Decimal | BadNumber:
    number = Decimal(text) if len(text) <= 2 * MAX_DIGITS else None
    if number is None or len(number.as_tuple().digits) > MAX_DIGITS or not -MAX_DIGITS < number.adjusted() < MAX_DIGITS:
        return BadNumber(text)
    return number


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) == len(pairs):
        return made
    seen: set[str] = set()
    twice = TwiceNamed(made)
    twice.names = tuple(name for name, _ in pairs if name in seen or seen.add(name))  # type: ignore[func-returns-value]
    return twice


def _faults(tree: Any, path: str) -> Iterator[FieldError]:
    if isinstance(tree, BadNumber):
        yield FieldError(path, "number", f"Enter a plain number of at most {MAX_DIGITS} digits.")
    elif isinstance(tree, str):
        if has_surrogate(tree):
            yield FieldError(path, "text", "Half a character stands here. Type the text again.")
    elif isinstance(tree, dict):
        yield from _object_faults(tree, path)
    elif isinstance(tree, list):
        for number, below in enumerate(tree):
            yield from _faults(below, f"{path}.{number}" if path else str(number))


def _object_faults(tree: dict[str, Any], path: str) -> Iterator[FieldError]:
    start = f"{path}." if path else ""
    for name in getattr(tree, "names", ()):
        yield FieldError(start + safe_name(name), "twice", "This name stands twice. Send it once.")
    for name, below in tree.items():
        if has_surrogate(name):
            yield FieldError(path, "text", "A name here has half a character in it.")
        else:
            yield from _faults(below, start + safe_name(name))


def has_surrogate(text: str) -> bool:
    return any("\ud800" <= character <= "\udfff" for character in text)


def safe_name(name: str) -> str:
    """A name from outside, short and printable, so that it can be quoted."""
    short = name if len(name) <= 64 else f"{name[:63]}…"
    return "".join(character if character.isprintable() else "?" for character in short)


def _plain_number(value: Any) -> Any:
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else str(value.normalize())
    return _refuse(value)


def _refuse(value: Any) -> NoReturn:
    raise TypeError(f"{type(value).__name__} is not JSON")
