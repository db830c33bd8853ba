"""One club from the tee of a par 4 or more: what it meets, what is left, what it costs.

The cost is the strokes expected to hole out: the tee shot, and then by where it ends.

- Out of bounds: a stroke and the distance (Rule 18.2), so the same shot again.
- A penalty area: a stroke and a drop (Rule 17.1), by the hole's line where the ball went in, into rough; on the near
  side of one that crosses.
- Bunker, trees, a fall-off, and what lies outside the described width (rough): by lie, see `strokes_left`.
- Else short grass; near a green, green or short grass round it, over the whole spread, and the poor strikes of `green`
  short of it.

Pieces of trouble are taken as if they did not overlap; where their chances add to more than one they are scaled.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from statistics import NormalDist

from league.estimates.carries import Carry
from league.estimates.conditions import Conditions, carry_today
from league.estimates.green import POOR_GO, chance_on, good_strikes, green_of
from league.estimates.heights import rise_of_tee_shot
from league.estimates.landing import Landing, landing_of, middle_between
from league.estimates.strokes_left import GREEN, strokes_left
from league.estimates.tee_words import aimed, odds, rest, where
from league.estimates.zones import OFF_LINE, Line, Zone, half_width, in_yards, line_of, zones_of
from league.rules.described import Described, Side, Trouble, TroubleKind

PENALTIES = (TroubleKind.OUT_OF_BOUNDS, TroubleKind.PENALTY_AREA)
LIE_IN = {TroubleKind.BUNKER: "sand", TroubleKind.TREES: "trees", TroubleKind.FALL_OFF: "slope"}

SENSIBLE_SHARE = 0.6
"""Of the longest carry: shorter clubs are not tried from a tee that needs more than one shot."""
LONGEST_SHARE = 1.1
"""Of the length of the hole: longer clubs are not tried."""
FARTHEST_AIM = 20
AIM_STEP = 5
ROUND_GREEN = 60
"""Yards; nearer than this the green is looked at point by point."""
NEAR_STEPS = 2
"""To a yard or metre, of what is looked up near the green."""
WORTH_NAMING = 0.01
DREAD = 0.25
"""Strokes more than it costs that every ball out of bounds or in a penalty area counts in a choice; ours."""
MOST_OUT = 0.9

_Z = [NormalDist().inv_cdf((place + 0.5) / 9) for place in range(9)]
NODES = tuple(z / math.sqrt(sum(one * one for one in _Z) / 9) for z in _Z)
"""Nine equally likely values of a standard normal one."""


@dataclass(frozen=True, slots=True)
class Meeting:
    """The chance of ending in a piece of trouble, failing to clear it included; `lost` is what that costs in
    strokes.
    """

    trouble: Trouble
    chance: float
    words: str
    lost: float = 0.0


@dataclass(frozen=True, slots=True)
class TeeShot:
    """`aim`: the line to start on, off the middle, right positive; `ends_off`: where the ball then ends.

    `left` is to the middle of the green, and `rest` says it in words; `cost` are the strokes expected to hole out,
    penalties in. `today` is the club with what the day does to its carry.
    """

    club: Carry
    aim: float
    meets: tuple[Meeting, ...]
    left: float
    cost: float
    words: str
    ends_off: float
    today: Carry
    rest: str

    @property
    def penalty_chance(self) -> float:
        return sum(meeting.chance for meeting in self.meets if meeting.trouble.kind in PENALTIES)

    @property
    def lost(self) -> float:
        return math.fsum(meeting.lost for meeting in self.meets)


@dataclass(frozen=True)
class Tee:
    """A hole that is not a par 3 (see `par_threes`), as seen by one player on one day."""

    hole: Described
    length: int
    level: float
    conditions: Conditions
    unit: str
    line: Line = field(init=False)
    zones: tuple[Zone, ...] = field(init=False)
    near: tuple[tuple[float, float], ...] = field(init=False)

    def __post_init__(self) -> None:
        put = object.__setattr__
        put(self, "line", line_of(self.hole, self.length))
        put(self, "zones", zones_of(self.hole, self.line, self.unit))
        put(self, "near", _near(self.level, self.unit))

    def after(self, left: float, lie: str = "short grass") -> float:
        return strokes_left(left, self.level, self.unit, lie)

    def is_near(self, left: float) -> bool:
        """Whether the green is looked at point by point."""
        return left < in_yards(ROUND_GREEN, self.unit)

    def left_at(self, along: float, across: float) -> float:
        """To the middle of the green; how far aside matters near it only."""
        left = abs(self.length - along)
        return math.hypot(left, across) if self.is_near(left) else left

    def today(self, club: Carry) -> Carry:
        rise = rise_of_tee_shot(self.hole, 4, club.carry, self.length)
        return carry_today(club, self.conditions, rise)

    def landing(self, club: Carry) -> Landing:
        """In the middle, today; near the green with the share of its good strikes."""
        landing = landing_of(self.today(club), self.conditions)
        return replace(landing, good=good_strikes(landing.ends, self.level, self.unit, club))


@lru_cache(maxsize=64)
def _near(level: float, unit: str) -> tuple[tuple[float, float], ...]:
    """Strokes to come on the green and beside it, `NEAR_STEPS` to a yard or metre."""
    farthest = int(in_yards(ROUND_GREEN, unit) * 3)
    steps = [step / NEAR_STEPS for step in range(NEAR_STEPS * farthest + 1)]
    return tuple((strokes_left(d, level, unit, GREEN), strokes_left(d, level, unit)) for d in steps)


def sensible(carries: Sequence[Carry], tee: Tee) -> tuple[Carry, ...]:
    """The clubs worth trying, longest first; never none.

    And for each piece of trouble that crosses, the longest club that stays short of it but for two shots in a hundred.
    """
    clubs = sorted((club for club in carries if club.carry > 0), key=lambda one: (-one.carry, one.name))
    if not clubs:
        return ()
    tried = [one for one in clubs if SENSIBLE_SHARE * clubs[0].carry <= one.carry <= LONGEST_SHARE * tee.length]
    tried = tried or [min(clubs, key=lambda one: (abs(one.carry - tee.length), one.name))]
    crossing = {zone.begins for zone in tee.zones if tee.hole.trouble[zone.place].side == Side.ACROSS}
    for begins in crossing:
        short = (club for club in clubs if _reaches(club, tee) < begins)
        tried += list(short)[:1]
    return tuple(club for club in clubs if club in tried)


def _reaches(club: Carry, tee: Tee) -> float:
    """What two shots in a hundred go beyond."""
    landing = tee.landing(club)
    return landing.ends + 2 * landing.long_sd


def best_with(club: Carry, tee: Tee) -> TeeShot:
    """The club with the aim that costs least; of two that cost the same the one nearer the middle."""
    landing = tee.landing(club)
    across = min(_aims(landing, tee), key=lambda aim: (round(_cost(landing.aimed(aim), tee).total, 3), abs(aim), aim))
    return shot_of(club, tee, across)


def shot_of(club: Carry, tee: Tee, across: float) -> TeeShot:
    """The club aimed so that it ends so far off the middle."""
    today = tee.today(club)
    landing = tee.landing(club).aimed(across)
    cost = _cost(landing, tee)
    left = tee.line.left_from(landing)
    aim = across - today.curve
    is_long = tee.line.bend_at is None and landing.ends > tee.length
    meets = tuple(_meetings(landing, tee, cost))
    ends = rest(left, is_long, tee.is_near(left))
    return TeeShot(club, aim, meets, left, cost.total, said(club, aim, across, ends, meets), across, today, ends)


def said(club: Carry, aim: float, across: float, ends: str, meets: Sequence[Meeting]) -> str:
    """The tee shot in one line, with the two that cost most of what it meets."""
    most = sorted(meets, key=lambda meeting: -meeting.lost)[:2]
    met = "; " + " and ".join(meeting.words for meeting in most) if most else ""
    return f"{club.name}, {aimed(aim, across)}; {ends}{met}"


def meeting(trouble: Trouble, chance: float, lost: float, is_carried: bool) -> Meeting:
    """`is_carried`: the usual shot carries what crosses."""
    clears = trouble.side == Side.ACROSS and is_carried
    verb = "fails to clear" if clears else "goes" if trouble.kind == TroubleKind.OUT_OF_BOUNDS else "finds"
    return Meeting(trouble, chance, f"{verb} {where(trouble)} {odds(chance)}", lost)


@dataclass(frozen=True, slots=True)
class _Cost:
    total: float
    chances: dict[int, float]
    lost: dict[int, float]


def _aims(landing: Landing, tee: Tee) -> tuple[float, ...]:
    if not tee.zones and tee.line.bend_at is None:
        return (0.0,)
    step = in_yards(AIM_STEP, tee.unit)
    farthest = half_width(tee.hole, landing.ends) or in_yards(FARTHEST_AIM, tee.unit)
    steps = int(min(farthest, in_yards(FARTHEST_AIM, tee.unit)) / step + 1e-9)
    return tuple(step * place for place in range(-steps, steps + 1))


def _cost(landing: Landing, tee: Tee) -> _Cost:
    """What the shot costs where it meets no trouble, and for each piece how much more a ball in it costs than there.

    With c the cost, a ball out of bounds costs 1 + c more than the place it went out is worth: solved for c.
    """
    past = tee.line.seen(landing)
    chances: dict[int, float] = {}
    lost: dict[int, float] = {}
    for zone in tee.zones:
        seen = past if zone.is_past_bend else landing
        chance = zone.chance(seen)
        if chance > 0:
            chances[zone.place] = chances.get(zone.place, 0.0) + chance
            lost[zone.place] = lost.get(zone.place, 0.0) + chance * _more(zone, seen, tee)
    outs = [place for place in chances if tee.hole.trouble[place].kind == TroubleKind.OUT_OF_BOUNDS]
    shares = _shares(chances, outs)
    chances = {place: chance * shares[place] for place, chance in chances.items()}
    lost = {place: more * shares[place] for place, more in lost.items()}
    out = math.fsum(chances[place] for place in outs)
    total = (1 + _clear(landing, past, tee, chances) + math.fsum(lost.values())) / (1 - out)
    again = {place: chances[place] * total for place in outs}
    return _Cost(total, chances, {place: more + again.get(place, 0.0) for place, more in lost.items()})


def _shares(chances: Mapping[int, float], outs: Sequence[int]) -> dict[int, float]:
    """What is left of each chance where they add to more than one, or where next to nothing stays in bounds."""
    share = 1 / max(1.0, math.fsum(chances.values()))
    out = share * math.fsum(chances[place] for place in outs)
    return {place: share * (MOST_OUT / out if place in outs and out > MOST_OUT else 1.0) for place in chances}


def _more(zone: Zone, seen: Landing, tee: Tee) -> float:
    """Strokes that a ball in it costs more than one from short grass where it would have ended.

    Out of bounds without the strokes of the next try.
    """
    trouble = tee.hole.trouble[zone.place]
    along = middle_between(seen.along, seen.long_sd, zone.begins - seen.run, zone.ends)
    across = middle_between(seen.across, seen.wide_sd, zone.left, zone.right)
    free = tee.after(tee.left_at(along + seen.run, across))
    if trouble.kind == TroubleKind.OUT_OF_BOUNDS:
        return 1 - free
    if trouble.kind == TroubleKind.PENALTY_AREA and trouble.side == Side.ACROSS:
        return 1 + tee.after(tee.length - zone.begins, "rough") - free
    left = tee.left_at(min(max(along, zone.begins), zone.ends), across)
    if trouble.kind == TroubleKind.PENALTY_AREA:
        return 1 + tee.after(left, "rough") - free
    return tee.after(left, LIE_IN[trouble.kind]) - free


def _clear(landing: Landing, past: Landing, tee: Tee, chances: dict[int, float]) -> float:
    """Strokes to come, as if no trouble were met."""
    left = tee.line.left_from(landing)
    if tee.is_near(left):
        return _round_green(landing, tee) if tee.line.bend_at is None else _round_green(past, tee)
    is_past = tee.line.is_past(landing.ends)
    half = half_width(tee.hole, landing.ends) or (in_yards(OFF_LINE, tee.unit) if is_past else math.inf)
    seen = past if is_past else landing
    beside = math.fsum(chance for place, chance in chances.items() if tee.hole.trouble[place].side != Side.ACROSS)
    rough = max(0.0, 1 - seen.chance_across(-half, half) - beside)
    return tee.after(left) + rough * (tee.after(left, "rough") - tee.after(left))


def _round_green(seen: Landing, tee: Tee) -> float:
    """The chance of the green in closed form; what a ball on it and one off it are worth, from the nodes.

    Poor strikes come up short, on short grass.
    """
    green = green_of(tee.hole, tee.unit)
    beyond = seen.ends - tee.length
    last = len(tee.near) - 1
    on, n_on, off, n_off = 0.0, 0, 0.0, 0
    for up in NODES:
        along = beyond + up * seen.long_sd
        for aside in NODES:
            across = seen.across + aside * seen.wide_sd
            on_green, off_green = tee.near[min(last, int(NEAR_STEPS * math.hypot(along, across) + 0.5))]
            if green.holds(along, across):
                on, n_on = on + on_green, n_on + 1
            else:
                off, n_off = off + off_green, n_off + 1
    edge = tee.near[min(last, int(NEAR_STEPS * green.depth / 2))]
    chance = chance_on(green, beyond, seen.long_sd, seen.across, seen.wide_sd)
    good = chance * (on / n_on if n_on else edge[0]) + (1 - chance) * (off / n_off if n_off else edge[1])
    if seen.good == 1:
        return good
    poor = math.fsum(tee.after(tee.length - part * seen.ends) for part in POOR_GO) / len(POOR_GO)
    return seen.good * good + (1 - seen.good) * poor


def _meetings(landing: Landing, tee: Tee, cost: _Cost) -> Iterator[Meeting]:
    for place, chance in sorted(cost.chances.items()):
        if chance >= WORTH_NAMING:
            zone = next(zone for zone in tee.zones if zone.place == place)
            yield meeting(tee.hole.trouble[place], chance, cost.lost[place], landing.along > zone.ends)
