"""The hour and the games: worked by hand, against all splits there are, against simulation, laws."""

import math
import random
from itertools import product
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as some

from league.estimates.at_the_green import within_three
from league.estimates.carries import Carry, published_long, published_wide
from league.estimates.estimate import Estimate
from league.estimates.games import (
    at_least,
    down_in_three,
    games,
    on_the_green,
    over_the_line,
    through_the_gate,
    two_from_far,
)
from league.estimates.green import good_strikes
from league.estimates.leaks import KINDS as LEAKS
from league.estimates.leaks import Leak
from league.estimates.practice import FROM_LEAKS, KINDS, LEFT_OVER, costs_of, gain_of, left_over, split, taken
from league.estimates.putting import two_or_better

costs = some.dictionaries(some.sampled_from(KINDS), some.floats(0, 6).map(lambda cost: Estimate(cost, 0, 2 * cost, 90)))
times = some.integers(3, 36).map(lambda blocks: 5 * blocks)


def leak(kind: str, strokes: float | None, reason: str = "") -> Leak:
    return Leak(kind, None if strokes is None else Estimate(strokes, strokes / 2, strokes * 2, 180), reason)


def test_what_a_leak_gives_by_hand() -> None:
    """Four strokes, twenty minutes: half of three tenths of four; an hour: seven eighths of it."""
    strokes = Estimate(4.0, 2.0, 6.0, 180)
    assert gain_of(strokes, 20).value == pytest.approx(0.6)
    assert gain_of(strokes, 60).value == pytest.approx(1.05)
    # From a tenth of the lower end to half of the upper.
    assert (gain_of(strokes, 20).low, gain_of(strokes, 20).high) == (pytest.approx(0.1), pytest.approx(1.5))


def test_one_leak_takes_the_whole_hour_and_two_alike_half_each() -> None:
    strokes = Estimate(2.0, 1.0, 3.0, 180)
    assert [part.minutes for part in split({"short": strokes}).parts] == [60]
    assert [part.minutes for part in split({"short": strokes, "putting": strokes}).parts] == [30, 30]


def test_the_split_is_the_best_of_all_there_are() -> None:
    """Every split of an hour in fives, none of a part under ten minutes, tried one by one."""
    found = {"putting": 3.0, "carries": 2.0, "short": 1.3, "recovery": 0.9}
    hour = split({kind: Estimate(cost, cost, cost, 90) for kind, cost in found.items()})
    options = [0, *range(10, 61, 5)]
    best = max(
        sum(0.3 * cost * taken(time) for cost, time in zip(found.values(), try_, strict=True))
        for try_ in product(options, repeat=4)
        if sum(try_) == 60
    )
    assert hour.gain is not None
    assert hour.gain.value == pytest.approx(best)


def test_too_few_rounds_say_so() -> None:
    reason = "recorded on 18 holes; from 54 on something can be said"
    known, unknown = costs_of({kind: leak(kind, None, reason) for kind in ("penalties", "three_putts", "recovery")})
    hour = split(known, unknown=unknown)
    assert (hour.parts, hour.gain) == ((), None)
    assert hour.words.startswith("Too few rounds to tell what costs most")
    assert dict(hour.unknown)["putting"] == reason
    assert dict(hour.unknown)["short"] == "not recorded yet"


def test_the_short_game_is_both_of_its_leaks() -> None:
    known, _ = costs_of({"short_game": leak("short_game", 1.0), "down_in_three": leak("down_in_three", 0.5)})
    assert known["short"].value == 1.5
    assert costs_of({"short_game": leak("short_game", 1.0), "down_in_three": leak("down_in_three", None, "x")})[0]


def test_every_leak_is_practised_or_said_to_be_left_over() -> None:
    """So that the largest leak of all cannot be missing from the hour unsaid."""
    practised = [name for names in FROM_LEAKS.values() for name in names]
    assert sorted([*practised, *LEFT_OVER]) == sorted(LEAKS)


def test_greens_missed_have_their_part() -> None:
    """Three strokes of four: they get more of the hour than a third of it."""
    known, _ = costs_of({"approach": leak("approach", 3.0), "three_putts": leak("three_putts", 1.0)})
    assert [(part.kind, part.minutes) for part in split(known).parts] == [("greens", 45), ("putting", 15)]


def test_only_a_rest_that_costs_is_left_over() -> None:
    leaks = [leak("doubles", 1.5), leak("everything_else", -0.5), leak("approach", 3.0)]
    assert [(kind, rest.value) for kind, rest in left_over({one.kind: one for one in leaks}).items()] == [
        ("doubles", 1.5)
    ]
    assert left_over({"doubles": leak("doubles", None, "not recorded yet")}) == {}


def test_what_costs_nothing_is_not_practised() -> None:
    hour = split({"putting": Estimate(0.0, 0.0, 1.0, 90), "short": Estimate(1.0, 0.5, 2.0, 90)})
    assert [part.kind for part in hour.parts] == ["short"]
    assert (
        split({"putting": Estimate(0.0, 0.0, 1.0, 90)}).words
        == "Nothing that was noted costs a stroke against the barrier."
    )
    assert split({}).words == "Nothing is known yet."


@pytest.mark.parametrize("minutes", [0, 10, 62, 185])
def test_an_hour_is_from_a_quarter_to_three_in_fives(minutes: int) -> None:
    with pytest.raises(ValueError, match="minutes"):
        split({}, minutes)


@given(costs, times)
def test_laws_of_the_hour(found: dict[str, Estimate], minutes: int) -> None:
    """All of the time is given away, to what costs; a dearer part never gets less; the range holds the value."""
    hour = split(found, minutes)
    assert sum(part.minutes for part in hour.parts) in (0, minutes)
    assert all(part.minutes >= 10 for part in hour.parts)
    told = [part.kind for part in hour.parts] + [kind for kind, _ in hour.too_small]
    assert sorted(told) == sorted(kind for kind, cost in found.items() if cost.value > 0)
    for one, other in product(hour.parts, repeat=2):
        assert one.strokes.value <= other.strokes.value or one.minutes >= other.minutes - 5
    for part in hour.parts:
        assert part.gain.low <= part.gain.value <= part.gain.high
        assert part.gain.value <= 0.3 * part.strokes.value


@given(costs, times)
def test_more_time_never_saves_less(found: dict[str, Estimate], minutes: int) -> None:
    short, long = split(found, minutes).gain, split(found, 180).gain
    assert (short is None) == (long is None)
    assert short is None or long is None or short.value <= long.value + 1e-9


def test_how_many_of_ten_is_a_binomial() -> None:
    """By hand: at least 9 of 10 at one half is 11 in 1,024."""
    found = at_least([0.5] * 10)
    assert found[9] == pytest.approx(11 / 1024)
    assert found[0] == pytest.approx(1)
    assert found[10] == pytest.approx(1 / 1024)


@given(some.lists(some.floats(0, 1), min_size=1, max_size=12))
def test_reaching_more_is_never_likelier(chances: list[float]) -> None:
    found = at_least(chances)
    assert found[0] == pytest.approx(1)
    assert all(low >= high - 1e-12 for low, high in zip(found, found[1:], strict=False))
    # The mean of a count is the sum of its tails, and of its chances.
    assert math.fsum(found[1:]) == pytest.approx(math.fsum(chances))


def test_two_from_far_by_simulation() -> None:
    """20,000 games of ten putts by the published three-putts; a standard error of 0.0035."""
    game, draw = two_from_far(19, "yards"), random.Random(5)
    feet = [(20, 30, 40)[place % 3] for place in range(10)]
    passed = sum(
        sum(draw.random() < two_or_better(length, 19) for length in feet) >= game.pass_mark for _ in range(20_000)
    )
    assert passed / 20_000 == pytest.approx(game.chance_to_pass, abs=0.015)


def test_down_in_three_is_the_mean_of_its_distances() -> None:
    """Four from 40 yards, three from 50, three from 60."""
    chances = [within_three(yards, 19, "yards") for yards in (40, 50, 60)]
    assert down_in_three(19, "yards").chance == pytest.approx((4 * chances[0] + 3 * chances[1] + 3 * chances[2]) / 10)


def test_the_gate_by_hand() -> None:
    """Six yards to either side at forty, with the published direction of an iron, and the poor ones off."""
    sideways = 40 * math.tan(math.radians(published_wide("iron", 19)))
    straight = 2 * NormalDist().cdf(6 / sideways) - 1
    assert through_the_gate(19, "yards").chance == pytest.approx(good_strikes(40, 19, "yards") * straight)


def test_own_shots_set_the_line() -> None:
    """A driver that scatters by 20 yards in length: 180 of 200 is one spread below the mean, 0.841 of good ones."""
    driver = Carry("driver", "driver", 200, 20, 0.001, n_shots=10**9, is_published=False)
    game = over_the_line(19, "yards", (driver,))
    good = good_strikes(200, 19, "yards", driver)
    assert 0.6 < good < 0.9
    assert game.chance == pytest.approx(good * NormalDist().cdf(1), abs=1e-4)
    assert "the driver at a strip 40 yards wide, over a line 180 yards out" in game.setup
    assert "1000000000 shots measured" in game.source
    assert (
        "as you typed it"
        in over_the_line(19, "yards", (Carry("driver", "driver", 200, 20, 5, is_published=False),)).source
    )
    assert "nine tenths of your usual carry" in over_the_line(19, "metres").setup


def test_on_the_green_with_three_own_irons() -> None:
    """The shortest four times, the middle and the longest three; a club that hits a point hits as it strikes well."""
    irons = [Carry(name, "iron", at, 1e-9, 1e-9) for name, at in (("4", 160), ("6", 140), ("8", 120), ("pitching", 95))]
    driver, wedge = Carry("driver", "driver", 200, 20, 5), Carry("sand wedge", "wedge", 70, 8, 5)
    game = on_the_green(19, "yards", (driver, *irons, wedge))
    good = [good_strikes(at, 19, "yards", irons[0]) for at in (95, 140, 160)]
    assert game.chance == pytest.approx((4 * good[0] + 3 * good[1] + 3 * good[2]) / 10)
    assert game.setup.startswith("From 95, 140 and 160 yards in turn, with the pitching, 6 and 4, at a green ")
    assert on_the_green(19, "yards", irons[:1]).setup.startswith("From 160 yards, with the 4, at a green ")


def test_on_the_green_without_a_book_by_simulation() -> None:
    """A usual green of 28 by 26 from 90, 110 and 130, drawn 40,000 times; a standard error of 0.0024."""
    draw, hits, times = random.Random(7), 0, 40_000
    for place in range(times):
        at = (90, 110, 130)[(0, 1, 2, 0, 1, 2, 0, 1, 2, 0)[place % 10]]
        wide = at * math.tan(math.radians(published_wide("iron", 19)))
        beyond, across = draw.gauss(0, at * published_long(19)), draw.gauss(0, wide)
        is_good = draw.random() < good_strikes(at, 19, "yards")
        hits += is_good and (beyond / 14) ** 2 + (across / 13) ** 2 <= 1
    assert on_the_green(19, "yards").chance == pytest.approx(hits / times, abs=0.01)
    assert "From 80, 100 and 120 metres in turn, with the club that carries so far" in on_the_green(19, "metres").setup


@given(some.floats(-6, 39), some.sampled_from(("yards", "metres")))
def test_a_mark_is_reached_about_as_often_as_not(level: float, unit: str) -> None:
    """No other mark is nearer to one half; between two of them there is at most the chance of one number of ten."""
    for game in games(level, unit):
        assert 1 <= game.pass_mark <= game.tries
        assert 0.2 < game.chance_to_pass < 0.8 or game.pass_mark in (1, game.tries)


@given(some.floats(-6, 39), some.floats(-6, 39))
def test_a_better_player_has_no_lower_mark(one: float, other: float) -> None:
    better, worse = sorted((one, other))
    for left, right in zip(games(better, "yards"), games(worse, "yards"), strict=True):
        assert left.pass_mark >= right.pass_mark
