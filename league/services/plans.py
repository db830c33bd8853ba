"""Plans: made, changed hole by hole, worked out anew, laid beside the round that was played, answered, removed.

Only their owner writes them, with the player's row held. What a plan is worked out from comes in as plain values.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from league.estimates import plan as planning
from league.estimates.conditions import WIND_FROM, Conditions
from league.estimates.plan import Material
from league.models import HolePlan, HolesInPlay, Plan, Player, Round, Tee
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.models.plans import Stance
from league.rules.errors import RuleBroken
from league.services import handicaps
from league.services.errors import Refused, Stale

MOST_PLANS = 200
LONGEST_CLUB, LONGEST_NOTE = 30, 200


@dataclass(frozen=True, kw_only=True)
class PlanFacts:
    """What somebody says of the day. `conditions` as `conditions_of` returns them."""

    barrier: int
    for_day: date | None = None
    conditions: Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class HoleChange:
    """What the player decides on a hole. `personal_par` None: not fixed. Empty texts: as worked out."""

    personal_par: int | None = None
    stance: str = ""
    club: str = ""
    note: str = ""


def conditions_of(
    *,
    temperature_c: float | None = None,
    wind_speed: str = "",
    wind: Mapping[int, str] | None = None,
    ground: str = "",
    altitude_m: float | None = None,
) -> dict[str, Any]:
    """The day as it is stored, without what is not known; `wind` by hole number. RuleBroken `conditions_range`."""
    try:
        Conditions(temperature_c=temperature_c, wind_speed=wind_speed, ground=ground, altitude_m=altitude_m)
    except ValueError as fault:
        name = str(fault).partition(":")[0]
        raise RuleBroken("conditions_range", f"{str(fault).replace('_', ' ')}.".capitalize(), name) from None
    by_hole = {number: side for number, side in (wind or {}).items() if side}
    for number, side in by_hole.items():
        if not 1 <= number <= 18 or side not in WIND_FROM:
            text = "The wind comes from ahead, behind, left or right on holes 1 to 18."
            raise RuleBroken("conditions_range", text, "wind")
    if by_hole and not wind_speed:
        raise RuleBroken("conditions_range", "A wind has a strength: light, moderate or strong.", "wind_speed")
    told = {
        "temperature_c": temperature_c,
        "wind_speed": wind_speed,
        "wind": {str(number): side for number, side in sorted(by_hole.items())},
        "ground": ground,
        "altitude_m": altitude_m,
    }
    return {name: value for name, value in told.items() if value not in (None, "", {})}


@transaction.atomic
def make_plan(*, player: Player, tee: Tee, facts: PlanFacts, material: Material, from_day: date | None = None) -> Plan:
    """Worked out and kept. RuleBroken for a barrier that is none and a day before `from_day`, Refused beyond
    `MOST_PLANS`.
    """
    player = handicaps.lock_player(player)
    _check_barrier(facts.barrier)
    _check_day(facts.for_day, from_day)
    if Plan.objects.filter(player=player).count() >= MOST_PLANS:
        raise Refused("plans_many", f"{MOST_PLANS} plans are kept; remove old ones first.")
    now = timezone.now()
    plan = Plan.objects.create(
        player=player,
        tee=tee,
        holes_in_play=HolesInPlay.TWICE if tee.course.n_holes == 9 else HolesInPlay.EIGHTEEN,
        barrier=facts.barrier,
        for_day=facts.for_day,
        conditions=dict(facts.conditions),
        told=planning.plan_for(facts.barrier, material.known, material.advice, chance=material.chance),
        created_at=now,
        worked_out_at=now,
    )
    HolePlan.objects.bulk_create(
        HolePlan(plan=plan, number=hole["number"], personal_par=hole["personal_par"]) for hole in plan.told["holes"]
    )
    return plan


@transaction.atomic
def change_hole(*, plan: Plan, number: int, change: HoleChange, if_version: int | None = None) -> Plan:
    """One hole by hand; the others share what is left, and nothing else is worked out anew."""
    locked = _fresh(plan, if_version)
    holes = {hole.number: hole for hole in locked.holes.all()}
    _check_change(change)
    fixed = {hole.number: hole.personal_par for hole in holes.values() if hole.is_fixed and hole.number != number}
    if change.personal_par is not None:
        fixed[number] = change.personal_par
    locked.told = planning.rebalanced(locked.told, fixed)
    own = holes[number]
    own.stance, own.club, own.note = change.stance, change.club, change.note
    _store(locked, holes)
    return locked


@transaction.atomic
def work_out_anew(
    *,
    plan: Plan,
    facts: PlanFacts,
    material: Material,
    if_version: int | None = None,
    from_day: date | None = None,
) -> Plan:
    """With what is known now, and perhaps another barrier, day or weather. What was fixed by hand stays fixed.

    The day may stay what it was, else it is `from_day` or later.
    """
    locked = _fresh(plan, if_version)
    _check_barrier(facts.barrier)
    if facts.for_day != locked.for_day:
        _check_day(facts.for_day, from_day)
    holes = {hole.number: hole for hole in locked.holes.all()}
    fixed = {hole.number: hole.personal_par for hole in holes.values() if hole.is_fixed}
    locked.told = planning.plan_for(facts.barrier, material.known, material.advice, fixed, material.chance)
    locked.barrier, locked.for_day, locked.conditions = facts.barrier, facts.for_day, dict(facts.conditions)
    locked.worked_out_at = timezone.now()
    _store(locked, holes)
    return locked


@transaction.atomic
def answer_kept(
    *, plan: Plan, played: Round, answers: Mapping[int, bool | None], if_version: int | None = None
) -> Plan:
    """Lays the plan beside the round and keeps the answers; a hole that is not named keeps the answer it has."""
    locked = _fresh(plan, if_version)
    if played.player_id != locked.player_id or played.tee.set_id != locked.tee.set_id:
        raise RuleBroken("plan_round", "Choose a round of yours on the tee of this plan.", "round")
    if Plan.objects.filter(round=played).exclude(pk=locked.pk).exists():
        raise Refused("round_planned", "Another plan stands beside this round already.")
    if not answers.keys() <= {*range(1, 19)}:
        raise RuleBroken("hole_numbers", "Holes are numbered 1 to 18.", "holes")
    changed = []
    for hole in locked.holes.filter(number__in=answers):
        hole.is_kept = answers[hole.number]
        changed.append(hole)
    HolePlan.objects.bulk_update(changed, ["is_kept"])
    locked.round = played
    locked.version += 1
    locked.save(update_fields=["round", "version"])
    return locked


@transaction.atomic
def remove_plan(*, plan: Plan, if_version: int | None = None) -> None:
    """With the answers given to it."""
    _fresh(plan, if_version).delete()


def _fresh(plan: Plan, if_version: int | None) -> Plan:
    handicaps.lock_player(plan.player)
    stored = Plan.objects.filter(pk=plan.pk).select_related("tee__course", "player").first()
    if stored is None:
        raise Refused("plan_gone", "This plan was removed meanwhile.")
    if if_version is not None and if_version != stored.version:
        raise Stale(stored)
    return stored


def _store(plan: Plan, holes: Mapping[int, HolePlan]) -> None:
    for told in plan.told["holes"]:
        hole = holes[told["number"]]
        hole.personal_par, hole.is_fixed = told["personal_par"], told["is_fixed"]
    HolePlan.objects.bulk_update(holes.values(), ["personal_par", "is_fixed", "stance", "club", "note"])
    plan.version += 1
    plan.save()


def _check_barrier(score: int) -> None:
    if not LOWEST_BARRIER <= score <= HIGHEST_BARRIER:
        text = f"A barrier is a gross score for eighteen holes, from {LOWEST_BARRIER} to {HIGHEST_BARRIER}."
        raise RuleBroken("barrier_range", text, "barrier")


def _check_day(day: date | None, from_day: date | None) -> None:
    if day is not None and from_day is not None and day < from_day:
        raise RuleBroken("plan_day", "A plan is made before the round: today, or a day to come.", "for_day")


def _check_change(change: HoleChange) -> None:
    if change.stance and change.stance not in Stance.values:
        raise RuleBroken("stance_unknown", "A stance is attack, measured or protect.", "stance")
    for name, longest in (("club", LONGEST_CLUB), ("note", LONGEST_NOTE)):
        if len(getattr(change, name)) > longest:
            raise RuleBroken("text_too_long", f"At most {longest} characters.", name)
