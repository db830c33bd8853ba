"""A player's carry book as it reads: each club's usual carry with its doubt, from typed values and measured shots."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from league.estimates import carries, conditions
from league.estimates.carries import Carry, Measured, Typed
from league.estimates.conditions import Conditions
from league.estimates.estimate import Estimate
from league.estimates.outlook import FEWEST_ROUNDS, Level
from league.models import CarryBook, Club, Outlook, Player, Shot
from league.models.carries import Curve
from league.rules.described import converted
from league.rules.printed import METRES_IN_A_YARD, YARDS

TO_METRES = float(METRES_IN_A_YARD)


@dataclass(frozen=True, kw_only=True)
class ClubTold:
    """One club in the book's unit. `told` is None for a putter and where too little is known; `reason` says why."""

    club: Club
    told: Carry | None
    sure: Estimate | None
    four_in_five: tuple[float, float] | None
    n_shots: int
    reason: str


@dataclass(frozen=True, kw_only=True)
class ClubToday:
    """What the day makes of a club, in the book's unit. `aside`: where the wind takes it, right positive."""

    name: str
    usual: float
    carry: float
    roll: float
    aside: float


@dataclass(frozen=True)
class BookTold:
    """`book` is None while nothing is written; `level` the expected differential, None when it is not known."""

    book: CarryBook | None
    length_unit: str
    level: float | None
    clubs: tuple[ClubTold, ...]

    @property
    def version(self) -> int:
        return self.book.version if self.book else 0

    @property
    def liked_distance(self) -> int | None:
        return self.book.liked_distance if self.book else None

    def liked_in(self, unit: str) -> int | None:
        liked = self.liked_distance
        return None if liked is None else converted(liked, self.length_unit, unit)

    def carries(self, unit: str, level: float | None = None) -> tuple[Carry, ...]:
        """What is known of the clubs that are carried, longest first, in `unit`. `level` serves where none is known."""
        told = self.clubs if self.level is not None or level is None else _clubs_told(self.clubs, level)
        known = [one.told for one in told if one.told is not None and one.club.is_carried]
        return tuple(_in_unit(one, self.length_unit, unit) for one in sorted(known, key=lambda one: -one.carry))

    def today(self, day: Conditions, rise: float = 0) -> tuple[ClubToday, ...]:
        """Every club that is carried, as the day makes it."""
        found = []
        for usual in self.carries(self.length_unit):
            shot = conditions.carry_today(usual, day, rise)
            roll = conditions.run(shot.carry, shot.kind, day)
            aside = shot.curve - usual.curve * shot.carry / usual.carry
            found.append(ClubToday(name=usual.name, usual=usual.carry, carry=shot.carry, roll=roll, aside=aside))
        return tuple(found)


def carry_book(player: Player) -> BookTold:
    """Four statements at most, whatever the number of clubs and shots."""
    book = CarryBook.objects.filter(player=player).first()
    level = level_of(player)
    if book is None:
        return BookTold(None, player.length_unit, level, ())
    shots = defaultdict(list)
    for shot in Shot.objects.filter(club__book=book).order_by("pk"):
        shots[shot.club_id].append(Measured(shot.carry, shot.off_line))
    told = [club_told(club, shots[club.pk], level) for club in book.clubs.all()]
    told.sort(key=lambda one: (-(one.told.carry if one.told else -1.0), one.club.name))
    return BookTold(book, book.length_unit, level, tuple(told))


def unit_of(player: Player) -> str:
    """The unit of the player's book; where there is none, that in which one would begin."""
    stored = CarryBook.objects.filter(player=player).only("length_unit").first()
    return stored.length_unit if stored else player.length_unit


def level_of(player: Player, day: date | None = None) -> float | None:
    """The expected differential of the stored outlook; None under three rounds. It does not drift without rounds."""
    stored = Outlook.objects.filter(player=player).first()
    if stored is None or stored.n_rounds < FEWEST_ROUNDS:
        return None
    return Level.from_plain(stored.level).mean


def club_told(club: Club, shots: Sequence[Measured], level: float | None) -> ClubTold:
    told = carries.carry_of(typed_of(club), shots, level)
    return ClubTold(
        club=club,
        told=told,
        sure=None if told is None else carries.sure_of(told, club.carry is not None),
        four_in_five=None if told is None else carries.four_in_five(told),
        n_shots=len(shots),
        reason="" if told is not None else _why_unknown(club, len(shots)),
    )


def typed_of(club: Club) -> Typed:
    """The row as a pure value, distances in the book's unit, angles in degrees."""
    side = {Curve.LEFT: -1, Curve.RIGHT: 1}.get(Curve(club.curve), 0)
    return Typed(
        name=club.name,
        kind=club.kind,
        carry=club.carry,
        long=club.long_spread,
        wide=None if club.wide_tenths is None else club.wide_tenths / 10,
        curve=None if club.curve_by is None else float(side * club.curve_by),
        loft=None if club.loft_tenths is None else club.loft_tenths / 10,
    )


def _clubs_told(told: Sequence[ClubTold], level: float) -> tuple[ClubTold, ...]:
    """The same clubs where the player's own level is not known and another stands in for it."""
    shots = defaultdict(list)
    for shot in Shot.objects.filter(club__in=[one.club.pk for one in told]).order_by("pk"):
        shots[shot.club_id].append(Measured(shot.carry, shot.off_line))
    return tuple(club_told(one.club, shots[one.club.pk], level) for one in told)


def _why_unknown(club: Club, n_shots: int) -> str:
    if club.kind == carries.PUTTER:
        return "a putter carries nowhere"
    missing = carries.FEWEST_SHOTS - n_shots
    return f"type a carry, or measure {missing} more shot{'' if missing == 1 else 's'}"


def _in_unit(carry: Carry, of: str, to: str) -> Carry:
    if of == to:
        return carry
    times = TO_METRES if of == YARDS else 1 / TO_METRES
    return replace(carry, carry=carry.carry * times, long_sd=carry.long_sd * times, curve=carry.curve * times)
