"""What a phone needs before it goes offline."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from league.estimates.outlook import FEWEST_ROUNDS, Level, predict
from league.models import Barrier, Group, HolesInPlay, Membership, Outlook, Plan, Player, RoundState, Standing, Tee
from league.reports.members import shown_names
from league.reports.plans import CARD_KEYS, plan_told
from league.reports.progress import budget_of, open_barriers

PLANS_TAKEN = 10
DAYS_TAKEN = 14
"""Days before today of which a card may still be opened late, as a second one of its day."""


@dataclass(frozen=True, kw_only=True)
class UsualScore:
    """How the player's own next eighteen holes on a tee are likely to fall, in gross strokes.

    One round in ten is under `low`; it rests on `n_rounds` rounds.
    """

    tee: UUID
    usual: float
    low: float
    n_rounds: int


@dataclass(frozen=True, kw_only=True)
class CardKit:
    """What a phone takes along: everything is the reader's own, or seen by the reader anyway."""

    player: Player
    tees: tuple[Tee, ...]
    people: tuple[tuple[Player, str], ...]
    indexes: dict[UUID, int | None]
    """In tenths, None where there is none yet."""
    groups: tuple[Group, ...]
    places: dict[UUID, list[UUID]]
    """Of each person: those of the groups that they are in, as members or guests."""
    barriers: tuple[tuple[Barrier, dict[UUID, list[tuple[int, int]]]], ...]
    plans: tuple[tuple[Plan, list[dict[str, Any]]], ...]
    usual_scores: tuple[UsualScore, ...]
    days_played: dict[date, list[int]]
    """The days of the last two weeks on which the player's own rounds stand, with their places in that day."""
    usual_tee: UUID | None


def card_kit(player: Player, tees: QuerySet[Tee], people: QuerySet[Player], groups: QuerySet[Group]) -> CardKit:
    """`tees`, `people` and `groups` come through their doors. Barriers are the player's own, highest first."""
    today = timezone.now().date()
    found = tuple(tees.select_related("course").prefetch_related("holes").order_by("course__name", "name", "pk"))
    who = sorted(people.order_by("name_folded", "pk"), key=lambda one: one.pk != player.pk)
    names = shown_names(who)
    barriers = tuple((barrier, _pars_of(barrier, found)) for barrier in open_barriers(player))
    standings = Standing.objects.filter(player__in=[one.pk for one in who])
    return CardKit(
        player=player,
        tees=found,
        people=tuple((one, names[one.pk]) for one in who),
        indexes={one.player_id: one.index_tenths for one in standings.only("index_tenths")},
        groups=tuple(groups.order_by("name", "pk")),
        places=_places(groups),
        barriers=barriers,
        plans=tuple((plan, _lines_of(plan)) for plan in _plans_ahead(player)),
        usual_scores=tuple(_usual_scores(player, found, today)),
        days_played=_days_played(player, today),
        usual_tee=_usual_tee(player, found),
    )


def _places(groups: QuerySet[Group]) -> dict[UUID, list[UUID]]:
    held = Membership.objects.filter(group__in=groups, left_at=None).order_by("group__name", "group_id")
    places: dict[UUID, list[UUID]] = {}
    for player, group in held.values_list("player_id", "group_id"):
        places.setdefault(player, []).append(group)
    return places


def _usual_scores(player: Player, tees: Sequence[Tee], day: date) -> Iterable[UsualScore]:
    stored = Outlook.objects.filter(player=player, n_rounds__gte=FEWEST_ROUNDS).first()
    if stored is None:
        return
    level = Level.from_plain(stored.level)
    for tee in tees:
        low = predict(level, day, tee.key).quantile(0.1)
        yield UsualScore(
            tee=tee.pk,
            usual=tee.ground.gross(level.usual_on(tee.key)),
            low=tee.ground.gross(low),
            n_rounds=stored.n_rounds,
        )


def _days_played(player: Player, today: date) -> dict[date, list[int]]:
    lately = player.rounds.filter(state=RoundState.STANDING, played_on__gte=today - timedelta(days=DAYS_TAKEN))
    places: dict[date, list[int]] = {}
    for day, place in lately.order_by("played_on", "order_in_day").values_list("played_on", "order_in_day"):
        places.setdefault(day, []).append(place)
    return places


def _plans_ahead(player: Player) -> QuerySet[Plan]:
    """Those beside which no round stands yet, the newest first."""
    ahead = Plan.objects.filter(player=player, round=None).prefetch_related("holes")
    return ahead.order_by("-created_at", "pk")[:PLANS_TAKEN]


def _lines_of(plan: Plan) -> list[dict[str, Any]]:
    """A line for each hole: what the player decided where they did, else what was worked out."""
    return [{key: hole[key] for key in CARD_KEYS} for hole in plan_told(plan).holes]


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
