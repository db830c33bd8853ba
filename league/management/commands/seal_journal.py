from argparse import ArgumentParser
from typing import Any

from cryptography.fernet import Fernet
from django.core.management.base import BaseCommand, CommandError

from journal.sealing import Unopened, locks
from journal.services.leaving import reseal


class Command(BaseCommand):
    help = (
        "Seals all journal text with the first key in LEAGUE_JOURNAL_KEYS, old keys after it open what they sealed. "
        "It protects a copy of the database that comes without the keys: a lost backup, a stolen disk. It does not "
        "protect from whoever holds the running machine, and dates, rounds, holes and ticks are not sealed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        group = parser.add_mutually_exclusive_group()
        group.add_argument("--new-key", action="store_true", help="print a fresh key and change nothing")
        group.add_argument("--open", action="store_true", help="store all text plainly again, before the keys go")

    def handle(self, *args: object, **options: Any) -> None:
        if options["new_key"]:
            self.stdout.write(Fernet.generate_key().decode("ascii"))
            return
        if locks() is None:
            raise CommandError("LEAGUE_JOURNAL_KEYS is empty: make a key with --new-key and keep it somewhere safe.")
        try:
            count = reseal(seal=not options["open"])
        except Unopened as fault:
            raise CommandError(f"{fault} Nothing was changed.") from None
        done = "stored plainly" if options["open"] else "sealed with the first key"
        self.stdout.write(f"{count} text{'' if count == 1 else 's'} {done}.")
