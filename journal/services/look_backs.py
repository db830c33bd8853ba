"""The look-back: opened, filled in, finished or skipped; shared with some and withdrawn."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from journal.models import Intention, LookBack, Share, State
from journal.services.before import is_meant_for, locked
from journal.services.words import check_words
from league.models import Group, Player, Round, RoundState
from league.rules.errors import RuleBroken


@transaction.atomic
def open_look_back(*, player: Player, played: Round) -> LookBack:
    """The one of this round: a new draft, or what is there already. What was meant for the round is tied to it."""
    locked(player.pk)
    if played.state != RoundState.STANDING and not LookBack.objects.filter(player=player, round=played).exists():
        raise RuleBroken("withdrawn_round", "That round was withdrawn; a look-back is of one that stands.", "round")
    made, is_new = LookBack.objects.get_or_create(
        player=player, round=played, defaults={"played_on": played.played_on, "created_at": timezone.now()}
    )
    if is_new:
        waiting = Intention.objects.filter(player=player, round=None, played_on=played.played_on)
        ordered = waiting.select_related("tee").order_by("-created_at")
        found = next((one for one in ordered if is_meant_for(one, played)), None)
        if found is not None and not Intention.objects.filter(player=player, round=played).exists():
            found.round = played
            found.save(update_fields=["round"])
    return made


@transaction.atomic
def write_look_back(*, look_back: LookBack, changes: Mapping[str, Any]) -> LookBack:
    """`state` done or skipped ends it; written to later it stays what it is."""
    player = locked(look_back.player_id)
    fresh = LookBack.objects.select_for_update(of=("self",)).get(pk=look_back.pk)
    check_words(player, changes, fresh)
    _check_hole(fresh, changes.get("worst_hole"))
    for name, value in changes.items():
        setattr(fresh, name, value)
    if fresh.state != State.DONE:
        Share.objects.filter(look_back=fresh).delete()
    fresh.finished_at = None if fresh.state == State.DRAFT else fresh.finished_at or timezone.now()
    fresh.version += 1
    fresh.save()
    return fresh


def _check_hole(look_back: LookBack, hole: int | None) -> None:
    if hole is None or hole == look_back.worst_hole or look_back.round is None:
        return
    if hole not in look_back.round.hole_numbers:
        raise RuleBroken("hole_not_played", "Choose a hole of that round.", "worst_hole")


@transaction.atomic
def drop_look_back(*, look_back: LookBack) -> None:
    locked(look_back.player_id)
    look_back.delete()


@transaction.atomic
def share_look_back(*, look_back: LookBack, group: Group, readers: Iterable[Player], to_all: bool) -> None:
    """These readers and no others, from now on; who joins later is not among them."""
    locked(look_back.player_id)
    fresh = LookBack.objects.select_for_update(of=("self",)).get(pk=look_back.pk)
    if fresh.state != State.DONE:
        raise RuleBroken("not_finished", "Finish the look-back first; a draft is shared with nobody.")
    people = list(readers)
    if not people:
        raise RuleBroken("nobody_to_share_with", "Name at least one member who can sign in.", "readers")
    Share.objects.filter(look_back=fresh).delete()
    now = timezone.now()
    Share.objects.bulk_create(
        Share(look_back=fresh, reader=reader, group=group, to_all=to_all, shared_at=now) for reader in people
    )


@transaction.atomic
def withdraw_shares(*, look_back: LookBack) -> None:
    locked(look_back.player_id)
    Share.objects.filter(look_back=look_back).delete()
