"""Plans in the demo: past ones that were answered, and one for the next round. Who keeps what is drawn from a seed."""

from collections.abc import Mapping
from datetime import date
from random import Random

from league.models import HolesInPlay, Plan, Player, Round, Tee
from league.reports.plans import material_for
from league.services import outlooks, plans
from league.services.plans import HoleChange, PlanFacts

PLANNERS = {"nuala": 90, "tomoko": 90}
"""Whoever plans, and the barrier."""
PAST = 7
KEEPS = 0.75
NEXT_DAY = plans.conditions_of(
    temperature_c=11,
    wind_speed="moderate",
    wind={1: "ahead", 2: "ahead", 3: "left", 9: "behind", 10: "behind", 11: "right", 18: "ahead"},
    ground="soft",
)


def plan_rounds(players: Mapping[str, Player], next_day: date) -> None:
    """Beside the last rounds hole by hole, oldest first, and for `next_day` on the tee last played."""
    for key, barrier in PLANNERS.items():
        player = players[key]
        outlooks.refresh_player(player_id=player.pk)
        played = Round.objects.filter(player=player, is_total=False, holes_in_play=HolesInPlay.EIGHTEEN)
        latest = list(played.whole().select_related("tee__course").prefetch_related("tee__holes"))[-PAST:]
        for one in latest:
            _answer(_plan(player, one.tee, barrier, one.played_on), one, Random(f"{key} {one.played_on}"))
        if latest:
            made = _plan(player, latest[-1].tee, barrier, next_day, dict(NEXT_DAY))
            longest = max(made.told["holes"], key=lambda hole: (hole["length"] or 0, -hole["number"]))
            change = HoleChange(personal_par=longest["personal_par"] + 1, note="Three plain shots, then a putt.")
            plans.change_hole(plan=made, number=longest["number"], change=change)


def _plan(player: Player, tee: Tee, barrier: int, day: date, conditions: dict[str, object] | None = None) -> Plan:
    facts = PlanFacts(barrier=barrier, for_day=day, conditions=conditions or {})
    material = material_for(player, tee, barrier, day, facts.conditions)
    return plans.make_plan(player=player, tee=tee, facts=facts, material=material)


def _answer(plan: Plan, played: Round, rng: Random) -> None:
    """A plan is left more often where the hole went badly: that is how it is on a course, too."""
    made = {score.number: score.strokes or 0 for score in played.hole_scores.all()}
    answers: dict[int, bool | None] = {}
    for hole in plan.told["holes"]:
        went_badly = made.get(hole["number"], 0) > hole["personal_par"] + 1
        answers[hole["number"]] = rng.random() < KEEPS - 0.45 * went_badly
    plans.answer_kept(plan=plan, played=played, answers=answers)
