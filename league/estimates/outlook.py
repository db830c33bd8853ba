"""How a player's next score on a tee is likely to fall: a level that drifts slowly, a spread learned from the rounds.

Shrunk local level on gross differentials, (gross - rating) x 113 / slope, not on capped ones: a barrier is a gross
score. The level starts wide and moves by a share of each round's surprise; the spread starts at what is usual for such
a level (a line fitted to the governing body's odds table) and is learned. What is forecast is the level, not effort,
and no improvement is assumed.

>>> from datetime import timedelta
>>> rounds = [Played(date(2024, 3, 3) + timedelta(days=7 * n), 25.0 + n % 3) for n in range(8)]
>>> level = level_of(rounds)
>>> next_score = predict(level, date(2024, 4, 28))
>>> round(level.mean, 2), round(chance(next_score, Ground(70.4, 121), 100), 3)
(25.76, 0.67)
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from league.estimates.student import TwoPiece, mean_distance

DRIFT_A_WEEK = 0.005
"""How much the level's variance grows a week, in units of the round's variance."""
PRIOR_ROUNDS = 15
"""How many rounds the usual spread is worth against the player's own."""
START_LEVEL, START_VARIANCE = 20.0, 6.0
LARGEST_SURPRISE = 3.0
SKEW = 0.06
LONGEST_GAP_WEEKS = 26.0
FEWEST_ROUNDS = 3
MOST_ROUNDS_AHEAD = 20
GAPS_REMEMBERED = 20
DOTS = 20


@dataclass(frozen=True, slots=True)
class Played:
    """One eighteen-hole round: the day, and its gross differential in strokes."""

    day: date
    differential: float


@dataclass(frozen=True, slots=True)
class Ground:
    """A tee as the outlook needs it."""

    course_rating: float
    slope_rating: int

    def differential(self, gross: float) -> float:
        return (gross - self.course_rating) * 113 / self.slope_rating

    def gross(self, differential: float) -> float:
        return self.course_rating + differential * self.slope_rating / 113


@dataclass(frozen=True, slots=True)
class Level:
    """Where a player stands, in strokes of differential. `variance` is the level's, in units of the round's variance.

    `surprises` sums the squared standardised surprises; `gaps` are the last weeks between rounds.
    """

    mean: float = START_LEVEL
    variance: float = START_VARIANCE
    surprises: float = 0.0
    n: int = 0
    last: date | None = None
    gaps: tuple[float, ...] = ()
    last_surprise: float = 0.0

    def as_plain(self) -> dict[str, object]:
        """Plain values for keeping; `from_plain` reads them back."""
        return {**asdict(self), "last": self.last.isoformat() if self.last else None, "gaps": list(self.gaps)}

    @staticmethod
    def from_plain(plain: Mapping[str, Any]) -> "Level":
        last = plain["last"]
        day = date.fromisoformat(last) if last else None
        return Level(**{**plain, "last": day, "gaps": tuple(plain["gaps"])})

    @property
    def n_learned(self) -> int:
        """Rounds from which the spread was learned: all but the first."""
        return max(0, self.n - 1)

    @property
    def round_variance(self) -> float:
        """The shrunk variance of a round about the level."""
        usual = usual_spread(self.mean) ** 2
        return (PRIOR_ROUNDS * usual + self.surprises) / (PRIOR_ROUNDS + self.n_learned)

    def standard_error(self, day: date) -> float:
        """Of the level on a day, in strokes of differential."""
        drift = DRIFT_A_WEEK * weeks_between(self.last, day)
        return math.sqrt(self.round_variance * (self.variance + drift))

    @property
    def mean_gap_weeks(self) -> float | None:
        """Between rounds, over the last twenty; the mean, since by it the median week comes true."""
        return sum(self.gaps) / len(self.gaps) if self.gaps else None


def usual_spread(level: float) -> float:
    """Standard deviation of rounds at this level (expected differential): fitted to the published odds table."""
    return min(6.0, max(1.8, 2.2 + 0.057 * level))


def weeks_between(earlier: date | None, later: date) -> float:
    """Weeks of drift between two days: none before the first round, never more than half a year."""
    if earlier is None:
        return 0.0
    return min(LONGEST_GAP_WEEKS, max(0, (later - earlier).days) / 7)


def step(level: Level, played: Played) -> Level:
    """The level after one more round."""
    weeks = weeks_between(level.last, played.day)
    before = level.variance + DRIFT_A_WEEK * weeks
    total = before + 1
    limit = LARGEST_SURPRISE * math.sqrt(level.round_variance * total)
    surprise = max(-limit, min(limit, played.differential - level.mean))
    gain = before / total
    gaps = level.gaps if level.last is None else (*level.gaps, (played.day - level.last).days / 7)
    return Level(
        mean=level.mean + gain * surprise,
        variance=gain,
        surprises=level.surprises + (surprise**2 / total if level.n else 0.0),
        n=level.n + 1,
        last=played.day,
        gaps=gaps[-GAPS_REMEMBERED:],
        last_surprise=surprise / math.sqrt(level.round_variance * total),
    )


def level_of(rounds: Iterable[Played], start: float = START_LEVEL) -> Level:
    """The level after all rounds in order of play; `start` is 20 or the mean of the player's group."""
    level = Level(mean=start)
    for played in rounds:
        level = step(level, played)
    return level


def levels_of(rounds: Iterable[Played], start: float = START_LEVEL) -> list[Level]:
    """The level after each round, for the picture of progress."""
    found, level = [], Level(mean=start)
    for played in rounds:
        level = step(level, played)
        found.append(level)
    return found


def predict(level: Level, day: date) -> TwoPiece:
    """The distribution of the gross differential of a round on that day."""
    total = level.variance + DRIFT_A_WEEK * weeks_between(level.last, day) + 1
    freedom = float(PRIOR_ROUNDS + level.n_learned)
    scale = math.sqrt(level.round_variance * total)
    mode = level.mean - 2 * SKEW * scale * mean_distance(freedom)
    return TwoPiece(mode, scale * (1 - SKEW), scale * (1 + SKEW), freedom)


def chance(next_score: TwoPiece, ground: Ground, barrier: int) -> float:
    """Probability that the next gross score on this tee is under the barrier; scores are whole, hence the half."""
    return next_score.cdf(ground.differential(barrier - 0.5))


def chance_within(once: float, rounds: int) -> float:
    """Probability of at least one in so many rounds, each with the same chance."""
    return 1 - (1 - once) ** rounds


def median_rounds(once: float) -> int | None:
    """The number of rounds by which it has happened as likely as not; None for more than is ever said."""
    if once >= 0.5:
        return 1
    if once <= 0:
        return None
    rounds = math.ceil(math.log(0.5) / math.log1p(-once))
    return rounds if rounds <= MOST_ROUNDS_AHEAD else None


def dots(next_score: TwoPiece, ground: Ground) -> tuple[int, ...]:
    """Twenty equally likely next scores, whole and in ascending order."""
    shares = ((place - 0.5) / DOTS for place in range(1, DOTS + 1))
    return tuple(math.floor(ground.gross(next_score.quantile(share)) + 0.5) for share in shares)


@dataclass(frozen=True, slots=True)
class Spoken:
    """A chance as it may be said from so many rounds. `percent` is None while only words are honest."""

    words: str
    percent: int | None


def spoken(probability: float, n: int) -> Spoken:
    """From 3 rounds words, from 10 the nearest five per cent, from 20 whole per cent; never below 1 or above 99."""
    if n < FEWEST_ROUNDS:
        raise ValueError("nothing personal is said from fewer than three rounds")
    whole = min(99, max(1, math.floor(100 * probability + 0.5)))
    if n < 10:
        return Spoken(_in_words(probability), None)
    if n < 20:
        whole = min(95, max(5, 5 * math.floor(20 * probability + 0.5)))
    return Spoken(f"{whole} %", whole)


PHRASES = (
    (0.02, "hardly ever"),
    (0.075, "about 1 in 20"),
    (0.15, "about 1 in 10"),
    (0.225, "about 1 in 5"),
    (0.29, "about 1 in 4"),
    (0.415, "about 1 in 3"),
    (0.585, "about 1 in 2"),
    (0.71, "about 2 in 3"),
    (0.775, "about 3 in 4"),
    (0.85, "about 4 in 5"),
    (0.925, "about 9 in 10"),
    (0.98, "about 19 in 20"),
)


def _in_words(probability: float) -> str:
    for limit, phrase in PHRASES:
        if probability < limit:
            return phrase
    return "nearly always"
