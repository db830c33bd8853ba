"""What a phone needs before it goes offline."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from league.models import Barrier, HolesInPlay, Plan, Player, Tee
from league.reports.members import shown_names
from league.reports.progress import budget_of, open_barriers

PLANS_TAKEN = 10


@dataclass(frozen=True, kw_only=True)
class CardKit:
    """What a phone takes along: everything is the reader's own, or seen by the reader anyway."""

    player: Player
    tees: tuple[Tee, ...]
    people: tuple[tuple[Player, str], ...]
    barriers: tuple[tuple[Barrier, dict[UUID, list[tuple[int, int]]]], ...]
    plans: tuple[tuple[Plan, list[dict[str, Any]]], ...]
    usual_tee: UUID | None


def card_kit(player: Player, tees: QuerySet[Tee], people: QuerySet[Player]) -> CardKit:
    """`tees` and `people` come through their doors; barriers are the player's own open ones, highest first."""
    found = tuple(tees.select_related("course").prefetch_related("holes").order_by("course__name", "name", "pk"))
    who = sorted(people.order_by("name_folded", "pk"), key=lambda one: one.pk != player.pk)
    names = shown_names(who)
    barriers = tuple((barrier, _pars_of(barrier, found)) for barrier in open_barriers(player))
    return CardKit(
        player=player,
        tees=found,
        people=tuple((one, names[one.pk]) for one in who),
        barriers=barriers,
        plans=tuple((plan, _planned(plan)) for plan in _plans_ahead(player)),
        usual_tee=_usual_tee(player, found),
    )


def _plans_ahead(player: Player) -> QuerySet[Plan]:
    """Those beside which no round stands yet, the newest first."""
    ahead = Plan.objects.filter(player=player, round=None).prefetch_related("holes")
    return ahead.order_by("-created_at", "pk")[:PLANS_TAKEN]


def _planned(plan: Plan) -> list[dict[str, Any]]:
    """A line for each hole: what the player decided where they did, else what was worked out."""
    own = {hole.number: hole for hole in plan.holes.all()}
    lines = []
    for told in plan.told["holes"]:
        hole = own.get(told["number"])
        lines.append(
            {
                "number": told["number"],
                "personal_par": hole.personal_par if hole else told["personal_par"],
                "stance": (hole.stance if hole else "") or told.get("stance", ""),
                "club": (hole.club if hole else "") or told.get("club", ""),
                "words": (hole.note if hole else "") or told.get("safe_side", ""),
            }
        )
    return lines


def _usual_tee(player: Player, tees: Sequence[Tee]) -> UUID | None:
    """The set of tees last played, else the home tee, in its newest version."""
    last = player.rounds.filter(state="standing").select_related("tee").order_by("-played_on", "-pk").first()
    known = last.tee if last else player.home_tee
    versions = [tee for tee in tees if known is not None and tee.set_id == known.set_id]
    return max(versions, key=lambda tee: tee.valid_from or date.min).pk if versions else None


def _pars_of(barrier: Barrier, tees: Sequence[Tee]) -> dict[UUID, list[tuple[int, int]]]:
    """Personal pars for eighteen holes on each tee that the barrier is for, as (hole, strokes)."""
    own = [tee for tee in tees if barrier.tee is None or barrier.tee.set_id == tee.set_id]
    return {tee.pk: [(number, due) for number, _, _, due in budget_of(tee, barrier.score).holes] for tee in own}


def holes_in_play_of(tee: Tee) -> list[str]:
    """For which holes a card may be opened on this tee, the usual first."""
    if tee.course.n_holes == 9:
        return [HolesInPlay.NINE.value, HolesInPlay.TWICE.value]
    front = [HolesInPlay.FRONT.value] if tee.front_rating_tenths is not None else []
    back = [HolesInPlay.BACK.value] if tee.back_rating_tenths is not None else []
    return [HolesInPlay.EIGHTEEN.value, *front, *back]
