import json
import math
from dataclasses import asdict
from datetime import date, timedelta
from random import Random

import pytest

from league.estimates.outlook import (
    DRIFTS,
    PHRASES,
    Ground,
    Level,
    Played,
    chance,
    chance_within,
    dots,
    level_of,
    levels_of,
    median_rounds,
    predict,
    spoken,
    step,
    usual_spread,
    weeks_between,
)
from tests.estimates.fixtures import read, table

GROUND = Ground(70.4, 121)
DAY = date(2024, 7, 1)
LEVELS = [Level(mean, 0.1, 15.0, n, date(2024, 6, 24)) for mean in (-2.0, 9.0, 20.0, 33.0, 50.0) for n in (1, 3, 40)]


def settled(index: float) -> Level:
    """Somebody with a long record whose spread is the usual one for the index."""
    mean = index + 0.93 * (2.3 + 0.06 * index)
    return Level(mean, 0.07, 99 * usual_spread(mean) ** 2, 100, DAY)


def vectors():
    given = read("outlook")
    rounds = [
        Played(date.fromisoformat(day), Ground(rating, slope).differential(gross))
        for day, gross, rating, slope in given["rounds"]
    ]
    return [(rounds[: row["rounds"]], row) for row in given["expected"]]


@pytest.mark.parametrize(("rounds", "row"), vectors(), ids=["3 rounds", "5 rounds", "8 rounds", "12 rounds"])
def test_the_worked_examples(rounds, row):
    day = date.fromisoformat(row["next_day"])
    level = level_of(rounds, drifts=[0.005])
    next_score = predict(level, day)
    under_90 = chance(next_score, GROUND, 90)
    assert {
        "level": level.mean,
        "round_sd": math.sqrt(level.round_variance),
        "level_se": level.standard_error(day),
        "scale": (next_score.left + next_score.right) / 2,
        "df": next_score.freedom,
        "P(<100)": chance(next_score, GROUND, 100),
        "P(<95)": chance(next_score, GROUND, 95),
        "P(<90)": under_90,
        "within5_lt90": chance_within(under_90, 5),
    } == pytest.approx(
        {key: row[key] for key in row if key not in {"rounds", "next_day", "median_rounds_lt90"}}, abs=2e-6
    )
    median = row["median_rounds_lt90"]
    assert median_rounds(under_90) == (median if median <= 20 else None)


def test_levels_are_those_after_each_round():
    rounds = vectors()[-1][0]
    assert levels_of(rounds) == [level_of(rounds[: n + 1]) for n in range(len(rounds))]


def test_the_spread_follows_the_fit_to_the_odds_table():
    """The line is 2.3 + 0.06 x index, and the mean lies 0.93 of it over the index.

    Within four tenths of a stroke in the middle of every band.
    """
    middles = {"<=5.9": 3.0, "6.0-12.9": 9.5, "13.0-21.9": 17.5, "22.0-30.9": 26.5, ">=31": 36.0}
    for band, offset, spread, ratio in table("band_fit"):
        index = middles[band]
        level = index + 0.93 * (2.3 + 0.06 * index)
        assert usual_spread(level) == pytest.approx(spread, abs=0.4)
        assert level - index == pytest.approx(offset, abs=0.4)
        assert offset / spread == pytest.approx(ratio, abs=0.02)


def test_the_spread_has_ends():
    assert (usual_spread(-30), usual_spread(0), usual_spread(90)) == (1.8, 2.2, 6.0)


def test_the_odds_table_is_of_the_same_order():
    """A check of sense, no more: tournament scores under the index of before 2020, in whole strokes."""
    indexes = (3.0, 9.5, 17.5, 26.5, 36.0)
    for net, *one_in in table("usga_odds_2012_2015")[:4]:
        for index, printed in zip(indexes, one_in, strict=True):
            assert 0.5 <= predict(settled(index), DAY).cdf(index + net) * printed <= 2.2


def test_the_example_printed_with_the_odds_table():
    [[index, gross, rating, slope, differential, net, _]] = table("usga_odds_worked_example")
    exact = Ground(rating, slope).differential(gross)
    assert exact == pytest.approx(differential, abs=0.05)
    assert round(exact, 1) - index == pytest.approx(net)


def test_somebody_settled_plays_to_the_index_once_in_three_to_six_rounds():
    """Published statements range from 19 % to 36 %; see the rows of `how_often_play_to_handicap`."""
    assert ["USGA article", "once in four to five rounds"] in table("how_often_play_to_handicap")
    for index in (5.0, 15.0, 25.0):
        assert 1 / 6 < predict(settled(index), DAY).cdf(index + 0.5) < 0.36


def test_the_usual_mean_agrees_with_the_standards_expected_nine_holes():
    """0.52 x index + 1.2 over nine holes, hence 1.04 x index + 2.4 over eighteen. From memory."""
    assert "0.52*index + 1.2" in table("whs_expected_nine")[0][0]
    for index in range(37):
        assert index + 0.93 * (2.3 + 0.06 * index) == pytest.approx(1.04 * index + 2.4, abs=0.9)


@pytest.mark.parametrize("level", LEVELS)
def test_a_higher_barrier_is_never_harder(level):
    next_score = predict(level, DAY)
    chances = [chance(next_score, GROUND, barrier) for barrier in range(60, 140)]
    assert chances == sorted(chances)
    assert min(chances) >= 0
    assert max(chances) <= 1


@pytest.mark.parametrize("level", LEVELS)
def test_a_harder_tee_lowers_the_chance(level):
    next_score = predict(level, DAY)
    for barrier in (80, 90, 100):
        by_rating = [chance(next_score, Ground(rating, 121), barrier) for rating in (66.0, 69.3, 72.0, 75.5)]
        assert by_rating == sorted(by_rating, reverse=True)


@pytest.mark.parametrize("level", LEVELS)
def test_slope_stretches_scores_away_from_the_rating(level):
    """Over the rating a higher slope forgives more strokes; under it, it takes a better round."""
    next_score = predict(level, DAY)
    slopes = [Ground(72.0, slope) for slope in (95, 113, 128, 150)]
    above = [chance(next_score, ground, 90) for ground in slopes]
    below = [chance(next_score, ground, 68) for ground in slopes]
    assert above == sorted(above, reverse=True)
    assert below == sorted(below)


@pytest.mark.parametrize("level", LEVELS)
def test_a_better_level_raises_the_chance(level):
    better = Level(level.mean - 1.0, level.variance, level.surprises, level.n, level.last)
    assert chance(predict(better, DAY), GROUND, 90) >= chance(predict(level, DAY), GROUND, 90)


@pytest.mark.parametrize("level", LEVELS)
def test_the_forecast_has_the_level_as_its_mean(level):
    next_score = predict(level, DAY)
    step = 0.02
    places = [level.mean - 80 + step * number for number in range(8001)]
    mean = step * sum(x * next_score.density(x) for x in places)
    assert mean == pytest.approx(level.mean, abs=0.01)


def test_the_longer_the_gap_the_wider_the_band_for_half_a_year():
    level = level_of([Played(DAY - timedelta(days=7 * ago), 20.0) for ago in range(10, 0, -1)])
    widths = [predict(level, DAY + timedelta(weeks=weeks)).right for weeks in (0, 4, 12, 25, 60)]
    assert widths[:4] == sorted(set(widths[:4]))
    assert widths[4] == predict(level, DAY + timedelta(weeks=90)).right


def test_gaps_never_run_backwards():
    assert weeks_between(None, DAY) == 0
    assert weeks_between(DAY, DAY - timedelta(days=3)) == 0
    assert weeks_between(DAY, DAY + timedelta(days=14)) == 2


def test_one_wild_round_moves_the_level_no_more_than_the_limit():
    level = level_of([Played(DAY + timedelta(days=7 * n), 20.0) for n in range(10)])
    later = DAY + timedelta(days=70)
    wild, wilder = (step(level, Played(later, differential)) for differential in (60.0, 90.0))
    assert wild.mean == pytest.approx(wilder.mean, abs=0.01)
    assert wild.last_surprise == pytest.approx(3.0)


def test_steady_scores_narrow_the_spread_and_wild_ones_widen_it():
    days = [DAY + timedelta(days=7 * n) for n in range(40)]
    steady = level_of([Played(day, 20.0) for day in days])
    wild = level_of([Played(day, 20.0 + 7 * (-1) ** place) for place, day in enumerate(days)])
    assert steady.round_variance < usual_spread(20.0) ** 2 < wild.round_variance


def test_the_mean_gap_is_over_the_last_twenty():
    assert Level().mean_gap_weeks is None
    days = [DAY + timedelta(days=70 * n) for n in range(3)]
    days += [days[-1] + timedelta(days=7 * n) for n in range(1, 21)]
    assert level_of([Played(day, 20.0) for day in days]).mean_gap_weeks == 1.0


def varied(n: int, tees: tuple[str | None, ...] = (None,)) -> list[Played]:
    rng = Random("varied")
    return [Played(DAY + timedelta(days=7 * place), rng.gauss(20, 3.3), tees[place % len(tees)]) for place in range(n)]


def test_one_speed_alone_is_one_of_the_four():
    """With all weight on it, the four are that one."""
    rounds = varied(30)
    for drift in DRIFTS:
        alone = level_of(rounds, drifts=[drift])
        [speed] = [speed for speed in level_of(rounds).speeds if speed[0] == drift]
        assert (alone.mean, alone.variance, alone.surprises) == pytest.approx(tuple(speed[2:]))


def test_the_four_lie_between_the_slowest_and_the_fastest():
    rounds = varied(30)
    slow, fast = (level_of(rounds, drifts=[drift]).mean for drift in (DRIFTS[0], DRIFTS[-1]))
    assert min(slow, fast) < level_of(rounds).mean < max(slow, fast)


def changed(n: int = 60, change: float = -9.0) -> list[Played]:
    """A record with a step late in it: the speeds disagree on where the level is."""
    rng = Random("changed")
    scores = [rng.gauss(20 + (change if place >= n - 6 else 0), 3.3) for place in range(n)]
    return [Played(DAY + timedelta(days=7 * place), score) for place, score in enumerate(scores)]


def test_the_forecast_has_the_mean_and_the_variance_of_the_four_together():
    level = level_of(changed())
    later = level.last + timedelta(weeks=3)
    weights = [math.exp(speed[1]) for speed in level.speeds]
    parts = []
    for drift, weight in zip(DRIFTS, weights, strict=True):
        alone = level_of(changed(), drifts=[drift])
        total = alone.round_variance * (alone.variance + 3 * drift + 1)
        parts.append((weight / sum(weights), alone.mean, total))
    mean = sum(share * middle for share, middle, _ in parts)
    variance = sum(share * (total + (middle - mean) ** 2) for share, middle, total in parts)
    next_score = predict(level, later)
    assert level.mean == pytest.approx(mean)
    assert ((next_score.left + next_score.right) / 2) ** 2 == pytest.approx(variance)
    assert len({round(middle, 1) for _, middle, _ in parts}) == 4


def test_the_levels_variance_holds_the_disagreement_of_the_speeds():
    level = level_of(changed())
    assert level.variance * level.round_variance == pytest.approx(level.standard_error(level.last) ** 2, rel=0.03)


def test_a_steady_record_slows_the_drift_and_a_change_speeds_it_up():
    rng = Random("speeds")

    def weights(step_at_60: float) -> dict[float, float]:
        scores = [rng.gauss(20 + (step_at_60 if place >= 60 else 0), 3.3) for place in range(80)]
        level = level_of(Played(DAY + timedelta(days=7 * place), score) for place, score in enumerate(scores))
        return {speed[0]: speed[1] for speed in level.speeds}

    steady, changed = weights(0.0), weights(-9.0)
    assert steady[0.0] > steady[0.01]
    assert changed[0.01] > changed[0.0]


def test_a_level_comes_back_from_json_as_it_was():
    level = level_of(varied(25, ("home", "away")))
    plain = json.loads(json.dumps({**asdict(level), "last": None}))
    back = Level(**{**plain, "last": level.last})
    later = level.last + timedelta(days=9)
    for tee in (None, "home", "elsewhere"):
        assert predict(back, later, tee) == predict(level, later, tee)
    assert step(back, Played(later, 21.0, "home")).mean == step(level, Played(later, 21.0, "home")).mean


def test_without_speeds_a_level_begins_them_where_it_stands():
    level = Level(21.0, 0.1, 12.0, 9, DAY)
    assert predict(level, DAY).right > 0
    assert {speed[0] for speed in step(level, Played(DAY, 20.0)).speeds} == set(DRIFTS)


def test_a_tee_that_does_not_suit_shows_there_and_only_there():
    rng = Random("tees")
    rounds = []
    for place in range(80):
        tee, usual = ("hard", 24) if place % 2 else ("fair", 20)
        rounds.append(Played(DAY + timedelta(days=4 * place), rng.gauss(usual, 2.0), tee))
    level = level_of(rounds)
    assert level.usual_on("hard") - level.usual_on("fair") > 1.5
    assert level.usual_on("never seen") == level.usual_on(None) == level.mean
    assert predict(level, level.last, "hard").mode > predict(level, level.last, "fair").mode


def test_a_tee_never_seen_is_less_certain_than_a_known_one():
    level = level_of(varied(40, ("home",)))
    assert predict(level, level.last, "new").right > predict(level, level.last, "home").right
    assert predict(level, level.last, "new").right > predict(level, level.last).right


def test_tees_need_not_be_told():
    rounds = varied(20)
    assert level_of(rounds).tees == {}
    one_tee = level_of([Played(played.day, played.differential, "home") for played in rounds])
    assert one_tee.usual_on("home") == pytest.approx(level_of(rounds).mean, abs=0.3)


def test_the_standard_error_shrinks_with_rounds_and_grows_with_weeks():
    errors = [level_of(varied(n)).standard_error(DAY + timedelta(days=7 * n)) for n in (1, 3, 10, 20)]
    assert errors == sorted(errors, reverse=True)
    assert errors[1] == pytest.approx(2.0, abs=0.2)
    level = level_of(varied(20))
    assert level.standard_error(level.last) < level.standard_error(level.last + timedelta(weeks=10))


def test_within_more_rounds_the_chance_grows():
    assert [chance_within(0.25, rounds) for rounds in (1, 2)] == [0.25, 0.4375]


@pytest.mark.parametrize(
    ("once", "rounds"),
    [(0.9, 1), (0.5, 1), (0.49, 2), (0.3, 2), (0.25, 3), (0.1, 7), (0.035, 20), (0.03, None), (0.0, None)],
)
def test_the_median_number_of_rounds(once, rounds):
    assert median_rounds(once) == rounds
    if rounds:
        assert chance_within(once, rounds) >= 0.5
    if rounds and rounds > 1:
        assert chance_within(once, rounds - 1) < 0.5


@pytest.mark.parametrize("level", LEVELS)
def test_twenty_dots_in_order_stand_for_the_chances(level):
    next_score = predict(level, DAY)
    placed = dots(next_score, GROUND)
    assert len(placed) == 20
    assert list(placed) == sorted(placed)
    for barrier in (80, 90, 100):
        share = sum(gross < barrier for gross in placed) / 20
        assert share == pytest.approx(chance(next_score, GROUND, barrier), abs=0.026)


@pytest.mark.parametrize("n", [0, 1, 2])
def test_nothing_is_said_under_three_rounds(n):
    with pytest.raises(ValueError, match="fewer than three"):
        spoken(0.4, n)


@pytest.mark.parametrize("n", range(3, 10))
def test_from_three_rounds_words_alone(n):
    for thousandth in range(1001):
        assert spoken(thousandth / 1000, n).percent is None
    assert spoken(0.2, n).words == "about 1 in 5"
    assert spoken(0.0, n).words == "hardly ever"
    assert spoken(1.0, n).words == "nearly always"


@pytest.mark.parametrize("n", [10, 19])
def test_from_ten_rounds_the_nearest_five_per_cent(n):
    said = {spoken(thousandth / 1000, n).percent for thousandth in range(1001)}
    assert said == set(range(5, 100, 5))
    assert (spoken(0.124, n).words, spoken(0.125, n).words) == ("10 %", "15 %")


@pytest.mark.parametrize("n", [20, 500])
def test_from_twenty_rounds_whole_per_cent_between_one_and_ninety_nine(n):
    said = {spoken(thousandth / 1000, n).percent for thousandth in range(1001)}
    assert said == set(range(1, 100))
    assert spoken(0.234, n).words == "23 %"


def test_words_grow_with_the_chance():
    said = [spoken(thousandth / 1000, 5).words for thousandth in range(1001)]
    changes = [now for before, now in zip(said, said[1:], strict=False) if before != now]
    assert len(changes) == len(set(changes)) == 12


def test_the_phrase_is_the_nearest_one():
    fractions = {phrase: int(phrase.split()[1]) / int(phrase.split()[3]) for _, phrase in PHRASES if "about" in phrase}
    assert len(fractions) == len(PHRASES) - 1
    for thousandth in range(30, 971):
        away = {phrase: abs(thousandth / 1000 - fraction) for phrase, fraction in fractions.items()}
        assert away[spoken(thousandth / 1000, 5).words] <= min(away.values()) + 0.004
