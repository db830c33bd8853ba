"""A player's scoring record: facts in the order they came in, and the index revision that each one causes.

Scores stand in order of play (Rule 4.2). Every fact, in its order of entry, gives one revision: the card's own
calculation with the index in force on the day of play (Rules 3, 5.1, 5.6, 6.1), exceptional scores (5.9), the table
over the last 20 (5.2), low index and caps (5.7, 5.8), ceiling (5.3). An index is issued the day after the fact (5.4).

`Record` keeps everything and takes every kind of fact. `Standing` keeps a small state and takes the usual fact, a round
played after all others, with the same result.

>>> tee = Tee(tuple(Hole(n, 4, n) for n in range(1, 19)), Decimal("72.0"), 113)
>>> record = Record()
>>> for day, gross in ((1, 90), (2, 88), (3, 95)):
...     played_on = date(2024, 5, day)
...     revision = record.apply(Entered(played_on, Posted(f"r{day}", played_on, 1, tee, Card.total(gross))))
>>> revision.index, revision.issued_on.isoformat()
(Decimal('14.0'), '2024-05-04')
>>> record.apply(Withdrawn(date(2024, 5, 9), "r7"))
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: There is no such round in this record.
"""

from bisect import bisect_right, insort
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from league.rules.differential import expected_differential, played_differential, rating_of_part
from league.rules.errors import RuleBroken
from league.rules.facts import (
    KINDS,
    Adjusted,
    Corrected,
    Entered,
    Event,
    Lifted,
    Options,
    Posted,
    Withdrawn,
    event_as_plain,
    event_from_plain,
)
from league.rules.index import (
    CEILING,
    LOWEST_USED,
    TABLE_ADJUSTMENT,
    WINDOW,
    FallingLow,
    IndexSteps,
    calculated_index,
    reduction_tenths,
)
from league.rules.plain import Plain, flag_of, list_of, whole_of, whole_or_none_of
from league.rules.revision import (
    COMMITTEE,
    EXCEPTIONAL,
    NINE_WAITS,
    PARTIAL_BEFORE_INDEX,
    Line,
    Mark,
    Revision,
    ScoreLine,
    WindowLine,
    revision_from_plain,
)
from league.rules.rounding import as_decimal, tenths, whole_tenths
from league.rules.scorecard import Card, Hole, HoleScore, Tee, adjusted_card, gross_score, par_played

__all__ = [
    "Adjusted",
    "Card",
    "Corrected",
    "Entered",
    "Event",
    "Hole",
    "HoleScore",
    "Lifted",
    "Next",
    "Options",
    "Posted",
    "Record",
    "Revision",
    "Score",
    "ScoreLine",
    "Standing",
    "Tee",
    "WindowLine",
    "Withdrawn",
    "event_as_plain",
    "event_from_plain",
    "replay",
    "revision_from_plain",
    "what_next",
]

MOST_PENDING_ISSUES = 40


class Score:
    """A round in the record: what was posted, its own calculation, and the changes that stand on its differential."""

    __slots__ = ("line", "lines", "mark", "number", "posted")

    def __init__(self, posted: Posted, number: int, line: ScoreLine, lines: tuple[Line, ...] = ()) -> None:
        """Place a calculated round; `number` is that of the fact which first entered it."""
        self.posted = posted
        self.number = number
        self.line = line
        self.lines = lines
        self.mark: Mark | None = None
        self.restate()

    @property
    def place(self) -> tuple[date, int, int]:
        """Order of play: day, order in the day, then order of entry (Rule 4.2)."""
        return self.posted.played_on, self.posted.order_in_day, self.number

    @property
    def effective(self) -> Decimal | None:
        """The differential as the table sees it, changes included; None while the score cannot count."""
        return None if self.mark is None else as_decimal(self.mark.effective)

    def restate(self) -> None:
        """Bring the mark for the window up to date after a change of calculation or lines."""
        self.mark = _mark(self.line, self.lines)

    def add(self, line: Line) -> None:
        """Put one more change on the differential."""
        self.lines = (*self.lines, line)
        self.restate()


class Record:
    """Every fact of one player, every score in play order, every revision."""

    def __init__(self, options: Options | None = None) -> None:
        """Start an empty record."""
        self.options = options or Options()
        self.revisions: list[Revision] = []
        self.scores: list[Score] = []
        self._by_key: dict[str, Score] = {}
        self._used_keys: set[str] = set()
        self._issued: list[int] = []
        self._values: list[int | None] = []
        self._superseded: set[int] = set()
        self._now = Standing(self.options)

    def apply(self, event: Event) -> Revision:
        """Take in one fact and issue the revision it causes.

        RuleBroken `key_used` for a round entered twice, `round_unknown` for a fact about a round that is not there.
        """
        now = self._now
        score = self._take_in(event, len(self.revisions) + 1)
        founding = self._found() if now.founding is None else None
        if score is not None and score.line.reduction:
            self._reduce(score)
        last = self.scores[-1].posted if self.scores else None
        is_earlier = last is not None and now.anchor is not None and last.played_on.toordinal() < now.anchor
        if is_earlier or isinstance(event, Corrected | Withdrawn):
            self._recall_low()
        now.place = (last.played_on, last.order_in_day) if last else None
        now.window = self._last_marks()
        revision = now.issue(event, None if score is None else score.line, founding)
        self.revisions.append(revision)
        self._issued.append(now.issued_on)
        self._values.append(now.steps.value)
        return revision

    def standing(self) -> "Standing":
        """The small state from which the next round can be appended without this record."""
        now = self._now.copy()
        now.issues = self._pending_issues()
        return now

    def index_in_force(self, played_on: date) -> Decimal | None:
        """The index a round played on that day is measured by: the last one issued by then (Rule 5.4)."""
        value = self._value_on(played_on.toordinal())
        return None if value is None else as_decimal(value)

    def _value_on(self, day: int) -> int | None:
        """The same in tenths, by day number."""
        place = bisect_right(self._issued, day)
        return self._values[place - 1] if place else None

    def _take_in(self, event: Event, number: int) -> Score | None:
        """Change the scores as the fact says; returns the score whose card it brought."""
        if isinstance(event, Entered):
            return self._enter(event.posted, number)
        if isinstance(event, Adjusted):
            self._adjust(tenths(event.amount))
            return None
        score = self._known(event.posted.key if isinstance(event, Corrected) else event.key)
        self._lift(score.posted.key)
        if isinstance(event, Lifted):
            return None
        self._supersede(score.posted.key)
        self.scores.remove(score)
        if isinstance(event, Withdrawn):
            del self._by_key[event.key]
            return None
        return self._put(Score(event.posted, score.number, self._calculate(event.posted), score.lines))

    def _known(self, key: str) -> Score:
        """The score with a key."""
        if key not in self._by_key:
            raise RuleBroken("round_unknown", "There is no such round in this record.", "key")
        return self._by_key[key]

    def _enter(self, posted: Posted, number: int) -> Score:
        """Add a new round at its place in the order of play."""
        if posted.key in self._used_keys:
            raise RuleBroken("key_used", "This round has been entered before.", "key")
        self._used_keys.add(posted.key)
        return self._put(Score(posted, number, self._calculate(posted)))

    def _put(self, score: Score) -> Score:
        """Insert a score in play order."""
        insort(self.scores, score, key=lambda each: each.place)
        self._by_key[score.posted.key] = score
        return score

    def _calculate(self, posted: Posted) -> ScoreLine:
        """The card's own calculation with the index in force on the day of play."""
        return _calculated(posted, self._value_on(posted.played_on.toordinal()), self._now.founding, self.options)

    def _adjust(self, amount: int) -> None:
        """Put a committee's amount on every score of the current window (Rule 7.1a)."""
        for score in self._window_ending(len(self.scores)):
            score.add(Line(COMMITTEE, amount, ""))

    def _reduce(self, exceptional: Score) -> None:
        """Put an exceptional score's reduction on the window of 20 that ends with it (Rule 5.9)."""
        line = Line(EXCEPTIONAL, tenths(exceptional.line.reduction), exceptional.posted.key)
        place = bisect_right(self.scores, exceptional.place, key=lambda each: each.place)
        for score in self._window_ending(place):
            score.add(line)

    def _lift(self, key: str) -> None:
        """Take away every reduction that a round's card caused."""
        for score in self.scores:
            if any(line.cause == key and line.kind == EXCEPTIONAL for line in score.lines):
                score.lines = tuple(x for x in score.lines if x.cause != key or x.kind != EXCEPTIONAL)
                score.restate()

    def _window_ending(self, place: int) -> list[Score]:
        """The last 20 counting scores before a place in the order of play, the most recent first."""
        found: list[Score] = []
        while place and len(found) < WINDOW:
            place -= 1
            if self.scores[place].mark is not None:
                found.append(self.scores[place])
        return found

    def _last_marks(self) -> list[Mark]:
        """The current window in order of play."""
        return [score.mark for score in reversed(self._window_ending(len(self.scores))) if score.mark is not None]

    def _supersede(self, key: str) -> None:
        """Mark every revision whose window held the round: its value rests on a card that is gone (Rule 5.7)."""
        for place, revision in enumerate(self.revisions):
            if place not in self._superseded and any(mark.key == key for mark in revision.marks):
                self._superseded.add(place)

    def _recall_low(self) -> None:
        """Look the low index up again after revisions were superseded or the last day of play may have moved back."""
        steps = self._now.steps
        steps.falling = self._falling()
        steps.settle_low(self._now.anchor)
        steps.falling = self._falling()

    def _falling(self) -> FallingLow:
        """The falling minimum over all values that count for the low index."""
        falling = FallingLow()
        for place, (day, value) in enumerate(zip(self._issued, self._values, strict=True)):
            is_late = self.revisions[place].n == WINDOW
            if value is not None and place not in self._superseded and (is_late or self.options.low_counts_early):
                falling.issue(day, value)
        return falling

    def _found(self) -> Decimal | None:
        """Lay the ground for a first index once 54 holes are in (Rule 4.5); gives the provisional value if nines wait.

        Our reading, in two passes: nines in pairs give a provisional value; with it each gets its own differential.
        Three pairs-or-eighteens are there exactly when 54 holes are, so the table decides when.
        """
        full = [score for score in self.scores if score.line.holes == 18]
        nines = [score for score in self.scores if score.line.holes == 9]
        pairs = [whole_tenths(a.line.played + b.line.played) for a, b in zip(nines[::2], nines[1::2], strict=False)]
        calculated = calculated_index([score.mark.effective for score in full if score.mark is not None] + pairs)
        if calculated is None:
            return None
        self._now.founding = min(calculated, CEILING)
        for score in nines:
            score.line = _founded(score.line, self._now.founding, self.options)
            score.restate()
        return as_decimal(self._now.founding) if nines else None

    def _pending_issues(self) -> list[tuple[int, int | None]]:
        """What a later round may need: the value in force on the last day of play and those issued after."""
        if not self.scores:
            return []
        first = max(bisect_right(self._issued, self.scores[-1].posted.played_on.toordinal()) - 1, 0)
        by_day = dict(zip(self._issued[first:], self._values[first:], strict=True))
        return list(by_day.items()) if len(by_day) <= MOST_PENDING_ISSUES else []


class Standing:
    """The small state behind the next revision: enough to append a round played after all others, in constant time.

    `append` changes this object and returns the revision; it equals what `Record.apply` gives for the same fact. The
    caller sees to it that the round's key is new.
    """

    __slots__ = ("anchor", "founding", "issued_on", "issues", "number", "options", "place", "steps", "window")

    def __init__(self, options: Options | None = None) -> None:
        """Start with nothing played."""
        self.options = options or Options()
        self.number = 0
        self.issued_on = 0
        self.anchor: int | None = None
        self.place: tuple[date, int] | None = None
        self.founding: int | None = None
        self.window: list[Mark] = []
        self.issues: list[tuple[int, int | None]] = []
        self.steps = IndexSteps(self.options.low_counts_early, self.options.low_window_days)

    @property
    def index(self) -> Decimal | None:
        """The index last issued."""
        return None if self.steps.value is None else as_decimal(self.steps.value)

    @property
    def low(self) -> Decimal | None:
        """The low index that the next revision is held against; None until 20 scores have been in."""
        return None if self.steps.low is None else as_decimal(self.steps.low)

    @property
    def n(self) -> int:
        """Scores in the window, at most 20."""
        return len(self.window)

    def copy(self) -> "Standing":
        """An independent copy."""
        twin = Standing(self.options)
        twin.number, twin.issued_on, twin.anchor = self.number, self.issued_on, self.anchor
        twin.place, twin.founding = self.place, self.founding
        twin.window, twin.issues = list(self.window), list(self.issues)
        twin.steps.falling = FallingLow(self.steps.falling.kept)
        twin.steps.value, twin.steps.low = self.steps.value, self.steps.low
        twin.steps.established = self.steps.established
        return twin

    def can_append(self, event: Event) -> bool:
        """Whether the fact is a round played after all others, once a first index has been issued."""
        if not isinstance(event, Entered) or self.place is None or self.founding is None or not self.issues:
            return False
        return (event.posted.played_on, event.posted.order_in_day) >= self.place

    def append(self, event: Event) -> Revision:
        """Take in a round played after all others. RuleBroken `cannot_append` where `can_append` is False."""
        if not isinstance(event, Entered) or not self.can_append(event):
            raise RuleBroken("cannot_append", "This fact needs the whole record, not only its present state.")
        posted = event.posted
        self._forget_issues_before(posted.played_on.toordinal())
        first_day, value = self.issues[0]
        in_force = value if first_day <= posted.played_on.toordinal() else None
        line = _calculated(posted, in_force, self.founding, self.options)
        mark = _mark(line, ())
        if mark is not None:
            self.window = [*self.window, mark][-WINDOW:]
            if line.reduction:
                change = Line(EXCEPTIONAL, tenths(line.reduction), posted.key)
                self.window = [_changed(each, change) for each in self.window]
        self.place = (posted.played_on, posted.order_in_day)
        revision = self.issue(event, line, None)
        if self.issues[-1][0] == self.issued_on:
            self.issues.pop()
        self.issues.append((self.issued_on, self.steps.value))
        if len(self.issues) > MOST_PENDING_ISSUES:
            self.issues = []
        return revision

    def _forget_issues_before(self, day: int) -> None:
        """Keep the value in force on a day and all issued after it."""
        while len(self.issues) > 1 and self.issues[1][0] <= day:
            del self.issues[0]

    def issue(self, event: Event, score: ScoreLine | None, founding: Decimal | None) -> Revision:
        """Number, date and calculate the revision that follows from the window (Rules 5.2 to 5.4, 5.7 and 5.8)."""
        steps, n = self.steps, len(self.window)
        previous, low_used = self.index, self.low
        if self.place is not None:
            self.anchor = self.place[0].toordinal()
        played = self.anchor + 1 if self.place is not None and self.anchor is not None else 0
        self.issued_on = max(self.issued_on, event.entered_on.toordinal() + 1, played)
        self.number += 1
        calculated, cap, is_ceiling = steps.revise(
            [mark.effective for mark in self.window], self.issued_on, self.anchor
        )
        return Revision(
            self.number,
            KINDS[type(event)],
            event.posted.key if isinstance(event, Entered | Corrected) else getattr(event, "key", ""),
            event.entered_on,
            date.fromordinal(self.issued_on),
            self.index,
            self.low,
            None if calculated is None else low_used,
            previous,
            None if calculated is None else as_decimal(calculated),
            cap,
            is_ceiling,
            n,
            LOWEST_USED[n],
            as_decimal(TABLE_ADJUSTMENT[n]),
            tuple(self.window),
            score,
            founding,
            event.amount if isinstance(event, Adjusted) else None,
            event.reason if isinstance(event, Adjusted) else "",
        )

    def as_plain(self) -> Plain:
        """The state as plain values, at most a few kB as JSON; days are day numbers, values are tenths."""
        changes = list(dict.fromkeys(line for mark in self.window for line in mark.lines))
        return {
            "number": self.number,
            "issued_on": self.issued_on,
            "anchor": self.anchor,
            "place": None if self.place is None else [self.place[0].toordinal(), self.place[1]],
            "founding": self.founding,
            "value": self.steps.value,
            "low": self.steps.low,
            "established": self.steps.established,
            "falling": [list(pair) for pair in self.steps.falling.kept],
            "issues": [list(pair) for pair in self.issues],
            "changes": [list(line) for line in changes],
            "window": [
                [
                    mark.key,
                    mark.played_on.toordinal(),
                    mark.differential,
                    int(mark.is_estimated),
                    [changes.index(line) for line in mark.lines],
                ]
                for mark in self.window
            ],
        }

    @staticmethod
    def from_plain(values: Mapping[str, Any], options: Options | None = None) -> "Standing":
        """The state kept by `as_plain`, under the same options."""
        standing = Standing(options)
        place, founding = values["place"], whole_or_none_of(values, "founding")
        standing.number, standing.issued_on = whole_of(values, "number"), whole_of(values, "issued_on")
        standing.anchor, standing.founding = whole_or_none_of(values, "anchor"), founding
        standing.place = None if place is None else (date.fromordinal(place[0]), place[1])
        standing.issues = [(day, value) for day, value in list_of(values, "issues")]
        steps = standing.steps
        steps.value, steps.low = whole_or_none_of(values, "value"), whole_or_none_of(values, "low")
        steps.established = flag_of(values, "established")
        steps.falling = FallingLow((day, value) for day, value in list_of(values, "falling"))
        changes = [Line(*change) for change in list_of(values, "changes")]
        for key, day, differential, is_estimated, places in list_of(values, "window"):
            lines = tuple(changes[each] for each in places)
            effective = differential + sum(line.amount for line in lines)
            played_on = date.fromordinal(day)
            standing.window.append(Mark(key, played_on, differential, lines, effective, bool(is_estimated)))
        return standing


def replay(events: Iterable[Event], options: Options | None = None) -> Record:
    """The record that follows from facts in the order they came in."""
    record = Record(options)
    for event in events:
        record.apply(event)
    return record


@dataclass(frozen=True, slots=True)
class Next:
    """What a round with this adjusted gross score would lead to."""

    adjusted_gross: int
    differential: Decimal | None
    reduction: Decimal
    index: Decimal | None
    cap: str


def what_next(
    standing: Standing, tee: Tee, adjusted_gross: Iterable[int], played_on: date, order_in_day: int = 99
) -> tuple[Next, ...]:
    """The index that would follow from each adjusted gross score on a tee; empty before a first index exists.

    RuleBroken `cannot_append` if the day lies before the last round.
    """
    if standing.founding is None:
        return ()
    found = []
    for total in adjusted_gross:
        posted = Posted("next", played_on, order_in_day, tee, Card.total(None, total, tee.n_holes))
        revision = standing.copy().append(Entered(played_on, posted))
        if revision.score is not None:
            score = revision.score
            found.append(Next(total, score.differential, score.reduction, revision.index, revision.cap))
    return tuple(found)


def _mark(line: ScoreLine, lines: tuple[Line, ...]) -> Mark | None:
    """A calculated score as the window sees it; None while it cannot count."""
    if line.differential is None:
        return None
    differential = tenths(line.differential)
    effective = differential + sum(change.amount for change in lines)
    return Mark(line.key, line.played_on, differential, lines, effective, line.is_estimated)


def _changed(mark: Mark, change: Line) -> Mark:
    """A mark with one more change on its differential."""
    return mark._replace(lines=(*mark.lines, change), effective=mark.effective + change.amount)


def _calculated(posted: Posted, in_force: int | None, founding: int | None, options: Options) -> ScoreLine:
    """A card's own calculation: hole caps, adjusted gross, differential, exceptional score (Rules 3, 5.1, 5.9, 6.1).

    `in_force` and `founding` are tenths. A nine without an index in force rests on the founding value, or waits for it.
    """
    tee, card = posted.tee, posted.card
    handicap = None
    if in_force is not None:
        handicap = tee.course_handicap(as_decimal(in_force), round_half_index=options.round_half_index)
    adjusted, capped_holes = adjusted_card(card, tee, handicap)
    holes = card.n_played
    rating = Fraction(tee.rating_tenths, 10)
    if holes != tee.n_holes:
        rating = rating_of_part(tee.course_rating, tee.par, par_played(card, tee), holes)
    played = played_differential(adjusted, rating, tee.slope_rating, posted.playing_conditions, holes)
    expected = exact = None
    reason, reduction = "", 0
    basis = founding if in_force is None and holes == 9 else in_force
    if holes == 18:
        exact = played
    elif basis is not None:
        expected = _expected(holes, basis, options)
        exact = played + expected
    else:
        reason = NINE_WAITS if holes == 9 else PARTIAL_BEFORE_INDEX
    if exact is not None and in_force is not None:
        reduction = reduction_tenths(in_force, 10 * exact.numerator, exact.denominator)
    return ScoreLine(
        posted.key,
        posted.played_on,
        holes,
        tee.par,
        tee.course_rating,
        tee.slope_rating,
        posted.playing_conditions,
        None if in_force is None else as_decimal(in_force),
        handicap,
        gross_score(card, tee),
        adjusted,
        capped_holes,
        played,
        expected,
        exact,
        None if exact is None else as_decimal(whole_tenths(exact)),
        as_decimal(reduction),
        reason,
    )


def _expected(holes: int, basis: int, options: Options) -> Fraction:
    """The differential expected of the holes not played, in strokes, for an index in tenths (Rules 3.2 and 5.1b)."""
    return expected_differential(as_decimal(basis), 18 - holes, options.expected_slope, options.expected_constant)


def _founded(line: ScoreLine, founding: int, options: Options) -> ScoreLine:
    """A nine that waited, with its own differential now that a provisional value exists (Rule 4.5)."""
    expected = _expected(9, founding, options)
    exact = line.played + expected
    differential = as_decimal(whole_tenths(exact))
    return replace(line, expected=expected, exact=exact, differential=differential, reason="")
