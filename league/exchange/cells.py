"""One cell of a table: what may stand in it, how it is shown in a message, how it is kept from acting as a formula."""

import re
import unicodedata

from league.exchange.problems import Limits

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
WHOLE_NUMBER = re.compile(r"(-?[0-9]{1,6})(?:([.,])0{1,2})?", re.ASCII)
DIRECTION_OVERRIDES = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
# Letters by category that nevertheless draw nothing (Hangul fillers, the blank Braille pattern).
BLANK_LETTERS = frozenset("\u115f\u1160\u3164\uffa0\u2800")


class CellFault(ValueError):
    """A cell that cannot be taken as it stands; the reader of the row turns it into a Problem."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


def shown(text: str) -> str:
    """A cell as a message may quote it: short, and without anything that acts on the reader's screen."""
    short = text if len(text) <= 40 else f"{text[:39]}…"
    return "".join(c if c.isprintable() and unicodedata.category(c)[0] != "M" else "?" for c in short)


def clean_text(text: str, limit: int, limits: Limits, *, many_lines: bool = False) -> str:
    """The text in NFC, or a CellFault. `many_lines` lets line breaks and tabs pass, as a note may have them.

    A text of digits ("007") or "NA" stays a text.
    """
    if len(text) > limit:
        raise CellFault("text_too_long", f"This has {len(text)} characters; {limit} at most.")
    if text.isascii() and text.isprintable():
        return text
    _refuse_hidden(text, limits, "\n\t" if many_lines else "")
    composed = unicodedata.normalize("NFC", text)
    if len(composed) > limit:
        raise CellFault("text_too_long", f"This has {len(composed)} characters; {limit} at most.")
    return composed


def _refuse_hidden(text: str, limits: Limits, allowed: str) -> None:
    """Raises CellFault. Runs before NFC, whose ordering of a long run of marks takes quadratic time."""
    marks, is_visible = 0, False
    for character in text:
        kind = unicodedata.category(character)
        marks = marks + 1 if kind[0] == "M" else 0
        if marks > limits.combining_marks:
            raise CellFault("text", f"More than {limits.combining_marks} accents on one letter. Take some out.")
        if character in DIRECTION_OVERRIDES:
            raise CellFault("text", "A hidden character here turns the direction of the text. Type it again.")
        if character not in allowed and (kind in ("Cc", "Cs", "Zl", "Zp") or _is_noncharacter(character)):
            raise CellFault("text", "A control character or line break stands here. Type it again.")
        is_visible = is_visible or (kind[0] not in "CMZ" or kind == "Co") and character not in BLANK_LETTERS
    if not is_visible:
        raise CellFault("text", "Only invisible characters stand here. Type it again.")


def _is_noncharacter(character: str) -> bool:
    code = ord(character)
    return code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF


def whole_number(text: str, decimal_comma: bool | None) -> int:
    """A whole number written with ASCII digits; "72.0" is 72, and "72,0" too unless a comma is no decimal here."""
    found = WHOLE_NUMBER.fullmatch(text)
    if found is None:
        raise CellFault("number", f"“{shown(text)}” is not a whole number.")
    if found[2] and found[2] == ("," if decimal_comma is False else "." if decimal_comma else None):
        raise CellFault("number", f"“{shown(text)}” is not a whole number in this file's way of writing decimals.")
    return int(found[1])


def tenths_text(tenths: int) -> str:
    """A number of tenths with its decimal point: 123 is "12.3"."""
    return f"{'-' if tenths < 0 else ''}{abs(tenths) // 10}.{abs(tenths) % 10}"


def guarded(text: str) -> str:
    """The text as an export writes it: a leading apostrophe where a spreadsheet would run it as a formula."""
    return f"'{text}" if text.lstrip("'").startswith(FORMULA_STARTS) else text


def unguarded(text: str) -> str:
    """Takes off again exactly what `guarded` put on."""
    return text[1:] if text.startswith("'") and text.lstrip("'").startswith(FORMULA_STARTS) else text
