"""The carry book: clubs, what is known of each, and measured shots.

Only its owner writes it, with the player's row held. Distances are whole numbers in the book's unit; a change of
unit converts every row of it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import date

from django.db import transaction
from django.db.models import Max

from league.estimates import carries
from league.estimates.carries import PUTTER
from league.models import CarryBook, Club, Player, Shot
from league.models.carries import Curve
from league.models.members import LengthUnit, RatedFor
from league.rules.described import converted
from league.rules.errors import RuleBroken, refuse_all
from league.services import handicaps
from league.services.errors import Refused, Stale
from league.services.rounds import today_at

LONGEST_CARRY = 400
LONGEST_SPREAD = 100
WIDEST_TENTHS = 300
FARTHEST_CURVE = 100
FARTHEST_OFF_LINE = 150
LOFT_TENTHS = (10, 700)
MOST_CARRIED = 14
"""Clubs that may be carried in a round (Rule 4.1b of the Rules of Golf)."""
MOST_CLUBS = 30
MOST_SHOTS = 5_000
"""Of one player, all clubs together."""


@dataclass(frozen=True, kw_only=True)
class BookFacts:
    """What stands in the book beside its clubs; notes are the player's own words by lie."""

    length_unit: str
    liked_distance: int | None = None
    from_rough: str = ""
    from_bare: str = ""
    ball_above: str = ""
    ball_below: str = ""


@dataclass(frozen=True, kw_only=True)
class ClubFacts:
    """A club as typed. Spreads are standard deviations: `long_spread` along, `wide_tenths` in tenths of a degree."""

    name: str
    kind: str
    loft_tenths: int | None = None
    carry: int | None = None
    long_spread: int | None = None
    wide_tenths: int | None = None
    curve: str = ""
    curve_by: int | None = None
    is_carried: bool = True


@dataclass(frozen=True, kw_only=True)
class ShotFacts:
    """Carry, and how far off the line aimed at the ball landed (right is positive), in the book's unit."""

    carry: int
    off_line: int | None = None
    hit_on: date | None = None


@transaction.atomic
def change_book(*, player: Player, facts: BookFacts, if_version: int | None = None) -> CarryBook:
    """Stores the book, and makes it first where there is none (version 0)."""
    player = handicaps.lock_player(player)
    liked = facts.liked_distance
    if liked is not None and not 1 <= liked <= LONGEST_CARRY:
        text = f"The distance you like to leave is from 1 to {LONGEST_CARRY}, or empty."
        raise RuleBroken("carry_range", text, "liked_distance")
    stored = CarryBook.objects.filter(player=player).first()
    if if_version is not None and if_version != (stored.version if stored else 0):
        raise Stale(stored or CarryBook(player=player, length_unit=player.length_unit, version=0))
    book = stored or _new_book(player)
    if facts.length_unit != book.length_unit:
        _convert(book, facts.length_unit)
    for field in fields(facts):
        setattr(book, field.name, getattr(facts, field.name))
    if stored:
        book.version += 1
    book.save()
    return book


@transaction.atomic
def add_club(*, player: Player, facts: ClubFacts) -> Club:
    player = handicaps.lock_player(player)
    _check_club(facts)
    book = book_of(player)
    held = list(book.clubs.all())
    if len(held) >= MOST_CLUBS:
        raise Refused("clubs_many", f"{MOST_CLUBS} clubs stand in the book; remove one first.")
    _refuse_twin(held, facts)
    _refuse_too_many_carried(held, facts)
    return _store(Club(book=book), facts)


@transaction.atomic
def change_club(*, club: Club, facts: ClubFacts, if_version: int | None = None) -> Club:
    handicaps.lock_player(club.book.player)
    locked = _fresh(club, if_version)
    _check_club(facts)
    others = list(locked.book.clubs.exclude(pk=locked.pk))
    _refuse_twin(others, facts)
    _refuse_too_many_carried(others, facts)
    if facts.kind == PUTTER and locked.shots.exists():
        text = "Shots were measured with this club, so it is no putter. Remove them first."
        raise RuleBroken("carry_range", text, "kind")
    locked.version += 1
    return _store(locked, facts)


@transaction.atomic
def remove_club(*, club: Club, if_version: int | None = None) -> None:
    """With the shots that were measured with it."""
    handicaps.lock_player(club.book.player)
    _fresh(club, if_version).delete()


@transaction.atomic
def add_shots(*, club: Club, shots: Sequence[ShotFacts]) -> list[Shot]:
    """All of them or none."""
    player = handicaps.lock_player(club.book.player)
    locked = _fresh(club, None)
    if locked.kind == PUTTER:
        raise RuleBroken("carry_range", "A putter has no carry.", "club")
    refuse_all(shot_problems(shots, today_at(None, player)))
    if Shot.objects.filter(club__book__player=player).count() + len(shots) > MOST_SHOTS:
        raise Refused("shots_many", f"A book holds {MOST_SHOTS} measured shots. Remove old ones first.")
    last = Shot.objects.aggregate(last=Max("pk"))["last"] or 0
    Shot.objects.bulk_create(
        (Shot(club=locked, carry=one.carry, off_line=one.off_line, hit_on=one.hit_on) for one in shots),
        batch_size=100,
    )
    return list(locked.shots.filter(pk__gt=last).order_by("pk"))


@transaction.atomic
def remove_shot(*, shot: Shot) -> None:
    handicaps.lock_player(shot.club.book.player)
    Shot.objects.filter(pk=shot.pk).delete()


@transaction.atomic
def take_starter_set(*, player: Player, drive: int | None = None, index: float | None = None) -> CarryBook:
    """A usual set as a first guess, only into an empty book; without a `drive` from the published mean (yards)."""
    player = handicaps.lock_player(player)
    book = book_of(player)
    if book.clubs.exists():
        raise Refused("book_has_clubs", "The book has clubs already. A usual set only fills an empty one.")
    if drive is None:
        row = "women" if player.rated_for == RatedFor.WOMEN else "men"
        drive = converted(carries.published_drive(row, index), LengthUnit.YARDS, book.length_unit)
    if not 50 <= drive <= LONGEST_CARRY:
        text = f"A drive is from 50 to {LONGEST_CARRY}, roll included."
        raise RuleBroken("carry_range", text, "drive")
    for typed in carries.starter_set(drive):
        _store(
            Club(book=book),
            ClubFacts(
                name=typed.name,
                kind=typed.kind,
                carry=None if typed.carry is None else round(typed.carry),
                loft_tenths=None if typed.loft is None else round(typed.loft * 10),
            ),
        )
    return book


def book_of(player: Player) -> CarryBook:
    """The player's row is held, so no other writer makes one meanwhile."""
    found = CarryBook.objects.filter(player=player).first()
    if found is None:
        found = _new_book(player)
        found.save(force_insert=True)
    return found


def _new_book(player: Player) -> CarryBook:
    return CarryBook(player=player, length_unit=player.length_unit)


def _fresh(club: Club, if_version: int | None) -> Club:
    locked = Club.objects.select_related("book__player").filter(pk=club.pk).first()
    if locked is None:
        raise Refused("club_gone", "This club was removed meanwhile.")
    if if_version is not None and locked.version != if_version:
        raise Stale(locked)
    return locked


def _store(club: Club, facts: ClubFacts) -> Club:
    for field in fields(facts):
        setattr(club, field.name, getattr(facts, field.name))
    club.save()
    return club


def _refuse_twin(held: Iterable[Club], facts: ClubFacts) -> None:
    if any(club.name.casefold() == facts.name.casefold() for club in held):
        raise Refused("club_twice", f"A club {facts.name} stands in the book already.")


def _refuse_too_many_carried(others: Sequence[Club], facts: ClubFacts) -> None:
    if facts.is_carried and sum(club.is_carried for club in others) >= MOST_CARRIED:
        text = f"{MOST_CARRIED} clubs are carried already (Rule 4.1b). Leave this one or another at home."
        raise RuleBroken("clubs_carried", text, "is_carried")


def _check_club(facts: ClubFacts) -> None:
    refuse_all([RuleBroken(code, text, field) for code, text, field in _problems(facts)])


def _problems(facts: ClubFacts) -> Iterable[tuple[str, str, str]]:
    bounds = (
        ("carry", "carry_range", 1, LONGEST_CARRY, "A carry"),
        ("long_spread", "spread_range", 1, LONGEST_SPREAD, "A spread in length"),
        ("wide_tenths", "spread_range", 1, WIDEST_TENTHS, "A spread in direction, in tenths of a degree,"),
        ("curve_by", "curve_range", 1, FARTHEST_CURVE, "A curve"),
        ("loft_tenths", "loft_range", *LOFT_TENTHS, "A loft, in tenths of a degree,"),
    )
    for name, code, lowest, highest, words in bounds:
        value = getattr(facts, name)
        if value is not None and not lowest <= value <= highest:
            yield code, f"{words} is from {lowest} to {highest}, or empty.", name
        elif value is not None and facts.kind == PUTTER and name != "loft_tenths":
            yield code, "A putter has no carry, spread or curve: leave it empty.", name
    if facts.curve == Curve.STRAIGHT and facts.curve_by is not None:
        yield "curve_half", "Say to which side it curves, or leave empty by how much.", "curve"
    elif facts.curve != Curve.STRAIGHT and facts.curve_by is None:
        yield "curve_half", "Say by how much it curves, or leave the side empty.", "curve_by"


def shot_problems(shots: Sequence[ShotFacts], today: date) -> list[RuleBroken]:
    """Each with its place, such as `shots.3.carry`."""
    problems = []
    for place, shot in enumerate(shots):
        at = f"shots.{place}."
        if not 1 <= shot.carry <= LONGEST_CARRY:
            problems.append(RuleBroken("carry_range", f"A carry is from 1 to {LONGEST_CARRY}.", f"{at}carry"))
        if shot.off_line is not None and abs(shot.off_line) > FARTHEST_OFF_LINE:
            text = f"Off the line is from -{FARTHEST_OFF_LINE} to {FARTHEST_OFF_LINE}, right positive, or empty."
            problems.append(RuleBroken("off_line_range", text, f"{at}off_line"))
        if shot.hit_on is not None and shot.hit_on > today:
            problems.append(RuleBroken("hit_in_future", "This day has not come yet.", f"{at}hit_on"))
    return problems


def _convert(book: CarryBook, to: str) -> None:
    """Every distance of the book in the other unit; angles stay. What was at least 1 stays at least 1."""

    def other(distance: int | None) -> int | None:
        return None if distance is None else max(1, min(LONGEST_CARRY, converted(distance, book.length_unit, to)))

    if book._state.adding:
        return
    clubs = list(book.clubs.all())
    for club in clubs:
        club.carry, club.long_spread, club.curve_by = other(club.carry), other(club.long_spread), other(club.curve_by)
        club.version += 1
    Club.objects.bulk_update(clubs, ["carry", "long_spread", "curve_by", "version"], batch_size=100)
    shots = list(Shot.objects.filter(club__book=book))
    for shot in shots:
        shot.carry = other(shot.carry) or 1
        if shot.off_line is not None:
            shot.off_line = converted(shot.off_line, book.length_unit, to)
    Shot.objects.bulk_update(shots, ["carry", "off_line"], batch_size=100)
