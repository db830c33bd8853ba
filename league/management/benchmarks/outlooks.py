"""Outlooks and the group's overview: a group of sixty, beside the one-file prototype and a table read with pandas."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

import pandas
from django.db import connection
from django.test.utils import CaptureQueriesContext

from league.estimates import outlook
from league.estimates.outlook import Ground, Played
from league.estimates.student import TwoPiece, mean_distance
from league.management.benchmarks.lines import Figure, Line, Target, interleaved, ratios
from league.management.benchmarks.world import World, give_history, new_player, new_world
from league.models import Player, Role, Round
from league.reports import progress

BARRIERS = (110, 100, 95, 90, 85)
GROUND = Ground(71.2, 125)


@dataclass(frozen=True)
class Sizes:
    players: int = 60
    rounds: int = 100
    passes: int = 5


def forecast(sizes: Sizes) -> Iterable[Line]:
    """Five odds for everybody: from kept levels as pages do it, and worked out anew as the worker does it."""
    histories = [_history(number, sizes.rounds) for number in range(sizes.players)]
    levels = [outlook.level_of(history) for history in histories]
    day = histories[0][-1].day + timedelta(days=7)

    def kept() -> None:
        for level in levels:
            next_score = outlook.predict(level, day)
            for barrier in BARRIERS:
                outlook.chance(next_score, GROUND, barrier)

    def anew() -> None:
        for history in histories:
            next_score = outlook.predict(outlook.level_of(history), day)
            for barrier in BARRIERS:
                outlook.chance(next_score, GROUND, barrier)

    taken = interleaved(sizes.passes, {"prototype": lambda: _prototype(histories), "kept": kept, "anew": anew})
    figures = [
        Figure("x_prototype", ratios(taken["kept"], taken["prototype"]), Target(at_most=3)),
        Figure("x_prototype_anew", ratios(taken["anew"], taken["prototype"])),
        Figure("ms", [1000 * one for one in taken["kept"]]),
    ]
    yield Line(f"forecast{sizes.players}", figures, "kept levels, as on a page; anew, as in the worker")


def _history(seed: int, count: int) -> list[Played]:
    random, first = Random(seed), date(2024, 1, 6)
    return [Played(first + timedelta(days=7 * n), random.gauss(20 + seed % 15, 3.5)) for n in range(count)]


def _prototype(histories: Sequence[Sequence[Played]]) -> None:
    """The published method at one speed of drift, written down in one piece; the product learns the speed."""
    for history in histories:
        mean, variance, surprises, n, last = 20.0, 6.0, 0.0, 0, history[0].day
        for played in history:
            before = variance + 0.005 * (played.day - last).days / 7
            total, learned = before + 1, max(0, n - 1)
            usual = min(6.0, max(1.8, 2.2 + 0.057 * mean))
            spread = (15 * usual * usual + surprises) / (15 + learned)
            limit = 3 * math.sqrt(spread * total)
            surprise = max(-limit, min(limit, played.differential - mean))
            variance = before / total
            mean += variance * surprise
            surprises += surprise * surprise / total if n else 0.0
            n, last = n + 1, played.day
        usual = min(6.0, max(1.8, 2.2 + 0.057 * mean))
        scale = math.sqrt((15 * usual * usual + surprises) / (14 + n) * (variance + 1.005))
        freedom = 14.0 + n
        ahead = TwoPiece(mean - 0.12 * scale * mean_distance(freedom), 0.94 * scale, 1.06 * scale, freedom)
        for barrier in BARRIERS:
            ahead.cdf(GROUND.differential(barrier - 0.5))


def dashboard(sizes: Sizes) -> Iterable[Line]:
    """The group's strip beside a pandas reading of the same rows, in process."""
    world = new_world()
    reader = new_player(world, "Strip reader", role=Role.ORGANISER)
    names = {reader.pk: reader.name}
    for number in range(1, sizes.players):
        member = new_player(world, f"Strip member {number}")
        names[member.pk] = member.name
        give_history(world, member, sizes.rounds, seed=number)

    def ours() -> None:
        progress.group_strip(world.group, reader, names)

    taken = interleaved(sizes.passes, {"ours": ours, "pandas": lambda: _with_pandas(world, reader)})
    with CaptureQueriesContext(connection) as statements:
        ours()
    figures = [
        Figure("x_pandas", ratios(taken["pandas"], taken["ours"]), Target(at_least=4)),
        Figure("sql", [len(statements)]),
        Figure("ms", [1000 * one for one in taken["ours"]]),
    ]
    yield Line(f"dashboard{sizes.players}", figures)


def _with_pandas(world: World, reader: Player) -> object:
    """The same ten scores a player, their band and last one, by a frame of all rounds."""
    rounds = Round.objects.filter(player__memberships__group=world.group).values("player_id", "played_on", "gross")
    frame = pandas.DataFrame.from_records(list(rounds))
    recent = frame.sort_values(["player_id", "played_on"]).groupby("player_id").tail(10)
    return recent.groupby("player_id")["gross"].agg(["last", "mean", "min", "max"])
