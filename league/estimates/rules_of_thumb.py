"""Rules a player can keep on the course, each with the chance that stands behind it and where that comes from.

>>> first_putt(30, level=19, unit="yards").words
'From 30 ft the first putt is about distance: two putts or better come about 82 % of the time, one hardly ever.'
>>> punch_out_rule(left=160, gains=5, level=19, unit="yards").words
'In the trees, 160 yards out: sideways to short grass leaves 3.7 strokes; what the gap would gain is not worth a try.'
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from league.estimates.at_the_green import within_three
from league.estimates.carries import STARTERS, Carry
from league.estimates.green import usual_chance
from league.estimates.putting import expected_putts, one_putt, said_length, two_or_better
from league.estimates.strokes_left import strokes_left

ABOUT_DISTANCE = 20.0
"""Feet beyond which a first putt is about distance; common practice."""
TOUR_HALF = 8
"""Feet from which a tour player holes half."""
RUNS_TO_CARRY = ((30.0, 3.5), (36.0, 2.5), (40.0, 2.0), (45.0, 1.5), (52.0, 1.0), (56.0, 0.8), (60.0, 0.5))
"""Roll for each part of carry of a chip, by loft in degrees, on a level green; common practice, from memory."""
USUAL_LOFTS = {name: loft for name, _, _, loft in STARTERS}
LOFT_OF_A_WEDGE = 50.0
"""Where neither its loft nor its name says more; from memory."""
CHIPPED_WITH = ("iron", "wedge")
ON_THE_GREEN = 2.0
"""Yards or metres on to the green where a chip should land; common practice."""
ON_THE_EDGE = 1.0
"""Yards or metres that need no chip; ours."""
HARDLY_EVER = 0.03

WAY_OUT, CHIP, FIRST_PUTT, THREE_MORE, ODDS = "way_out", "chip", "first_putt", "three_more", "odds"
TREES, SLOPE = "trees", "slope"
"""Lies of `strokes_left` that a way out is told from."""
SAID_OF = {
    TREES: ("In the trees", "sideways to short grass", "the gap"),
    SLOPE: ("On the steep fall", "the short way back to short grass", "the bold shot"),
}


@dataclass(frozen=True, slots=True)
class Rule:
    """`chance` is the one the words rest on, None where there is none; of a way out, how often the gap must work."""

    kind: str
    words: str
    chance: float | None
    source: str


def punch_out_rule(
    left: float,
    gains: float,
    level: float,
    unit: str,
    sideways: float = 0.0,
    chance: float | None = None,
    lie: str = TREES,
) -> Rule:
    """From trouble, `left` from the green: how often the gap must work to beat the sure way to short grass.

    `gains` is how much nearer the shot through the gap comes, `sideways` how much nearer the sure one. A shot that
    hits wood stays in the trouble where it was. `chance`: how often the player gets through, if they know. The
    rule's chance is the break-even: (fails - sure) / (fails - works), each in expected strokes from there.
    """
    sure = strokes_left(max(0.0, left - sideways), level, unit)
    works = strokes_left(abs(left - gains), level, unit)
    fails = strokes_left(left, level, unit, lie)
    needed = min(1.0, max(0.0, (fails - sure) / (fails - works))) if fails > works else 1.0
    source = "expected strokes from there; that the shot that surely finds short grass comes first is common practice"
    place, way, gap = SAID_OF[lie]
    words = f"{place}, {left:.0f} {unit} out: {way} leaves {sure:.1f} strokes; "
    if needed > 0.95:
        return Rule(WAY_OUT, f"{words}what {gap} would gain is not worth a try.", needed, source)
    words += (
        f"{gap} {works:.1f} if it works and {fails:.1f} if not. It must work more than {_percent(needed)} of the time."
    )
    if chance is not None:
        verdict = f"{gap} is worth it" if chance > needed else "take the sure way"
        words = f"{words} You say {_percent(chance)}: {verdict}."
    return Rule(WAY_OUT, words, needed, source)


def least_lofted_rule(
    carries: Sequence[Carry], to_green: float, to_hole: float, unit: str, leaves_feet: float | None = None
) -> Rule:
    """The least lofted club whose chip lands just on the green and has run out at the hole.

    `to_green` from the ball to the edge of the green, `to_hole` to the hole. With nothing to carry it is the putter.
    `leaves_feet`: the putt to expect after it.
    """
    source = "common practice; carry and roll by loft from memory"
    after = "" if leaves_feet is None else f", to leave a putt of about {said_length(leaves_feet, unit)}"
    if to_green <= ON_THE_EDGE:
        words = f"From the edge the putter: it is the least lofted club that does the job{after}."
        return Rule(CHIP, words, None, source)
    start = f"A chip of {to_hole:.0f} {unit}, {to_green:.0f} of them to the green"
    lofts = _lofts(carries)
    if not lofts:
        words = f"{start}: the least lofted club that lands just on the green and runs out at the hole{after}."
        return Rule(CHIP, words, None, source)
    loft, name = _least(lofts, to_green, to_hole)
    if not _stops(loft, to_green, to_hole):
        words = f"{start}, leaves little green to roll on: the {name}, and past the hole is no harm."
        return Rule(CHIP, words, None, source)
    carry = to_hole / (1 + _roll(loft))
    words = (
        f"{start}: the {name} is the least lofted club that does it, {carry:.0f} to carry and the rest rolls{after}."
    )
    return Rule(CHIP, words, None, source)


def chipping_club(carries: Sequence[Carry], to_green: float, to_hole: float) -> str:
    """The club of that rule; "" where no loft is known."""
    if to_green <= ON_THE_EDGE:
        return "putter"
    lofts = _lofts(carries)
    return _least(lofts, to_green, to_hole)[1] if lofts else ""


def first_putt(feet: float, level: float, unit: str, start: str = "From") -> Rule:
    """Beyond 20 feet about distance; nearer how often it drops, and what the tour does. `start` opens the sentence."""
    two = two_or_better(feet, level)
    length = said_length(feet, unit)
    if feet > ABOUT_DISTANCE:
        holed = one_putt(feet, level)
        rarely = "one hardly ever" if holed <= HARDLY_EVER else f"one about {_percent(holed)}"
        often = f"two putts or better come about {_percent(two)} of the time, {rarely}"
        words = f"{start} {length} the first putt is about distance: {often}."
        return Rule(
            FIRST_PUTT,
            words,
            two,
            "published putts by length and level; beyond 20 feet distance first is common practice",
        )
    holed = one_putt(feet, level)
    tour = said_length(TOUR_HALF, unit)
    words = f"{start} {length} about {_percent(holed)} drop at your level; the tour misses half from {tour}."
    return Rule(FIRST_PUTT, words, holed, "published putts by length and level (Broadie, quoted in three articles)")


def never_worse_than_three(distance: float, level: float, unit: str) -> Rule:
    """From 40 to 60 yards the aim is never worse than three more."""
    three = within_three(distance, level, unit)
    words = (
        f"From {distance:.0f} {unit} the aim is never worse than three more: the middle of the green and two putts. "
        f"At your level that comes off about {_percent(three)} of the time."
    )
    return Rule(
        THREE_MORE, words, three, "the aim is common practice; the chance is ours, from memory of published short games"
    )


def usual_odds(left: float, level: float, unit: str) -> Rule:
    """How often a green is hit from there at this level, whatever is known of the clubs."""
    chance = usual_chance(left, level, unit)
    words = f"From {left:.0f} {unit} about {_percent(chance)} of the shots at this level end on a usual green."
    return Rule(
        ODDS,
        words,
        chance,
        "published spreads; fitted so that a player around 90 has one in three or four from 135 yards",
    )


def three_putt_price(feet: float, level: float) -> float:
    """Putts more than two that a first putt of this length costs in the mean; below nought for less than two."""
    return expected_putts(feet, level) - 2


def _lofts(carries: Sequence[Carry]) -> list[tuple[float, str]]:
    """Of the clubs to chip with, the least lofted first; those whose loft nobody knows are left out."""
    known = ((_loft(club), club.name) for club in carries if club.kind in CHIPPED_WITH)
    return sorted((loft, name) for loft, name in known if loft is not None and loft >= RUNS_TO_CARRY[0][0])


def _least(lofts: Sequence[tuple[float, str]], to_green: float, to_hole: float) -> tuple[float, str]:
    """The least lofted that stops in time; the most lofted where none does."""
    return next((one for one in lofts if _stops(one[0], to_green, to_hole)), lofts[-1])


def _stops(loft: float, to_green: float, to_hole: float) -> bool:
    return (to_green + ON_THE_GREEN) * (1 + _roll(loft)) <= to_hole


def _loft(club: Carry) -> float | None:
    by_name = USUAL_LOFTS.get(club.name, LOFT_OF_A_WEDGE if club.kind == "wedge" else None)
    return club.loft if club.loft is not None else by_name


def _roll(loft: float) -> float:
    for (left, low), (right, high) in zip(RUNS_TO_CARRY, RUNS_TO_CARRY[1:], strict=False):
        if loft <= right:
            return low + (high - low) * (loft - left) / (right - left)
    return RUNS_TO_CARRY[-1][1]


def _percent(chance: float) -> str:
    return f"{math.floor(100 * chance + 0.5)} %"
