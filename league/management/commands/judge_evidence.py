from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from random import Random
from statistics import fmean

from django.core.management.base import BaseCommand, CommandError

from league.estimates.estimate import Estimate
from league.estimates.evidence import FALSE_ALARMS, carry_over, reset_use
from league.estimates.simulated_groups import SimulatedRound, bad_holes, draw_group, naive_chart, residuals_of

TILTS = (0.0, 0.1, 0.2, 0.3, 0.5)
ROUNDS = (50, 100, 200, 400)
RELIEFS = (0.0, 0.5)
TILT_OF_RESETS = 0.5

Told = tuple[float, Estimate]
"""Share of shuffles with as much, and the effect."""


class Command(BaseCommand):
    help = (
        "How often the shuffle tests call what is not there, and notice what is, in simulated groups. "
        "Needs no database. With 100 groups a share is known to about ±.10 (two standard errors)."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--groups", type=int, default=100, help="simulated groups in each cell (100)")
        parser.add_argument("--shuffles", type=int, default=200, help="shuffles of each test (200)")
        parser.add_argument("--seed", type=int, default=7, help="of all that is drawn (7)")
        parser.add_argument("--rounds", type=int, nargs="+", default=ROUNDS, help="rounds of a group (50 100 200 400)")

    def handle(
        self, *args: object, groups: int, shuffles: int, seed: int, rounds: list[int], **options: object
    ) -> None:
        if groups < 2 or shuffles < 20 or min(rounds) < 3:
            raise CommandError("At least two groups, twenty shuffles, three rounds.")
        for line in lines(groups, shuffles, seed, rounds):
            self.stdout.write(line)
            self.stdout.flush()


def lines(groups: int, shuffles: int, seed: int, rounds: list[int]) -> Iterator[str]:
    yield f"Seed {seed}, {groups} groups a cell, {shuffles} shuffles; called at {FALSE_ALARMS:.2f}"
    yield f"{'a bad hole carries over':<28}{'rounds':>7}{'called':>8}{'effect':>8}{'plain chart':>13}"
    for tilt in TILTS:
        for n in rounds:
            drawn = _groups(groups, seed, n, tilt)
            found = [carry_over(residuals_of(group), seed, shuffles) for group in drawn]
            told = [(one.share_by_chance, one.effect) for one in found if one is not None]
            chart = fmean(naive_chart(group) for group in drawn)
            yield f"{f'truth {tilt:.1f} strokes':<28}{n:>7}{_called(told, groups)}{_effect(told)}{chart:+13.2f}"
    yield ""
    yield f"{'a reset takes off':<28}{'rounds':>7}{'called':>8}{'effect':>8}"
    for relief in RELIEFS:
        for n in rounds:
            drawn = _groups(groups, seed, n, TILT_OF_RESETS, relief)
            uses = [reset_use(n, bad_holes(group), seed, shuffles) for group in drawn]
            told = [(use.share_by_chance, use.effect) for use in uses if use.effect and use.share_by_chance is not None]
            name = f"truth {relief:.1f} of {TILT_OF_RESETS:.1f} strokes"
            yield f"{name:<28}{n:>7}{_called(told, groups)}{_effect(told)}"


def _groups(groups: int, seed: int, n: int, tilt: float, relief: float = 0.0) -> list[list[SimulatedRound]]:
    return [draw_group(Random(f"{seed} {n} {tilt} {relief} {number}"), n, tilt, relief) for number in range(groups)]


def _called(told: Sequence[Told], groups: int) -> str:
    """Of all groups, those with too little for a number among them."""
    return f"{sum(share < FALSE_ALARMS for share, _ in told) / groups:8.2f}"


def _effect(told: Sequence[Told]) -> str:
    return f"{fmean(effect.value for _, effect in told):+8.2f}" if told else f"{'–':>8}"
