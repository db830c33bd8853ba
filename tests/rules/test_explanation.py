"""A revision in plain sentences."""

import json
import re
from decimal import Decimal

import pytest

from league.rules.explanation import explain, explain_plain, in_short, shown_strokes
from league.rules.record import Adjusted, Corrected, Entered, Lifted, Posted, Record, Withdrawn, replay
from league.rules.scorecard import Card, HoleScore
from tests.rules.histories import FRONT, HERON, HOLES, days, entered, history, total_round

LOUD = re.compile(r"!|congrat|great|well done|unfortunately|sorry|official|certified", re.IGNORECASE)


@pytest.mark.parametrize("seed", range(25))
def test_every_revision_is_explained_by_the_rules_it_cites(seed):
    for revision in replay(history(seed, 90)).revisions:
        sentences = explain(revision)
        text = " ".join(sentences)
        assert sentences == explain_plain(json.loads(json.dumps(revision.as_plain())))
        assert all(sentence.endswith(".") and sentence[0].isupper() for sentence in sentences)
        assert not LOUD.search(text)
        assert "None" not in text
        assert str(revision.index).lstrip("-") in text or revision.index is None
        cited = set(re.findall(r"\b(\d\.\d[ab]?)(?=[,) ])", " ".join(re.findall(r"\(.*?Rules? [^)]*\)", text))))
        assert {rule for rule in revision.rules if rule in {"5.8", "5.3", "5.6", "3.2b", "5.1b"}} <= cited


def test_a_first_index():
    last = replay(entered(f"r{n}", days(n), 90) for n in range(3)).revisions[-1]
    assert explain(last) == (
        "A round played on 3 March 2023 was entered on 3 March 2023.",
        "No index was in force on that day.",
        "Gross 90, adjusted gross 90 over 18 holes (Rule 3.1).",
        "Adjusted gross 90 less the rating 71.3, times 113 over the slope 127, is 16.639: "
        "a score differential of 16.6 (Rule 5.1a).",
        "Of 3 scores the lowest counts (16.6); the table changes that by -2.0: 14.6 (Rule 5.2a).",
        "The index from 4 March 2023 is 14.6 (Rule 5.4).",
    )


def test_caps_are_told_hole_by_hole():
    scores = [HoleScore(hole.number, hole.par + 1) for hole in HOLES]
    scores[4], scores[8] = HoleScore(5, 12), HoleScore(9, None, True)
    record = replay(entered(f"r{n}", days(n), 90) for n in range(3))
    posted = Posted("x", days(9), 1, HERON, Card(tuple(scores)), 2)
    text = explain(record.apply(Entered(days(9), posted)))
    assert "course handicap 16 with rating 71.3, slope 127 and par 72 (Rule 6.1)." in text[1]
    assert text[2] == "Capped: hole 5: 12 counts 7; hole 9, picked up, counts 8 (Rule 3.1b)."
    assert text[3] == "Adjusted gross 94 over 18 holes (Rule 3.1)."
    assert text[4].startswith(
        "Adjusted gross 94 less the rating 71.3 and the playing conditions adjustment of 2 (Rule 5.6), times 113 over"
    )


def test_without_an_index_the_limit_of_a_hole_is_told_where_it_acted():
    """A total has no holes, and a card below the limit is as it is."""
    scores = [HoleScore(hole.number, hole.par + 1) for hole in HOLES]
    over = [*scores]
    over[4] = HoleScore(5, HOLES[4].par + 6)
    told = [
        explain(Record().apply(Entered(days(1), Posted("x", days(1), 1, HERON, card))))
        for card in (Card.total(90), Card(tuple(scores)), Card(tuple(over)))
    ]
    plain, limited = "No index was in force on that day.", "so a hole counts at most par + 5 (Rule 3.1a)."
    assert [text[1] for text in told[:2]] == [plain, plain]
    assert "3.1a" not in " ".join(told[0] + told[1])
    assert told[2][1].endswith(limited)
    assert told[2][2] == f"Capped: hole 5: {HOLES[4].par + 6} counts {HOLES[4].par + 5} (Rule 3.1a)."


def test_soft_cap_hard_cap_and_ceiling():
    steady = [entered(f"r{n}", days(n), 90) for n in range(20)]
    found = set()
    for gross in (93, 96, 99, 104, 140):
        for revision in replay([*steady, *(entered(f"s{n}", days(30 + n), gross) for n in range(20))]).revisions:
            found |= {word for word in ("soft cap", "hard cap") if word in " ".join(explain(revision))}
    assert found == {"soft cap", "hard cap"}
    last = replay(entered(f"r{n}", days(n), 170) for n in range(3)).revisions[-1]
    assert "An index is never above 54.0 (Rule 5.3)." in explain(last)


def test_nines_before_and_after_the_first_index():
    record = replay(entered(f"n{n}", days(n), 45 + n, FRONT) for n in range(6))
    assert "wait until 54 holes are in" in explain(record.revisions[0])[3]
    founding = " ".join(explain(record.revisions[-1]))
    assert "The nines in pairs give" in founding
    assert "an estimated score differential" in founding
    assert "for the value with which the record began: together" in founding
    index = record.revisions[-1].index
    later = " ".join(explain(record.apply(entered("n7", days(9), 45, FRONT))))
    assert f"by the rating {FRONT.course_rating} and the slope {FRONT.slope_rating}; the 9 others" in later
    assert f", for an index of {index}: together" in later


def test_ten_to_seventeen_holes_say_what_is_a_reading_of_ours():
    record = replay(entered(f"r{n}", days(n), 90) for n in range(3))
    card = Card(tuple(HoleScore(hole.number, hole.par + 1) for hole in HOLES[:14]))
    text = " ".join(explain(record.apply(Entered(days(9), Posted("x", days(9), 1, HERON, card)))))
    assert "The 14 holes played give" in text
    assert "by their share of the rating 71.3 and the slope 127, our reading; the 4 others are expected" in text


def test_how_exceptional_a_score_is_stands_beside_the_reduction():
    record = replay(entered(f"r{n}", days(n), 90) for n in range(6))
    last = record.apply(entered("low", days(9), 75))
    better = last.score.index_in_force - Decimal("3.292")  # (75 - 71.3) x 113 / 127 = 3.2921...
    assert f"exceptionally good, {better} better than the index of {last.score.index_in_force}" in " ".join(
        explain(last)
    )


def test_other_facts():
    record = replay(entered(f"r{n}", days(n), 90) for n in range(6))
    record.apply(entered("low", days(9), 75))
    assert any("exceptionally good" in sentence for sentence in explain(record.revisions[-1]))
    first = [
        explain(record.apply(event))[0]
        for event in (
            Lifted(days(10), "low"),
            Adjusted(days(11), Decimal("0.5"), "an injury"),
            Corrected(days(12), total_round("low", days(9), 76)),
            Withdrawn(days(13), "low"),
        )
    ]
    assert first == [
        "On 11 March 2023 the reductions that one exceptional score had caused were taken back (Rule 5.9).",
        "On 12 March 2023 each differential of the last 7 was moved by +0.5: an injury (Rule 7.1a).",
        "The card of 10 March 2023 was corrected on 13 March 2023; it stands in its place by day of play (Rule 4.2).",
        "A round was withdrawn on 14 March 2023; everything after is worked out without it (Rule 4.2).",
    ]


def test_no_index_says_what_it_takes():
    assert "54 holes" in explain(Record().apply(entered("r", days(0), 90)))[-1]


def test_plus_handicaps_carry_their_sign():
    assert [shown_strokes(value) for value in (None, -2, 0, 14)] == ["-", "+2", "0", "14"]


def test_in_short_a_young_record_tells_of_the_table():
    """The table of Rule 5.2a takes 2.0 off the lowest of three."""
    revisions = replay(entered(f"r{n}", days(n), 90 + n) for n in range(5)).revisions
    lowest = min(line.effective for line in revisions[2].window)
    told = in_short(revisions[2])
    assert told == f"The lowest of 3 differentials is {lowest}; the table makes that {revisions[2].index}."
    assert in_short(revisions[4]) == f"The lowest of 5 differentials is {revisions[4].index}."
    assert in_short(revisions[0]).startswith("There is no index")


@pytest.mark.parametrize("seed", range(25))
def test_in_short_ends_with_the_index_that_was_issued(seed):
    for revision in replay(history(seed, 90)).revisions:
        if revision.index is not None:
            last = re.findall(r"[+-]?\d+\.\d", in_short(revision))[-1]
            assert last == (f"+{-revision.index}" if revision.index < 0 else str(revision.index))
            assert not LOUD.search(in_short(revision))
