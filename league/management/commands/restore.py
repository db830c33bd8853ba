import shutil
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from league.management.copies import copy_database, fault_of, migrations_in, settle
from league.models import Account, Course, Erasure, Group, Player, Revision, Round
from league.services.accounts import end_all_access
from league.services.handicaps import check_everybody
from league.services.leaving import replay_erasures

POSTGRESQL = (
    "The database is PostgreSQL, which has its own tool, pg_restore. Erasures made since that backup must be asked "
    "for again, and everybody signed in must be signed out."
)


class Command(BaseCommand):
    help = (
        "Puts a backup in the place of the present database: erases again whoever was erased since, ends all sign-ins "
        "and tokens, and checks every ledger. End the service first. The present database is kept beside it."
    )
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: object, file: Path, **options: object) -> None:
        if connection.vendor != "sqlite":
            raise CommandError(POSTGRESQL)
        present = Path(str(connection.settings_dict["NAME"]))
        refuse_unfit(file)
        wishes = Wishes()
        side = present.with_name(f"{present.name}.restoring")
        try:
            side.unlink(missing_ok=True)
            shutil.copyfile(file, side)
            with opened(side):
                n_differences = self._make_fit(wishes)
            settle(side)
            self._swap(side, present)
        except OSError as error:
            raise CommandError(f"The backup cannot be put in place: {error.strerror}. Nothing was changed.") from None
        finally:
            side.unlink(missing_ok=True)
        if n_differences:
            self.stderr.write("Ledgers differ from their facts, see above: run rebuild_handicaps.")
            raise SystemExit(1)

    def _make_fit(self, wishes: "Wishes") -> int:
        """All that must be so before anybody sees the copy. Returns the number of differences."""
        call_command("migrate", interactive=False, verbosity=0)
        n_erased = replay_erasures(done=wishes.done, asked=wishes.asked)
        n_sign_ins, n_tokens = end_all_access()
        differences = list(check_everybody(Player.objects.order_by("pk").iterator()))
        for difference in differences:
            self.stdout.write(f"{difference.player_id} {difference.where}")
        self.stdout.write(
            f"People {Player.objects.filter(erased_at=None).count()}, groups {Group.objects.count()}, "
            f"courses {Course.objects.count()}, rounds {Round.objects.count()}, revisions {Revision.objects.count()}. "
            f"Erased again: {n_erased}. Sign-ins ended: {n_sign_ins}, tokens: {n_tokens}. "
            f"Differences: {len(differences)}."
        )
        return len(differences)

    def _swap(self, side: Path, present: Path) -> None:
        """One transaction of the database: whoever reads meanwhile sees the old state or the new one."""
        connection.close()
        if present.exists():
            kept = present.with_name(f"{present.name}.before-{timezone.now():%Y%m%dT%H%M%SZ}")
            copy_database(present, kept)
            settle(kept)
            self.stdout.write(f"The database as it was until now is {kept}; delete it when you no longer need it.")
        copy_database(side, present)


class Wishes:
    """Who was erased, or asked to be, by what the present database knows. It may be lost: then nobody is known."""

    def __init__(self) -> None:
        self.done: list[UUID] = []
        self.asked: dict[UUID, datetime] = {}
        try:
            self.done = list(Erasure.objects.values_list("player_number", flat=True))
            asked = Account.objects.exclude(erase_due_at=None).values_list("pk", "erase_due_at")
            self.asked = {account_id: due_at for account_id, due_at in asked if due_at is not None}
        except DatabaseError:
            connection.close()


def refuse_unfit(file: Path) -> None:
    if not file.is_file():
        raise CommandError(f"There is no file {file}.")
    known = set(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)
    ours = {name for app, name in migrations_in(file) if app == "league"}
    if not ours:
        raise CommandError(f"{file} is not a backup of this service.")
    newer = migrations_in(file) - known
    if newer:
        app, name = sorted(newer)[0]
        raise CommandError(f"{file} comes from a newer release ({app} {name}): update the service, then restore.")
    fault = fault_of(file)
    if fault:
        raise CommandError(f"{file} is damaged ({fault}). Nothing was changed; take another backup.")


@contextmanager
def opened(file: Path) -> Iterator[None]:
    """The service's own code on another database file."""
    connection.close()
    present = connection.settings_dict["NAME"]
    connection.settings_dict["NAME"] = file
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = present
