"""The comparison side: the same index as `league.rules.index.rebuild`, written the way textbooks do.

Only the benchmark uses these. `by_fractions` is the exact reference; the other two show what plain Decimal arithmetic
and a data frame's row loop cost, and both round wrongly in places. Every form takes the lowest value of the last 365
days from a list of all values issued (Rule 5.7) and follows Rules 5.1 to 5.3, 5.8 and 5.9.
"""

import math
from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from random import Random

import pandas as pd

# Day number, adjusted gross, rating in tenths, slope rating, playing conditions.
Bare = tuple[int, int, int, int, int]
# For so many scores: how many of the lowest are averaged, and the adjustment in strokes (Rule 5.2a).
LOWEST = {
    3: (1, -2),
    4: (1, -1),
    5: (1, 0),
    6: (2, -1),
    7: (2, 0),
    8: (2, 0),
    9: (3, 0),
    10: (3, 0),
    11: (3, 0),
    12: (4, 0),
    13: (4, 0),
    14: (4, 0),
    15: (5, 0),
    16: (5, 0),
    17: (6, 0),
    18: (6, 0),
    19: (7, 0),
    20: (8, 0),
}
TENTH = Decimal("0.1")


def bare_history(seed: int, length: int) -> list[Bare]:
    """A made-up player's 18-hole scores, oldest first; levels from plus to high, now and then a very good day."""
    random = Random(seed)
    level, day = random.randint(-4, 45), 737_000 + random.randint(0, 300)
    tees = [(random.randint(660, 769), random.randint(90, 150)) for _ in range(3)]
    rounds = []
    for _ in range(length):
        day += random.choice((0, 1, 3, 4, 7, 7, 14))
        level = max(-6, min(54, level + random.choice((-1, 0, 0, 0, 1))))
        rating, slope = random.choice(tees)
        over = round(level * slope / 113) + random.choice((-3, -1, 0, 1, 2, 3, 4, 6, 9)) - 12 * (random.random() < 0.02)
        rounds.append((day, max(40, rating // 10 + over), rating, slope, random.choice((0, 0, 0, 0, -1, 1, 2, 3))))
    return rounds


def up_to_tenths(value: Fraction) -> Fraction:
    """The nearest tenth, halves upward (Rule 5.1c)."""
    return Fraction(math.floor(10 * value + Fraction(1, 2)), 10)


def by_fractions(rounds: Sequence[Bare]) -> tuple[list[int], list[int | None]]:
    """Differentials and indexes in tenths, each computed as a fraction and rounded where the rules say so."""
    window: list[Fraction] = []
    differentials: list[int] = []
    indexes: list[int | None] = []
    issued: list[tuple[int, int]] = []
    low: Fraction | None = None
    today, in_force = -1, None
    value: Fraction | None = None
    for day, gross, rating, slope, conditions in rounds:
        if day != today:
            today, in_force = day, value
        exact = Fraction(113, slope) * (gross - Fraction(rating, 10) - conditions)
        differentials.append(int(10 * up_to_tenths(exact)))
        window = [*window, up_to_tenths(exact)][-20:]
        if in_force is not None and in_force - exact >= 7:
            less = 2 if in_force - exact >= 10 else 1
            window = [differential - less for differential in window]
        if len(window) >= 3:
            count, adjustment = LOWEST[len(window)]
            value = up_to_tenths(sum(sorted(window)[:count], Fraction()) / count + adjustment)
            if low is not None and value - low > 3:
                value = up_to_tenths(min(low + 3 + (value - low - 3) / 2, low + 5))
            value = min(value, Fraction(54))
            issued.append((day + 1, int(10 * value)))
        if len(window) == 20:
            low = Fraction(min(old for when, old in issued if when >= day - 365), 10)
        indexes.append(None if value is None else int(10 * value))
    return differentials, indexes


def by_decimal(rounds: Sequence[Bare]) -> list[int | None]:
    """The textbook: 113 / slope first, ROUND_HALF_UP at each rounding; so some halves come out wrong."""
    window: list[Decimal] = []
    indexes: list[int | None] = []
    issued: list[tuple[int, Decimal]] = []
    low: Decimal | None = None
    today, in_force = -1, None
    value: Decimal | None = None
    for day, gross, rating, slope, conditions in rounds:
        if day != today:
            today, in_force = day, value
        unrounded = (Decimal(113) / slope) * (gross - Decimal(rating) / 10 - conditions)
        window = [*window, unrounded.quantize(TENTH, ROUND_HALF_UP)][-20:]
        if in_force is not None and in_force - unrounded >= 7:
            less = 2 if in_force - unrounded >= 10 else 1
            window = [differential - less for differential in window]
        if len(window) >= 3:
            count, adjustment = LOWEST[len(window)]
            mean = sum(sorted(window)[:count], Decimal()) / count + adjustment
            value = mean.quantize(TENTH, ROUND_HALF_UP)
            if low is not None and value - low > 3:
                soft = low + 3 + (value - low - 3) / 2
                value = min(soft, low + 5).quantize(TENTH, ROUND_HALF_UP)
            value = min(value, Decimal(54))
            issued.append((day + 1, value))
        if len(window) == 20:
            low = min(old for when, old in issued if when >= day - 365)
        indexes.append(None if value is None else int(10 * value))
    return indexes


def as_frame(histories: Sequence[Sequence[Bare]]) -> pd.DataFrame:
    """One row for each round, strokes as floats, as a spreadsheet would hand them over."""
    rows = [
        (player, day, gross, rating / 10, slope, conditions)
        for player, rounds in enumerate(histories)
        for day, gross, rating, slope, conditions in rounds
    ]
    return pd.DataFrame(rows, columns=["player", "day", "gross", "rating", "slope", "conditions"])


def by_apply(frame: pd.DataFrame) -> Iterator[float]:
    """pandas groupby-apply with a loop over each player's rows: floats, and `round` to tenths."""
    for values in frame.groupby("player").apply(_one_group):
        yield from values


def _one_group(rows: pd.DataFrame) -> list[float]:
    window: list[float] = []
    indexes: list[float] = []
    issued: list[tuple[int, float]] = []
    low: float | None = None
    today, in_force = -1, None
    value: float | None = None
    for _, row in rows.iterrows():
        day = int(row["day"])
        if day != today:
            today, in_force = day, value
        unrounded = 113 / row["slope"] * (row["gross"] - row["rating"] - row["conditions"])
        window = [*window, round(unrounded, 1)][-20:]
        if in_force is not None and in_force - unrounded >= 7:
            less = 2 if in_force - unrounded >= 10 else 1
            window = [differential - less for differential in window]
        if len(window) >= 3:
            count, adjustment = LOWEST[len(window)]
            value = round(sum(sorted(window)[:count]) / count + adjustment, 1)
            if low is not None and value - low > 3:
                value = round(min(low + 3 + (value - low - 3) / 2, low + 5), 1)
            value = min(value, 54.0)
            issued.append((day + 1, value))
        if len(window) == 20:
            low = min(old for when, old in issued if when >= day - 365)
        indexes.append(math.nan if value is None else value)
    return indexes
