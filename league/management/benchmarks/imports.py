"""Past rounds from a file: reading it, and storing it through the services, against the least that storing can cost."""

import time
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from random import Random

from django.db import connection, transaction

from league.exchange import rounds_csv
from league.exchange.problems import Limits
from league.management.benchmarks.lines import Figure, Line, Target, ratios, seconds
from league.management.benchmarks.world import World, new_player, new_world
from league.models import Course, Player, Role, Round
from league.services import imports

UNLIMITED = Limits(bytes=None, rows=None)
TABLE = "benchmark_rows"


@dataclass(frozen=True)
class Sizes:
    """Rows read, rows stored in each pass, and over how many players those spread."""

    parsed: int = 100_000
    stored: int = 4_000
    players: int = 40
    passes: int = 3


def past_rounds(sizes: Sizes) -> Iterable[Line]:
    world = new_world()
    organiser = new_player(world, "Organiser", role=Role.ORGANISER)
    names = [f"Player {number}" for number in range(sizes.players)]
    big = table(world, names, sizes.parsed)
    raw = raw_rows(sizes.parsed)
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE {TABLE} (id TEXT, player TEXT, tee TEXT, day TEXT, gross INT, adjusted INT)")
    floors, reads, stores = [], [], []
    for number in range(sizes.passes):
        guests = [new_player(world, f"Guest {number} {place}", has_account=False) for place in range(sizes.players)]
        small = table(world, [guest.name for guest in guests], sizes.stored)
        floors.append(_a_row(partial(raw_insert, raw), sizes.parsed))
        reads.append(_a_row(partial(read, big, sizes.parsed), sizes.parsed))
        stores.append(_a_row(partial(store, small, guests, organiser, world), sizes.stored))
    yield Line(
        "import",
        [
            Figure("x_raw", ratios(stores, floors), Target(at_most=25)),
            Figure("rows_s", [1 / one for one in stores]),
            Figure("of", [sizes.stored]),
        ],
        note="read, checked and stored with events, revisions and their reasons",
    )
    yield Line(
        "import, reading only",
        [
            Figure("x_raw", ratios(reads, floors)),
            Figure("rows_s", [1 / one for one in reads]),
            Figure("raw_rows_s", [1 / one for one in floors]),
            Figure("of", [sizes.parsed]),
        ],
    )


def _a_row(work: partial[None], count: int) -> float:
    return seconds(work, time.perf_counter) / count


def table(world: World, players: Sequence[str], count: int) -> bytes:
    """A file as an organiser has it: one total a row, the players' rows mixed."""
    random = Random(count)
    first = world.group.created_at.date() - timedelta(days=1 + count // len(players))
    lines = ["player,played_on,course,tee,gross,adjusted_gross"]
    for number in range(count):
        day, place = divmod(number, len(players))
        gross = random.randint(84, 104)
        played_on = first + timedelta(days=day)
        lines.append(f"{players[place]},{played_on},Saltmarsh,Reed,{gross},{gross - random.randint(0, 2)}")
    return "\n".join(lines).encode()


def raw_rows(count: int) -> list[tuple[str, str, str, str, int, int]]:
    player, tee = str(uuid.uuid4()), str(uuid.uuid4())
    return [(str(uuid.uuid4()), player, tee, "2024-05-01", 90, 89) for _ in range(count)]


def raw_insert(rows: Sequence[tuple[str, str, str, str, int, int]]) -> None:
    """The driver's own executemany, without foreign keys or indexes, in one transaction."""
    sign = "?" if connection.vendor == "sqlite" else "%s"
    with transaction.atomic():
        cursor = connection.connection.cursor()
        cursor.executemany(f"INSERT INTO {TABLE} VALUES ({', '.join([sign] * 6)})", rows)
        cursor.close()


def read(data: bytes, count: int) -> None:
    reading = rounds_csv.read(data, limits=UNLIMITED)
    if len(reading.rows) != count or not reading.is_ready:
        raise RuntimeError(f"The file was not read: {reading.problems[:1]} {reading.questions[:1]}")


def store(data: bytes, players: Sequence[Player], organiser: Player, world: World) -> None:
    """Everything that an organiser's import does: read, check, keep, apply."""
    before = Round.objects.count()
    courses = Course.objects.filter(group=world.group).prefetch_related("tees__holes", "tees__course__group")
    reading = rounds_csv.read(data, limits=UNLIMITED)
    checked = imports.check_rounds(reading=reading, players=players, default=None, courses=courses)
    for prepared in imports.prepare_import(made_by=organiser, group=world.group, checked=checked):
        imports.apply_import(imported=prepared, applied_by=organiser)
    if Round.objects.count() - before != len(reading.rows):
        raise RuntimeError("The file was not stored whole.")
