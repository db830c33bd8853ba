"""The people, a course and tokens in a database of its own, for services that run as real processes.

Run as a program it fills the data folder that LEAGUE_DATA names and prints what its callers need to know.
"""

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import django
from django.core.management import call_command

from tests.faults.running import PATIENCE, ROOT, environment


@dataclass(frozen=True)
class Seed:
    """`tokens` and `players` by name; `pars` of the holes of `tee`."""

    folder: Path
    tokens: dict[str, str]
    players: dict[str, str]
    tee: str
    pars: list[int]

    def copied_to(self, data: Path) -> Path:
        shutil.copytree(self.folder, data, dirs_exist_ok=True)
        return data


def seed(folder: Path) -> Seed:
    made = subprocess.run(
        [sys.executable, "-m", "tests.faults.seed"], cwd=ROOT, env=environment(folder), capture_output=True, text=True,
        timeout=PATIENCE, check=False,
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    return Seed(folder=folder, **json.loads(made.stdout))


def main() -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "league.config.settings"
    django.setup()
    # Models can be imported only now.
    from league.services import tokens  # noqa: PLC0415
    from tests import build  # noqa: PLC0415

    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)
    people = build.people()
    posting = {"ann": people.ann, "ben": people.ben, "dan": people.dan}
    tee = build.tee(build.course(people.group))
    made = {
        name: tokens.make_token(account=player.account, name="phone", scopes=["read", "write"], days=30)[1]
        for name, player in posting.items()
    }
    told = {
        "tokens": made,
        "players": {name: player.pk.hex for name, player in posting.items()},
        "tee": str(tee.pk),
        "pars": [hole.par for hole in tee.holes.order_by("number")],
    }
    print(json.dumps(told))


if __name__ == "__main__":
    main()
