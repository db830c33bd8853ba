"""The club and the aim from a tee, the runner-up, and what boldness costs.

The trade-off: the fewest strokes expected to hole out, where every penalty counts `clubs.DREAD` more than it costs: a
barrier is lost on single holes, and poor strikes come up shorter than the spread says, which is the same short and
long. Aim: off the trouble, wherever it costs least within `clubs.FARTHEST_AIM` yards of the middle and the described
width. What common practice says stands beside it and changes nothing:

- Two separate penalty areas on a hole are reason enough to protect.
- A forced carry near the usual carry is trouble: poor strikes come up shorter than good ones.

An undescribed hole is not a safe one: what is missing is in `unknown`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from league.estimates import clubs, lay_ups, stance
from league.estimates.ball import ALIKE
from league.estimates.carries import Carry
from league.estimates.clubs import DREAD, Meeting, Tee, TeeShot, best_with, sensible
from league.estimates.conditions import Conditions
from league.estimates.par_threes import Tried, tried_on_par_three
from league.estimates.tee_words import a_part, about, lost_in, odds, where
from league.estimates.words import number
from league.rules.described import Described, Side, Trouble

__all__ = ["Choice", "Meeting", "TeeShot", "best_tee_shot"]

WORTH_SAYING = 0.025
"""Strokes: less is next to nothing."""


@dataclass(frozen=True, slots=True)
class Choice:
    """`tried` is every club with its own best aim, longest first; `habit` the one that is taken for the usual one: the
    longest, on a par 3 the one that usually goes nearest to what the hole plays. `price_of_boldness` names the
    runner-up too.
    """

    best: TeeShot
    habit: TeeShot
    runner_up: TeeShot | None
    price_of_boldness: str
    practice: tuple[str, ...]
    forced_carry: str
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
    if par == 3:
        on_three = tried_on_par_three(hole, length, carries, level, conditions, unit)
        if on_three is None:
            return None
        best, habit, tried = _chosen_on_par_three(on_three), on_three.habit, on_three.all
        beside = on_three.at_green if best in on_three.short else tried
    else:
        tee = Tee(hole, length, level, conditions, unit)
        tried = beside = tuple(best_with(club, tee) for club in sensible(carries, tee))
        if not tried:
            return None
        best, habit = chosen(tried), tried[0]
    others = [shot for shot in beside if shot is not best]
    runner_up = chosen(others) if others else None
    return Choice(
        best=best,
        habit=habit,
        runner_up=runner_up,
        price_of_boldness=price_of_boldness(best, others, runner_up),
        practice=tuple(_practice(best, habit, tried, hole)),
        forced_carry=forced_carry(habit, best, hole, unit),
        tried=tried,
        unknown=tuple(_unknown(hole, par, tried, best)),
    )


def chosen(tried: Sequence[TeeShot]) -> TeeShot:
    """The best by the trade-off; of two that are alike the longer."""
    return min(tried, key=_traded)


def _chosen_on_par_three(tried: Tried) -> TeeShot:
    """Short of trouble only where that costs clearly less; of clubs at the green that are alike the one that ends
    nearest to its middle.
    """
    least = min(map(_traded, tried.at_green))
    if tried.short and _traded(short := chosen(tried.short)) <= least - lay_ups.WORTH_SAYING:
        return short
    return min((shot for shot in tried.at_green if _traded(shot) <= least + ALIKE), key=lambda shot: shot.left)


def _traded(shot: TeeShot) -> float:
    return round(shot.cost + DREAD * shot.penalty_chance, 6)


def price_of_boldness(best: TeeShot, others: Sequence[TeeShot], runner_up: TeeShot | None) -> str:
    """The best beside the longer club that costs least; or, where it is the longest, beside the next. And the
    runner-up, where that is another.
    """
    if not others or runner_up is None:
        return "No other club was tried."
    longer = [shot for shot in others if shot.club.carry > best.club.carry]
    beside = min(longer or others, key=lambda shot: shot.cost)
    words = _costs(beside, best) if longer else _pays(best, beside)
    if beside is runner_up:
        return f"Next best: {words}"
    return f"{words} Next best: {runner_up.club.name}; it costs {_more(runner_up, best)}."


def _costs(bold: TeeShot, best: TeeShot) -> str:
    """What a longer club gains and costs; and by what, where it is not by the trouble it meets."""
    words = f"{bold.club.name} {_leaves(bold, best)} and costs "
    dearer, in_all = bold.lost - best.lost, bold.cost - best.cost
    by_rest = ", most of it by where it comes to rest" if in_all > WORTH_SAYING and dearer < in_all / 2 else ""
    if dearer <= WORTH_SAYING:
        return f"{words}{_more(bold, best)}{by_rest}."
    return f"{words}{a_part(dearer)} {_most(bold, best)}, {_more(bold, best, ' in all')}{by_rest}."


def _pays(best: TeeShot, other: TeeShot) -> str:
    words = f"{other.club.name} {_leaves(other, best)} and costs {_more(other, best)}"
    spared, more = best.lost - other.lost, other.cost - best.cost
    if spared > WORTH_SAYING:
        words += f", though it saves {a_part(spared)} {_most(best, other)}"
    return f"{words}: the longer club pays here." if more > WORTH_SAYING else f"{words}."


def _more(shot: TeeShot, best: TeeShot, in_all: str = "") -> str:
    """Than the best. What costs less and meets more penalties was not worth them; else the two were alike."""
    more = shot.cost - best.cost
    if more < -WORTH_SAYING and shot.penalty_chance > best.penalty_chance:
        return f"{a_part(-more)} less in all: too little for its penalties"
    return f"{a_part(more)} more{in_all}" if more > WORTH_SAYING else f"as much{in_all}"


def _leaves(shot: TeeShot, than: TeeShot) -> str:
    if shot.rest.startswith("ends"):
        return shot.rest
    less = about(than.left - shot.left)
    return f"leaves {abs(less)} {'less' if less > 0 else 'more'}" if less else "leaves as much"


def _most(shot: TeeShot, than: TeeShot) -> str:
    """The trouble in which a shot loses most beside another."""
    spared = {meeting.trouble: meeting.lost for meeting in than.meets}
    most = max(shot.meets, key=lambda meeting: meeting.lost - spared.get(meeting.trouble, 0.0))
    return lost_in(most.trouble)


def _practice(best: TeeShot, habit: TeeShot, tried: Sequence[TeeShot], hole: Described) -> Iterator[str]:
    areas = stance.penalty_areas(hole)
    if areas > 1:
        is_bold = best is habit and len(tried) > 1
        yield (
            f"{number(areas).capitalize()} separate penalty areas: reason enough to protect (common practice). "
            + (f"The arithmetic still takes {best.club.name}" if is_bold else "The arithmetic agrees")
            + f": it meets a penalty {odds(best.penalty_chance)}."
            + (_protecting(best, tried) if is_bold else "")
        )
    near = stance.near_carry(hole, best.today)
    failed = next((meeting.chance for meeting in best.meets if meeting.trouble == near), None)
    if near is not None and failed is not None and best.today.carry >= near.ends:
        yield (
            f"Clearing {where(near)} is near the {about(best.today.carry)} that {best.club.name} carries "
            "here: that counts as trouble, poor strikes come up shorter than good ones (common practice). The "
            f"arithmetic takes it on: it fails {odds(failed)}.{_short_of(near, best, tried)}"
        )


def _protecting(best: TeeShot, tried: Sequence[TeeShot]) -> str:
    """The other club that meets the fewest penalties, and its price."""
    shot = min((one for one in tried if one is not best), key=lambda one: (round(one.penalty_chance, 2), one.cost))
    if best.penalty_chance - shot.penalty_chance < clubs.WORTH_NAMING:
        return " No other club meets fewer."
    return f" {shot.club.name.capitalize()} meets one {odds(shot.penalty_chance)} and costs {_more(shot, best)}."


def forced_carry(habit: TeeShot, best: TeeShot, hole: Described, unit: str) -> str:
    """One sentence where the usual club from this tee carries what crosses only just, or just not; "" otherwise."""
    near = stance.near_carry(hole, habit.today)
    if near is None:
        return ""
    then = f", so the {best.club.name} stays short" if best.today.carry < near.begins else ""
    return f"{stance.carry_words(near, habit.today, unit)} here (common practice){then}."


def _short_of(trouble: Trouble, best: TeeShot, tried: Sequence[TeeShot]) -> str:
    """What staying short of it would cost."""
    shorter = [shot for shot in tried if shot.today.carry + 2 * shot.today.long_sd < trouble.begins]
    if not shorter:
        return ""
    shot = min(shorter, key=lambda one: one.cost)
    return f" {shot.club.name.capitalize()} stays short of it and costs {_more(shot, best)}."


def _unknown(hole: Described, par: int, tried: Sequence[TeeShot], best: TeeShot) -> Iterator[str]:
    if not hole.trouble:
        yield "No trouble is described: that there is none is not known."
    if not hole.widths and par > 3:
        yield "No width is described: how much rough is met is not counted."
    for trouble in hole.trouble:
        if trouble.off_line is None and trouble.side != Side.ACROSS:
            yield f"How far off the line {where(trouble)} begins is not described."
    if hole.bend_at is not None:
        if hole.bend_degrees is None:
            yield "How sharply it bends is not described: taken as 45 degrees."
        inside = [trouble for trouble in hole.trouble if trouble.side == hole.bend_to]
        if not inside and any(shot.today.carry > hole.bend_at for shot in tried):
            yield "What stands inside the bend is not described."
    if par == 3 and not (hole.green_depth and hole.green_width):
        yield "The size of the green is not described: taken as a usual one."
    if best.club.is_published:
        yield f"how your own {best.club.name} scatters: published figures are taken"
