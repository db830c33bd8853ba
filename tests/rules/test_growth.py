"""How the work grows with the record, counted in lines of code that ran, so that no clock is needed."""

import sys
from collections.abc import Callable, Sequence
from datetime import timedelta
from random import Random
from types import FrameType
from typing import Any

import pytest

from league.rules.index import WINDOW, FallingLow
from league.rules.low import StandingValues
from league.rules.record import Corrected, Event, Record, Withdrawn, replay
from tests.rules.histories import days, entered, history, total_round


def lines_run(work: Callable[[], object]) -> int:
    """Lines of Python, comprehensions and generators included, that a piece of work runs."""
    counted = 0

    def count(frame: FrameType, event: str, argument: Any) -> Any:
        nonlocal counted
        counted += event == "line" or event == "call"
        return count

    before = sys.gettrace()
    sys.settrace(count)
    try:
        work()
    finally:
        sys.settrace(before)
    return counted


def season(n_rounds: int) -> list[Event]:
    """A player who improves for as long as the record goes, with an exceptional score now and then."""
    return [entered(f"r{n}", days(2 * n), 130 - 60 * n // n_rounds - 14 * (n % 50 == 49)) for n in range(n_rounds)]


def newest_first(n_rounds: int) -> list[int]:
    return list(reversed(range(n_rounds)))


def oldest_first(n_rounds: int) -> list[int]:
    return list(range(n_rounds))


def shuffled(n_rounds: int) -> list[int]:
    return Random(n_rounds).sample(range(n_rounds), n_rounds)


def withdrawing(n_rounds: int, order: Callable[[int], Sequence[int]]) -> int:
    """The work of taking out every round of a season on the day after it."""
    record, today = replay(season(n_rounds)), days(2 * n_rounds)

    def work() -> None:
        for number in order(n_rounds):
            record.apply(Withdrawn(today, f"r{number}"))

    count = lines_run(work)
    assert record.scores == []
    return count


def correcting(n_rounds: int, order: Callable[[int], Sequence[int]]) -> int:
    record, today = replay(season(n_rounds)), days(2 * n_rounds)

    def work() -> None:
        for number in order(n_rounds):
            record.apply(Corrected(today, total_round(f"r{number}", days(2 * number), 91)))

    return lines_run(work)


@pytest.mark.parametrize("order", [newest_first, oldest_first, shuffled])
@pytest.mark.parametrize("work", [withdrawing, correcting])
def test_four_times_the_changes_are_not_much_more_than_four_times_the_work(work, order):
    assert work(800, order) < 6 * work(200, order)  # a scan of everything at each change would make it 16


def test_entering_costs_the_same_late_as_early():
    events = season(1_200)
    record = replay(events[:100])
    early = lines_run(lambda: [record.apply(event) for event in events[100:200]])
    for event in events[200:1_100]:
        record.apply(event)
    late = lines_run(lambda: [record.apply(event) for event in events[1_100:]])
    assert late < early * 1.2


@pytest.mark.parametrize("low_counts_early", [True, False])
@pytest.mark.parametrize("seed", range(8))
def test_the_values_that_stand_are_those_a_plain_scan_finds(seed, low_counts_early):
    random, events = Random(seed), history(seed, 150)
    revisions, struck = [], set[int]()
    standing = StandingValues(revisions, low_counts_early)
    for revision in replay(events).revisions:
        revisions.append(revision)
        if random.random() < 0.4:
            for mark in random.choice(revisions).marks[-1:]:
                standing.strike(mark.key)
                struck |= {i for i, each in enumerate(revisions) if mark.key in {one.key for one in each.marks}}
        expected = FallingLow()
        for place, each in enumerate(revisions):
            counts = each.n == WINDOW or low_counts_early
            if each.index_tenths is not None and counts and place not in struck:
                expected.issue(each.issued_day, each.index_tenths)
        assert standing.falling().kept == expected.kept
    assert struck


def test_a_record_without_changes_never_looks_its_revisions_up(monkeypatch):
    def refuse(*arguments: object) -> None:
        raise AssertionError("looked up")

    monkeypatch.setattr(StandingValues, "_read_on", refuse)
    record = Record()
    for event in season(60):
        record.apply(event)
    with pytest.raises(AssertionError, match="looked up"):
        record.apply(Withdrawn(days(200) + timedelta(days=1), "r3"))
