"""Work that is killed at every statement in turn: nothing is half done, and in the end it is done once."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.posting import half_stored, ledger_check
from tests.faults.running import PATIENCE, ROOT, environment, rows
from tests.faults.seed import Seed


@pytest.fixture
def data(seeded: Seed, tmp_path: Path) -> Path:
    return seeded.copied_to(tmp_path / "data")


def cut_short(data: Path, work: str) -> int:
    """How often it was killed before it got through."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.cut_short", work], cwd=ROOT, env=environment(data), capture_output=True,
        text=True, timeout=3 * PATIENCE, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return int(done.stdout)


def test_a_post_is_stored_once_and_its_outlook_follows(data: Path) -> None:
    assert cut_short(data, "post") > 15
    assert rows(data, "SELECT ref FROM league_round") == [("cut short",)]
    assert rows(data, "SELECT status FROM league_idempotencykey") == [(201,)]
    assert rows(data, "SELECT * FROM league_outlook") == []
    assert cut_short(data, "refresh_due_outlooks") > 5
    known = rows(
        data, "SELECT o.last_number, s.last_number FROM league_outlook o JOIN league_standing s USING (player_id)"
    )
    assert known == [(1, 1)]
    # The first judgement comes as soon as nothing is due; after that there is nothing left to do.
    assert cut_short(data, "refresh_due_outlooks") > 1
    assert rows(data, "SELECT n_rounds FROM league_judgement WHERE group_id IS NULL") == [(0,)]
    assert cut_short(data, "refresh_due_outlooks") <= 2
    code, said = ledger_check(data, environment(data))
    assert code == 0, said


def test_people_are_erased_once_each(data: Path) -> None:
    cut_short(data, "post")
    rows(data, "UPDATE league_account SET erase_due_at = '2026-01-01' WHERE email LIKE 'ann%' OR email LIKE 'dan%'")
    assert cut_short(data, "erase_who_is_due") > 40
    assert rows(data, "SELECT count(*), count(DISTINCT player_number), count(done_at) FROM league_erasure") == [
        (2, 2, 2)
    ]
    assert rows(data, "SELECT name FROM league_player WHERE name IN ('Ann', 'Dan')") == []
    for table in ("round", "cardevent", "revision", "standing", "idempotencykey"):
        assert rows(data, f"SELECT * FROM league_{table}") == []
    assert half_stored(data) == []
