"""What `python3 manage.py test` does once the libraries are there.

Without arguments the whole suite, in parts that run beside one another and are counted together at the end: tests
without a database; those with one, on SQLite and again on PostgreSQL; the pages in Chromium; real programs.
With arguments they go to pytest as they are; `--database=postgresql` among them starts that database first.
"""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

from tests.servers import chromium, postgresql, postgresql_programs

ON_POSTGRESQL = "--database=postgresql"
Needs = dict[str, Callable[[], object]]
BROWSER: Needs = {"chromium": chromium}
POSTGRESQL: Needs = {"postgresql": postgresql_programs}
REDIS: Needs = {"redis-server": lambda: shutil.which("redis-server")}


def main(arguments: list[str]) -> int:
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    if not arguments:
        return whole()
    if any("browser" in argument for argument in arguments):
        provide(BROWSER)
    with ExitStack() as servers:
        if ON_POSTGRESQL in arguments:
            provide(POSTGRESQL)
            os.environ.update(TEST_PART="postgresql", TEST_POSTGRESQL=servers.enter_context(postgresql()))
        return pytest([argument for argument in arguments if argument != ON_POSTGRESQL])


def whole() -> int:
    provide(BROWSER | POSTGRESQL | REDIS)
    parts = [f"--tx=popen//env:TEST_PART={part}" for part in ("pure", "sqlite", "postgresql", "pages", "programs")]
    # Dozens of programs are started: each would have to compile the service anew.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    with postgresql() as address:
        os.environ["TEST_POSTGRESQL"] = address
        return pytest(["--dist=each", "--max-worker-restart=0", "--override-ini=console_output_style=classic", *parts])


def pytest(arguments: list[str]) -> int:
    return subprocess.run([sys.executable, "-m", "pytest", *arguments], check=False).returncode


def provide(needs: Needs) -> None:
    """Installs what is missing, where that is possible; else says what to install."""
    missing = [package for package, find in needs.items() if not find()]
    if not missing:
        return
    packages = [*missing, *(["fonts-dejavu-core"] if "chromium" in missing else [])]
    if os.geteuid() != 0 or not shutil.which("apt-get"):
        sys.exit(f"The tests also need: {' '.join(missing)}. On Debian or Ubuntu: apt-get install {' '.join(packages)}")
    print(f"Installing {' '.join(packages)} ...", file=sys.stderr, flush=True)
    # RUNLEVEL=1: the packages' own services are not started, the tests run theirs.
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "RUNLEVEL": "1"}
    for command in (["update"], ["install", "--yes", "--no-install-recommends", *packages]):
        done = subprocess.run(
            ["apt-get", "-qq", *command], env=environment, capture_output=True, text=True, check=False
        )
        if done.returncode:
            sys.exit(f"apt-get {command[0]} failed: {(done.stderr.strip() or 'no reason given').splitlines()[-1]}")
    still = [package for package, find in needs.items() if not find()]
    if still:
        sys.exit(f"Installed, but not found: {' '.join(still)}")


if __name__ == "__main__":
    os.chdir(Path(__file__).resolve().parents[1])
    sys.exit(main(sys.argv[1:]))
