"""Every worked example of fixtures/rules; sources and provenance stand in the files."""

import ast
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

from league.rules import differential, formats, index, rounding, scorecard, strokes
from league.rules.record import Adjusted, Entered, Posted, Record
from league.rules.scorecard import Card, Hole, Tee
from tests.rules.examples import Row, each, kinds, whole_numbers

FIRST_DAY = date(2024, 4, 1)


def optional_whole(cell: str) -> int:
    return int(cell or 0)


def record_of(differentials: list[str]) -> Record:
    """A record with these differentials, a round a day: slope 113 and a rating that leaves just that much."""
    record = Record()
    for place, value in enumerate(differentials):
        played_on = FIRST_DAY + timedelta(days=place)
        holes = tuple(Hole(n, 4, n) for n in range(1, 19))
        gross = 72 + int(Decimal(value))
        tee = Tee(holes, gross - Decimal(value), 113)
        record.apply(Entered(played_on, Posted(f"r{place}", played_on, 1, tee, Card.total(gross))))
    return record


def test_all_examples_are_here_and_each_kind_has_a_test():
    rows = [row for rows in kinds().values() for row in rows]
    assert len(rows) == 154
    assert len({row["id"] for row in rows}) == 154
    assert all(row["source"] and row["provenance"] for row in rows)
    tested = [
        decorator.args[0].value
        for node in ast.parse(Path(__file__).read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef)
        for decorator in node.decorator_list
        if isinstance(decorator, ast.Call)
    ]
    assert sorted(tested) == sorted(kinds())


@each("sd18")
def test_differential_of_18_holes(row: Row):
    found = differential.score_differential(
        int(row["ags"]), Decimal(row["course_rating"]), int(row["slope"]), optional_whole(row["pcc"])
    )
    assert str(found) == row["expected_sd"]


@each("round1")
def test_rounding_to_tenths(row: Row):
    assert str(rounding.round_to_tenths(Decimal(row["value"]))) == row["expected_value"]


@each("round0")
def test_rounding_to_whole(row: Row):
    assert str(rounding.round_to_whole(Decimal(row["value"]))) == row["expected_value"]


@each("expected_sd9")
def test_expected_differential_of_nine_holes(row: Row):
    expected = rounding.exact(Decimal(row["expected_sd9"]))
    assert differential.expected_differential(Decimal(row["handicap_index"]), 9) == expected


@each("expected_sd18")
def test_expected_differential_of_18_holes(row: Row):
    expected = rounding.exact(Decimal(row["expected_sd18"]))
    assert differential.expected_differential(Decimal(row["handicap_index"]), 18) == expected


@each("sd18_sum")
def test_nine_and_expected_part_add_up(row: Row):
    parts = rounding.exact(Decimal(row["sd9"])), rounding.exact(Decimal(row["expected_sd9"]))
    assert str(differential.combined_differential(*parts)) == row["expected_sd"]


@each("expected_sd_k")
def test_expected_differential_of_some_holes(row: Row):
    found = differential.expected_differential(Decimal(row["handicap_index"]), int(row["holes_not_played"]))
    assert rounding.halves_up(100 * found.numerator, found.denominator) == Decimal(row["expected_sd_k"]) * 100


@each("sd9_raw")
def test_unrounded_differential_of_nine_holes(row: Row):
    found = differential.nine_hole_part(
        int(row["ags9"]), Decimal(row["course_rating9"]), int(row["slope9"]), optional_whole(row["pcc"])
    )
    assert rounding.halves_up(10_000 * found.numerator, found.denominator) == Decimal(row["expected_sd9"]) * 10_000


@each("sd18_from_9")
def test_differential_from_nine_holes(row: Row):
    part = differential.nine_hole_part(
        int(row["ags9"]), Decimal(row["course_rating9"]), int(row["slope9"]), optional_whole(row["pcc"])
    )
    expected = differential.expected_differential(Decimal(row["handicap_index"]), 9)
    assert str(differential.combined_differential(part, expected)) == row["expected_sd"]


@each("sd_partial")
def test_differential_from_10_to_17_holes(row: Row):
    holes = int(row["holes_played"])
    part = differential.partial_part(
        int(row["ags_played"]),
        int(row["par_played"]),
        holes,
        int(row["par"]),
        Decimal(row["course_rating"]),
        int(row["slope"]),
    )
    expected = differential.expected_differential(Decimal(row["handicap_index"]), 18 - holes)
    assert str(differential.combined_differential(part, expected)) == row["expected_sd"]


@each("table")
def test_table(row: Row):
    lines = [line.split("=") for line in row["expected_rows"].split()]
    assert [int(scores) for scores, _, _ in lines] == list(range(3, 21))
    for scores, lowest, adjustment in lines:
        assert index.table_row(int(scores)) == (int(lowest), Decimal(adjustment))


@each("hi")
def test_index_from_differentials(row: Row):
    listed = row["score_differentials"].split()
    assert str(index.handicap_index([Decimal(value) for value in listed])) == row["expected_handicap_index"]
    assert str(record_of(listed).revisions[-1].calculated) == row["expected_handicap_index"]


@each("cap")
def test_caps(row: Row):
    found = index.capped_index(Decimal(row["calculated"]), Decimal(row["low_handicap_index"]))
    assert str(found) == row["expected_handicap_index"]


@each("low_window")
def test_low_index(row: Row):
    history = [entry.split("=") for entry in row["index_history"].split()]
    issued = [(date.fromisoformat(day).toordinal(), Decimal(value)) for day, value in history]
    last_played_on = date.fromisoformat(row["most_recent_score_played_on"]).toordinal()
    expected = Decimal(row["expected_low_handicap_index"])
    assert index.low_index(issued, last_played_on) == expected
    falling = index.FallingLow()
    for day, value in issued:
        falling.issue(day, rounding.tenths(value))
    assert falling.since(last_played_on - index.LOW_WINDOW_DAYS) == rounding.tenths(expected)


@each("esr")
def test_exceptional_score(row: Row):
    found = index.exceptional_reduction(Decimal(row["handicap_index"]), Decimal(row["sd_unrounded"]))
    assert found == Decimal(row["expected_reduction"])


@each("shift_hi")
def test_committee_moves_the_whole_window(row: Row):
    record = record_of([row["handicap_index_without"]] * 20)
    change = Adjusted(date(2024, 6, 1), Decimal(row["adjust_each_sd"]), "after a review")
    revision = record.apply(change)
    assert str(revision.previous) == row["handicap_index_without"]
    assert str(revision.index) == row["expected_handicap_index"]


@each("esr_hi")
def test_index_after_an_exceptional_score(row: Row):
    record = record_of([*row["score_differentials_before"].split(), row["new_sd"]])
    revision = record.revisions[-1]
    assert revision.score.index_in_force == Decimal(row["handicap_index"])
    assert revision.score.reduction == Decimal(row["expected_reduction"])
    assert str(revision.index) == row["expected_handicap_index"]


@each("pcc")
def test_fewest_scores_for_playing_conditions(row: Row):
    possible = differential.playing_conditions_possible(int(row["eligible_scores"]))
    assert possible == (row["expected_pcc_may_be_nonzero"] == "yes")


def same_to_three_decimals(found, cell: str) -> bool:
    return rounding.halves_up(1000 * found.numerator, found.denominator) == Decimal(cell) * 1000


@each("ch18")
def test_course_handicap(row: Row):
    values = Decimal(row["handicap_index"]), int(row["slope"]), Decimal(row["course_rating"]), int(row["par"])
    assert strokes.course_handicap(*values) == int(row["expected_course_handicap"])
    cell = row["expected_course_handicap_unrounded"]
    assert not cell or same_to_three_decimals(strokes.course_handicap_exact(*values), cell)


@each("ch9")
def test_course_handicap_over_nine(row: Row):
    values = Decimal(row["handicap_index"]), int(row["slope9"]), Decimal(row["course_rating9"]), int(row["par9"]), 9
    is_rounded = row["round_half_index"] == "yes"
    assert strokes.course_handicap(*values, round_half_index=is_rounded) == int(row["expected_course_handicap"])
    cell = row["expected_course_handicap_unrounded"]
    exact = strokes.course_handicap_exact(*values, round_half_index=is_rounded)
    assert not cell or same_to_three_decimals(exact, cell)


@each("ch18_same9")
def test_course_handicap_on_the_same_nine_twice(row: Row):
    values = Decimal(row["handicap_index"]), int(row["slope9"]), Decimal(row["course_rating9"])
    exact = strokes.course_handicap_same_nine_twice(*values, int(row["par18"]))
    assert same_to_three_decimals(exact, row["expected_course_handicap_unrounded"])
    nine = Tee(tuple(Hole(n, 4, n) for n in range(1, 10)), values[2], values[1])
    assert nine.twice().course_handicap_exact(values[0]) == exact
    assert nine.twice().course_handicap(values[0]) == int(row["expected_course_handicap"])


@each("ph")
def test_playing_handicap(row: Row):
    if row["course_handicap_unrounded"]:
        unrounded = rounding.exact(Decimal(row["course_handicap_unrounded"]))
    else:
        unrounded = strokes.course_handicap_exact(
            Decimal(row["handicap_index"]), int(row["slope"]), Decimal(row["course_rating"]), int(row["par"])
        )
    found = strokes.playing_handicap(unrounded, Decimal(row["allowance"]), optional_whole(row["par_difference"]))
    assert found == int(row["expected_playing_handicap"])


@each("net")
def test_net_score(row: Row):
    assert formats.net_score(int(row["gross"]), int(row["playing_handicap"])) == int(row["expected_net"])


@each("team_ph")
def test_team_playing_handicap(row: Row):
    handicaps = [Decimal(word) for word in row["course_handicaps"].split()]
    shares = [Decimal(word) for word in row["shares"].split()]
    assert strokes.team_playing_handicap(handicaps, shares) == int(row["expected_team_playing_handicap"])


@each("match")
def test_strokes_in_a_match(row: Row):
    found = strokes.strokes_in_match(whole_numbers(row["playing_handicaps"]))
    assert list(found) == whole_numbers(row["expected_strokes_received"])


@each("ndb")
def test_net_double_bogey(row: Row):
    received = strokes.strokes_on_hole(int(row["course_handicap"]), int(row["stroke_index"]))
    assert scorecard.net_double_bogey(int(row["par"]), received) == int(row["expected_max_hole_score"])


@each("ndb_given")
def test_net_double_bogey_with_given_strokes(row: Row):
    found = scorecard.net_double_bogey(int(row["par"]), int(row["strokes_received"]))
    assert found == int(row["expected_max_hole_score"])


@each("par5")
def test_cap_without_an_index(row: Row):
    tee = Tee(tuple(Hole(n, int(row["par"]), n) for n in range(1, 10)), Decimal("36.0"), 113)
    assert set(scorecard.stroke_caps(tee, None)) == {int(row["expected_max_hole_score"])}


def card_and_tee(row: Row) -> tuple[Card, Tee]:
    printed = zip(whole_numbers(row["pars"]), whole_numbers(row["stroke_indexes"]), strict=True)
    tee = Tee(tuple(Hole(n, par, place) for n, (par, place) in enumerate(printed, 1)), Decimal("72.0"), 113)
    return Card.by_hole(whole_numbers(row["gross"])), tee


@each("ags")
def test_adjusted_gross_score(row: Row):
    card, tee = card_and_tee(row)
    assert scorecard.adjusted_gross_score(card, tee, int(row["course_handicap"])) == int(row["expected_ags"])


@each("strokes")
def test_strokes_on_holes(row: Row):
    found = [strokes.strokes_on_hole(int(row["handicap"]), rank) for rank in whole_numbers(row["stroke_indexes"])]
    assert found == whole_numbers(row["expected_strokes"])


@each("parbogey")
def test_points_from_par_bogey(row: Row):
    assert formats.points_from_par_bogey(int(row["result_up"])) == int(row["expected_points"])


@each("stableford_gross")
def test_gross_from_points(row: Row):
    found = formats.gross_from_points(int(row["points"]), int(row["par"]), int(row["course_handicap"]))
    assert found == int(row["expected_ags"])


@each("stableford_gross9")
def test_gross_from_points_over_nine(row: Row):
    found = formats.gross_from_points(int(row["points"]), int(row["par"]), int(row["course_handicap"]), 9)
    assert found == int(row["expected_ags"])


@each("stableford_sd")
def test_differential_from_points(row: Row):
    gross = formats.gross_from_points(int(row["points"]), int(row["par"]), int(row["course_handicap"]))
    found = differential.score_differential(gross, Decimal(row["course_rating"]), int(row["slope"]))
    assert str(found) == row["expected_sd"]


@each("stableford_points")
def test_stableford_points(row: Row):
    found = formats.stableford_points(int(row["gross"]), int(row["par"]), int(row["strokes_received"]))
    assert found == int(row["expected_points"])


@each("stableford_identity")
def test_points_and_caps_agree(row: Row):
    card, tee = card_and_tee(row)
    handicap = int(row["course_handicap"])
    points = sum(formats.stableford_by_hole(card, tee, handicap).values())
    assert points == int(row["expected_points"])
    expected = int(row["expected_ags"])
    assert formats.gross_from_points(points, tee.par, handicap) == expected
    assert scorecard.adjusted_gross_score(card, tee, handicap) == expected


@each("slope")
def test_slope_from_bogey_rating(row: Row):
    values = Decimal(row["bogey_rating"]), Decimal(row["course_rating"]), Decimal(row["factor"])
    assert formats.slope_from_bogey_rating(*values) == int(row["expected_slope"])


@each("penalty_score")
def test_penalty_score(row: Row):
    found = formats.penalty_score(Decimal(row["course_handicap"]), Decimal(row["course_rating"]))
    assert found == int(row["expected_score"])
