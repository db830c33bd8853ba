"""How often a putt is holed, and how often three are needed, by length and by level of play.

Two published rows carry it, and what lies between or beyond is put on the line through them, in log-odds.

- Tour: one putt by length from three articles that quote Broadie, "Every Shot Counts"; three putts by length from a
  club's page (8, 12, 20, 32 and 40 feet); 2, 5 and 60 feet of the latter from memory.
- A player around 90: one and three putts by length after the same book, from memory, but for the length at which half
  of the putts drop, 5 feet, which was read.

Levels are expected differentials: a tour player -6, a player around 90 about 19. Lengths are feet. Four putts count as
three. Slope, speed of the green and the day's nerves are not told.

>>> round(one_putt(5, NINETY), 2), round(one_putt(8, TOUR), 2)
(0.5, 0.5)
>>> round(expected_putts(33, TOUR), 1)
2.0
"""

import math
from collections.abc import Sequence
from functools import lru_cache

from league.rules.printed import METRES_IN_A_YARD, YARDS

TOUR, NINETY = -6.0, 19.0
"""Expected differentials of the two rows."""
FARTHEST_LEVEL = 39.0
"""Beyond a player around 110 the line is not followed."""

ONE_PUTT_TOUR = (
    *((2, 0.99), (3, 0.96), (4, 0.88), (5, 0.77), (8, 0.50), (10, 0.40)),
    *((15, 0.23), (20, 0.15), (30, 0.07), (40, 0.04), (50, 0.03), (60, 0.02)),
)
ONE_PUTT_NINETY = (
    *((2, 0.95), (3, 0.84), (4, 0.65), (5, 0.50), (6, 0.39), (8, 0.27), (10, 0.20)),
    *((15, 0.11), (20, 0.06), (30, 0.02), (40, 0.01), (50, 0.007), (60, 0.005)),
)
"""At 50 and 60 feet the row has 1 and 0 per cent; tenths are ours."""
THREE_PUTT_TOUR = ((2, 0.001), (5, 0.003), (8, 0.005), (12, 0.009), (20, 0.02), (32, 0.06), (40, 0.10), (60, 0.21))
THREE_PUTT_NINETY = (
    *((2, 0.004), (5, 0.01), (8, 0.02), (10, 0.025), (15, 0.05), (20, 0.08)),
    *((30, 0.18), (40, 0.30), (50, 0.41), (60, 0.51)),
)
"""The row has 2 per cent at 10 feet; tenths, and the value at 2 feet, are ours."""

LONGEST_PUTT = 90.0
SHORTEST_PUTT = 0.5

Row = Sequence[tuple[float, float]]


def one_putt(feet: float, level: float) -> float:
    """Chance that a putt of so many feet is holed."""
    return _between(feet, level, ONE_PUTT_TOUR, ONE_PUTT_NINETY)


def three_putts(feet: float, level: float) -> float:
    """Chance that three or more are needed."""
    return min(1 - one_putt(feet, level), _between(feet, level, THREE_PUTT_TOUR, THREE_PUTT_NINETY))


def two_or_better(feet: float, level: float) -> float:
    """Chance of no more than two."""
    return 1 - three_putts(feet, level)


def expected_putts(feet: float, level: float) -> float:
    """Putts, four counted as three."""
    return 2 - one_putt(feet, level) + three_putts(feet, level)


def putts_from(feet: float, level: float) -> float:
    """`expected_putts`, straight between whole feet: for who asks a thousand times at one level."""
    whole = min(int(feet), int(LONGEST_PUTT) - 1)
    near, far = _by_the_foot(level)[whole : whole + 2]
    return near + (far - near) * min(1.0, feet - whole)


@lru_cache(maxsize=64)
def _by_the_foot(level: float) -> tuple[float, ...]:
    return tuple(expected_putts(feet, level) for feet in range(int(LONGEST_PUTT) + 1))


def even_length(level: float) -> float:
    """The length in feet from which half of the putts drop."""
    low, high = 1.0, 20.0
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if one_putt(middle, level) > 0.5 else (low, middle)
    return low


def feet_of(distance: float, unit: str) -> float:
    """Yards or metres to feet: three to a yard."""
    return 3 * distance / (1.0 if unit == YARDS else float(METRES_IN_A_YARD))


def said_length(feet: float, unit: str) -> str:
    """Feet for who plays in yards, metres for who plays in metres."""
    if unit == YARDS:
        return f"{feet:.0f} ft"
    metres = feet / 3 * float(METRES_IN_A_YARD)
    return f"{metres:.1f} m" if metres < 5 else f"{metres:.0f} m"


def _between(feet: float, level: float, tour: Row, ninety: Row) -> float:
    length = min(LONGEST_PUTT, max(SHORTEST_PUTT, feet))
    share = (min(FARTHEST_LEVEL, max(TOUR, level)) - TOUR) / (NINETY - TOUR)
    odds = (1 - share) * _log_odds_at(length, tour) + share * _log_odds_at(length, ninety)
    return 1 / (1 + math.exp(-odds))


def _log_odds_at(feet: float, row: Row) -> float:
    """Straight in log-odds between two lengths, and on beyond the last two."""
    place = next((place for place in range(1, len(row) - 1) if feet <= row[place][0]), len(row) - 1)
    (left, before), (right, after) = row[place - 1], row[place]
    low, high = (math.log(chance / (1 - chance)) for chance in (before, after))
    return low + (high - low) * (feet - left) / (right - left)
