"""A text -> the lines of a table, each with the number of the line it begins on."""

import csv
import io
from collections.abc import Callable, Iterator

from league.exchange.problems import Limits, ProblemList

Record = tuple[int, list[str]]


def records(text: str, delimiter: str, limits: Limits, problems: ProblemList) -> Iterator[Record]:
    """The lines that hold something, down to the first fault of the table itself."""
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True, skipinitialspace=True)
    n_records = 0
    while True:
        line = lines.line_num + 1
        try:
            cells = next(lines)
        except StopIteration:
            return
        except csv.Error as fault:
            _add_table_fault(str(fault), line, limits, problems)
            return
        if not any(map(str.strip, cells)):
            continue
        if len(cells) > limits.columns:
            message = f"{len(cells)} columns; {limits.columns} at most."
            problems.add(line, "", "too_many_columns", message)
            if n_records == 0:
                return
            continue
        if limits.rows is not None and n_records > limits.rows:
            problems.add(line, "", "too_many_rows", f"More than {limits.rows} rows. Send the file in parts.")
            return
        n_records += 1
        yield line, cells


def delimiter_of(text: str, is_heading: Callable[[str], bool]) -> str:
    """Comma, semicolon or tab: whichever makes most headings out of the first line that holds something."""
    first = next((line for line in io.StringIO(text[:20_000], newline=None) if line.strip()), "")
    counts = {mark: sum(is_heading(cell.strip(' "')) for cell in first.split(mark)) for mark in ",;\t"}
    return max(counts, key=lambda mark: counts[mark])


def _add_table_fault(fault: str, line: int, limits: Limits, problems: ProblemList) -> None:
    if "field limit" in fault:
        problems.add(line, "", "cell_too_long", f"A cell has more than {limits.cell_characters} characters.")
    else:
        message = 'A quotation mark opens here and does not close as it should. Write " inside a cell as "".'
        problems.add(line, "", "quote", message)
