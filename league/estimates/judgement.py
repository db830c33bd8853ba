"""How good are the outlooks? Forecasts of the next gross score beside plain ones, by proper scores.

Every method sees the rounds before and is asked for the next one's distribution. The discrete CRPS (in strokes) says
how far off; the log score punishes what was thought impossible; the Brier score and the calibration error look at the
chance of the next multiple of five below the recent mean; a randomised probability integral transform (PIT) should be
even, and eight in ten scores should lie in the band of 80 %. Lower is better for all but the band.

>>> round(crps(Normal(0.0, 1.0), 0.0), 6), round(crps(Normal(0.0, 1.0), 2.0), 6)
(0.233695, 1.452792)
"""

import math
from bisect import bisect
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from random import Random
from statistics import fmean, stdev
from typing import Protocol

from league.estimates import student
from league.estimates.outlook import Played, predict, starting, step
from league.estimates.worlds import Golfer, Simulated, index_after

FEWEST_BEFORE = 3
WINDOW = 20
HALF_LIFE = 10
SMALLEST_SPREAD = 1.0
SMALLEST_CHANCE = 1e-6
TAIL = 1e-5
HISTORIES = ((3, 5), (6, 10), (11, 20), (21, 50), (51, 200))
CHANCE_EDGES = (0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.6)
BAND_LOW, BAND_HIGH = 0.1, 0.9


class Distribution(Protocol):
    """Of a gross differential, before the round."""

    def cdf(self, x: float, /) -> float: ...


class Method(Protocol):
    """Sees one golfer's rounds in order; may be asked before each for its distribution."""

    def foretell(self, ahead: Simulated) -> Distribution: ...

    def see(self, played: Simulated) -> None: ...


class Outlook:
    """The product's own: four speeds, and what is learned of the tees."""

    def __init__(self) -> None:
        self.level = starting()

    def foretell(self, ahead: Simulated) -> Distribution:
        return predict(self.level, ahead.day, str(ahead.tee))

    def see(self, played: Simulated) -> None:
        self.level = step(self.level, Played(played.day, played.differential, str(played.tee)))


class OneSpeed:
    """R: the method that the outlook grew from, with one drift for everybody and all tees alike."""

    drift = 0.005

    def __init__(self) -> None:
        self.level = starting(drifts=[self.drift])

    def foretell(self, ahead: Simulated) -> Distribution:
        return predict(self.level, ahead.day)

    def see(self, played: Simulated) -> None:
        self.level = step(self.level, Played(played.day, played.differential))


@dataclass(frozen=True, slots=True)
class Normal:
    mean: float
    spread: float

    def cdf(self, x: float) -> float:
        return 0.5 * math.erfc((self.mean - x) / (self.spread * math.sqrt(2)))


@dataclass(frozen=True, slots=True)
class StudentT:
    middle: float
    scale: float
    freedom: float

    def cdf(self, x: float) -> float:
        return student.cdf((x - self.middle) / self.scale, self.freedom)


@dataclass(frozen=True, slots=True)
class Frequencies:
    """What was, with the weight of half a round spread evenly to ten strokes beyond: nothing near is impossible."""

    ordered: tuple[float, ...]

    def cdf(self, x: float) -> float:
        lowest, highest = self.ordered[0] - 10, self.ordered[-1] + 10
        anywhere = min(1.0, max(0.0, (x - lowest) / (highest - lowest)))
        return (bisect(self.ordered, x) + 0.5 * anywhere) / (len(self.ordered) + 0.5)


class _Remembering:
    def __init__(self) -> None:
        self.rounds: list[Simulated] = []
        self.differentials: list[float] = []

    def see(self, played: Simulated) -> None:
        self.rounds.append(played)
        self.differentials.append(played.differential)


class LastFrequencies(_Remembering):
    """B1: how often it was so in the last twenty."""

    def foretell(self, ahead: Simulated) -> Distribution:
        return Frequencies(tuple(sorted(self.differentials[-WINDOW:])))


class LastNormal(_Remembering):
    """B2: a normal from the last twenty."""

    def foretell(self, ahead: Simulated) -> Distribution:
        return normal_of(self.differentials[-WINDOW:])


class IndexBand(_Remembering):
    """B3: what is usual for the Handicap Index; nothing of the player but the index."""

    def foretell(self, ahead: Simulated) -> Distribution:
        index = index_after(self.rounds)
        if index is None:
            raise ValueError("an index needs three rounds")
        spread = 2.3 + 0.06 * index
        return Normal(index + 0.93 * spread, spread)


class WholeNormal(_Remembering):
    """B4: a normal from all rounds."""

    def foretell(self, ahead: Simulated) -> Distribution:
        return normal_of(self.differentials)


class LastStudent(_Remembering):
    """B5: the textbook's prediction from the last twenty."""

    def foretell(self, ahead: Simulated) -> Distribution:
        recent = self.differentials[-WINDOW:]
        n = len(recent)
        return StudentT(fmean(recent), max(SMALLEST_SPREAD, stdev(recent)) * math.sqrt(1 + 1 / n), n - 1.0)


class Fading(_Remembering):
    """B6: a normal whose weights halve every ten rounds."""

    def foretell(self, ahead: Simulated) -> Distribution:
        weights = [0.5 ** (ago / HALF_LIFE) for ago in range(len(self.differentials))]
        weights.reverse()
        total = sum(weights)
        mean = sum(weight * x for weight, x in zip(weights, self.differentials, strict=True)) / total
        squares = sum(weight * (x - mean) ** 2 for weight, x in zip(weights, self.differentials, strict=True))
        free = total - sum(weight**2 for weight in weights) / total
        return Normal(mean, max(SMALLEST_SPREAD, math.sqrt(squares / free)))


class Knowing:
    """Not a forecast: a normal about the true level, to see how much could be gained at most."""

    def foretell(self, ahead: Simulated) -> Distribution:
        return Normal(ahead.level, ahead.spread * 113 / ahead.ground.slope_rating)

    def see(self, played: Simulated) -> None:
        """It knows already."""


def normal_of(values: Sequence[float]) -> Normal:
    return Normal(fmean(values), max(SMALLEST_SPREAD, stdev(values)))


OURS = "outlook"
METHODS: dict[str, Callable[[], Method]] = {
    "B1 frequency, last 20": LastFrequencies,
    "B2 normal, last 20": LastNormal,
    "B3 band of the index": IndexBand,
    "B4 normal, all rounds": WholeNormal,
    "B5 Student t, last 20": LastStudent,
    "B6 normal, half-life 10": Fading,
    "R  one speed, no tees": OneSpeed,
    OURS: Outlook,
    "(knowing the level)": Knowing,
}


@dataclass(frozen=True, slots=True)
class Mark:
    """One forecast, judged by the round that came."""

    golfer: int
    n_before: int
    is_static: bool
    crps: float
    log: float
    chance: float
    broke: bool
    pit: float

    @property
    def brier(self) -> float:
        return (self.chance - self.broke) ** 2


def crps_whole(at_most: Callable[[int], float], gross: int) -> float:
    """Discrete CRPS: squared distance between the distribution and the score that came, summed over whole scores."""
    total, below = 0.0, gross - 1
    while (chance := at_most(below)) > TAIL:
        total += chance**2
        below -= 1
    above = gross
    while (chance := 1 - at_most(above)) > TAIL:
        total += chance**2
        above += 1
    return total


def crps(distribution: Distribution, value: float, step: float = 1e-3, reach: float = 60.0) -> float:
    """CRPS of a continuous distribution, by the trapezium rule."""
    count = round(reach / step)
    below = [distribution.cdf(value - place * step) ** 2 for place in range(count + 1)]
    above = [(1 - distribution.cdf(value + place * step)) ** 2 for place in range(count + 1)]
    return step * sum(sum(side) - (side[0] + side[-1]) / 2 for side in (below, above))


def barrier_below(scores: Sequence[int]) -> int:
    """The next multiple of five that is at least a stroke below the mean of the last twenty."""
    return 5 * math.floor((fmean(scores[-WINDOW:]) - 1) / 5)


def judge_one(distribution: Distribution, came: Simulated, barrier: int, anywhere: float) -> tuple[float, ...]:
    """CRPS, log score, chance of the barrier, PIT (`anywhere`, 0 to 1, places it within the whole score)."""

    def at_most(gross: int) -> float:
        return distribution.cdf(came.ground.differential(gross + 0.5))

    upper, lower = at_most(came.gross), at_most(came.gross - 1)
    log = -math.log(max(SMALLEST_CHANCE, upper - lower))
    return crps_whole(at_most, came.gross), log, at_most(barrier - 1), lower + anywhere * (upper - lower)


def judge(
    golfers: Iterable[Golfer], seed: int = 0, methods: dict[str, Callable[[], Method]] = METHODS
) -> dict[str, list[Mark]]:
    """Every method's marks for every round after the third; all methods judge the same rounds."""
    marks: dict[str, list[Mark]] = {name: [] for name in methods}
    rng = Random(f"within the whole score {seed}")
    for number, golfer in enumerate(golfers):
        making = {name: make() for name, make in methods.items()}
        scores: list[int] = []
        for came in golfer.rounds:
            if len(scores) >= FEWEST_BEFORE:
                barrier, anywhere = barrier_below(scores), rng.random()
                for name, method in making.items():
                    off, log, chance, pit = judge_one(method.foretell(came), came, barrier, anywhere)
                    broke = came.gross < barrier
                    marks[name].append(Mark(number, len(scores), golfer.is_static, off, log, chance, broke, pit))
            for method in making.values():
                method.see(came)
            scores.append(came.gross)
    return marks


@dataclass(frozen=True, slots=True)
class Verdict:
    """Means over forecasts. `behind` is the CRPS less ours, with the ends of its 95 % interval."""

    n: int
    crps: float
    static: float | None
    drift: float | None
    log: float
    brier: float
    pit_deviation: float
    cover: float
    calibration: float
    behind: tuple[float, float] | None = None


def verdict(marks: Sequence[Mark], behind: tuple[float, float] | None = None) -> Verdict:
    return Verdict(
        n=len(marks),
        crps=fmean(mark.crps for mark in marks),
        static=_mean(mark.crps for mark in marks if mark.is_static),
        drift=_mean(mark.crps for mark in marks if not mark.is_static),
        log=fmean(mark.log for mark in marks),
        brier=fmean(mark.brier for mark in marks),
        pit_deviation=pit_deviation([mark.pit for mark in marks]),
        cover=fmean(BAND_LOW <= mark.pit <= BAND_HIGH for mark in marks),
        calibration=calibration_error(marks),
        behind=behind,
    )


def _mean(values: Iterable[float]) -> float | None:
    listed = list(values)
    return fmean(listed) if listed else None


def pit_deviation(pits: Sequence[float]) -> float:
    """Largest distance between the share of values up to a point and that point: 0 if they are spread evenly."""
    n = len(pits)
    ordered = sorted(pits)
    return max(max((place + 1) / n - pit, pit - place / n) for place, pit in enumerate(ordered))


def calibration_error(marks: Sequence[Mark]) -> float:
    """Mean distance between the chance that was given and how often it came true, over bins of chances."""
    return sum(count * abs(given - came) for count, given, came in reliability(marks)) / len(marks)


def reliability(marks: Sequence[Mark]) -> list[tuple[int, float, float]]:
    """Per bin with anything in it: how many, mean chance given, share that came true."""
    bins: list[list[Mark]] = [[] for _ in range(len(CHANCE_EDGES) + 1)]
    for mark in marks:
        bins[bisect(CHANCE_EDGES, mark.chance)].append(mark)
    return [
        (len(found), fmean(mark.chance for mark in found), fmean(mark.broke for mark in found))
        for found in bins
        if found
    ]


def interval_of_difference(
    theirs: Sequence[Mark], ours: Sequence[Mark], seed: int = 0, draws: int = 1000
) -> tuple[float, float]:
    """95 % interval of the mean CRPS less ours, golfers drawn anew with replacement: their rounds hang together."""
    by_golfer: dict[int, tuple[float, int]] = {}
    for their, our in zip(theirs, ours, strict=True):
        total, count = by_golfer.get(their.golfer, (0.0, 0))
        by_golfer[their.golfer] = total + their.crps - our.crps, count + 1
    golfers = list(by_golfer.values())
    rng = Random(f"golfers anew {seed}")
    means = []
    for _ in range(draws):
        drawn = rng.choices(golfers, k=len(golfers))
        means.append(sum(total for total, _ in drawn) / sum(count for _, count in drawn))
    means.sort()
    return means[round(0.025 * draws)], means[round(0.975 * draws) - 1]


def crps_between(marks: Iterable[Mark], fewest: int, most: int) -> float | None:
    """Mean CRPS of forecasts from so many rounds; None if there are none."""
    return _mean(mark.crps for mark in marks if fewest <= mark.n_before <= most)
