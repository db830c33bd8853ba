"""The words of figures and days, shared by the pictures and the template filters."""

from datetime import date

DASH = "\u2013"
MINUS = "\u2212"
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
COUNTS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def tenths_words(tenths: int | None) -> str:
    """169 -> 16.9, -4 -> \u22120.4, nothing -> an en dash."""
    if tenths is None:
        return DASH
    whole, part = divmod(abs(tenths), 10)
    return f"{MINUS if tenths < 0 else ''}{whole}.{part}"


def index_words(tenths: int | None) -> str:
    """An index as players write it: below zero it is a plus, so -24 -> +2.4."""
    if tenths is None:
        return DASH
    return f"+{tenths_words(-tenths)}" if tenths < 0 else tenths_words(tenths)


def step_words(tenths: int | None) -> str:
    """From one index to the next: down 0.4, up 0.2, no change; nothing before it -> an en dash."""
    if tenths is None:
        return DASH
    if tenths == 0:
        return "no change"
    return f"{'down' if tenths < 0 else 'up'} {tenths_words(abs(tenths))}"


def signed_words(strokes: int | None) -> str:
    """Strokes against what was due: +3, \u22121, 0."""
    if strokes is None:
        return DASH
    return f"+{strokes}" if strokes > 0 else f"{MINUS}{-strokes}" if strokes < 0 else "0"


def difference_words(strokes: float) -> str:
    """A difference that is known to some hundredths of a stroke: +0.35, \u22120.20."""
    return f"{MINUS if strokes < 0 else '+'}{abs(strokes):.2f}"


def day_words(day: date) -> str:
    """12 Sep 2026."""
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"


def count_words(count: int) -> str:
    """Whole numbers to twelve in words."""
    return COUNTS[count] if 0 <= count < len(COUNTS) else str(count)
