"""The reset: the player's own words for it, and the mark that it was done."""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from journal.models import Reset, Routine
from journal.services.before import locked
from journal.services.words import check_words
from league.models import CardLine, Player, Round, RoundState
from league.rules.errors import RuleBroken


@transaction.atomic
def word_routine(*, player: Player, sentence: str | None = None, breaths: int | None = None) -> Routine:
    """What is None stays as it is."""
    player = locked(player.pk)
    routine = Routine.objects.filter(player=player).first() or Routine(player=player, version=0)
    if sentence is not None:
        check_words(player, {"sentence": sentence}, routine)
        routine.sentence = sentence
    if breaths is not None:
        routine.breaths = breaths
    routine.version += 1
    routine.save()
    return routine


@transaction.atomic
def mark_reset(
    *,
    player: Player,
    client_id: UUID,
    line: CardLine | None = None,
    played: Round | None = None,
    hole: int | None = None,
    done_at: datetime | None = None,
) -> Reset:
    """Once for each `client_id` of this player; what comes again changes nothing, and must be the same."""
    locked(player.pk)
    if played is not None and played.state != RoundState.STANDING:
        raise RuleBroken("withdrawn_round", "That round was withdrawn; a mark is for one that stands.", "round")
    made, is_new = Reset.objects.get_or_create(
        player=player,
        client_id=client_id,
        defaults={"line": line, "round": played, "hole": hole, "done_at": done_at, "stored_at": timezone.now()},
    )
    if not is_new and made.hole != hole:
        raise RuleBroken("mark_reused", "This id came before, for another hole. Make a new one.", "client_id")
    return made


@transaction.atomic
def drop_reset(*, reset: Reset) -> None:
    locked(reset.player_id)
    reset.delete()
