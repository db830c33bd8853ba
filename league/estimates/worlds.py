"""Simulated golfers with whole histories, whose true level is known: what forecasts are judged on.

Their truth is not of the family that the outlook assumes. Each hole is an ordered logit with the thresholds of the hole
model, harder where the stroke index is low; the day and the tee add effects of their own; scores are whole; dates are
irregular, with a break of 8 to 20 weeks a year. The Handicap Index a golfer starts with is drawn from a gamma
distribution (4.2, 4.6), the length of the history from 8 to 200 rounds, and a quarter each stay as they are, improve,
wander, or change in one step. How widely rounds scatter is the world's: in A 7 % wider than the line fitted to the
odds table, in B a third wider, in C a tenth narrower.

>>> golfer = draw_golfer(WORLDS["A"], seed=11, number=0)
>>> len(golfer.rounds), [played.gross for played in golfer.rounds[:5]]
(75, [108, 95, 88, 89, 92])
"""

import math
from bisect import bisect
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from random import Random
from statistics import fmean

from league.estimates import hole_model
from league.estimates.outlook import Ground, usual_spread
from league.rules.index import WINDOW, calculated_index
from league.rules.strokes import strokes_on_hole

BEGINS = date(2020, 3, 1)
FEWEST, MOST = 8, 200
TEES = 3
HOME_SHARE = 0.6
PARS = (4,) * 10 + (3,) * 4 + (5,) * 4
CAP_BEFORE_INDEX = 5

# A golfer's spread is split between the holes, each on its own, and an effect of the day.
SHARE_OF_HOLES = 0.85
WIDTHS_A_UNIT = 20


@dataclass(frozen=True, slots=True)
class World:
    """`spread` is how widely rounds scatter about the level, as a multiple of what is usual at the level."""

    name: str
    spread: float


WORLDS = {name: World(name, spread) for name, spread in (("A", 1.07), ("B", 1.33), ("C", 0.9))}


@dataclass(frozen=True, slots=True)
class Simulated:
    """A round of eighteen holes, and the truth behind it: the level, and the spread of gross scores about it."""

    day: date
    tee: int
    ground: Ground
    par: int
    gross: int
    capped: int
    level: float
    spread: float

    @property
    def differential(self) -> float:
        return self.ground.differential(self.gross)


@dataclass(frozen=True, slots=True)
class Golfer:
    path: str
    rounds: tuple[Simulated, ...]

    @property
    def is_static(self) -> bool:
        return self.path == "static"


@dataclass(frozen=True, slots=True)
class _Course:
    ground: Ground
    pars: tuple[int, ...]
    stroke_indexes: tuple[int, ...]
    fit: float


def golfers(world: World, seed: int, players: int) -> Iterator[Golfer]:
    """Each golfer depends on the world, the seed and the number alone: more players leave the first as they are."""
    return (draw_golfer(world, seed, number) for number in range(players))


def draw_golfer(world: World, seed: int, number: int) -> Golfer:
    rng = Random(f"{world.name} {seed} {number}")
    index = rng.gammavariate(4.2, 4.6)
    start = index + 0.93 * (2.3 + 0.06 * index)
    count = round(math.exp(rng.uniform(math.log(FEWEST), math.log(MOST))))
    days = _draw_days(rng, count)
    path, levels = _draw_path(rng, start, (days[-1] - days[0]).days // 7 + 1)
    courses = [_draw_course(rng) for _ in range(TEES)]
    usual_slope = fmean(course.ground.slope_rating for course in courses)
    width = _width_for(math.sqrt(SHARE_OF_HOLES) * world.spread * usual_spread(start) * usual_slope / 113, start)
    rounds: list[Simulated] = []
    for day in days:
        tee = 0 if rng.random() < HOME_SHARE else rng.randrange(1, TEES)
        level = min(54.0, max(-4.0, levels[(day - days[0]).days // 7]))
        rounds.append(_draw_round(rng, day, tee, courses[tee], level, width, world.spread, rounds))
    return Golfer(path, tuple(rounds))


def _draw_days(rng: Random, count: int) -> list[date]:
    """One to three weeks apart on average; once a year a long break."""
    every = rng.uniform(5, 20)
    days, day, until_break = [], BEGINS, rng.uniform(60, 250)
    for _ in range(count):
        days.append(day)
        gap = 1 + round(rng.expovariate(1 / every))
        until_break -= gap
        if until_break < 0:
            gap += round(7 * rng.uniform(8, 20))
            until_break = rng.uniform(200, 280)
        day += timedelta(days=gap)
    return days


def _draw_path(rng: Random, start: float, weeks: int) -> tuple[str, list[float]]:
    path = rng.choice(("static", "improving", "wandering", "step"))
    if path == "static":
        return path, hole_model.static(start, weeks)
    if path == "improving":
        return path, hole_model.improving(start, weeks, gain=rng.uniform(3, 9), half_life=rng.uniform(10, 60))
    if path == "wandering":
        return path, hole_model.random_walk(start, weeks, rng=rng)
    change = rng.choice((-1, 1)) * rng.uniform(2, 5)
    return path, hole_model.step(start, weeks, change=change, at=rng.randrange(weeks))


def _draw_course(rng: Random) -> _Course:
    pars = [*PARS]
    for _ in range(rng.randrange(3)):
        pars[pars.index(5)] = 4
    rng.shuffle(pars)
    stroke_indexes = rng.sample(range(1, 19), 18)
    rating = sum(pars) + round(rng.uniform(-2.5, 1.5), 1)
    return _Course(
        Ground(rating, rng.randrange(108, 139)), tuple(pars), tuple(stroke_indexes), hole_model.draw_tee_fit(rng)
    )


def _draw_round(
    rng: Random,
    day: date,
    tee: int,
    course: _Course,
    level: float,
    width: int,
    spread: float,
    before: list[Simulated],
) -> Simulated:
    par = sum(course.pars)
    true_spread = spread * usual_spread(level) * course.ground.slope_rating / 113
    day_spread = math.sqrt(max(0.0, (1 - SHARE_OF_HOLES) * true_spread**2 - hole_model.TEE_FIT**2))
    expected = course.ground.gross(level) - par + course.fit + rng.gauss(0, day_spread)
    base = _base(width, expected)
    caps = _caps(before, course, par)
    gross = capped = 0
    for hole_par, stroke_index, cap in zip(course.pars, course.stroke_indexes, caps, strict=True):
        strokes = hole_par + _draw_over(rng, base, stroke_index, width)
        gross += strokes
        capped += min(strokes, cap)
    return Simulated(day, tee, course.ground, par, gross, capped, level, true_spread)


def _draw_over(rng: Random, base: float, stroke_index: int, width: int) -> int:
    chance = rng.random() or 0.5
    noise = width / WIDTHS_A_UNIT * math.log(chance / (1 - chance))
    return bisect(hole_model.THRESHOLDS, base + _harder(stroke_index) + noise) + hole_model.LOWEST


def _harder(stroke_index: int) -> float:
    return hole_model.HARDEST_ABOVE_MIDDLE * (9.5 - stroke_index) / 8.5


def _caps(before: list[Simulated], course: _Course, par: int) -> list[int]:
    """Net double bogey by the index from the capped scores so far; par + 5 without one."""
    index = index_after(before)
    if index is None:
        return [hole_par + CAP_BEFORE_INDEX for hole_par in course.pars]
    handicap = math.floor(course.ground.gross(index) - par + 0.5)
    return [
        hole_par + 2 + strokes_on_hole(handicap, stroke_index)
        for hole_par, stroke_index in zip(course.pars, course.stroke_indexes, strict=True)
    ]


def index_after(rounds: list[Simulated]) -> float | None:
    """The Handicap Index from the capped scores, by the table alone: no cap on its rise, no exceptional scores."""
    found = calculated_index([round(10 * played.ground.differential(played.capped)) for played in rounds[-WINDOW:]])
    return None if found is None else min(54.0, found / 10)


def _chances_above(base: float, stroke_index: int, width: int) -> list[float]:
    place, scale = base + _harder(stroke_index), width / WIDTHS_A_UNIT
    return [1 / (1 + math.exp((edge - place) / scale)) for edge in hole_model.THRESHOLDS]


@cache
def _table(width: int) -> tuple[tuple[float, float, float], ...]:
    """Base, strokes over par it brings on eighteen holes, and their deviation, from low to high."""
    found = []
    for step in range(-60, 141):
        base, mean, variance = step / 10, 0.0, 0.0
        for stroke_index in range(1, 19):
            above = _chances_above(base, stroke_index, width)
            first = sum(above)
            second = sum((2 * count - 1) * chance for count, chance in enumerate(above, 1))
            mean += first + hole_model.LOWEST
            variance += second - first**2
        found.append((base, mean, math.sqrt(variance)))
    return tuple(found)


def _at(width: int, over: float) -> tuple[float, float]:
    """Base and deviation for so many strokes over par, between the rows of the table."""
    table = _table(width)
    place = min(max(bisect([row[1] for row in table], over), 1), len(table) - 1)
    (base, mean, deviation), (next_base, next_mean, next_deviation) = table[place - 1], table[place]
    share = min(1.0, max(0.0, (over - mean) / (next_mean - mean)))
    return base + share * (next_base - base), deviation + share * (next_deviation - deviation)


def _base(width: int, over: float) -> float:
    return _at(width, over)[0]


def _width_for(deviation: float, over: float) -> int:
    """The width of a hole's noise with which eighteen holes scatter most nearly so, at so many strokes over par."""
    return min(range(6, 45), key=lambda width: abs(_at(width, over)[1] - deviation))
