from argparse import ArgumentParser
from collections.abc import Iterator, Mapping, Sequence

from django.core.management.base import BaseCommand, CommandError

from league.estimates import judgement
from league.estimates.judgement import HISTORIES, OURS, Mark, Verdict
from league.estimates.worlds import WORLDS, golfers

HEADING = (
    f"{'method':<24}{'CRPS':>7}{'static':>8}{'drift':>7}{'log':>7}{'Brier':>8}{'PIT dev':>9}{'cover 80%':>11}"
    f"{'cal. error':>12}   CRPS less ours, 95 %"
)


class Command(BaseCommand):
    help = (
        "Judges the outlook on simulated golfers beside plain methods, all on the same rounds. Lower is better; "
        "the cover should be 0.80. Needs no database."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--players", type=int, default=480, help="simulated golfers in each world (480)")
        parser.add_argument("--seed", type=int, default=101, help="of all that is drawn; 11 was used for tuning (101)")
        parser.add_argument("--world", choices=[*WORLDS, "all"], default="all", help="how wide rounds scatter (all)")

    def handle(self, *args: object, players: int, seed: int, world: str, **options: object) -> None:
        if players < 2:
            raise CommandError("Intervals need at least two players.")
        for name in WORLDS if world == "all" else [world]:
            marks = judgement.judge(golfers(WORLDS[name], seed, players), seed)
            for line in told(name, seed, players, marks):
                self.stdout.write(line)
            self.stdout.flush()


def told(world: str, seed: int, players: int, marks: Mapping[str, Sequence[Mark]]) -> Iterator[str]:
    ours = marks[OURS]
    yield (
        f"World {world}: rounds {WORLDS[world].spread:.2f} times as wide as usual; "
        f"seed {seed}, {players} players, {len(ours)} forecasts"
    )
    yield HEADING
    for name, some in marks.items():
        behind = None if name == OURS else judgement.interval_of_difference(some, ours, seed)
        yield line(name, judgement.verdict(some, behind))
    yield ""
    yield f"{'CRPS by rounds before':<24}" + "".join(f"{f'{low}-{high}':>9}" for low, high in HISTORIES)
    for name, some in marks.items():
        cells = [judgement.crps_between(some, low, high) for low, high in HISTORIES]
        yield f"{name:<24}" + "".join(f"{'-':>9}" if cell is None else f"{cell:9.3f}" for cell in cells)
    yield ""
    yield "chance given, how often it came true, forecasts (ours, next multiple of five)"
    for count, given, came in judgement.reliability(ours):
        yield f"{given:12.3f}{came:23.3f}{count:11}"
    yield ""


def line(name: str, found: Verdict) -> str:
    static, drift = (f"{'-':>8}" if value is None else f"{value:8.3f}" for value in (found.static, found.drift))
    behind = f"   {found.behind[0]:+.3f} to {found.behind[1]:+.3f}" if found.behind else ""
    return (
        f"{name:<24}{found.crps:7.3f}{static}{drift[1:]}{found.log:7.3f}{found.brier:8.4f}{found.pit_deviation:9.3f}"
        f"{found.cover:11.2f}{found.calibration:12.3f}{behind}"
    )
