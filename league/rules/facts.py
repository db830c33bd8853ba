"""Facts about a scoring record, in the order they came in, as values and as plain data.

A record is rebuilt from these alone (Rule 4.2 on the order of play, 5.4 on the day an index is issued).

>>> event_from_plain({"kind": "withdrawn", "entered_on": "2024-05-09", "key": "r7"})
Withdrawn(entered_on=datetime.date(2024, 5, 9), key='r7')
>>> event_from_plain({"kind": "mislaid", "entered_on": "2024-05-09"})
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: kind: entered, corrected, withdrawn, adjusted or lifted is expected.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from league.rules.differential import EXPECTED_CONSTANT, EXPECTED_SLOPE, check_playing_conditions
from league.rules.errors import RuleBroken, refuse_all
from league.rules.index import LOW_WINDOW_DAYS
from league.rules.plain import (
    Plain,
    card_as_plain,
    card_from_plain,
    day_of,
    decimal_of,
    mapping_of,
    tee_as_plain,
    tee_from_plain,
    text_of,
    whole_of,
)
from league.rules.rounding import tenths
from league.rules.scorecard import Card, Tee, card_problems


@dataclass(frozen=True, slots=True)
class Options:
    """Readings that may be set where the published text leaves room or a national body decides."""

    low_counts_early: bool = True
    round_half_index: bool = False
    expected_slope: Decimal = EXPECTED_SLOPE
    expected_constant: Decimal = EXPECTED_CONSTANT
    low_window_days: int = LOW_WINDOW_DAYS


@dataclass(frozen=True, slots=True)
class Posted:
    """A round as it counts: day and order of play, the tee in play, the card, the playing conditions adjustment.

    Refuses with RuleBroken, all problems at once, what the rules do not accept.
    """

    key: str
    played_on: date
    order_in_day: int
    tee: Tee
    card: Card
    playing_conditions: int = 0

    def __post_init__(self) -> None:
        """Check the card against the tee (Rules 2.2 and 3) and the adjustment against its bounds (Rule 5.6)."""
        problems = card_problems(self.card, self.tee)
        try:
            check_playing_conditions(self.playing_conditions)
        except RuleBroken as broken:
            problems.append(broken)
        refuse_all(problems)


@dataclass(frozen=True, slots=True)
class Entered:
    """A round came in."""

    entered_on: date
    posted: Posted


@dataclass(frozen=True, slots=True)
class Corrected:
    """A round in the record, named by its key, is replaced by what was really played."""

    entered_on: date
    posted: Posted


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """A round leaves the record."""

    entered_on: date
    key: str


@dataclass(frozen=True, slots=True)
class Adjusted:
    """A committee moves every differential of the current window by an amount in strokes, with a reason (Rule 7.1a)."""

    entered_on: date
    amount: Decimal
    reason: str

    def __post_init__(self) -> None:
        """Refuse an amount with more than one decimal."""
        tenths(self.amount, "amount")


@dataclass(frozen=True, slots=True)
class Lifted:
    """A committee takes back the reductions that a round's exceptional score caused (Rule 5.9)."""

    entered_on: date
    key: str


Event = Entered | Corrected | Withdrawn | Adjusted | Lifted

KINDS: dict[type[Event], str] = {
    Entered: "entered",
    Corrected: "corrected",
    Withdrawn: "withdrawn",
    Adjusted: "adjusted",
    Lifted: "lifted",
}


def posted_as_plain(posted: Posted) -> Plain:
    """A posted round as plain values."""
    return {
        "key": posted.key,
        "played_on": posted.played_on.isoformat(),
        "order_in_day": posted.order_in_day,
        "playing_conditions": posted.playing_conditions,
        "tee": tee_as_plain(posted.tee),
        "card": card_as_plain(posted.card),
    }


def posted_from_plain(values: Mapping[str, Any]) -> Posted:
    """The round kept by `posted_as_plain`; RuleBroken if it has the wrong form or breaks a rule."""
    return Posted(
        text_of(values, "key"),
        day_of(values, "played_on"),
        whole_of(values, "order_in_day"),
        tee_from_plain(mapping_of(values, "tee")),
        card_from_plain(mapping_of(values, "card")),
        whole_of(values, "playing_conditions"),
    )


def event_as_plain(event: Event) -> Plain:
    """A fact as plain values: its kind, the day it came in, and what it says."""
    plain: Plain = {"kind": KINDS[type(event)], "entered_on": event.entered_on.isoformat()}
    if isinstance(event, Entered | Corrected):
        plain["posted"] = posted_as_plain(event.posted)
    elif isinstance(event, Adjusted):
        plain |= {"amount": str(event.amount), "reason": event.reason}
    else:
        plain["key"] = event.key
    return plain


def event_from_plain(values: Mapping[str, Any]) -> Event:
    """The fact kept by `event_as_plain`; RuleBroken if it has the wrong form or breaks a rule."""
    values = mapping_of(values, "")
    kind, entered_on = text_of(values, "kind"), day_of(values, "entered_on")
    if kind == "entered":
        return Entered(entered_on, posted_from_plain(mapping_of(values, "posted")))
    if kind == "corrected":
        return Corrected(entered_on, posted_from_plain(mapping_of(values, "posted")))
    if kind == "withdrawn":
        return Withdrawn(entered_on, text_of(values, "key"))
    if kind == "adjusted":
        return Adjusted(entered_on, decimal_of(values, "amount"), text_of(values, "reason"))
    if kind == "lifted":
        return Lifted(entered_on, text_of(values, "key"))
    raise RuleBroken("plain_form", "kind: entered, corrected, withdrawn, adjusted or lifted is expected.", "kind")
