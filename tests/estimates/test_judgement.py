import math
from datetime import date
from functools import cache
from random import Random
from statistics import NormalDist, fmean

import pytest

from league.estimates import judgement
from league.estimates.judgement import METHODS, OURS, Frequencies, Normal, StudentT
from league.estimates.outlook import Ground
from league.estimates.worlds import WORLDS, Simulated, golfers
from league.rules.index import LOWEST_USED, TABLE_ADJUSTMENT
from tests.estimates.fixtures import read, table

PLAYERS, SEED = 40, 2024
DAY = date(2024, 7, 1)
PRINTED_AS = {
    "B1 frequency, last 20": "B1 empirical frequency (last 20)",
    "B2 normal, last 20": "B2 normal, last 20",
    "B3 band of the index": "B3 index-band climatology",
    "B4 normal, all rounds": "B4 normal, whole history",
    "B5 Student t, last 20": "B5 Student-t, last 20",
    "B6 normal, half-life 10": "B6 exp-weighted normal (hl 10 rounds)",
    "R  one speed, no tees": "R  recommended: shrunk local level",
}


@cache
def marks():
    return judgement.judge(golfers(WORLDS["A"], SEED, PLAYERS), SEED)


@pytest.mark.parametrize("row", table("crps_closed_forms"), ids=str)
def test_closed_forms_of_the_crps(row):
    name, value, expected = row
    distribution = Normal(0.0, 1.0) if name == "N(0,1)" else StudentT(0.0, 1.0, 5.0)
    assert judgement.crps(distribution, value, step=0.01) == pytest.approx(expected, abs=2e-5)


def test_the_discrete_crps_of_a_wide_distribution_is_nearly_the_continuous_one():
    wide = Normal(90.0, 20.0)
    whole = judgement.crps_whole(lambda gross: wide.cdf(gross + 0.5), 97)
    assert whole == pytest.approx(20 * judgement.crps(Normal(0.0, 1.0), 7 / 20, step=0.01), abs=0.02)


def test_the_discrete_crps_of_a_certain_score_is_the_distance():
    for gross in (80, 85, 91):
        assert judgement.crps_whole(lambda most: float(most >= 85), gross) == abs(gross - 85)


def test_order_statistics_of_the_lowest_used():
    """Mean of the lowest k of n standard normals, by integration; the table is by drawing, within 0.003."""
    normal, step = NormalDist(), 0.01
    places = [step * number for number in range(-700, 701)]
    for n, used, adjustment, expected in table("order_statistics"):
        lowest = 0.0
        for rank in range(used):
            ways = math.comb(n if isinstance(n, int) else 20, rank + 1) * (rank + 1)
            above = (n if isinstance(n, int) else 20) - rank - 1
            lowest += step * sum(
                x * ways * normal.pdf(x) * normal.cdf(x) ** rank * (1 - normal.cdf(x)) ** above for x in places
            )
        assert lowest / used == pytest.approx(expected, abs=0.004)
        if isinstance(n, int):
            assert (LOWEST_USED[n], TABLE_ADJUSTMENT[n]) == (used, 10 * adjustment)


@pytest.mark.parametrize("baseline", [name for name in METHODS if name.startswith(("B", "R"))])
def test_the_outlook_is_not_worse_than(baseline):
    low, high = judgement.interval_of_difference(marks()[baseline], marks()[OURS], SEED)
    assert low < high
    assert high > 0


@pytest.mark.parametrize(("name", "printed"), PRINTED_AS.items())
def test_a_small_run_comes_near_the_figures_of_a_large_one_made_apart(name, printed):
    expected = read("judged")["methods"][printed]
    found = judgement.verdict(marks()[name])
    assert found.crps == pytest.approx(expected["crps"], rel=0.08)
    assert found.cover == pytest.approx(expected["cov80"], abs=0.05)
    assert found.brier == pytest.approx(expected["brier"], abs=0.015)


def test_nobody_beats_knowing_the_level():
    found = {name: judgement.verdict(some).crps for name, some in marks().items()}
    assert min(found, key=found.__getitem__) == "(knowing the level)"


def test_the_outlook_is_calibrated():
    found = judgement.verdict(marks()[OURS])
    assert 0.76 < found.cover < 0.84
    assert found.calibration < 0.04
    assert found.pit_deviation < 0.05


def test_all_methods_judge_the_same_rounds():
    [keys] = {tuple((mark.golfer, mark.n_before, mark.broke) for mark in some) for some in marks().values()}
    assert min(n_before for _, n_before, _ in keys) == 3


def test_it_judges_histories_apart():
    ours = marks()[OURS]
    early, late = (judgement.crps_between(ours, *bounds) for bounds in ((3, 5), (51, 200)))
    assert early > late
    assert judgement.crps_between(ours, 201, 300) is None


def test_a_method_behind_itself_is_level():
    assert judgement.interval_of_difference(marks()[OURS], marks()[OURS]) == (0.0, 0.0)


def test_the_interval_is_that_of_golfers_drawn_anew():
    """300 golfers whose difference has a deviation of 2, each with ten rounds alike: 1.96 x 2 / sqrt(300)."""
    rng = Random("interval")
    differences = [rng.gauss(0.5, 2.0) for _ in range(300)]

    def some(differ: bool) -> list[judgement.Mark]:
        return [
            judgement.Mark(golfer, 3, True, 3.0 + differ * difference, 1.0, 0.5, True, 0.5)
            for golfer, difference in enumerate(differences)
            for _ in range(10)
        ]

    low, high = judgement.interval_of_difference(some(True), some(False))
    assert (low + high) / 2 == pytest.approx(fmean(differences), abs=0.03)
    assert (high - low) / 2 == pytest.approx(1.96 * 2 / 300**0.5, rel=0.1)


def test_an_even_spread_has_no_deviation_and_a_lump_has():
    assert judgement.pit_deviation([(place + 0.5) / 100 for place in range(100)]) == pytest.approx(0.005)
    assert judgement.pit_deviation([0.5] * 100) == pytest.approx(0.5)


def test_the_calibration_error_is_found_again():
    rng = Random("calibration")
    made = [
        judgement.Mark(0, 3, True, 1.0, 1.0, chance, rng.random() < min(1.0, chance + 0.1), 0.5)
        for chance in (rng.uniform(0.05, 0.6) for _ in range(20000))
    ]
    assert judgement.calibration_error(made) == pytest.approx(0.1, abs=0.01)
    assert fmean(mark.brier for mark in made) > 0.1


@pytest.mark.parametrize(("scores", "barrier"), [([92], 90), ([91], 90), ([90], 85), ([88, 91], 85), ([86], 85)])
def test_the_barrier_is_the_next_multiple_of_five_a_stroke_below(scores, barrier):
    assert judgement.barrier_below(scores) == barrier


def simulated(*differentials: float) -> list[Simulated]:
    flat = Ground(0.0, 113)
    return [Simulated(DAY, 0, flat, 72, round(x), round(x), 20.0, 3.0) for x in differentials]


def asked(method: judgement.Method, *differentials: float) -> judgement.Distribution:
    for played in simulated(*differentials):
        method.see(played)
    return method.foretell(simulated(20.0)[0])


def test_the_plain_methods_are_the_textbooks():
    assert asked(judgement.LastNormal(), *[40.0] * 5, *[18.0, 22.0] * 10) == Normal(
        20.0, pytest.approx(2.052, abs=1e-3)
    )
    assert asked(judgement.WholeNormal(), *[18.0, 22.0] * 10, 20.0, 20.0).mean == 20.0
    assert asked(judgement.LastStudent(), 18.0, 20.0, 22.0) == StudentT(20.0, pytest.approx(2 * (4 / 3) ** 0.5), 2.0)
    assert asked(judgement.LastFrequencies(), 22.0, 18.0, 20.0) == Frequencies((18.0, 20.0, 22.0))
    # The lowest of three, less two strokes: 16; the usual spread there is 2.3 + 0.06 x 16.
    assert asked(judgement.IndexBand(), 18.0, 20.0, 22.0) == Normal(
        pytest.approx(16 + 0.93 * 3.26), pytest.approx(3.26)
    )
    fading = asked(judgement.Fading(), *[30.0] * 10, *[20.0] * 10)
    assert fading.mean == pytest.approx((30 * 0.5 + 20) / 1.5)
    assert asked(judgement.LastNormal(), 20.0, 20.0, 20.0).spread == judgement.SMALLEST_SPREAD


def test_an_index_band_needs_an_index():
    with pytest.raises(ValueError, match="three rounds"):
        asked(judgement.IndexBand(), 20.0, 21.0)


def test_what_never_was_is_not_impossible():
    seen = Frequencies((18.0, 20.0, 22.0))
    assert (seen.cdf(8.0), seen.cdf(32.0)) == (0.0, 1.0)
    assert 0 < seen.cdf(15.0) < seen.cdf(17.9) < 0.15
    assert seen.cdf(20.0) == pytest.approx((2 + 0.25) / 3.5)


def test_without_drifting_judges_have_no_drift_column():
    static = [mark for mark in marks()[OURS] if mark.is_static]
    assert judgement.verdict(static).drift is None
