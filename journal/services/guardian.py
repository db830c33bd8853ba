"""Under 18: a guardian decides, by a mailed link, whether own words may be written. The guardian reads nothing."""

import secrets
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from journal.models import GuardianDecision
from journal.services.before import locked
from league.models import Player
from league.models.members import hash_of
from league.rules.errors import RuleBroken

LASTS = timedelta(days=14)


@transaction.atomic
def ask_guardian(*, player: Player) -> str:
    """The value of the link. A new one ends the one before, with the decision made by it."""
    player = locked(player.pk)
    if not player.is_under_18:
        raise RuleBroken("no_guardian_needed", "The box “under 18” is not set, so nobody has to be asked.")
    value, now = secrets.token_urlsafe(32), timezone.now()
    asked = {"link_hash": hash_of(value), "asked_at": now, "ends_at": now + LASTS, "decided_at": None, "allows": None}
    GuardianDecision.objects.update_or_create(player=player, defaults=asked)
    return value


@transaction.atomic
def decide(*, decision: GuardianDecision, allows: bool) -> None:
    locked(decision.player_id)
    decision.allows, decision.decided_at = allows, timezone.now()
    decision.save(update_fields=["allows", "decided_at"])
