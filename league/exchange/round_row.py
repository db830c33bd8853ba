"""One round as plain values: what a row of a file says, before anyone looks up a player, a course or a tee."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from league.exchange.cells import CellFault, shown

N_HOLES = 18
HOLE_COLUMNS = tuple(f"h{number}" for number in range(1, N_HOLES + 1))
PUTT_COLUMNS = tuple(f"putts{number}" for number in range(1, N_HOLES + 1))
PENALTY_COLUMNS = tuple(f"penalties{number}" for number in range(1, N_HOLES + 1))
LONG_PUTT_COLUMNS = tuple(f"longputt{number}" for number in range(1, N_HOLES + 1))
SHORT_GAME_COLUMNS = tuple(f"shortgame{number}" for number in range(1, N_HOLES + 1))
RECOVERY_COLUMNS = tuple(f"recovery{number}" for number in range(1, N_HOLES + 1))
MORE_COLUMNS = (*LONG_PUTT_COLUMNS, *SHORT_GAME_COLUMNS, *RECOVERY_COLUMNS)
"""Optional, and written only when a row has something in them."""
COLUMNS = (
    "player", "played_on", "order_in_day", "course", "tee", "rated", "holes", "gross", "adjusted_gross",
    *HOLE_COLUMNS, *PUTT_COLUMNS, *PENALTY_COLUMNS,
    "marker", "playing_conditions", "playing_conditions_from", "reason", "note", "ref",
)  # fmt: skip
NAMED_HOLES = {
    "18": tuple(range(1, 19)),
    "front 9": tuple(range(1, 10)),
    "back 9": tuple(range(10, 19)),
    "9": tuple(range(1, 10)),
}
IGNORED = ("differential", "unofficial")
REQUIRED = ("played_on", "course", "tee")
REASONS = {
    "light": "failing light",
    "weather": "weather",
    "injury": "injury",
    "illness": "illness",
    "decided": "match already decided",
    "closed": "hole closed",
}
"""Why holes may be left out (Rule 3.2): the word we write, and words that are read as the same."""
RUN = re.compile(r"([0-9]{1,2})(?:\s*(?:-|–|to)\s*([0-9]{1,2}))?", re.ASCII)


class HoleScore(NamedTuple):
    """What stands for one hole played. `strokes` of a hole picked up is the most likely score, if one was given."""

    strokes: int | None
    is_picked_up: bool = False
    putts: int | None = None
    penalties: int | None = None
    first_putt_is_long: bool | None = None
    strokes_from_60: int | None = None
    had_recovery: bool | None = None


@dataclass(frozen=True, slots=True)
class RoundRow:
    """A round by holes (`scores` holds 18 places, None for a hole not played) or by its total (`scores` is empty).

    `holes` is "18", "front 9", "back 9", "9" (of a nine-hole tee) or a list such as "1 to 14". `row` is the line it
    came from and no part of what it says.
    """

    played_on: date
    course: str
    tee: str
    holes: str
    gross: int | None = None
    adjusted_gross: int | None = None
    scores: tuple[HoleScore | None, ...] = ()
    player: str = ""
    order_in_day: int | None = None
    rated: str = ""
    marker: str = ""
    playing_conditions: int | None = None
    playing_conditions_from: str = ""
    reason: str = ""
    note: str = ""
    ref: str = ""
    row: int = field(default=0, compare=False)

    @property
    def hole_numbers(self) -> tuple[int, ...]:
        return hole_numbers(self.holes)


def hole_numbers(text: str) -> tuple[int, ...]:
    """Which holes a `holes` cell names, in order; a CellFault if it names none, one twice, or no acceptable number.

    Nine holes are the front or the back nine (Rule 2.2: a nine that has its own rating); else 10 to 18 holes.
    """
    plain = " ".join(text.lower().split()).removeprefix("holes ")
    if plain in NAMED_HOLES:
        return NAMED_HOLES[plain]
    numbers: list[int] = []
    for part in re.split(r"\s*[,;]\s*", plain.replace("front 9", "1 to 9").replace("back 9", "10 to 18")):
        found = RUN.fullmatch(part)
        if found is None:
            raise CellFault("holes", f"“{shown(text)}” names no holes. Write 18, front 9, back 9, 9 or 1 to 14.")
        first, last = int(found[1]), int(found[2] or found[1])
        if not 1 <= first <= last <= N_HOLES:
            raise CellFault("holes", f"“{shown(text)}” goes outside holes 1 to 18.")
        numbers.extend(range(first, last + 1))
    if len(set(numbers)) < len(numbers):
        raise CellFault("holes", f"“{shown(text)}” names a hole twice.")
    return checked_holes(tuple(sorted(numbers)))


def named_holes(text: str) -> str:
    """A `holes` cell in the one way we write it; "9" stays "9", since only the tee says which holes those are."""
    numbers = hole_numbers(text)
    return "9" if " ".join(text.lower().split()).removeprefix("holes ") == "9" else holes_text(numbers)


def checked_holes(numbers: tuple[int, ...]) -> tuple[int, ...]:
    """The holes as they are if so many make a round; else a CellFault."""
    if len(numbers) < 9:
        raise CellFault("holes", f"{len(numbers)} holes were played; a round has 9 or 10 to 18.")
    if len(numbers) == 9 and numbers not in (NAMED_HOLES["front 9"], NAMED_HOLES["back 9"]):
        raise CellFault("holes", "Nine holes must be the front nine or the back nine.")
    return numbers


def holes_text(numbers: Sequence[int]) -> str:
    """The one way we write a set of holes. "1 to 14", not "1-14": a spreadsheet makes a date of that."""
    for name in ("18", "front 9", "back 9"):
        if tuple(numbers) == NAMED_HOLES[name]:
            return name
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)


def round_identity(row: RoundRow) -> tuple[object, ...]:
    """Equal for two rows that tell of the same round: player, day, place in the day, course, tee, holes, scores.

    Names are compared without regard to capitals and spacing; note, reference, marker and line do not count.
    """
    return (
        _folded(row.player),
        row.played_on.isoformat(),
        row.order_in_day or 1,
        _folded(row.course),
        _folded(row.tee),
        row.rated,
        row.holes,
        row.scores or (row.gross, row.adjusted_gross),
    )


def _folded(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).casefold().split())
