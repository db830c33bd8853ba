"""Where a shot ends: a normal spread in length and one in direction, independent of each other.

`along` runs from the tee towards the first landing, `across` is off that line, right positive. The spread across is
that of the direction at the usual length; that it is wider for a long shot than for a short one of the same club is
left out. So the chance of a rectangle has a closed form: the product of two differences of the normal distribution.

>>> shot = Landing(along=200, across=0, long_sd=20, wide_sd=25, run=0)
>>> round(shot.chance_in(180, 220, -25, 25), 3)
0.466
"""

import math
from dataclasses import dataclass, replace

from league.estimates.carries import Carry
from league.estimates.conditions import Conditions, run

ROOT_OF_TWO = math.sqrt(2)


@dataclass(frozen=True, slots=True)
class Landing:
    """Usual carry along the line, where it ends off it, the two standard deviations, and the roll: one unit of
    length. `good`: the share of strikes that this is true of.
    """

    along: float
    across: float
    long_sd: float
    wide_sd: float
    run: float
    good: float = 1.0

    @property
    def ends(self) -> float:
        """Along the line, roll in."""
        return self.along + self.run

    def chance_in(self, begins: float, ends: float, left: float, right: float) -> float:
        """What lands short and runs in is in; what lands past is not."""
        return self.chance_along(begins, ends) * self.chance_across(left, right)

    def chance_along(self, begins: float, ends: float) -> float:
        return between(self.along, self.long_sd, begins - self.run, ends)

    def chance_across(self, left: float, right: float) -> float:
        return between(self.across, self.wide_sd, left, right)

    def seen_past(self, bend_at: float, turn: float) -> "Landing":
        """The same along a line that turns by so many radians, right positive, so far from the tee.

        The two spreads are no longer independent there; taken as if they were.
        """
        cos, sin = math.cos(turn), math.sin(turn)
        past = self.along - bend_at
        return Landing(
            along=bend_at + past * cos + self.across * sin,
            across=self.across * cos - (past + self.run) * sin,
            long_sd=math.hypot(self.long_sd * cos, self.wide_sd * sin),
            wide_sd=math.hypot(self.wide_sd * cos, self.long_sd * sin),
            run=self.run * cos,
            good=self.good,
        )

    def aimed(self, across: float) -> "Landing":
        return replace(self, across=across)


def landing_of(club: Carry, conditions: Conditions) -> Landing:
    """Of a club's carry of today, in the middle. A curve does not show: it is aimed for, neither more nor less."""
    rolled = run(club.carry, club.kind, conditions)
    return Landing(
        along=club.carry,
        across=0.0,
        long_sd=club.long_sd,
        wide_sd=(club.carry + rolled) * math.tan(math.radians(club.wide_sd)),
        run=rolled,
    )


def between(mean: float, sd: float, low: float, high: float) -> float:
    """The chance of a normal value between the two; all or nothing without a spread."""
    if high <= low:
        return 0.0
    if sd <= 0:
        return 1.0 if low <= mean < high else 0.0
    return max(0.0, (math.erf((high - mean) / sd / ROOT_OF_TWO) - math.erf((low - mean) / sd / ROOT_OF_TWO)) / 2)


def middle_between(mean: float, sd: float, low: float, high: float) -> float:
    """The mean of those normal values that lie between the two."""
    chance = between(mean, sd, low, high)
    if chance < 1e-9:
        return min(max(mean, low), high)
    middle = mean + sd * (_density((low - mean) / sd) - _density((high - mean) / sd)) / chance if sd > 0 else mean
    return min(max(middle, low), high)


def _density(at: float) -> float:
    return math.exp(-at * at / 2) / math.sqrt(2 * math.pi)
