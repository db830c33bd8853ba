"""One shot at a green with one club: where it ends, what it meets, and what is worth how much from there.

Good strikes are laid on even points of a two-dimensional normal; poor ones come up at `POOR_GO` of the way (ours).
From each place the expected strokes are those of `strokes_left`.
"""

import math
from dataclasses import dataclass, replace
from statistics import NormalDist

from league.estimates.carries import SPREAD_WEIGHT, Carry
from league.estimates.conditions import Conditions, run
from league.estimates.estimate import NINETEEN_IN_TWENTY, Estimate
from league.estimates.green import POOR_GO, chance_on, good_strikes, in_unit_of, least_spread
from league.estimates.round_the_green import HARD, Patch, Surroundings
from league.estimates.strokes_left import strokes_left
from league.rules.described import Side, TroubleKind

STEPS = 72
PLASTIC = 1.32471795724474602596
"""The root of x^3 = x + 1: its powers spread points over a square so evenly that no strip of trouble falls between."""


def _points() -> tuple[tuple[float, float], ...]:
    """Equally likely places of two normal values of spread 1, the same left and right."""
    normal = NormalDist()
    long = [normal.inv_cdf((0.5 + step / PLASTIC) % 1) for step in range(1, STEPS + 1)]
    wide = [normal.inv_cdf((0.5 + step / PLASTIC**2) % 1) for step in range(1, STEPS + 1)]
    mean = math.fsum(long) / STEPS
    long_spread = math.sqrt(math.fsum((value - mean) ** 2 for value in long) / STEPS)
    wide_spread = math.sqrt(math.fsum(value**2 for value in wide) / STEPS)
    right = [((one - mean) / long_spread, other / wide_spread) for one, other in zip(long, wide, strict=True)]
    return (*right, *((one, -other) for one, other in right))


POINTS = _points()
CHIP_FROM = 25.0
"""Yards from the edge of the green: what ends farther off is no chip; ours."""
POOR_WIDE = (-1.0, 1.0)
"""Equally likely; of spread 1."""


@dataclass(frozen=True, slots=True)
class Shot:
    """Today's shot with one club: where it lands and rests beyond the middle, and how far off the line it is aimed."""

    club: Carry
    lands: float
    rests: float
    across: float
    wide_sd: float
    good: float


@dataclass(frozen=True, slots=True)
class Played:
    """What a shot is worth: expected strokes to hole out, this one in, and the chance of each trouble."""

    shot: Shot
    strokes: float
    trouble: dict[Patch, float]


@dataclass(frozen=True, slots=True)
class Spot:
    """From where, at what, at which level."""

    left: float
    around: Surroundings
    level: float
    unit: str


def full_shot(own: Carry, now: Carry, spot: Spot, conditions: Conditions) -> Shot:
    """A spread that is not the player's own is no less than that of short shots."""
    total = now.carry + run(now.carry, own.kind, conditions)
    struck = _no_less(now, total, spot) if own.is_published else now
    return Shot(
        club=replace(struck, n_shots=own.n_shots),
        lands=now.carry - spot.left,
        rests=total - spot.left,
        across=0.0,
        wide_sd=total * math.tan(math.radians(struck.wide_sd)),
        good=good_strikes(spot.left, spot.level, spot.unit, own),
    )


def part_of(own: Carry, now: Carry, total: float, spot: Spot, conditions: Conditions) -> Shot:
    """A shorter swing with the same club, that ends so far away.

    It scatters by the same share of its length, and no less than short shots do (`at_the_green`).
    """
    share = total / (now.carry + run(now.carry, own.kind, conditions))
    shorter = replace(now, carry=now.carry * share, long_sd=now.long_sd * share, curve=now.curve * share)
    return full_shot(own, _no_less(shorter, total, spot), spot, conditions)


def _no_less(club: Carry, total: float, spot: Spot) -> Carry:
    least = least_spread(total, spot.level, spot.unit)
    return replace(
        club,
        long_sd=max(club.long_sd, least),
        wide_sd=max(club.wide_sd, math.degrees(math.atan2(least, total))),
    )


def play(shot: Shot, spot: Spot) -> Played:
    """Good strikes over equally likely places, poor ones short of them."""
    strokes, trouble = 0.0, dict[Patch, float]()
    share = shot.good / len(POINTS)
    for long, wide in POINTS:
        beyond, across = long * shot.club.long_sd, shot.across + wide * shot.wide_sd
        strokes += share * _from(shot.lands + beyond, shot.rests + beyond, across, spot, share, trouble)
    share = (1 - shot.good) / len(POOR_GO) / len(POOR_WIDE)
    for part in POOR_GO if share else ():
        rests = (shot.rests + spot.left) * part - spot.left
        lands = rests - (shot.rests - shot.lands)
        for wide in POOR_WIDE:
            strokes += share * _from(lands, rests, wide * shot.wide_sd * part, spot, share, trouble)
    return Played(shot, strokes, trouble)


def _from(lands: float, rests: float, across: float, spot: Spot, share: float, trouble: dict[Patch, float]) -> float:
    """Strokes with this one, from where the ball rests. `trouble` adds up its share."""
    around, level, unit = spot.around, spot.level, spot.unit
    patch = around.met(lands, rests, across)
    away = math.hypot(rests, across)
    if patch is None:
        if around.green.holds(rests, across):
            return 1 + strokes_left(away, level, unit, "green")
        is_hard = around.hard and away < spot.left / 2 and around.side_of(rests, across) in around.hard
        hard = HARD if is_hard else 0.0
        short = abs(across) <= around.fairway and rests < 0
        return 1 + hard + strokes_left(away, level, unit, "short grass" if short else "rough")
    trouble[patch] = trouble.get(patch, 0.0) + share
    if patch.kind == TroubleKind.OUT_OF_BOUNDS:
        return 2 + strokes_left(spot.left, level, unit)
    if patch.kind == TroubleKind.PENALTY_AREA:
        entered = max(patch.begins, -spot.left) if patch.side == Side.ACROSS else rests
        return 2 + strokes_left(math.hypot(entered, min(abs(across), around.fairway * 2)), level, unit, "rough")
    lie = {TroubleKind.BUNKER: "sand", TroubleKind.TREES: "trees"}.get(patch.kind, "rough")
    return 1 + (HARD if patch.kind == TroubleKind.FALL_OFF else 0.0) + strokes_left(away, level, unit, lie)


def chance_of(shot: Shot, spot: Spot) -> Estimate:
    """Of the green; its range from how well the spread is known, which gives chance both ways."""

    def at(factor: float) -> float:
        club, green = shot.club, spot.around.green
        return shot.good * chance_on(green, shot.rests, club.long_sd * factor, shot.across, shot.wide_sd * factor)

    reach = NINETEEN_IN_TWENTY / math.sqrt(2 * (SPREAD_WEIGHT + shot.club.n_shots))
    value, tight, loose = at(1.0), at(1 - reach), at(1 + reach)
    return Estimate(value, min(value, tight, loose), max(value, tight, loose), shot.club.n_shots)


@dataclass(frozen=True, slots=True)
class Miss:
    """A usual miss: from the ball to the edge of the green, and to the hole in its middle."""

    to_green: float
    to_hole: float


def usual_miss_of(shot: Shot, spot: Spot) -> Miss | None:
    """The mean of the good strikes that end near the green and in no trouble; None where there are none."""
    around = spot.around
    farthest = in_unit_of(CHIP_FROM, spot.unit)
    missed = []
    for long, wide in POINTS:
        beyond, across = long * shot.club.long_sd, shot.across + wide * shot.wide_sd
        rests = shot.rests + beyond
        away = around.green.beyond_edge(rests, across)
        if 0 < away <= farthest and around.met(shot.lands + beyond, rests, across) is None:
            missed.append((away, math.hypot(rests, across)))
    if not missed:
        return None
    return Miss(*(math.fsum(column) / len(missed) for column in zip(*missed, strict=True)))


def first_putt_of(shot: Shot, spot: Spot) -> float:
    """Mean length in feet of the first putt after a green that was hit, the hole in the middle."""
    green = spot.around.green
    away = [
        math.hypot(rests, across)
        for long, wide in POINTS
        if green.holds(rests := shot.rests + long * shot.club.long_sd, across := shot.across + wide * shot.wide_sd)
    ]
    mean = math.fsum(away) / len(away) if away else min(green.depth, green.width) / 3
    return 3 * mean / in_unit_of(1.0, spot.unit)
