"""Short shots from up to about 60 yards: how far the putt is that they leave, and how often three strokes are enough.

A short shot comes to rest round the hole as a two-dimensional normal of equal spread, so its distance from the hole
follows Rayleigh's law. The mean distance left is a base and a share of the length of the shot; besides, some are
poor and end well short. Base, share and poor strikes by level are from memory and ours: no open table was found. They
are held against three things: a player around 90 gets down in two from off the green about one time in five (a
magazine's analysis, as a page for beginners quotes it), a tour player needs 2.40 strokes from 20 yards and 2.70 from 60
(Broadie, "Every Shot Counts", from memory).

Levels are expected differentials, distances in `unit`. The lie is short grass or light rough.

>>> round(up_and_down(20, 19, "yards"), 1)
0.2
>>> round(within_three(50, 19, "yards"), 1)
0.7
"""

import math
from collections.abc import Sequence

from league.estimates.putting import expected_putts, feet_of, one_putt, two_or_better

LEAVE_BASE = ((-6.0, 2.0), (19.0, 3.0), (39.0, 4.5))
"""Feet."""
LEAVE_SHARE = ((-6.0, 0.09), (19.0, 0.17), (39.0, 0.25))
"""Of the distance to the hole."""
POOR_SHORT_SHOTS = ((-6.0, 0.01), (19.0, 0.12), (29.0, 0.17), (39.0, 0.22))
"""Share of the short shots that end well short."""
A_POOR_ONE_GOES = 0.5
"""Of the way."""
MOST_TRIES = 6
SHORT_UP_TO = 60.0
"""Yards."""

STEPS = 9
QUANTILES = tuple(math.sqrt(-2 * math.log(1 - (place + 0.5) / STEPS)) for place in range(STEPS))
"""Rayleigh's, of spread 1."""
MEAN_OF_RAYLEIGH = math.sqrt(math.pi / 2)


def leaves(distance: float, level: float, unit: str) -> float:
    """Mean length in feet of the putt that a short shot struck as usual leaves."""
    return along(LEAVE_BASE, level) + along(LEAVE_SHARE, level) * feet_of(distance, unit)


def short_spread(distance: float, level: float, unit: str) -> float:
    """Standard deviation, long and wide alike, of where a short shot struck as usual ends; in the unit."""
    return leaves(distance, level, unit) / MEAN_OF_RAYLEIGH / feet_of(1.0, unit)


def putts_left(distance: float, level: float, unit: str) -> tuple[float, ...]:
    """Equally likely lengths in feet of the first putt."""
    spread = leaves(distance, level, unit) / MEAN_OF_RAYLEIGH
    return tuple(spread * quantile for quantile in QUANTILES)


def up_and_down(distance: float, level: float, unit: str) -> float:
    """Chance of a short shot and one putt."""
    holed = _mean([one_putt(feet, level) for feet in putts_left(distance, level, unit)])
    return (1 - along(POOR_SHORT_SHOTS, level)) * holed


def within_three(distance: float, level: float, unit: str) -> float:
    """Chance of no more than three strokes to hole out; a poor shot leaves room for one more and one putt."""
    poor = along(POOR_SHORT_SHOTS, level)
    two = _mean([two_or_better(feet, level) for feet in putts_left(distance, level, unit)])
    return (1 - poor) * two + poor * up_and_down(distance * (1 - A_POOR_ONE_GOES), level, unit)


def strokes_from(distance: float, level: float, unit: str) -> float:
    """Expected strokes to hole out from short grass."""
    poor, strokes, share = along(POOR_SHORT_SHOTS, level), 0.0, 1.0
    for _ in range(MOST_TRIES):
        putts = _mean([expected_putts(feet, level) for feet in putts_left(distance, level, unit)])
        strokes += share * (1 + (1 - poor) * putts)
        share, distance = share * poor, distance * (1 - A_POOR_ONE_GOES)
    return strokes + share * 2


def along(points: Sequence[tuple[float, float]], at: float) -> float:
    """Straight between the points, level beyond them."""
    if at <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in zip(points, points[1:], strict=False):
        if at <= right:
            return low + (high - low) * (at - left) / (right - left)
    return points[-1][1]


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)
