"""Barriers: set, hidden, dropped. Whether one is broken follows from the rounds."""

from django.db import transaction

from league.models import Barrier, Player, Round, Tee
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.rules.errors import RuleBroken
from league.services import handicaps, outlooks
from league.services.errors import Refused
from league.services.rounds import today_at

MOST_BARRIERS = 12


@transaction.atomic
def set_barrier(*, player: Player, score: int, tee: Tee | None = None, is_hidden: bool = False) -> Barrier:
    """Set a gross score to get under. One that was broken before is shown with the day it was."""
    player = handicaps.lock_player(player)
    if not LOWEST_BARRIER <= score <= HIGHEST_BARRIER:
        text = f"A barrier is a gross score for eighteen holes, from {LOWEST_BARRIER} to {HIGHEST_BARRIER}."
        raise RuleBroken("barrier_range", text, "score")
    held = Barrier.objects.filter(player=player).select_related("tee")
    if any(other.score == score and _same_place(other.tee, tee) for other in held):
        raise Refused("barrier_twice", f"Under {score} is set already.")
    if len(held) >= MOST_BARRIERS:
        raise Refused("barriers_many", f"{MOST_BARRIERS} barriers are set; drop one first.")
    barrier = Barrier.objects.create(
        player=player, score=score, tee=tee, is_hidden=is_hidden, set_on=today_at(tee, player)
    )
    outlooks.settle_barriers(player, list(Round.objects.filter(player=player).whole()))
    outlooks.make_due(player)
    barrier.refresh_from_db()
    return barrier


def _same_place(one: Tee | None, other: Tee | None) -> bool:
    return (one.set_id if one else None) == (other.set_id if other else None)


@transaction.atomic
def hide_barrier(*, barrier: Barrier, is_hidden: bool) -> Barrier:
    handicaps.lock_player(barrier.player)
    fresh = Barrier.objects.filter(pk=barrier.pk).first()
    if fresh is None:
        raise Refused("barrier_gone", "This barrier was dropped meanwhile.")
    fresh.is_hidden = is_hidden
    fresh.version += 1
    fresh.save(update_fields=["is_hidden", "version"])
    return fresh


@transaction.atomic
def drop_barrier(*, barrier: Barrier) -> None:
    """An outlook that is being worked out for the player writes to the barrier; it is waited for."""
    handicaps.lock_player(barrier.player)
    Barrier.objects.filter(pk=barrier.pk).delete()
