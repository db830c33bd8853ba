from random import Random
from statistics import fmean

import pytest

from league.estimates.holes import Result, affords, allowances, expected, personal_pars
from league.rules.scorecard import Hole
from tests.estimates.fixtures import table

PARS = {70: (4,) * 14 + (3,) * 3 + (5,), 71: (4,) * 13 + (3,) * 3 + (5,) * 2, 72: (4,) * 10 + (3,) * 4 + (5,) * 4}


def holes(par: int, order: int = 5) -> list[Hole]:
    return [Hole(number, hole_par, 1 + number * order % 18) for number, hole_par in enumerate(PARS[par], 1)]


def test_the_tees_used_here_have_their_par():
    assert all(sum(pars) == par and len(pars) == 18 for par, pars in PARS.items())


@pytest.mark.parametrize("row", table("barrier_budgets"), ids=str)
def test_the_budgets(row):
    barrier, par, most, over, each, extra = row
    assert barrier - 1 == most
    assert most - par == over
    allowed = allowances(barrier, par)
    assert allowed == (each + 1,) * extra + (each,) * (18 - extra)


def test_personal_pars_add_up_to_the_last_allowed_score_whatever_the_barrier():
    for par in PARS:
        for barrier in range(60, 150):
            own = personal_pars(barrier, holes(par))
            assert sum(own) == barrier - 1
            over = [mine - hole.par for mine, hole in zip(own, holes(par), strict=True)]
            assert max(over) - min(over) <= 1


def test_the_harder_holes_get_the_extra_stroke():
    tee = holes(71)
    by_index = dict(zip((hole.stroke_index for hole in tee), personal_pars(83, tee), strict=True))
    over = [by_index[hole.stroke_index] - hole.par for hole in sorted(tee, key=lambda hole: hole.stroke_index)]
    assert over == [1] * 11 + [0] * 7


@pytest.mark.parametrize("some", [holes(72)[:9], [*holes(72)[:17], Hole(18, 4, 2)]], ids=["nine", "an index twice"])
def test_a_barrier_is_for_eighteen_holes(some):
    with pytest.raises(ValueError, match="eighteen holes"):
        personal_pars(90, some)


@pytest.mark.parametrize(
    ("barrier", "par", "pars", "birdies", "doubles", "said"),
    [
        (90, 72, 5, 0, 3, "three doubles, if five holes are pars"),
        (100, 72, 2, 0, 9, "nine doubles, if two holes are pars"),
        (80, 72, 10, 1, 0, "no doubles, if ten holes are pars and one hole is a birdie"),
        (90, 72, 1, 0, 0, "no doubles, if one hole is a par"),
        (100, 70, 0, 0, 9, "nine doubles, if all other holes are bogeys"),
        (130, 72, 0, 0, 18, "eighteen doubles, if all other holes are bogeys"),
        (80, 72, 2, 0, None, "it takes eleven pars and no doubles"),
        (80, 72, 2, 2, None, "it takes seven pars, two birdies and no doubles"),
        (68, 72, 9, 2, None, "it takes five birdies and no bogey"),
    ],
)
def test_what_a_budget_affords(barrier, par, pars, birdies, doubles, said):
    found = affords(par, barrier, pars, birdies)
    assert (found.doubles, found.words) == (doubles, said)


def test_what_it_affords_fits_the_budget_and_one_more_does_not():
    for barrier in range(72, 125):
        for pars in range(19):
            for birdies in range(min(3, 19 - pars)):
                others = 18 - pars - birdies
                found = affords(72, barrier, pars, birdies)
                if found.doubles is None:
                    assert others - birdies > barrier - 73
                    continue
                assert others + 1.2 * found.doubles - birdies <= barrier - 73 + 1e-9
                assert found.doubles == others or others + 1.2 * (found.doubles + 1) - birdies > barrier - 73


def test_more_pars_and_birdies_than_holes_are_refused():
    with pytest.raises(ValueError, match="together"):
        affords(72, 90, 15, 4)


def test_a_hole_never_played_is_expected_as_the_group_plays_it():
    found = expected([], [Result(7, 4, strokes) for strokes in (5, 6, 4, 5)])
    assert found[7].strokes.value == pytest.approx(5.0)
    assert found[7].strokes.n == found[7].blow_up.n == 0
    assert 0 < found[7].blow_up.low < found[7].blow_up.value < found[7].blow_up.high < 1


def test_own_results_weigh_n_in_n_and_twenty():
    own = [Result(1, 4, 6)] * 20
    group = [Result(1, 4, 4)] * 50
    [(_, found)] = expected(own, group).items()
    # Two strokes worse than the group on the only hole: half of it is the player's usual difference.
    assert found.strokes.value == pytest.approx(4 + (20 * 2 + 20 * 1) / 40)
    assert found.blow_up.value == pytest.approx((20 * 1 + 20 * 0.5 / 51) / 40)


def test_alone_a_hole_is_shrunk_to_the_players_other_holes():
    own = [Result(1, 4, 4)] * 5 + [Result(2, 4, 6)] * 5
    found = expected(own)
    assert found[1].strokes.value == pytest.approx(4 + (5 * 0 + 20 * 1) / 25)
    assert found[2].strokes.value == pytest.approx(4 + (5 * 2 + 20 * 1) / 25)


def test_nothing_played_nothing_expected():
    assert expected([]) == {}


def test_a_blow_up_is_net():
    assert not Result(1, 4, 6, received=1).is_blow_up
    assert Result(1, 4, 7, received=1).is_blow_up
    assert Result(1, 4, 5, received=-1).is_blow_up
    assert Result(1, 4, 6, received=1).is_gross_blow_up


def test_more_results_narrow_the_interval():
    rng = Random("narrow")
    results = [Result(1, 4, rng.choice((4, 5, 6))) for _ in range(200)]
    few, many = expected(results[:10])[1], expected(results)[1]
    for kind in ("strokes", "blow_up"):
        wide, narrow = getattr(few, kind), getattr(many, kind)
        assert wide.high - wide.low > narrow.high - narrow.low


def test_shrinking_comes_nearer_to_the_truth_than_the_bare_mean():
    rng = Random("shrinking")
    bare, shrunk = [], []
    for _ in range(60):
        truth = {number: 1.0 + rng.gauss(0, 0.25) for number in range(1, 19)}
        own = [Result(n, 4, 4 + round(rng.gauss(truth[n], 1.0))) for n in truth for _ in range(6)]
        found = expected(own)
        for number, over in truth.items():
            mean = fmean(result.over for result in own if result.number == number)
            bare.append((mean - over) ** 2)
            shrunk.append((found[number].strokes.value - 4 - over) ** 2)
    assert fmean(shrunk) < 0.7 * fmean(bare)
