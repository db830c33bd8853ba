"""Descriptions of holes as a table, one line for each thing on a hole: pasted from a spreadsheet, or written for one.

    hole  what          side    from  to   off line  depth  wide  counted from  note
    7     penalty area  right   180   240  25                     tee           the pond
    7     bunker        left    -10   5    3         8            green
    7     width                 210                         32
    7     green                                      28     22
    7     bend          left    210                  40
    7     safe side     short
    7     hard chip     long
    7     rise to green                              -4
    7     name                                                                  Sluice

`from` of a width or a bend is where it stands; `depth` of a bend is its angle in degrees, of a rise how much it rises.
Commas, semicolons or tabs; any order of columns, any case. Every problem is named by line and column.
"""

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from league.exchange.cells import CellFault, clean_text, guarded, shown, unguarded, whole_number
from league.exchange.problems import Limits, Problem, ProblemList
from league.exchange.table import delimiter_of, records
from league.rules import described
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width
from league.rules.errors import RuleBroken

COLUMNS = ("hole", "what", "side", "from", "to", "off line", "depth", "wide", "counted from", "note")
KINDS = {kind.value.replace("_", " "): kind for kind in TroubleKind} | {"fall-off": TroubleKind.FALL_OFF}
RISES = {"rise to landing": "rise_to_landing", "rise to green": "rise_to_green"}
WORDS = {"name": "name", "note": "note"}
WHAT = (*(kind.value.replace("_", " ") for kind in TroubleKind), "width", "green", "bend", "safe side", "hard chip")
WHAT += (*RISES, *WORDS)
TABLE_CHARACTERS = 60_000
ROWS = 18 * 40
NUMBERS = ("from", "to", "off line", "depth", "wide")
USED = {
    "width": ("from", "wide"),
    "green": ("depth", "wide"),
    "bend": ("side", "from", "depth"),
    "safe side": ("side",),
    "hard chip": ("side",),
    "rise to landing": ("depth",),
    "rise to green": ("depth",),
    "name": ("note",),
    "note": ("note",),
}
"""The columns that a line may fill, beside its hole; trouble may fill all but `wide`."""


@dataclass(slots=True)
class DescriptionsReading:
    """The holes in order of number, or none and everything that keeps them from being used."""

    holes: list[Described] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


@dataclass(slots=True)
class _Line:
    """One line of the table with its cells by column."""

    row: int
    cells: dict[str, str]
    problems: ProblemList

    def add(self, column: str, code: str, message: str) -> None:
        self.problems.add(self.row, column, code, message)

    def number(self, column: str) -> int | None:
        text = self.cells.get(column, "")
        if not text:
            return None
        try:
            return whole_number(text, None)
        except CellFault as fault:
            self.add(column, fault.code, fault.message)
            return None

    def needed(self, column: str) -> int:
        if not self.cells.get(column):
            self.add(column, "missing", f"“{self.cells['what']}” needs a number in “{column}”.")
        return self.number(column) or 0

    def side(self, *, is_needed: bool = True) -> Side:
        text = self.cells.get("side", "").casefold()
        if text in set(Side):
            return Side(text)
        if text or is_needed:
            self.add("side", "choice", f"A side is one of: {', '.join(Side)}; not “{shown(text)}”.")
        return Side.ACROSS


def read(text: str, *, limits: Limits | None = None) -> DescriptionsReading:
    """All holes of the table, each checked by the rules of a description (`league.rules.described`)."""
    limits = replace(limits or Limits(), rows=ROWS)
    problems = ProblemList(limits.problems)
    if len(text) > TABLE_CHARACTERS:
        problems.add(0, "", "file_too_big", f"A table has at most {TABLE_CHARACTERS} characters.")
        return DescriptionsReading(problems=problems.finished())
    by_hole: dict[int, list[_Line]] = {}
    for line in _lines(text, limits, problems):
        number = line.needed("hole")
        if not 1 <= number <= 18:
            line.add("hole", "number", "A hole is a whole number from 1 to 18.")
            continue
        by_hole.setdefault(number, []).append(line)
    holes = [_hole(number, by_hole[number]) for number in sorted(by_hole)]
    if not holes and not problems.listed:
        problems.add(0, "", "empty", "The table holds no hole.")
    return DescriptionsReading([] if problems.listed else holes, problems.finished())


def _lines(text: str, limits: Limits, problems: ProblemList) -> Iterator[_Line]:
    rows = records(text, delimiter_of(text, lambda head: _heading(head) in COLUMNS), limits, problems)
    first = next(rows, None)
    if first is None:
        return
    heads = [_heading(cell) for cell in first[1]]
    for head in heads:
        if head and head not in COLUMNS:
            problems.add(first[0], shown(head), "heading_unknown", f"We do not know the column “{shown(head)}”.")
        elif head and heads.count(head) > 1:
            problems.add(first[0], head, "heading_twice", f"The column “{head}” stands there twice.")
    for head in ("hole", "what"):
        if head not in heads:
            problems.add(first[0], head, "heading_missing", f"There is no column “{head}”.")
    if problems.listed:
        return
    for row, cells in rows:
        if any(cell.strip() for cell in cells[len(heads) :]):
            problems.add(row, "", "row_long", f"This line has {len(cells)} cells, the heading {len(heads)}.")
            continue
        named = {head: unguarded(cell.strip()) for head, cell in zip(heads, cells, strict=False) if head}
        yield _Line(row, named, problems)


def _heading(text: str) -> str:
    return " ".join(text.strip().casefold().replace("_", " ").split())


def _hole(number: int, lines: list[_Line]) -> Described:
    """What the lines of one hole say; the rules' own problems stand at the line they come from."""
    values: dict[str, Any] = {"number": number, "trouble": [], "widths": [], "hard_chip_from": []}
    origin: dict[str, _Line] = {}
    for line in lines:
        what = _heading(line.cells.get("what", ""))
        line.cells["what"] = what
        _take(what, line, values, origin)
    for name in ("trouble", "widths", "hard_chip_from"):
        values[name] = tuple(values[name])
    hole = Described(**values)
    try:
        described.check(hole)
    except RuleBroken as broken:
        for each in broken.problems:
            at = origin.get(".".join(each.field.split(".")[:2])) or origin.get(each.field) or lines[0]
            at.add(_column_of(each.field), each.code, each.message)
    return hole


def _take(what: str, line: _Line, values: dict[str, Any], origin: dict[str, _Line]) -> None:
    """Puts one line where it belongs in the values of its hole."""
    if what not in KINDS and what not in USED:
        line.add("what", "choice", f"“{shown(what)}” is none of: {', '.join(WHAT)}.")
        return
    _refuse_unused(what, line)
    if what in KINDS:
        origin[f"trouble.{len(values['trouble'])}"] = line
        values["trouble"].append(_trouble(KINDS[what], line))
    elif what == "width":
        origin[f"widths.{len(values['widths'])}"] = line
        values["widths"].append(Width(line.needed("from"), line.needed("wide")))
    elif what == "hard chip":
        origin["hard_chip_from"] = line
        values["hard_chip_from"].append(line.side())
    else:
        _take_one(what, line, values, origin)


def _take_one(what: str, line: _Line, values: dict[str, Any], origin: dict[str, _Line]) -> None:
    """What stands once on a hole."""
    found: dict[str, Any]
    if what == "green":
        found = {"green_depth": line.number("depth"), "green_width": line.number("wide")}
    elif what == "bend":
        found = {"bend_to": line.side(), "bend_at": line.needed("from"), "bend_degrees": line.number("depth")}
    elif what == "safe side":
        found = {"safe_side": line.side()}
    elif what in RISES:
        found = {RISES[what]: line.needed("depth")}
    else:
        longest = described.LONGEST_NAME if what == "name" else described.LONGEST_NOTE
        found = {WORDS[what]: _text(line, longest)}
    for name, value in found.items():
        if name in origin:
            line.add("what", "twice", f"“{what}” stands twice for hole {values['number']}.")
        origin[name] = line
        values[name] = value


def _trouble(kind: TroubleKind, line: _Line) -> Trouble:
    counted = line.cells.get("counted from", "").casefold() or CountedFrom.TEE
    if counted not in set(CountedFrom):
        line.add("counted from", "choice", f"Distances count from tee or green, not “{shown(counted)}”.")
        counted = CountedFrom.TEE
    begins = line.needed("from")
    ends = line.number("to")
    return Trouble(
        kind,
        line.side(),
        begins=begins,
        ends=begins if ends is None else ends,
        off_line=line.number("off line"),
        depth=line.number("depth"),
        counted_from=CountedFrom(counted),
        note=_text(line, described.LONGEST_NOTE),
    )


def _refuse_unused(what: str, line: _Line) -> None:
    used = USED.get(what) or ("side", "from", "to", "off line", "depth", "counted from", "note")
    for column in ("side", *NUMBERS, "counted from", "note"):
        if line.cells.get(column) and column not in used:
            line.add(column, "unused", f"“{what}” takes nothing in “{column}”; it takes: {', '.join(used)}.")


def _text(line: _Line, longest: int) -> str:
    try:
        return clean_text(line.cells.get("note", ""), longest, Limits())
    except CellFault as fault:
        line.add("note", fault.code, fault.message)
        return ""


def _column_of(path: str) -> str:
    """The column in which the value of this path stands."""
    name = path.rsplit(".", 1)[-1]
    columns = {
        "begins": "from", "ends": "to", "off_line": "off line", "distance": "from", "width": "wide", "bend_at": "from",
        "bend_degrees": "depth", "green_depth": "depth", "green_width": "wide", "rise_to_landing": "depth",
        "rise_to_green": "depth", "number": "hole", "name": "note",
    }  # fmt: skip
    return columns.get(name, "side" if "side" in name or name in ("bend_to", "hard_chip_from") else name)


def write(holes: Iterable[Described]) -> str:
    """The same table as CSV, with everything that is known; `read` gives the same holes back."""
    text = io.StringIO(newline="")
    table = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\r\n")
    table.writeheader()
    for hole in holes:
        for row in _rows(hole):
            told = {name: "" if value is None else value for name, value in row.items()}
            table.writerow({"hole": hole.number, **{name: _cell(value) for name, value in told.items()}})
    return text.getvalue()


def _cell(value: object) -> str:
    """A negative number is no formula; a text that looks like one is kept from acting as one."""
    return str(value) if isinstance(value, int) else guarded(str(value))


def _rows(hole: Described) -> Iterator[dict[str, Any]]:
    if hole.name:
        yield {"what": "name", "note": hole.name}
    yield from map(_trouble_row, hole.trouble)
    for width in hole.widths:
        yield {"what": "width", "from": width.distance, "wide": width.width}
    yield from _shape_rows(hole)
    if hole.safe_side is not None:
        yield {"what": "safe side", "side": hole.safe_side.value}
    for side in hole.hard_chip_from:
        yield {"what": "hard chip", "side": side.value}
    if hole.note:
        yield {"what": "note", "note": hole.note}


def _trouble_row(one: Trouble) -> dict[str, Any]:
    return {
        "what": one.kind.value.replace("_", " "),
        "side": one.side.value,
        "from": one.begins,
        "to": one.ends,
        "off line": one.off_line,
        "depth": one.depth,
        "counted from": one.counted_from.value,
        "note": one.note,
    }


def _shape_rows(hole: Described) -> Iterator[dict[str, Any]]:
    """Green, bend, ups and downs."""
    if hole.green_depth is not None or hole.green_width is not None:
        yield {"what": "green", "depth": hole.green_depth, "wide": hole.green_width}
    if hole.bend_to is not None:
        yield {"what": "bend", "side": hole.bend_to.value, "from": hole.bend_at, "depth": hole.bend_degrees}
    for words, name in RISES.items():
        if getattr(hole, name) is not None:
            yield {"what": words, "depth": getattr(hole, name)}
