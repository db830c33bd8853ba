"""The order of operations: what each kind of fact does to a record.

Rating 72.0 and slope 113 make gross - 72 the differential.
"""

import pickle
from decimal import Decimal

import pytest

from league.rules.errors import RuleBroken
from league.rules.facts import Options
from league.rules.record import Adjusted, Corrected, Entered, Lifted, Posted, Record, Withdrawn, replay
from league.rules.revision import revision_from_plain
from league.rules.scorecard import Card, HoleScore, Tee
from tests.rules.histories import HOLES, days, entered, history, total_round

FLAT = Tee(HOLES, Decimal("72.0"), 113)
FLAT_NINE = FLAT.nine(True, Decimal("36.0"), 113)


def flat(key, day, gross, order=1):
    return entered(key, days(day), gross, FLAT, order)


def flat_nine(key, day, gross):
    return entered(key, days(day), gross, FLAT_NINE)


def holes_played(key, day, count, over=1):
    card = Card(tuple(HoleScore(hole.number, hole.par + over) for hole in HOLES[:count]))
    return Entered(days(day), Posted(key, days(day), 1, FLAT, card))


def steady(count, gross=92):
    return [flat(f"r{n}", n, gross) for n in range(count)]


def index_after(events, options=None):
    return replay(events, options).revisions[-1].index


def test_nothing_before_54_holes_then_the_table():
    revisions = replay(steady(3)).revisions
    assert [revision.index for revision in revisions] == [None, None, Decimal("18.0")]
    assert (revisions[2].n, revisions[2].k, revisions[2].table_adjustment) == (3, 1, Decimal("-2.0"))
    assert revisions[2].issued_on == days(3)
    assert revisions[2].founding is None


def test_a_second_round_of_a_day_is_measured_by_the_morning_s_index():
    record = replay([*steady(3), flat("am", 10, 100, 1), flat("pm", 10, 100, 2), flat("next", 11, 100)])
    in_force = [revision.score.index_in_force for revision in record.revisions[3:]]
    assert in_force == [Decimal("18.0"), Decimal("18.0"), record.revisions[4].index]


def test_a_late_round_takes_its_place_by_day_of_play():
    record = replay([*steady(3), flat("r9", 9, 95), Entered(days(12), total_round("late", days(5), 90, FLAT))])
    assert [score.posted.key for score in record.scores] == ["r0", "r1", "r2", "late", "r9"]
    last = record.revisions[-1]
    assert last.score.index_in_force == Decimal("18.0")
    assert last.issued_on == days(13)


def test_an_index_is_issued_after_its_last_round_was_played():
    assert Record().apply(Entered(days(0), total_round("ahead", days(5), 90, FLAT))).issued_on == days(6)


def test_issue_dates_never_go_back():
    for seed in range(20):
        issued = [revision.issued_on for revision in replay(history(seed, 80)).revisions]
        assert issued == sorted(issued)


def test_of_equal_differentials_the_more_recent_counts():
    window = replay(steady(3)).revisions[-1].window
    assert [line.counted for line in window] == [False, False, True]


def test_only_the_last_twenty_stand_in_the_window():
    last = replay(steady(23)).revisions[-1]
    assert [line.key for line in last.window] == [f"r{n}" for n in range(3, 23)]
    assert (last.n, last.k) == (20, 8)


def test_an_exceptional_score_lowers_the_window_that_ends_with_it():
    record = replay([*steady(22), flat("low", 30, 83), flat("after", 31, 92)])
    first, second = record.revisions[22:]
    assert first.score.reduction == Decimal("-1.0")
    assert all(line.reductions[0].cause == "low" for line in first.window)
    assert first.index == Decimal("17.9")  # seven of 20 less 1.0, and 11.0 less 1.0, over eight
    assert second.window[-1].reductions == ()
    assert record.scores[2].lines == ()
    assert record.scores[3].lines[0].amount == -10


def test_a_late_exceptional_score_leaves_later_scores_alone():
    late = Entered(days(40), total_round("low", days(10), 80, FLAT))
    record = replay([*steady(8), *(flat(f"s{n}", 20 + n, 92) for n in range(4)), late])
    assert record.revisions[-1].score.index_in_force == Decimal("20.0")
    touched = {score.posted.key for score in record.scores if score.lines}
    assert touched == {"low", *(f"r{n}" for n in range(8))}
    assert all(line.amount == -20 for score in record.scores for line in score.lines)


def test_the_unrounded_differential_decides():
    """18.0 against 11.04 is 6.96 better: shown as 11.0, but not exceptional (Rule 5.9)."""
    tee = Tee(HOLES, Decimal("72.0"), 133)  # 113 x 13 / 133 = 11.045
    last = replay([*steady(3), entered("low", days(9), 85, tee)]).revisions[-1]
    assert (last.score.differential, last.score.unrounded) == (Decimal("11.0"), "1469/133")
    assert last.score.reduction == 0


def test_the_score_that_completes_twenty_is_not_capped_and_the_next_is():
    events = [
        flat("first", 0, 82),
        flat("second", 1, 82),
        flat("third", 2, 82),
        *(flat(f"r{n}", 3 + n, 110) for n in range(18)),
    ]
    revisions = replay(events).revisions
    twentieth, next_one = revisions[19], revisions[20]
    assert (twentieth.low_used, twentieth.cap) == (None, "")
    assert twentieth.low == next_one.low_used == Decimal("8.0")
    assert twentieth.index == twentieth.calculated == Decimal("27.5")
    assert (next_one.calculated, next_one.cap, next_one.index) == (Decimal("31.0"), "hard", Decimal("13.0"))


def test_early_values_can_be_left_out_of_the_low():
    options = Options(low_counts_early=False)
    events = [*(flat(f"e{n}", n, 82) for n in range(3)), *(flat(f"r{n}", 3 + n, 110) for n in range(18))]
    revisions = replay(events, options).revisions
    assert revisions[19].low == revisions[19].index == Decimal("27.5")
    assert (revisions[20].cap, revisions[20].index) == ("soft", Decimal("30.8"))


def test_the_low_is_sought_in_the_year_before_the_last_round_played():
    """Rule 5.7, first clarification: a low stays in use for the next score, whenever that comes."""
    events = [*steady(20), flat("a", 300, 102), flat("b", 700, 104), flat("c", 701, 104)]
    revisions = replay(events).revisions
    assert revisions[20].low == Decimal("18.0")
    assert revisions[21].low_used == Decimal("18.0")
    assert revisions[21].low == revisions[21].index == Decimal("20.0")
    assert revisions[22].low_used == Decimal("20.0")


def test_a_corrected_card_takes_its_values_out_of_the_low():
    typo = [*steady(12), flat("typo", 12, 29), *(flat(f"s{n}", 13 + n, 92) for n in range(10))]
    record = replay(typo)
    assert record.revisions[-1].low < 15
    assert record.revisions[12].score.reduction == Decimal("-2.0")
    revision = record.apply(Corrected(days(40), total_round("typo", days(12), 92, FLAT)))
    assert revision.low == Decimal("18.0")
    assert revision.index == Decimal("20.0")
    assert all(not score.lines for score in record.scores)


def test_the_low_looks_back_further_when_the_last_round_moves_back():
    record = replay([*steady(20), flat("r20", 700, 92)])
    assert record.revisions[-1].low == Decimal("20.0")
    revision = record.apply(Corrected(days(701), total_round("r20", days(30), 92, FLAT)))
    assert (revision.low_used, revision.low) == (None, Decimal("18.0"))


def test_a_correction_keeps_what_other_rounds_put_on_it():
    record = replay([*steady(6), flat("low", 10, 80), Adjusted(days(11), Decimal("-0.5"), "after a review")])
    record.apply(Corrected(days(12), total_round("r5", days(20), 93, FLAT)))
    moved = record.scores[-1]
    assert (moved.posted.key, moved.number) == ("r5", 6)
    assert [line.kind for line in moved.lines] == ["exceptional", "committee"]
    assert moved.effective == Decimal("18.5")


def test_withdrawing_an_exceptional_score_takes_its_reductions_along():
    events = [*steady(6), flat("low", 10, 80)]
    assert index_after([*events, Withdrawn(days(11), "low")]) == index_after(steady(6))


def test_lifting_takes_back_only_that_reduction():
    record = replay([*steady(6), flat("low", 10, 80), Adjusted(days(11), Decimal("-0.5"), "after a review")])
    record.apply(Lifted(days(12), "low"))
    assert all([line.kind for line in score.lines] == ["committee"] for score in record.scores)


def test_a_committee_moves_the_whole_window():
    record = replay(steady(22))
    revision = record.apply(Adjusted(days(30), Decimal("-1.0"), "after a review"))
    assert (revision.index, revision.amount, revision.reason) == (Decimal("19.0"), Decimal("-1.0"), "after a review")
    assert [bool(score.lines) for score in record.scores] == [False] * 2 + [True] * 20


def test_an_established_low_stays_when_the_record_falls_below_twenty():
    record = replay([*steady(20), Withdrawn(days(30), "r0"), *(flat(f"s{n}", 40 + n, 120) for n in range(16))])
    withdrawn, following, last = record.revisions[20], record.revisions[21], record.revisions[-1]
    # Every value issued before rested on the withdrawn card; the one the withdrawal itself brings is the new low.
    assert (withdrawn.n, withdrawn.low_used, withdrawn.low) == (19, None, Decimal("20.0"))
    assert following.low_used == Decimal("20.0")
    assert (last.cap, last.index) == ("hard", Decimal("25.0"))


def test_under_three_scores_there_is_no_index_but_the_founding_stays():
    record = replay([*steady(3), Withdrawn(days(5), "r1")])
    assert record.revisions[-1].index is None
    nine = record.apply(flat_nine("n", 9, 46))
    assert nine.score.index_in_force is None
    assert nine.score.expected_part == "264/25"  # 10.56, for the founding value of 18.0
    assert nine.n == 3


def test_an_empty_record_and_a_new_start():
    record = replay([*steady(20), *(Withdrawn(days(30), f"r{n}") for n in range(20))])
    assert (record.revisions[-1].index, record.revisions[-1].n, record.scores) == (None, 0, [])
    again = record.apply(flat("new", 2, 92))
    assert again.issued_on == days(31)
    assert again.n == 1


def test_six_nines_found_an_index_in_two_passes():
    record = replay([flat_nine(f"n{n}", n, gross) for n, gross in enumerate((46, 47, 45, 48, 46, 49))])
    assert [revision.score.reason for revision in record.revisions[:5]] == ["nine_waits"] * 5
    last = record.revisions[-1]
    # Pairs 10+11, 9+12, 10+13: 21.0 lowest of three, less 2.0. Each nine then: its own + (1.04 x 19.0 + 2.4) / 2.
    assert last.founding == Decimal("19.0")
    assert [line.differential for line in last.window] == [Decimal(f"{value}.1") for value in (21, 22, 20, 23, 21, 24)]
    assert last.index == Decimal("19.6")
    assert all(line.estimated for line in last.window)


def test_a_provisional_value_is_not_above_54():
    last = replay([flat_nine(f"n{n}", n, 66) for n in range(6)]).revisions[-1]
    assert last.founding == Decimal("54.0")  # 60.0 less 2.0 would be 58.0
    assert last.window[0].differential == Decimal("59.3")  # 30 + 29.28
    assert (last.calculated, last.ceiling, last.index) == (Decimal("58.3"), True, Decimal("54.0"))


def test_a_nine_takes_half_the_playing_conditions_adjustment():
    posted = Posted("n", days(9), 1, FLAT_NINE, Card.total(46, holes=9), 3)
    score = replay([*steady(3), Entered(days(9), posted)]).revisions[-1].score
    assert score.played_part == "17/2"
    assert score.differential == Decimal("19.1")  # 8.5 + 10.56


def test_an_odd_nine_waits_in_the_first_pass_only():
    last = replay([flat("a", 0, 92), flat_nine("n", 1, 46), flat("b", 2, 94), flat("c", 3, 96)]).revisions[-1]
    assert last.founding == Decimal("18.0")
    assert [line.key for line in last.window] == ["a", "n", "b", "c"]
    assert last.window[1].differential == Decimal("20.6")  # 10 + 10.56
    assert last.index == Decimal("19.0")


def test_ten_to_seventeen_holes_count_only_with_an_index():
    record = replay([holes_played("early", 0, 14), *(flat(f"r{n}", 1 + n, 92) for n in range(3))])
    assert record.revisions[0].score.reason == "partial_before_index"
    assert record.revisions[-1].n == 3
    played = record.apply(holes_played("later", 9, 14)).score
    assert (played.gross, played.holes) == (None, 14)
    assert played.played_part == "14/1"
    assert played.expected_part == "352/75"  # 4/18 of 1.04 x 18.0 + 2.4
    assert played.differential == Decimal("18.7")
    late = record.apply(Entered(days(10), holes_played("back then", 2, 14).posted))
    assert late.score.reason == "partial_before_index"


def test_a_first_nine_entered_late_rests_on_the_founding_value():
    record = replay([*(flat(f"r{n}", 5 + n, 92) for n in range(3)), Entered(days(20), flat_nine("n", 1, 46).posted)])
    score = record.revisions[-1].score
    assert (score.index_in_force, score.course_handicap, score.differential) == (None, None, Decimal("20.6"))
    assert score.reduction == 0


def test_hole_caps_follow_the_index_in_force():
    strokes = [hole.par + 1 for hole in HOLES]
    strokes[4] = 12  # par 4, stroke index 1
    card = Card(tuple(HoleScore(n, each, n == 9) for n, each in enumerate(strokes, 1)))
    picked_up = Card((*card.holes[:8], HoleScore(9, None, True), *card.holes[9:]))
    without = Record().apply(Entered(days(0), Posted("a", days(0), 1, FLAT, card))).score
    assert (without.capped_holes, without.gross, without.adjusted_gross) == (((5, 12, 9),), 97, 94)
    within = replay([*steady(3), Entered(days(9), Posted("a", days(9), 1, FLAT, picked_up))]).revisions[-1].score
    assert within.course_handicap == 18
    assert within.capped_holes == ((5, 12, 7), (9, None, 8))
    assert (within.gross, within.adjusted_gross) == (None, 94)


def test_facts_about_unknown_rounds_are_refused_and_change_nothing():
    record = replay(steady(4))
    before = record.standing().as_plain()
    unknown = total_round("x", days(9), 90, FLAT)
    for event in (Corrected(days(9), unknown), Withdrawn(days(9), "x"), Lifted(days(9), "x")):
        with pytest.raises(RuleBroken) as broken:
            record.apply(event)
        assert broken.value.code == "round_unknown"
    with pytest.raises(RuleBroken) as broken:
        record.apply(flat("r0", 9, 90))
    assert broken.value.code == "key_used"
    assert (record.standing().as_plain(), len(record.revisions)) == (before, 4)


def test_index_in_force_on_any_day():
    record = replay(steady(4))
    assert record.index_in_force(days(2)) is None
    assert record.index_in_force(days(3)) == Decimal("18.0")


@pytest.mark.parametrize("seed", range(10))
def test_revisions_come_back_from_plain_values(seed):
    for revision in replay(history(seed, 60)).revisions:
        assert revision_from_plain(revision.as_plain()) == revision


def test_problems_travel_between_processes():
    problem = RuleBroken("a", "First.", "x", (RuleBroken("b", "Second."),))
    again = pickle.loads(pickle.dumps(problem))
    assert [(each.code, each.message, each.field) for each in again.problems] == [
        ("a", "First.", "x"),
        ("b", "Second.", ""),
    ]
