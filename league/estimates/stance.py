"""How bold to be on a hole: attack, measured or protect, and why, in one sentence.

The first of these that holds, and all are common practice but for the limits, which are ours:

1. Two separate penalty areas, or a forced carry near the usual carry: protect.
2. The shots of the plan meet out of bounds or a penalty area at least once in ten: protect.
3. A blow-up (two over what the barrier allows on every hole, or worse) happens clearly more often here than elsewhere:
   protect.
4. The hole takes the player clearly more over par than the mean hole: protect.
5. Hardly a stroke to lose, and the hole is short, or the green in regulation is hit clearly more often than a player
   around 90 hits one from 135 yards, or the hole takes clearly less over par: attack. A hole of which
   nothing is described is never attacked: nobody said that it is safe.
6. Else measured.

The limits are set so that a player around 90, on holes described in full and with a carry book, has a few holes to
attack and several to protect; a test holds that.

>>> stance_of(Facts(par=4, penalty_areas=2)).stance
'protect'
>>> stance_of(Facts(par=4)).reason
'Nothing is described here, and no card of yours is known: the middle, and no hurry.'
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from league.estimates.carries import Carry
from league.estimates.round_the_green import LOSES_A_STROKE
from league.estimates.tee_words import odds
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind
from league.rules.printed import METRES_IN_A_YARD, YARDS

ATTACK, MEASURED, PROTECT = "attack", "measured", "protect"
OFTEN_LOST = 0.10
HARDLY_LOST = 0.03
OFTEN_GREEN = 0.40
"""Of the green in regulation; one time in three or four is usual around 90 from 135 yards."""
MORE_BLOW_UPS = 1.5
OFTEN_BLOWN_UP = 0.10
"""A triple bogey or worse is some 6 in 100 on the mean hole of a player around 90."""
BAD_SCORES = {2: "A double bogey", 3: "A triple bogey"}
FEWEST_CARDS = 5
"""Own results on a hole, before its blow-ups or its mean decide anything."""
CLEARLY = 0.25
"""Strokes; a few holes of a course lie so far from their mean once they are shrunk."""
SHORT_LEFT = 100
"""Yards: from there a tee shot has made the hole short."""
NEAR_USUAL = 2.0
"""Spreads in length: a forced carry that ends nearer to the usual carry than this is near it. Ours: one shot in forty
falls farther short."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What a stance rests on; None is not known.

    `harder`: expected strokes over par, less the mean of that over all holes; over the printed par and not the personal
    one, where whole strokes would decide what tenths do not. `blow_up` and `usual_blow_up`: how often `blow_up_from`
    over par or worse, here and on the mean hole. `lost`: chance that a shot of the plan meets what costs a stroke.
    `in_regulation`: chance of the green with the shot that would be in regulation, None where the plan has none.
    `plain`: what plain shots do, in one sentence, "" without a club. `left`: to the middle of the green after the tee
    shot, in yards; `left_words`: the same in the unit of the plan.
    """

    par: int
    is_described: bool = False
    penalty_areas: int = 0
    forced_carry: str = ""
    stroke_losers: int = 0
    lost: float | None = None
    lost_words: str = ""
    in_regulation: float | None = None
    plain: str = ""
    left: float | None = None
    left_words: str = ""
    n_cards: int = 0
    harder: float | None = None
    blow_up_from: int = 3
    blow_up: float | None = None
    usual_blow_up: float | None = None


@dataclass(frozen=True, slots=True)
class Stance:
    """`is_practice`: common practice decides, not the arithmetic."""

    stance: str
    reason: str
    is_practice: bool = False


def stance_of(facts: Facts) -> Stance:
    return _by_practice(facts) or _protect(facts) or _attack(facts) or _measured(facts)


def _by_practice(facts: Facts) -> Stance | None:
    if facts.penalty_areas >= 2:
        return Stance(PROTECT, "Two separate penalty areas: reason enough to protect (common practice).", True)
    if facts.forced_carry:
        return Stance(PROTECT, facts.forced_carry, True)
    return None


def _protect(facts: Facts) -> Stance | None:
    if facts.lost is not None and facts.lost >= OFTEN_LOST:
        where = f" {facts.lost_words}" if facts.lost_words else ""
        return Stance(PROTECT, f"A stroke is lost{where} {odds(facts.lost)}.")
    if facts.n_cards < FEWEST_CARDS:
        return None
    often = facts.blow_up is not None and facts.blow_up >= OFTEN_BLOWN_UP
    if often and facts.blow_up and facts.usual_blow_up and facts.blow_up >= MORE_BLOW_UPS * facts.usual_blow_up:
        bad = BAD_SCORES.get(facts.blow_up_from, f"{facts.blow_up_from} over par")
        return Stance(PROTECT, f"{bad} or worse {odds(facts.blow_up)}, more often than on your other holes.")
    if facts.harder is not None and facts.harder >= CLEARLY:
        return Stance(PROTECT, f"It takes you {facts.harder:.1f} more over par than your mean hole.")
    return None


def _attack(facts: Facts) -> Stance | None:
    is_safe = facts.is_described and facts.stroke_losers == 0
    if facts.is_described and facts.lost is not None:
        is_safe = facts.lost < HARDLY_LOST
    if not is_safe:
        return None
    start = "No stroke to lose here" if facts.stroke_losers == 0 else "Hardly a stroke to lose here"
    if facts.par > 3 and facts.left is not None and facts.left <= SHORT_LEFT:
        return Stance(ATTACK, f"{start}, and about {facts.left_words} are left.")
    if facts.in_regulation is not None and facts.in_regulation >= OFTEN_GREEN:
        often = f"about {math.floor(10 * facts.in_regulation + 0.5)} times in 10"
        return Stance(ATTACK, f"{start}, and the green in regulation {often}.")
    if facts.n_cards >= FEWEST_CARDS and facts.harder is not None and facts.harder <= -CLEARLY:
        return Stance(ATTACK, f"{start}, and it takes you {-facts.harder:.1f} less over par than your mean hole.")
    return None


def _measured(facts: Facts) -> Stance:
    if not facts.is_described:
        if facts.n_cards < FEWEST_CARDS:
            text = "Nothing is described here, and no card of yours is known: the middle, and no hurry."
            if facts.n_cards:
                text = "Nothing is described here, and your cards are few: the middle, and no hurry."
            return Stance(MEASURED, text)
        return Stance(MEASURED, "Nothing is described here; your cards say neither hard nor easy.")
    return Stance(MEASURED, facts.plain or "No club is known here: the middle, and no hurry.")


def penalty_areas(hole: Described) -> int:
    """Separate ones: rows of trouble that stand apart in side, or along the hole."""
    rows = [trouble for trouble in hole.trouble if trouble.kind == TroubleKind.PENALTY_AREA]
    apart = 0
    seen: list[tuple[str, str, int, int]] = []
    for row in sorted(rows, key=lambda row: (row.counted_from, row.side, row.begins)):
        touches = any(
            (row.counted_from, row.side) == (counted, side) and row.begins <= ends + 1 and row.ends >= begins - 1
            for counted, side, begins, ends in seen
        )
        apart += not touches
        seen.append((row.counted_from, row.side, row.begins, row.ends))
    return apart


def stroke_losers(hole: Described) -> int:
    return sum(trouble.kind in LOSES_A_STROKE for trouble in hole.trouble)


def forced_carry(hole: Described, carries: Sequence[Carry], unit: str, length: int | None, par: int) -> str:
    """One sentence where what crosses the hole ends near the usual carry that is needed there; "" otherwise.

    From the tee of a par 3 that is the club to the green, elsewhere the longest club.
    """
    if not carries:
        return ""
    longest = max(carries, key=lambda one: one.carry)
    if par == 3 and length is not None:
        reaching = [one for one in carries if one.carry >= length]
        longest = min(reaching, key=lambda one: one.carry, default=longest)
    near = near_carry(hole, longest)
    if near is None:
        return ""
    return f"{carry_words(near, longest, unit)} (common practice)."


def near_carry(hole: Described, club: Carry) -> Trouble | None:
    """What crosses the way from the tee, costs a stroke and ends near the carry of a club."""
    crossing = (
        trouble
        for trouble in hole.trouble
        if trouble.side == Side.ACROSS and trouble.kind in LOSES_A_STROKE and trouble.counted_from == CountedFrom.TEE
    )
    return next((one for one in crossing if abs(club.carry - one.ends) < NEAR_USUAL * club.long_sd), None)


def carry_words(near: Trouble, club: Carry, unit: str) -> str:
    return f"The carry over what crosses is {near.ends} {unit}, near the {club.carry:.0f} that {club.name} carries"


def in_yards(distance: float, unit: str) -> float:
    return distance if unit == YARDS else distance / float(METRES_IN_A_YARD)


def safe_side(hole: Described) -> str:
    """Where to miss: as described, else away from what costs a stroke on one side only; "" where neither is known."""
    if hole.safe_side is not None:
        return hole.safe_side.value
    sides = {trouble.side for trouble in hole.trouble if trouble.kind in LOSES_A_STROKE}
    bad = sides & {Side.LEFT, Side.RIGHT}
    if len(bad) == 1:
        return "right" if Side.LEFT in bad else "left"
    return ""
