"""The shot at the green: which club, aimed where, with what chance; and when to lay up instead (`lay_ups`).

Every sensible club is tried at the middle of the green and at its fat side, away from trouble and from the side that
leaves a hard chip; never at the short side (`ball`). The best is the one with the fewest expected strokes, penalties
dreaded: where its good strikes end (a two-dimensional normal, `green`), where its poor ones come up, what they meet
there (`round_the_green`), and what a ball is worth from there at this level (`strokes_left`). The hole is taken to be
cut in the middle.

Beside the own chance stands what is usual from there at this level (`green.usual_chance`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from league.estimates.ball import Ball, at_the_green, ball_at, best_aimed, best_at_green, is_at_green, penalties
from league.estimates.carries import FEWEST_SHOTS, Carry
from league.estimates.conditions import Conditions, playing_length
from league.estimates.estimate import Estimate
from league.estimates.green import Green, usual_chance
from league.estimates.green_shots import Miss, Played, Shot, Spot, chance_of, first_putt_of, usual_miss_of
from league.estimates.lay_ups import LayUp, lay_up_instead
from league.estimates.round_the_green import LOSES_A_STROKE
from league.estimates.tee_words import lost_in, percent, told_left
from league.rules.described import Described


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

    `left` is the length of a par 3 for its tee shot: no lay-up stands beside it, since `par_threes` has looked at them,
    and `only` is the club that was chosen there.
    """
    ball = ball_at(left, hole, length, par, carries, level, conditions, unit)
    if ball is None:
        return None
    spot = ball.spot
    best = best_at_green(best_aimed(shot, ball) for shot in _shots(ball, only))
    chance = chance_of(best.shot, spot)
    reaches = is_at_green(best.shot, ball)
    is_tee = par == 3 and left >= length
    lay_up, lays_up = (None, False) if is_tee else lay_up_instead(best, chance.value, ball, liked_distance, reaches)
    lost, lost_words = _lost(lay_up.played if lay_up and lays_up else best)
    aim = _aim_words(best.shot, spot)
    plays = playing_length(left, conditions, ball.rise).distance
    return Approach(
        club=best.shot.club.name,
        distance=left,
        plays=plays,
        aim=aim,
        chance_green=chance,
        lay_up=lay_up,
        words=_words(best, chance, aim, reaches, plays, spot),
        unknown=tuple(_unknown(hole, best.shot.club, spot.around.green, unit)),
        strokes=best.strokes,
        reaches=reaches,
        lays_up=lays_up,
        leaves=told_left(lay_up.leaves if lay_up and lays_up else 0.0 if reaches else -best.shot.rests),
        lost=lost,
        lost_words=lost_words,
        first_putt_feet=first_putt_of(best.shot, spot) if reaches else None,
        usual_miss=usual_miss_of(best.shot, spot) if reaches else None,
    )


def _shots(ball: Ball, only: str) -> list[Shot]:
    """At the green, or with the one club wherever it ends."""
    shots = [shot for shot in at_the_green(ball) if only in ("", shot.club.name)]
    return shots or [shot for shot in ball.full if shot.club.name == only]


def _aim_words(shot: Shot, spot: Spot) -> str:
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
        return (
            f"{said}: the {club} to {aim}. About {percent(chance.value)} end on the green{_worst(best)}.{_usual(spot)}"
        )
    seldom = "out of reach" if chance.value < 0.01 else f"seldom in reach, about {percent(chance.value)}"
    said = f"{said}: the green is {seldom}. The {club} leaves about {told_left(-best.shot.rests)}"
    return f"{said}{_worst(best)}."


def _usual(spot: Spot) -> str:
    return f" At this level {percent(usual_chance(spot.left, spot.level, spot.unit))} is usual from there."


def _worst(best: Played) -> str:
    """The trouble met most, where it is met at all often."""
    patch, share = max(best.trouble.items(), key=lambda item: item[1], default=(None, 0.0))
    return "" if patch is None or share < 0.03 else f", {percent(share)} {lost_in(patch.trouble)}"


def _lost(played: Played) -> tuple[float, str]:
    costly = [patch for patch in played.trouble if patch.kind in LOSES_A_STROKE]
    worst = max(costly, key=lambda patch: played.trouble[patch], default=None)
    return penalties(played), lost_in(worst.trouble) if worst else ""


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
