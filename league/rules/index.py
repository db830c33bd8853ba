"""From differentials to an index: table, low index, caps, exceptional scores, ceiling (Rules 5.2, 5.3, 5.7 to 5.9).

Everything here counts in whole tenths; the functions with Decimal arguments are the same steps at the edge.

>>> handicap_index([Decimal("15.3"), Decimal("15.2"), Decimal("16.6")])
Decimal('13.2')
>>> shown(Decimal("-2.4"))
'+2.4'
>>> table_row(2)
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: An index needs at least 3 scores.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from league.rules.errors import RuleBroken
from league.rules.rounding import Exact, as_decimal, exact, tenths

WINDOW = 20
FEWEST_SCORES = 3
CEILING = 540
LOW_WINDOW_DAYS = 365

# Rule 5.2a: for 0..20 scores, how many of the lowest are averaged and the adjustment in tenths.
LOWEST_USED = (0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 5, 5, 6, 6, 7, 8)
TABLE_ADJUSTMENT = (0, 0, 0, -20, -10, 0, -10) + (0,) * 14


def table_row(scores: int) -> tuple[int, Decimal]:
    """How many of the lowest differentials are averaged, and the adjustment, for a number of scores (Rule 5.2a).

    RuleBroken `too_few_scores` below 3; above 20 only the last 20 count.
    """
    if scores < FEWEST_SCORES:
        raise RuleBroken("too_few_scores", "An index needs at least 3 scores.")
    n = min(scores, WINDOW)
    return LOWEST_USED[n], as_decimal(TABLE_ADJUSTMENT[n])


def calculated_index(differentials: Sequence[int]) -> int | None:
    """Index in tenths from at most 20 effective differentials in tenths, before caps; None below 3 (Rule 5.2)."""
    return index_of_ordered(sorted(differentials))


def index_of_ordered(differentials: Sequence[int]) -> int | None:
    """The same from differentials that stand in order already, the lowest first."""
    n = len(differentials)
    lowest = LOWEST_USED[n]
    if not lowest:
        return None
    return (2 * sum(differentials[:lowest]) + lowest) // (2 * lowest) + TABLE_ADJUSTMENT[n]


def capped(calculated: int, low: int) -> tuple[int, str]:
    """Index after the soft and the hard cap, in tenths, and which cap acted: '', 'soft' or 'hard' (Rule 5.8).

    More than 3.0 above the low index counts half; never more than 5.0 above it. Halves upward.
    """
    over = calculated - low
    if over <= 30:
        return calculated, ""
    if over <= 70:
        return low + 30 + (over - 29) // 2, "soft"
    return low + 50, "hard"


def reduction_tenths(index: int, numerator: int, denominator: int) -> int:
    """Tenths taken off each differential of the window for an exceptional score: 0, -10 or -20 (Rule 5.9).

    The index is in tenths, the unrounded differential numerator over denominator in tenths. 7.0 better gives -1.0,
    10.0 better gives -2.0.
    """
    better = index * denominator - numerator
    if better < 70 * denominator:
        return 0
    return -10 if better < 100 * denominator else -20


def exceptional_reduction(index: Exact, unrounded: Exact) -> Decimal:
    """0.0, -1.0 or -2.0 strokes on each differential of the window for an exceptional score (Rule 5.9).

    Compares the index in force with the unrounded differential: -1.0 from 7.0 better, -2.0 from 10.0 better.
    """
    unrounded_tenths = 10 * exact(unrounded)
    return as_decimal(reduction_tenths(tenths(index), unrounded_tenths.numerator, unrounded_tenths.denominator))


def handicap_index(differentials: Sequence[Decimal], low: Decimal | None = None) -> Decimal | None:
    """Index from effective differentials in play order; the last 20 count; None below 3 (Rules 5.2, 5.3 and 5.8)."""
    calculated = calculated_index([tenths(value) for value in differentials[-WINDOW:]])
    if calculated is None:
        return None
    if low is not None:
        calculated, _ = capped(calculated, tenths(low))
    return as_decimal(min(calculated, CEILING))


def capped_index(calculated: Decimal, low: Decimal) -> Decimal:
    """Index after soft cap, hard cap and the ceiling of 54.0 (Rules 5.3 and 5.8)."""
    return as_decimal(min(capped(tenths(calculated), tenths(low))[0], CEILING))


def shown(index: Decimal | None) -> str:
    """An index as players read it: '+2.4' for -2.4, '12.0' for twelve, '-' for none (Rule 5.2c)."""
    if index is None:
        return "-"
    value = as_decimal(tenths(index))
    return f"+{-value}" if value < 0 else str(value)


class FallingLow:
    """The lowest value issued in a sliding stretch of days, kept small (Rule 5.7).

    Only values that nothing later undercuts are kept, so the first one kept is the lowest.
    """

    __slots__ = ("kept",)

    def __init__(self, kept: Iterable[tuple[int, int]] = ()) -> None:
        """Start from (day number, value in tenths) pairs as kept earlier."""
        self.kept = list(kept)

    def issue(self, day: int, value: int) -> None:
        """Take in a value issued on a day that is not before the last one."""
        kept = self.kept
        while kept and kept[-1][1] >= value:
            kept.pop()
        kept.append((day, value))

    def since(self, first_day: int) -> int | None:
        """The lowest value issued on or after a day; forgets what lies before it."""
        kept = self.kept
        while kept and kept[0][0] < first_day:
            del kept[0]
        return kept[0][1] if kept else None


class IndexSteps:
    """What must be remembered between index revisions: the last value, the low index, whether that is established.

    `revise` is one revision: table, soft and hard cap, ceiling, then the new low (Rules 5.2, 5.3, 5.7 and 5.8).
    Days are day numbers, values are tenths.
    """

    __slots__ = ("established", "falling", "low", "low_counts_early", "low_window_days", "value")

    def __init__(self, low_counts_early: bool = True, low_window_days: int = LOW_WINDOW_DAYS) -> None:
        """Start with no index and no low."""
        self.low_counts_early = low_counts_early
        self.low_window_days = low_window_days
        self.falling = FallingLow()
        self.value: int | None = None
        self.low: int | None = None
        self.established = False

    def revise(
        self, ordered: Sequence[int], issued_on: int, last_played_on: int | None
    ) -> tuple[int | None, str, bool]:
        """Issue the index that follows from the window's effective differentials, lowest first, into `value`.

        Returns the value calculated before caps, the cap that acted, and whether the ceiling did.
        """
        calculated = value = index_of_ordered(ordered)
        cap, is_ceiling = "", False
        is_full = len(ordered) == WINDOW
        if value is not None:
            if self.low is not None:
                value, cap = capped(value, self.low)
            if value > CEILING:
                value, is_ceiling = CEILING, True
            if is_full or self.low_counts_early:
                self.falling.issue(issued_on, value)
        self.established = self.established or is_full
        self.value = value
        self.settle_low(last_played_on)
        return calculated, cap, is_ceiling

    def settle_low(self, last_played_on: int | None) -> None:
        """Look the low index up afresh for a record whose last round was played on a day (Rule 5.7)."""
        lowest = None if last_played_on is None else self.falling.since(last_played_on - self.low_window_days)
        self.low = lowest if self.established else None


def rebuild(rounds: Iterable[tuple[int, int, int, int, int]]) -> list[int | None]:
    """The index in tenths after each bare 18-hole score, entered on the day it was played, oldest first.

    Each round is (day number, adjusted gross, rating in tenths, slope rating, playing conditions). Every index is
    issued the day after, so rounds of one day share the morning's index (Rule 5.4). Quick enough for a million rounds.
    """
    steps = IndexSteps()
    window: list[int] = []
    values: list[int | None] = []
    today = -1
    in_force: int | None = None
    for day, adjusted_gross, rating, slope, conditions in rounds:
        if day != today:
            today, in_force = day, steps.value
        # Tenths: the unrounded differential is scaled / slope.
        scaled = 113 * (10 * (adjusted_gross - conditions) - rating)
        window.append((2 * scaled + slope) // (2 * slope))
        if len(window) > WINDOW:
            del window[0]
        if in_force is not None:
            reduction = reduction_tenths(in_force, scaled, slope)
            if reduction:
                window = [differential + reduction for differential in window]
        steps.revise(sorted(window), day + 1, day)
        values.append(steps.value)
    return values


def low_index(
    issued: Iterable[tuple[int, Decimal]], last_played_on: int, days: int = LOW_WINDOW_DAYS
) -> Decimal | None:
    """Lowest index issued from `days` before the last round was played; all days are day numbers (Rule 5.7)."""
    values = [value for day, value in issued if day >= last_played_on - days]
    return min(values) if values else None
