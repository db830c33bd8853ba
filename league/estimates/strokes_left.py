"""Expected strokes to hole out, by distance, lie and level. It compares shots; it is no forecast of a hole.

Published, and met here by construction (each is a test):

- A round on a course rated at par 72 is 72 and the level; here 18 holes of 350 yards in the mean (the length is ours).
- About two thirds of the gap between a player around 80 and one around 90 comes from outside 100 yards (Broadie).
- 20 yards of driving are worth almost 3 strokes a round to a high handicap, under 1 to a tour player (Ko 2012). With 14
  drives the first two give 0.95 to a tour player and 2.7 to a player of level 36: the three go together.
- On the green: the putts of `putting`, which has its own published rows and checks.
- Level 19 is about 90, level 9 about 80, level -6 a tour player.

Ours, in want of a published figure: that value goes with distance in straight pieces, the value at `CHIP` yards, and
what each lie costs (`LIES`, in the order of common practice: rough, slope, sand, trees). What lies beyond 100 yards is
worth the same by the yard whatever the club: the cost of a shot is therefore good to compare with another, less so by
itself.

>>> round(strokes_left(350, level=19, unit="yards"), 2), round(strokes_left(100, level=19, unit="yards"), 2)
(5.06, 3.28)
>>> round(strokes_left(160, 19, "yards", "trees") - strokes_left(160, 19, "yards"), 2)
0.9
>>> strokes_left(160, 19, "yards", "mud")
Traceback (most recent call last):
    ...
ValueError: lie: one of tee, short grass, rough, slope, sand, trees, green
"""

from functools import lru_cache

from league.estimates.putting import feet_of, putts_from
from league.rules import printed

METRES_IN_A_YARD = float(printed.METRES_IN_A_YARD)
TOUR = -6.0
USUAL_HOLE = 350.0
"""Yards: 6,300 over 18 holes."""
NEAR = 100.0
CHIP = 15.0

PER_LEVEL = 1 / 18
PER_LEVEL_NEAR = PER_LEVEL / 3
YARD_ON_TOUR = 0.95 / (14 * 20)
YARD_PER_LEVEL = (PER_LEVEL - PER_LEVEL_NEAR) / (USUAL_HOLE - NEAR)
CHIP_ON_TOUR, CHIP_PER_LEVEL = 2.44, 0.015
CHIP_NEARER = 0.02
"""Strokes a yard within `CHIP`."""

LIES = {
    "tee": (0.0, 0.0),
    "short grass": (0.0, 0.0),
    "rough": (0.15, 0.004),
    "slope": (0.25, 0.008),
    "sand": (0.3, 0.008),
    "trees": (0.6, 0.012),
}
"""Strokes more than from short grass: on tour, and for every level above."""
GREEN = "green"


def strokes_left(distance: float, level: float, unit: str, lie: str = "short grass") -> float:
    """Strokes, from `distance` to the middle of the green, or to the hole on it. `level` is an expected
    differential.
    """
    yards = abs(distance) if unit == printed.YARDS else abs(distance) / METRES_IN_A_YARD
    if lie == GREEN:
        return putts_from(feet_of(yards, printed.YARDS), level)
    if lie not in LIES:
        raise ValueError(f"lie: one of {', '.join((*LIES, GREEN))}")
    on_tour, per_level = LIES[lie]
    return _short_grass(yards, level) + on_tour + per_level * above_tour(level)


def value_of_a_yard(level: float) -> float:
    """Strokes, outside 100 yards."""
    return YARD_ON_TOUR + YARD_PER_LEVEL * above_tour(level)


def above_tour(level: float) -> float:
    return max(0.0, level - TOUR)


def _short_grass(yards: float, level: float) -> float:
    usual, yard, near, chip = _at(level)
    if yards >= NEAR:
        return usual - yard * (USUAL_HOLE - yards)
    if yards >= CHIP:
        return chip + (near - chip) * (yards - CHIP) / (NEAR - CHIP)
    return chip - CHIP_NEARER * (CHIP - yards)


@lru_cache(maxsize=64)
def _at(level: float) -> tuple[float, float, float, float]:
    """A usual hole, each yard of it back to 100, what is left there, and a chip."""
    usual, yard = 4 + (above_tour(level) + TOUR) * PER_LEVEL, value_of_a_yard(level)
    return usual, yard, usual - yard * (USUAL_HOLE - NEAR), CHIP_ON_TOUR + CHIP_PER_LEVEL * above_tour(level)
