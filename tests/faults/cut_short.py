"""Work that is killed, by itself and hard, just before its n-th statement: for every n until it gets through.

Run as a program on a filled data folder: `python -m tests.faults.cut_short WORK`. Each try is a process of its own; it
prints how many tries were killed. `league.tasks.*` run as the worker runs them, the rest as a request would.
"""

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import django


def killed_before(n: int) -> Callable[..., Any]:
    asked = 0

    def wrapper(execute: Callable[..., Any], sql: str, parameters: Any, many: bool, context: Any) -> Any:
        nonlocal asked
        asked += 1
        if asked == n:
            os.kill(os.getpid(), signal.SIGKILL)
        return execute(sql, parameters, many, context)

    return wrapper


def works() -> dict[str, Callable[[], object]]:
    # Models can be imported only once Django is set up.
    from league import tasks  # noqa: PLC0415
    from league.models import Player, Tee  # noqa: PLC0415
    from league.services import once, rounds  # noqa: PLC0415
    from tests.faults.posting import LAST_DAY  # noqa: PLC0415

    def post() -> None:
        player, tee = Player.objects.select_related("account").get(name="Ann"), Tee.objects.get()
        holes = tuple(rounds.HoleFacts(number=hole.number, strokes=hole.par + 1) for hole in tee.holes.all())
        facts = rounds.RoundFacts(tee=tee, played_on=LAST_DAY, holes=holes, ref="cut short")
        sent = once.SentKey(player.account, "POST", "/api/v1/rounds/", "0123456789abcdef", "f")

        def act() -> once.StoredAnswer:
            return once.StoredAnswer(201, "{}", {}, rounds.post_round(player=player, facts=facts, posted_by=player))

        once.run_once(sent=sent, act=act)

    return {
        "post": post,
        "refresh_due_outlooks": tasks.refresh_due_outlooks,
        "erase_who_is_due": tasks.erase_who_is_due,
    }


def main() -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "league.config.settings"
    django.setup()
    from django.db import connection  # noqa: PLC0415

    from tests.faults.posting import half_stored  # noqa: PLC0415

    work, data = works()[sys.argv[1]], Path(os.environ["LEAGUE_DATA"])
    n = 0
    while True:
        n += 1
        child = os.fork()
        if child == 0:
            with connection.execute_wrapper(killed_before(n)):
                work()
            os._exit(0)
        status = os.waitpid(child, 0)[1]
        half = half_stored(data)
        if half:
            sys.exit(f"killed before statement {n}: {half}")
        if os.WIFEXITED(status):
            break
    print(n - 1)
    sys.exit(os.WEXITSTATUS(status))


if __name__ == "__main__":
    main()
