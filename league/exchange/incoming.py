"""Bytes as they arrive -> text, or the one problem that says why not. Nothing is ever unpacked."""

import codecs

from league.exchange.problems import Limits, Problem

SAVE_AS = "Save it as “CSV UTF-8” and send it again."

# First bytes of common formats. Common knowledge of the formats, from memory; a wrong guess only changes the wording
# of a refusal, because none of these can begin a table with our headings.
KINDS: tuple[tuple[bytes, str], ...] = (
    (b"\x89PNG", "an image"),
    (b"\xff\xd8\xff", "an image"),
    (b"GIF8", "an image"),
    (b"RIFF", "a media file"),
    (b"II*\x00", "an image"),
    (b"MM\x00*", "an image"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a workbook or a zip archive"),
    (b"PK\x05\x06", "an empty zip archive"),
    (b"\xd0\xcf\x11\xe0", "an old workbook"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ", "an xz archive"),
    (b"(\xb5/\xfd", "a zstd archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a rar archive"),
    (b"{\\rtf", "a text document with formatting"),
    (b"SQLite format 3", "a database"),
)


def text_of(data: bytes, limits: Limits, wanted: str = "a CSV file", advice: str = SAVE_AS) -> str | Problem:
    """The text of a file in UTF-8, with or without a byte order mark, or the problem that stops it."""
    if limits.bytes is not None and len(data) > limits.bytes:
        return Problem(0, "", "file_too_big", f"The file is larger than {limits.bytes // 1024} KiB. Send it in parts.")
    if not data.strip():
        return Problem(0, "", "empty", "The file is empty.")
    return _wrong_kind(data, wanted, advice) or _wrong_encoding(data, advice) or data.decode("utf-8-sig")


def _wrong_kind(data: bytes, wanted: str, advice: str) -> Problem | None:
    for start, kind in KINDS:
        if data.startswith(start):
            return Problem(0, "", "file_kind", f"This is {kind}, not {wanted}. {advice}")
    opening = data.removeprefix(codecs.BOM_UTF8)[:512].lstrip()
    if opening.startswith(b"<"):
        return Problem(0, "", "file_kind", f"This is a web page or XML, not {wanted}. {advice}")
    return None


def _wrong_encoding(data: bytes, advice: str) -> Problem | None:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_BE)):
        return Problem(0, "", "encoding", f"The file is in UTF-16 or UTF-32. {advice}")
    n_nul = data.count(0)
    if n_nul * 3 > len(data):
        return Problem(0, "", "encoding", f"The file looks like UTF-16 without a mark. {advice}")
    if n_nul:
        line = line_at(data, data.index(0))
        return Problem(line, "", "nul", f"Line {line} holds a NUL character, which no text has. {advice}")
    try:
        codecs.utf_8_decode(data, "strict", True)
    except UnicodeDecodeError as fault:
        line = line_at(data, fault.start)
        return Problem(line, "", "encoding", f"Line {line} is not UTF-8. {advice}")
    return None


def line_at(data: bytes, position: int) -> int:
    """The line, from 1, that holds the byte at `position`; LF, CRLF and CR all end a line."""
    before = data[:position]
    return before.count(b"\n") + before.count(b"\r") - before.count(b"\r\n") + 1
