from argparse import ArgumentParser
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from league.management.copies import copy_database, fault_of, settle

POSTGRESQL = (
    "The database is PostgreSQL, which has its own tool: pg_dump --format=custom --file FILE, "
    "with the address that LEAGUE_DATABASE_URL names."
)


class Command(BaseCommand):
    help = "Copies the whole database to a new file, online, and checks the copy."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: object, file: Path, **options: object) -> None:
        if connection.vendor != "sqlite":
            raise CommandError(POSTGRESQL)
        if file.exists():
            raise CommandError(f"{file} is there already; a backup never overwrites. Give another name.")
        half = file.with_name(f"{file.name}.part")
        try:
            half.unlink(missing_ok=True)
            half.touch(mode=0o600)
            copy_database(Path(str(connection.settings_dict["NAME"])), half)
            settle(half)
            fault = fault_of(half)
            if fault:
                raise CommandError(f"The copy is not sound ({fault}); it was not kept.")
            half.rename(file)
        except OSError as error:
            raise CommandError(f"{file} cannot be written: {error.strerror}.") from None
        finally:
            half.unlink(missing_ok=True)
        self.stdout.write(
            f"{file}: {file.stat().st_size / 1e6:.1f} MB, checked. It holds private notes too: keep it where only you "
            "can read it, and delete it after 35 days."
        )
