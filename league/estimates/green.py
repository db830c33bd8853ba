"""The green as an ellipse, and the chance that a ball comes to rest on it.

Where the shots of a club end is taken as a two-dimensional normal, its two spreads those of the carry book, across the
spread of the direction at that length. Not every strike belongs to it: a share is poor, comes up well short and misses.
The share of good strikes with a full swing is ours: fitted so that a player around 90 hits a usual green from 130 to
140 yards one time in three or four (common practice), with 0.85 for a tour player, straight in the level between. Up to
`SHORT` yards it is that of short shots (`at_the_green`), straight in between. Who measures leaves poor strikes out, or
has them in the spread: they yield as far as a club's own spread in length is wider than that of good strikes at the
level, and are in it whole where its square is `WITH_POOR_ONES` times as large. By hand, at a level of 19: 0.345 of
them evenly from 0.35 to 0.85 of the way, none farther than three spreads of 8.5 %: 0.655 + 0.345 x 8.0 - 0.96 squared.

Check values beyond the fit: a player around 79 hits 8 greens of 18 in regulation, one around 90 hits 2.5 (score = 95 -
2 x greens, Riccio 1990, as two newspapers copy it); from usual lengths and lies, so less than off short grass from 135.

A green that nobody measured is taken as 28 yards deep and 26 wide, some 5,000 square feet; from memory.

>>> round(usual_chance(135, 19, "yards"), 2)
0.28
"""

import math
from dataclasses import dataclass

from league.estimates.at_the_green import POOR_SHORT_SHOTS, SHORT_UP_TO, along, short_spread
from league.estimates.carries import Carry, published_long, published_wide
from league.rules.described import Described
from league.rules.printed import METRES_IN_A_YARD, YARDS

USUAL_DEPTH, USUAL_WIDTH = 28.0, 26.0
"""Yards."""
GOOD_STRIKES = ((-6.0, 0.85), (19.0, 0.655), (54.0, 0.4))
"""By expected differential."""
SHORT, FULL = 40.0, 135.0
"""Yards."""
POOR_GO = (0.35, 0.45, 0.55, 0.65, 0.75, 0.85)
"""Of the way, equally likely; ours. Close together, so that no yard of water decides for a club."""
WITH_POOR_ONES = 2.5
SLICES = 24
FARTHEST = 6.0
"""Spreads beyond which nothing is counted."""
ROOT_OF_TWO = math.sqrt(2)


@dataclass(frozen=True, slots=True)
class Green:
    """Depth along the line of play, width across it, in the unit of the hole."""

    depth: float
    width: float
    is_measured: bool = True

    def holds(self, beyond: float, across: float) -> bool:
        """Whether a point so far beyond the middle and off the line lies on it."""
        return (2 * beyond / self.depth) ** 2 + (2 * across / self.width) ** 2 <= 1

    def beyond_edge(self, beyond: float, across: float) -> float:
        """From such a point to the edge of the green, on the line to its middle; below nought on the green."""
        radii = math.hypot(2 * beyond / self.depth, 2 * across / self.width)
        return math.hypot(beyond, across) * (1 - 1 / radii) if radii else -min(self.depth, self.width) / 2


def green_of(hole: Described, unit: str) -> Green:
    """As described; what is not known of it is usual."""
    depth = hole.green_depth or in_unit_of(USUAL_DEPTH, unit)
    width = hole.green_width or in_unit_of(USUAL_WIDTH, unit)
    return Green(depth, width, bool(hole.green_depth and hole.green_width))


def chance_on(green: Green, beyond: float, long_sd: float, across: float, wide_sd: float) -> float:
    """That a good strike, in the mean so far beyond the middle and off the line, comes to rest on the green.

    Across the chance is exact, along it is summed over slices of the green by Simpson's rule.
    """
    if long_sd <= 0 or wide_sd <= 0:
        return 1.0 if green.holds(beyond, across) else 0.0
    half_depth, half_width = green.depth / 2, green.width / 2
    first, last = (
        math.asin(min(1.0, max(-1.0, (beyond + reach * long_sd) / half_depth))) for reach in (-FARTHEST, FARTHEST)
    )
    step, total = (last - first) / SLICES, 0.0
    for place in range(SLICES + 1):
        angle = first + place * step
        cosine = math.cos(angle)
        z = (half_depth * math.sin(angle) - beyond) / long_sd
        half = half_width * cosine
        inside = math.erf((half - across) / wide_sd / ROOT_OF_TWO) + math.erf((half + across) / wide_sd / ROOT_OF_TWO)
        weight = 1 if place in (0, SLICES) else 4 if place % 2 else 2
        total += weight * cosine * math.exp(-z * z / 2) * inside / 2
    return min(1.0, total * step / 3 * half_depth / long_sd / math.sqrt(2 * math.pi))


def good_strikes(distance: float, level: float, unit: str, club: Carry | None = None) -> float:
    """The share of strikes that belong to the spread of the club; without one, to the published spread."""
    full = min(1.0, max(0.0, (distance / in_unit_of(1.0, unit) - SHORT) / (FULL - SHORT)))
    share = (1 - full) * (1 - along(POOR_SHORT_SHOTS, level)) + full * along(GOOD_STRIKES, level)
    return share + (1 - share) * _poor_in_spread(club, level)


def _poor_in_spread(club: Carry | None, level: float) -> float:
    """How much of the poor strikes a club's own spread holds."""
    if club is None or club.carry <= 0:
        return 0.0
    wider = (club.long_sd / club.carry / published_long(level)) ** 2
    return min(1.0, max(0.0, (wider - 1) / (WITH_POOR_ONES - 1)))


def usual_chance(distance: float, level: float, unit: str, green: Green | None = None) -> float:
    """Of hitting a green from there at this level with the published spreads of an iron, aimed at its middle.

    Where short shots scatter more than those say it is with theirs.
    """
    aimed = green or Green(in_unit_of(USUAL_DEPTH, unit), in_unit_of(USUAL_WIDTH, unit), is_measured=False)
    least = least_spread(distance, level, unit)
    long = max(least, distance * published_long(level))
    wide = max(least, distance * math.tan(math.radians(published_wide("iron", level))))
    return good_strikes(distance, level, unit) * chance_on(aimed, 0.0, long, 0.0, wide)


def least_spread(distance: float, level: float, unit: str) -> float:
    """Standard deviation in the unit that any shot from there has at least.

    That of short shots; from farther than `SHORT_UP_TO` the same as there, so that who is nearer hits more.
    """
    return short_spread(min(distance, in_unit_of(SHORT_UP_TO, unit)), level, unit)


def in_unit_of(yards: float, unit: str) -> float:
    """So many yards in the unit."""
    return yards if unit == YARDS else yards * float(METRES_IN_A_YARD)
