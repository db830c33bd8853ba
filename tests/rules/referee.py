"""A second, deliberately slow reading of the rules, to referee the product's engine.

No state is carried from one event to the next. The only thing kept is the list of revisions issued so far, because the
index in force on a past day and the low index are defined by it. For event number i everything else (what stands in the
record, what each card is worth, which lines lie on it, the window, the founding value) is asked of the plain list of
events up to i. Exact fractions everywhere; one rounding, floor(x + 1/2), which is "halves upward" also below zero.

Numbers of rules are those of the Rules of Handicapping, 2024 edition. Imports nothing of the product.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction as F
from functools import cache, wraps
from math import floor
from typing import Any, NamedTuple

PICKED_UP = "up"
TABLE = {  # Rule 5.2a: scores in the record -> (how many of the lowest, adjustment)
    3: (1, -2), 4: (1, -1), 5: (1, 0), 6: (2, -1), 7: (2, 0), 8: (2, 0), 9: (3, 0), 10: (3, 0), 11: (3, 0), 12: (4, 0),
    13: (4, 0), 14: (4, 0), 15: (5, 0), 16: (5, 0), 17: (6, 0), 18: (6, 0), 19: (7, 0), 20: (8, 0),
}  # fmt: skip


class Settings(NamedTuple):
    low_counts_early: bool = True
    round_half_index: bool = False
    expected_slope: F = F(104, 100)
    expected_constant: F = F(24, 10)
    low_window_days: int = 365


class PlainTee(NamedTuple):
    """Nine or eighteen holes as (par, stroke index); nines: (rating, slope) of front and back, 18-hole tees only."""

    holes: tuple[tuple[int, int], ...]
    rating: F
    slope: int
    nines: tuple[tuple[F, int], ...] = ()


class PlainCard(NamedTuple):
    """Scores hole by hole (a number, PICKED_UP, or None: not played), or a total that is already adjusted."""

    part: str  # "whole" (18 holes; a nine-hole tee twice), "front", "back" (a nine-hole tee once is "front")
    scores: tuple[int | str | None, ...] = ()
    total: int | None = None


class Event(NamedTuple):
    kind: str  # entered, corrected, withdrawn, adjusted, lifted
    entered_on: date
    key: str = ""
    played_on: date | None = None
    order: int = 1
    tee: PlainTee | None = None
    card: PlainCard | None = None
    conditions: int = 0
    amount: F = F(0)


class Line(NamedTuple):
    target: str
    amount: F
    cause: str  # the key of the exceptional round; empty for the committee


def whole(x: F) -> int:
    return floor(x + F(1, 2))


def tenths(x: F) -> F:
    return F(floor(x * 10 + F(1, 2)), 10)


# ---- one card, given the index in force --------------------------------------------------------------------------


class Ground(NamedTuple):
    """The holes a card was played over: par, rank and how many ranks there are, rating and slope."""

    pars: tuple[int, ...]
    ranks: tuple[int, ...]
    rating: F
    slope: int


def ranked(indexes: list[int]) -> list[int]:
    return [1 + sum(other < mine for other in indexes) for mine in indexes]


@cache
def ground(tee: PlainTee, part: str) -> Ground:
    pars, indexes = [par for par, _ in tee.holes], [index for _, index in tee.holes]
    if part != "whole":
        nine = slice(0, 9) if part == "front" else slice(9, 18)
        rating, slope = tee.nines[0 if part == "front" else 1] if tee.nines else (tee.rating, tee.slope)
        return Ground(tuple(pars[nine]), tuple(ranked(indexes[nine])), rating, slope)
    if len(pars) == 9:
        ranks = ranked(indexes)
        twice = [2 * rank - 1 for rank in ranks] + [2 * rank for rank in ranks]
        return Ground(tuple(pars + pars), tuple(twice), tee.rating * 2, tee.slope)
    return Ground(tuple(pars), tuple(indexes), tee.rating, tee.slope)


def strokes_on(rank: int, course_handicap: int, n_ranks: int) -> int:
    """Deals the strokes out one by one, as one would at a table: from 1 up, or given back from the last down."""
    dealt = 0
    for turn in range(abs(course_handicap)):
        place = turn % n_ranks
        if course_handicap > 0 and place + 1 == rank:
            dealt += 1
        if course_handicap < 0 and n_ranks - place == rank:
            dealt -= 1
    return dealt


def course_handicap(ground_: Ground, index: F, settings: Settings) -> int:
    """Rule 6.1, rounded as for strokes on holes (3.1b)."""
    if len(ground_.pars) == 9:
        index = tenths(index / 2) if settings.round_half_index else index / 2
    return whole(index * ground_.slope / 113 + ground_.rating - sum(ground_.pars))


@cache
def hole_caps(ground_: Ground, index: F | None, settings: Settings) -> tuple[int, ...]:
    """Rule 3.1: par + 5 without an index, else par + 2 + strokes."""
    if index is None:
        return tuple(par + 5 for par in ground_.pars)
    handicap = course_handicap(ground_, index, settings)
    n_ranks = len(ground_.pars)
    return tuple(
        par + 2 + strokes_on(rank, handicap, n_ranks) for par, rank in zip(ground_.pars, ground_.ranks, strict=True)
    )


@cache
def adjusted_gross(tee: PlainTee, card: PlainCard, index: F | None, settings: Settings) -> int:
    if card.total is not None:
        return card.total
    caps = hole_caps(ground(tee, card.part), index, settings)
    return sum(
        cap if score == PICKED_UP else min(score, cap)
        for score, cap in zip(card.scores, caps, strict=True)
        if score is not None
    )


def n_holes(card: PlainCard) -> int:
    if card.total is not None:
        return 18 if card.part == "whole" else 9
    return sum(score is not None for score in card.scores)


@cache
def played_part(tee: PlainTee, card: PlainCard, conditions: int, adjusted: int) -> F:
    """The unrounded differential of the holes that were played (5.1a, 5.1b, 3.2b)."""
    ground_ = ground(tee, card.part)
    held = n_holes(card)
    if held == len(ground_.pars):
        rating = ground_.rating
    else:
        par = sum(par for par, score in zip(ground_.pars, card.scores, strict=True) if score is not None)
        rating = par + (ground_.rating - sum(ground_.pars)) * held / 18
    return F(113) * (adjusted - rating - F(conditions * held, 18)) / ground_.slope


def missing_part(holes_played: int, index: F, settings: Settings) -> F:
    return F(18 - holes_played, 18) * (settings.expected_slope * index + settings.expected_constant)


def from_table(differentials: list[F]) -> F | None:
    """Rule 5.2, rounded once at the end; neither capped nor held to 54.0."""
    if len(differentials) < 3:
        return None
    lowest, adjustment = TABLE[len(differentials)]
    return tenths(sum(sorted(differentials)[:lowest], F(0)) / lowest + adjustment)


def under_ceiling(index: F) -> F:
    return min(index, F(54))


def capped(calculated: F, low: F) -> F:
    """Rule 5.8."""
    rise = calculated - low
    if rise <= 3:
        return calculated
    return tenths(low + min(3 + (rise - 3) / 2, F(5)))


def answered_once(question: Callable[..., Any]) -> Callable[..., Any]:
    """Keeps answers: a question about event j looks at nothing after event j, so its answer cannot change."""

    @wraps(question)
    def answer(self: Referee, *about: Any) -> Any:
        asked = (question.__name__, *about)
        if asked not in self.answers:
            self.answers[asked] = question(self, *about)
        return self.answers[asked]

    return answer


# ---- the whole record, asked anew for every event ----------------------------------------------------------------


class Referee:
    def __init__(self, events: list[Event], settings: Settings = Settings()) -> None:  # noqa: B008
        self.events = events
        self.settings = settings
        self.answers: dict[tuple[Any, ...], Any] = {}
        self.revisions: list[dict[str, Any]] = []
        for i in range(len(events)):
            self.revisions.append(self.revision(i))

    # The cards that stand after event i: key -> number of the event that gave the present version.

    @answered_once
    def standing_cards(self, i: int) -> dict[str, int]:
        cards: dict[str, int] = {}
        for j, event in enumerate(self.events[: i + 1]):
            if event.kind in ("entered", "corrected"):
                cards[event.key] = j
            elif event.kind == "withdrawn":
                cards.pop(event.key)
        return cards

    @answered_once
    def first_entered(self, key: str) -> int:
        return next(j for j, event in enumerate(self.events) if event.kind == "entered" and event.key == key)

    @answered_once
    def in_play_order(self, i: int) -> list[int]:
        """Events whose cards stand after event i, in order of play."""

        def place(j: int) -> tuple[Any, ...]:
            return self.events[j].played_on, self.events[j].order, self.first_entered(self.events[j].key)

        return sorted(self.standing_cards(i).values(), key=place)

    # Founding (Rule 4.5).

    @answered_once
    def founding(self, i: int) -> int | None:
        """The first event, up to i, after which 54 holes of nines and eighteens stand."""
        for f in range(i + 1):
            cards = [self.events[j].card for j in self.standing_cards(f).values()]
            if sum(n_holes(card) for card in cards if n_holes(card) in (9, 18)) >= 54:
                return f
        return None

    @answered_once
    def founding_value(self, f: int) -> F:
        order = self.in_play_order(f)
        entries, waiting = [], None
        for j in order:
            held = n_holes(self.events[j].card)
            if held == 18:
                entries.append(self.effective(j, f))
            elif held == 9 and waiting is None:
                waiting = self.nine_alone(j)
            elif held == 9:
                entries.append(tenths(waiting + self.nine_alone(j)))
                waiting = None
        return under_ceiling(from_table(entries))

    def nine_alone(self, j: int) -> F:
        event = self.events[j]
        return played_part(event.tee, event.card, event.conditions, self.adjusted(j))

    # One card as it was worked out at its own event j.

    @answered_once
    def in_force(self, j: int) -> F | None:
        issued = [r for r in self.revisions[:j] if r["issued_on"] <= self.events[j].played_on]
        return issued[-1]["index"] if issued else None

    @answered_once
    def adjusted(self, j: int) -> int:
        event = self.events[j]
        return adjusted_gross(event.tee, event.card, self.in_force(j), self.settings)

    def counts(self, j: int, i: int) -> bool:
        """Whether the card of event j has a differential after event i."""
        held = n_holes(self.events[j].card)
        if held == 18 or self.in_force(j) is not None:
            return True
        return held == 9 and self.founding(i) is not None

    @answered_once
    def exact(self, j: int, i: int) -> F:
        """The unrounded differential of event j's card, asked after event i; only for cards that count."""
        event, index = self.events[j], self.in_force(j)
        held = n_holes(event.card)
        played = played_part(event.tee, event.card, event.conditions, self.adjusted(j))
        if held == 18:
            return played
        if index is None:
            index = self.founding_value(self.founding(i))
        return played + missing_part(held, index, self.settings)

    @answered_once
    def window(self, i: int, ending_with: str | None = None) -> list[int]:
        order = [j for j in self.in_play_order(i) if self.counts(j, i)]
        if ending_with is not None:
            place = next(n for n, j in enumerate(order) if self.events[j].key == ending_with)
            order = order[: place + 1]
        return order[-20:]

    # Lines on scores: exceptional scores (5.9) and the committee (7.1a).

    def reduction(self, j: int) -> F:
        index = self.in_force(j)
        if index is None or not self.counts(j, j):
            return F(0)
        better = index - self.exact(j, j)
        return F(-2) if better >= 10 else F(-1) if better >= 7 else F(0)

    @answered_once
    def lines_made_by(self, j: int) -> list[Line]:
        event = self.events[j]
        if event.kind == "adjusted":
            return [Line(self.events[t].key, event.amount, "") for t in self.window(j)]
        if event.kind in ("entered", "corrected") and self.reduction(j):
            return [Line(self.events[t].key, self.reduction(j), event.key) for t in self.window(j, event.key)]
        return []

    @answered_once
    def lines(self, i: int) -> list[Line]:
        standing = self.standing_cards(i)
        kept = []
        for j in range(i + 1):
            later = self.events[j + 1 : i + 1]
            for line in self.lines_made_by(j):
                undone = line.cause and any(
                    e.key == line.cause and e.kind in ("corrected", "withdrawn", "lifted") for e in later
                )
                if not undone and line.target in standing:
                    kept.append(line)
        return kept

    @answered_once
    def effective(self, j: int, i: int) -> F:
        key = self.events[j].key
        return tenths(self.exact(j, i)) + sum((line.amount for line in self.lines(i) if line.target == key), F(0))

    # The low index (5.7).

    def superseded(self, revision: dict[str, Any], i: int) -> bool:
        held = {key for key, _, _ in revision["window"]}
        since = self.events[revision["number"] : i + 1]
        return any(e.kind in ("corrected", "withdrawn") and e.key in held for e in since)

    @answered_once
    def anchor(self, i: int) -> date | None:
        for earlier in range(i, -1, -1):
            played = [self.events[j].played_on for j in self.standing_cards(earlier).values()]
            if played:
                return max(played)
        return None

    def low(self, revisions: list[dict[str, Any]], anchored_at: int, i: int) -> F | None:
        """The lowest of these revisions' values, the window hanging on the last play date after event anchored_at."""
        if not any(len(r["window"]) == 20 for r in revisions):
            return None
        since = self.anchor(anchored_at) - timedelta(days=self.settings.low_window_days)
        values = [
            r["index"]
            for r in revisions
            if r["index"] is not None
            and r["issued_on"] >= since
            and not self.superseded(r, i)
            and (self.settings.low_counts_early or len(r["window"]) == 20)
        ]
        return min(values, default=None)

    # The revision.

    def issued_on(self, i: int) -> date:
        days = [self.events[i].entered_on + timedelta(days=1)]
        days += [r["issued_on"] for r in self.revisions[:i]]
        days += [self.events[j].played_on + timedelta(days=1) for j in self.standing_cards(i).values()]
        return max(days)

    def revision(self, i: int) -> dict[str, Any]:
        window = self.window(i)
        effective = [self.effective(j, i) for j in window]
        calculated = from_table(effective) if self.founding(i) is not None else None
        low_before = self.low(self.revisions[:i], i - 1, i)
        index = calculated
        if calculated is not None and low_before is not None:
            index = capped(calculated, low_before)
        this = {
            "number": i + 1,
            "issued_on": self.issued_on(i),
            "calculated": calculated,
            "index": None if index is None else under_ceiling(index),
            "cap_low": low_before,
            "window": self.window_lines(window, effective, calculated),
        }
        this["low"] = self.low([*self.revisions[:i], this], i, i)
        this["score"] = self.score(i)
        return this

    def window_lines(self, window: list[int], effective: list[F], calculated: F | None) -> list[tuple[str, F, bool]]:
        lowest = TABLE[len(window)][0] if calculated is not None else 0
        best = sorted(range(len(window)), key=lambda n: (effective[n], -n))[:lowest]
        return [(self.events[j].key, effective[n], n in best) for n, j in enumerate(window)]

    def score(self, i: int) -> dict[str, Any] | None:
        event = self.events[i]
        if event.kind not in ("entered", "corrected"):
            return None
        index = self.in_force(i)
        return {
            "differential": tenths(self.exact(i, i)) if self.counts(i, i) else None,
            "adjusted_gross": self.adjusted(i),
            "reduction": self.reduction(i),
            "course_handicap": index
            if index is None
            else course_handicap(ground(event.tee, event.card.part), index, self.settings),
        }
