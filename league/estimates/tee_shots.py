"""The club and the aim from a tee, the runner-up, and what boldness costs.

The trade-off: the fewest strokes expected to hole out; of clubs within `AS_GOOD` of that the one that meets out of
bounds and penalty areas least, since a barrier is lost on single holes. Aim: off the trouble, wherever it costs least
within `clubs.FARTHEST_AIM` yards of the middle and the described width. What common practice says stands beside it and
changes nothing:

- Two separate penalty areas on a hole are reason enough to protect.
- A forced carry near the usual carry is trouble: poor strikes come up shorter than good ones. The spread used here is
  the same short and long, so that the arithmetic is on the bold side there.

An undescribed hole is not a safe one: what is missing is in `unknown`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from league.estimates.carries import Carry
from league.estimates.clubs import Meeting, Tee, TeeShot, best_with, sensible
from league.estimates.conditions import Conditions
from league.estimates.tee_words import a_part, about, lost_in, odds, where
from league.rules.described import Described, Side, TroubleKind

__all__ = ["Choice", "Meeting", "TeeShot", "best_tee_shot"]

AS_GOOD = 0.05
"""Strokes; ours."""
NEAR_USUAL = 2.0
"""Spreads of a club: a forced carry that ends nearer to the usual one than this is near it. Ours:
one shot in forty falls farther short."""
WORTH_SAYING = 0.02


@dataclass(frozen=True, slots=True)
class Choice:
    """`tried` is every club with its own best aim, longest first."""

    best: TeeShot
    runner_up: TeeShot | None
    price_of_boldness: str
    practice: tuple[str, ...]
    tried: tuple[TeeShot, ...]
    unknown: tuple[str, ...]


def best_tee_shot(
    hole: Described,
    length: int,
    par: int,
    carries: Sequence[Carry],
    level: float,
    conditions: Conditions,
    unit: str,
) -> Choice | None:
    """`length`, the hole and the carries in `unit`; `level` is an expected differential. None with an empty carry
    book.
    """
    clubs = sensible(carries, length, par)
    if not clubs:
        return None
    tee = Tee(hole, length, level, conditions, unit)
    tried = tuple(best_with(club, tee) for club in clubs)
    best = chosen(tried)
    others = [shot for shot in tried if shot is not best]
    return Choice(
        best=best,
        runner_up=chosen(others) if others else None,
        price_of_boldness=price_of_boldness(best, tried),
        practice=tuple(_practice(best, hole, clubs[0])),
        tried=tried,
        unknown=tuple(_unknown(hole, par, best)),
    )


def chosen(tried: Sequence[TeeShot]) -> TeeShot:
    """The best by the trade-off."""
    least = min(shot.cost for shot in tried)
    as_good = [shot for shot in tried if shot.cost <= least + AS_GOOD]
    return min(as_good, key=lambda shot: (round(shot.penalty_chance, 2), shot.cost))


def price_of_boldness(best: TeeShot, tried: Sequence[TeeShot]) -> str:
    """The best beside the longer club that costs least; or, where it is the longest, beside the next."""
    if len(tried) < 2:
        return "No other club was tried."
    place = next(place for place, shot in enumerate(tried) if shot is best)
    if place == 0:
        return _pays(best, min(tried[1:], key=lambda shot: shot.cost))
    return _costs(min(tried[:place], key=lambda shot: shot.cost), best)


def _costs(bold: TeeShot, best: TeeShot) -> str:
    words = f"{bold.club.name} {_leaves(bold, best)} and costs "
    dearer = bold.lost - best.lost
    in_all = bold.cost - best.cost
    if dearer > WORTH_SAYING:
        words += f"{a_part(dearer)} {_most(bold, best)}"
        return f"{words}, {a_part(in_all)} more in all." if in_all > WORTH_SAYING else f"{words}, as much in all."
    return f"{words}{a_part(in_all)} more." if in_all > WORTH_SAYING else f"{words}as much in all."


def _pays(best: TeeShot, other: TeeShot) -> str:
    words = f"{other.club.name} {_leaves(other, best)} and costs {a_part(other.cost - best.cost)} more"
    spared = best.lost - other.lost
    if spared > WORTH_SAYING:
        words += f", though it saves {a_part(spared)} {_most(best, other)}"
    return f"{words}: the longer club pays here."


def _leaves(shot: TeeShot, than: TeeShot) -> str:
    less = about(than.left - shot.left)
    return f"leaves {abs(less)} {'less' if less > 0 else 'more'}" if less else "leaves as much"


def _most(shot: TeeShot, than: TeeShot) -> str:
    """The trouble in which a shot loses most beside another."""
    spared = {meeting.trouble: meeting.lost for meeting in than.meets}
    most = max(shot.meets, key=lambda meeting: meeting.lost - spared.get(meeting.trouble, 0.0))
    return lost_in(most.trouble)


def _practice(best: TeeShot, hole: Described, longest: Carry) -> Iterator[str]:
    areas = [trouble for trouble in hole.trouble if trouble.kind == TroubleKind.PENALTY_AREA]
    if len(areas) > 1:
        agrees = best.club is not longest
        yield (
            f"{len(areas)} separate penalty areas: reason enough to protect (common practice). "
            + ("The arithmetic says the same" if agrees else f"The arithmetic still takes the {best.club.name}")
            + f": it meets a penalty {odds(best.penalty_chance)}."
        )
    for meeting in best.meets:
        if meeting.trouble.side != Side.ACROSS or meeting.trouble.counted_from != "tee":
            continue
        spare = best.club.carry - meeting.trouble.ends
        if 0 <= spare < NEAR_USUAL * best.club.long_sd:
            yield (
                f"Clearing {where(meeting.trouble)} takes {meeting.trouble.ends} of the {about(best.club.carry)} that "
                f"{best.club.name} usually carries: that counts as trouble, poor strikes come up shorter than good "
                f"ones (common practice). The arithmetic takes it on: it fails {odds(meeting.chance)}."
            )


def _unknown(hole: Described, par: int, best: TeeShot) -> Iterator[str]:
    if not hole.trouble:
        yield "No trouble is described: that there is none is not known."
    if not hole.widths and par > 3:
        yield "No width is described: how much rough is met is not counted."
    for trouble in hole.trouble:
        if trouble.off_line is None and trouble.side != Side.ACROSS:
            yield f"How far off the line {where(trouble)} begins is not described."
    if hole.bend_at is not None and hole.bend_degrees is None:
        yield "How sharply it bends is not described: taken as 45 degrees."
    if par == 3 and not (hole.green_depth and hole.green_width):
        yield "The size of the green is not described: taken as a usual one."
    if best.club.is_published:
        yield f"How {best.club.name} scatters rests on published figures more than on your own shots."
