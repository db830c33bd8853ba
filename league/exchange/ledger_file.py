"""A player's ledger in one file that stands by itself: the facts, the options, and every revision as it was issued.

Whoever has the file can work out each number again from the facts, with this package or with their own arithmetic:

    {"format": "ledger", "version": 1, "official": false, "caution": "Unofficial: …",
     "rules_edition": "…", "player": "…",
     "options": {"low_counts_early": true, "round_half_index": false, "expected_slope": "1.04",
                 "expected_constant": "2.4", "low_window_days": 365},
     "events": [one fact a line, in the order they came in],
     "revisions": [one revision a line, as issued]}
"""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple

from league.exchange.dates import FIRST_YEAR, LAST_YEAR
from league.exchange.json_in import Place, load
from league.exchange.problems import UNOFFICIAL, Limits, Problem, ProblemList
from league.rules import EDITION
from league.rules.errors import RuleBroken
from league.rules.facts import Corrected, Entered, Event, Options, event_as_plain, event_from_plain
from league.rules.record import Record
from league.rules.revision import Revision

FORMAT, VERSION = "ledger", 1
LEDGER_LIMITS = Limits(bytes=64 * 1024 * 1024, rows=20_000)
OPTION_NAMES = ("low_counts_early", "round_half_index", "expected_slope", "expected_constant", "low_window_days")
SMALL_DECIMAL = re.compile(r"-?[0-9]{1,4}(\.[0-9]{1,6})?", re.ASCII)
LONGEST_WINDOW_DAYS = 3_660

Plain = dict[str, Any]


@dataclass(frozen=True, slots=True)
class LedgerFile:
    """What a ledger file says. With `problems` it cannot be worked out again, and events and revisions are empty."""

    player: str = ""
    rules_edition: str = ""
    options: Options = Options()
    events: tuple[Event, ...] = ()
    revisions: tuple[Plain, ...] = ()
    problems: tuple[Problem, ...] = ()


class Difference(NamedTuple):
    """One value of the file that the facts do not give. `revision` 0 stands for the file as a whole."""

    revision: int
    field: str
    stated: object
    recomputed: object


def write(
    player_name: str, events: Iterable[Event], revisions: Iterable[Revision], options: Options | None = None
) -> str:
    """The ledger as text; one fact and one revision a line, so that two files can be compared by eye."""
    head = {
        "format": FORMAT,
        "version": VERSION,
        "official": False,
        "caution": UNOFFICIAL,
        "rules_edition": EDITION,
        "player": player_name,
        "options": _options_as_plain(options or Options()),
    }
    parts = [f"{json.dumps(name)}: {json.dumps(value, ensure_ascii=False)}" for name, value in head.items()]
    parts.append(_listed("events", (event_as_plain(event) for event in events)))
    parts.append(_listed("revisions", (revision.as_plain() for revision in revisions)))
    return "{" + ",\n".join(parts) + "}\n"


def _listed(name: str, values: Iterable[Plain]) -> str:
    lines = ",\n".join(json.dumps(value, ensure_ascii=False) for value in values)
    return f"{json.dumps(name)}: [\n{lines}]"


def _options_as_plain(options: Options) -> Plain:
    values = ((name, getattr(options, name)) for name in OPTION_NAMES)
    return {name: str(value) if isinstance(value, Decimal) else value for name, value in values}


def read(text: str, limits: Limits = LEDGER_LIMITS) -> LedgerFile:
    """Reads a ledger file; what is wrong with it stands in `problems`, by path."""
    value = load(text.encode("utf-8", "surrogatepass"), limits)
    if isinstance(value, Problem):
        return LedgerFile(problems=(value,))
    problems = ProblemList(limits.problems)
    place = Place(value, "", problems, limits)
    place.only("format", "version", "official", "caution", "rules_edition", "player", "options", "events", "revisions")
    place.one_of("format", (FORMAT,))
    place.whole("version", VERSION, VERSION)
    if place.values.get("official") is not False:
        place.add("official", "official", "No file of this kind is official: false is expected here.")
    options = _options(place.inner("options"))
    most = limits.rows if limits.rows is not None else LEDGER_LIMITS.rows or 0
    events = [event for inner in place.places("events", most) if (event := _event(inner))]
    revisions = [inner.values for inner in place.places("revisions", most)]
    player = place.text("player", limits.name_characters, is_needed=False)
    edition = place.text("rules_edition", limits.name_characters)
    if problems.listed:
        return LedgerFile(player, edition, problems=tuple(problems.finished()))
    return LedgerFile(player, edition, options, tuple(events), tuple(revisions))


def _options(place: Place) -> Options:
    place.only(*OPTION_NAMES)
    return Options(
        low_counts_early=place.flag("low_counts_early"),
        round_half_index=place.flag("round_half_index"),
        expected_slope=_small_decimal(place, "expected_slope"),
        expected_constant=_small_decimal(place, "expected_constant"),
        low_window_days=place.whole("low_window_days", 1, LONGEST_WINDOW_DAYS),
    )


def _small_decimal(place: Place, name: str) -> Decimal:
    """A number kept as text. Without exponents: "1E+999999" is short to write and endless to work with."""
    value = place.values.get(name)
    if isinstance(value, str) and SMALL_DECIMAL.fullmatch(value):
        return Decimal(value)
    place.add(name, "number", "A number written as text, like “1.04”, is expected here.")
    return Decimal(0)


def _event(place: Place) -> Event | None:
    """The fact, or None with its problems added."""
    n_before = place.problems.n_found
    if "amount" in place.values:
        _small_decimal(place, "amount")
    if isinstance(posted := place.values.get("posted"), dict) and isinstance(posted.get("tee"), dict):
        _small_decimal(place.inner("posted").inner("tee"), "course_rating")
    if not place.is_there or place.problems.n_found > n_before:
        return None
    try:
        event = event_from_plain(place.values)
    except RuleBroken as broken:
        for each in broken.problems:
            place.add(each.field, each.code, each.message)
        return None
    days = [event.entered_on, *([event.posted.played_on] if isinstance(event, Entered | Corrected) else [])]
    if not all(FIRST_YEAR <= day.year <= LAST_YEAR for day in days):
        place.add("", "date", f"A year here is not between {FIRST_YEAR} and {LAST_YEAR}.")
        return None
    return event


def verify(ledger: LedgerFile) -> list[Difference]:
    """Works every revision out again from the facts and names each value that differs from the one stated."""
    differences = []
    if ledger.rules_edition != EDITION:
        differences.append(Difference(0, "rules_edition", ledger.rules_edition, EDITION))
    if len(ledger.revisions) != len(ledger.events):
        differences.append(Difference(0, "revisions", len(ledger.revisions), len(ledger.events)))
    record = Record(ledger.options)
    for number, (event, stated) in enumerate(zip(ledger.events, ledger.revisions, strict=False), 1):
        try:
            recomputed = json.loads(json.dumps(record.apply(event).as_plain()))
        except RuleBroken as broken:
            differences.append(Difference(number, "event", stated.get("kind"), broken.message))
            return differences
        differences.extend(Difference(number, path, was, now) for path, was, now in _differing("", stated, recomputed))
    return differences


def n_values(value: object) -> int:
    """How many single values stand in a plain value."""
    if isinstance(value, Mapping):
        return sum(map(n_values, value.values()))
    return sum(map(n_values, value)) if isinstance(value, list | tuple) else 1


def _differing(path: str, stated: object, recomputed: object) -> Iterator[tuple[str, object, object]]:
    if isinstance(stated, Mapping) and isinstance(recomputed, Mapping):
        for name in [*recomputed, *(name for name in stated if name not in recomputed)]:
            inner = f"{path}.{name}" if path else str(name)
            yield from _differing(inner, stated.get(name, "(missing)"), recomputed.get(name, "(nothing)"))
    elif isinstance(stated, list) and isinstance(recomputed, list) and len(stated) == len(recomputed):
        for place, (was, now) in enumerate(zip(stated, recomputed, strict=True)):
            yield from _differing(f"{path}.{place}", was, now)
    elif (type(stated), stated) != (type(recomputed), recomputed):
        yield path, stated, recomputed
