"""What a hole asks for where plain shots do: the reason of a measured stance, and how a personal par is made.

>>> made_in(5), made_in(3), made_in(2)
('on in three, two putts', 'on in one, two putts', 'on in one, one putt')
"""

from dataclasses import dataclass
from itertools import groupby

from league.estimates.tee_words import about, odds
from league.estimates.words import count, number

WORTH_NAMING = 0.005
"""Chance of a lost tee shot: below it nothing is said of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainShots:
    """The shots that are advised as far as the one at the green, which is hit with `chance_green` (0 to 1).

    `clubs` from the tee, without the one at the green unless that is the tee shot itself (`is_one`); `left` to the
    middle of the green after them, in the plan's unit. `lost`: chance that the tee shot meets what costs a stroke, most
    of it `lost_words`.
    """

    is_one: bool = False
    clubs: tuple[str, ...]
    left: float
    chance_green: float | None
    lost: float
    lost_words: str


def made_in(personal_par: int) -> str:
    """On the green with two putts in hand, as far as that goes: how a score is made without a brave shot."""
    on = max(1, personal_par - 2)
    return f"on in {number(on)}, {count(personal_par - on, 'putt')}"


def reason_of(shots: PlainShots) -> str:
    """One sentence.

    >>> reason_of(PlainShots(clubs=("driver",), left=121, chance_green=0.3, lost=0.0, lost_words=""))
    'Driver leaves 120: the green about 1 in 3 from there.'
    >>> laid_up = PlainShots(
    ...     clubs=("driver", "5 wood"), left=62, chance_green=0.5, lost=0.05, lost_words="out of bounds"
    ... )
    >>> reason_of(laid_up)
    'Driver, then 5 wood, leaves 60; lost out of bounds about 1 in 20.'
    >>> reason_of(PlainShots(clubs=("5 wood", "5 wood"), left=38, chance_green=None, lost=0.0, lost_words=""))
    '5 wood twice leaves 40.'
    """
    words = _said(shots)
    if shots.lost_words and shots.lost >= WORTH_NAMING:
        words = f"{words.partition(':')[0]}; lost {shots.lost_words} {odds(shots.lost)}"
    return f"{words[0].upper()}{words[1:]}."


def _times(club: str, n: int) -> str:
    return {1: club, 2: f"{club} twice"}.get(n, f"{club} {number(n)} times")


def _said(shots: PlainShots) -> str:
    odds_green = "" if shots.chance_green is None else f"the green {odds(shots.chance_green)}"
    if shots.is_one:
        return f"{shots.clubs[0]} finds {odds_green}"
    clubs = [_times(club, len(list(same))) for club, same in groupby(shots.clubs)]
    leaves = f"{', then '.join(clubs)}{',' if len(clubs) > 1 else ''} leaves {about(shots.left)}"
    return f"{leaves}: {odds_green} from there" if odds_green else leaves
