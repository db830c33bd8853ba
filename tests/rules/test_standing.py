"""The small state gives what the whole record gives."""

import json
import sys
from datetime import timedelta
from decimal import Decimal

import pytest

from league.rules.errors import RuleBroken
from league.rules.facts import Options
from league.rules.record import Entered, Record, Standing, Withdrawn, replay, what_next
from tests.rules.histories import FRONT, HERON, days, entered, history, total_round

OPTIONS = (
    Options(),
    Options(low_counts_early=False, round_half_index=True),
    Options(expected_slope=Decimal("1.1"), expected_constant=Decimal("3.0"), low_window_days=40),
)


def through_json(standing: Standing, options: Options) -> Standing:
    return Standing.from_plain(json.loads(json.dumps(standing.as_plain())), options)


@pytest.mark.parametrize("seed", range(60))
def test_appending_equals_the_whole_record(seed):
    options = OPTIONS[seed % 3]
    record, n_appended = Record(options), 0
    for event in history(seed, 90):
        standing = through_json(record.standing(), options)
        revision = record.apply(event)
        if standing.can_append(event):
            n_appended += 1
            assert standing.append(event) == revision
            assert standing.as_plain() == record.standing().as_plain()
            assert (standing.index, standing.low, standing.n) == (revision.index, revision.low, revision.n)
    assert n_appended > 10


@pytest.mark.parametrize("seed", range(12))
def test_one_standing_carries_on_alone(seed):
    events = history(seed, 200, in_order=True)
    record = Record()
    for event in events[:12]:
        record.apply(event)
    standing = record.standing()
    for event in events[12:]:
        assert standing.can_append(event)
        assert standing.append(event) == record.apply(event)


def test_it_refuses_what_needs_the_whole_record():
    record = replay(entered(f"r{n}", days(n), 90) for n in range(4))
    standing = record.standing()
    for event in (Withdrawn(days(9), "r1"), entered("late", days(1), 90)):
        assert not standing.can_append(event)
        with pytest.raises(RuleBroken) as broken:
            standing.append(event)
        assert broken.value.code == "cannot_append"
    assert standing.as_plain() == record.standing().as_plain()
    assert not Record().standing().can_append(entered("first", days(1), 90))
    for key in ("r0", "r1", "r2", "r3"):
        record.apply(Withdrawn(days(9), key))
    assert not record.standing().can_append(entered("again", days(10), 90))


def test_a_copy_stands_alone():
    standing = replay(entered(f"r{n}", days(n), 90) for n in range(4)).standing()
    before = standing.as_plain()
    standing.copy().append(entered("r4", days(5), 70))
    assert standing.as_plain() == before


def test_rounds_entered_far_behind_the_day_of_play_still_agree():
    """Many issue dates may follow the last day of play; past the limit the state says so and the record is asked."""
    record = replay(entered(f"r{n}", days(n), 90) for n in range(4))
    appended = []
    for n in range(60):
        event = Entered(days(400 + n), total_round(f"late{n}", days(5 + n // 30), 88))
        standing = record.standing()
        assert standing.can_append(event) == standing.copy().can_append(event)
        revision = record.apply(event)
        if standing.can_append(event):
            assert standing.append(event) == revision
            appended.append(n)
    assert len(appended) > 30
    assert len(appended) < 60


@pytest.mark.parametrize("seed", range(8))
def test_the_state_stays_small(seed):
    keyed = [
        Entered(event.entered_on, total_round(f"{n:036d}", event.posted.played_on, 80 + n * 7 % 23, HERON, n))
        for n, event in enumerate(history(seed, 400, in_order=True))
    ]
    assert len(json.dumps(replay(keyed).standing().as_plain())) < 3000


def calls_of(action) -> int:
    """Python calls made by an action: the same on every machine."""
    count = 0

    def tally(frame, what, argument):
        nonlocal count
        count += what in ("call", "c_call")

    sys.setprofile(tally)
    try:
        action()
    finally:
        sys.setprofile(None)
    return count


def test_appending_costs_the_same_after_many_rounds():
    record, costs = Record(), {}
    for n in range(5001):
        if n in (1000, 5000):
            standing = through_json(record.standing(), Options())
            event = entered("next", days(n), 92)
            costs[n] = calls_of(lambda: standing.append(event))  # noqa: B023
        record.apply(entered(f"r{n}", days(n), 84 + n * 7 % 13))
    assert costs[5000] <= 1.5 * costs[1000]


def test_what_next_is_what_a_round_would_bring():
    record = replay(entered(f"r{n}", days(n), 85 + n % 7) for n in range(25))
    standing = record.standing()
    played_on = days(25)
    found = what_next(standing, HERON, range(70, 100), played_on)
    assert [line.adjusted_gross for line in found] == list(range(70, 100))
    for line in found:
        revision = replay(
            [*(entered(f"r{n}", days(n), 85 + n % 7) for n in range(25)), entered("x", played_on, line.adjusted_gross)]
        ).revisions[-1]
        score = revision.score
        assert (line.index, line.cap) == (revision.index, revision.cap)
        assert (line.differential, line.reduction) == (score.differential, score.reduction)
    assert found[0].reduction == Decimal("-2.0")
    assert [line.index for line in found] == sorted(line.index for line in found)
    assert what_next(Record().standing(), HERON, [90], played_on) == ()
    assert len(what_next(standing, FRONT, [44], played_on)) == 1
    with pytest.raises(RuleBroken):
        what_next(standing, HERON, [90], played_on - timedelta(days=9))
