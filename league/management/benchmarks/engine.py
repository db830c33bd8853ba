"""The rules alone, without a database: exactness, rebuilding many players, one long record, appending to it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial

from league.management.benchmarks import forms
from league.management.benchmarks.forms import Bare
from league.management.benchmarks.lines import Figure, Line, Target, interleaved, ratios
from league.rules import index, record, scorecard
from league.rules.rounding import as_decimal, tenths

HOLES = tuple(scorecard.Hole(number, 4, number) for number in range(1, 19))


@dataclass(frozen=True)
class Sizes:
    """How much is measured. Players have 100 rounds each."""

    exact_players: int = 10_000
    exact_records: int = 100
    rebuild_players: int = 400
    reasons_players: int = 40
    long_record: int = 1_000
    longest_record: int = 5_000
    appended: int = 300
    rounds: int = 100
    passes: int = 5


def entered(rounds: Sequence[Bare]) -> list[record.Event]:
    """The same rounds as facts for the whole engine, each entered on the day it was played."""
    events: list[record.Event] = []
    for number, (day, gross, rating, slope, conditions) in enumerate(rounds):
        played_on = date.fromordinal(day)
        tee = scorecard.Tee(HOLES, as_decimal(rating), slope)
        card = scorecard.Card.total(None, gross)
        events.append(record.Entered(played_on, record.Posted(f"r{number}", played_on, number, tee, card, conditions)))
    return events


def exact(sizes: Sizes) -> Iterable[Line]:
    """Every index of the bare core, and every differential and index of the whole engine, against fractions."""
    wrong = total = 0
    for seed in range(sizes.exact_players):
        rounds = forms.bare_history(seed, sizes.rounds)
        _, expected = forms.by_fractions(rounds)
        wrong += sum(one != other for one, other in zip(index.rebuild(rounds), expected, strict=True))
        total += len(rounds)
    engine_wrong = engine_total = 0
    for seed in range(sizes.exact_records):
        rounds = forms.bare_history(seed, sizes.rounds)
        differentials, expected = forms.by_fractions(rounds)
        revisions = record.replay(entered(rounds)).revisions
        for revision, differential, value in zip(revisions, differentials, expected, strict=True):
            found = None if revision.score is None else _tenths(revision.score.differential)
            engine_wrong += (found, _tenths(revision.index)) != (differential, value)
        engine_total += len(rounds)
    figures = [
        Figure("wrong", [wrong]),
        Figure("of", [total]),
        Figure("engine_wrong", [engine_wrong]),
        Figure("engine_of", [engine_total]),
    ]
    yield Line("exact", figures, is_wrong=bool(wrong or engine_wrong))


def _tenths(value: Decimal | None) -> int | None:
    return None if value is None else tenths(value)


def _each(work: Callable[[list[Bare]], object], histories: Sequence[list[Bare]]) -> None:
    for rounds in histories:
        work(rounds)


def _replayed(histories: Sequence[list[record.Event]]) -> None:
    for events in histories:
        record.replay(events)


def rebuild(sizes: Sizes) -> Iterable[Line]:
    """Many players: the bare core, then the whole engine with revisions and reasons, against the textbook forms."""
    histories = [forms.bare_history(seed, sizes.rounds) for seed in range(sizes.rebuild_players)]
    yield _rebuild("rebuild", sizes, histories, partial(_each, index.rebuild, histories), 6, 4)
    few = histories[: sizes.reasons_players]
    yield _rebuild("rebuild with reasons", sizes, few, partial(_replayed, [entered(rounds) for rounds in few]), 3, 2)


def _rebuild(
    name: str, sizes: Sizes, histories: Sequence[list[Bare]], ours: Callable[[], object], apply: float, decimal: float
) -> Line:
    frame = forms.as_frame(histories)
    taken = interleaved(
        sizes.passes,
        {
            "ours": ours,
            "apply": lambda: list(forms.by_apply(frame)),
            "decimal": lambda: _each(forms.by_decimal, histories),
        },
    )
    per_round = 1e9 / sum(map(len, histories))
    return Line(
        name,
        [
            Figure("x_apply", ratios(taken["apply"], taken["ours"]), Target(at_least=apply)),
            Figure("x_decimal", ratios(taken["decimal"], taken["ours"]), Target(at_least=decimal)),
            Figure("ns", [one * per_round for one in taken["ours"]]),
        ],
    )


def long_record(sizes: Sizes) -> Iterable[Line]:
    """One player's long record with all its explanations, against the bare core."""
    rounds = forms.bare_history(1, sizes.long_record)
    events = entered(rounds)
    sides = {"engine": lambda: record.replay(events), "bare": lambda: index.rebuild(rounds)}
    taken = interleaved(sizes.passes, sides)
    name = f"replay{sizes.long_record}"
    milliseconds = [1000 * one for one in taken["engine"]]
    yield Line(
        name,
        [
            Figure("x_step", ratios(taken["engine"], taken["bare"]), Target(at_most=3)),
            Figure("ms", milliseconds),
        ],
    )


def append(sizes: Sizes) -> Iterable[Line]:
    """A round at the end of a long record and of one five times as long: appended, and by replaying everything."""
    rounds = forms.bare_history(2, sizes.longest_record + sizes.appended)
    events = entered(rounds)
    short, long = sizes.long_record, sizes.longest_record
    standings = {length: record.replay(events[:length]).standing() for length in (short, long)}

    def appended(length: int) -> None:
        standing = standings[length].copy()
        for event in events[length : length + sizes.appended]:
            standing.append(event)

    taken = interleaved(sizes.passes, {"short": partial(appended, short), "long": partial(appended, long)})
    microseconds = [1e6 * one / sizes.appended for one in taken["long"]]
    name = f"{long}/{short}"
    yield Line(
        "append",
        [
            Figure(name, ratios(taken["long"], taken["short"]), Target(at_most=1.5)),
            Figure("us", microseconds),
        ],
    )
    whole = interleaved(
        max(1, sizes.passes // 2),
        {"short": lambda: record.replay(events[:short]), "long": lambda: record.replay(events[:long])},
    )
    yield Line("replay", [Figure(name, ratios(whole["long"], whole["short"]), Target(at_most=6))])
