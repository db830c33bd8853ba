"""The benchmark at sizes that say nothing of speed: its lines, its verdicts, and that it sees a wrong number."""

import io
import re
import tempfile
from fractions import Fraction
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from league.management.benchmarks import apart, engine, forms
from league.management.benchmarks.lines import Figure, Line, Target, interleaved
from league.management.commands.benchmark import FEW_ROUNDS
from league.rules import calculation, index

NUMBER = r"-?\d+(\.\d+)?"
VERDICT = rf"(at most|at least) {NUMBER}: (within|outside|noise, run again)"
FIGURE = rf"[\w/]+={NUMBER}( \(({NUMBER}-{NUMBER})?(, )?({VERDICT})?\))?"
FORM = re.compile(rf"[a-z][\w ,]*(  {FIGURE})+  passes=\d+(  \[.*\])?")


def run(*arguments: str) -> list[str]:
    out = io.StringIO()
    call_command("benchmark", *arguments, "--quick", stdout=out)
    return out.getvalue().splitlines()


def test_the_parts_of_the_rules_print_a_line_each_under_one_header():
    header, *lines = run("exact", "rebuild", "replay1000", "append")
    assert {"cores", "python", "django", "pandas", "database", "size"} <= set(re.findall(r"(\w+)=", header))
    names = [line.split("  ")[0] for line in lines]
    assert names == ["exact", "rebuild", "rebuild with reasons", "replay60", "append", "replay"]
    assert [line for line in lines if not FORM.fullmatch(line)] == []


def test_exactness_holds():
    (line,) = engine.exact(FEW_ROUNDS)
    counted = {figure.label: figure.middle for figure in line.figures}
    assert counted == {"wrong": 0, "of": 2000, "engine_wrong": 0, "engine_of": 200}
    assert not line.is_wrong


def down_to_tenths(differentials):
    """As `index_of_ordered`, but with halves rounded down."""
    n = len(differentials)
    lowest = index.LOWEST_USED[n]
    if not lowest:
        return None
    return -((-2 * sum(differentials[:lowest]) + lowest) // (2 * lowest)) + index.TABLE_ADJUSTMENT[n]


def test_an_index_rounded_the_wrong_way_is_seen_and_ends_with_1(monkeypatch):
    monkeypatch.setattr(index, "index_of_ordered", down_to_tenths)
    (line,) = engine.exact(FEW_ROUNDS)
    counted = {figure.label: figure.middle for figure in line.figures}
    assert counted["wrong"] > 0
    assert counted["engine_wrong"] > 0
    with pytest.raises(SystemExit) as ended:
        run("exact")
    assert ended.value.code == 1


def test_a_differential_rounded_the_wrong_way_is_seen(monkeypatch):
    monkeypatch.setattr(calculation, "halves_up", lambda numerator, denominator: numerator // denominator)
    (line,) = engine.exact(FEW_ROUNDS)
    assert line.is_wrong


def test_the_reference_rounds_halves_upward_below_zero_too():
    """Rule 5.1c: -1.54 and -1.55 both become -1.5."""
    assert forms.up_to_tenths(Fraction(-154, 100)) == forms.up_to_tenths(Fraction(-155, 100)) == Fraction(-15, 10)


def test_the_textbook_forms_do_the_same_work():
    """They round wrongly in places, so nearly every index is the same and none is far off."""
    histories = [forms.bare_history(seed, 100) for seed in range(20)]
    exact = [value for rounds in histories for value in forms.by_fractions(rounds)[1]]
    by_decimal = [value for rounds in histories for value in forms.by_decimal(rounds)]
    by_apply = list(forms.by_apply(forms.as_frame(histories)))
    known = [place for place, value in enumerate(exact) if value is not None]
    assert len(known) == 20 * 98
    assert sum(exact[place] != by_decimal[place] for place in known) < len(known) / 10
    assert all(abs(exact[place] / 10 - by_apply[place]) < 1 for place in known)
    assert sum(exact[place] != round(10 * by_apply[place]) for place in known) < len(known) / 2


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ((11.0, 12.0, 12.5), "within"),
        ((12.0, 12.4, 13.0), "noise, run again"),
        ((12.3, 12.4, 12.5), "outside"),
        ((50.0, 90.0, 140.0), "outside"),
        ((12.4,), "outside"),
    ],
)
def test_a_ratio_is_outside_only_when_no_pass_was_within(values, verdict):
    assert Figure("x_floor", values, Target(at_most=12)).verdict == verdict
    mirrored = [24 - value for value in values]
    assert Figure("x_floor", mirrored, Target(at_least=12)).verdict == verdict


def test_outlooks_are_measured_beside_a_prototype_in_one_piece():
    _, line = run("forecast")
    assert line.startswith("forecast5  x_prototype=")
    assert FORM.fullmatch(line)


def test_a_whole_plan_is_measured_with_its_tee_shots():
    _, line = run("plan")
    assert line.startswith("plan18  ms=")
    assert "tee_shots_ms=" in line
    assert FORM.fullmatch(line)


def test_a_line_names_its_passes_and_each_figure_its_spread():
    line = Line("post", [Figure("x_floor", (9.0, 10.04, 11.0), Target(at_most=12)), Figure("sql", [28])], note="ms")
    assert str(line) == "post  x_floor=10.0 (9-11, at most 12: within)  sql=28  passes=3  [ms]"


def test_sides_take_turns():
    seen = []
    taken = interleaved(2, {"ours": lambda: seen.append("ours"), "floor": lambda: seen.append("floor")})
    assert seen == ["ours", "floor", "ours", "floor"]
    assert {name: len(times) for name, times in taken.items()} == {"ours": 2, "floor": 2}


def test_an_unknown_name_lists_the_known_ones():
    with pytest.raises(CommandError, match="choose from exact, rebuild"):
        run("speed")


def test_the_parts_with_a_database_run_in_one_of_their_own(tmp_path, monkeypatch):
    """Over HTTP through the real server; nothing is left behind."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    lines = list(apart.lines_of(["post", "import", "dashboard", "pages", "--quick"]))
    assert [line for line in lines if not FORM.fullmatch(line)] == []
    names = {line.split("  ")[0] for line in lines}
    assert {
        "post",
        "import",
        "dashboard5",
        "page home",
        "page ledger of 25",
        "page round",
        "page card form",
        "stylesheet",
    } <= names
    (post,) = [line for line in lines if line.startswith("post  ")]
    assert "more_sql_with_long_history=0 (at most 0: within)" in post
    # Eighteen holes, the round, its event, its revision, the standing, and the count of requests; no older round.
    written = re.search(r"rows_written=(\d+)", post)
    assert written
    assert 23 <= int(written[1]) < 23 + 5
    assert list(Path(tmp_path).iterdir()) == []
