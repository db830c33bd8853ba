from random import Random
from statistics import fmean

import pytest

from league.estimates.holes import allowances
from league.estimates.leaks import KINDS, ORDER, PlayedHole, given_away, group_means, ladder

BARRIER, PAR = 90, 72


def hole(strokes: int, stroke_index: int = 1, **recorded) -> PlayedHole:
    return PlayedHole(4, stroke_index, strokes, **recorded)


def draw_round(rng: Random, mean_over: float = 1.2, missing: float = 0.0) -> list[PlayedHole]:
    """Records that hang together somehow; any of them may be missing."""

    def perhaps(value):
        return None if rng.random() < missing else value

    holes = []
    for stroke_index in range(1, 19):
        over = max(-1, round(rng.gauss(mean_over, 1.1)))
        putts = rng.choice((1, 2, 2, 3)) if over > 0 else rng.choice((1, 2))
        penalties = int(over >= 2 and rng.random() < 0.4)
        short = perhaps(putts + rng.choice((0, 1, 1, 2)))
        holes.append(
            PlayedHole(
                4,
                stroke_index,
                4 + over,
                putts=perhaps(putts),
                penalties=perhaps(penalties),
                first_putt_beyond_20ft=perhaps(rng.random() < 0.5),
                strokes_from_60=short,
                recovery=perhaps(rng.random() < 0.1),
            )
        )
    return holes


def values(found):
    return {leak.kind: leak.strokes.value if leak.strokes else None for leak in found.leaks}


@pytest.mark.parametrize("missing", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("usual", [None, 96.5])
def test_the_kinds_add_up_to_the_gap(missing, usual):
    rng = Random(f"adds up {missing}")
    for n in (3, 8, 20):
        found = ladder([draw_round(rng, missing=missing) for _ in range(n)], BARRIER, {"penalties": 1.5}, usual)
        assert tuple(leak.kind for leak in found.leaks) == KINDS
        assert sum(value or 0.0 for value in values(found).values()) == pytest.approx(found.gap)
        assert usual is None or found.gap == 96.5 - 89


def test_no_stroke_is_given_away_twice():
    rng = Random("twice")
    for _ in range(200):
        for played in draw_round(rng, mean_over=2.0):
            given = given_away(played, BARRIER, PAR)
            over_budget = played.strokes - played.par - allowances(BARRIER, PAR)[played.stroke_index - 1]
            assert all(strokes >= 0 for strokes in given.values())
            assert sum(given.values()) <= max(0, over_budget)


@pytest.mark.parametrize(
    ("played", "given"),
    [
        # On stroke index 1 a budget of 17 over par bears a bogey.
        (hole(5, penalties=1, putts=3), {}),
        (hole(7, penalties=1, putts=3), {"penalties": 1, "three_putts": 1}),
        (hole(6, penalties=1, putts=3), {"penalties": 1}),
        (hole(7, penalties=0, putts=4), {"three_putts": 2}),
        (hole(7, penalties=0, putts=2, strokes_from_60=4), {"short_game": 1, "approach": 1}),
        (hole(8, putts=2, strokes_from_60=3), {"approach": 1, "down_in_three": 1, "doubles": 1}),
        (hole(8, putts=3, strokes_from_60=4), {"three_putts": 1, "approach": 1, "down_in_three": 1}),
        (hole(6, putts=3, strokes_from_60=3), {"three_putts": 1}),
        (hole(7, recovery=True, putts=2), {"recovery": 1, "approach": 1}),
        (hole(9), {"doubles": 4}),
        (hole(6, putts=4), {"three_putts": 1}),
        # On stroke index 18 it bears a par.
        (hole(5, stroke_index=18, putts=2), {"approach": 1}),
        (hole(5, stroke_index=18, putts=3), {"three_putts": 1}),
        (hole(5, stroke_index=18, penalties=0), {}),
        (hole(6, stroke_index=18), {"doubles": 1}),
        (hole(3, stroke_index=18, putts=1, penalties=0), {}),
    ],
)
def test_each_stroke_goes_to_the_first_kind_that_explains_it(played, given):
    found = given_away(played, BARRIER, PAR)
    assert {kind: strokes for kind, strokes in found.items() if strokes} == given


def test_what_was_not_recorded_is_not_nought():
    found = ladder([[hole(5, index, putts=2) for index in range(1, 19)]] * 4, BARRIER)
    by_kind = {leak.kind: leak for leak in found.leaks}
    assert by_kind["penalties"].strokes is None
    assert by_kind["penalties"].reason == "not recorded yet"
    assert by_kind["three_putts"].strokes.n == 72


def test_under_three_rounds_nothing_is_said():
    found = ladder([[hole(5, index, putts=2, penalties=0) for index in range(1, 19)]] * 2, BARRIER)
    assert {leak.strokes for leak in found.leaks} == {None}
    reasons = {leak.kind: leak.reason for leak in found.leaks}
    assert reasons["penalties"] == "recorded on 36 holes; from 54 on something can be said"
    assert reasons["everything_else"] == "2 rounds with holes; from 3 on something can be said"


def test_without_a_round_there_is_no_ladder():
    assert ladder([], BARRIER) is None


def test_nine_holes_are_refused():
    with pytest.raises(ValueError, match="eighteen holes"):
        ladder([[hole(5, index) for index in range(1, 10)]], BARRIER)


def test_few_rounds_lean_on_the_group_and_many_do_not():
    holes = [hole(7, index, penalties=1, putts=2) for index in range(1, 19)]
    for n, own_weight in ((3, 3 / 8), (45, 0.9)):
        found = values(ladder([holes] * n, BARRIER, {"penalties": 2.0}))
        assert found["penalties"] == pytest.approx(own_weight * 18 + (1 - own_weight) * 2)
    assert values(ladder([holes] * 3, BARRIER))["penalties"] == 18


def test_every_kind_has_an_interval_that_narrows():
    rng = Random("narrows")
    rounds = [draw_round(rng) for _ in range(60)]
    few, many = ladder(rounds[:5], BARRIER), ladder(rounds, BARRIER)
    for wide, narrow in zip(few.leaks, many.leaks, strict=True):
        assert wide.strokes.low <= wide.strokes.value <= wide.strokes.high
        assert wide.strokes.high - wide.strokes.low > narrow.strokes.high - narrow.strokes.low
        assert wide.kind == "everything_else" or wide.strokes.low >= 0


def test_about_nineteen_intervals_in_twenty_hold_the_truth():
    rng = Random("held")
    truth = values(ladder([draw_round(rng) for _ in range(800)], BARRIER))
    held = []
    for _ in range(60):
        for leak in ladder([draw_round(rng) for _ in range(12)], BARRIER).leaks:
            held.append(leak.strokes.low <= truth[leak.kind] <= leak.strokes.high)
    assert 0.9 <= fmean(held) <= 0.995


def test_the_groups_means_count_each_player_once():
    some = [hole(7, index, penalties=1) for index in range(1, 19)]
    none = [hole(5, index, penalties=0) for index in range(1, 19)]
    found = group_means([[some] * 3, [none] * 30, [some] * 2], BARRIER)
    assert found["penalties"] == 9.0
    assert set(found) == {"penalties", "doubles"}
    assert "everything_else" not in found


def test_long_first_putts_are_counted_among_three_putts():
    holes = [hole(6, index, putts=3, first_putt_beyond_20ft=index <= 12) for index in range(1, 17)]
    holes += [hole(6, 17, putts=3), hole(6, 18, putts=2, first_putt_beyond_20ft=True)]
    found = ladder([holes], BARRIER)
    assert (found.three_putts_noted, found.three_putts_from_far) == (16, 12)


def test_the_order_is_the_one_stated():
    assert ORDER == ("penalties", "three_putts", "short_game", "recovery", "approach", "down_in_three", "doubles")
