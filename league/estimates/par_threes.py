"""The tee shot of a par 3: the clubs that go at the green, and those that stay short of what guards it.

It is a shot at a green, so its arithmetic is that of any other: poor strikes, the sides of the green, and what a ball
is worth from where it ends. A club is tried short where trouble crosses or guards: the longest that reaches it two
times in a hundred at most, and the one that in the mean ends `CLEAR_OF_TROUBLE` before it.

The habit is the club whose usual distance is nearest to what the hole plays, with its own best aim.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from league.estimates.ball import Ball, at_the_green, ball_at, best_aimed, is_at_green
from league.estimates.carries import Carry
from league.estimates.clubs import ROUND_GREEN, WORTH_NAMING, Meeting, TeeShot, meeting, said
from league.estimates.conditions import Conditions
from league.estimates.green import in_unit_of
from league.estimates.green_shots import Played, Shot, Spot, play
from league.estimates.lay_ups import CLEAR_OF_TROUBLE, in_the_way
from league.estimates.tee_words import rest
from league.rules.described import Described


@dataclass(frozen=True, slots=True)
class Tried:
    """Longest first, each club once; `short` of them stay short of trouble on purpose."""

    at_green: tuple[TeeShot, ...]
    short: tuple[TeeShot, ...]
    habit: TeeShot

    @property
    def all(self) -> tuple[TeeShot, ...]:
        return _longest_first((*self.at_green, *self.short))


def tried_on_par_three(
    hole: Described, length: int, carries: Sequence[Carry], level: float, conditions: Conditions, unit: str
) -> Tried | None:
    """None without a club."""
    ball = ball_at(length, hole, length, 3, carries, level, conditions, unit)
    if ball is None:
        return None
    own = {club.name: club for club in carries}
    played = [best_aimed(shot, ball) for shot in at_the_green(ball)]
    known = {one.shot.club.name for one in played}
    short = {shot.club.name: shot for shot in _short(ball) if shot.club.name not in known}
    played += [play(shot, ball.spot) for shot in short.values()]
    tried = [(_tee_shot(one, own[one.shot.club.name], ball), is_at_green(one.shot, ball)) for one in played]
    at_green = [shot for shot, is_at in tried if is_at] or [shot for shot, _ in tried if shot.club.name in known]
    return Tried(
        at_green=_longest_first(at_green),
        short=_longest_first(shot for shot, _ in tried if shot not in at_green),
        habit=min(at_green, key=lambda shot: shot.left),
    )


def _short(ball: Ball) -> Iterator[Shot]:
    clear = in_unit_of(CLEAR_OF_TROUBLE, ball.spot.unit)
    by_length = sorted(ball.full, key=lambda shot: -shot.rests)
    for begins in in_the_way(ball):
        yield min(ball.full, key=lambda shot: abs(shot.rests - begins + clear))
        yield from [shot for shot in by_length if shot.rests + 2 * shot.club.long_sd < begins][:1]


def _longest_first(shots: Iterable[TeeShot]) -> tuple[TeeShot, ...]:
    return tuple(sorted(shots, key=lambda shot: (-shot.club.carry, shot.club.name)))


def _tee_shot(played: Played, own: Carry, ball: Ball) -> TeeShot:
    shot, unit = played.shot, ball.spot.unit
    aim, left = shot.across - shot.club.curve, abs(shot.rests)
    meets = tuple(_meetings(played, ball.spot))
    ends = rest(left, shot.rests > 0, left < in_unit_of(ROUND_GREEN, unit))
    words = said(own, aim, shot.across, ends, meets)
    return TeeShot(own, aim, meets, left, played.strokes, words, shot.across, shot.club, ends)


def _meetings(played: Played, spot: Spot) -> Iterator[Meeting]:
    """With what each costs: the strokes that are spared were it not there."""
    for patch, chance in played.trouble.items():
        if chance >= WORTH_NAMING:
            others = tuple(one for one in spot.around.patches if one is not patch)
            free = play(played.shot, replace(spot, around=replace(spot.around, patches=others)))
            is_carried = played.shot.lands > patch.ends
            yield meeting(patch.trouble, chance, played.strokes - free.strokes, is_carried)
