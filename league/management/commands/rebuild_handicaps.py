from argparse import ArgumentParser
from collections.abc import Iterable
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from league.models import Player
from league.services.handicaps import Difference, check_everybody, rebuild_player

SHOWN = 300
"""Characters of a difference that are printed; an explanation can be long."""


class Command(BaseCommand):
    help = (
        "Replays every player from the stored facts and names each difference. Without --check the columns copied "
        "from the ledger are written again; the ledger itself never is. Ends with 1 if a difference stands."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="only look, write nothing")
        parser.add_argument("--player", type=UUID, help="this player alone")

    def handle(self, *args: object, check: bool, player: UUID | None, **options: object) -> None:
        players = Player.objects.filter(pk=player) if player else Player.objects.order_by("pk")
        if player and not players:
            raise CommandError(f"There is no player {player}.")
        n_players, n_differences = players.count(), 0
        for each in players.iterator(chunk_size=100):
            found = self._name(check_everybody([each]))
            if found and not check:
                rebuild_player(player=each)
                found = self._name(check_everybody([each]), "still: ")
            n_differences += found
        self.stdout.write(f"Players: {n_players}. Differences: {n_differences}.")
        if n_differences:
            raise SystemExit(1)

    def _name(self, differences: Iterable[Difference], before: str = "") -> int:
        found = [f"{before}{difference}" for difference in differences]
        for text in found:
            self.stdout.write(text if len(text) <= SHOWN else f"{text[:SHOWN]} …")
        return len(found)
