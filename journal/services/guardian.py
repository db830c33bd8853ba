"""Under 18: a guardian decides, by a mailed link, whether own words may be written. The guardian reads nothing.

Whose address it is, nobody can check here; what can be seen to be no guardian's is refused. The link answers within
fourteen days, and from then on it can change the answer: a yes is taken back by whoever gave it.
"""

import secrets
from datetime import timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from journal.models import GuardianDecision
from journal.services.before import locked
from league.models import Membership, Player
from league.models.members import hash_of
from league.rules.errors import RuleBroken

LASTS = timedelta(days=14)


@transaction.atomic
def ask_guardian(*, player: Player, address: str) -> str:
    """The value of the link. A new one ends the one before; a no that was given stands until it is answered."""
    player = locked(player.pk)
    if not player.is_under_18:
        raise RuleBroken("no_guardian_needed", "The box “under 18” is not set, so nobody has to be asked.")
    if GuardianDecision.objects.filter(player=player, allows=True).exists():
        raise RuleBroken("no_guardian_needed", "A guardian has said yes; nobody has to be asked again.")
    if _is_of_a_minor(player, address):
        words = "This address cannot decide. Write that of your parent or guardian."
        raise RuleBroken("not_a_guardian", words, "guardian_email")
    value, now = secrets.token_urlsafe(32), timezone.now()
    asked = {"link_hash": hash_of(value), "asked_at": now, "ends_at": now + LASTS}
    GuardianDecision.objects.update_or_create(player=player, defaults=asked)
    return value


def _is_of_a_minor(player: Player, address: str) -> bool:
    """The player's own, or that of somebody else under 18 who shares a group with the player."""
    groups = Membership.objects.filter(player=player, left_at=None).values("group")
    mates = Membership.objects.filter(group__in=groups, left_at=None).values("player")
    minors = Player.objects.filter(Q(pk__in=mates, is_under_18=True) | Q(pk=player.pk))
    return minors.filter(account__email__iexact=address.strip()).exists()


@transaction.atomic
def decide(*, decision: GuardianDecision, allows: bool) -> None:
    locked(decision.player_id)
    decision.allows, decision.decided_at = allows, timezone.now()
    decision.save(update_fields=["allows", "decided_at"])
