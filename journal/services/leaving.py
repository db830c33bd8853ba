"""Erasing a journal: on its owner's wish, or with the whole person (named in the settings as LEAGUE_ERASERS)."""

from django.db import transaction
from django.db.models import Q

from journal.models import GuardianDecision, Intention, LookBack, Reset, Routine, Share
from journal.services.before import locked
from league.models import Player


@transaction.atomic
def erase_journal(*, player: Player) -> None:
    """All of it at once, shares too; a guardian's decision stays, for it is not the owner's to undo."""
    locked(player.pk)
    for model in (Intention, Reset, Routine, LookBack):
        model._default_manager.filter(player=player).delete()


def forget_player(player: Player) -> None:
    """Called inside the erasure of a person, which holds the player's row."""
    erase_journal(player=player)
    GuardianDecision.objects.filter(player=player).delete()
    Share.objects.filter(Q(reader=player)).delete()
