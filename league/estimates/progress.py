"""Has the level changed, or was it luck? What a surprising round is worth, and how far the barrier is.

Nothing here looks ahead: no trend is drawn into the future and nothing is promised.

>>> from datetime import date
>>> told = one_round(Level(mean=20.0, variance=0.07, n=30, last=date(2024, 5, 1)), Played(date(2024, 5, 8), 12.0))
>>> told.words
'expect seven and a half of those eight strokes back'
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean

from league.estimates import words
from league.estimates.outlook import Ground, Level, Played, level_of, step

CLASSIC = (100, 90, 80)
"""Barriers spoken of to somebody who has set none (common practice)."""
ALLOWANCE, LIMIT = 0.5, 5.0
"""Of the cusum, in standard deviations."""
ROUNDS_BETWEEN_FALSE_ALARMS = 464
"""With that allowance and limit, both sides watched, while nothing changes; from simulation, within 2 %."""
SAME_CHANGE = 20
LATELY = 5
NOTABLE = 2.0
"""Standard errors beyond which the last rounds differ from those before by more than luck usually does."""
WORTH_SAYING = 2.0
"""Strokes of surprise below which a round is simply as expected."""


@dataclass(frozen=True, slots=True)
class Cusum:
    """Surprises summed on either side, less the allowance. Better is lower: `better` sums scores under the level."""

    better: float = 0.0
    worse: float = 0.0

    def after(self, surprise: float) -> "Cusum":
        """One more round, its surprise in standard deviations. After an alarm both sums start anew."""
        begun = Cusum() if self.alarm else self
        return Cusum(
            max(0.0, begun.better - surprise - ALLOWANCE),
            max(0.0, begun.worse + surprise - ALLOWANCE),
        )

    @property
    def alarm(self) -> str | None:
        """`better` or `worse` when the level has probably changed."""
        if self.better > LIMIT:
            return "better"
        return "worse" if self.worse > LIMIT else None


@dataclass(frozen=True, slots=True)
class Change:
    """The level has probably changed: noticed at the round with this place (0 is the first)."""

    place: int
    direction: str


def changes(levels: Iterable[Level]) -> list[Change]:
    """From the levels after each round. The first round, which only finds the level, surprises nobody.

    A level follows a large change slowly, so that more alarms come; within twenty rounds they are the same change.
    """
    found: list[Change] = []
    sums, last = Cusum(), Change(-SAME_CHANGE, "")
    for place, level in enumerate(levels):
        if place:
            sums = sums.after(level.last_surprise)
        if not sums.alarm:
            continue
        if sums.alarm != last.direction or place - last.place >= SAME_CHANGE:
            found.append(Change(place, sums.alarm))
        last = Change(place, sums.alarm)
    return found


@dataclass(frozen=True, slots=True)
class Lately:
    """The mean of the last rounds against the level before them, in strokes of differential; below 0 is better."""

    k: int
    n_before: int
    difference: float
    standard_error: float

    @property
    def z(self) -> float:
        return self.difference / self.standard_error

    @property
    def words(self) -> str:
        if abs(self.difference) < 0.25:
            return f"the last {words.number(self.k)} rounds were as those before"
        side = "better" if self.difference < 0 else "worse"
        told = f"the last {words.number(self.k)} rounds were {words.strokes(abs(self.difference))} {side}"
        return f"{told}, {'within' if abs(self.z) < NOTABLE else 'more than'} what luck often does"


def lately(rounds: Sequence[Played], start: float, k: int = LATELY, fewest_before: int = 3) -> Lately | None:
    """None with fewer than three rounds before the last k. `start` is where the level starts, as in `level_of`."""
    before, recent = rounds[:-k], rounds[-k:]
    if len(before) < fewest_before or len(recent) < k:
        return None
    level = level_of(before, start)
    error = math.hypot(math.sqrt(level.round_variance / k), level.standard_error(recent[-1].day))
    difference = fmean(played.differential - level.usual_on(played.tee) for played in recent)
    return Lately(k, len(before), difference, error)


@dataclass(frozen=True, slots=True)
class OneRound:
    """What one round was worth, in gross strokes on its tee: `surprise` and `kept` are below 0 for better."""

    surprise: float
    kept: float
    words: str


def one_round(before: Level, played: Played, slope_rating: int = 113) -> OneRound:
    """How much of a round's surprise moves the level, and how much of it is likely to go again."""
    stretch = slope_rating / 113
    surprise = stretch * (played.differential - before.usual_on(played.tee))
    kept = stretch * (step(before, played).usual_on(played.tee) - before.usual_on(played.tee))
    if abs(surprise) < WORTH_SAYING:
        return OneRound(surprise, kept, "about as expected")
    back = words.halves(abs(surprise) - abs(kept))
    whole = words.strokes(abs(surprise))
    if surprise < 0:
        return OneRound(surprise, kept, f"expect {back} of those {whole} back")
    return OneRound(surprise, kept, f"{back} of those {whole} are likely to go again")


@dataclass(frozen=True, slots=True)
class Standing:
    """On one tee, in gross strokes: best of so many rounds, the usual score, and what lies between it and a barrier."""

    barrier: int
    best: int
    n: int
    usual: float

    @property
    def distance(self) -> float:
        """Strokes from the usual score to the barrier's last allowed one; 0 or less when the usual score is under."""
        return self.usual - (self.barrier - 1)


def standing(
    level: Level, ground: Ground, scores: Sequence[int], barrier: int, tee: str | None = None
) -> Standing | None:
    """None without a score."""
    if not scores:
        return None
    return Standing(barrier, min(scores), len(scores), ground.gross(level.usual_on(tee)))


def next_barrier(usual: float, barriers: Iterable[int]) -> int | None:
    """The highest barrier that the usual score is not yet under."""
    return max((barrier for barrier in barriers if usual > barrier - 1), default=None)
