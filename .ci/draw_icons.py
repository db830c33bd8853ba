"""Draws league/static/league/icon-*.png from the shapes of favicon.svg: `python3 .ci/draw_icons.py`.

Everything in it is an upright rectangle, so how much of a pixel a shape covers is exact and the same on every machine.
"""

import struct
import zlib
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

SIZES = (180, 192, 512)
UNITS = 32
PAPER, INK, ACCENT = (0xF6, 0xF7, 0xF4), (0x17, 0x21, 0x2A), (0x0B, 0x4D, 0x7A)
# Two rules, as at the head of a sheet; then the line "M4 15.5h8v5h8v5h8" with a stroke of 3, leg by leg, none twice.
RULES = ((4, 4, 28, 7), (4, 9, 28, 10))
STAIRS = ((4, 14, 13.5, 17), (10.5, 17, 13.5, 19), (10.5, 19, 21.5, 22), (18.5, 22, 21.5, 24), (18.5, 24, 28, 27))
STATIC = Path(__file__).resolve().parents[1] / "league" / "static" / "league"

Colour = tuple[int, int, int]
Box = tuple[float, float, float, float]


def _covered(boxes: Iterable[Box], scale: Fraction, x: int, y: int) -> Fraction:
    """The share of this pixel that the boxes cover."""
    total = Fraction(0)
    for box in boxes:
        left, top, right, bottom = (Fraction(edge) * scale for edge in box)
        total += _within(left, right, x) * _within(top, bottom, y)
    return total


def _within(start: Fraction, end: Fraction, pixel: int) -> Fraction:
    """The part of the step from `pixel` to the next that lies between start and end."""
    return max(min(end, Fraction(pixel + 1)) - max(start, Fraction(pixel)), Fraction(0))


def _mixed(colour: Colour, share: Fraction) -> Colour:
    red, green, blue = (round(below + (above - below) * share) for below, above in zip(PAPER, colour, strict=True))
    return red, green, blue


def pixels(size: int) -> list[list[Colour]]:
    """The rows of the picture; rows that are the same are worked out once."""
    scale = Fraction(size, UNITS)
    rows: dict[tuple[Fraction, ...], list[Colour]] = {}
    drawn = []
    for y in range(size):
        key = tuple(_within(Fraction(box[1]) * scale, Fraction(box[3]) * scale, y) for box in (*RULES, *STAIRS))
        if key not in rows:
            rows[key] = [_pixel(scale, x, y) for x in range(size)]
        drawn.append(rows[key])
    return drawn


def _pixel(scale: Fraction, x: int, y: int) -> Colour:
    ink = _covered(RULES, scale, x, y)
    return _mixed(INK, ink) if ink else _mixed(ACCENT, _covered(STAIRS, scale, x, y))


def png(rows: list[list[Colour]]) -> bytes:
    """The picture with a palette, as small as it gets."""
    palette = sorted({colour for row in rows for colour in row})
    place = {colour: number for number, colour in enumerate(palette)}
    lines = b"".join(b"\0" + bytes(place[colour] for colour in row) for row in rows)
    head = struct.pack(">IIBBBBB", len(rows[0]), len(rows), 8, 3, 0, 0, 0)
    parts = ((b"IHDR", head), (b"PLTE", bytes(sum(palette, ()))), (b"IDAT", zlib.compress(lines, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(matter)) + kind + matter + struct.pack(">I", zlib.crc32(kind + matter))
        for kind, matter in parts
    )


if __name__ == "__main__":
    for size in SIZES:
        (STATIC / f"icon-{size}.png").write_bytes(png(pixels(size)))
