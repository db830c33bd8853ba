"""The holes of a tee out of a pasted table: par, stroke index and length, as a spreadsheet or a typed list gives them.

Either way round is read, tabs, semicolons, commas or spaces between:

    Hole  Par  Stroke index  Length          Hole          1    2   …  Out   10 …  In  Total
    1     4    7             352             Par           4    3   …  36
    2     3    15            148             Stroke index  7    15  …
    …                                        Length        352  148 …
    Out   36                 2980

The headings may be left out; the order is then hole, par, stroke index, length. Out, In and Total are compared with
the sums of the holes and never put in their place.
"""

import csv
import io
import re
from dataclasses import dataclass, field

from league.exchange.cells import CellFault, shown, whole_number
from league.exchange.problems import Limits, Note, Problem, ProblemList
from league.rules.printed import LONGEST_HOLE, METRES, YARDS, PrintedHole

FIELDS = ("number", "par", "stroke_index", "length")
LABELS = {
    "hole": "number", "holes": "number", "number": "number", "no": "number", "#": "number",
    "par": "par",
    "stroke_index": "stroke_index", "strokeindex": "stroke_index", "index": "stroke_index", "si": "stroke_index",
    "s.i.": "stroke_index", "s.i": "stroke_index",
    "length": "length", "yards": "length", "yds": "length", "yd": "length", "metres": "length", "meters": "length",
    "m": "length",
}  # fmt: skip
UNITS = {"yards": YARDS, "yds": YARDS, "yd": YARDS, "metres": METRES, "meters": METRES, "m": METRES}
SUMS = {"out": range(1, 10), "in": range(10, 19), "total": range(1, 19), "tot": range(1, 19)}
BOUNDS = {"number": (1, 18), "par": (3, 6), "stroke_index": (1, 18), "length": (1, LONGEST_HOLE)}
WORDS = {"number": "hole number", "par": "par", "stroke_index": "stroke index", "length": "length"}
TABLE_CHARACTERS = 20_000
TABLE_LINES = 60
NOTHING = frozenset(("", "-", "–"))


@dataclass(slots=True)
class HolesReading:
    """The holes in order of number, and everything that keeps them from being used."""

    rows: list[PrintedHole] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    length_unit: str = ""


Cell = tuple[int, str, str]
"""Line of the table, name of the place in words, text."""


def read_holes(text: str, *, limits: Limits | None = None) -> HolesReading:
    """Reads a table of 9 or 18 holes and says everything that is wrong with it."""
    problems = ProblemList((limits or Limits()).problems)
    reading = HolesReading()
    table = _table(text, problems)
    if table:
        columns, sums, reading.length_unit = _oriented(table, problems)
        if not problems.listed:
            holes = _holes(columns, problems)
            _check_sums(holes, sums, problems)
            _check_set(holes, problems)
            reading.rows = _rows(holes) if not problems.listed else []
    reading.problems = problems.finished()
    if reading.rows and not reading.length_unit and reading.rows[0].length is not None:
        message = "The table does not say whether lengths are in yards or metres."
        reading.notes.append(Note(0, "length", "length_unit_unknown", message))
    return reading


def _table(text: str, problems: ProblemList) -> list[tuple[int, list[str]]]:
    """The lines that hold something, as cells; nothing when the text is no table."""
    if len(text) > TABLE_CHARACTERS or text.count("\n") > TABLE_LINES:
        problems.add(0, "", "file_too_big", "This is more than the table of one tee. Paste its holes only.")
        return []
    numbered = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not numbered:
        problems.add(0, "", "empty", "The table is empty.")
    delimiter = next((mark for mark in "\t;," if all(mark in line for _, line in numbered)), "")
    if not delimiter:
        delimiter = next((mark for mark in "\t;," if mark in text), "")
    table = [(number, _cells(line, delimiter)) for number, line in numbered]
    return table if delimiter else _with_gaps(table)


def _with_gaps(table: list[tuple[int, list[str]]]) -> list[tuple[int, list[str]]]:
    """Between spaces a blank cell cannot be seen: puts back those a stroke index has none to show in, at the sums."""
    width = max((len(cells) for _, cells in table), default=0)
    heads = next((cells for _, cells in table if _label(cells[0]) == "number"), [])
    is_across = sum(bool(_label(cells[0])) for _, cells in table) > 1
    sums = [place for place, head in enumerate(heads) if head.lower() in SUMS]
    labels = [_label(head) for head in heads]
    gap = labels.index("stroke_index") if "stroke_index" in labels else FIELDS.index("stroke_index")
    for _, cells in table:
        if is_across and _label(cells[0]) == "stroke_index" and len(cells) + len(sums) == width:
            for place in sums:
                cells.insert(place, "")
        elif not is_across and cells[0].lower().rstrip(":") in SUMS and len(cells) + 1 == width:
            cells.insert(gap, "")
    return table


def _cells(line: str, delimiter: str) -> list[str]:
    if not delimiter:
        return re.sub(r"(?i)\b(stroke|hole) (index|number)\b", r"\1_\2", line).split()
    return [cell.strip() for cell in next(csv.reader(io.StringIO(line), delimiter=delimiter))]


def _label(text: str) -> str:
    plain = "_".join(text.lower().rstrip(":").split()).removesuffix("_(m)").removesuffix("_(yards)")
    return LABELS.get(plain.removeprefix("hole_") if plain == "hole_number" else plain, "")


Columns = dict[str, list[Cell]]
Sums = list[tuple[str, str, Cell]]


def _oriented(table: list[tuple[int, list[str]]], problems: ProblemList) -> tuple[Columns, Sums, str]:
    """One list of cells a field, the stated sums as (name of the sum, field, cell), and the unit of length."""
    firsts = [cells[0] for _, cells in table if cells]
    is_across = sum(bool(_label(first)) for first in firsts) > 1 or (len(table) <= 4 < len(table[0][1]))
    width = max(len(cells) for _, cells in table)
    if is_across:
        lines = [[(line, text) for text in cells] for line, cells in table]
    else:
        padded = [(line, cells + [""] * (width - len(cells))) for line, cells in table]
        lines = [[(line, cells[place]) for line, cells in padded] for place in range(width)]
    return _by_field(lines, problems)


def _by_field(lines: list[list[tuple[int, str]]], problems: ProblemList) -> tuple[Columns, Sums, str]:
    """Takes labels and sums off; each line holds the cells of one field."""
    has_labels = any(_label(line[0][1]) for line in lines if line)
    fields: list[str] = []
    unit = ""
    for place, line in enumerate(lines):
        at, text = line[0]
        name = _label(text) if has_labels else FIELDS[place] if place < len(FIELDS) else ""
        if not name:
            problems.add(at, shown(text), "heading_unknown", f"We do not know what “{shown(text)}” stands for.")
        elif name in fields:
            problems.add(at, shown(text), "heading_twice", f"There are two lists for {WORDS[name]}.")
        fields.append(name)
        unit = unit or UNITS.get(text.lower(), "")
    for name in ("number", "par", "stroke_index"):
        if name not in fields:
            problems.add(0, name, "heading_missing", f"There is no list for {WORDS[name]}.")
    if problems.listed:
        return {}, [], unit
    by_field = {name: line[1:] if has_labels else line for name, line in zip(fields, lines, strict=True)}
    return *_without_sums(by_field, problems), unit


def _without_sums(by_field: dict[str, list[tuple[int, str]]], problems: ProblemList) -> tuple[Columns, Sums]:
    columns: Columns = {name: [] for name in by_field}
    sums: Sums = []
    numbers = by_field["number"]
    for name, cells in by_field.items():
        for place, (line, text) in enumerate(cells):
            head = numbers[place][1].lower().rstrip(":") if place < len(numbers) else ""
            if place >= len(numbers) and text:
                problems.add(line, name, "row_long", f"“{shown(text)}” belongs to no hole.")
            elif head in SUMS:
                sums.append((head, name, (line, head, text)))
            elif head or text:
                columns[name].append((line, head, text))
    return columns, [entry for entry in sums if entry[1] != "number"]


Holes = dict[int, dict[str, int]]


def _holes(columns: Columns, problems: ProblemList) -> Holes:
    """Hole number -> its values, for every hole whose number can be read."""
    holes: Holes = {}
    for place, (line, _, text) in enumerate(columns["number"]):
        number = _value("number", (line, text, text), problems)
        if number is None:
            continue
        if number in holes:
            problems.add(line, "number", "hole_twice", f"Hole {number} stands in the table twice.")
        holes[number] = {}
        for name, cells in columns.items():
            cell = cells[place] if place < len(cells) else (line, text, "")
            value = _value(name, cell, problems) if name != "number" else None
            if value is not None:
                holes[number][name] = value
    return holes


def _value(name: str, cell: Cell, problems: ProblemList) -> int | None:
    line, where, text = cell
    if name == "length" and text in NOTHING:
        return None
    low, high = BOUNDS[name]
    try:
        value = whole_number(text, None)
        if low <= value <= high:
            return value
    except CellFault:
        pass
    of_hole = f" of hole {shown(where)}" if name != "number" else ""
    message = f"The {WORDS[name]}{of_hole} is a whole number from {low} to {high}, not “{shown(text)}”."
    problems.add(line, name, "number", message)
    return None


def _check_sums(holes: Holes, sums: Sums, problems: ProblemList) -> None:
    for head, name, (line, _, text) in sums:
        if name == "stroke_index" or text in NOTHING:
            continue
        values = [values.get(name) for number, values in holes.items() if number in SUMS[head]]
        added = sum(value for value in values if value is not None)
        try:
            stated = whole_number(text, None)
        except CellFault as fault:
            problems.add(line, name, fault.code, fault.message)
            continue
        if stated != added:
            message = f"{head.capitalize()} says {stated}, the holes add up to {added}. Put right whichever is wrong."
            problems.add(line, name, "sum_differs", message)


def _check_set(holes: Holes, problems: ProblemList) -> None:
    numbers = sorted(holes)
    for wanted in (9, 18):
        missing = sorted(set(range(1, wanted + 1)) - set(numbers))
        if missing and wanted == (9 if max(numbers, default=0) <= 9 else 18):
            message = f"These holes are missing: {', '.join(map(str, missing))}. A tee has 9 or 18 holes."
            problems.add(0, "number", "hole_missing", message)
    owners: dict[int, int] = {}
    for number in numbers:
        index = holes[number].get("stroke_index")
        if index is not None and owners.setdefault(index, number) != number:
            message = f"Holes {owners[index]} and {number} both have stroke index {index}."
            problems.add(0, "stroke_index", "stroke_index_twice", message)


def _rows(holes: Holes) -> list[PrintedHole]:
    return [
        PrintedHole(number, holes[number]["par"], holes[number]["stroke_index"], holes[number].get("length"))
        for number in sorted(holes)
    ]
