"""How far a club usually carries, and how that scatters in length and in direction.

What a player typed and what was measured are put together as a normal model with a conjugate prior would, with
stated weights. A typed carry is worth `CARRY_WEIGHT` measured shots; a spread from elsewhere is worth `SPREAD_WEIGHT`
shots. That a typed carry is wrong is no spread: only the distances of the shots from their own mean count as that.

Where nothing was typed the spread starts from what is published for the level. Direction: the standard deviation of
drives, from memory (tour 3.4 degrees, a player around 80 about 5, around 90 about 6.5, around 100 about 7.5), which
lies inside the ranges of a figure of Broadie's "Every Shot Counts" as a reader describes it (tour 3 to 4, around 80 4
to 9, around 100 5 to 11). Shorter clubs scatter a little less in degrees; that share is ours. Length: no published
figure was found; the shares of the carry here are from memory, and marked as published figures are.

A topped shot belongs to the truth: nothing is taken out. But a single shot counts at most `LIMIT` spreads from the
middle of the shots (their median), so that one does not decide for a dozen others.

A usual curve is the mean of the angles at which measured shots landed off the line aimed at, shrunk to the typed curve
(or to straight). It cannot tell a curve from a wrong aim.

>>> driver = Typed("driver", "driver", carry=200)
>>> told = carry_of(driver, [Measured(180, 12)] * 5, level=19)
>>> told.carry, round(told.curve, 1), told.n_shots, told.is_published
(190.0, 6.3, 5, True)
>>> carry_of(Typed("7 iron", "iron"), [Measured(140)] * 2, level=19) is None
True
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from league.estimates.estimate import Estimate, about

CARRY_WEIGHT = 5
"""Measured shots that a typed carry, or a typed curve, is worth."""
SPREAD_WEIGHT = 10
"""Measured shots that a typed or published spread is worth."""
FEWEST_SHOTS = 3
"""A club without a typed carry is not known from fewer."""
LIMIT = 3.0

LEVEL_UNKNOWN = 20.0
"""Expected differential of a player of whom nothing is known: where the outlook starts, too."""

WIDE_BY_LEVEL = ((-6.0, 3.4), (9.0, 5.0), (19.0, 6.5), (29.0, 7.5), (64.0, 11.0))
"""Degrees by expected differential, which is the usual score less about 71. Beyond 100: the range's upper end."""
WIDE_SHARES = {"driver": 1.0, "wood": 1.0, "hybrid": 0.95, "iron": 0.9, "wedge": 0.9}
LONG_BY_LEVEL = ((-6.0, 0.045), (9.0, 0.065), (19.0, 0.085), (29.0, 0.105), (54.0, 0.14))
"""Shares of the carry by expected differential; from memory."""

PUTTER = "putter"


@dataclass(frozen=True, slots=True)
class Carry:
    """`carry` and `long_sd` in one unit of length, `wide_sd` in degrees.

    `curve` is how far off its starting line a usual shot lands, right positive, in the unit of `carry`.
    `is_published`: the spread rests on published figures more than on own shots or own values.
    """

    name: str
    kind: str
    carry: float
    long_sd: float
    wide_sd: float
    curve: float = 0.0
    n_shots: int = 0
    is_published: bool = True
    loft: float | None = None


@dataclass(frozen=True, slots=True)
class Typed:
    """A club as its player wrote it down: None is not known. Spreads are standard deviations, `wide` in degrees."""

    name: str
    kind: str
    carry: float | None = None
    long: float | None = None
    wide: float | None = None
    curve: float | None = None
    loft: float | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """One shot: carry, and how far off the line aimed at it landed, right positive."""

    carry: float
    off_line: float | None = None


def carry_of(typed: Typed, shots: Sequence[Measured] = (), level: float | None = None) -> Carry | None:
    """What is known of one club in the unit it came in; None for a putter and for what is not known."""
    if typed.kind == PUTTER or (typed.carry is None and len(shots) < FEWEST_SHOTS):
        return None
    lengths = [shot.carry for shot in shots]
    about_here = typed.carry if typed.carry is not None else median(lengths)
    long_before = typed.long or published_long(level) * about_here
    long = _spread(lengths, long_before)
    carry = _mean(_limited(lengths, long_before), typed.carry)
    angles = [_angle(shot.off_line, shot.carry) for shot in shots if shot.off_line is not None]
    wide_before = typed.wide or published_wide(typed.kind, level)
    turn = _mean(_limited(angles, wide_before), _angle(typed.curve or 0.0, carry))
    return Carry(
        name=typed.name,
        kind=typed.kind,
        carry=carry,
        long_sd=long,
        wide_sd=_spread(angles, wide_before),
        curve=carry * math.tan(math.radians(turn)),
        n_shots=len(shots),
        is_published=_rests_on_published(typed.long, lengths) or _rests_on_published(typed.wide, angles),
        loft=typed.loft,
    )


def carries_of(clubs: Iterable[tuple[Typed, Sequence[Measured]]], level: float | None = None) -> tuple[Carry, ...]:
    """Every club of which enough is known, longest first."""
    known = (carry_of(typed, shots, level) for typed, shots in clubs)
    return tuple(sorted((one for one in known if one is not None), key=lambda one: (-one.carry, one.name)))


def sure_of(carry: Carry, has_typed: bool) -> Estimate:
    """The usual carry with its doubt. A typed value counts as `CARRY_WEIGHT` shots, no more: nobody measured it."""
    weight = carry.n_shots + (CARRY_WEIGHT if has_typed else 0)
    return about(carry.carry, carry.long_sd / math.sqrt(weight), carry.n_shots, floor=0.0)


def four_in_five(carry: Carry) -> tuple[float, float]:
    """Between these two carries lie four shots in five, as a normal spread has it."""
    reach = 1.2816 * carry.long_sd
    return max(0.0, carry.carry - reach), carry.carry + reach


def published_wide(kind: str, level: float | None) -> float:
    """Degrees."""
    return _along(WIDE_BY_LEVEL, LEVEL_UNKNOWN if level is None else level) * WIDE_SHARES.get(kind, 1.0)


def published_long(level: float | None) -> float:
    """A share of the carry."""
    return _along(LONG_BY_LEVEL, LEVEL_UNKNOWN if level is None else level)


def _along(points: Sequence[tuple[float, float]], at: float) -> float:
    if at <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in zip(points, points[1:], strict=False):
        if at <= right:
            return low + (high - low) * (at - left) / (right - left)
    return points[-1][1]


def _limited(values: Sequence[float], spread: float) -> list[float]:
    """Nothing farther than `LIMIT` spreads from the middle: of the prior, or of the shots where they scatter more."""
    if not values:
        return []
    middle = median(values)
    usual = 1.4826 * median(abs(value - middle) for value in values)
    reach = LIMIT * max(spread, usual)
    return [min(max(value, middle - reach), middle + reach) for value in values]


def _mean(values: Sequence[float], before: float | None) -> float:
    if before is None:
        return fmean(values)
    return (CARRY_WEIGHT * before + math.fsum(values)) / (CARRY_WEIGHT + len(values))


def _spread(values: Sequence[float], before: float) -> float:
    if len(values) < 2:
        return before
    limited = _limited(values, before)
    middle = fmean(limited)
    squares = math.fsum((value - middle) ** 2 for value in limited)
    return math.sqrt((SPREAD_WEIGHT * before**2 + squares) / (SPREAD_WEIGHT + len(values) - 1))


def _rests_on_published(typed: float | None, values: Sequence[float]) -> bool:
    return typed is None and len(values) - 1 < SPREAD_WEIGHT


def _angle(off_line: float, carry: float) -> float:
    return math.degrees(math.atan2(off_line, carry))


# A set to start from.

DRIVES = {
    "men": ((5.0, 240), (12.0, 220), (20.0, 204), (math.inf, 187)),
    "women": ((5.0, 196), (12.0, 178), (20.0, 153), (28.0, 138), (math.inf, 118)),
}
"""Average drive of club golfers in yards by handicap up to so much: the distance report of the governing bodies,
as a magazine gives it (golfmonthly.com)."""
INDEX_UNKNOWN = 20.0
ROLL_OF_A_DRIVE = 0.08
"""Share of the carry that a drive rolls; from memory."""
STARTERS = (
    ("driver", "driver", 1.0, 10.5),
    ("5 wood", "wood", 0.88, 18.0),
    ("4 hybrid", "hybrid", 0.82, 22.0),
    ("6 iron", "iron", 0.72, 28.0),
    ("7 iron", "iron", 0.67, 32.0),
    ("8 iron", "iron", 0.61, 36.0),
    ("9 iron", "iron", 0.55, 40.0),
    ("pitching wedge", "wedge", 0.49, 45.0),
    ("sand wedge", "wedge", 0.36, 56.0),
)
"""Name, kind, share of the driver's carry, loft. Shares and lofts are common practice, from memory."""


def published_drive(row: str, index: float | None) -> int:
    """Yards, roll included."""
    at = INDEX_UNKNOWN if index is None else index
    return next(drive for highest, drive in DRIVES[row] if at <= highest)


def starter_set(drive: float) -> tuple[Typed, ...]:
    """A usual set for a player whose drives are so long in all, in the same unit, to the nearest five. A guess."""
    driver = drive / (1 + ROLL_OF_A_DRIVE)
    clubs = [
        Typed(name, kind, carry=5.0 * round(driver * share / 5), loft=loft) for name, kind, share, loft in STARTERS
    ]
    return (*clubs, Typed(PUTTER, PUTTER))
