"""Values that can lose their part in the low index, when the card they rest on is corrected or withdrawn (Rule 5.7).

>>> StandingValues([], low_counts_early=True).falling().kept
[]
"""

from collections.abc import Sequence

from league.rules.index import CEILING, WINDOW, FallingLow
from league.rules.revision import Revision

NOTHING = CEILING + 1
"""Stands for a value that does not count: above every index."""


class StandingValues:
    """The values issued in a record that still count for the low index, by the place of their revision.

    It reads the record's revisions when it is first asked, so a record without corrections never pays for it. Then each
    question takes time in proportion to the logarithm of the number of revisions: row 0 of `_rows` holds the values,
    and each further row the lower of every two of the row before.
    """

    __slots__ = ("_held", "_low_counts_early", "_n_read", "_revisions", "_rows")

    def __init__(self, revisions: Sequence[Revision], low_counts_early: bool) -> None:
        """Follow a record's growing list of revisions."""
        self._revisions = revisions
        self._low_counts_early = low_counts_early
        self._n_read = 0
        self._held: dict[str, list[int]] = {}
        self._rows: list[list[int]] = [[]]

    def strike(self, key: str) -> None:
        """Take out every revision whose window held the round: its value rests on a card that is gone."""
        self._read_on()
        for place in self._held.pop(key, ()):
            self._put(place, NOTHING)

    def falling(self) -> FallingLow:
        """The values that nothing later undercuts, from the first one issued."""
        self._read_on()
        kept = []
        place, bound = self._n_read, NOTHING
        while (place := self._last_below(place, bound)) >= 0:
            bound = self._rows[0][place]
            kept.append((self._revisions[place].issued_day, bound))
        return FallingLow(reversed(kept))

    def _read_on(self) -> None:
        """Take in the revisions issued since the last question."""
        for place in range(self._n_read, len(self._revisions)):
            revision = self._revisions[place]
            for mark in revision.marks:
                self._held.setdefault(mark.key, []).append(place)
            value = revision.index_tenths
            counts = value is not None and (self._low_counts_early or len(revision.marks) == WINDOW)
            self._put(place, value if value is not None and counts else NOTHING)
        self._n_read = len(self._revisions)

    def _put(self, place: int, value: int) -> None:
        """Set the value at a place, which may be the next free one, and what follows from it in the other rows."""
        for row in self._rows:
            row[place : place + 1] = [value]
            value = min(row[place & -2 : (place | 1) + 1])
            place >>= 1
        if len(self._rows[-1]) > 1:
            self._rows.append([value])

    def _last_below(self, end: int, bound: int) -> int:
        """The last place before `end` with a value below the bound; -1 if there is none."""
        level = 0
        while end:
            if end & 1 and self._rows[level][end - 1] < bound:
                return self._last_within(level, end - 1, bound)
            end >>= 1
            level += 1
        return -1

    def _last_within(self, level: int, place: int, bound: int) -> int:
        """The last place with a value below the bound, under an entry of a row that is below it itself."""
        while level:
            level -= 1
            place = 2 * place + 1
            if self._rows[level][place] >= bound:
                place -= 1
        return place
