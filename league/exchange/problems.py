"""What a reader says about a file: problems, notes, questions, and the limits it keeps."""

from dataclasses import dataclass, field
from typing import NamedTuple


class Problem(NamedTuple):
    """Something to put right before anything is stored.

    `row` is the line of the file, counted from 1 (0: the file as a whole). `column` is a heading, or for JSON the path
    of the value ("tees.0.holes.6.par"). `code` is stable, `message` says what to do.
    """

    row: int
    column: str
    code: str
    message: str


class Note(NamedTuple):
    """Something worth knowing that stops nothing."""

    row: int
    column: str
    code: str
    message: str


class Question(NamedTuple):
    """Two readings are possible; the person chooses one and the file is read again. `rows` are examples."""

    code: str
    message: str
    choices: tuple[str, ...]
    rows: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Limits:
    """How much a file may hold. `None` for bytes, rows or problems means no limit (the operator's own command).

    The template has 69 columns and the widest export 125, so 140 columns are let in.
    """

    bytes: int | None = 2 * 1024 * 1024
    rows: int | None = 5_000
    columns: int = 140
    cell_characters: int = 4_000
    name_characters: int = 80
    note_characters: int = 500
    ref_characters: int = 64
    combining_marks: int = 8
    strokes: int = 25
    problems: int | None = 1_000
    depth: int = 20


WRONG_KIND = frozenset({"file_kind"})
"""Codes for a file that is no text table at all."""
TOO_BIG = frozenset({"file_too_big", "too_many_rows", "too_many_columns", "cell_too_long"})
"""Codes for a file that is larger than the limits allow."""

UNOFFICIAL = (
    "Unofficial: computed from your cards after the published Rules of Handicapping; not issued by an authorised body."
)
"""Stands in every export that shows an index or a differential."""


@dataclass(slots=True)
class ProblemList:
    """Collects problems up to a limit and counts the rest, so that a hostile file cannot fill the memory."""

    limit: int | None
    listed: list[Problem] = field(default_factory=list)
    n_unlisted: int = 0

    @property
    def n_found(self) -> int:
        return len(self.listed) + self.n_unlisted

    def add(self, row: int, column: str, code: str, message: str) -> None:
        if self.limit is not None and len(self.listed) >= self.limit:
            self.n_unlisted += 1
        else:
            self.listed.append(Problem(row, column, code, message))

    def finished(self) -> list[Problem]:
        if not self.n_unlisted:
            return self.listed
        message = f"{self.n_unlisted} more problems are not listed. Put these right first and try again."
        return [*self.listed, Problem(0, "", "more_problems", message)]
