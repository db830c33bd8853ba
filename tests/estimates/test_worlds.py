import math
from itertools import pairwise
from statistics import fmean, pstdev

import pytest

from league.estimates.hole_model import TEE_FIT
from league.estimates.outlook import usual_spread
from league.estimates.worlds import WORLDS, golfers, index_after


@pytest.fixture(scope="module")
def worlds():
    return {name: list(golfers(world, 5, 120)) for name, world in WORLDS.items()}


def all_rounds(some):
    return [played for golfer in some for played in golfer.rounds]


@pytest.mark.parametrize("name", WORLDS)
def test_rounds_scatter_as_widely_as_the_world_says(worlds, name):
    against = [
        (played.gross - played.ground.gross(played.level))
        * 113
        / played.ground.slope_rating
        / usual_spread(played.level)
        for played in all_rounds(worlds[name])
    ]
    assert pstdev(against) == pytest.approx(WORLDS[name].spread, rel=0.06)
    assert abs(fmean(against)) < 0.08


def test_histories_are_of_every_length_and_path(worlds):
    lengths = [len(golfer.rounds) for golfer in worlds["A"]]
    assert min(lengths) >= 8
    assert max(lengths) <= 200
    assert 40 < fmean(lengths) < 80
    paths = [golfer.path for golfer in worlds["A"]]
    assert {path: 15 < paths.count(path) < 45 for path in set(paths)} == dict.fromkeys(
        ("static", "improving", "wandering", "step"), True
    )


def test_days_go_forward_with_long_breaks_between(worlds):
    for golfer in worlds["A"]:
        gaps = [(later.day - earlier.day).days for earlier, later in pairwise(golfer.rounds)]
        assert min(gaps) >= 1
        if sum(gaps) > 500:
            assert max(gaps) > 56


def test_the_index_starts_as_drawn_from_its_distribution(worlds):
    """Gamma with shape 4.2 and scale 4.6, so a mean of 19.3; the level lies 0.93 of the usual spread over the index."""
    starts = [golfer.rounds[0].level for some in worlds.values() for golfer in some]
    expected = 19.32 + 0.93 * (2.3 + 0.06 * 19.32)
    assert fmean(starts) == pytest.approx(expected, abs=4 * pstdev(starts) / math.sqrt(len(starts)))


def test_tees_suit_a_golfer_more_or_less(worlds):
    """By 0.7 strokes, as the hole model says: what is left of the means by tee beyond the luck in them."""
    found = []
    for golfer in worlds["C"]:
        by_tee = {}
        for played in golfer.rounds:
            by_tee.setdefault(played.tee, []).append(played.gross - played.ground.gross(played.level))
        for against in by_tee.values():
            if len(against) >= 10:
                found.append(fmean(against) ** 2 - pstdev(against) ** 2 / (len(against) - 1))
    assert len(found) > 100
    assert math.sqrt(fmean(found)) == pytest.approx(TEE_FIT, abs=0.2)


def test_capped_scores_are_no_higher_and_pars_are_those_of_courses(worlds):
    rounds = all_rounds(worlds["B"])
    assert all(played.capped <= played.gross for played in rounds)
    assert 0.2 < fmean(played.gross - played.capped for played in rounds) < 1.5
    assert {played.par for played in rounds} == {70, 71, 72}


def test_the_index_needs_three_rounds(worlds):
    golfer = worlds["A"][0]
    assert index_after(golfer.rounds[:2]) is None
    assert index_after(golfer.rounds[:3]) is not None


def test_an_index_lies_under_the_level_by_what_order_statistics_say(worlds):
    """Of a steady player with twenty scores: 0.93 deviations, less half a tenth or so for whole scores and the cap."""
    differences = [
        (golfer.rounds[-1].level - index_after(golfer.rounds)) / usual_spread(golfer.rounds[-1].level)
        for golfer in worlds["A"]
        if golfer.is_static and len(golfer.rounds) >= 20
    ]
    assert len(differences) > 10
    assert fmean(differences) == pytest.approx(0.93 * WORLDS["A"].spread, abs=0.25)


def test_more_players_leave_the_first_as_they_are(worlds):
    assert list(golfers(WORLDS["A"], 5, 3)) == worlds["A"][:3]
    assert list(golfers(WORLDS["A"], 6, 1)) != worlds["A"][:1]
