"""Short of the green on purpose: what may be laid up to, what that costs, and whether it is done.

A lay-up is looked at where a green is hit less often than one time in four, where it is out of reach, or where trouble
is met often (common practice: leave a distance you like). It goes to the liked distance, `CLEAR_OF_TROUBLE` short of
what guards the green or crosses on the way, and where the green is out of reach and the longest club meets trouble, as
far as any other club goes. It is taken where it costs clearly less, penalties dreaded (`ball`). Where the green is out
of reach it need not cost more to go short of trouble, and may cost hardly more to a liked distance, since the strokes
to come do not know which distances a player likes. None is told that meets trouble more often, nor one short of trouble
that spares none.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from league.estimates.ball import Ball, traded
from league.estimates.green import in_unit_of
from league.estimates.green_shots import Played, Shot, play
from league.estimates.round_the_green import guards
from league.estimates.tee_words import percent, told_left
from league.rules.described import Side

LOW_CHANCE = 0.25
"""Of hitting the green: below it a lay-up is looked at. The lower end of what a player around 90 has from 135 yards."""
MUCH_TROUBLE = 0.15
"""Chance of trouble with the best shot: above it a lay-up is looked at; ours."""
SOME_TROUBLE = 0.03
"""Chance of trouble with the longest club, from which on shorter ones are tried where the green is out of reach."""
NOT_FAR = 0.25
"""A lay-up that costs more strokes than this is not told; ours."""
NEAREST_LAY_UP = 30.0
"""Yards: no lay-up leaves less, or covers less; ours."""
CLEAR_OF_TROUBLE = 10.0
"""Yards short of the trouble that a lay-up is aimed; ours."""
WORTH_SAYING = 0.05
"""Strokes, or a chance. A lay-up that costs less by as much is taken."""
LIKED_IS_WORTH = 0.10
"""Strokes that a lay-up to a liked distance may cost more where the green is out of reach; ours."""
TO_LIKED, CLEAR = "to the distance you like", "short of the trouble"
GIVES = {TO_LIKED: LIKED_IS_WORTH, CLEAR: 0.0}
"""Strokes that may be given for what common practice does anyway, where the green is out of reach."""


@dataclass(frozen=True, slots=True)
class LayUp:
    """`leaves` to the middle of the green; `cost_less`: expected strokes fewer than at the green, negative for more."""

    played: Played
    cost_less: float
    words: str

    @property
    def club(self) -> str:
        return self.played.shot.club.name

    @property
    def leaves(self) -> float:
        return -self.played.shot.rests


@dataclass(frozen=True, slots=True)
class _Option:
    """`less`: strokes fewer than with the shot at the green, `gains` the same with penalties dreaded; `gives`: how much
    may be given for it, below nought for how much it must bring.
    """

    played: Played
    why: str
    less: float
    gains: float
    gives: float

    @property
    def is_taken(self) -> bool:
        return self.gains >= -self.gives


def lay_up_instead(
    best: Played, chance_green: float, ball: Ball, liked: int | None, reaches: bool
) -> tuple[LayUp | None, bool]:
    """One worth telling instead of the best shot at the green, and whether it is taken."""
    in_trouble = math.fsum(best.trouble.values())
    if chance_green >= LOW_CHANCE and in_trouble < MUCH_TROUBLE:
        return None, False
    options = _options(best, ball, liked, in_trouble, reaches)
    found = max(options, key=lambda one: one.gains + one.gives, default=None)
    if found is None:
        return None, False
    return LayUp(found.played, found.less, _words(found, in_trouble, ball)), found.is_taken


def _options(best: Played, ball: Ball, liked: int | None, in_trouble: float, reaches: bool) -> Iterator[_Option]:
    for shot, why in _shots(best, ball, liked, in_trouble, reaches):
        covers = shot.rests + ball.spot.left
        if shot.rests >= min(0.0, best.shot.rests) or covers < in_unit_of(NEAREST_LAY_UP, ball.spot.unit):
            continue
        played = play(shot, ball.spot)
        less, gains = best.strokes - played.strokes, traded(best) - traded(played)
        falls = in_trouble - math.fsum(played.trouble.values())
        spares = why == TO_LIKED or gains >= WORTH_SAYING or (why and falls >= WORTH_SAYING)
        if spares and falls > -WORTH_SAYING and less >= -NOT_FAR:
            yield _Option(played, why, less, gains, -WORTH_SAYING if reaches or not why else GIVES[why])


def in_the_way(ball: Ball) -> list[float]:
    """Where what guards the green or crosses on the way to it begins, seen from the middle of the green."""
    crossing = [patch for patch in ball.spot.around.patches if patch.side == Side.ACROSS and patch.begins < 0]
    return sorted({patch.begins for patch in (*guards(ball.spot.around, ball.spot.unit), *crossing)})


def _shots(best: Played, ball: Ball, liked: int | None, in_trouble: float, reaches: bool) -> Iterator[tuple[Shot, str]]:
    unit, left = ball.spot.unit, ball.spot.left
    if liked is not None and 0 < liked < left:
        yield _to(liked, ball), TO_LIKED
    for begins in in_the_way(ball):
        leaves = max(in_unit_of(CLEAR_OF_TROUBLE, unit) - begins, in_unit_of(NEAREST_LAY_UP, unit))
        if leaves < left:
            yield _to(leaves, ball), CLEAR
    if not reaches and in_trouble >= SOME_TROUBLE:
        met = [patch.begins for patch in best.trouble if patch.side == Side.ACROSS]
        for shot in ball.full:
            yield shot, CLEAR if met and shot.rests < min(met) else ""


def _to(leaves: float, ball: Ball) -> Shot:
    """With the club that ends nearest to there, or with a part of the shortest one's swing."""
    nearest = min(ball.full, key=lambda shot: abs(shot.rests + leaves))
    part = ball.part(ball.spot.left - leaves) if nearest.rests > -leaves else None
    return part or nearest


def _words(found: _Option, in_trouble: float, ball: Ball) -> str:
    shot, less = found.played.shot, found.less
    where = f"{found.why}, about" if found.why else "to about"
    start = f"{'Rather' if found.is_taken else 'Or'} the {shot.club.name} {where} {told_left(-shot.rests)} "
    start += f"{ball.spot.unit} from the middle: "
    then = math.fsum(found.played.trouble.values())
    met = f"; trouble falls from {percent(in_trouble)} to {percent(then)}" if in_trouble - then >= WORTH_SAYING else ""
    if less >= WORTH_SAYING:
        return f"{start}it costs {_tenths(less)} less{met}."
    practice = " Common practice lays up here." if found.why else ""
    if less > -WORTH_SAYING:
        return f"{start}it costs the same{met}.{practice}"
    more = f"{start}it costs {_tenths(-less)} more by the arithmetic"
    if found.is_taken and found.why == TO_LIKED:
        return f"{more}, which does not know the distances you like{met}.{practice}"
    return f"{more}{met}.{practice}"


def _tenths(strokes: float) -> str:
    return f"{strokes:.1f} of a stroke" if strokes < 0.95 else f"{strokes:.1f} strokes"
