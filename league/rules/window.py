"""The last 20 counting scores, kept so that the next one costs little (Rules 5.2 and 5.9).

>>> window = Window()
>>> for number, differential in enumerate((184, 171, 190)):
...     window.append(Mark(f"r{number}", date(2024, 5, 1), differential, (), differential, False))
>>> window.change(Line("exceptional", -10, "r1"))
>>> window.ordered
[161, 174, 180]
"""

from bisect import bisect_left, insort
from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from league.rules.index import WINDOW


class Line(NamedTuple):
    """One change to a stored differential, in tenths: by an exceptional score (its round's key) or a committee ('')."""

    kind: str
    amount: int
    cause: str


class Mark(NamedTuple):
    """A counting score as the window sees it; differentials in tenths."""

    key: str
    played_on: date
    differential: int
    lines: tuple[Line, ...]
    effective: int
    is_estimated: bool


class Window:
    """The last 20 counting scores: `marks` in order of play, `ordered` their effective differentials, lowest first."""

    __slots__ = ("marks", "ordered")

    def __init__(self, marks: Iterable[Mark] = ()) -> None:
        """Take at most 20 scores, in order of play."""
        self.marks = tuple(marks)
        self.ordered = sorted([mark.effective for mark in self.marks])

    def append(self, mark: Mark) -> None:
        """Add a score played after all others; a 21st pushes the oldest out."""
        marks, ordered = self.marks, self.ordered
        if len(marks) == WINDOW:
            del ordered[bisect_left(ordered, marks[0].effective)]
            marks = marks[1:]
        self.marks = (*marks, mark)
        insort(ordered, mark.effective)

    def change(self, line: Line) -> None:
        """Put one more change on every score."""
        self.marks = tuple(
            [mark._replace(lines=(*mark.lines, line), effective=mark.effective + line.amount) for mark in self.marks]
        )
        self.ordered = [effective + line.amount for effective in self.ordered]
