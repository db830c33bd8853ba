"""A ball on its way to a green: how far it has to go, what is about, and what each club does with it today.

The clubs that go at the green end in the mean no farther from its middle than it is deep; of those the nearest are
looked at, at the middle and at the fat side: away from trouble and from the side that leaves a hard chip. Shots are
compared as from the tee: the fewest strokes expected, with `clubs.DREAD` for every penalty.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from league.estimates.carries import Carry
from league.estimates.clubs import DREAD
from league.estimates.conditions import Conditions, carry_today
from league.estimates.green import green_of
from league.estimates.green_shots import Played, Shot, Spot, chance_of, full_shot, part_of, play
from league.estimates.heights import rise_to_go
from league.estimates.round_the_green import LOSES_A_STROKE, surroundings
from league.rules.described import Described, Side

CLUBS_TRIED = 3
ALIKE = 0.05
"""Strokes by which two clubs at the green are not told apart; ours."""
TOWARDS = 0.10
"""Of hitting the green: a shot that in the mean ends short of it and hits it less often is one towards it; ours."""


@dataclass(frozen=True, slots=True)
class Ball:
    """`full`: the full shot of every club, the one that ends nearest to the middle of the green first.

    `today`: every club and what the day makes of it. `rise`: how much higher the green lies.
    """

    hole: Described
    spot: Spot
    conditions: Conditions
    rise: int
    today: tuple[tuple[Carry, Carry], ...]
    full: tuple[Shot, ...]

    def part(self, total: float) -> Shot | None:
        """A part of the shortest club's swing that ends so far away; None where that is more than its full one."""
        own, now = min(self.today, key=lambda pair: pair[1].carry)
        return part_of(own, now, total, self.spot, self.conditions) if now.carry >= total else None


def ball_at(
    left: float,
    hole: Described,
    length: int,
    par: int,
    carries: Sequence[Carry],
    level: float,
    conditions: Conditions,
    unit: str,
) -> Ball | None:
    """`left` to the middle of the green; the length of a par 3 for its tee shot. The driver is for the tee.

    None without a club, or from no distance.
    """
    usable = [club for club in carries if club.kind != "driver" or (par == 3 and left >= length)]
    if left <= 0 or not usable:
        return None
    rise = rise_to_go(hole, par, left, length)
    today = tuple((club, carry_today(club, conditions, rise)) for club in usable)
    spot = Spot(left, surroundings(hole, length, left, green_of(hole, unit), unit), level, unit)
    full = sorted((full_shot(own, now, spot, conditions) for own, now in today), key=lambda shot: abs(shot.rests))
    return Ball(hole, spot, conditions, rise, today, tuple(full))


def at_the_green(ball: Ball) -> Iterator[Shot]:
    """The full shots that end nearest to the middle, and a softer swing: with the wedge that would end beyond it, or
    with the shortest club where even that is too long.

    None that ends in the mean farther off than the green is deep, but the nearest where no other is left.
    """
    soft = _softer(ball)
    if soft is not None:
        yield soft
    full = [shot for shot in ball.full if soft is None or shot.club.name != soft.club.name]
    depth = ball.spot.around.green.depth
    reaching = [shot for shot in full if abs(shot.rests) <= depth]
    yield from reaching[: CLUBS_TRIED - bool(soft)] or full[: 0 if soft else 1]


def _softer(ball: Ball) -> Shot | None:
    """With the shortest club that ends beyond the middle, where it is a wedge or no club is shorter."""
    shortest = min(now.carry for _, now in ball.today)
    name = next((shot.club.name for shot in sorted(ball.full, key=lambda one: one.rests) if shot.rests > 0), "")
    pair = next((pair for pair in ball.today if pair[0].name == name), None)
    if pair is None or (pair[0].kind != "wedge" and pair[1].carry > shortest):
        return None
    return part_of(*pair, ball.spot.left, ball.spot, ball.conditions)


def best_aimed(shot: Shot, ball: Ball) -> Played:
    """At the middle or at the fat side, whichever the trade-off takes."""
    return min((play(replace(shot, across=aim), ball.spot) for aim in _aims(ball.hole, ball.spot)), key=traded)


def best_at_green(tried: Iterable[Played]) -> Played:
    """The best by the trade-off; of those that are alike in it the one that ends nearest to the middle."""
    played = list(tried)
    least = min(map(traded, played))
    alike = [one for one in played if traded(one) <= least + ALIKE]
    return min(alike, key=lambda one: (abs(one.shot.rests), traded(one)))


def traded(played: Played) -> float:
    """Expected strokes, where every penalty counts `DREAD` more than it costs."""
    return played.strokes + DREAD * penalties(played)


def penalties(played: Played) -> float:
    return math.fsum(share for patch, share in played.trouble.items() if patch.kind in LOSES_A_STROKE)


def is_at_green(shot: Shot, ball: Ball) -> bool:
    """Else it is one towards it."""
    is_short = shot.rests < -ball.spot.around.green.depth / 2
    return not is_short or chance_of(shot, ball.spot).value >= TOWARDS


def _aims(hole: Described, spot: Spot) -> Sequence[float]:
    """The middle, and a quarter of the width towards the fat side where there is one."""
    away = _fat_side(hole, spot)
    return (0.0,) if away is None else (0.0, spot.around.green.width / 4 * (1 if away == Side.RIGHT else -1))


def _fat_side(hole: Described, spot: Spot) -> Side | None:
    """Left or right: the safe side as described, else away from a hard chip, else away from the trouble."""
    if hole.safe_side in (Side.LEFT, Side.RIGHT):
        return hole.safe_side
    near = 2 * spot.around.green.depth
    bad = [side for side in (Side.LEFT, Side.RIGHT) if side in hole.hard_chip_from] or list(
        {patch.side for patch in spot.around.patches if patch.ends > -near and patch.side in (Side.LEFT, Side.RIGHT)}
    )
    if len(bad) != 1:
        return None
    return Side.LEFT if bad[0] == Side.RIGHT else Side.RIGHT
