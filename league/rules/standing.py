"""The small state behind the next revision, and what a next round would lead to (Rules 5.2 to 5.4 and 5.7 to 5.9).

>>> from league.rules.facts import Withdrawn
>>> Standing().index is None
True
>>> Standing().append(Withdrawn(date(2024, 5, 1), "r1"))
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: This fact needs the whole record, not only its present state.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from league.rules.calculation import calculated_card, mark_of
from league.rules.errors import RuleBroken
from league.rules.facts import KINDS, Adjusted, Corrected, Entered, Event, Options, Posted
from league.rules.index import FallingLow, IndexSteps
from league.rules.plain import Plain, flag_of, list_of, whole_of, whole_or_none_of
from league.rules.revision import EXCEPTIONAL, Revision, ScoreLine
from league.rules.rounding import as_decimal, tenths
from league.rules.scorecard import Card, Tee
from league.rules.window import Line, Mark, Window

MOST_PENDING_ISSUES = 40


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
        self.window = Window()
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
        return len(self.window.marks)

    def copy(self) -> "Standing":
        """An independent copy."""
        twin = Standing(self.options)
        twin.number, twin.issued_on, twin.anchor = self.number, self.issued_on, self.anchor
        twin.place, twin.founding = self.place, self.founding
        twin.window, twin.issues = Window(self.window.marks), list(self.issues)
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
        played_day = posted.played_on.toordinal()
        self._forget_issues_before(played_day)
        first_day, value = self.issues[0]
        in_force = value if first_day <= played_day else None
        line = calculated_card(posted, in_force, self.founding, self.options)
        mark = mark_of(line, ())
        if mark is not None:
            self.window.append(mark)
            if line.reduction_tenths:
                self.window.change(Line(EXCEPTIONAL, line.reduction_tenths, posted.key))
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

    def issue(self, event: Event, score: ScoreLine | None, founding: int | None) -> Revision:
        """Number, date and calculate the revision that follows from the window (Rules 5.2 to 5.4, 5.7 and 5.8)."""
        steps = self.steps
        previous, low_used = steps.value, steps.low
        last_played_on = 0
        if self.place is not None:
            self.anchor = last_played_on = self.place[0].toordinal()
        self.issued_on = issued_on = max(self.issued_on, event.entered_on.toordinal() + 1, last_played_on + 1)
        self.number += 1
        calculated, cap, is_ceiling = steps.revise(self.window.ordered, issued_on, self.anchor)
        if isinstance(event, (Entered, Corrected)):
            key, amount, reason = event.posted.key, None, ""
        elif isinstance(event, Adjusted):
            key, amount, reason = "", tenths(event.amount), event.reason
        else:
            key, amount, reason = event.key, None, ""
        return Revision(
            self.number,
            KINDS[type(event)],
            key,
            event.entered_on,
            issued_on,
            steps.value,
            steps.low,
            None if calculated is None else low_used,
            previous,
            calculated,
            cap,
            is_ceiling,
            self.window.marks,
            score,
            founding,
            amount,
            reason,
        )

    def as_plain(self) -> Plain:
        """The state as plain values, at most a few kB as JSON; days are day numbers, values are tenths."""
        changes = list(dict.fromkeys(line for mark in self.window.marks for line in mark.lines))
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
                for mark in self.window.marks
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
        marks = []
        for key, day, differential, is_estimated, places in list_of(values, "window"):
            lines = tuple(changes[each] for each in places)
            effective = differential + sum(line.amount for line in lines)
            played_on = date.fromordinal(day)
            marks.append(Mark(key, played_on, differential, lines, effective, bool(is_estimated)))
        standing.window = Window(marks)
        return standing


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
