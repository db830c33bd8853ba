"""Plain values in and out: what JSON can hold, read back without trust.

Days are ISO text, decimals are text, so that a value comes back exactly as it went. Reading refuses anything else with
RuleBroken `plain_form` and the field's name.

>>> day_of({"played_on": "2024-05-01"}, "played_on")
datetime.date(2024, 5, 1)
>>> whole_of({"gross": "90"}, "gross")
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: gross: a whole number is expected.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any

from league.rules.errors import RuleBroken
from league.rules.scorecard import Card, Hole, HoleScore, Tee

MOST_PLACES = 9
"""Powers of ten that a kept number may reach; exact arithmetic with more would never end."""

Plain = dict[str, Any]


def _wrong(name: str, expected: str) -> RuleBroken:
    """The problem of a plain value with the wrong form."""
    return RuleBroken("plain_form", f"{name}: {expected} is expected.", name)


def mapping_of(values: Any, name: str) -> Mapping[str, Any]:
    """The mapping at `name`, or the value itself if it is called ''."""
    found = values.get(name) if name and isinstance(values, Mapping) else values
    if not isinstance(found, Mapping):
        raise _wrong(name or "value", "a set of named values")
    return found


def list_of(values: Mapping[str, Any], name: str) -> list[Any]:
    """The list at `name`."""
    found = values.get(name)
    if not isinstance(found, list | tuple):
        raise _wrong(name, "a list")
    return list(found)


def text_of(values: Mapping[str, Any], name: str) -> str:
    """The text at `name`."""
    found = values.get(name)
    if not isinstance(found, str):
        raise _wrong(name, "text")
    return found


def flag_of(values: Mapping[str, Any], name: str) -> bool:
    """The yes or no at `name`."""
    found = values.get(name)
    if not isinstance(found, bool):
        raise _wrong(name, "true or false")
    return found


def whole_of(values: Mapping[str, Any], name: str) -> int:
    """The whole number at `name`."""
    found = values.get(name)
    if not isinstance(found, int) or isinstance(found, bool):
        raise _wrong(name, "a whole number")
    return found


def whole_or_none_of(values: Mapping[str, Any], name: str) -> int | None:
    """The whole number at `name`, or None."""
    return None if values.get(name) is None else whole_of(values, name)


def decimal_of(values: Mapping[str, Any], name: str) -> Decimal:
    """The decimal kept as text at `name`."""
    try:
        found = Decimal(text_of(values, name))
    except InvalidOperation as error:
        raise _wrong(name, "a number as text") from error
    if not found.is_finite() or not -MOST_PLACES <= found.adjusted() <= MOST_PLACES:
        raise _wrong(name, "a number as text")
    return found


def decimal_or_none_of(values: Mapping[str, Any], name: str) -> Decimal | None:
    """The decimal kept as text at `name`, or None."""
    return None if values.get(name) is None else decimal_of(values, name)


def day_of(values: Mapping[str, Any], name: str) -> date:
    """The day kept as ISO text at `name`."""
    try:
        return date.fromisoformat(text_of(values, name))
    except ValueError as error:
        if isinstance(error, RuleBroken):
            raise
        raise _wrong(name, "a day as YYYY-MM-DD") from error


def optional_text(value: Decimal | None) -> str | None:
    """A decimal as text, None as None."""
    return None if value is None else str(value)


def tee_as_plain(tee: Tee) -> Plain:
    """A tee as plain values; each hole is [number, par, stroke index]."""
    return {
        "name": tee.name,
        "course_rating": str(tee.course_rating),
        "slope_rating": tee.slope_rating,
        "holes": [[hole.number, hole.par, hole.stroke_index] for hole in tee.holes],
    }


def tee_from_plain(values: Mapping[str, Any]) -> Tee:
    """The tee kept by `tee_as_plain`; RuleBroken if it has the wrong form or cannot be rated."""
    holes = tuple(tuple(_row(row, "holes", 3)) for row in list_of(values, "holes"))
    decimal_of(values, "course_rating")
    return _tee(holes, values["course_rating"], whole_of(values, "slope_rating"), text_of(values, "name"))


@lru_cache(maxsize=512)
def _tee(holes: tuple[tuple[int, ...], ...], course_rating: str, slope_rating: int, name: str) -> Tee:
    """The tee with these values: a long record was played on few. By the text, as 72 and 72.0 are kept apart."""
    return Tee(tuple(Hole(*hole) for hole in holes), Decimal(course_rating), slope_rating, name)


def card_as_plain(card: Card) -> Plain:
    """A card as plain values: each hole [number, strokes or null, picked up], or the totals."""
    if card.is_total:
        return {"gross": card.total_gross, "adjusted_gross": card.total_adjusted, "n_holes": card.total_holes}
    return {"holes": [[score.number, score.strokes, score.picked_up] for score in card.holes]}


def card_from_plain(values: Mapping[str, Any]) -> Card:
    """The card kept by `card_as_plain`; RuleBroken if it has the wrong form."""
    if "holes" not in values:
        gross, adjusted = whole_or_none_of(values, "gross"), whole_or_none_of(values, "adjusted_gross")
        return Card.total(gross, adjusted, whole_of(values, "n_holes"))
    return Card(tuple(_hole_score(row) for row in list_of(values, "holes")))


def _hole_score(row: Any) -> HoleScore:
    """One hole of a card from [number, strokes or null, picked up]."""
    if not isinstance(row, list | tuple) or len(row) != 3:
        raise _wrong("holes", "a list of [number, strokes, picked up]")
    number, strokes, picked_up = row
    if type(number) is int and type(picked_up) is bool and (strokes is None or type(strokes) is int):
        return HoleScore(number, strokes, picked_up)
    raise _wrong("holes", "a list of [number, strokes, picked up]")


def _row(row: Any, name: str, length: int) -> list[int]:
    """A list of so many whole numbers."""
    if not isinstance(row, list | tuple) or len(row) != length:
        raise _wrong(name, f"a list of {length} whole numbers")
    if any(type(item) is not int for item in row):
        raise _wrong(name, "a whole number")
    return list(row)
