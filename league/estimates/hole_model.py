"""An invented golfer: strokes, putts and penalty strokes hole by hole, drawn from a seeded generator.

It makes the demo season, and it is the truth against which forecasts are judged. Eighteen holes by ordered logit with
parallel thresholds: a hole's difficulty follows its stroke index, the day adds a round effect, and each set of tees
suits a player a little more or less. The thresholds were fitted so that the mean counts of pars or better, birdies and
doubles at average scores of 79, 85 and 95 on a par of 72 come within half a hole of Riccio (1990; read in secondary
copies). Putts lie between Soley's rows for a scratch player and a 40 handicap (1977; a secondary source). How often
penalty strokes fall is an assumption of ours: no acceptable source was found.

>>> holes = tuple(Hole(number, 4, number) for number in range(1, 19))
>>> card = draw_card(Random("a seed"), holes, expected_over=18.0)
>>> sum(hole.strokes for hole in card), sum(hole.putts for hole in card)
(90, 28)
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from league.rules.scorecard import Hole, Tee

LOWEST, HIGHEST = -2, 8
"""Scores against par that the model knows: eagle or a hole in one to eight over."""

# Upper edges of eagle, birdie, par, bogey, double and so on, in logits; par's is 0. Fitted once, see above.
THRESHOLDS = (-5.25, -2.5, 0.0, 2.3, 4.45, 6.25, 8.05, 9.85, 11.65, 13.45)
HARDEST_ABOVE_MIDDLE = 0.8
"""How much harder stroke index 1 is than the middle of the card, in logits; the easiest hole is as much easier."""

TEE_FIT = 0.7
"""Standard deviation, in strokes a round, of how well a set of tees suits a player."""

# Putts on eighteen holes, (one, two, three): a scratch player and a 40 handicap after Soley.
SCRATCH_PUTTS, FORTY_PUTTS = (5.3, 11.7, 0.9), (2.4, 11.6, 3.6)
SCRATCH_OVER, FORTY_OVER = 2.0, 44.0
PUTTS_FOLLOW_SCORE = 0.45
NO_PUTT = 0.02

FEWEST_TO_GREEN = {3: 1, 4: 2, 5: 2, 6: 3}
"""Strokes to reach the green by par, for anybody who is not exceptionally long."""


@dataclass(frozen=True, slots=True)
class DrawnHole:
    """What the golfer did on a hole. Putts and penalty strokes are part of the strokes."""

    number: int
    par: int
    strokes: int
    putts: int
    penalties: int

    @property
    def over(self) -> int:
        return self.strokes - self.par


def expected_over(level: float, tee: Tee) -> float:
    """Strokes against par that a player of this level (expected differential) needs on a tee in an ordinary round."""
    return float(tee.course_rating) + level * tee.slope_rating / 113 - tee.par


def draw_tee_fit(rng: Random) -> float:
    """Strokes a round by which one set of tees suits a player worse than another."""
    return rng.gauss(0, TEE_FIT)


def draw_round_effect(rng: Random, level: float) -> float:
    """Strokes by which the day is worse than usual. The spread grows with the level, as that of real scores does."""
    return rng.gauss(0, 0.5 + 0.02 * max(level, 0.0))


def chances(holes: Sequence[Hole], expected_over: float) -> list[list[float]]:
    """Per hole the chance of each score against par from LOWEST to HIGHEST; their means add up to `expected_over`."""
    difficulty = _difficulty(holes)
    base = _base_for(difficulty, expected_over)
    return [_scores(base + harder) for harder in difficulty]


def draw_card(rng: Random, holes: Sequence[Hole], expected_over: float) -> tuple[DrawnHole, ...]:
    """One round on these holes by somebody who needs `expected_over` strokes against their par on average."""
    round_over = expected_over * 18 / len(holes)
    return tuple(
        _draw_hole(rng, hole, scores, round_over)
        for hole, scores in zip(holes, chances(holes, expected_over), strict=True)
    )


def _difficulty(holes: Sequence[Hole]) -> list[float]:
    order = sorted(hole.stroke_index for hole in holes)
    middle = (len(order) - 1) / 2
    return [HARDEST_ABOVE_MIDDLE * (middle - order.index(hole.stroke_index)) / middle for hole in holes]


def _base_for(difficulty: Sequence[float], expected_over: float) -> float:
    """By Newton's method with short steps: the mean grows with the base."""
    if not LOWEST * len(difficulty) < expected_over < HIGHEST * len(difficulty):
        raise ValueError(f"{expected_over} strokes against par over {len(difficulty)} holes is outside the model")
    base = 0.0
    for _ in range(60):
        above = [1 / (1 + math.exp(edge - base - harder)) for harder in difficulty for edge in THRESHOLDS]
        missing = expected_over - LOWEST * len(difficulty) - sum(above)
        if abs(missing) < 1e-9:
            break
        base += min(max(missing / sum(chance * (1 - chance) for chance in above), -1.5), 1.5)
    return base


def _scores(place: float) -> list[float]:
    up_to = [1 / (1 + math.exp(place - threshold)) for threshold in THRESHOLDS] + [1.0]
    return [up_to[0]] + [upper - lower for lower, upper in zip(up_to, up_to[1:], strict=False)]


def _mean(scores: Sequence[float]) -> float:
    return sum(chance * over for over, chance in enumerate(scores, LOWEST))


def _draw_hole(rng: Random, hole: Hole, scores: Sequence[float], round_over: float) -> DrawnHole:
    over = rng.choices(range(LOWEST, HIGHEST + 1), scores)[0]
    strokes = hole.par + over
    surprise = over - _mean(scores)
    putts = _draw_putts(rng, hole.par, strokes, surprise, round_over)
    penalties = _draw_penalties(rng, hole.par, strokes - putts, surprise, round_over)
    return DrawnHole(hole.number, hole.par, strokes, putts, penalties)


def _draw_putts(rng: Random, par: int, strokes: int, surprise: float, round_over: float) -> int:
    """A good hole had fewer putts, a poor one more."""
    if strokes == 1 or rng.random() < NO_PUTT:
        return 0
    share = min(max((round_over - SCRATCH_OVER) / (FORTY_OVER - SCRATCH_OVER), 0.0), 1.0)
    one, two, three = ((1 - share) * few + share * many for few, many in zip(SCRATCH_PUTTS, FORTY_PUTTS, strict=True))
    tilt = math.exp(PUTTS_FOLLOW_SCORE * surprise)
    putts = rng.choices((1, 2, 3), (one / tilt, two, three * tilt))[0]
    return max(1, min(putts, strokes - FEWEST_TO_GREEN[par]))


def _draw_penalties(rng: Random, par: int, to_green: int, surprise: float, round_over: float) -> int:
    """Likelier on a poor hole; the strokes that reached the green stay at least the fewest."""
    chance = (0.4 + 0.03 * max(round_over, 0.0)) / 18 * max(1 + surprise, 0.0)
    most = min(to_green - FEWEST_TO_GREEN[par], 2)
    first = most >= 1 and rng.random() < chance
    second = first and most == 2 and rng.random() < chance
    return first + second


# Skill paths: the player's level in each week of a season.


def static(level: float, n_weeks: int) -> list[float]:
    return [level] * n_weeks


def improving(level: float, n_weeks: int, *, gain: float, half_life: float) -> list[float]:
    """Better by `gain` in the end, half of it after `half_life` weeks: a curve that flattens."""
    return [level - gain * (1 - 0.5 ** (week / half_life)) for week in range(n_weeks)]


def slump(level: float, n_weeks: int, *, depth: float, begins: int, lasts: int) -> list[float]:
    """Worse by up to `depth` in the middle of `lasts` weeks, then back."""
    half = lasts / 2
    return [level + depth * max(0.0, 1 - abs(week - begins - half) / half) for week in range(n_weeks)]


def step(level: float, n_weeks: int, *, change: float, at: int) -> list[float]:
    """Another level from one week on."""
    return [level + (change if week >= at else 0.0) for week in range(n_weeks)]


def random_walk(level: float, n_weeks: int, *, rng: Random, weekly: float = 0.25, form: float = 0.8) -> list[float]:
    """A slow drift, and form about it with a memory of four weeks (after Baker & McHale 2022, abstract)."""
    levels, drift, now = [], level, 0.0
    keeps = 0.5 ** (1 / 4)
    for _ in range(n_weeks):
        levels.append(drift + now)
        drift += rng.gauss(0, weekly)
        now = keeps * now + rng.gauss(0, form * math.sqrt(1 - keeps**2))
    return levels
