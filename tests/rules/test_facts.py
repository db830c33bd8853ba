"""Facts as plain values: they come back exactly, and nothing else is taken."""

import json
from copy import deepcopy
from decimal import Decimal

import pytest

from league.rules.errors import RuleBroken
from league.rules.record import Adjusted, Lifted, Posted, event_as_plain, event_from_plain, replay
from league.rules.scorecard import Card
from tests.rules.histories import FRONT, HERON, days, entered, history


@pytest.mark.parametrize("seed", range(20))
def test_every_fact_comes_back_exactly(seed):
    for event in [*history(seed, 60), Lifted(days(3), "x"), Adjusted(days(3), Decimal("-1"), "why")]:
        plain = event_as_plain(event)
        text = json.dumps(plain, sort_keys=True)
        again = event_from_plain(json.loads(text))
        assert again == event
        assert json.dumps(event_as_plain(again), sort_keys=True) == text


def test_a_replay_from_plain_values_gives_the_same_revisions():
    events = history(5, 80)
    plain = [json.loads(json.dumps(event_as_plain(event))) for event in events]
    assert replay(map(event_from_plain, plain)).revisions == replay(events).revisions


def damaged(path: str, value) -> dict:
    plain = deepcopy(event_as_plain(entered("r1", days(0), 90)))
    *parents, name = path.split(".")
    inner = plain
    for parent in parents:
        inner = inner[parent]
    inner[name] = value
    return plain


@pytest.mark.parametrize(
    ("path", "value", "code"),
    [
        ("kind", "lost", "plain_form"),
        ("kind", 7, "plain_form"),
        ("entered_on", "yesterday", "plain_form"),
        ("entered_on", None, "plain_form"),
        ("posted", [], "plain_form"),
        ("posted.key", 5, "plain_form"),
        ("posted.order_in_day", True, "plain_form"),
        ("posted.playing_conditions", 4, "playing_conditions_range"),
        ("posted.playing_conditions", 1.0, "plain_form"),
        ("posted.tee.course_rating", 72.0, "plain_form"),
        ("posted.tee.course_rating", "NaN", "plain_form"),
        ("posted.tee.course_rating", "seventy", "plain_form"),
        ("posted.tee.course_rating", "72.05", "rating_form"),
        ("posted.tee.slope_rating", 156, "slope_range"),
        ("posted.tee.holes", [[1, 4]], "plain_form"),
        ("posted.tee.holes", "1 4 1", "plain_form"),
        ("posted.card.gross", "90", "plain_form"),
        ("posted.card.gross", 12, "total_range"),
        ("posted.card.n_holes", 9, "total_holes"),
        ("posted.card.holes", [[1, 4, "no"]], "plain_form"),
        ("posted.card.holes", [7], "plain_form"),
    ],
)
def test_other_values_are_refused(path, value, code):
    with pytest.raises(RuleBroken) as broken:
        event_from_plain(damaged(path, value))
    assert broken.value.code == code


@pytest.mark.parametrize("value", [None, [], "entered", 3])
def test_only_named_values_are_a_fact(value):
    with pytest.raises(RuleBroken):
        event_from_plain(value)


def test_a_round_with_several_faults_tells_all_of_them():
    with pytest.raises(RuleBroken) as broken:
        Posted("r1", days(0), 1, HERON, Card.by_hole([4] * 8 + [0]), 7)
    codes = [problem.code for problem in broken.value.problems]
    assert codes == ["strokes_range", "too_few_holes", "playing_conditions_range"]


def test_an_amount_has_one_decimal():
    with pytest.raises(RuleBroken) as broken:
        Adjusted(days(0), Decimal("0.25"), "why")
    assert (broken.value.code, broken.value.field) == ("one_decimal", "amount")


def test_a_nine_keeps_its_hole_numbers():
    posted = Posted("r1", days(0), 1, FRONT, Card.by_hole([5] * 9))
    assert posted.card.n_played == 9
