"""Said and happened: outlooks that met their round, gathered by what they said, beside plainer ways.

Nothing is said of fewer than thirty outlooks, and no class is shown that holds fewer than eight.

>>> expected_range(0.25, 40)
(0.15, 0.375)
"""

import math
from bisect import bisect
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from league.estimates.judgement import BAND_HIGH, BAND_LOW, CHANCE_EDGES, Mark, interval_of_difference

FEWEST_OUTLOOKS, FEWEST_IN_CLASS = 30, 8
SHARE_INSIDE = 0.9
EXACT_UP_TO = 400


@dataclass(frozen=True, slots=True)
class Class:
    """Outlooks that said about the same: mean chance said, share that came true, and where it should lie if right."""

    said: float
    happened: float
    low: float
    high: float
    n: int


@dataclass(frozen=True, slots=True)
class Way:
    """One way of foretelling over the same rounds. `low` to `high`: CRPS less ours, 95 %; None for ours."""

    name: str
    crps: float
    brier: float
    cover: float
    low: float | None
    high: float | None


def classes(marks: Sequence[Mark]) -> tuple[Class, ...]:
    """By chance said, lowest first; classes with too few outlooks are joined to the one below."""
    bins: list[list[Mark]] = [[] for _ in range(len(CHANCE_EDGES) + 1)]
    for mark in marks:
        bins[bisect(CHANCE_EDGES, mark.chance)].append(mark)
    joined: list[list[Mark]] = []
    for found in bins:
        if joined and (len(joined[-1]) < FEWEST_IN_CLASS or 0 < len(found) < FEWEST_IN_CLASS):
            joined[-1] += found
        elif found:
            joined.append(list(found))
    return tuple(_class(found) for found in joined if len(found) >= FEWEST_IN_CLASS)


def _class(found: Sequence[Mark]) -> Class:
    said = fmean(mark.chance for mark in found)
    low, high = expected_range(said, len(found))
    return Class(said, fmean(mark.broke for mark in found), low, high, len(found))


def expected_range(chance: float, n: int) -> tuple[float, float]:
    """Where the share of n that comes true lies nine times in ten, if the chance is right."""
    tail = (1 - SHARE_INSIDE) / 2
    if n > EXACT_UP_TO:
        reach = 1.645 * math.sqrt(chance * (1 - chance) / n)
        return max(0.0, chance - reach), min(1.0, chance + reach)
    total, low = 0.0, None
    for count in range(n + 1):
        total += math.comb(n, count) * chance**count * (1 - chance) ** (n - count)
        if low is None and total >= tail:
            low = count
        if total >= 1 - tail:
            return (low or 0) / n, count / n
    return (low or 0) / n, 1.0


def band_cover(marks: Sequence[Mark]) -> Class:
    """How often the round fell into the band that should hold four in five."""
    share = fmean(BAND_LOW <= mark.pit <= BAND_HIGH for mark in marks)
    low, high = expected_range(BAND_HIGH - BAND_LOW, len(marks))
    return Class(BAND_HIGH - BAND_LOW, share, low, high, len(marks))


def ways(marks: dict[str, list[Mark]], ours: str) -> tuple[Way, ...]:
    """Every way beside ours, ours first; the intervals draw players anew."""
    found = [_way(ours, marks[ours], None)]
    for name, theirs in marks.items():
        if name != ours:
            found.append(_way(name, theirs, interval_of_difference(theirs, marks[ours])))
    return tuple(found)


def _way(name: str, marks: Sequence[Mark], behind: tuple[float, float] | None) -> Way:
    return Way(
        name=name.strip(),
        crps=fmean(mark.crps for mark in marks),
        brier=fmean(mark.brier for mark in marks),
        cover=fmean(BAND_LOW <= mark.pit <= BAND_HIGH for mark in marks),
        low=behind[0] if behind else None,
        high=behind[1] if behind else None,
    )
