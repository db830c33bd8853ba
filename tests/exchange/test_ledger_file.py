"""A ledger in one file: what is written is read back, and every number that was changed is found."""

import csv
import io
import json
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from league.exchange import ledger_csv, ledger_file, verify_ledger
from league.rules.facts import Adjusted, Corrected, Entered, Lifted, Options, Posted, Withdrawn
from league.rules.record import Record
from league.rules.scorecard import Card, Hole, HoleScore, Tee

HERE = Path(__file__).parents[2]
TEE = Tee(tuple(Hole(number, 4, number) for number in range(1, 19)), Decimal("71.4"), 125, "white")
NINE = Tee(TEE.holes[:9], Decimal("35.6"), 121, "front")


def entered(number, card, tee=TEE):
    played_on = date(2026, 3, 1) + timedelta(days=6 * number)
    return Entered(played_on, Posted(f"r{number}", played_on, 1, tee, card))


def season():
    """Totals, cards with a hole picked up, nines, then one fact of every other kind."""
    events = []
    for number in range(26):
        if number % 4 == 3:
            events.append(entered(number, Card.by_hole([5, 6, 4] * 3), NINE))
        elif number % 4 == 1:
            strokes = Card.by_hole([5 + (number * hole) % 4 for hole in range(17)]).holes
            events.append(entered(number, Card((*strokes, HoleScore(18, None, True)))))
        else:
            events.append(entered(number, Card.total(95 - (number * 5) % 17)))
    late = date(2026, 9, 1)
    played = events[20].posted
    return [
        *events,
        entered(26, Card.total(71)),
        Withdrawn(late, "r2"),
        Corrected(late, replace(played, card=Card.total(88))),
        Adjusted(late, Decimal("-1.0"), "=found too high"),
        Lifted(late, "r26"),
    ]


def revisions_of(events, options=None):
    record = Record(options)
    return [record.apply(event) for event in events]


EVENTS = season()
REVISIONS = revisions_of(EVENTS)
TEXT = ledger_file.write("Ann", EVENTS, REVISIONS)


def plain():
    return json.loads(TEXT)


def differences_of(changed):
    ledger = ledger_file.read(json.dumps(changed))
    assert ledger.problems == ()
    return ledger_file.verify(ledger)


def test_what_is_written_is_read_back_and_agrees():
    ledger = ledger_file.read(TEXT)
    assert ledger.problems == ()
    assert (ledger.player, ledger.events, ledger.options) == ("Ann", tuple(EVENTS), Options())
    assert list(ledger.revisions) == json.loads(json.dumps([revision.as_plain() for revision in REVISIONS]))
    assert ledger_file.verify(ledger) == []


def test_the_season_holds_what_a_ledger_can_hold():
    assert {revision.kind for revision in REVISIONS} == {"entered", "corrected", "withdrawn", "adjusted", "lifted"}
    assert any(revision.score and revision.score.reduction for revision in REVISIONS)
    assert any(revision.score and revision.score.is_estimated for revision in REVISIONS)


def test_the_file_says_that_it_is_not_official():
    assert plain()["official"] is False
    assert plain()["caution"].startswith("Unofficial: ")
    assert "official" in [problem.column for problem in ledger_file.read(TEXT.replace("false", "true", 1)).problems]


def test_other_options_are_kept_and_used():
    options = Options(False, True, Decimal("1.02"), Decimal("2.1"), 300)
    text = ledger_file.write("Ann", EVENTS, revisions_of(EVENTS, options), options)
    ledger = ledger_file.read(text)
    assert ledger.options == options
    assert ledger_file.verify(ledger) == []
    assert ledger_file.verify(ledger_file.LedgerFile(**{**fields(ledger), "options": Options()})) != []


def fields(ledger):
    return {name: getattr(ledger, name) for name in ledger.__slots__}


def leaves(value, path=()):
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, (*path, name))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from leaves(inner, (*path, place))
    else:
        yield path, value


LEAVES = list(leaves(plain()["revisions"]))


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(LEAVES), st.sampled_from([None, "0.1", 7, True, "2026-01-01", ""]))
def test_any_value_changed_is_found_and_named(leaf, other):
    path, value = leaf
    changed = plain()
    place = changed["revisions"]
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = other
    found = differences_of(changed)
    if type(other) is type(value) and other == value:
        assert found == []
    else:
        field = ".".join(map(str, path[1:]))
        assert [(each.revision, each.field, each.stated) for each in found] == [(path[0] + 1, field, other)]
        assert found[0].recomputed == value


def test_a_fact_changed_shows_in_the_revisions_it_causes():
    changed = plain()
    changed["events"][4]["posted"]["card"]["gross"] -= 30
    found = [(each.revision, each.field) for each in differences_of(changed)]
    assert {(5, "score.gross"), (5, "index"), (6, "previous"), (6, "window.4.differential")} <= set(found)
    assert min(found)[0] == 5


def test_values_added_and_values_left_out_are_found():
    changed = plain()
    changed["revisions"][3]["gift"] = 1
    del changed["revisions"][4]["index"]
    assert [(each.revision, each.field) for each in differences_of(changed)] == [(4, "gift"), (5, "index")]


def test_a_revision_left_out_or_an_edition_changed_is_found():
    changed = plain()
    changed["revisions"].pop()
    changed["rules_edition"] = "another"
    assert [(each.revision, each.field) for each in differences_of(changed)] == [(0, "rules_edition"), (0, "revisions")]


def test_a_fact_that_cannot_follow_is_named():
    changed = plain()
    changed["events"][27]["key"] = "never"
    assert [(each.revision, each.field) for each in differences_of(changed)] == [(28, "event")]


def first_tee(file):
    return file["events"][0]["posted"]["tee"]


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (lambda file: first_tee(file).update(course_rating="1E+999999999"), "events.0.posted.tee.course_rating"),
        (lambda file: file["events"][0].update(kind="mislaid"), "events.0.kind"),
        (lambda file: file["events"][0].update(entered_on="tomorrow"), "events.0.entered_on"),
        (lambda file: file["events"][0].update(entered_on="9999-12-31"), "events.0"),
        (lambda file: file["events"][0]["posted"].update(played_on="0001-01-01"), "events.0"),
        (lambda file: first_tee(file).update(slope_rating=200), "events.0.slope_rating"),
        (lambda file: file["events"][29].update(amount="1E+999999999"), "events.29.amount"),
        (lambda file: file["events"].__setitem__(0, 7), "events.0"),
        (lambda file: file["options"].update(low_window_days=10**9), "options.low_window_days"),
        (lambda file: file["options"].update(expected_slope=1.04), "options.expected_slope"),
        (lambda file: file.update(options=None), "options"),
        (lambda file: file.update(version=2), "version"),
        (lambda file: file.update(format="course"), "format"),
        (lambda file: file.update(revisions=[1]), "revisions.0"),
        (lambda file: file.update(surprise=1), "surprise"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_checked_says_where(change, path):
    changed = plain()
    change(changed)
    ledger = ledger_file.read(json.dumps(changed))
    assert path in [problem.column for problem in ledger.problems]
    assert ledger.events == ()


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=100) | st.text(st.sampled_from('{}[]":,01.e-"'), max_size=60))
def test_any_text_is_answered_with_problems(text):
    assert ledger_file.read(text).problems


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=6) | st.just("2026-04-03") | st.just("1E+99999"),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=8,
)
EVENT_PATHS = [path for path, _ in leaves(plain()["events"]) if path[0] in (0, 1, 3, 27, 28, 29)]


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(EVENT_PATHS), st.integers(1, 4), ANYTHING)
def test_any_fact_spoiled_is_answered_and_never_fails(path, depth, value):
    changed = plain()
    place = changed["events"]
    path = path[: max(1, depth)]
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    ledger = ledger_file.read(json.dumps(changed))
    assert ledger.problems or isinstance(ledger_file.verify(ledger), list)


def run(*arguments):
    return subprocess.run(
        [sys.executable, "-S", "-W", "error", "-m", "league.exchange.verify_ledger", *map(str, arguments)],
        cwd=HERE, capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_the_check_runs_without_any_installed_package(tmp_path):
    (tmp_path / "ann.json").write_text(TEXT)
    done = run(tmp_path / "ann.json")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Ledger of Ann" in done.stdout
    assert f"{len(EVENTS)} facts, {len(REVISIONS)} revisions" in done.stdout
    assert "every value agrees" in done.stdout
    assert "Unofficial: " in done.stdout


def test_the_check_ends_with_1_and_names_the_difference(tmp_path):
    changed = plain()
    changed["revisions"][30]["index"] = "1.0"
    (tmp_path / "ann.json").write_text(json.dumps(changed))
    done = run(tmp_path / "ann.json")
    assert done.returncode == 1
    assert f'Revision 31, index: the file says "1.0", the facts give "{REVISIONS[30].index}".' in done.stdout


@pytest.mark.parametrize("data", [b"", b"{}", b"\xff", b"\x1f\x8b", b"[1, 2"])
def test_the_check_ends_with_2_for_what_is_no_ledger(tmp_path, capsys, data):
    (tmp_path / "file").write_bytes(data)
    assert verify_ledger.main([str(tmp_path / "file")]) == 2
    assert "cannot be checked" in capsys.readouterr().out


def test_the_check_ends_with_2_without_a_file(tmp_path, capsys):
    assert verify_ledger.main([]) == 2
    assert verify_ledger.main([str(tmp_path / "nowhere")]) == 2
    assert verify_ledger.main([str(tmp_path)]) == 2
    assert verify_ledger.main(["a\0b"]) == 2
    assert "cannot be opened" in capsys.readouterr().out


def test_a_thousand_revisions_agree():
    events = [entered(number, Card.total(80 + (number * 7) % 23)) for number in range(1_000)]
    text = ledger_file.write("Ann", events, revisions_of(events))
    ledger = ledger_file.read(text)
    assert len(ledger.revisions) == 1_000
    assert ledger_file.verify(ledger) == []


def test_the_ledger_for_a_spreadsheet_has_one_unofficial_line_a_revision():
    lines = list(csv.DictReader(io.StringIO(ledger_csv.write(REVISIONS))))
    assert [line["index"] for line in lines] == [
        "" if revision.index is None else str(revision.index) for revision in REVISIONS
    ]
    assert [int(line["number"]) for line in lines] == list(range(1, len(REVISIONS) + 1))
    assert all(line["unofficial"].startswith("Unofficial: ") for line in lines)
    assert lines[29]["reason"] == "'=found too high"
    assert lines[29]["adjustment"] == "-1.0"
    first = REVISIONS[0].score
    assert (lines[0]["played_on"], lines[0]["gross"], lines[0]["differential"]) == (
        first.played_on.isoformat(), str(first.gross), str(first.differential)
    )  # fmt: skip
