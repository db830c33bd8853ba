"""The shot at the green: which club, aimed where, with what chance; and when to lay up instead.

Every sensible club is tried at the middle of the green and at its fat side, away from trouble and from the side that
leaves a hard chip; never at the short side. The best is the one with the fewest expected strokes: where its good
strikes end (a two-dimensional normal, `green`), where its poor ones come up, what they meet there (`round_the_green`),
and what a ball is worth from there at this level (`strokes_left`). The hole is taken to be cut in the middle.

A lay-up is looked at where a green is hit less often than one time in four, or where trouble guards it (common
practice: leave a distance you like; short of a par 3's bunkers is no shame), and told with what the arithmetic says,
for or against. It is taken where it costs clearly less; where the green is out of reach also where it costs hardly
more, since the strokes to come do not know which distances a player likes.

Without a carry book no club can be named; `rules_of_thumb.usual_odds` still says what is usual from there.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from league.estimates.carries import FEWEST_SHOTS, Carry
from league.estimates.conditions import Conditions, carry_today, playing_length
from league.estimates.estimate import Estimate
from league.estimates.green import Green, green_of, in_unit_of
from league.estimates.green_shots import (
    Miss,
    Played,
    Shot,
    Spot,
    chance_of,
    first_putt_of,
    full_shot,
    part_of,
    play,
    usual_miss_of,
)
from league.estimates.round_the_green import LOSES_A_STROKE, NAMES, Patch, guards, surroundings
from league.rules.described import Described, Side, TroubleKind

LOW_CHANCE = 0.25
"""Of hitting the green: below it a lay-up is looked at. The lower end of what a player around 90 has from 135 yards."""
MUCH_TROUBLE = 0.15
"""Chance of trouble with the best shot: above it a lay-up is looked at; ours."""
NOT_FAR = 0.25
"""A lay-up that costs more strokes than this is not told; ours."""
NEAREST_LAY_UP = 30.0
"""Yards: no lay-up leaves less, but on a par 3; ours."""
CLEAR_OF_TROUBLE = 10.0
"""Yards short of the trouble that a lay-up is aimed; ours."""
CLUBS_TRIED = 3
WORTH_SAYING = 0.05
"""Strokes, or a chance. A lay-up that costs less by as much is taken."""
LIKED_IS_WORTH = 0.10
"""Strokes that a lay-up may cost more where the green is out of reach; ours."""
TOWARDS = 0.10
"""Of hitting the green: a shot that in the mean ends short of it and hits it less often is one towards it; ours."""
TO_THE_FIVE = 20.0
"""From here on a distance left is told to the nearest five."""


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
class Approach:
    """`distance` to the middle of the green and what it `plays`, in one unit.

    `chance_green` is of the whole shot, poor strikes in. `strokes`: expected to hole out, with the shot at the green.
    `first_putt_feet`: mean length after a green hit, and `usual_miss` beside it; None where it is out of reach.
    `leaves`: what the next shot of the plan is from, the lay-up taken where `lays_up`; 0 where this is the one at it.
    `lost`: how often the shot that the plan goes on with costs a stroke, and where most often.
    """

    club: str
    distance: float
    plays: float
    aim: str
    chance_green: Estimate
    lay_up: LayUp | None
    words: str
    unknown: tuple[str, ...]
    strokes: float
    reaches: bool
    lays_up: bool
    leaves: int
    lost: float
    lost_words: str
    first_putt_feet: float | None
    usual_miss: Miss | None

    @property
    def plays_club(self) -> str:
        """Of the shot that the plan goes on with."""
        return self.lay_up.club if self.lay_up and self.lays_up else self.club


def _rise_to_go(hole: Described, left: float, length: float) -> int:
    """How much higher the green lies than a ball with `left` of `length` to go; 0 where the green's height is unknown.

    From the tee it is the whole rise. Farther on, what the landing lies above the tee is behind the ball; where that is
    unknown the ground is taken to rise evenly (ours).
    """
    if hole.rise_to_green is None or left >= length:
        return hole.rise_to_green or 0
    if hole.rise_to_landing is not None:
        return hole.rise_to_green - hole.rise_to_landing
    return round(hole.rise_to_green * left / length)


def approach_from(
    left: float,
    hole: Described,
    length: int,
    par: int,
    carries: Sequence[Carry],
    level: float,
    conditions: Conditions,
    unit: str,
    liked_distance: int | None,
    only: str = "",
) -> Approach | None:
    """The shot from `left` to the middle of the green; None without a club, or from no distance.

    `left` is the length of a par 3 for its tee shot. The rise is what is still to come. The driver is for the tee.
    `only`: the one club to go at the green with.
    """
    is_tee = par == 3 and left >= length
    usable = [club for club in carries if is_tee or club.kind != "driver"]
    if left <= 0 or not usable:
        return None
    rise = _rise_to_go(hole, left, length)
    today = [(club, carry_today(club, conditions, rise)) for club in usable]
    green = green_of(hole, unit)
    spot = Spot(left, surroundings(hole, length, left, green, unit), level, unit)
    tried = [
        play(replace(shot, across=aim), spot)
        for shot in _at_the_green([pair for pair in today if only in ("", pair[0].name)], spot, conditions)
        for aim in _aims(hole, spot)
    ]
    best = min(tried, key=lambda played: (played.strokes, played.shot.club.carry))
    chance = chance_of(best.shot, spot)
    reaches = best.shot.rests >= -green.depth / 2 or chance.value >= TOWARDS
    lay_up, lays_up = _lay_up(best, chance, today, spot, conditions, liked_distance, is_tee, reaches)
    lost, lost_words = _lost(lay_up.played if lay_up and lays_up else best)
    aim = _aim_words(best.shot, hole, spot)
    plays = playing_length(left, conditions, rise)
    return Approach(
        club=best.shot.club.name,
        distance=left,
        plays=plays.distance,
        aim=aim,
        chance_green=chance,
        lay_up=lay_up,
        words=_words(best, chance, aim, reaches, plays.distance, spot),
        unknown=tuple(_unknown(hole, best.shot.club, green, unit)),
        strokes=best.strokes,
        reaches=reaches,
        lays_up=lays_up,
        leaves=told_left(lay_up.leaves if lay_up and lays_up else 0.0 if reaches else -best.shot.rests),
        lost=lost,
        lost_words=lost_words,
        first_putt_feet=first_putt_of(best.shot, spot) if reaches else None,
        usual_miss=usual_miss_of(best.shot, spot) if reaches else None,
    )


def told_left(distance: float) -> int:
    """A distance left as it is told and planned on from: to the nearest five, to the nearest one near the green."""
    return 5 * round(distance / 5) if distance >= TO_THE_FIVE else max(0, round(distance))


def _at_the_green(today: Sequence[tuple[Carry, Carry]], spot: Spot, conditions: Conditions) -> Iterator[Shot]:
    """The full shots that end nearest to the middle, and a part of the shortest club's where even that is too long.

    None that ends in the mean farther off than the green is deep, but the nearest where no other is left."""
    full = [full_shot(own, now, spot, conditions) for own, now in today]
    full.sort(key=lambda shot: abs(shot.rests))
    shortest = min(today, key=lambda pair: pair[1].carry)
    too_long = min(shot.rests for shot in full)
    if too_long > 0:
        yield part_of(*shortest, spot.left, spot, conditions)
    reaching = [shot for shot in full if abs(shot.rests) <= spot.around.green.depth]
    yield from (reaching or full[: 0 if too_long > 0 else 1])[:CLUBS_TRIED]


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


def _lay_up(
    best: Played,
    chance: Estimate,
    today: Sequence[tuple[Carry, Carry]],
    spot: Spot,
    conditions: Conditions,
    liked: int | None,
    is_tee: bool,
    reaches: bool,
) -> tuple[LayUp | None, bool]:
    """One worth telling, and whether it is taken: from a tee the club of the tee shot stands."""
    in_trouble = sum(best.trouble.values())
    is_due = chance.value < LOW_CHANCE or in_trouble >= MUCH_TROUBLE
    if not is_due and not (is_tee and guards(spot.around, spot.unit)):
        return None, False
    found = [
        (play(shot, spot), why) for shot, why in _lay_ups(today, spot, conditions, liked, is_tee) if shot.rests < 0
    ]
    shorter = [(played, why) for played, why in found if played.shot.rests < best.shot.rests]
    if not shorter:
        return None, False
    played, why = min(shorter, key=lambda pair: pair[0].strokes)
    less = best.strokes - played.strokes
    if less < (-NOT_FAR if is_due else 0.0):
        return None, False
    lays_up = not is_tee and less >= (WORTH_SAYING if reaches else -LIKED_IS_WORTH)
    words = _lay_up_words(played, why, less, in_trouble, lays_up, spot)
    return LayUp(played, less, words), lays_up


def _lay_ups(
    today: Sequence[tuple[Carry, Carry]], spot: Spot, conditions: Conditions, liked: int | None, is_tee: bool
) -> Iterator[tuple[Shot, str]]:
    """To the liked distance, and short of what guards the green; each with the club that ends nearest to it."""
    targets = []
    if liked is not None and liked < spot.left and not is_tee:
        targets.append((float(liked), "the distance you like"))
    guarding = [patch.begins for patch in guards(spot.around, spot.unit)]
    if guarding:
        short = -min(guarding) + in_unit_of(CLEAR_OF_TROUBLE, spot.unit)
        nearest = 0.0 if is_tee else in_unit_of(NEAREST_LAY_UP, spot.unit)
        targets.append((max(short, nearest), "short of the trouble"))
    full = [full_shot(own, now, spot, conditions) for own, now in today]
    shortest = min(today, key=lambda pair: pair[1].carry)
    for leaves, why in targets:
        if not 0 < leaves < spot.left:
            continue
        nearest_shot = min(full, key=lambda shot: abs(shot.rests + leaves))
        if nearest_shot.rests > -leaves and shortest[1].carry >= spot.left - leaves:
            nearest_shot = part_of(*shortest, spot.left - leaves, spot, conditions)
        yield nearest_shot, why


def _lay_up_words(played: Played, why: str, less: float, in_trouble: float, lays_up: bool, spot: Spot) -> str:
    start = "Rather" if lays_up else "Or"
    start += (
        f" the {played.shot.club.name} to {why}, about {told_left(-played.shot.rests)} {spot.unit} from the middle: "
    )
    then = sum(played.trouble.values())
    met = f"; trouble {'falls' if then < in_trouble else 'grows'} from {_often(in_trouble)} to {_often(then)}"
    met = met if abs(then - in_trouble) >= WORTH_SAYING else ""
    if less >= WORTH_SAYING:
        return f"{start}{_tenths(less)} less{met}."
    if less > -WORTH_SAYING:
        return f"{start}it costs the same{met}. Common practice lays up here."
    return f"{start}{_tenths(-less)} more by the arithmetic{met}. Common practice lays up here."


def _tenths(strokes: float) -> str:
    return f"it costs {strokes:.1f} of a stroke" if strokes < 0.95 else f"it costs {strokes:.1f} strokes"


def _often(chance: float) -> str:
    return f"{100 * chance:.0f} %"


def _aim_words(shot: Shot, hole: Described, spot: Spot) -> str:
    if not shot.across:
        return "the middle of the green"
    side = "right" if shot.across > 0 else "left"
    return f"the {side} half of the green, {abs(shot.across):.0f} {spot.unit} {side} of the middle"


def _words(best: Played, chance: Estimate, aim: str, reaches: bool, plays: float, spot: Spot) -> str:
    club = best.shot.club.name
    said = f"{spot.left:.0f} {spot.unit}"
    if abs(plays - spot.left) >= 1:
        said += f", playing {plays:.0f}"
    if reaches:
        return f"{said}: the {club} to {aim}. About {_often(chance.value)} end on the green{_worst(best)}."
    seldom = "out of reach" if chance.value < 0.01 else f"seldom in reach, about {_often(chance.value)}"
    said = f"{said}: the green is {seldom}. The {club} leaves about {told_left(-best.shot.rests)}"
    return f"{said}{_worst(best)}."


def _worst(best: Played) -> str:
    """The trouble met most, where it is met at all often."""
    patch, share = max(best.trouble.items(), key=lambda item: item[1], default=(None, 0.0))
    return "" if patch is None or share < 0.03 else f", {_often(share)} {_place(patch)}"


def _lost(played: Played) -> tuple[float, str]:
    costly = {patch: share for patch, share in played.trouble.items() if patch.kind in LOSES_A_STROKE}
    worst = max(costly, key=lambda patch: costly[patch], default=None)
    return math.fsum(costly.values()), _place(worst) if worst else ""


def _place(patch: Patch) -> str:
    """In the penalty area on the left."""
    where = {Side.ACROSS: "across the line"}.get(patch.side, f"on the {patch.side.value}")
    name = NAMES[patch.kind]
    return f"{name} {where}" if patch.kind == TroubleKind.OUT_OF_BOUNDS else f"in {name} {where}"


def _unknown(hole: Described, club: Carry, green: Green, unit: str) -> Iterator[str]:
    if not green.is_measured:
        size = f"{green.depth:.0f} by {green.width:.0f} {unit}"
        yield f"how deep and wide the green is: taken as {size} where not described"
    if not hole.trouble:
        yield "what trouble there is on the way"
    if hole.safe_side is None and not hole.hard_chip_from:
        yield "on which side a miss is safe"
    if club.is_published:
        yield f"how your own {club.name} scatters: published figures are taken"
    elif club.n_shots < FEWEST_SHOTS:
        yield f"how your own {club.name} scatters: as you typed it, not measured"
