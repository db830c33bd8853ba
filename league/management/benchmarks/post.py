"""A round with 18 hole rows posted over HTTP, against the least that such a post can cost."""

import io
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from statistics import quantiles
from typing import Any

from django.core.wsgi import get_wsgi_application
from django.db import connection
from django.test.utils import CaptureQueriesContext

from league.management.benchmarks import floor
from league.management.benchmarks.lines import Figure, Line, Target, ratios
from league.management.benchmarks.server import Server, gunicorn, request_bytes, send_all
from league.management.benchmarks.world import Member, World, day_after_history, new_member, new_world

FLOOR = "league.management.benchmarks.floor:application"
SERVICE = "league.config.wsgi:application"
KEYS = {"sqlite": "INTEGER PRIMARY KEY", "postgresql": "BIGSERIAL PRIMARY KEY"}


@dataclass(frozen=True)
class Sizes:
    """Posts are spread over so many players, fewer a minute for each than their token may send."""

    members: int = 20
    history: int = 100
    short_history: int = 10
    long_history: int = 1_000
    posts_a_pass: int = 100
    passes: int = 5


@dataclass
class Count:
    """What one post did in the database."""

    statements: list[str] = field(default_factory=list)
    rows_written: int = 0


@dataclass(frozen=True)
class Pass:
    """Seconds of each request in a pass, and the server's processor seconds for one of them."""

    taken: Sequence[float]
    processor_seconds: float | None

    def percentile(self, place: int) -> float:
        return quantiles(self.taken, n=100, method="inclusive")[place - 1]


def card(tee_id: str, played_on: date) -> dict[str, Any]:
    """Eighteen holes, a bogey on most of them."""
    holes = [{"number": number, "strokes": 5 if number % 3 else 4, "putts": 2} for number in range(1, 19)]
    return {"tee": tee_id, "played_on": played_on.isoformat(), "holes": holes}


class Posts:
    """The next posts in turn over the members: each on the day after that player's last."""

    def __init__(self, world: World, members: list[Member]) -> None:
        self.tee_id = str(world.tee.pk)
        self.members = members
        self.sent = 0

    def next(self, count: int) -> list[bytes]:
        made = []
        for _ in range(count):
            turn, place = divmod(self.sent, len(self.members))
            member = self.members[place]
            made.append(request_bytes(card(self.tee_id, day_after_history(member, turn)), member.token))
            self.sent += 1
        return made


def post(sizes: Sizes) -> Iterable[Line]:
    world = new_world()
    members = [new_member(world, f"Player {number}", sizes.history) for number in range(sizes.members)]
    make_floor_table()
    counted = [
        counted_post(world, new_member(world, f"Counted {length}", length))
        for length in (sizes.short_history, sizes.long_history)
    ]
    posts = Posts(world, members)
    floor_body = request_bytes(card(str(world.tee.pk), day_after_history(members[0], 0)), members[0].token)
    # The service and the floor turn by turn; the one that waits costs nothing.
    with gunicorn(FLOOR) as floor_server, gunicorn(SERVICE) as server:
        send_all(floor_server.port, [floor_body] * sizes.members)
        send_all(server.port, posts.next(2 * sizes.members))
        floors, ours = [], []
        for _ in range(sizes.passes):
            floors.append(measured(floor_server, [floor_body] * 2 * sizes.posts_a_pass))
            ours.append(measured(server, posts.next(sizes.posts_a_pass)))
        two = [sizes.posts_a_pass // 2] * 2
        with ThreadPoolExecutor(2) as pool:
            answered = pool.map(lambda sent: send_all(server.port, sent), [posts.next(count) for count in two])
            both = Pass([one for taken in answered for one in taken], None)
    yield _line(floors, ours, counted)
    figures = [Figure("p50", [1000 * both.percentile(50)]), Figure("p99", [1000 * both.percentile(99)])]
    yield Line("post, 2 connections", figures)


def measured(server: Server, requests: Sequence[bytes]) -> Pass:
    before = server.processor_seconds()
    taken = send_all(server.port, requests)
    after = server.processor_seconds()
    return Pass(taken, None if before is None or after is None else (after - before) / len(requests))


def _line(floors: Sequence[Pass], ours: Sequence[Pass], counted: Sequence[Count]) -> Line:
    middle = [one.percentile(50) for one in ours]
    floor_middle = [one.percentile(50) for one in floors]
    high = [one.percentile(99) for one in ours]
    spent = [one.processor_seconds for one in ours if one.processor_seconds]
    floor_spent = [one.processor_seconds for one in floors if one.processor_seconds]
    figures = [
        Figure("x_floor", ratios(middle, floor_middle), Target(at_most=12)),
        Figure("p99/p50", ratios(high, middle), Target(at_most=10)),
        Figure("p50", [1000 * one for one in middle]),
        Figure("p99", [1000 * one for one in high]),
        Figure("floor_p50", [1000 * one for one in floor_middle]),
        Figure("sql", [len(counted[0].statements)]),
        Figure("more_sql_with_long_history", [_grown(counted)], Target(at_most=0)),
        Figure("rows_written", [counted[-1].rows_written]),
    ]
    if len(spent) == len(floor_spent) == len(ours):
        figures.insert(1, Figure("x_floor_processor", ratios(spent, floor_spent)))
        figures.insert(2, Figure("processor_ms", [1000 * one for one in spent]))
    return Line("post", figures, note="times in ms; 1 connection, 18 hole rows")


def _grown(counted: Sequence[Count]) -> int:
    return len(counted[-1].statements) - len(counted[0].statements)


def make_floor_table() -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE {floor.TABLE} (id {KEYS[connection.vendor]}, body TEXT NOT NULL)")


def counted_post(world: World, member: Member) -> Count:
    """The second post of this player, through the whole WSGI application in this process, with its SQL."""
    application = get_wsgi_application()
    tee_id = str(world.tee.pk)
    _call(application, request_bytes(card(tee_id, day_after_history(member, 0)), member.token))
    with counting() as count:
        _call(application, request_bytes(card(tee_id, day_after_history(member, 1)), member.token))
    return count


@contextmanager
def counting() -> Iterator[Count]:
    """Statements as they are sent, BEGIN and COMMIT among them, and rows inserted, updated or deleted."""
    count = Count()
    on_sqlite = connection.vendor == "sqlite"

    def watch(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        result = execute(sql, params, many, context)
        if not on_sqlite and sql.lstrip().startswith(("INSERT", "UPDATE", "DELETE")):
            count.rows_written += context["cursor"].rowcount
        return result

    # SQLite tells the rows of INSERT ... RETURNING only in this running total.
    before = connection.connection.total_changes if on_sqlite else 0
    with CaptureQueriesContext(connection) as captured, connection.execute_wrapper(watch):
        yield count
    count.statements += [query["sql"] for query in captured.captured_queries]
    if on_sqlite:
        count.rows_written = connection.connection.total_changes - before


def _call(application: Any, request: bytes) -> None:
    """One request without a server in between."""
    head, _, body = request.partition(b"\r\n\r\n")
    first, *lines = head.decode().split("\r\n")
    headers = dict(line.split(": ", 1) for line in lines)
    environ = {
        "REQUEST_METHOD": first.split()[0],
        "PATH_INFO": first.split()[1],
        "SERVER_NAME": "localhost",
        "SERVER_PORT": "80",
        "SERVER_PROTOCOL": "HTTP/1.1",
        "REMOTE_ADDR": "127.0.0.1",
        "HTTP_HOST": "localhost",
        "HTTP_AUTHORIZATION": headers["Authorization"],
        "CONTENT_TYPE": headers["Content-Type"],
        "CONTENT_LENGTH": headers["Content-Length"],
        "wsgi.url_scheme": "http",
        "wsgi.input": io.BytesIO(body),
        "wsgi.errors": io.StringIO(),
    }
    status: list[str] = []
    answer = application(environ, lambda line, _headers: status.append(line))
    text = b"".join(answer)
    if not status[0].startswith("201"):
        raise RuntimeError(f"A post was refused: {status[0]} {text.decode()}")
