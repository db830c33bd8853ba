"""Five practice games of our own, each with a pass mark that a player of this level reaches about as often as not.

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
from league.estimates.carries import Carry, published_long, published_wide
from league.estimates.green import USUAL_DEPTH, USUAL_WIDTH, Green, chance_on, good_strikes, in_unit_of
from league.estimates.practice import CARRIES, GREENS, PUTTING, RECOVERIES, SHORT
from league.estimates.putting import two_or_better
from league.rules.printed import YARDS

TRIES = 10
FEET_OF_PUTTS = {"yards": (20.0, 30.0, 40.0), "metres": (6.0, 9.0, 12.0)}
"""Feet for who plays in yards, metres for who plays in metres."""
FEET_IN_A_METRE = 1 / 0.3048
SHORT_SHOTS = {"yards": (40, 50, 60), "metres": (35, 45, 55)}
GATE_AT, GATE_WIDTH = 40, 12
"""In the player's unit; ours."""
GREEN_SHOTS = {"yards": (90, 110, 130), "metres": (80, 100, 120)}
"""Where no iron's carry is known."""
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
        on_the_green(level, unit, carries),
        down_in_three(level, unit),
        two_from_far(level, unit),
        over_the_line(level, unit, carries),
    )


def through_the_gate(level: float, unit: str, carries: Sequence[Carry] = ()) -> Game:
    """A way out of trouble: direction only, low."""
    own = next((club for club in carries if club.kind == "iron"), None)
    wide = own.wide_sd if own else published_wide("iron", level)
    sideways = GATE_AT * math.tan(math.radians(wide))
    good = good_strikes(GATE_AT, level, unit, own)
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


def on_the_green(level: float, unit: str, carries: Sequence[Carry] = ()) -> Game:
    """Full swings at a green of usual size: three own irons, each from its own carry, or usual distances."""
    green = Green(round(in_unit_of(USUAL_DEPTH, unit)), round(in_unit_of(USUAL_WIDTH, unit)), is_measured=False)
    own = _spaced([club for club in carries if club.kind == "iron"])
    clubs = own or [
        Carry("", "iron", at, at * published_long(level), published_wide("iron", level)) for at in GREEN_SHOTS[unit]
    ]
    chances = [_of_green(clubs[place % len(clubs)], green, level, unit) for place in range(TRIES)]
    size = f"{green.depth:.0f} {unit} deep and {green.width:.0f} wide"
    with_what = f"the {_listed([club.name for club in own])}" if own else "the club that carries so far"
    from_where = f"From {_listed([f'{club.carry:.0f}' for club in clubs])} {unit}{' in turn' if len(clubs) > 1 else ''}"
    return _game(
        GREENS,
        "On the green",
        f"{from_where}, with {with_what}, at a green marked out {size}.",
        "It counts when the ball comes down inside.",
        chances,
        _spread_words(*own),
    )


def _spaced(irons: Sequence[Carry]) -> list[Carry]:
    """The shortest, the one in the middle and the longest, of those given longest first."""
    last = len(irons) - 1
    return [irons[place] for place in sorted({last, last // 2, 0}, reverse=True)] if irons else []


def _of_green(club: Carry, green: Green, level: float, unit: str) -> float:
    wide = club.carry * math.tan(math.radians(club.wide_sd))
    return good_strikes(club.carry, level, unit, club) * chance_on(green, 0.0, club.long_sd, 0.0, wide)


def _listed(words: Sequence[str]) -> str:
    *others, last = words
    return f"{', '.join(others)} and {last}" if others else last


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
    good = good_strikes(own.carry if own else USUAL_DRIVE, level, unit, own)
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


def _spread_words(*clubs: Carry | None) -> str:
    own = [club for club in clubs if club is not None]
    if not own or any(club.is_published for club in own):
        spread = "the published spread of your level"
    elif shots := sum(club.n_shots for club in own):
        spread = f"your own spread, {shots} shots measured"
    else:
        spread = "your own spread, as you typed it"
    return f"{spread}; the share of poor strikes is ours"


def _the(club: str) -> str:
    return club if club.startswith(("a ", "your ")) else f"the {club}"
