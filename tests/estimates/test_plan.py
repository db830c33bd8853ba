"""The compiled plan, its chance beside the outlook, and what keeping it was worth."""

import json
from datetime import date
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from league.estimates.conditions import Conditions
from league.estimates.holes import Result
from league.estimates.kept import PlannedHole, kept_or_not
from league.estimates.outlook import Ground, Level, predict
from league.estimates.plan import (
    Advice,
    ApproachAdvice,
    HoleToPlan,
    Known,
    RuleAdvice,
    ShotAdvice,
    TeeAdvice,
    plan_for,
    rebalanced,
)
from league.estimates.plan_chance import beside_outlook, exactly
from league.rules.described import Described, Side, Trouble, TroubleKind
from league.rules.errors import RuleBroken
from league.rules.scorecard import Hole

SCORE = predict(Level(mean=19.0, n=12), date(2024, 5, 1))
GROUND = Ground(70.4, 121)


def known(**also: object) -> Known:
    holes = tuple(
        HoleToPlan(
            hole=Hole(number, 4, number),
            length=350,
            described=Described(number=number),
            conditions=Conditions(wind_speed="moderate", wind_from="ahead" if number == 1 else ""),
        )
        for number in range(1, 19)
    )
    return Known(**{"holes": holes, "unit": "yards", **also})  # type: ignore[arg-type]


def test_a_plan_of_nothing_known_says_so_on_every_hole() -> None:
    told = plan_for(90, known(), {}, chance="The carry book is empty.")
    assert sum(one["personal_par"] for one in told["holes"]) == 89 == told["holes"][-1]["due"]
    first, second = told["holes"][:2]
    assert first["plays"] == 385
    assert first["unknown"] == ["what trouble there is"]
    assert second["plays"] is None
    assert second["unknown"] == ["what trouble there is", "where the wind comes from here"]
    assert {one["stance"] for one in told["holes"]} == {"measured"}
    assert told["chance"] is None
    assert told["chance_reason"] == "The carry book is empty."
    assert json.loads(json.dumps(told)) == told


def test_what_is_advised_stands_in_the_plan() -> None:
    tee = TeeAdvice("hybrid", lost=0.15, lost_words="in the burn", saves=0.3, runner_up="driver", price="A quarter.")
    rule = RuleAdvice("three_more", "Never worse than three.", 0.7, "common practice")
    shots = (ShotAdvice(1, "hybrid", 200, 150), ShotAdvice(2, "7 iron", 150, 0, "To the middle.", chance_green=0.3))
    approach = ApproachAdvice("7 iron", lay_up="Or 60 short.", shots=shots[1:], rules=(rule,))
    told = plan_for(90, known(), {4: Advice(tee, approach, shots)})
    fourth = told["holes"][3]
    assert (fourth["club"], fourth["runner_up"], fourth["approach_club"]) == ("hybrid", "driver", "7 iron")
    assert fourth["stance"] == "protect"
    assert fourth["rules"] == [
        {"kind": "three_more", "words": "Never worse than three.", "chance": 0.7, "rests_on": "common practice"}
    ]
    assert [(shot["club"], shot["covers"], shot["leaves"]) for shot in fourth["shots"]] == [
        ("hybrid", 200, 150),
        ("7 iron", 150, 0),
    ]
    assert told["holes"][4]["shots"] == []


def test_the_reason_of_a_measured_hole_is_what_its_shots_do() -> None:
    tee = TeeAdvice("driver", left=236, lost=0.05, lost_words="out of bounds on the left")
    shots = (
        ShotAdvice(1, "driver", 200, 236),
        ShotAdvice(2, "5 wood", 175, 61),
        ShotAdvice(3, "wedge", 61, 0, chance_green=0.5),
    )
    bunker = Trouble(TroubleKind.BUNKER, Side.LEFT, 150, 170)
    described = (Described(number=number, trouble=(bunker,)) for number in range(1, 19))
    holes = tuple(HoleToPlan(hole=Hole(one.number, 5, one.number), length=436, described=one) for one in described)
    told = plan_for(108, known(holes=holes), {1: Advice(tee, None, shots), 2: Advice(TeeAdvice("driver", left=119))})
    first, second = (one["reason"] for one in told["holes"][:2])
    assert first == "Driver, then 5 wood, leaves 60; lost out of bounds on the left about 1 in 20."
    assert second == "Driver leaves 120."


def test_one_hole_by_hand_and_the_rest_gives_way() -> None:
    told = plan_for(90, known(), {})
    changed = rebalanced(told, {6: 6})
    assert [one["moved"] for one in changed["holes"]] == [0] * 5 + [1] + [0] * 10 + [-1, 0]
    assert changed["holes"][-1]["due"] == 89
    assert rebalanced(changed, {})["holes"] == told["holes"]
    with pytest.raises(RuleBroken):
        rebalanced(told, {6: 40})


def test_own_cards_weigh_with_their_number_and_the_plan_says_how_much() -> None:
    results = tuple(Result(number, 4, 5) for number in range(1, 19) for _ in range(5))
    told = plan_for(90, known(results=results), {})
    assert told["basis"] == "Spread by stroke index, and by 20 % after your own 5 cards on this tee."
    assert told["holes"][0]["expected"] == 5.0
    assert told["holes"][0]["n_cards"] == 5


def test_two_penalty_areas_protect_in_the_plan() -> None:
    rows = tuple(Trouble(TroubleKind.PENALTY_AREA, side, 100, 200) for side in (Side.LEFT, Side.RIGHT))
    plain = known()
    holes = (HoleToPlan(hole=Hole(1, 4, 1), length=350, described=Described(number=1, trouble=rows)), *plain.holes[1:])
    assert plan_for(90, known(holes=holes), {})["holes"][0]["stance"] == "protect"


def test_the_reason_of_a_forced_carry_is_that_of_its_tee_shot() -> None:
    words = "The carry over what crosses is 185 yards, near the 190 that driver carries here (common practice)."
    told = plan_for(90, known(), {1: Advice(TeeAdvice("driver", forced_carry=words))})
    assert [(one["stance"], one["reason"]) for one in told["holes"][:1]] == [("protect", words)]


def test_the_chance_is_the_same_with_the_same_seed() -> None:
    """A golden value: changed arithmetic shows here."""
    savings = [0.25, 0.0, 0.4, -0.1, 0.15]
    told = beside_outlook(SCORE, GROUND, 90, savings, seed=7)
    assert told == beside_outlook(SCORE, GROUND, 90, savings, seed=7)
    assert told.n_holes == 3
    assert told.saved == pytest.approx(0.8)
    assert (round(told.before, 4), round(told.after, 4)) == (0.4394, 0.4894)


def test_the_draws_meet_the_closed_form() -> None:
    """Poisson-binomial, every computed saving real; the draws let it vary about that, nearly without bias."""
    savings = [0.2, 0.3, 0.1, 0.45]
    drawn = [beside_outlook(SCORE, GROUND, 90, savings, seed) for seed in range(20)]
    mean = sum(one.after for one in drawn) / len(drawn)
    error = drawn[0].draw_error / len(drawn) ** 0.5
    assert mean == pytest.approx(exactly(SCORE, GROUND, 90, savings), abs=4 * error + 0.004)


@given(st.lists(st.floats(-0.5, 1.2), max_size=18), st.integers(70, 120))
def test_a_plan_that_saves_never_lowers_the_chance(savings: list[float], barrier: int) -> None:
    told = beside_outlook(SCORE, GROUND, barrier, savings)
    assert told.before <= told.low + 1e-12
    assert told.low <= told.after + 1e-12
    assert told.after <= told.high + 1e-12 <= 1.0 + 1e-9


def rounds(n: int, gain: float, seed: int = 1) -> list[list[PlannedHole]]:
    rng = Random(seed)
    return [
        [
            PlannedHole(kept, round(rng.gauss(5.3 + day - (gain if kept else 0), 0.9)), 5.0)
            for kept in [True] * 12 + [False] * 6
        ]
        for day in (rng.gauss(0, 0.3) for _ in range(n))
    ]


def test_too_few_to_tell_says_how_many_it_takes() -> None:
    told = kept_or_not(rounds(4, 1.0))
    assert told.gain is None
    assert told.words == "Too few to tell: 48 holes kept and 24 left answered; it takes 30 of each, in 5 rounds."
    assert kept_or_not([]).words.startswith("Too few to tell")


def test_a_gain_by_hand() -> None:
    """Five rounds alike, each a stroke better where it was kept: the gain is 1, and nothing scatters."""
    one = [PlannedHole(True, 5, 5.0)] * 12 + [PlannedHole(False, 6, 5.0)] * 6
    told = kept_or_not([one] * 5)
    assert told.gain is not None
    assert (told.gain.value, told.gain.low, told.gain.high, told.gain.n) == (1.0, 1.0, 1.0, 5)
    assert told.words.startswith("Where the plan was kept you needed 1.00 strokes less a hole, between 1.00 and 1.00.")
    worse = [PlannedHole(not hole.kept, hole.strokes, hole.expected) for hole in one]
    assert kept_or_not([worse] * 5).words.startswith("Where the plan was kept you needed 1.00 strokes more a hole")


def test_the_interval_holds_the_truth_about_nineteen_times_in_twenty() -> None:
    held = 0
    for seed in range(100):
        told = kept_or_not(rounds(12, 0.4, seed))
        assert told.gain is not None
        held += told.gain.low <= 0.4 <= told.gain.high
    assert held >= 87
