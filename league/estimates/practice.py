"""An hour of practice, split over what costs a player most, with what it may save.

The five parts are those that a player can work at alone: ways out of trouble, shots at the green, 40 to 60 yards,
first putts from far, and carries and lines. What each costs comes from the player's own leaks. Doubles and everything
else are no part: they are what is left of a hole once each of the others has had its share. A leak gives way like this
(all of it ours: no published figure of what an hour of practice saves was found): practised for an hour every week over
some two months, at most `MOST` of it goes, half of that with the first `HALF_WITH` minutes, half of the rest with the
next. So the first minutes save most, and the hour goes, five minutes after five, to where the next five save most.

The range runs from the leak's lower end and the least that practice may take (`LEAST_SHARE`) to its upper end and the
most (`MOST_SHARE`). It is wide, and meant to be.

>>> hour = split({"putting": Estimate(3.0, 2.0, 4.0, 180), "carries": Estimate(1.0, 0.5, 1.5, 180)})
>>> [(part.kind, part.minutes) for part in hour.parts], round(hour.gain.value, 1)
([('putting', 45), ('carries', 15)], 0.8)
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from league.estimates.estimate import Estimate
from league.estimates.leaks import (
    APPROACH,
    DOUBLES,
    DOWN_IN_THREE,
    EVERYTHING_ELSE,
    PENALTIES,
    RECOVERY,
    SHORT_GAME,
    THREE_PUTTS,
    Leak,
)

RECOVERIES, GREENS, SHORT, PUTTING, CARRIES = "recovery", "greens", "short", "putting", "carries"
KINDS = (RECOVERIES, GREENS, SHORT, PUTTING, CARRIES)
NAMES = {
    RECOVERIES: "ways out of trouble",
    GREENS: "shots at the green",
    SHORT: "40 to 60 yards",
    PUTTING: "first putts from far",
    CARRIES: "carries and lines",
}
FROM_LEAKS = {
    RECOVERIES: (RECOVERY,),
    GREENS: (APPROACH,),
    SHORT: (SHORT_GAME, DOWN_IN_THREE),
    PUTTING: (THREE_PUTTS,),
    CARRIES: (PENALTIES,),
}
"""Which leaks a part stands for, added up. A green is missed by the tee shot as well; cards do not tell by which."""
LEFT_OVER = (DOUBLES, EVERYTHING_ELSE)
"""Leaks that are no part."""
NOTED_AS = {
    RECOVERIES: "recoveries",
    GREENS: "putts",
    SHORT: "strokes from inside 60 yards",
    PUTTING: "putts",
    CARRIES: "penalty strokes",
}

HOUR = 60
SHORTEST_HOUR, LONGEST_HOUR = 15, 180
BLOCK = 5
LEAST_MINUTES = 10
HALF_WITH = 20.0
MOST, LEAST_SHARE, MOST_SHARE = 0.3, 0.1, 0.5


@dataclass(frozen=True, slots=True)
class Part:
    """`strokes` a round that it costs now, `gain` of them that these minutes a week may save."""

    kind: str
    minutes: int
    strokes: Estimate
    gain: Estimate


@dataclass(frozen=True, slots=True)
class Hour:
    """`unknown` has, by kind, why nothing can be said of a part. No part at all comes with `words`.

    `too_small` has what costs too little beside the parts to be worth ten minutes.
    """

    minutes: int
    parts: tuple[Part, ...]
    gain: Estimate | None
    words: str
    unknown: tuple[tuple[str, str], ...]
    too_small: tuple[tuple[str, Estimate], ...] = ()


def costs_of(leaks: Mapping[str, Leak]) -> tuple[dict[str, Estimate], dict[str, str]]:
    """What each part costs by the leaks, and why the others are not known. A part needs one of its leaks."""
    known: dict[str, Estimate] = {}
    unknown: dict[str, str] = {}
    for kind, names in FROM_LEAKS.items():
        found = [leaks[name].strokes for name in names if name in leaks]
        told = [strokes for strokes in found if strokes is not None]
        if told:
            known[kind] = _added(told)
        else:
            reasons = [leaks[name].reason for name in names if name in leaks and leaks[name].reason]
            unknown[kind] = reasons[0] if reasons else "not recorded yet"
    return known, unknown


def left_over(leaks: Mapping[str, Leak]) -> dict[str, Estimate]:
    """Strokes a round of the leaks that are no part, those that cost any."""
    told = {kind: leaks[kind].strokes for kind in LEFT_OVER if kind in leaks}
    return {kind: strokes for kind, strokes in told.items() if strokes is not None and strokes.value > 0}


def split(costs: Mapping[str, Estimate], minutes: int = HOUR, unknown: Mapping[str, str] | None = None) -> Hour:
    """Blocks of five minutes, each to where it saves most; a part of fewer than ten minutes goes to the others.

    ValueError for a time that is not from a quarter of an hour to three hours, in fives.
    """
    if not SHORTEST_HOUR <= minutes <= LONGEST_HOUR or minutes % BLOCK:
        raise ValueError(f"minutes: from {SHORTEST_HOUR} to {LONGEST_HOUR}, in fives")
    missing = tuple((kind, (unknown or {})[kind]) for kind in KINDS if kind in (unknown or {}))
    costly = {kind: costs[kind] for kind in KINDS if kind in costs and costs[kind].value > 0}
    if not costly:
        return Hour(minutes, (), None, _why_none(costs, missing), missing)
    given = _shared(costly, minutes)
    parts = [
        Part(kind, time, costly[kind], gain_of(costly[kind], time))
        for kind, time in sorted(given.items(), key=lambda pair: -pair[1])
        if time
    ]
    small = tuple((kind, strokes) for kind, strokes in costly.items() if not given.get(kind))
    return Hour(minutes, tuple(parts), _added([part.gain for part in parts]), "", missing, small)


def taken(minutes: float) -> float:
    """The share of what practice can take of a leak that so many minutes a week do take."""
    return 1 - math.pow(0.5, minutes / HALF_WITH)


def gain_of(strokes: Estimate, minutes: float) -> Estimate:
    """Strokes a round that so many minutes a week may save."""
    share = taken(minutes)
    low, high = LEAST_SHARE * share * max(0.0, strokes.low), MOST_SHARE * share * max(0.0, strokes.high)
    return Estimate(MOST * share * strokes.value, low, high, strokes.n)


def _shared(costly: Mapping[str, Estimate], minutes: int) -> dict[str, int]:
    kinds = list(costly)
    while True:
        given = dict.fromkeys(kinds, 0)
        for _ in range(minutes // BLOCK):
            best = max(kinds, key=lambda kind: costly[kind].value * (taken(given[kind] + BLOCK) - taken(given[kind])))
            given[best] += BLOCK
        small = [kind for kind in kinds if 0 < given[kind] < LEAST_MINUTES]
        if not small:
            return given
        kinds.remove(min(small, key=lambda kind: costly[kind].value))


def _added(estimates: list[Estimate]) -> Estimate:
    """Ends added to ends: wider than independent parts would be, and never too narrow. It rests on the fewest holes."""
    return Estimate(
        sum(one.value for one in estimates),
        sum(one.low for one in estimates),
        sum(one.high for one in estimates),
        min(one.n for one in estimates),
    )


def _why_none(costs: Mapping[str, Estimate], missing: tuple[tuple[str, str], ...]) -> str:
    if costs:
        return "Nothing that was noted costs a stroke against the barrier."
    if missing:
        return "Too few rounds to tell what costs most: three cards hole by hole, with putts and penalties, are enough."
    return "Nothing is known yet."
