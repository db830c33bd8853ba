"""The journal's tables for its owner's archive (named in the settings as LEAGUE_EXPORTS)."""

import json
from collections.abc import Callable
from operator import attrgetter
from typing import Any

from django.utils import timezone

from journal import access
from journal.models import Routine, Share
from league.models import Account, Round
from league.reports.leaving import Column, Table


def columns_of(*described: tuple[str, str] | tuple[str, str, Callable[[Any], Any]]) -> tuple[Column, ...]:
    """Each column's name, its meaning, and how it is read where that is not by its name."""
    return tuple(Column(one[0], one[1], one[2] if len(one) == 3 else attrgetter(one[0])) for one in described)


ROUTINE = columns_of(("sentence", "your own sentence for the reset"), ("breaths", "breaths before it"))
INTENTIONS = columns_of(
    ("id", "number of the entry"),
    ("played_on", "day of the round"),
    ("tee", "course and tee", lambda row: f"{row.tee.course.name}, {row.tee.name}" if row.tee else ""),
    ("round_id", "number of the round, once it is known"),
    ("low", "the range expected, from; empty when too little was known"),
    ("high", "the range expected, to"),
    ("n_rounds", "rounds that the range rested on"),
    ("range_words", "your own words about the range"),
    ("goal", "what you meant to do"),
    ("when", "the if of your if-then sentence"),
    ("then", "the then of it"),
    ("created_at", "when you wrote it"),
)


def _number_of_round(reset: Any) -> Any:
    played: Round | None = reset.round_played
    return played.pk if played else None


RESETS = columns_of(
    ("id", "number of the mark"),
    ("round_id", "number of the round, once it is known", _number_of_round),
    ("hole", "hole"),
    ("done_at", "when, by the phone's clock"),
    ("stored_at", "when it was stored"),
)
LOOK_BACKS = columns_of(
    ("id", "number of the entry"),
    ("played_on", "day of the round"),
    ("round_id", "number of the round"),
    ("state", "draft, done or skipped"),
    ("worst_hole", "the hole that cost most"),
    ("cause", "decision, execution or luck"),
    ("hole_words", "your words about it"),
    ("plan_kept", "whether you kept to your intention"),
    ("keep", "one thing to keep"),
    ("change", "one thing to change"),
    ("created_at", "when it was begun"),
    ("finished_at", "when it was finished or skipped"),
)
SHARES = columns_of(
    ("look_back_id", "number of the look-back"),
    ("reader", "who may read it", lambda row: row.reader.name),
    ("group", "by way of which group", lambda row: row.group.name),
    ("to_all", "meant for the whole group as it was then"),
    ("shared_at", "since when"),
)
GUARDIAN = columns_of(
    ("asked_at", "when a guardian was asked"),
    ("decided_at", "when the guardian decided"),
    ("allows", "whether own words were allowed"),
)


def tables_of(account: Account) -> list[Table]:
    player = access.own_player(account)
    decision = access.decision_about(player)
    look_backs = access.own_look_backs(account).order_by("played_on", "pk")
    shares = Share.objects.filter(look_back__player=player).select_related("reader", "group").order_by("shared_at")
    listed = [
        ("journal_routine", "Your words for the reset.", ROUTINE, Routine.objects.filter(player=player)),
        (
            "journal_intentions",
            "What you took into rounds.",
            INTENTIONS,
            access.own_intentions(account).order_by("played_on", "created_at"),
        ),
        ("journal_resets", "Resets that you marked.", RESETS, access.own_resets(account).order_by("stored_at")),
        ("journal_look_backs", "Your look-backs.", LOOK_BACKS, look_backs),
        ("journal_shares", "Who may read which of them.", SHARES, shares),
        ("journal_guardian", "A guardian's decision about own words.", GUARDIAN, [decision] if decision else []),
    ]
    return [Table(name, meaning, columns, list(rows)) for name, meaning, columns, rows in listed]


def as_text(account: Account) -> str:
    """The same tables as one JSON text."""
    tables = {table.name.removeprefix("journal_"): table.plain() for table in tables_of(account)}
    return json.dumps({"taken_at": timezone.now().isoformat(), **tables}, ensure_ascii=False, indent=1)
