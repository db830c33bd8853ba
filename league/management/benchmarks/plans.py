"""A whole plan of eighteen holes, each described with trouble, from a full carry book: what a player waits for."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from league.estimates.advice import advice_for
from league.estimates.carries import carries_of, starter_set
from league.estimates.conditions import Conditions
from league.estimates.outlook import Ground, Level, predict
from league.estimates.plan import HoleToPlan, Known, plan_for
from league.estimates.plan_chance import beside_outlook
from league.estimates.tee_shots import best_tee_shot
from league.management.benchmarks.lines import Figure, Line, Target, interleaved
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width
from league.rules.printed import YARDS
from league.rules.scorecard import Hole

LENGTHS = (367, 405, 165, 508, 346, 420, 147, 493, 390)
PARS = (4, 4, 3, 5, 4, 4, 3, 5, 4)
LEVEL = 19.0
BARRIER = 90
MOST_MS = 150


@dataclass(frozen=True)
class Sizes:
    passes: int = 9


def plan(sizes: Sizes) -> Iterable[Line]:
    """The arithmetic alone: reading what is known and storing the plan are not in it."""
    known = _known()
    score, ground = predict(Level(n=12), date(2024, 5, 1)), Ground(71.2, 125)

    def whole() -> None:
        advice = advice_for(known)
        savings = [one.tee.saves for one in advice.values() if one.tee]
        plan_for(BARRIER, known, advice, chance=beside_outlook(score, ground, BARRIER, savings))

    taken = interleaved(sizes.passes, {"whole": whole, "tee": lambda: _tee_shots(known)})
    figures = [
        Figure("ms", [1000 * one for one in taken["whole"]], Target(at_most=MOST_MS)),
        Figure("tee_shots_ms", [1000 * one for one in taken["tee"]]),
    ]
    yield Line("plan18", figures, "four pieces of trouble a hole, nine clubs")


def _tee_shots(known: Known) -> None:
    for one in known.holes:
        if one.length is not None:
            best_tee_shot(one.described, one.length, one.hole.par, known.carries, LEVEL, one.conditions, known.unit)


def _known() -> Known:
    carries = carries_of([(club, ()) for club in starter_set(204)], LEVEL)
    return Known(holes=tuple(map(_hole, range(1, 19))), unit=YARDS, carries=carries, level=LEVEL, liked=80)


def _hole(number: int) -> HoleToPlan:
    par, length = PARS[(number - 1) % 9], LENGTHS[(number - 1) % 9]
    bends = number % 3 == 0 and par > 3
    described = Described(
        number=number,
        trouble=(
            Trouble(TroubleKind.PENALTY_AREA, Side.RIGHT, 150 + 5 * number, 260, off_line=20),
            Trouble(TroubleKind.OUT_OF_BOUNDS, Side.LEFT, 0, length, off_line=35),
            Trouble(TroubleKind.BUNKER, Side.LEFT, -12, 10, off_line=12, depth=8, counted_from=CountedFrom.GREEN),
            Trouble(TroubleKind.PENALTY_AREA, Side.ACROSS, -45, -30, counted_from=CountedFrom.GREEN),
        ),
        widths=(Width(150, 45), Width(220, 35)),
        green_depth=28,
        green_width=24,
        bend_to=Side.RIGHT if bends else None,
        bend_at=210 if bends else None,
    )
    conditions = Conditions(temperature_c=12, wind_speed="moderate", wind_from="left")
    return HoleToPlan(
        hole=Hole(number=number, par=par, stroke_index=number),
        length=length,
        described=described,
        conditions=conditions,
    )
