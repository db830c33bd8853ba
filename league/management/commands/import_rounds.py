from argparse import ArgumentParser, BooleanOptionalAction
from pathlib import Path
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError
from django.db.models import Q

from league.exchange import rounds_csv
from league.exchange.problems import Limits, Note, Problem
from league.models import Course, Player
from league.models.members import fold_email
from league.services.imports import Checked, apply_import, check_rounds, prepare_import

UNLIMITED = Limits(bytes=None, rows=None, problems=None)


class Command(BaseCommand):
    help = "Reads a file of past rounds for one player, of any size, and says what it would do; --apply does it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--player", required=True, help="the player's e-mail address or id")
        parser.add_argument("--apply", action="store_true", help="store the rounds: all of them, or none")
        parser.add_argument("--day-first", action=BooleanOptionalAction, help="03/04/2026 is the third of April")
        parser.add_argument("--keep-twice", action=BooleanOptionalAction, help="rows that look alike are two rounds")

    def handle(
        self,
        *args: object,
        file: Path,
        player: str,
        apply: bool,
        day_first: bool | None,
        keep_twice: bool | None,
        **options: object,
    ) -> None:
        owner = find_player(player)
        try:
            content = file.read_bytes()
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}.") from None
        reading = rounds_csv.read(content, day_first=day_first, keep_twice=keep_twice, limits=UNLIMITED)
        checked = check_rounds(reading=reading, players=[owner], default=owner, courses=courses_of(owner))
        self._say(checked)
        if not checked.is_ready:
            raise CommandError("Put the problems right first. Nothing was stored.")
        n_stored = len(checked.placed) - checked.n_new
        if not apply:
            self.stdout.write(
                f"{checked.n_new} new rounds, {n_stored} stored already. Nothing was stored now: add --apply to do it."
            )
            return
        for prepared in prepare_import(made_by=owner, group=None, checked=checked):
            apply_import(imported=prepared, applied_by=owner)
        self.stdout.write(f"{checked.n_new} rounds were stored, {n_stored} were there already.")

    def _say(self, checked: Checked) -> None:
        found: list[Problem | Note] = [*checked.problems, *checked.notes]
        for line in found:
            self.stdout.write(_line(line))
        for question in checked.questions:
            rows = ", ".join(map(str, question.rows))
            self.stdout.write(f"Question {question.code} (line {rows}): {question.message}")


def _line(found: Problem | Note) -> str:
    where = f"Line {found.row}" if found.row else "The file"
    column = f", column {found.column}" if found.column else ""
    return f"{where}{column}: {found.message}"


def find_player(named: str) -> Player:
    """By e-mail address or id; a player without an account has an id only."""
    by_id = Q(pk=named) if is_id(named) else Q(account__email=fold_email(named))
    found = Player.objects.filter(by_id, erased_at=None).first()
    if found is None:
        raise CommandError(f"There is no player {named}.")
    return found


def is_id(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True


def courses_of(player: Player) -> list[Course]:
    """The player's own courses and those of their groups."""
    mine = Q(owner=player) | Q(group__memberships__player=player, group__memberships__left_at=None)
    return list(Course.objects.filter(mine).distinct().select_related("group").prefetch_related("tees__holes"))
