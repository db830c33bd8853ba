"""A text that a person typed, as every face of the service takes it: forms, the API, imported cells."""

from league.exchange.cells import CellFault as TextFault
from league.exchange.cells import clean_text as clean_cell
from league.exchange.problems import Limits

__all__ = ["TextFault", "clean_text"]

LIMITS = Limits()


def clean_text(value: str, max_length: int, multiline: bool = False) -> str:
    """The text in NFC, without space at its ends and with line breaks as LF; raises TextFault (code, message)."""
    text = value.replace("\r\n", "\n").replace("\r", "\n") if multiline else value
    cleaned = clean_cell(text.strip(" \t\n"), max_length, LIMITS, many_lines=multiline)
    if len(cleaned) > max_length:
        raise TextFault("text_too_long", f"This has {len(cleaned)} characters; {max_length} at most.")
    return cleaned
