"""Small numbers in words.

>>> count(1, "double"), count(3, "double"), halves(7.4), halves(0.6)
('one double', 'three doubles', 'seven and a half', 'half')
"""

import math

WORDS = (
    *("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
)


def number(value: int) -> str:
    return WORDS[value] if 0 <= value < len(WORDS) else str(value)


def count(value: int, noun: str) -> str:
    return f"{number(value)} {noun}{'' if value == 1 else 's'}"


def halves(value: float) -> str:
    """A number of nought or more, to the nearest half."""
    whole, half = divmod(math.floor(2 * value + 0.5), 2)
    if not half:
        return number(whole)
    return f"{number(whole)} and a half" if whole else "half"


def strokes(value: float) -> str:
    """So many strokes, to the nearest half."""
    text = halves(value)
    if text == "half":
        return "half a stroke"
    return f"{text} stroke{'' if text == 'one' else 's'}"
