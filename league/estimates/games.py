"""Four practice games of our own, each with a pass mark that a player of this level reaches about as often as not.

Every try counts or does not; its chance comes from the published or own figures that the plan uses as well. How many of
ten count follows from those chances, tries taken as independent of each other. The mark is the number that is reached
with a chance nearest to one half. Practice ground is kinder than a course, so a mark that is passed every time says
little about the course; it is there to make ten tries count.

>>> game = two_from_far(level=19, unit="yards")
>>> game.pass_mark, round(game.chance_to_pass, 2)
(9, 0.45)
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from league.estimates.at_the_green import within_three
from league.estimates.carries import SPREAD_WEIGHT, Carry, published_long, published_wide
from league.estimates.green import good_strikes
from league.estimates.practice import CARRIES, PUTTING, RECOVERIES, SHORT
from league.estimates.putting import two_or_better
from league.rules.printed import YARDS

TRIES = 10
FEET_OF_PUTTS = {"yards": (20.0, 30.0, 40.0), "metres": (6.0, 9.0, 12.0)}
"""Feet for who plays in yards, metres for who plays in metres."""
FEET_IN_A_METRE = 1 / 0.3048
SHORT_SHOTS = {"yards": (40, 50, 60), "metres": (35, 45, 55)}
GATE_AT, GATE_WIDTH = 40, 12
"""In the player's unit; ours."""
LINE_AT = 0.9
"""Of the usual carry."""
STRIP = 5
"""A strip is a fifth as wide as the carry is long."""
USUAL_DRIVE = 180.0
"""Yards or metres; only for how much of a full swing it is, where no carry is known."""

NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Game:
    """`chance` of one try in the mean; `chance_to_pass` of reaching `pass_mark` of `tries`."""

    kind: str
    name: str
    setup: str
    counts: str
    tries: int
    chance: float
    pass_mark: int
    chance_to_pass: float
    source: str


def games(level: float, unit: str, carries: Sequence[Carry] = ()) -> tuple[Game, ...]:
    """One for each part of the hour. `carries`: the own book in this unit, longest first; empty, published spreads."""
    return (
        through_the_gate(level, unit, carries),
        down_in_three(level, unit),
        two_from_far(level, unit),
        over_the_line(level, unit, carries),
    )


def through_the_gate(level: float, unit: str, carries: Sequence[Carry] = ()) -> Game:
    """A way out of trouble: direction only, low."""
    own = next((club for club in carries if club.kind == "iron"), None)
    wide = own.wide_sd if own else published_wide("iron", level)
    sideways = GATE_AT * math.tan(math.radians(wide))
    good = _good(GATE_AT, level, unit, own)
    chance = good * (2 * NORMAL.cdf(GATE_WIDTH / 2 / sideways) - 1)
    club = own.name if own else "a low iron"
    return _game(
        RECOVERIES,
        "Through the gate",
        f"Two markers {GATE_WIDTH} {unit} apart, {GATE_AT} {unit} away. Half swings with {_the(club)}, kept low.",
        "It counts when the ball passes between them.",
        [chance] * TRIES,
        _spread_words(own),
    )


def down_in_three(level: float, unit: str) -> Game:
    """40 to 60 yards: never worse than three more."""
    at = SHORT_SHOTS[unit]
    chances = [within_three(at[place % len(at)], level, unit) for place in range(TRIES)]
    return _game(
        SHORT,
        "Down in three",
        f"From {at[0]}, {at[1]} and {at[2]} {unit} in turn, every ball played until it is holed.",
        "It counts when three strokes were enough.",
        chances,
        "short games as published, from memory; never worse than three is common practice",
    )


def two_from_far(level: float, unit: str) -> Game:
    """First putts beyond twenty feet: distance."""
    at = FEET_OF_PUTTS[unit]
    feet = [length * (1 if unit == YARDS else FEET_IN_A_METRE) for length in at]
    chances = [two_or_better(feet[place % len(feet)], level) for place in range(TRIES)]
    lengths = f"{at[0]:.0f}, {at[1]:.0f} and {at[2]:.0f} {'ft' if unit == YARDS else 'm'}"
    return _game(
        PUTTING,
        "Two from far",
        f"First putts from {lengths} in turn, each to another hole, and holed out.",
        "It counts when two putts were enough.",
        chances,
        "putts by length and level as published, partly from memory",
    )


def over_the_line(level: float, unit: str, carries: Sequence[Carry] = ()) -> Game:
    """A carry and a line with the club that has to make it: the longest."""
    own = carries[0] if carries else None
    long = own.long_sd / own.carry if own else published_long(level)
    wide = own.wide_sd if own else published_wide("driver", level)
    sideways = math.tan(math.radians(wide))
    good = _good(own.carry if own else USUAL_DRIVE, level, unit, own)
    chance = good * NORMAL.cdf((1 - LINE_AT) / long) * (2 * NORMAL.cdf(0.5 / STRIP / sideways) - 1)
    if own:
        line, strip = f"{own.carry * LINE_AT:.0f} {unit} out", f"{own.carry / STRIP:.0f} {unit} wide"
    else:
        line, strip = "nine tenths of your usual carry out", "a fifth as wide as that carry is long"
    return _game(
        CARRIES,
        "Over the line",
        f"Full swings with {_the(own.name if own else 'your longest club')} at a strip {strip}, over a line {line}.",
        "It counts when the ball carries the line and stays in the strip.",
        [chance] * TRIES,
        _spread_words(own),
    )


def at_least(chances: Sequence[float]) -> list[float]:
    """For every number from nought to all: the chance that at least so many come off. Exact, tries independent."""
    exactly = [1.0]
    for chance in chances:
        stay = [share * (1 - chance) for share in exactly]
        step = [share * chance for share in exactly]
        exactly = [low + high for low, high in zip([*stay, 0.0], [0.0, *step], strict=True)]
    return [math.fsum(exactly[place:]) for place in range(len(exactly))]


def _game(kind: str, name: str, setup: str, counts: str, chances: Sequence[float], source: str) -> Game:
    reached = at_least(chances)
    mark = min(range(1, len(reached)), key=lambda place: abs(reached[place] - 0.5))
    mean = math.fsum(chances) / len(chances)
    return Game(kind, name, setup, counts, len(chances), mean, mark, reached[mark], source)


def _good(distance: float, level: float, unit: str, own: Carry | None) -> float:
    """The share of good strikes. On the ground where they were measured, shots have their poor ones among them."""
    share, n = good_strikes(distance, level, unit), own.n_shots if own else 0
    return share + (1 - share) * n / (n + SPREAD_WEIGHT)


def _spread_words(own: Carry | None) -> str:
    if own is None or own.is_published:
        return "the published spread of your level; the share of poor strikes is ours"
    return f"your own spread, {own.n_shots} shots measured" if own.n_shots else "your own spread, as you typed it"


def _the(club: str) -> str:
    return club if club.startswith(("a ", "your ")) else f"the {club}"
