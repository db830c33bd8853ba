"""What is advised from where the tee shot ends: shot by shot to the green, the lay-up, and the rules that hold there.

A hole that is not reached in two has a third shot and perhaps more: each is advised from where the one before ends when
it is struck as usual, until one is at the green. Within `CHIP_WITHIN` that one is a chip. On a par 3 the tee shot is
the shot at the green, so that no second club is named for it: only what may be short of it.

A rule stands where it may be wanted: the first putt and the chip after a usual miss where a shot is at the green, never
worse than three where a shot is from 40 to 60 yards, the way out where trees or a steep fall stand.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from league.estimates.approach import Approach, approach_from
from league.estimates.at_the_green import POOR_SHORT_SHOTS, along, leaves
from league.estimates.carries import LEVEL_UNKNOWN
from league.estimates.green import green_of, in_unit_of
from league.estimates.green_shots import Miss
from league.estimates.plan import ApproachAdvice, HoleToPlan, Known, RuleAdvice, ShotAdvice
from league.estimates.putting import said_length
from league.estimates.rules_of_thumb import (
    SLOPE,
    TREES,
    Rule,
    chipping_club,
    first_putt,
    least_lofted_rule,
    never_worse_than_three,
    punch_out_rule,
    usual_odds,
)
from league.estimates.tee_words import percent, told_left
from league.rules.described import CountedFrom, Trouble, TroubleKind, is_blank

SHORT_FROM, SHORT_TO = 35.0, 65.0
"""Yards."""
CHIP_WITHIN = 30.0
"""Yards to the middle of the green; ours."""
MOST_SHOTS = 8
GAP_GAINS = 0.75
"""Of the distance left that a shot through the gap is taken to bring, and no more than the longest club; ours."""
FAR_FROM_GREEN = 60.0
"""Yards: trouble nearer to the green than this is left by a short shot; ours."""
TO_GET_OUT_OF = {TroubleKind.TREES: TREES, TroubleKind.FALL_OFF: SLOPE}
"""Trouble that a bold shot may stay in, and its lie."""


@dataclass(frozen=True, slots=True)
class _Way:
    """To the green: the shots, what was found at each, and the chip at its end where there is one, from so far."""

    shots: tuple[ShotAdvice, ...]
    found: tuple[Approach, ...]
    chip_from: int = 0

    @property
    def at_the_green(self) -> Approach | None:
        return next((one for one in self.found if not one.leaves), None)


def after_the_tee(left: float, one: HoleToPlan, known: Known) -> int:
    """What the tee shot leaves, as the plan goes on from it; 0 where it ends by the green."""
    return 0 if left <= green_of(one.described, known.unit).depth / 2 else told_left(left)


def advice_from(left: float, one: HoleToPlan, known: Known, tee_club: str = "") -> ApproachAdvice | None:
    """From so far to the middle of the green in the plan's unit; from the tee of a par 3 with its `tee_club`."""
    if one.length is None or left <= 0:
        return None
    level = LEVEL_UNKNOWN if known.level is None else known.level
    is_tee = one.hole.par == 3 and left >= one.length
    way = _way(left, one, known, level, tee_club, 1 if is_tee else 2)
    if not way.shots:
        return None
    first = way.shots[0]
    return ApproachAdvice(
        club="" if is_tee else first.club,
        words=_from_the_tee(first, left, level, known.unit) if is_tee else first.words,
        lay_up=first.other,
        shots=way.shots,
        rules=tuple(
            RuleAdvice(rule.kind, rule.words, rule.chance, rule.source) for rule in _rules(way, one, known, level)
        ),
        unknown=_unknown(way, one),
    )


def _from_the_tee(first: ShotAdvice, left: float, level: float, unit: str) -> str:
    """On a par 3: how often the club that is named ends on the green, and what is usual from there."""
    usual = usual_odds(left, level, unit).words
    if first.chance_green is None:
        return usual
    return f"The {first.club}: about {percent(first.chance_green)} end on this green. {usual}"


def _way(left: float, one: HoleToPlan, known: Known, level: float, tee_club: str, number: int) -> _Way:
    """Shot by shot, `number` being the first; until one is at the green, or `MOST_SHOTS` are not enough."""
    assert one.length is not None
    at = told_left(left) if number > 1 else one.length
    shots, found = list[ShotAdvice](), list[Approach]()
    for place in range(number, MOST_SHOTS + 1):
        if place > 1 and at <= in_unit_of(CHIP_WITHIN, known.unit):
            return _Way((*shots, _chip(place, at, one, known, level)), tuple(found), at)
        shot = approach_from(
            *(at, one.described, one.length, one.hole.par, known.carries, level),
            *(one.conditions, known.unit, known.liked, tee_club if place == 1 else ""),
        )
        if shot is None:
            break
        found.append(shot)
        shots.append(_shot(place, at, shot))
        at = shot.leaves
        if not at:
            break
    return _Way(tuple(shots), tuple(found))


def _shot(number: int, at: int, found: Approach) -> ShotAdvice:
    return ShotAdvice(
        number=number,
        club=found.plays_club,
        covers=at - found.leaves,
        leaves=found.leaves,
        words="" if number == 1 else found.words,
        other=found.lay_up.words if found.lay_up else "",
        chance_green=None if found.leaves else round(found.chance_green.value, 3),
        lost=round(found.lost, 3),
        lost_words=found.lost_words,
    )


def _chip(number: int, at: int, one: HoleToPlan, known: Known, level: float) -> ShotAdvice:
    to_green = _to_green(at, one, known)
    club = chipping_club(known.carries, to_green, at)
    putt = said_length(leaves(at, level, known.unit), known.unit)
    words = f"{at} {known.unit}: a chip{f' with the {club}' if club else ''}, to leave a putt of about {putt}."
    chance = 1 - along(POOR_SHORT_SHOTS, level)
    return ShotAdvice(number, club, at, 0, words, chance_green=round(chance, 3))


def _to_green(at: float, one: HoleToPlan, known: Known) -> float:
    return max(0.0, at - green_of(one.described, known.unit).depth / 2)


def _rules(way: _Way, one: HoleToPlan, known: Known, level: float) -> Iterator[Rule]:
    unit = known.unit
    yard = in_unit_of(1.0, unit)
    starts = [shot.covers + shot.leaves for shot in way.shots]
    short = next((at for at in starts if SHORT_FROM * yard <= at <= SHORT_TO * yard), None)
    if short is not None:
        yield never_worse_than_three(short, level, unit)
    yield from _round_the_green(way, one, known, level)
    way_out = _way_out(starts[0], one, known, level)
    if way_out is not None:
        yield way_out


def _round_the_green(way: _Way, one: HoleToPlan, known: Known, level: float) -> Iterator[Rule]:
    """The first putt to expect; and the chip at the end, or the one after a usual miss."""
    unit, at_green = known.unit, way.at_the_green
    if way.chip_from:
        putt: float | None = leaves(way.chip_from, level, unit)
        chip: Miss | None = Miss(_to_green(way.chip_from, one, known), way.chip_from)
    else:
        putt, chip = (at_green.first_putt_feet, at_green.usual_miss) if at_green else (None, None)
    if putt is not None:
        yield first_putt(putt, level, unit, "Once on the green, from about")
    if chip is not None:
        yield least_lofted_rule(known.carries, chip.to_green, chip.to_hole, unit, leaves(chip.to_hole, level, unit))


def _way_out(left: float, one: HoleToPlan, known: Known, level: float) -> Rule | None:
    """Of the trouble that stands nearest to where the tee shot ends, from its place nearest to that."""
    if one.hole.par == 3 or one.length is None:
        return None
    rows = [
        (at, trouble)
        for trouble in one.described.trouble
        if trouble.kind in TO_GET_OUT_OF
        and (at := _nearest(left, trouble, one.length)) >= in_unit_of(FAR_FROM_GREEN, known.unit)
    ]
    if not rows:
        return None
    at, trouble = min(rows, key=lambda row: abs(row[0] - left))
    longest = max((club.carry for club in known.carries if club.kind != "driver"), default=at)
    gains = min(GAP_GAINS * at, longest)
    return punch_out_rule(at, gains, level, known.unit, lie=TO_GET_OUT_OF[trouble.kind])


def _nearest(left: float, trouble: Trouble, length: int) -> float:
    """How far from the green in this trouble, as near as may be to `left`."""
    shift = 0 if trouble.counted_from == CountedFrom.GREEN else length
    return min(max(left, shift - trouble.ends), shift - trouble.begins)


def _unknown(way: _Way, one: HoleToPlan) -> tuple[str, ...]:
    found = way.found[0].unknown if way.found else ()
    return tuple(words for words in found if not (is_blank(one.described) and words.startswith("what trouble")))
