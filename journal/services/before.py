"""Writing down what a player takes into a round."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from journal.models import Intention
from journal.services.words import check_words
from league.models import Player, Round, Tee
from league.reports.progress import NoOutlook, outlook_of


def locked(player_id: UUID) -> Player:
    return Player.objects.select_for_update().get(pk=player_id)


@transaction.atomic
def write_intention(
    *, player: Player, played_on: date, tee: Tee | None, played: Round | None, words: Mapping[str, str]
) -> Intention:
    """The range is the outlook's of this moment: what was expected, not what would be said afterwards."""
    player = locked(player.pk)
    check_words(player, words)
    low, high, n_rounds = _range(player, tee, played_on)
    return Intention.objects.create(
        player=player,
        tee=tee,
        round=played,
        played_on=played_on,
        low=low,
        high=high,
        n_rounds=n_rounds,
        created_at=timezone.now(),
        **words,
    )


def _range(player: Player, tee: Tee | None, day: date) -> tuple[int | None, int | None, int]:
    view = outlook_of(player, tee, day) if tee is not None else None
    if view is None or isinstance(view, NoOutlook):
        return None, None, view.n if view else 0
    return view.low, view.high, view.n


@transaction.atomic
def change_intention(*, intention: Intention, changes: Mapping[str, Any]) -> Intention:
    """Another tee or day brings the range of that one, unless the round is played already."""
    player = locked(intention.player_id)
    fresh = Intention.objects.select_for_update(of=("self",)).select_related("tee__course").get(pk=intention.pk)
    check_words(player, changes, fresh)
    moved = any(name in changes and changes[name] != getattr(fresh, name) for name in ("tee", "played_on"))
    for name, value in changes.items():
        setattr(fresh, name, value)
    if moved and fresh.round is None:
        fresh.low, fresh.high, fresh.n_rounds = _range(player, fresh.tee, fresh.played_on)
    fresh.version += 1
    fresh.save()
    return fresh


@transaction.atomic
def drop_intention(*, intention: Intention) -> None:
    locked(intention.player_id)
    intention.delete()
