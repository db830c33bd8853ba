"""Whose own words may be stored: under 18, a guardian decides."""

from collections.abc import Mapping

from journal.library import FIXED
from journal.models import GuardianDecision
from league.models import Player
from league.rules.errors import RuleBroken, refuse_all


def may_write_freely(player: Player) -> bool:
    if not player.is_under_18:
        return True
    return GuardianDecision.objects.filter(player=player, allows=True).exists()


def check_words(player: Player, changes: Mapping[str, object], stored: object = None) -> None:
    """Under 18 without a guardian's yes: the sentences of the library alone. What stands already may stay."""
    if may_write_freely(player):
        return
    refuse_all(
        [
            RuleBroken("fixed_words", "Choose one of the sentences offered: own words wait for a guardian’s yes.", name)
            for name, allowed in FIXED.items()
            if changes.get(name) and changes[name] not in allowed and changes[name] != getattr(stored, name, None)
        ]
    )
