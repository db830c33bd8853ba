"""What to expect on a hole, how often it blows up, and how a barrier's budget is spread over the holes.

A player's own results on a hole are few, so they are shrunk to what the group's results there make likely: own results
weigh n / (n + 20). The budget is bogey-golf arithmetic (common practice): strokes over par that the barrier allows,
the same on every hole, and one more where the stroke index is low.

>>> holes = [Hole(number, 4, number) for number in range(1, 19)]
>>> personal_pars(90, holes)
(5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 4)
>>> affords(72, 90, pars=5).words
'three doubles, if five holes are pars'
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean

from league.estimates.estimate import NINETEEN_IN_TWENTY, Estimate, about
from league.estimates.words import count
from league.rules.scorecard import Hole

GROUP_WEIGHT = 20
"""Results on a hole that the group's are worth against the player's own."""
USUAL_SPREAD = 1.0
DOUBLE_OR_WORSE = 2.2
"""Strokes over par that a double or worse costs on average; computed from published counts of pars and birdies."""


@dataclass(frozen=True, slots=True)
class Result:
    """A hole played once: its number on the tee, par, strokes, and handicap strokes received there."""

    number: int
    par: int
    strokes: int
    received: int = 0

    @property
    def over(self) -> int:
        return self.strokes - self.par

    @property
    def is_blow_up(self) -> bool:
        """Net double bogey or worse: the same event for every level of play."""
        return self.over >= 2 + self.received

    @property
    def is_gross_blow_up(self) -> bool:
        return self.over >= 2


@dataclass(frozen=True, slots=True)
class Expected:
    """On one hole: mean strokes, and the share of blow-ups. `n` of either is the player's own results there."""

    number: int
    par: int
    strokes: Estimate
    blow_up: Estimate


def expected(own: Iterable[Result], group: Iterable[Result] = ()) -> dict[int, Expected]:
    """By hole number, for one tee. `group` are the others' results there. Holes that nobody played are left out."""
    mine, others = _by_number(own), _by_number(group)
    ahead = _usually_ahead(mine, others)
    all_mine = [result for results in mine.values() for result in results]
    spread = _spread(mine)
    found = {}
    for number in sorted(mine.keys() | others.keys()):
        results, there = mine.get(number, []), others.get(number, [])
        par = (results or there)[0].par
        usual_over = fmean(result.over for result in there) + ahead if there else _mean_over(all_mine)
        usual_risk = _share_of_blow_ups(there or all_mine)
        strokes = par + _shrunk(sum(result.over for result in results), len(results), usual_over)
        risk = _shrunk(sum(result.is_blow_up for result in results), len(results), usual_risk)
        error = spread / math.sqrt(len(results) + GROUP_WEIGHT)
        found[number] = Expected(number, par, about(strokes, error, len(results)), _share(risk, len(results)))
    return found


def _by_number(results: Iterable[Result]) -> dict[int, list[Result]]:
    found: dict[int, list[Result]] = defaultdict(list)
    for result in results:
        found[result.number].append(result)
    return found


def _usually_ahead(mine: dict[int, list[Result]], others: dict[int, list[Result]]) -> float:
    """Strokes a hole that the player needs more than the group on the same holes, shrunk to none."""
    differences = [
        result.over - fmean(other.over for other in others[number])
        for number, results in mine.items()
        if number in others
        for result in results
    ]
    return _shrunk(sum(differences), len(differences), 0.0)


def _shrunk(total: float, n: int, usual: float) -> float:
    return (total + GROUP_WEIGHT * usual) / (n + GROUP_WEIGHT)


def _mean_over(results: Sequence[Result]) -> float:
    return fmean(result.over for result in results)


def _share_of_blow_ups(results: Sequence[Result]) -> float:
    """With one more hole in two counted as a blow-up, so that no risk is nothing at all."""
    return (sum(result.is_blow_up for result in results) + 0.5) / (len(results) + 1)


def _spread(mine: dict[int, list[Result]]) -> float:
    """Deviation of a hole's score about that hole's mean, a stroke where too little is known."""
    free = sum(len(results) - 1 for results in mine.values())
    squares = 0.0
    for results in mine.values():
        mean = _mean_over(results)
        squares += sum((result.over - mean) ** 2 for result in results)
    return math.sqrt((GROUP_WEIGHT * USUAL_SPREAD**2 + squares) / (GROUP_WEIGHT + free))


def _share(risk: float, n: int) -> Estimate:
    """Wilson's interval, the group's weight counted as observations."""
    weight, z = n + GROUP_WEIGHT, NINETEEN_IN_TWENTY
    middle = (risk + z**2 / (2 * weight)) / (1 + z**2 / weight)
    reach = z / (1 + z**2 / weight) * math.sqrt(risk * (1 - risk) / weight + z**2 / (4 * weight**2))
    return Estimate(risk, max(0.0, middle - reach), min(1.0, middle + reach), n)


def over_par_allowed(barrier: int, par: int) -> int:
    return barrier - 1 - par


def allowances(barrier: int, par: int) -> tuple[int, ...]:
    """Strokes over par by stroke index, 1 to 18; they add up to what the barrier allows."""
    each, extra = divmod(over_par_allowed(barrier, par), 18)
    return tuple(each + (stroke_index <= extra) for stroke_index in range(1, 19))


def personal_pars(barrier: int, holes: Sequence[Hole]) -> tuple[int, ...]:
    """Hole by hole; they add up to the barrier's last allowed score. ValueError unless eighteen holes are given."""
    if sorted(hole.stroke_index for hole in holes) != [*range(1, 19)]:
        raise ValueError("a barrier is for eighteen holes, with stroke indexes 1 to 18")
    allowed = allowances(barrier, sum(hole.par for hole in holes))
    return tuple(hole.par + allowed[hole.stroke_index - 1] for hole in holes)


@dataclass(frozen=True, slots=True)
class Affords:
    """How many doubles or worse the budget bears, None if the pars and birdies are too few for bogeys elsewhere."""

    doubles: int | None
    words: str


def affords(par: int, barrier: int, pars: int, birdies: int = 0) -> Affords:
    """What the barrier bears with so many pars and birdies, bogeys elsewhere. ValueError beyond eighteen holes."""
    others = 18 - pars - birdies
    if min(pars, birdies, others) < 0:
        raise ValueError("pars and birdies are together 0 to 18")
    left = over_par_allowed(barrier, par) - others + birdies
    if left < 0:
        return Affords(None, _too_few(pars, birdies, others, -left))
    # A double costs 1.2 more than the bogey it replaces; in fifths of a stroke the division is exact.
    doubles = min(others, 5 * left // round(5 * (DOUBLE_OR_WORSE - 1)))
    return Affords(doubles, f"{count(doubles, 'double')}, if {_good_holes(pars, birdies)}")


def _good_holes(pars: int, birdies: int) -> str:
    if not pars and not birdies:
        return "all other holes are bogeys"
    parts = []
    if pars:
        parts.append(f"{count(pars, 'hole')} {'is a par' if pars == 1 else 'are pars'}")
    if birdies:
        parts.append(f"{count(birdies, 'hole')} {'is a birdie' if birdies == 1 else 'are birdies'}")
    return " and ".join(parts)


def _too_few(pars: int, birdies: int, others: int, missing: int) -> str:
    if missing > others:
        return f"it takes {count(birdies + missing - others, 'birdie')} and no bogey"
    birdies_too = f", {count(birdies, 'birdie')}" if birdies else ""
    return f"it takes {count(pars + missing, 'par')}{birdies_too} and no doubles"
