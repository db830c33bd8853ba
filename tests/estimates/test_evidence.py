from itertools import permutations
from random import Random
from statistics import fmean, stdev

import pytest

from league.estimates.evidence import AfterBad, after_bad, carry_over, reset_use, residuals
from league.estimates.holes import Result, expected
from league.estimates.simulated_groups import SimulatedRound, bad_holes, draw_group, naive_chart, residuals_of
from tests.estimates.fixtures import table


def shuffled(group: list[SimulatedRound]):
    return carry_over(residuals_of(group), shuffles=100)


def league(rng: Random, n: int, tilt: float = 0.0) -> list[SimulatedRound]:
    return draw_group(rng, n, tilt)


def test_false_alarms_are_few_where_the_plain_chart_always_raises_one():
    """6 % of 200 simulated leagues at a nominal 5 % in the table; here 60 leagues, so up to 7 of them."""
    assert "6%" in dict(table("tilt_test"))["no tilt: permutation-corrected"]
    rng = Random("no tilt")
    leagues = [league(rng, 45) for _ in range(60)]
    found = [shuffled(one) for one in leagues]
    assert sum(one.share_by_chance < 0.05 for one in found) <= 7
    assert abs(fmean(one.effect.value for one in found)) < 0.06
    assert fmean(naive_chart(one) for one in leagues) > 0.1


def test_power_at_half_a_stroke():
    """Table: half a stroke is noticed in 79 % of leagues of 50 rounds, estimated at 0.40; here 20 leagues.

    It is understated, there and here: the round's mean takes a part of it, and marks are not the true bad holes.
    """
    assert dict(table("tilt_test"))["tilt 0.5 rounds 50"].startswith("power 0.79, mean estimate +0.40")
    rng = Random("tilt")
    found = [shuffled(league(rng, 51, tilt=0.5)) for _ in range(20)]
    assert sum(one.share_by_chance < 0.05 for one in found) >= 11
    assert 0.2 < fmean(one.effect.value for one in found) < 0.5


def test_the_interval_is_always_there_and_the_verdict_only_from_a_hundred_rounds():
    few = shuffled(league(Random("few"), 99, tilt=0.9))
    assert few.words == "too few rounds to tell"
    assert few.effect.low < few.effect.value < few.effect.high
    assert few.effect.n == 99
    many = shuffled(league(Random("many"), 120, tilt=0.9))
    assert many.words == "a bad hole seems to carry over"
    assert many.effect.low > 0
    none = shuffled(league(Random("none"), 120))
    assert none.words == "no sign that a bad hole carries over"


def test_without_a_bad_hole_there_is_nothing_to_test():
    assert carry_over([[0.1, -0.1] * 9] * 120) is None
    assert carry_over([]) is None


def test_residuals_are_centred_in_the_round():
    played = [Result(1, 4, 6), Result(2, 4, 4)]
    found = residuals(played, expected([Result(1, 4, 5), Result(2, 4, 5)]))
    assert sum(found) == pytest.approx(0)
    assert found[0] == pytest.approx(1)


def test_the_same_seed_shuffles_the_same_way():
    rounds = [[2.0, -1.0, 0.5, -0.5, -1.0, 1.6, -1.6] for _ in range(8)]
    assert carry_over(rounds, 3, 50) == carry_over(rounds, 3, 50)
    assert rounds[0] == [2.0, -1.0, 0.5, -0.5, -1.0, 1.6, -1.6]


class TestResets:
    def test_the_bad_holes_of_a_round_with_what_came_next(self):
        """By hand: the others' mean is −0.5 beside 2.0 and −0.4 beside 1.6; the last bad hole has none after it."""
        found = after_bad("ann", [2.0, 0.5, 1.6, -5.6, 1.5], {2})
        assert [(hole.player, hole.had_reset) for hole in found] == [("ann", False), ("ann", True)]
        assert [hole.beyond_chance for hole in found] == pytest.approx([1.0, -5.2])

    def test_what_chance_brings_is_the_mean_of_all_orders_of_the_round(self):
        residuals = [2.0, 0.5, -1.2, -1.3]
        orders = [order for order in permutations(residuals) if order[-1] != 2.0]
        usual = fmean(order[order.index(2.0) + 1] for order in orders)
        (found,) = after_bad("ann", residuals, ())
        assert found.beyond_chance == pytest.approx(0.5 - usual)

    def test_the_difference_is_taken_from_the_labels_as_they_were(self):
        """By hand: with a reset 0 and 0.2, without 1 and 0.6, so 0.1 less 0.8."""
        with_one, without = [0.0, 0.2, 0.1, 0.1], [1.0, 0.6, 0.7, 0.9]
        holes = [AfterBad("ann", True, beyond) for beyond in with_one]
        holes += [AfterBad("ann", False, beyond) for beyond in without]
        found = reset_use(8, holes, shuffles=2000)
        assert found.effect.value == pytest.approx(-0.7, abs=0.05)
        assert found.effect.low < found.effect.value < found.effect.high
        assert (found.n_with, found.n_without, found.words) == (4, 4, "too few rounds to tell")
        # Of the seventy ways to choose four of eight, the best one and the worst one are as far from none.
        assert found.share_by_chance == pytest.approx(2 / 70, abs=0.02)

    def test_few_rounds_and_few_bad_holes_are_both_too_few(self):
        holes = [AfterBad("ann", number % 2 == 0, -1.0 if number % 2 == 0 else 1.0) for number in range(120)]
        assert reset_use(100, holes, shuffles=50).words.startswith("the next hole went better")
        assert reset_use(99, holes, shuffles=50).words == "too few rounds to tell"
        assert reset_use(100, holes[1:], shuffles=50).words == "too few rounds to tell"

    def test_no_interval_where_nothing_could_lie_outside_it(self):
        """Three of six can be chosen in twenty ways, so the farthest out is one in ten; four of eight in seventy."""
        holes = [AfterBad("ann", number % 2 == 0, float(number)) for number in range(8)]
        few = reset_use(6, holes[:6])
        assert (few.effect, few.share_by_chance, few.n_with, few.n_without) == (None, None, 3, 3)
        assert reset_use(8, holes).effect is not None

    def test_it_is_shuffled_within_a_player_so_a_better_one_who_resets_is_no_evidence(self):
        holes = [AfterBad("calm", True, -1.0)] * 80 + [AfterBad("wild", False, 1.0)] * 80
        holes += [AfterBad("calm", False, -1.0)] * 40 + [AfterBad("wild", True, 1.0)] * 5
        found = reset_use(200, holes, shuffles=100)
        assert found.effect.value == pytest.approx(0.0)
        assert found.words == "no sign that the next hole differs after a reset"

    def test_without_both_kinds_there_is_nothing_to_compare(self):
        assert reset_use(200, [AfterBad("ann", True, 0.0)] * 99).effect is None
        assert reset_use(0, []).words == "too few rounds to tell"

    def test_a_reset_that_takes_half_a_stroke_off_is_noticed_and_never_called_a_cause(self):
        group = draw_group(Random("resets"), 300, tilt=0.6, relief=0.6)
        found = reset_use(300, bad_holes(group), shuffles=400)
        assert found.words.startswith("the next hole went better after a reset")
        assert found.words.endswith("your choice, not chance")
        assert found.effect.high < 0

    def test_resets_that_do_nothing_come_out_at_nothing(self):
        """Also where bad holes carry over: the mean of 40 groups lies within two of its own errors of none."""
        found = [
            reset_use(60, bad_holes(draw_group(Random(f"nothing {one}"), 60, 0.5)), shuffles=60) for one in range(40)
        ]
        effects = [one.effect.value for one in found]
        assert abs(fmean(effects)) < 2 * stdev(effects) / len(effects) ** 0.5

    def test_resets_that_do_nothing_are_seldom_called(self):
        found = [
            reset_use(60, bad_holes(draw_group(Random(f"idle {one}"), 60, 0.5)), shuffles=100) for one in range(40)
        ]
        assert sum(one.share_by_chance < 0.05 for one in found) <= 6
