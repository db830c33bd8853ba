"""The engine against the referee: random histories, both asked for everything, every revision compared."""

from __future__ import annotations

import os
from collections import Counter
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction as F
from random import Random
from typing import Any

import pytest

from league.rules.record import (
    Adjusted,
    Corrected,
    Entered,
    Lifted,
    Options,
    Posted,
    Record,
    Revision,
    Withdrawn,
)
from league.rules.scorecard import Card, Hole, HoleScore, Tee
from tests.rules.referee import (
    PICKED_UP,
    Event,
    PlainCard,
    PlainTee,
    Referee,
    Settings,
    capped,
    n_holes,
    strokes_on,
    tenths,
)

N_HISTORIES = int(os.environ.get("REFEREE_HISTORIES", "300"))
FIRST_SEED = int(os.environ.get("REFEREE_FIRST_SEED", "1"))
CHUNK = 25

# ---- histories as plain data -------------------------------------------------------------------------------------

LEVELS = [-6, -2, 1, 6, 12, 18, 25, 33, 42, 50, 57]
MIXES = {"eighteens": (12, 1, 1), "nines": (1, 12, 1), "both": (5, 3, 2)}
SETTINGS = [
    Settings(),
    Settings(),
    Settings(low_counts_early=False),
    Settings(round_half_index=True),
    Settings(expected_slope=F(11, 10), expected_constant=F(19, 10), low_window_days=200),
]


def random_tee(random: Random, n_on_tee: int) -> PlainTee:
    pars = [random.choice([3, 4, 4, 4, 5]) for _ in range(n_on_tee)]
    indexes = random.sample(range(1, 19), 18)[:n_on_tee]
    slope = random.choice([55, 60, 113, 155, random.randint(56, 154), random.randint(100, 140)])
    rating = F(sum(pars) * 10 + random.randint(-40, 40), 10)
    if slope == 60:  # on whole ratings this slope gives many exact halves
        rating = F(round(rating))
    nines: tuple[tuple[F, int], ...] = ()
    if n_on_tee == 18:
        front = tenths(rating / 2) + F(random.randint(-8, 8), 10)
        shift = random.randint(0, min(slope - 55, 155 - slope, 6))
        nines = ((front, slope + shift), (rating - front, slope - shift))
    return PlainTee(tuple(zip(pars, indexes, strict=True)), rating, slope, nines)


def tee_for(differential: F, conditions: int) -> PlainTee:
    """A tee of slope 113 on which 75 strokes are exactly this differential."""
    return PlainTee(tuple((4, index) for index in range(1, 19)), 75 - conditions - differential, 113)


def hole_scores(random: Random, pars: list[int], over: int) -> list[int]:
    scores = [par + over // len(pars) for par in pars]
    for hole in random.sample(range(len(pars)), over % len(pars)):
        scores[hole] += 1
    for _ in range(len(pars)):  # good holes and bad holes, the same total
        better, worse = random.randrange(len(pars)), random.randrange(len(pars))
        if scores[better] > 1:
            scores[better], scores[worse] = scores[better] - 1, scores[worse] + 1
    return [max(1, score) for score in scores]


def random_card(random: Random, tee: PlainTee, wanted: float, mix: str) -> PlainCard:
    """A card on this tee worth about the wanted 18-hole differential."""
    n_on_tee = len(tee.holes)
    kind = random.choices(["whole", "nine", "partial"], MIXES[mix])[0]
    pars = [par for par, _ in tee.holes]
    if kind == "nine":
        side = random.choice(["front", "back"]) if n_on_tee == 18 else "front"
        pars = pars[9:] if side == "back" else pars[:9]
        rating, slope = tee.nines[side == "back"] if tee.nines else (tee.rating, tee.slope)
        over = round(float(rating) - sum(pars) + wanted / 2 * slope / 113)
    else:
        side = "whole"
        pars = pars * (18 // n_on_tee)
        over = round(float(tee.rating) * (18 // n_on_tee) - sum(pars) + wanted * tee.slope / 113)
    scores: list[int | str | None] = list(hole_scores(random, pars, over))
    if kind == "partial":
        for hole in random.sample(range(18), random.randint(1, 8)):
            scores[hole] = None
    elif random.random() < 0.3:
        return PlainCard(side, total=max(len(pars), sum(pars) + over))
    for hole, score in enumerate(scores):
        if score is not None and random.random() < 0.04:
            scores[hole] = PICKED_UP
    return PlainCard(side, tuple(scores))


class History:
    """Grows one player's events, one kind at a time; seeds make it repeatable."""

    def __init__(self, seed: int) -> None:
        self.random = random = Random(seed)
        self.settings = random.choice(SETTINGS)
        self.tees = [random_tee(random, random.choice([18, 18, 9])) for _ in range(3)]
        self.level = float(random.choice(LEVELS))
        self.spread = random.choice([1, 3, 5])
        self.mix = random.choice(["eighteens", "eighteens", "both", "nines"])
        self.untidy = random.choice([0.02, 0.15, 0.35])
        self.today = date(2023, 1, 1) + timedelta(days=random.randrange(700))
        self.first_day = self.today
        self.is_backlog = random.random() < 0.1
        self.events: list[Event] = []
        self.played: dict[str, date] = {}
        self.brilliant: list[str] = []
        n_events = random.choice([random.randint(0, 9), random.randint(10, 30), random.randint(30, 60)])
        thinned_at = random.randint(0, n_events) if random.random() < 0.1 else -1
        if random.random() < 0.12:  # twenty scores, nearly all withdrawn, and a new start
            thinned_at, n_events, self.untidy = random.randint(20, 28), 60, 0.02
        while len(self.events) < n_events:
            if len(self.events) == thinned_at:
                self.thin_out(random.choice([0, 0, 3, 4, 6]))
            else:
                self.grow()
        del self.events[60:]

    def grow(self) -> None:
        random = self.random
        self.today += timedelta(days=random.choice([0, 0, 1, 2, 5, 9, 16]))
        if random.random() < 0.03:
            self.today += timedelta(days=random.choice([180, 364, 365, 366, 366, 366, 367, 420, 800]))
        if random.random() < 0.06:
            self.level = min(62.0, self.level + random.choice([-5, 4, 8, 12]))
        if not self.played or random.random() > self.untidy:
            return self.enter()
        if len(self.played) > 22 and random.random() < 0.1:
            return self.thin_out(random.randint(2, 18))
        favourites = [list(self.played)[-1:], sorted(self.played), [k for k in self.brilliant if k in self.played]]
        key = random.choice(random.choice([keys for keys in favourites if keys]))
        kind = random.choice(["corrected", "corrected", "withdrawn", "adjusted", "lifted"])
        if kind == "corrected":
            return self.correct(key)
        if kind == "withdrawn":
            return self.withdraw(key)
        if kind == "adjusted":
            amount = F(random.choice([-20, -10, -7, -1, 1, 5, 25, 45]), 10)
            return self.events.append(Event("adjusted", self.today, amount=amount))
        return self.events.append(Event("lifted", self.today, key))

    def thin_out(self, n_left: int) -> None:
        for key in self.random.sample(sorted(self.played), max(0, len(self.played) - n_left)):
            self.withdraw(key)
        self.level = min(62.0, self.level + 6)
        self.enter()

    def withdraw(self, key: str) -> None:
        del self.played[key]
        self.events.append(Event("withdrawn", self.today, key))

    def a_round(self, kind: str, entered_on: date, key: str, played_on: date) -> None:
        random = self.random
        tee = random.choice(self.tees)
        wanted = random.gauss(self.level + 2, self.spread)
        if random.random() < (0.2 if played_on < entered_on else 0.07):  # a day far better or far worse than the index
            wanted = self.level - 2 * self.spread + random.choice([-16, -12, -9, -7, -6, 25])
            self.brilliant.append(key)
        card = random_card(random, tee, wanted, self.mix)
        conditions = random.choice([0, 0, 0, -1, 1, 2, 3])
        if random.random() < 0.015:
            index = self.index_on(played_on)
            better = F(random.choice([69, 70, 70, 71, 99, 100, 100, 101]), 10)
            tee, card = tee_for(index - better, conditions), PlainCard("whole", total=75)
            self.brilliant.append(key)
        self.played[key] = played_on
        self.events.append(Event(kind, entered_on, key, played_on, random.choice([1, 1, 1, 2]), tee, card, conditions))

    def index_on(self, day: date) -> F:
        issued = [r["index"] for r in Referee(self.events, self.settings).revisions if r["issued_on"] <= day]
        return issued[-1] if issued and issued[-1] is not None else F(30)

    def enter(self) -> None:
        key = f"r{len(self.events) + 1}"
        late = self.random.choice([1, 3, 10, 40, 200]) if self.random.random() < self.untidy else 0
        played_on = self.today - timedelta(days=late)
        if self.is_backlog:  # cards come in much more slowly than they were played, in order of play
            late, played_on = 0, min(self.today, self.first_day + timedelta(days=len(self.events) // 2))
        imported = late and self.random.random() < 0.3
        self.a_round("entered", played_on if imported else self.today, key, played_on)

    def correct(self, key: str) -> None:
        moved = self.random.choice([0, 0, 0, -1, -12, -90, 1, 12, 90])
        played_on = min(self.today, self.played[key] + timedelta(days=moved))
        self.a_round("corrected", self.today, key, played_on)


# ---- the referee's own examinations ------------------------------------------------------------------------------

LEVEL_GROUND = PlainTee(tuple((4, index) for index in range(1, 19)), F(72), 113, ((F(36), 113), (F(36), 113)))
NEW_YEAR = date(2024, 1, 1)


def total(key: str, played_on: date, gross: int, part: str = "whole", tee: PlainTee = LEVEL_GROUND) -> Event:
    return Event("entered", played_on, key, played_on, 1, tee, PlainCard(part, total=gross))


def each_week(grosses: list[int], first: date = NEW_YEAR) -> list[Event]:
    return [total(f"w{n}", first + timedelta(weeks=n), gross) for n, gross in enumerate(grosses)]


def last(events: list[Event], settings: Settings = Settings()) -> dict[str, Any]:  # noqa: B008
    return Referee(events, settings).revisions[-1]


@pytest.mark.parametrize(
    ("exact", "rounded"), [("-1.54", "-1.5"), ("-1.55", "-1.5"), ("-1.56", "-1.6"), ("16.95", "17")]
)
def test_the_referee_rounds_halves_upward(exact: str, rounded: str) -> None:
    # Rule 5.1c prints the first two lines; the third follows from "nearest"; 90 on 72.0/120 is 16.95 (own arithmetic)
    assert tenths(F(exact)) == F(rounded)


@pytest.mark.parametrize(
    ("calculated", "low", "result"),
    [
        ("11.6", "6.5", "10.6"),
        ("9.5", "6.5", "9.5"),
        ("9.6", "6.5", "9.6"),
        ("13.5", "6.5", "11.5"),
        ("20", "6.5", "11.5"),
    ],
)
def test_the_referee_caps_a_rise(calculated: str, low: str, result: str) -> None:
    # Rule 5.8; the governing body's local guidance prints the first (10.55, shown 10.6), the rest by hand
    assert capped(F(calculated), F(low)) == F(result)


def test_the_referee_deals_strokes_by_hole() -> None:
    # Appendix C and E: a plus player gives strokes back from index 18; beyond 18 the order starts again at index 1
    assert [strokes_on(index, -2, 18) for index in (1, 16, 17, 18)] == [0, 0, -1, -1]
    assert [strokes_on(index, 55, 18) for index in (1, 2, 18)] == [4, 3, 3]
    assert [strokes_on(rank, 7, 9) for rank in (7, 8)] == [1, 0]


def test_the_referee_reads_the_table() -> None:
    # Rule 5.2a by hand: level ground, so a total of 72 + x is a differential of x
    indexes = [r["index"] for r in Referee(each_week([92, 90, 91, 90, 90, 96]), Settings()).revisions]
    assert indexes == [None, None, 16, 17, 18, 17]


def test_the_referee_founds_on_six_nines() -> None:
    # Rule 4.5 and 5.1b: nines worth 9 each pair to 18, lowest 1 of 3 less 2.0: 16.0; expected (1.04 x 16 + 2.4) / 2
    # is 9.52; each nine then is 18.5, six of them: lowest 2 less 1.0
    nines = [total(f"n{n}", NEW_YEAR + timedelta(n), 45, "front") for n in range(6)]
    revisions = Referee(nines, Settings()).revisions
    assert [r["index"] for r in revisions] == [None] * 5 + [F("17.5")]
    assert {effective for _, effective, _ in revisions[-1]["window"]} == {F("18.5")}


def test_the_referee_lowers_the_window_for_an_exceptional_score() -> None:
    # Rule 5.9: index 18.0 after five 18s; a differential of 11.0 is exactly 7.0 better; 8.0 is exactly 10.0 better
    for gross, line in [(84, 0), (83, -1), (81, -1), (80, -2)]:
        after = last(each_week([90] * 5 + [gross]))
        assert after["score"]["reduction"] == line
        assert after["window"][0][1] == 18 + line
        assert after["index"] == tenths(F(18 + gross - 72, 2) + line - 1)


def test_the_referee_keeps_the_low_of_the_last_play_date() -> None:
    # Rule 5.7, clarification 1: a low older than a year still serves the score that ends it, then is gone; by hand:
    # twenty 10s, thirteen 14s (seven 10s and a 14 count), then more than a year later an 18
    events = [*each_week([82] * 20 + [86] * 13), total("after", NEW_YEAR + timedelta(weeks=110), 90)]
    before, after = Referee(events, Settings()).revisions[-2:]
    assert (before["index"], before["low"], after["cap_low"]) == (F("10.5"), 8, 8)
    assert (after["calculated"], after["index"], after["low"]) == (11, 11, 11)


# ---- what the histories contain ----------------------------------------------------------------------------------


def half_below_zero(exact: F) -> bool:
    return exact < 0 and (exact * 10 + F(1, 2)).denominator == 1


def facets_of_cap(revision: dict[str, Any]) -> list[str]:
    calculated, low = revision["calculated"], revision["cap_low"]
    if calculated is None:
        return []
    found = ["ceiling of 54.0"] if calculated > 54 and (low is None or low + 5 > 54) else []
    found += ["plus index"] if revision["index"] < 0 else []
    counted = [effective for _, effective, is_counted in revision["window"] if is_counted]
    found += ["half below zero in an index"] if half_below_zero(sum(counted, F(0)) / len(counted)) else []
    if low is None or calculated - low <= 3:
        return found
    found += ["hard cap"] if calculated - low > 7 else ["soft cap"]
    return [*found, "cap with fewer than 20 scores"] if len(revision["window"]) < 20 else found


def facets_of_card(referee: Referee, i: int) -> list[str]:
    event, revision = referee.events[i], referee.revisions[i]
    if event.kind not in ("entered", "corrected"):
        return []
    index, held, order = referee.in_force(i), n_holes(event.card), referee.in_play_order(i)
    found = [f"reduction {revision['score']['reduction']} by {'eighteen' if held == 18 else 'fewer holes'}"]
    found += ["picked up hole"] if PICKED_UP in event.card.scores else []
    found += ["total over 9 holes" if held == 9 else "total over 18 holes"] if event.card.total else []
    if 9 < held < 18:
        found.append("part of 18 holes, counting" if index is not None else "part of 18 holes, never counting")
    if referee.counts(i, i):
        found += ["half below zero in a differential"] if half_below_zero(referee.exact(i, i)) else []
        if held == 9 and index is None and referee.founding(i) != i:
            found.append("nine without index, after founding")
    later = order[order.index(i) + 1 :]
    if later and event.kind == "entered" and i:
        before = referee.revisions[i - 1]["index"]
        if before is not None and before != revision["index"]:
            found.append("late entry changing the index")
        on_the_day = referee.events[later[0]].played_on == event.played_on
        found += ["order within a day against order of entry"] if on_the_day else []
        if revision["score"]["reduction"]:
            found.append("late exceptional score")
    return found


def facets_of_change(referee: Referee, i: int) -> list[str]:
    event, revision, earlier = referee.events[i], referee.revisions[i], referee.revisions[:i]
    found = [event.kind]
    if event.kind == "lifted" and len(referee.lines(i)) < len(referee.lines(i - 1)):
        found.append("lifted with an effect")
    if event.kind in ("corrected", "withdrawn"):
        if any(line.cause == event.key for line in referee.lines(i - 1)):
            found.append(f"{event.kind} after its own reduction")
        if any(line.target == event.key for line in referee.lines(i - 1)) and event.kind == "corrected":
            found.append("corrected below lines of others")
    if event.kind == "corrected":
        moved = event.played_on != referee.events[referee.standing_cards(i - 1)[event.key]].played_on
        found += ["corrected play date"] if moved else []
    if not referee.standing_cards(i) and i > 5:
        found.append("emptied")
    low = revision["cap_low"]
    if low is not None:
        since = referee.anchor(i - 1) - timedelta(days=referee.settings.low_window_days)
        lower = [r for r in earlier if r["index"] is not None and r["index"] < low]
        superseded_now = [r for r in lower if r["issued_on"] >= since and referee.superseded(r, i)]
        found += ["superseded low"] if superseded_now else []
        aged = [r for r in lower if r["issued_on"] < since and not referee.superseded(r, i)]
        found += ["low gone with time"] if aged else []
    if low is None and any(len(r["window"]) == 20 for r in earlier):
        found.append("no low left")
    return found


def facets(referee: Referee) -> Counter[str]:
    found: Counter[str] = Counter()
    for i, revision in enumerate(referee.revisions):
        found.update(facets_of_cap(revision) + facets_of_card(referee, i) + facets_of_change(referee, i))
        if i and referee.events[i].entered_on > referee.events[i - 1].entered_on + timedelta(days=365):
            found["break of more than a year"] += 1
        if i and referee.events[i].entered_on < referee.events[i - 1].entered_on:
            found["entered on a day before the last entry"] += 1
        if referee.founding(i) == i:
            held = [n_holes(referee.events[j].card) for j in referee.standing_cards(i).values()]
            found["founded with nines" if 9 in held else "founded with eighteens"] += 1
            found["founded with an odd nine"] += held.count(9) % 2
    found["empty history"] += not referee.revisions
    return found


EXPECTED_FACETS = {
    "adjusted": 50, "break of more than a year": 30, "cap with fewer than 20 scores": 5, "ceiling of 54.0": 50,
    "corrected": 100, "corrected after its own reduction": 5, "corrected below lines of others": 5,
    "corrected play date": 50, "emptied": 5, "empty history": 1, "entered on a day before the last entry": 20,
    "founded with an odd nine": 3, "founded with eighteens": 50, "founded with nines": 50,
    "half below zero in a differential": 3, "half below zero in an index": 30, "hard cap": 50,
    "late entry changing the index": 100, "late exceptional score": 2, "lifted": 50, "lifted with an effect": 2,
    "low gone with time": 50, "nine without index, after founding": 10, "no low left": 5,
    "order within a day against order of entry": 3, "part of 18 holes, counting": 50,
    "part of 18 holes, never counting": 20, "picked up hole": 100, "plus index": 100, "reduction -1 by eighteen": 10,
    "reduction -1 by fewer holes": 3, "reduction -2 by eighteen": 10, "reduction -2 by fewer holes": 3,
    "soft cap": 50, "superseded low": 20, "total over 18 holes": 100, "total over 9 holes": 50, "withdrawn": 50,
    "withdrawn after its own reduction": 3,
}  # fmt: skip


def test_the_histories_hold_what_they_should() -> None:
    found: Counter[str] = Counter()
    for seed in range(1, 161):
        history = History(seed)
        found += facets(Referee(history.events, history.settings))
    missing = {facet: (found[facet], wanted) for facet, wanted in EXPECTED_FACETS.items() if found[facet] < wanted}
    assert not missing


# ---- the same histories for the engine ---------------------------------------------------------------------------


def decimal(tenths_exactly: F) -> Decimal:
    assert (tenths_exactly * 100).denominator == 1
    return Decimal(int(tenths_exactly * 100)) / 100


def product_options(settings: Settings) -> Options:
    return Options(
        low_counts_early=settings.low_counts_early,
        round_half_index=settings.round_half_index,
        expected_slope=decimal(settings.expected_slope),
        expected_constant=decimal(settings.expected_constant),
        low_window_days=settings.low_window_days,
    )


def product_tee(tee: PlainTee, part: str) -> Tee:
    holes = tuple(Hole(number, par, index) for number, (par, index) in enumerate(tee.holes, 1))
    whole_tee = Tee(holes, decimal(tee.rating), tee.slope)
    if part == "whole":
        return whole_tee if len(holes) == 18 else whole_tee.twice()
    if len(holes) == 9:
        return whole_tee
    rating, slope = tee.nines[part == "back"]
    return whole_tee.nine(part == "front", decimal(rating), slope)


def product_card(card: PlainCard) -> Card:
    if card.total is not None:
        holes = 18 if card.part == "whole" else 9
        return Card.total(card.total, holes=holes) if card.total % 2 else Card.total(card.total + 3, card.total, holes)
    first = 10 if card.part == "back" else 1
    played = [(number, score) for number, score in enumerate(card.scores, first) if score is not None]
    return Card(
        tuple(
            HoleScore(number, picked_up=True) if score == PICKED_UP else HoleScore(number, score, picked_up=score > 8)
            for number, score in played
        )
    )


def product_event(event: Event) -> Entered | Corrected | Withdrawn | Adjusted | Lifted:
    if event.kind == "withdrawn":
        return Withdrawn(event.entered_on, event.key)
    if event.kind == "lifted":
        return Lifted(event.entered_on, event.key)
    if event.kind == "adjusted":
        return Adjusted(event.entered_on, decimal(event.amount), "reviewed")
    tee, card = product_tee(event.tee, event.card.part), product_card(event.card)
    posted = Posted(event.key, event.played_on, event.order, tee, card, event.conditions)
    return (Entered if event.kind == "entered" else Corrected)(event.entered_on, posted)


def fraction(value: Decimal | int | None) -> F | None:
    return None if value is None else F(value)


def seen_in(revision: Revision) -> dict[str, Any]:
    score = revision.score
    return {
        "number": revision.number,
        "issued_on": revision.issued_on,
        "calculated": fraction(revision.calculated),
        "index": fraction(revision.index),
        "low": fraction(revision.low),
        "cap_low": fraction(revision.low_used),
        "window": [(line.key, fraction(line.effective), line.counted) for line in revision.window],
        "score": score
        and {
            "differential": fraction(score.differential),
            "adjusted_gross": score.adjusted_gross,
            "reduction": fraction(score.reduction),
            "course_handicap": score.course_handicap,
        },
    }


def differing(who: str, revision: Revision, expected: dict[str, Any]) -> list[str]:
    seen = seen_in(revision)
    told = {name: value for name, value in expected.items() if name != "cap_low" or expected["calculated"] is not None}
    return [
        f"revision {expected['number']} {name}: {who} {seen[name]}, referee {value}"
        for name, value in told.items()
        if seen[name] != value
    ]


def differences(events: list[Event], settings: Settings) -> list[str]:
    """What engine and referee say differently, first revision first.

    The record takes every event. The small state takes what it can: once fresh from the record before each event, once
    carried along by itself for as long as it can.
    """
    record = Record(product_options(settings))
    carried = record.standing()
    found = []
    for event, expected in zip(events, Referee(events, settings).revisions, strict=True):
        told, fresh = product_event(event), record.standing()
        found += differing("record", record.apply(told), expected)
        if fresh.can_append(told):
            found += differing("standing", fresh.append(told), expected)
        if carried.can_append(told):
            found += differing("carried standing", carried.append(told), expected)
        else:
            carried = record.standing()
    return found


def shortest(events: list[Event], settings: Settings) -> list[Event]:
    """Leaves out events while engine and referee still differ, so that a failure shows a small history."""
    for event in reversed(events):
        fewer = [kept for kept in events if kept is not event]
        if event.kind == "entered":
            fewer = [kept for kept in fewer if kept.key != event.key]
        if event in events and differences(fewer, settings):
            events = fewer
    return events


@pytest.mark.parametrize("first", range(FIRST_SEED, FIRST_SEED + N_HISTORIES, CHUNK))
def test_engine_and_referee_agree(first: int) -> None:
    for seed in range(first, min(first + CHUNK, FIRST_SEED + N_HISTORIES)):
        history = History(seed)
        if differences(history.events, history.settings):
            events = shortest(history.events, history.settings)
            story = "\n".join(map(str, [history.settings, *events, *differences(events, history.settings)]))
            pytest.fail(f"history {seed} comes down to\n{story}")


def test_the_small_state_takes_the_usual_round() -> None:
    taken: Counter[bool] = Counter()
    for seed in range(1, 41):
        history = History(seed)
        record = Record(product_options(history.settings))
        for event in history.events:
            told = product_event(event)
            taken[record.standing().can_append(told)] += 1
            record.apply(told)
    assert taken[True] > taken[False] > 50
