"""Lines on a player's own home that come from beside the league, by names in the settings (LEAGUE_HOME_LINES)."""

from dataclasses import dataclass

from django.conf import settings
from django.utils.module_loading import import_string

from league.models import Player


@dataclass(frozen=True)
class HomeLine:
    """A few words that lead somewhere, for the one player whose home it is."""

    words: str
    url: str


def home_lines(player: Player) -> list[HomeLine]:
    return [line for name in settings.LEAGUE_HOME_LINES for line in import_string(name)(player)]
