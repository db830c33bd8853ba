import os
import platform
import signal
from argparse import SUPPRESS, ArgumentParser
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from importlib.metadata import version

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from league.management.benchmarks import apart, engine, imports, outlooks, pages, plans, post
from league.management.benchmarks.lines import Line
from league.models import Player

LIBRARIES = ("django", "djangorestframework", "gunicorn", "pandas")


@dataclass(frozen=True)
class Part:
    """Something to measure, at full size and at one that only shows that it runs."""

    full: Callable[[], Iterable[Line]]
    quick: Callable[[], Iterable[Line]]
    is_apart: bool = False


FEW_ROUNDS = engine.Sizes(
    exact_players=20,
    exact_records=2,
    rebuild_players=4,
    reasons_players=2,
    long_record=60,
    longest_record=300,
    appended=10,
    passes=2,
)
FEW_POSTS = post.Sizes(members=2, history=12, short_history=5, long_history=25, posts_a_pass=6, passes=2)
FEW_ROWS = imports.Sizes(parsed=50, stored=40, players=2, passes=1)
FEW_LINES = pages.Sizes(revisions=25, members=5)
FEW_PLANS = plans.Sizes(passes=2)
FEW_PLAYERS = outlooks.Sizes(players=5, rounds=12, passes=2)

PARTS: Mapping[str, Part] = {
    "exact": Part(lambda: engine.exact(engine.Sizes()), lambda: engine.exact(FEW_ROUNDS)),
    "rebuild": Part(lambda: engine.rebuild(engine.Sizes()), lambda: engine.rebuild(FEW_ROUNDS)),
    "replay1000": Part(lambda: engine.long_record(engine.Sizes()), lambda: engine.long_record(FEW_ROUNDS)),
    "append": Part(lambda: engine.append(engine.Sizes()), lambda: engine.append(FEW_ROUNDS)),
    "post": Part(lambda: post.post(post.Sizes()), lambda: post.post(FEW_POSTS), is_apart=True),
    "import": Part(lambda: imports.past_rounds(imports.Sizes()), lambda: imports.past_rounds(FEW_ROWS), is_apart=True),
    "forecast": Part(lambda: outlooks.forecast(outlooks.Sizes()), lambda: outlooks.forecast(FEW_PLAYERS)),
    "plan": Part(lambda: plans.plan(plans.Sizes()), lambda: plans.plan(FEW_PLANS)),
    "dashboard": Part(
        lambda: outlooks.dashboard(outlooks.Sizes()), lambda: outlooks.dashboard(FEW_PLAYERS), is_apart=True
    ),
    "pages": Part(lambda: pages.weights(pages.Sizes()), lambda: pages.weights(FEW_LINES), is_apart=True),
}


class Command(BaseCommand):
    help = (
        "Measures speed against floors taken in the same run; only the ratios carry over to another machine. "
        "Ends with 1 if a number of the rules comes out wrong, else with 0."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("names", nargs="*", metavar="name", help=f"what to measure: {', '.join(PARTS)}")
        parser.add_argument(
            "--quick", action="store_true", help="small sizes: shows that it runs, says little of speed"
        )
        parser.add_argument("--inside", action="store_true", help=SUPPRESS)

    def handle(self, *args: object, names: list[str], quick: bool, inside: bool, **options: object) -> None:
        unknown = [name for name in names if name not in PARTS]
        if unknown:
            raise CommandError(f"There is no benchmark “{unknown[0]}”; choose from {', '.join(PARTS)}.")
        if inside:
            self._measure_here(names, quick)
            return
        self.stdout.write(header(quick))
        is_wrong = False
        for name in names or PARTS:
            part = PARTS[name]
            if part.is_apart:
                for text in apart.lines_of([name, *(["--quick"] if quick else [])]):
                    self._tell(text)
                continue
            for line in (part.quick if quick else part.full)():
                self._tell(str(line))
                is_wrong = is_wrong or line.is_wrong
        if is_wrong:
            raise SystemExit(1)

    def _tell(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()

    def _measure_here(self, names: list[str], quick: bool) -> None:
        """What `apart` starts, in a database that was made for it."""
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        call_command("migrate", interactive=False, verbosity=0)
        if Player.objects.exists():
            raise CommandError("This database is in use; nothing was measured in it.")
        call_command("createcachetable", verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        for name in names:
            for line in (PARTS[name].quick if quick else PARTS[name].full)():
                self._tell(str(line))


def header(quick: bool) -> str:
    """What the numbers were taken on."""
    versions = [f"{name}={version(name)}" for name in LIBRARIES]
    return "  ".join(
        [
            f"cores={os.cpu_count()}",
            f"python={platform.python_version()}",
            *versions,
            f"database={connection.vendor}",
            f"size={'quick' if quick else 'full'}",
            "median (min-max, target: verdict)",
        ]
    )
