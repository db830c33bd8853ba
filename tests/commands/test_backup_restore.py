"""The drill: a backup, a week goes by, the backup is brought back. Real commands on a database file of their own."""

import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from textwrap import dedent

import pytest

from tests.faults.running import ROOT, environment

SET_UP = """
    from datetime import date
    from django.contrib.sessions.models import Session
    from django.utils import timezone
    from league.models import *
    from league.services import leaving, rounds, tokens
    from tests import build
"""
BEFORE = """
    people = build.people()
    tee = build.tee(build.course(people.group))
    for player in (people.ann, people.dan, people.eve):
        for day in (3, 10, 17):
            facts = rounds.RoundFacts(tee=tee, played_on=date(2025, 5, day), gross=90 + day)
            rounds.post_round(player=player, facts=facts, posted_by=player)
    now = timezone.now()
    Session.objects.create(session_key="open", session_data="", expire_date=now)
    SignIn.objects.create(account=people.ben.account, session_key="open", created_at=now, last_seen_at=now)
    tokens.make_token(account=people.ben.account, name="script", scopes=["read"], days=7)
    print(json.dumps({name: str(getattr(people, name).pk) for name in ("ann", "ben", "dan", "eve")}))
"""
SINCE = """
    ann, ben, dan, eve = (Player.objects.get(pk=ids[name]) for name in ("ann", "ben", "dan", "eve"))
    leaving.erase_due(now=leaving.ask_to_erase(account=ann.account))
    leaving.erase_guest(player=eve, actor=ben)
    leaving.ask_to_erase(account=dan.account)
    facts = rounds.RoundFacts(tee=Tee.objects.get(), played_on=date(2025, 6, 1), gross=99)
    rounds.post_round(player=ben, facts=facts, posted_by=ben)
"""
LOOK = """
    print(json.dumps({
        "rounds": {name: Round.objects.filter(player=ids[name]).count() for name in ids},
        "names": {name: Player.objects.get(pk=ids[name]).name for name in ids},
        "ledgers": {name: Revision.objects.filter(player=ids[name]).count() for name in ids},
        "dan asked": Account.objects.get(player=ids["dan"]).erase_due_at is not None,
        "addresses": sorted(account.email.split("@")[0].rstrip("0123456789") for account in Account.objects.all()),
        "sign-ins": SignIn.objects.count() + Session.objects.count(),
        "tokens": Token.objects.filter(withdrawn_at=None).count(),
    }))
"""


class Place:
    """A data folder, and the commands run on it."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.database = data / "league.sqlite3"

    def run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        extra = {"DJANGO_SETTINGS_MODULE": "league.config.settings", "PYTHONPATH": str(ROOT)}
        return subprocess.run(
            [sys.executable, *arguments], env=environment(self.data, **extra), cwd=ROOT,
            capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip

    def command(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        return self.run("-m", "django", *arguments)

    def script(self, body: str, ids: object = None) -> object:
        start = f"import django, json; django.setup(); ids = json.loads({json.dumps(json.dumps(ids))})\n"
        done = self.run("-c", start + dedent(SET_UP) + dedent(body))
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout) if done.stdout else None


@pytest.fixture
def place(tmp_path):
    made = Place(tmp_path / "data")
    made.data.mkdir()
    assert made.command("migrate", "-v0").returncode == 0
    return made


def test_the_drill(place, tmp_path):
    ids = place.script(BEFORE)
    backup = tmp_path / "backup.sqlite3"
    done = place.command("backup", str(backup))
    assert (done.returncode, done.stderr) == (0, "")
    assert "checked" in done.stdout
    assert os.stat(backup).st_mode & 0o777 == 0o600
    assert sorted(file.name for file in tmp_path.iterdir()) == ["backup.sqlite3", "data"]
    place.script(SINCE, ids)

    done = place.command("restore", str(backup))
    assert (done.returncode, done.stderr) == (0, "")
    assert "rounds 3, revisions 3. Erased again: 2. Sign-ins ended: 1, tokens: 1. Differences: 0." in done.stdout
    assert place.script(LOOK, ids) == {
        "rounds": {"ann": 0, "ben": 0, "dan": 3, "eve": 0},
        "names": {"ann": "former player", "ben": "Ben", "dan": "Dan", "eve": "former player"},
        "ledgers": {"ann": 0, "ben": 0, "dan": 3, "eve": 0},
        "dan asked": True,
        "addresses": ["ben", "cat", "dan"],
        "sign-ins": 0,
        "tokens": 0,
    }
    assert place.command("rebuild_handicaps", "--check").returncode == 0
    kept = [file for file in place.data.iterdir() if ".before-" in file.name]
    assert len(kept) == 1
    with closing(sqlite3.connect(kept[0])) as before:
        assert before.execute("SELECT count(*) FROM league_round").fetchone() == (4,)
    assert not list(place.data.glob("*.restoring*"))


def test_a_lost_database_comes_back(place, tmp_path):
    place.script(BEFORE)
    backup = tmp_path / "backup.sqlite3"
    place.command("backup", str(backup))
    for file in place.data.glob("league.sqlite3*"):
        file.unlink()
    done = place.command("restore", str(backup))
    assert (done.returncode, done.stderr) == (0, "")
    assert "rounds 9, revisions 9. Erased again: 0." in done.stdout


def test_what_is_no_fit_backup_is_refused_and_changes_nothing(place, tmp_path):
    place.script(BEFORE)
    backup = tmp_path / "backup.sqlite3"
    place.command("backup", str(backup))
    assert "never overwrites" in place.command("backup", str(backup)).stderr

    newer, other, damaged = (tmp_path / name for name in ("newer", "other", "damaged"))
    newer.write_bytes(backup.read_bytes())
    with closing(sqlite3.connect(newer)) as copy:
        copy.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('league', '9999_later', '2030-01-01')")
        copy.commit()
    other.write_text("not a database", encoding="utf-8")
    content = bytearray(backup.read_bytes())
    content[len(content) // 2 :] = os.urandom(len(content) - len(content) // 2)
    damaged.write_bytes(content)
    before = place.database.read_bytes()
    for file, words in (
        (newer, "newer release (league 9999_later)"),
        (other, "not a backup"),
        (tmp_path / "gone", "no file"),
    ):
        done = place.command("restore", str(file))
        assert done.returncode == 1
        assert words in done.stderr
    done = place.command("restore", str(damaged))
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert place.database.read_bytes() == before


def test_a_restore_that_finds_a_difference_says_so(place, tmp_path):
    place.script(BEFORE)
    with closing(sqlite3.connect(place.database)) as database:
        database.execute("UPDATE league_standing SET index_tenths = 1")
        database.commit()
    backup = tmp_path / "backup.sqlite3"
    place.command("backup", str(backup))
    done = place.command("restore", str(backup))
    assert done.returncode == 1
    assert "run rebuild_handicaps" in done.stderr
    assert place.command("rebuild_handicaps").returncode == 0


def test_on_postgresql_its_own_tools_are_named(place, tmp_path):
    """The address leads nowhere: nothing is connected to."""
    extra = {
        "DJANGO_SETTINGS_MODULE": "league.config.settings",
        "LEAGUE_DATABASE_URL": "postgresql://u:p@127.0.0.1:1/db",
    }
    for command, tool in (("backup", "pg_dump"), ("restore", "pg_restore")):
        done = subprocess.run(
            [sys.executable, "-m", "django", command, str(tmp_path / "file")],
            env=environment(place.data, **extra), cwd=ROOT, capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip
        assert done.returncode == 1
        assert tool in done.stderr
        assert "p@127" not in done.stderr
