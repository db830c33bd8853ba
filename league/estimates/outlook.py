"""How a player's next score on a tee is likely to fall: a level that drifts slowly, a spread learned from the rounds.

Shrunk local level on gross differentials, (gross - rating) x 113 / slope, not on capped ones: a barrier is a gross
score. The level starts wide and moves by a share of each round's surprise; the spread starts at what is usual for such
a level (a line fitted to the governing body's odds table) and is learned. How fast the level drifts is learned too:
four speeds run side by side, from none upward, and weigh by how well each foretold the rounds so far. A set of tees
that suits a player less than its rating says shows after some rounds there. What is forecast is the level, not effort,
and no improvement is assumed.

Four speeds and the tees were kept because they won on fresh seeds (see the command `judge_outlook`), most where one
speed alone was weak: players who stay as they are, and records beyond 50 rounds. Tried on simulated players and
dropped, because they won nothing more or lost elsewhere: one speed of 0, 0.0025 or 0.01 a week for
all; three speeds up to 0.02; weights that forget; other limits of surprise (2.5 and 4); the mixture of the four in
place of one distribution with their mean and variance; tees held against the first one played; tees with all
covariances; a lighter usual spread (5, 8 or 10 rounds) and two or three widths of it side by side, which cover better
where rounds are a third wilder than usual (0.78 in place of 0.77 by the band of 80 %) and are worse elsewhere. So for
wild players the band still holds a little less than it says.

>>> from datetime import timedelta
>>> rounds = [Played(date(2024, 3, 3) + timedelta(days=7 * n), 25.0 + n % 3) for n in range(8)]
>>> level = level_of(rounds)
>>> next_score = predict(level, date(2024, 4, 28))
>>> round(level.mean, 2), round(chance(next_score, Ground(70.4, 121), 100), 3)
(25.76, 0.67)
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from typing import Any

from league.estimates.student import TwoPiece, mean_distance

DRIFTS = (0.0, 0.0025, 0.005, 0.01)
"""Speeds: how much the level's variance grows a week, in units of the round's variance."""
TEE_VARIANCE = 0.02
"""How widely sets of tees suit a player better or worse than their rating says, in the same units.

Half of what the simulated players have: there it costs nothing, and where all tees suited alike it would lose only what
the four speeds win; 0.04 would lose twice that.
"""
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

Speed = Sequence[float]
"""Drift a week, logarithm of its weight, and the level's mean, variance and sum of squared surprises at this speed."""


@dataclass(frozen=True, slots=True)
class Played:
    """One eighteen-hole round: the day, its gross differential in strokes, and a key of the set of tees, if told."""

    day: date
    differential: float
    tee: str | None = None


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
    """Where a player stands, in strokes of differential: all speeds weighed together.

    `variance` is the level's on the day of the last round, in units of the round's variance; `surprises` sums the
    squared standardised surprises; `gaps` are the last weeks between rounds. `speeds` is empty while they do not
    differ. `tees` has, by key, by how much a set of tees is harder for the player than rated, and the variance of that.
    """

    mean: float = START_LEVEL
    variance: float = START_VARIANCE
    surprises: float = 0.0
    n: int = 0
    last: date | None = None
    gaps: Sequence[float] = ()
    last_surprise: float = 0.0
    speeds: Sequence[Speed] = ()
    tees: Mapping[str, Sequence[float]] = field(default_factory=dict)

    def as_plain(self) -> dict[str, Any]:
        """Plain values for keeping; `from_plain` reads them back."""
        plain = {each.name: getattr(self, each.name) for each in fields(self)}
        plain["last"] = self.last.isoformat() if self.last else None
        for name in ("gaps", "speeds"):
            plain[name] = [list(one) if isinstance(one, tuple) else one for one in plain[name]]
        plain["tees"] = {key: list(fit) for key, fit in self.tees.items()}
        return plain

    @staticmethod
    def from_plain(plain: Mapping[str, Any]) -> "Level":
        last = plain["last"]
        return Level(**{**plain, "last": date.fromisoformat(last) if last else None})

    @property
    def n_learned(self) -> int:
        """Rounds from which the spread was learned: all but the first."""
        return max(0, self.n - 1)

    @property
    def round_variance(self) -> float:
        """The shrunk variance of a round about the level."""
        return _round_variance(self.mean, self.surprises, self.n_learned)

    def standard_error(self, day: date) -> float:
        """Of the level on a day, in strokes of differential."""
        return math.sqrt(_at(self, day, None).level_variance)

    def usual_on(self, tee: str | None) -> float:
        """The expected differential on a set of tees."""
        return self.mean + _fit_of(self, tee)[0]

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


def starting(mean: float = START_LEVEL, drifts: Sequence[float] = DRIFTS) -> Level:
    """Before the first round. `mean` is 20 or the mean of the player's group."""
    return Level(mean, speeds=tuple((drift, 0.0, mean, START_VARIANCE, 0.0) for drift in drifts))


def _round_variance(mean: float, surprises: float, n_learned: int) -> float:
    return (PRIOR_ROUNDS * usual_spread(mean) ** 2 + surprises) / (PRIOR_ROUNDS + n_learned)


def _fit_of(level: Level, tee: str | None) -> Sequence[float]:
    return (0.0, 0.0) if tee is None else level.tees.get(tee, (0.0, TEE_VARIANCE))


@dataclass(frozen=True, slots=True)
class _Ahead:
    """What a level expects of a day, before the round. By speed: share of the weight, level's variance, round's."""

    speeds: Sequence[Speed]
    shares: Sequence[float]
    before: Sequence[float]
    rounds: Sequence[float]
    mean: float
    tee_variance: float

    @property
    def level_variance(self) -> float:
        """In squared strokes: of each speed's level, and between them."""
        return sum(
            share * (of_round * before + (speed[2] - self.mean) ** 2)
            for share, of_round, before, speed in zip(self.shares, self.rounds, self.before, self.speeds, strict=True)
        )

    @property
    def total_variance(self) -> float:
        """In squared strokes: of the level, the tees and the round."""
        of_round = sum(share * variance for share, variance in zip(self.shares, self.rounds, strict=True))
        return self.level_variance + (1 + self.tee_variance) * of_round


def _at(level: Level, day: date, tee: str | None) -> _Ahead:
    weeks, learned = weeks_between(level.last, day), level.n_learned
    speeds = level.speeds or [(drift, 0.0, level.mean, level.variance, level.surprises) for drift in DRIFTS]
    shares = _shares([speed[1] for speed in speeds])
    return _Ahead(
        speeds=speeds,
        shares=shares,
        before=[speed[3] + speed[0] * weeks for speed in speeds],
        rounds=[_round_variance(speed[2], speed[4], learned) for speed in speeds],
        mean=sum(share * speed[2] for share, speed in zip(shares, speeds, strict=True)),
        tee_variance=_fit_of(level, tee)[1],
    )


def _shares(logs: Sequence[float]) -> list[float]:
    top = max(logs)
    weights = [math.exp(log - top) for log in logs]
    total = sum(weights)
    return [weight / total for weight in weights]


def step(level: Level, played: Played) -> Level:
    """The level after one more round."""
    ahead = _at(level, played.day, played.tee)
    offset, tee_variance = _fit_of(level, played.tee)
    differential = played.differential - offset
    freedom = PRIOR_ROUNDS + level.n_learned
    speeds, pull, left = [], 0.0, 0.0
    for speed, share, before, of_round in zip(ahead.speeds, ahead.shares, ahead.before, ahead.rounds, strict=True):
        drift, log, mean, _, surprises = speed
        total = before + tee_variance + 1
        surprise = _limited(differential - mean, of_round * total)
        log -= 0.5 * math.log(of_round * total)
        log -= (freedom + 1) / 2 * math.log1p((differential - mean) ** 2 / (of_round * total * freedom))
        gain = before / total
        learned = surprises + (surprise**2 / total if level.n else 0.0)
        speeds.append((drift, log, mean + gain * surprise, before - gain * before, learned))
        pull += share * tee_variance / total * surprise
        left += share * (tee_variance - tee_variance**2 / total)
    total_variance = ahead.total_variance
    gaps = level.gaps if level.last is None else (*level.gaps, (played.day - level.last).days / 7)
    return _weighed(
        speeds,
        n=level.n + 1,
        last=played.day,
        gaps=gaps[-GAPS_REMEMBERED:],
        last_surprise=_limited(differential - ahead.mean, total_variance) / math.sqrt(total_variance),
        tees=level.tees if played.tee is None else {**level.tees, played.tee: (offset + pull, left)},
    )


def _limited(surprise: float, variance: float) -> float:
    limit = LARGEST_SURPRISE * math.sqrt(variance)
    return max(-limit, min(limit, surprise))


def _weighed(
    speeds: Sequence[Speed],
    *,
    n: int,
    last: date,
    gaps: Sequence[float],
    last_surprise: float,
    tees: Mapping[str, Sequence[float]],
) -> Level:
    """All speeds together, the heaviest with a weight of 1, so that the logarithms stay small."""
    top = max(speed[1] for speed in speeds)
    kept = tuple((drift, log - top, *rest) for drift, log, *rest in speeds)
    shares = _shares([speed[1] for speed in kept])

    def together(place: int) -> float:
        return sum(share * speed[place] for share, speed in zip(shares, kept, strict=True))

    mean, surprises = together(2), together(4)
    between = sum(share * (speed[2] - mean) ** 2 for share, speed in zip(shares, kept, strict=True))
    variance = together(3) + between / _round_variance(mean, surprises, n - 1)
    return Level(mean, variance, surprises, n, last, gaps, last_surprise, kept, tees)


def level_of(rounds: Iterable[Played], start: float = START_LEVEL, drifts: Sequence[float] = DRIFTS) -> Level:
    """The level after all rounds in order of play; `start` is 20 or the mean of the player's group."""
    level = starting(start, drifts)
    for played in rounds:
        level = step(level, played)
    return level


def levels_of(rounds: Iterable[Played], start: float = START_LEVEL) -> list[Level]:
    """The level after each round, for the picture of progress."""
    found, level = [], starting(start)
    for played in rounds:
        level = step(level, played)
        found.append(level)
    return found


def predict(level: Level, day: date, tee: str | None = None) -> TwoPiece:
    """The distribution of the gross differential of a round on that day, on a set of tees or on none in particular.

    It has the mean and the variance of all speeds together.
    """
    ahead = _at(level, day, tee)
    freedom = float(PRIOR_ROUNDS + level.n_learned)
    scale = math.sqrt(ahead.total_variance)
    mode = level.usual_on(tee) - 2 * SKEW * scale * mean_distance(freedom)
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
