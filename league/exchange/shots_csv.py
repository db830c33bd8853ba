"""Measured shots, one line for each: a file, or lines pasted from a spreadsheet.

    club             as it is called in the book; 7i, 7-iron and 7 iron are the same club, and so on
    carry            how far the ball flew
    off line         how far from the line aimed at it landed: right is positive; 12 R and 12 left too; may be left out
    date             the day: 2026-04-03, 3 April 2026, 03.04.2026; 03/04/2026 is asked about; may be left out
    unit             yards or metres, where the lines differ; may be left out, and may stand in a heading: carry (m)

Commas, semicolons or tabs, in any order of columns, any case; decimals with a point or a comma. Distances come out as
whole ones in the unit that is wanted, halves away from zero. Every problem is named by line and column.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from league.exchange.cells import CellFault, clean_text, shown, unguarded
from league.exchange.dates import Order, order_of, read_date
from league.exchange.incoming import text_of
from league.exchange.problems import Limits, Problem, ProblemList, Question
from league.exchange.table import Record, delimiter_of, records
from league.rules.printed import METRES_IN_A_YARD, YARDS

METRES = "metres"
COLUMNS = ("club", "carry", "off line", "date", "unit")
DISTANCES = ("carry", "off line")
OTHER_NAMES = {
    "carry distance": "carry",
    "distance": "carry",
    "offline": "off line",
    "side": "off line",
    "off": "off line",
    "day": "date",
    "hit on": "date",
}
UNITS = {"yards": YARDS, "yard": YARDS, "yds": YARDS, "yd": YARDS, "y": YARDS, "metres": METRES, "metre": METRES,
         "meters": METRES, "meter": METRES, "m": METRES}  # fmt: skip
TEMPLATE = "club,carry,off line,date\r\n7 iron,138,6 R,2026-04-03\r\n7 iron,131,-4,2026-04-03\r\n"

CLUB_CHARACTERS = 30
NUMBER = re.compile(r"([+-]?)([0-9]{1,4})(?:[.,]([0-9]{1,3}))?", re.ASCII)
SIDES = {"r": 1, "right": 1, "l": -1, "left": -1}
HEADING_UNIT = re.compile(r"(.*?)[ (\[]+([a-z]+)[)\]]*", re.ASCII)

KINDS = {"i": "iron", "iron": "iron", "w": "wood", "wood": "wood", "h": "hybrid", "hy": "hybrid", "hybrid": "hybrid",
         "rescue": "hybrid"}  # fmt: skip
NUMBERED = re.compile(r"([0-9]{1,2}) ?(i|iron|w|wood|h|hy|hybrid|rescue)|(i|iron|w|wood|h|hy|hybrid) ?([0-9]{1,2})")
WEDGES = {
    "pw": "pitching wedge",
    "p": "pitching wedge",
    "pitching": "pitching wedge",
    "gw": "gap wedge",
    "aw": "gap wedge",
    "sw": "sand wedge",
    "s": "sand wedge",
    "lw": "lob wedge",
}
DEGREES = re.compile(r"([0-9]{2}) ?(?:°|deg|degrees?)(?: wedge)?")


@dataclass(frozen=True, slots=True)
class ShotRow:
    """One shot in the unit that was wanted. `kind` is what the club's name says it is, "" where it says nothing."""

    row: int
    club: str
    kind: str
    carry: int
    off_line: int | None = None
    hit_on: date | None = None


@dataclass(slots=True)
class ShotsReading:
    """Take nothing unless `is_ready`: then every line could be read and nothing is open."""

    rows: list[ShotRow] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    @property
    def is_ready(self) -> bool:
        return not self.problems and not self.questions


def club_name(text: str) -> tuple[str, str]:
    """How a club is called here, and its kind where the name tells.

    >>> club_name("7i"), club_name("PW"), club_name("3-Wood"), club_name("56°"), club_name("My old spoon")
    (('7 iron', 'iron'), ('pitching wedge', 'wedge'), ('3 wood', 'wood'), ('56 degrees', 'wedge'), ('My old spoon', ''))
    """
    typed = " ".join(text.split())
    plain = " ".join(typed.casefold().replace("-", " ").replace("_", " ").split())
    if plain in ("driver", "dr", "d", "1 wood", "1w"):
        return "driver", "driver"
    if plain == "putter":
        return "putter", "putter"
    if found := NUMBERED.fullmatch(plain):
        kind = KINDS[found[2] or found[3]]
        return f"{int(found[1] or found[4])} {kind}", kind
    if plain in WEDGES or plain in WEDGES.values():
        return WEDGES.get(plain, plain), "wedge"
    if found := DEGREES.fullmatch(plain):
        return f"{found[1]} degrees", "wedge"
    return typed, "wedge" if plain.endswith("wedge") else ""


def read(
    data: bytes, *, wanted: str, unit: str = "", day_first: bool | None = None, limits: Limits | None = None
) -> ShotsReading:
    """All shots with distances in the unit `wanted`. `unit` is that of lines that do not say theirs, else `wanted`."""
    limits = limits or Limits()
    reading, problems = ShotsReading(), ProblemList(limits.problems)
    text = text_of(data, limits, advice="Save it as “CSV UTF-8”, or paste the lines.")
    if isinstance(text, Problem):
        reading.problems = [text]
        return reading
    lines = list(records(text, delimiter_of(text, lambda head: _heading(head)[0] in COLUMNS), limits, problems))
    if not lines:
        if not problems.listed:
            problems.add(0, "", "empty", "The file is empty.")
    elif heads := _headings(lines[0], problems):
        _read_rows(lines[1:], heads, _Units(wanted, unit or wanted), reading, problems, day_first)
    reading.problems = problems.finished()
    if reading.problems:
        reading.rows = []
    return reading


@dataclass(frozen=True, slots=True)
class _Head:
    column: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class _Units:
    wanted: str
    usual: str


@dataclass(slots=True)
class _Line:
    row: int
    cells: dict[str, str]
    problems: ProblemList

    def add(self, column: str, code: str, message: str) -> None:
        self.problems.add(self.row, column, code, message)


def _heading(text: str) -> tuple[str, str]:
    """The column, and the unit where the heading names one: Carry (m), carry_yards."""
    plain = " ".join(text.strip().casefold().replace("_", " ").replace("-", " ").split())
    named = OTHER_NAMES.get(plain, plain)
    if named in COLUMNS:
        return named, ""
    found = HEADING_UNIT.fullmatch(plain)
    if found and found[2] in UNITS:
        before = OTHER_NAMES.get(found[1].strip(), found[1].strip())
        if before in DISTANCES:
            return before, UNITS[found[2]]
    return plain, ""


def _headings(record: Record, problems: ProblemList) -> list[_Head]:
    """The columns, or none when the lines below cannot be read."""
    row, cells = record
    heads = [_Head(*_heading(cell)) for cell in cells]
    while heads and not heads[-1].column:
        heads.pop()
    names = [head.column for head in heads]
    if not set(names) & set(COLUMNS):
        message = "The first line must hold the headings, such as club, carry, off line, date."
        problems.add(row, "", "no_headings", message)
        return []
    for place, (name, cell) in enumerate(zip(names, cells, strict=False)):
        if name and name not in COLUMNS:
            message = f"We do not know the heading “{shown(cell)}”. Take the column out, or name it as one of ours."
            problems.add(row, shown(cell), "heading_unknown", message)
        elif name and name in names[:place]:
            problems.add(row, name, "heading_twice", f"The heading “{name}” stands there twice.")
    for name in ("club", "carry"):
        if name not in names:
            problems.add(row, name, "heading_missing", f"The heading “{name}” is missing.")
    return [] if problems.listed else heads


def _read_rows(
    lines: Sequence[Record],
    heads: Sequence[_Head],
    units: _Units,
    reading: ShotsReading,
    problems: ProblemList,
    day_first: bool | None,
) -> None:
    if not lines and not problems.listed:
        problems.add(0, "", "no_rows", "There are headings and no shots.")
    read_lines = list(_cells(lines, heads, problems))
    order, example = order_of((line.cells.get("date", "") for line in read_lines), day_first)
    if order is Order.UNKNOWN:
        rows = tuple(line.row for line in read_lines if line.cells.get("date") == example)[:1]
        message = f"“{shown(example)}” can be read two ways. Which comes first, the day or the month?"
        reading.questions.append(Question("day_first", message, ("yes", "no"), rows))
        order = Order.DAY_FIRST
    named = {head.column: head.unit for head in heads if head.unit}
    for line in read_lines:
        row = _shot(line, named, units, order)
        if row is not None:
            reading.rows.append(row)


def _cells(lines: Sequence[Record], heads: Sequence[_Head], problems: ProblemList) -> Iterator[_Line]:
    for row, cells in lines:
        if any(cell.strip() for cell in cells[len(heads) :]):
            problems.add(row, "", "row_long", f"This line has {len(cells)} cells, the heading {len(heads)}.")
            continue
        named = {head.column: unguarded(cell.strip()) for head, cell in zip(heads, cells, strict=False) if head.column}
        yield _Line(row, named, problems)


def _shot(line: _Line, named: dict[str, str], units: _Units, order: Order) -> ShotRow | None:
    n_before = line.problems.n_found
    name, kind = _club(line)
    unit = _unit(line, units)
    carry = _carry(line, _times(named.get("carry") or unit, units.wanted))
    off_line = _off_line(line, _times(named.get("off line") or unit, units.wanted))
    hit_on = _day(line, order)
    if line.problems.n_found > n_before or carry is None:
        return None
    return ShotRow(line.row, name, kind, carry, off_line, hit_on)


def _club(line: _Line) -> tuple[str, str]:
    try:
        text = clean_text(line.cells.get("club", ""), CLUB_CHARACTERS, Limits())
    except CellFault as fault:
        line.add("club", fault.code, fault.message)
        return "", ""
    if not text:
        line.add("club", "missing", "The club is missing.")
    return club_name(text)


def _unit(line: _Line, units: _Units) -> str:
    text = line.cells.get("unit", "").casefold()
    if text and text not in UNITS:
        line.add("unit", "choice", f"“{shown(text)}” is neither yards nor metres.")
    return UNITS.get(text, units.usual)


def _times(unit: str, wanted: str) -> Decimal:
    """A yard is 0.9144 m exactly (International Yard and Pound Agreement, 1959)."""
    if unit == wanted:
        return Decimal(1)
    metres = Decimal(METRES_IN_A_YARD.numerator) / Decimal(METRES_IN_A_YARD.denominator)
    return metres if unit == YARDS else 1 / metres


def _carry(line: _Line, times: Decimal) -> int | None:
    text = line.cells.get("carry", "")
    if not text:
        line.add("carry", "missing", "The carry is missing.")
        return None
    value = _distance(text)
    if value is None or value < 0:
        line.add("carry", "number", f"“{shown(text)}” is not a distance, such as 138 or 137.6.")
        return None
    return whole(value * times)


def _off_line(line: _Line, times: Decimal) -> int | None:
    text = line.cells.get("off line", "")
    if not text:
        return None
    try:
        return whole(off_line_of(text) * times)
    except CellFault as fault:
        line.add("off line", fault.code, fault.message)
        return None


def off_line_of(text: str) -> Decimal:
    """Right is positive; raises CellFault.

    >>> off_line_of("12 R"), off_line_of("left 4"), off_line_of("-3,5")
    (Decimal('12.0'), Decimal('-4.0'), Decimal('-3.5'))
    """
    plain = text.strip().casefold().replace("\N{MINUS SIGN}", "-")
    side = 0
    for word in sorted(SIDES, key=len, reverse=True):
        if plain.startswith(word) or plain.endswith(word):
            plain, side = plain.removeprefix(word).removesuffix(word).strip(), SIDES[word]
            break
    value = _distance(plain)
    if value is None or (side and plain.startswith(("-", "+"))):
        message = f"“{shown(text)}” is not how far off the line: write 12 or 12 R for right, -12 or 12 L for left."
        raise CellFault("number", message)
    return value * (side or 1)


def _day(line: _Line, order: Order) -> date | None:
    text = line.cells.get("date", "")
    if not text:
        return None
    try:
        return read_date(text, order)
    except CellFault as fault:
        line.add("date", fault.code, fault.message)
        return None


def _distance(text: str) -> Decimal | None:
    found = NUMBER.fullmatch(text)
    if found is None:
        return None
    return Decimal(f"{found[1]}{found[2]}.{found[3] or 0}")


def whole(value: Decimal) -> int:
    """Halves away from zero, so that left and right are treated alike."""
    return int(value.quantize(Decimal(1), ROUND_HALF_UP))
