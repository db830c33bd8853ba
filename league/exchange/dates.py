"""Calendar days as people type them. Where day and month could change places, the whole file decides or we ask."""

import re
from collections.abc import Iterable
from datetime import date
from enum import Enum

from league.exchange.cells import CellFault, shown

FIRST_YEAR, LAST_YEAR = 1900, 2100
MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
          "december")  # fmt: skip
YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})")
NUMERIC = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})")
DAY_NAME = re.compile(r"([0-9]{1,2})(?:\.|st|nd|rd|th)?[ -]([a-z]{3,9})\.?,?[ -]([0-9]{4})", re.IGNORECASE | re.ASCII)
NAME_DAY = re.compile(r"([a-z]{3,9})\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})", re.IGNORECASE | re.ASCII)
HINT = "Write it like 2026-04-03."


class Order(Enum):
    """How the numeric dates of a file are to be read."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"
    UNKNOWN = "unknown"
    MIXED = "mixed"


def order_of(texts: Iterable[str], day_first: bool | None) -> tuple[Order, str]:
    """The order for all numeric dates of a file, with the text that decided ("" when chosen, or nothing to decide).

    One date that only makes sense one way decides for all. Dates with dots only are day first (common practice).
    """
    if day_first is not None:
        return (Order.DAY_FIRST if day_first else Order.MONTH_FIRST), ""
    proofs: dict[Order, str] = {}
    dotted, open_text = "", ""
    for text in texts:
        found = NUMERIC.fullmatch(text)
        if found is None or found[1].zfill(2) == found[3].zfill(2):
            continue
        first, second = int(found[1]), int(found[3])
        if first > 12 >= second:
            proofs.setdefault(Order.DAY_FIRST, text)
        elif second > 12 >= first:
            proofs.setdefault(Order.MONTH_FIRST, text)
        elif found[2] == ".":
            dotted = dotted or text
        else:
            open_text = open_text or text
    if len(proofs) == 2:
        return Order.MIXED, proofs[Order.MONTH_FIRST]
    if proofs:
        return next(iter(proofs.items()))
    if open_text:
        return Order.UNKNOWN, open_text
    return Order.DAY_FIRST, dotted


def read_date(text: str, order: Order) -> date:
    """The day, or a CellFault with code `date`."""
    if found := YEAR_FIRST.fullmatch(text):
        return _day(text, int(found[1]), int(found[3]), int(found[4]))
    if found := NUMERIC.fullmatch(text):
        return _numeric(text, int(found[1]), int(found[3]), int(found[4]), order)
    if found := DAY_NAME.fullmatch(text):
        return _day(text, int(found[3]), _month(text, found[2]), int(found[1]))
    if found := NAME_DAY.fullmatch(text):
        return _day(text, int(found[3]), _month(text, found[1]), int(found[2]))
    if text.isascii() and text.isdigit():
        raise CellFault("date", f"“{shown(text)}” looks like a spreadsheet's day number. {HINT}")
    raise CellFault("date", f"“{shown(text)}” is not a date we can read. {HINT}")


def _numeric(text: str, first: int, second: int, year: int, order: Order) -> date:
    if first != second and order is Order.UNKNOWN:
        raise CellFault("date", f"“{text}” can be read two ways. Write it like 2026-04-03, or choose day first.")
    if first != second and order is Order.MIXED:
        raise CellFault("date", f"This file has dates with the day first and with the month first. {HINT}")
    return _day(text, year, first, second) if order is Order.MONTH_FIRST else _day(text, year, second, first)


def _month(text: str, name: str) -> int:
    matches = [number for number, month in enumerate(MONTHS, 1) if _names(name.lower(), month)]
    if not matches:
        raise CellFault("date", f"“{shown(text)}” names no month we know. {HINT}")
    return matches[0]


def _names(name: str, month: str) -> bool:
    return name in (month, month[:3]) or (name == "sept" and month == "september")


def _day(text: str, year: int, month: int, day: int) -> date:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise CellFault("date", f"The year of “{text}” is not between {FIRST_YEAR} and {LAST_YEAR}.")
    try:
        return date(year, month, day)
    except ValueError:
        raise CellFault("date", f"There is no such day as “{text}”. {HINT}") from None
