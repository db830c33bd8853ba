"""Measured shots from a list: checked against the book, then stored together, or taken back together.

A list is known by what it says: read a second time it adds nothing, until what it brought was taken back.
"""

import hashlib
import uuid
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db import transaction

from league.estimates.carries import PUTTER
from league.exchange.problems import Problem, Question
from league.exchange.shots_csv import ShotRow, ShotsReading, club_name
from league.models import CarryBook, Club, Player, Shot
from league.services import handicaps
from league.services.carries import (
    MOST_CARRIED,
    MOST_CLUBS,
    MOST_SHOTS,
    ClubFacts,
    ShotFacts,
    book_of,
    shot_problems,
)
from league.services.errors import Refused
from league.services.rounds import today_at

LISTS = uuid.UUID("6f0d5f0a-0a43-4c0e-9d0f-6a5c6f4f9a11")
"""The name space of lists: the same list of the same player has the same id."""
COLUMN = {"carry": "carry", "off_line": "off line", "hit_on": "date"}


@dataclass(slots=True)
class CheckedShots:
    """What a list would do. `n_alike` counts its dated shots that equal one that is stored already."""

    batch: uuid.UUID
    rows: list[ShotRow] = field(default_factory=list)
    new_clubs: list[ClubFacts] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    is_stored: bool = False
    n_alike: int = 0

    @property
    def is_ready(self) -> bool:
        return not self.problems and not self.questions


def check_shots(*, player: Player, reading: ShotsReading) -> CheckedShots:
    """Stores nothing. Every problem stands at its line, those of the reading first."""
    book = CarryBook.objects.filter(player=player).first()
    clubs = _by_name(book)
    checked = CheckedShots(_list_id(player, reading.rows), reading.rows, questions=reading.questions)
    checked.problems = list(reading.problems)
    if checked.problems:
        return checked
    checked.problems += _club_problems(reading.rows, clubs)
    checked.problems += _shot_problems(reading.rows, player)
    checked.new_clubs = _new_clubs(reading.rows, clubs)
    checked.problems += _room(checked, clubs, player)
    stored = Shot.objects.filter(club__book__player=player)
    checked.is_stored = stored.filter(batch=checked.batch).exists()
    checked.n_alike = 0 if checked.is_stored else _alike(reading.rows, clubs, stored.exclude(hit_on=None))
    return checked


@transaction.atomic
def import_shots(*, player: Player, reading: ShotsReading) -> CheckedShots:
    """All shots of a list and the clubs that they need, or nothing. The same list again changes nothing."""
    player = handicaps.lock_player(player)
    checked = check_shots(player=player, reading=reading)
    if not checked.is_ready:
        raise Refused("import_outdated", "The book changed meanwhile. Read the list again.")
    if checked.is_stored:
        return checked
    book = book_of(player)
    Club.objects.bulk_create([Club(book=book, **vars(facts)) for facts in checked.new_clubs], batch_size=100)
    clubs = _by_name(book)
    Shot.objects.bulk_create(
        (
            Shot(
                club=clubs[row.club.casefold()],
                carry=row.carry,
                off_line=row.off_line,
                hit_on=row.hit_on,
                batch=checked.batch,
            )
            for row in checked.rows
        ),
        batch_size=100,
    )
    return checked


@transaction.atomic
def undo_shots(*, player: Player, batch: uuid.UUID) -> int:
    """Takes back what a list brought, but not its clubs; how many shots went. Again, it takes nothing."""
    handicaps.lock_player(player)
    gone, _ = Shot.objects.filter(club__book__player=player, batch=batch).delete()
    return gone


def _list_id(player: Player, rows: Sequence[ShotRow]) -> uuid.UUID:
    said = [(row.club.casefold(), row.carry, row.off_line, row.hit_on) for row in rows]
    return uuid.uuid5(LISTS, hashlib.sha256(repr((player.pk, said)).encode()).hexdigest())


def _by_name(book: CarryBook | None) -> dict[str, Club]:
    """Every club under the name that a list has for it."""
    return {club_name(club.name)[0].casefold(): club for club in book.clubs.all()} if book else {}


def _club_problems(rows: Iterable[ShotRow], clubs: Mapping[str, Club]) -> Iterable[Problem]:
    for row in rows:
        club = clubs.get(row.club.casefold())
        if (club.kind if club else row.kind) == PUTTER:
            yield Problem(row.row, "club", "carry_range", "A putter has no carry.")
        elif club is None and not row.kind:
            message = (
                f"No club “{row.club}” is in the book, and its name does not say what it is. Enter it there first."
            )
            yield Problem(row.row, "club", "club_unknown", message)


def _shot_problems(rows: Sequence[ShotRow], player: Player) -> Iterable[Problem]:
    facts = [ShotFacts(carry=row.carry, off_line=row.off_line, hit_on=row.hit_on) for row in rows]
    for broken in shot_problems(facts, today_at(None, player)):
        _, place, name = broken.field.split(".")
        yield Problem(rows[int(place)].row, COLUMN[name], broken.code, broken.message)


def _new_clubs(rows: Iterable[ShotRow], clubs: Mapping[str, Club]) -> list[ClubFacts]:
    """In the order in which they first come; carried while there is room in the bag."""
    n_carried = sum(club.is_carried for club in clubs.values())
    found: dict[str, ClubFacts] = {}
    for row in rows:
        name = row.club.casefold()
        if name not in clubs and name not in found and row.kind and row.kind != PUTTER:
            found[name] = ClubFacts(name=row.club, kind=row.kind, is_carried=n_carried + len(found) < MOST_CARRIED)
    return list(found.values())


def _room(checked: CheckedShots, clubs: Mapping[str, Club], player: Player) -> Iterable[Problem]:
    if len(clubs) + len(checked.new_clubs) > MOST_CLUBS:
        yield Problem(0, "club", "clubs_many", f"A book holds {MOST_CLUBS} clubs; this list would make more.")
    if Shot.objects.filter(club__book__player=player).count() + len(checked.rows) > MOST_SHOTS:
        yield Problem(0, "", "shots_many", f"A book holds {MOST_SHOTS} measured shots. Remove old ones first.")


def _alike(rows: Iterable[ShotRow], clubs: Mapping[str, Club], stored: Iterable[Shot]) -> int:
    """A shot of a list equals one that is stored at most once."""
    held = Counter((shot.club_id, shot.carry, shot.off_line, shot.hit_on) for shot in stored)
    coming: Counter[tuple[uuid.UUID, int, int | None, date | None]] = Counter(
        (clubs[row.club.casefold()].pk, row.carry, row.off_line, row.hit_on)
        for row in rows
        if row.hit_on is not None and row.club.casefold() in clubs
    )
    return (held & coming).total()
