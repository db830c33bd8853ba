"""All of a journal at once: erased on its owner's wish or with the whole person (LEAGUE_ERASERS), sealed, opened."""

from django.db import transaction
from django.db.models import Q, TextField, Value

from journal.models import GuardianDecision, Intention, LookBack, Reset, Routine, Share
from journal.sealing import SealedText, sealed
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


@transaction.atomic
def reseal(*, seal: bool) -> int:
    """All journal text sealed with the first key, or stored plainly; how many texts. Raises Unopened."""
    count = 0
    for model in (Intention, Routine, LookBack):
        names = [field.name for field in model._meta.fields if isinstance(field, SealedText)]
        for row in model._default_manager.select_for_update(of=("self",)).order_by("pk"):
            texts = {name: getattr(row, name) for name in names if getattr(row, name)}
            # As plain values: the field itself would seal them again, or once more.
            stored = {name: Value(sealed(text) if seal else text, TextField()) for name, text in texts.items()}
            if stored:
                model._default_manager.filter(pk=row.pk).update(**stored)
            count += len(stored)
    return count
