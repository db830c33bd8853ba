"""What is advised from where the tee shot ends: the shot at the green, the lay-up, and the rules that hold there.

On a par 3 the tee shot is the shot at the green, so that no second club is named for it: only what may be short of it.
A rule stands where it may be wanted: the first putt where the green is in reach, never worse than three where 40 to 60
yards are left, the way out where there are trees.
"""

from collections.abc import Iterator

from league.estimates.approach import Approach, approach_from
from league.estimates.carries import LEVEL_UNKNOWN
from league.estimates.green import in_unit_of
from league.estimates.plan import ApproachAdvice, HoleToPlan, Known
from league.estimates.rules_of_thumb import Rule, first_putt, never_worse_than_three, punch_out_rule, usual_odds
from league.rules.described import TroubleKind, is_blank

SHORT_FROM, SHORT_TO = 35.0, 65.0
"""Yards."""
GAP_GAINS = 0.75
"""Of the distance left that a shot through the gap is taken to bring; ours."""
CLEARLY_LESS = 0.05


def advice_from(left: float, one: HoleToPlan, known: Known) -> ApproachAdvice | None:
    """From so far to the middle of the green in the plan's unit; the length of the hole on a par 3."""
    if one.length is None or left <= 0:
        return None
    level = LEVEL_UNKNOWN if known.level is None else known.level
    par, described = one.hole.par, one.described
    found = approach_from(
        left, described, one.length, par, known.carries, level, one.conditions, known.unit, known.liked
    )
    if found is None:
        return None
    is_tee = par == 3
    lay_up = found.lay_up
    if is_tee and lay_up and lay_up.cost_less < CLEARLY_LESS:
        lay_up = None
    return ApproachAdvice(
        club="" if is_tee else found.club,
        words=usual_odds(left, level, known.unit).words if is_tee else found.words,
        aim="" if is_tee else found.aim,
        lay_up=lay_up.words if lay_up else "",
        chance_green=found.chance_green.value,
        rules=tuple((rule.words, rule.source) for rule in _rules(left, found, one, known, level)),
        unknown=tuple(
            words for words in found.unknown if not (is_blank(described) and words.startswith("what trouble"))
        ),
    )


def _rules(left: float, found: Approach, one: HoleToPlan, known: Known, level: float) -> Iterator[Rule]:
    unit = known.unit
    yard = in_unit_of(1.0, unit)
    remaining = left if found.reaches or not found.lay_up else found.lay_up.leaves
    if SHORT_FROM * yard <= remaining <= SHORT_TO * yard:
        yield never_worse_than_three(remaining, level, unit)
    if found.first_putt_feet is not None:
        yield first_putt(found.first_putt_feet, level, unit)
    if one.hole.par > 3 and any(trouble.kind == TroubleKind.TREES for trouble in one.described.trouble):
        yield punch_out_rule(left, GAP_GAINS * left, level, unit)
