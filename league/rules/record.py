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

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from league.rules.calculation import calculated_card, founded_nine, mark_of
from league.rules.errors import RuleBroken
from league.rules.facts import (
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
from league.rules.index import CEILING, WINDOW, FallingLow, calculated_index
from league.rules.low import StandingValues
from league.rules.revision import (
    COMMITTEE,
    EXCEPTIONAL,
    Revision,
    ScoreLine,
    WindowLine,
    revision_from_plain,
)
from league.rules.rounding import as_decimal, tenths, whole_tenths
from league.rules.scorecard import Card, Hole, HoleScore, Tee
from league.rules.standing import MOST_PENDING_ISSUES, Next, Standing, what_next
from league.rules.window import Line, Mark, Window

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


class Score:
    """A round in the record: what was posted, its own calculation, and the changes that stand on its differential."""

    __slots__ = ("line", "lines", "mark", "number", "place", "posted")

    def __init__(self, posted: Posted, number: int, line: ScoreLine, lines: tuple[Line, ...] = ()) -> None:
        """Place a calculated round; `number` is that of the fact which first entered it.

        `place` is its order of play: day, order in the day, then order of entry (Rule 4.2).
        """
        self.posted = posted
        self.number = number
        self.place = posted.played_on, posted.order_in_day, number
        self.line = line
        self.lines = lines
        self.mark: Mark | None = mark_of(line, lines)

    @property
    def effective(self) -> Decimal | None:
        """The differential as the table sees it, changes included; None while the score cannot count."""
        return None if self.mark is None else as_decimal(self.mark.effective)

    def restate(self) -> None:
        """Bring the mark for the window up to date after a change of calculation or lines."""
        self.mark = mark_of(self.line, self.lines)

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
        self._standing_values = StandingValues(self.revisions, self.options.low_counts_early)
        self._changed: dict[str, list[str]] = {}
        self._now = Standing(self.options)

    def apply(self, event: Event) -> Revision:
        """Take in one fact and issue the revision it causes.

        RuleBroken `key_used` for a round entered twice, `round_unknown` for a fact about a round that is not there.
        """
        now = self._now
        score = self._enter(event.posted) if isinstance(event, Entered) else self._change(event)
        was_founded = now.founding is not None
        founding = None if was_founded else self._found()
        if score is not None and score.line.reduction_tenths:
            self._reduce(score)
        if isinstance(event, (Corrected, Withdrawn)):
            self._recall_low()
        last = self.scores[-1] if self.scores else None
        now.place = None if last is None else last.place[:2]
        if was_founded and score is last and score is not None and isinstance(event, Entered) and not score.lines:
            # The usual fact, a plain round played after all others, moves the window on by one.
            if score.mark is not None:
                now.window.append(score.mark)
        else:
            now.window = Window([each.mark for each in self._window_ending(len(self.scores)) if each.mark is not None])
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

    def _change(self, event: Corrected | Withdrawn | Adjusted | Lifted) -> Score | None:
        """Change what was entered before as the fact says; returns the score whose card it brought."""
        if isinstance(event, Adjusted):
            self._adjust(tenths(event.amount))
            return None
        score = self._known(event.posted.key if isinstance(event, Corrected) else event.key)
        self._lift(score.posted.key)
        if isinstance(event, Lifted):
            return None
        self._standing_values.strike(score.posted.key)
        del self.scores[bisect_left(self.scores, score.place, key=_place_of)]
        if isinstance(event, Withdrawn):
            del self._by_key[event.key]
            return None
        return self._put(Score(event.posted, score.number, self._calculate(event.posted), score.lines))

    def _known(self, key: str) -> Score:
        """The score with a key."""
        if key not in self._by_key:
            raise RuleBroken("round_unknown", "There is no such round in this record.", "key")
        return self._by_key[key]

    def _enter(self, posted: Posted) -> Score:
        """Add a new round at its place in the order of play."""
        if posted.key in self._used_keys:
            raise RuleBroken("key_used", "This round has been entered before.", "key")
        self._used_keys.add(posted.key)
        return self._put(Score(posted, len(self.revisions) + 1, self._calculate(posted)))

    def _put(self, score: Score) -> Score:
        """Insert a score in play order."""
        if not self.scores or self.scores[-1].place < score.place:
            self.scores.append(score)
        else:
            insort(self.scores, score, key=_place_of)
        self._by_key[score.posted.key] = score
        return score

    def _calculate(self, posted: Posted) -> ScoreLine:
        """The card's own calculation with the index in force on the day of play."""
        return calculated_card(posted, self._value_on(posted.played_on.toordinal()), self._now.founding, self.options)

    def _adjust(self, amount: int) -> None:
        """Put a committee's amount on every score of the current window (Rule 7.1a)."""
        for score in self._window_ending(len(self.scores)):
            score.add(Line(COMMITTEE, amount, ""))

    def _reduce(self, exceptional: Score) -> None:
        """Put an exceptional score's reduction on the window of 20 that ends with it (Rule 5.9)."""
        key = exceptional.posted.key
        line = Line(EXCEPTIONAL, exceptional.line.reduction_tenths, key)
        place = bisect_right(self.scores, exceptional.place, key=_place_of)
        reduced = self._window_ending(place)
        for score in reduced:
            score.add(line)
        self._changed[key] = [score.posted.key for score in reduced]

    def _lift(self, key: str) -> None:
        """Take away every reduction that a round's card caused."""
        for changed in self._changed.pop(key, ()):
            if changed in self._by_key:
                score = self._by_key[changed]
                score.lines = tuple(x for x in score.lines if x.cause != key or x.kind != EXCEPTIONAL)
                score.restate()

    def _window_ending(self, place: int) -> list[Score]:
        """The last 20 counting scores before a place in the order of play, in that order."""
        found: list[Score] = []
        while place and len(found) < WINDOW:
            place -= 1
            if self.scores[place].mark is not None:
                found.append(self.scores[place])
        found.reverse()
        return found

    def _recall_low(self) -> None:
        """Look the low index up again after revisions were superseded or the last day of play may have moved back."""
        steps, falling = self._now.steps, self._standing_values.falling()
        steps.falling = FallingLow(falling.kept)
        steps.settle_low(self._now.anchor)
        steps.falling = falling

    def _found(self) -> int | None:
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
            score.line = founded_nine(score.line, self._now.founding, self.options)
            score.restate()
        return self._now.founding if nines else None

    def _pending_issues(self) -> list[tuple[int, int | None]]:
        """What a later round may need: the value in force on the last day of play and those issued after."""
        if not self.scores:
            return []
        first = max(bisect_right(self._issued, self.scores[-1].posted.played_on.toordinal()) - 1, 0)
        by_day = dict(zip(self._issued[first:], self._values[first:], strict=True))
        return list(by_day.items()) if len(by_day) <= MOST_PENDING_ISSUES else []


def _place_of(score: Score) -> tuple[date, int, int]:
    """A score's order of play."""
    return score.place


def replay(events: Iterable[Event], options: Options | None = None) -> Record:
    """The record that follows from facts in the order they came in."""
    record = Record(options)
    for event in events:
        record.apply(event)
    return record
