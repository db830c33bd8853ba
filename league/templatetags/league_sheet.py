"""Filters for what a sheet prints: figures, steps, days and names, in the same words as the pictures."""

import re
from collections.abc import Sequence
from datetime import date

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from league import charts
from league.charts.words import DASH, MINUS, MONTHS

register = template.Library()

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
HYPHEN_BEFORE_FIGURE = re.compile(r"(?<![\w.)])-(?=\d)")

# Tenths as whole numbers in, words out; nothing becomes an en dash.
register.filter("index", charts.index_words)  # 24 -> 2.4, -24 -> +2.4
register.filter("tenths", charts.tenths_words)  # 169 -> 16.9, -4 -> a minus sign and 0.4
register.filter("step", charts.step_words)  # -4 -> down 0.4, 2 -> up 0.2, 0 -> no change
register.filter("signed", charts.signed_words)  # whole strokes: 3 -> +3


@register.filter
def handicap(strokes: int | None) -> str:
    """A whole course or playing handicap: 17, and +2 for a player who gives two strokes."""
    if strokes is None:
        return DASH
    return f"+{-strokes}" if strokes < 0 else str(strokes)


@register.filter
def figures(words: object) -> str:
    """The minus sign of print before a figure: -1.1 in a sentence or a cell -> a minus sign and 1.1."""
    return HYPHEN_BEFORE_FIGURE.sub(MINUS, str(words))


@register.filter
def percent(share: float) -> str:
    """0.254 -> 25 %; never below 1 or above 99, since nothing here is that sure."""
    return f"{min(99, max(1, round(100 * share)))} %"


@register.filter
def or_dash(value: object) -> object:
    """An en dash for what is absent; 0 is not absent."""
    return DASH if value is None or value == "" else value


@register.filter
def aside(distance: float | None) -> str:
    """12 right, 4 left, none where it rounds to nothing; right is positive. Nothing known: an en dash."""
    if distance is None:
        return DASH
    whole = round(abs(distance))
    return f"{whole} {'right' if distance > 0 else 'left'}" if whole else "none"


@register.filter
def long_day(day: date | None) -> str:
    """Saturday 12 September 2026."""
    if day is None:
        return DASH
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


@register.filter
def day(day: date | None) -> str:
    """12 Sep 2026."""
    return DASH if day is None else charts.day_words(day)


@register.filter
def short_day(day: date | None) -> str:
    """12 Sep."""
    return DASH if day is None else f"{day.day} {MONTHS[day.month - 1][:3]}"


@register.filter
def in_words(count: int) -> str:
    """Whole numbers to twelve in words."""
    return charts.count_words(count)


@register.filter
def name(words: str) -> SafeString:
    """A name somebody typed, kept from turning the direction of the text around it."""
    return format_html("<bdi>{}</bdi>", words)


@register.filter
def column_is_figure(columns: Sequence[charts.Column], at: int) -> bool:
    """Whether the cells of this column are figures."""
    return columns[at].is_figure


@register.filter
def before_colon(words: str) -> str:
    """The label of a row in front of that of its field: "Trouble 1: side" -> "Trouble 1"."""
    return str(words).partition(": ")[0]


@register.filter
def after_colon(words: str) -> str:
    """The label of a field in its row: "Trouble 1: side" -> "Side"."""
    own = str(words).partition(": ")[2]
    return own[:1].upper() + own[1:]
