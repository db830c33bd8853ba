"""Rounds in a CSV file: one row a round. Our own template, read with patience and written back the same.

Columns, in any order, capitals or not. Must be there: `played_on`, `course`, `tee`, and `gross`,
`adjusted_gross` or hole columns.

    player                   whose round; only in a file an organiser imports
    played_on                the day: 2026-04-03, 3 April 2026, 03.04.2026; 03/04/2026 is asked about
    order_in_day             1, 2 …: which round of that day, if there were several
    course, tee              as they are called here
    rated                    men or women: which rating of the tee; blank if it has one
    holes                    18, front 9, back 9, 9 (of a nine-hole tee), or a list such as 1 to 14 or 1-6, 10-18
    gross                    the total; may be left out when the holes are there, else it must agree with them
    adjusted_gross           the adjusted gross score, if it was worked out before
    h1 … h18                 strokes; x for picked up; 7x for picked up, most likely 7; - or blank for not played
    putts1 … putts18         how many of them were putts
    penalties1 … penalties18 how many of them were penalty strokes
    longputt1 … longputt18   yes or no: the first putt was from beyond 20 feet; may be left out
    shortgame1 … shortgame18 strokes from inside about 60 yards, putts included; may be left out
    recovery1 … recovery18   yes or no: a shot only brought the ball back into play; may be left out
    marker                   who kept or attested the card
    playing_conditions       -1 to 3, when somebody published one for that day
    playing_conditions_from  who published it
    reason                   why only 10 to 17 holes were played: light, weather, injury, illness, decided (the match
                             was) or closed (a hole was); those cards need their strokes hole by hole
    note                     anything, up to 500 characters; may have several lines
    ref                      a mark of your own to find the round again
    differential, unofficial written by exports, ignored when read: they are computed again

Accepted form: commas, semicolons or tabs; UTF-8 with or without a byte order mark; LF, CRLF or CR; cells in quotes or
not; blank lines; spaces round a cell. A cell that begins with = + - @ is written with an apostrophe before it, so that
a spreadsheet shows it instead of running it; the apostrophe goes again when the file is read. Line breaks inside a
note are read as LF. Text is brought to Unicode's composed form (NFC). Nothing else is changed.
"""

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from league.exchange.cells import CellFault, guarded, shown, tenths_text
from league.exchange.dates import Order, order_of
from league.exchange.incoming import text_of
from league.exchange.problems import UNOFFICIAL, Limits, Note, Problem, ProblemList, Question
from league.exchange.round_parts import Parser, parsers, round_row
from league.exchange.round_row import (
    COLUMNS,
    HOLE_COLUMNS,
    IGNORED,
    MORE_COLUMNS,
    N_HOLES,
    REQUIRED,
    HoleScore,
    RoundRow,
    round_identity,
)
from league.exchange.table import Record, delimiter_of, records

KNOWN = frozenset((*COLUMNS, *MORE_COLUMNS, *IGNORED))
OTHER_NAMES = {"date": "played_on"} | {
    f"{word}_{number}": f"{column}{number}"
    for number in range(1, N_HOLES + 1)
    for word, column in (("hole", "h"), ("h", "h"), ("putts", "putts"), ("penalties", "penalties"))
}
N_EXAMPLES = 20


@dataclass(slots=True)
class Reading:
    """What a file said. Store nothing unless `is_ready`: then every row could be read and nothing is open."""

    rows: list[RoundRow] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    columns: list[str] = field(default_factory=list)

    @property
    def is_ready(self) -> bool:
        return not self.problems and not self.questions


def read(
    data: bytes,
    *,
    day_first: bool | None = None,
    decimal_comma: bool | None = None,
    keep_twice: bool | None = None,
    limits: Limits | None = None,
) -> Reading:
    """Reads a whole file and says everything that is wrong with it.

    `day_first` answers the question of that name. `decimal_comma` None takes "72,0" and "72.0" both for 72.
    `keep_twice` answers the question `row_twice`: True keeps both rows, False the first one.
    """
    limits = limits or Limits()
    reading, problems = Reading(), ProblemList(limits.problems)
    text = text_of(data, limits)
    if isinstance(text, Problem):
        reading.problems = [text]
        return reading
    lines = list(records(text, delimiter_of(text, lambda cell: _heading(cell) in KNOWN), limits, problems))
    if not lines:
        if not problems.listed:
            problems.add(0, "", "empty", "The file is empty.")
    elif _read_headings(lines[0], reading, problems):
        _read_rows(lines[1:], reading, problems, limits, day_first, decimal_comma)
        _ask_about_twins(reading, problems, keep_twice)
    reading.problems = problems.finished()
    return reading


def _heading(text: str) -> str:
    plain = "_".join(text.lower().replace("-", " ").replace("_", " ").split())
    return OTHER_NAMES.get(plain, plain)


def _read_headings(record: Record, reading: Reading, problems: ProblemList) -> bool:
    """Fills `reading.columns`; False if the rows below cannot be read."""
    n_before = problems.n_found
    line, cells = record
    while not cells[-1].strip():
        cells.pop()
    names = [_heading(cell) for cell in cells]
    if not KNOWN.intersection(names):
        message = "The first line must hold the headings, such as played_on, course, tee, gross."
        problems.add(line, "", "no_headings", message)
        return False
    _check_headings(line, cells, names, problems)
    for name in REQUIRED:
        if name not in names:
            problems.add(line, name, "heading_missing", f"The heading “{name}” is missing.")
    if not {"gross", "adjusted_gross", *HOLE_COLUMNS}.intersection(names):
        problems.add(line, "gross", "heading_missing", "There must be a column “gross” or columns “h1” to “h18”.")
    reading.columns = [name for name in names if name in KNOWN]
    for name in IGNORED:
        if name in names:
            reading.notes.append(Note(line, name, "column_ignored", f"“{name}” is not read: it is computed again."))
    return problems.n_found == n_before


def _check_headings(line: int, cells: list[str], names: list[str], problems: ProblemList) -> None:
    for place, (name, cell) in enumerate(zip(names, cells, strict=True)):
        if name not in KNOWN:
            message = f"We do not know the heading “{shown(cell)}”. Take the column out or name it as in the template."
            problems.add(line, shown(cell), "heading_unknown", message)
        elif name in names[:place]:
            problems.add(line, name, "heading_twice", f"The heading “{name}” stands there twice.")


def _read_rows(
    lines: list[Record],
    reading: Reading,
    problems: ProblemList,
    limits: Limits,
    day_first: bool | None,
    decimal_comma: bool | None,
) -> None:
    columns = reading.columns
    if not lines and not problems.listed:
        problems.add(0, "", "no_rows", "The file has headings and no rows.")
    order = _date_order(lines, columns.index("played_on"), reading, day_first)
    parse = parsers(columns, order, limits, decimal_comma)
    n_assumed = 0
    for line, cells in lines:
        values = _read_cells(line, cells, columns, parse, problems, limits)
        if values is None:
            continue
        faults, row = round_row(line, values)
        for column, fault in faults:
            problems.add(line, column, fault.code, fault.message)
        if row is not None:
            reading.rows.append(row)
            n_assumed += not row.scores and "holes" not in values
    if n_assumed:
        message = f"Totals without a word on the holes are read as rounds of 18 holes ({n_assumed} here)."
        reading.notes.append(Note(0, "holes", "holes_assumed", message))


def _date_order(records: list[Record], place: int, reading: Reading, day_first: bool | None) -> Order:
    lines: dict[str, int] = {}
    for line, cells in records:
        if place < len(cells):
            lines.setdefault(cells[place].strip(), line)
    order, text = order_of(lines, day_first)
    if order is Order.UNKNOWN:
        examples = [line for found, line in lines.items() if order_of([found], None)[0] is Order.UNKNOWN][:N_EXAMPLES]
        message = f"Is “{text}” written with the day first or the month first?"
        choices = (Order.DAY_FIRST.value, Order.MONTH_FIRST.value)
        reading.questions.append(Question("day_first", message, choices, tuple(examples)))
    elif text and order is not Order.MIXED:
        words = "the day first" if order is Order.DAY_FIRST else "the month first"
        message = f"Dates are read with {words}, as in “{text}”."
        reading.notes.append(Note(lines[text], "played_on", "date_order", message))
    return order


def _read_cells(
    line: int, cells: list[str], columns: list[str], parse: list[Parser], problems: ProblemList, limits: Limits
) -> dict[str, Any] | None:
    """The values of the cells that hold something, or None when one of them cannot be taken."""
    if len(cells) < len(columns):
        problems.add(line, "", "row_short", f"{len(cells)} cells, but {len(columns)} headings.")
        return None
    if any(map(str.strip, cells[len(columns) :])):
        message = f"{len(cells)} cells, but {len(columns)} headings."
        problems.add(line, "", "row_long", f"{message} A comma inside a text needs quotation marks round it.")
        return None
    values: dict[str, Any] = {}
    is_good = True
    for column, value_of, cell in zip(columns, parse, cells, strict=False):
        cell = cell.strip(" ")
        if not cell:
            continue
        try:
            if len(cell) > limits.cell_characters:
                raise CellFault("cell_too_long", f"This has {len(cell)} characters; {limits.cell_characters} at most.")
            values[column] = value_of(cell)
        except CellFault as fault:
            problems.add(line, column, fault.code, fault.message)
            is_good = False
    return values if is_good else None


def _ask_about_twins(reading: Reading, problems: ProblemList, keep_twice: bool | None) -> None:
    """Two rows of one round: asked about, never silently doubled and never silently dropped."""
    if keep_twice:
        return
    first_lines: dict[object, int] = {}
    kept, twins = [], []
    for row in reading.rows:
        first = first_lines.setdefault(round_identity(row), row.row)
        if first == row.row:
            kept.append(row)
            continue
        twins.append(row.row)
        message = f"The same round as line {first}."
        if keep_twice is None:
            problems.add(row.row, "", "row_twice", f"{message} Say whether it was played twice, or take one out.")
        else:
            reading.notes.append(Note(row.row, "", "row_twice", f"{message} Read once."))
    if twins and keep_twice is None:
        message = "Some rounds stand in the file twice. Were they played twice?"
        reading.questions.append(Question("row_twice", message, ("keep_both", "keep_first"), tuple(twins[:N_EXAMPLES])))
    elif twins:
        reading.rows = kept


def write(rows: Iterable[RoundRow], differentials: Sequence[int | None] | None = None) -> str:
    """The rows in our template; `read` gives back equal rows. Encode as UTF-8 ("utf-8-sig" for a spreadsheet).

    With `differentials` (tenths, one a row) two columns are added, one of which says that they are unofficial.
    """
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\r\n")
    listed = list(rows)
    more = [_more_cells(row) for row in listed]
    if not any(map(any, more)):
        more = [[] for _ in listed]
    columns = (*COLUMNS, *(MORE_COLUMNS if any(more) else ()))
    if differentials is None:
        lines.writerow(columns)
        lines.writerows((*_cells(row), *extra) for row, extra in zip(listed, more, strict=True))
    else:
        lines.writerow((*columns, *IGNORED))
        for row, extra, tenths in zip(listed, more, differentials, strict=True):
            lines.writerow((*_cells(row), *extra, "" if tenths is None else tenths_text(tenths), UNOFFICIAL))
    return text.getvalue()


def _cells(row: RoundRow) -> list[str]:
    scores = row.scores or (None,) * N_HOLES
    return [
        guarded(row.player),
        row.played_on.isoformat(),
        _number_text(row.order_in_day),
        guarded(row.course),
        guarded(row.tee),
        row.rated,
        row.holes,
        _number_text(row.gross),
        _number_text(row.adjusted_gross),
        *(_mark_text(mark) if mark else "" for mark in scores),
        *(_number_text(mark.putts) if mark else "" for mark in scores),
        *(_number_text(mark.penalties) if mark else "" for mark in scores),
        guarded(row.marker),
        _number_text(row.playing_conditions),
        guarded(row.playing_conditions_from),
        row.reason,
        guarded(row.note),
        guarded(row.ref),
    ]


def _more_cells(row: RoundRow) -> list[str]:
    scores = row.scores or (None,) * N_HOLES
    return [
        *(_yes_text(mark.first_putt_is_long) if mark else "" for mark in scores),
        *(_number_text(mark.strokes_from_60) if mark else "" for mark in scores),
        *(_yes_text(mark.had_recovery) if mark else "" for mark in scores),
    ]


def _yes_text(answer: bool | None) -> str:
    return "" if answer is None else "yes" if answer else "no"


def _number_text(number: int | None) -> str:
    return "" if number is None else str(number)


def _mark_text(mark: HoleScore) -> str:
    return f"{_number_text(mark.strokes)}{'x' if mark.is_picked_up else ''}"


EXAMPLES = (
    RoundRow(
        played_on=date(2026, 4, 3), course="Mill Lane", tee="white", rated="men", holes="18", gross=92, ref="2026-1"
    ),
    RoundRow(
        played_on=date(2026, 4, 12),
        course="Mill Lane",
        tee="white",
        rated="men",
        holes="front 9",
        gross=46,
        scores=(
            HoleScore(5, putts=2, penalties=0),
            HoleScore(4, putts=2, penalties=0),
            HoleScore(6, putts=2, penalties=1),
            HoleScore(3, putts=1, penalties=0),
            HoleScore(5, putts=3, penalties=0),
            HoleScore(7, is_picked_up=True),
            HoleScore(6, putts=2, penalties=0),
            HoleScore(5, putts=2, penalties=0),
            HoleScore(5, putts=2, penalties=0),
            *(None,) * 9,
        ),
        marker="Ben",
        note="Wet ground, light wind.",
    ),
)
TEMPLATE = write(EXAMPLES)
"""The file we hand out: the headings and two example rows."""
