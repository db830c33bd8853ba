"""A plan for eighteen holes, compiled to plain values: what the pages, the sheet and the card show.

Pure: everything known comes in, and what is not known is said in words. Distances are in one unit.
"""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from statistics import fmean
from typing import Any

from league.estimates import personal_pars, stance
from league.estimates.carries import Carry
from league.estimates.conditions import Conditions, playing_length
from league.estimates.heights import rise_of_green
from league.estimates.holes import Expected, Result, expected
from league.estimates.personal_pars import Share
from league.estimates.plain_shots import PlainShots, reason_of
from league.estimates.plan_chance import BesideOutlook
from league.estimates.tee_words import about
from league.rules.described import Described, is_blank
from league.rules.scorecard import Hole


@dataclass(frozen=True, slots=True)
class TriedClub:
    """A club that was tried from the tee, with its own best aim; `costs`: strokes more than the advised one."""

    club: str
    words: str
    costs: float


@dataclass(frozen=True, slots=True)
class TeeAdvice:
    """What the tee-shot arithmetic says. Chances are 0 to 1, `left` to the middle of the green in the plan's unit.

    `saves`: strokes expected to be saved against the club that is taken for the habit.
    """

    club: str
    words: str = ""
    aim: str = ""
    left: float | None = None
    lost: float | None = None
    lost_words: str = ""
    saves: float = 0.0
    runner_up: str = ""
    price: str = ""
    tried: tuple[TriedClub, ...] = ()
    practice: tuple[str, ...] = ()
    forced_carry: str = ""
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShotAdvice:
    """One shot of the hole, in whole units: what the shots cover adds up to the length of the hole.

    `leaves` to the middle of the green, 0 for the shot at it; only that one has a `chance_green`. `other`: the lay-up
    that is taken or could be, in one sentence. `lost`: how often the shot costs a stroke, and where most often. The tee
    shot has its words in `TeeAdvice`.
    """

    number: int
    club: str
    covers: int
    leaves: int
    words: str = ""
    other: str = ""
    chance_green: float | None = None
    lost: float = 0.0
    lost_words: str = ""


@dataclass(frozen=True, slots=True)
class RuleAdvice:
    """A rule to hold on to; `rests_on` is its source, `chance` the one that its words rest on."""

    kind: str
    words: str
    chance: float | None
    rests_on: str


@dataclass(frozen=True, slots=True)
class ApproachAdvice:
    """From where the tee shot ends. On a par 3 the tee shot is the first of `shots`, and `club` is empty."""

    club: str
    words: str = ""
    lay_up: str = ""
    shots: tuple[ShotAdvice, ...] = ()
    rules: tuple[RuleAdvice, ...] = ()
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Advice:
    """`shots`: the whole hole, from the tee to the one that reaches the green."""

    tee: TeeAdvice | None = None
    approach: ApproachAdvice | None = None
    shots: tuple[ShotAdvice, ...] = ()
    reasons: tuple[str, ...] = ()
    """Why there is no club, where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleToPlan:
    """`conditions`: the day on this hole, wind along it."""

    hole: Hole
    length: int | None
    described: Described
    conditions: Conditions = field(default_factory=Conditions)


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """All that a plan is made of beside the barrier. `results`: own holes on this tee; `liked`: a distance."""

    holes: tuple[HoleToPlan, ...]
    unit: str
    carries: tuple[Carry, ...] = ()
    level: float | None = None
    liked: int | None = None
    results: tuple[Result, ...] = ()
    n_rounds: int = 0
    """Rounds of eighteen holes that the outlook rests on."""
    names: Mapping[str, str] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Material:
    """What a plan is worked out from: what is known, what is advised by hole number, the chance or why not."""

    known: Known
    advice: Mapping[int, Advice]
    chance: BesideOutlook | str


def blow_up_from(known: Known, barrier: int) -> int:
    """Strokes over par from which a hole is a blow-up: two more than the whole strokes that every hole may take.

    The same on every hole: personal pars differ by a stroke where the holes differ by tenths.
    """
    allowed = barrier - 1 - sum(one.hole.par for one in known.holes)
    return 2 + max(0, allowed // len(known.holes))


def expected_on(known: Known, blow_up: int) -> dict[int, Expected]:
    """By own cards on this tee alone."""
    numbers = {one.hole.number for one in known.holes}
    own = (Result(one.number, one.par, one.strokes, blow_up - 2) for one in known.results if one.number in numbers)
    return expected(own)


def plan_for(
    barrier: int,
    known: Known,
    advice: Mapping[int, Advice],
    fixed: Mapping[int, int] | None = None,
    chance: BesideOutlook | str = "",
) -> dict[str, Any]:
    """The whole plan. `chance` is a sentence where there is no chance. RuleBroken where `fixed` cannot be met."""
    holes = [one.hole for one in known.holes]
    met = expected_on(known, blow_up_from(known, barrier))
    parts = personal_pars.shares(holes, met)
    told = {
        "unit": known.unit,
        "n_rounds": known.n_rounds,
        "barrier": barrier,
        "last": barrier - 1,
        "par": sum(hole.par for hole in holes),
        **known.names,
        "basis": _basis(known),
        "holes": [
            _hole(one, part, met, blow_up_from(known, barrier), advice.get(one.hole.number, Advice()), known)
            for one, part in zip(known.holes, parts, strict=True)
        ],
        "chance": asdict(chance) if isinstance(chance, BesideOutlook) else None,
        "chance_reason": chance if isinstance(chance, str) else "",
        "unknown": list(known.unknown),
    }
    return rebalanced(told, fixed or {})


def rebalanced(told: Mapping[str, Any], fixed: Mapping[int, int]) -> dict[str, Any]:
    """The same plan with these holes fixed by hand and the others sharing what is left. RuleBroken as `balanced`."""
    holes = told["holes"]
    parts = [Share(one["number"], one["par"], one["stroke_index"], one["harder"]) for one in holes]
    pars = personal_pars.balanced(told["barrier"], parts, fixed)
    unfixed = personal_pars.balanced(told["barrier"], parts)
    return {
        **told,
        "holes": [
            {
                **one,
                "personal_par": par,
                "due": due,
                "is_fixed": one["number"] in fixed,
                "moved": par - before,
            }
            for one, par, due, before in zip(holes, pars, personal_pars.due(pars), unfixed, strict=True)
        ],
    }


def _basis(known: Known) -> str:
    n = len(known.results) // max(1, len(known.holes))
    if not known.results:
        return "Spread by stroke index: no card of yours on this tee is known hole by hole."
    cards = "1 card" if n == 1 else f"{n} cards"
    weight = 100 * n / (n + 20)
    return f"Spread by stroke index, and by {weight:.0f} % after your own {cards} on this tee."


def _hole(
    one: HoleToPlan,
    part: Share,
    met: Mapping[int, Expected],
    blow_up: int,
    advice: Advice,
    known: Known,
) -> dict[str, Any]:
    hole, described = one.hole, one.described
    here = met.get(hole.number)
    found = stance.stance_of(_facts(one, here, met, blow_up, advice, known))
    tee, approach = advice.tee, advice.approach
    plays = None if one.length is None else _plays(one)
    return {
        "number": hole.number,
        "name": described.name,
        "par": hole.par,
        "stroke_index": hole.stroke_index,
        "length": one.length,
        "plays": plays,
        "harder": part.harder,
        "expected": None if here is None else round(here.strokes.value, 3),
        "n_cards": 0 if here is None else here.strokes.n,
        "blow_up": None if here is None else round(here.blow_up.value, 3),
        "stance": found.stance,
        "reason": found.reason,
        "club": tee.club if tee else "",
        "aim": tee.aim if tee else "",
        "tee_words": tee.words if tee else "",
        "runner_up": tee.runner_up if tee else "",
        "price": tee.price if tee else "",
        "tried": [asdict(one) for one in tee.tried] if tee else [],
        "safe_side": stance.safe_side(described),
        "approach_club": approach.club if approach else "",
        "approach_words": approach.words if approach else "",
        "lay_up": approach.lay_up if approach else "",
        "shots": [asdict(shot) for shot in advice.shots],
        "rules": [asdict(rule) for rule in (approach.rules if approach else ())],
        "practice": list(tee.practice) if tee else [],
        "note": described.note,
        "unknown": list(
            dict.fromkeys(
                (
                    *_unknown(one),
                    *advice.reasons,
                    *(tee.unknown if tee else ()),
                    *(approach.unknown if approach else ()),
                )
            )
        ),
    }


def _plays(one: HoleToPlan) -> int | None:
    rise = rise_of_green(one.described, one.hole.par)
    plays = round(playing_length(one.length or 0, one.conditions, rise).distance)
    return None if plays == one.length else plays


def _unknown(one: HoleToPlan) -> list[str]:
    found = []
    if one.length is None:
        found.append("its length")
    if is_blank(one.described):
        found.append("what trouble there is")
    if one.conditions.wind_speed and not one.conditions.wind_from:
        found.append("where the wind comes from here")
    return found


def _facts(
    one: HoleToPlan,
    here: Expected | None,
    met: Mapping[int, Expected],
    blow_up: int,
    advice: Advice,
    known: Known,
) -> stance.Facts:
    described, tee = one.described, advice.tee
    lost, lost_words = _lost(advice)
    usual = fmean(found.strokes.value - found.par for found in met.values()) if met else 0.0
    return stance.Facts(
        par=one.hole.par,
        is_described=not is_blank(described),
        penalty_areas=stance.penalty_areas(described),
        forced_carry=tee.forced_carry
        if tee
        else stance.forced_carry(described, known.carries, known.unit, one.length, one.hole.par),
        stroke_losers=stance.stroke_losers(described),
        lost=lost,
        lost_words=lost_words,
        in_regulation=next((shot.chance_green for shot in advice.shots if shot.number == one.hole.par - 2), None),
        plain=_plain(advice),
        left=stance.in_yards(tee.left, known.unit) if tee and tee.left is not None else None,
        left_words=f"{about(tee.left)} {known.unit}" if tee and tee.left is not None else "",
        n_cards=here.strokes.n if here else 0,
        harder=here.strokes.value - here.par - usual if here else None,
        blow_up_from=blow_up,
        blow_up=here.blow_up.value if here else None,
        usual_blow_up=fmean(found.blow_up.value for found in met.values()) if met else None,
    )


def _lost(advice: Advice) -> tuple[float | None, str]:
    """How often a shot of the hole costs a stroke, shots taken as independent; and where most often."""
    tee = advice.tee
    if tee is None or tee.lost is None:
        return None, ""
    worst = max(advice.shots, key=lambda shot: shot.lost, default=None)
    words = tee.lost_words if worst is None or worst.lost <= tee.lost else worst.lost_words
    return max(tee.lost, 1 - math.prod(1 - shot.lost for shot in advice.shots)), words


def _plain(advice: Advice) -> str:
    """What plain shots do, as far as the one at the green."""
    tee = advice.tee
    if tee is None or tee.left is None:
        return ""
    at_the_green = next((place for place, shot in enumerate(advice.shots) if shot.chance_green is not None), None)
    before = advice.shots[1:at_the_green] if at_the_green else ()
    return reason_of(
        PlainShots(
            is_one=at_the_green == 0,
            clubs=(tee.club, *(shot.club for shot in before)),
            left=before[-1].leaves if before else tee.left,
            chance_green=None if at_the_green is None else advice.shots[at_the_green].chance_green,
            lost=tee.lost or 0.0,
            lost_words=tee.lost_words,
        )
    )
