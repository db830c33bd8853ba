"""The ledger over the API: lines, one revision explained, the file to check, and what the next round would do."""

import json
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import pytest

from league.services import rounds
from league.services.rounds import HoleFacts, RoundFacts
from tests import build

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def people():
    return build.people()


@pytest.fixture
def tee(people):
    return build.tee(build.course(people.group))


def facts(tee, day, over=1, tenth=None):
    holes = tuple(
        HoleFacts(number=hole.number, strokes=tenth if hole.number == 10 and tenth else hole.par + over)
        for hole in tee.holes.all()
    )
    return RoundFacts(tee=tee, played_on=day, holes=holes)


def post(player, tee, day, over=1, tenth=None):
    return rounds.post_round(player=player, facts=facts(tee, day, over, tenth), posted_by=player)


@pytest.fixture
def history(people, tee):
    return [post(people.ann, tee, date(2026, 3, 1) + timedelta(days=7 * week)) for week in range(5)]


def test_the_ledger_lists_every_revision_newest_first(people, history):
    listed = build.signed_in(people.ann).get(f"/api/v1/players/{people.ann.pk}/ledger/").json()
    assert [line["number"] for line in listed["results"]] == [5, 4, 3, 2, 1]
    assert {line["official"] for line in listed["results"]} == {False}
    assert listed["results"][-1]["index"] is None
    assert listed["results"][0]["made_of"] == "lowest 1 of 5"


def test_a_mate_reads_the_lines_and_a_stranger_nothing(people, history):
    address = f"/api/v1/players/{people.ann.pk}/ledger/"
    assert build.signed_in(people.dan).get(address).json()["count"] == 5
    assert build.signed_in(people.ben).get(address).json()["count"] == 5
    assert build.signed_in(people.cat).get(address).status_code == 404


def test_who_shows_the_index_only_keeps_the_lines_from_mates_but_not_from_the_organiser(people, history):
    people.ann.memberships.update(hides_lines=True)
    address = f"/api/v1/players/{people.ann.pk}/ledger/"
    assert build.signed_in(people.dan).get(address).status_code == 403
    assert build.signed_in(people.ben).get(address).status_code == 200
    round_address = f"/api/v1/rounds/{history[0].pk}/"
    assert build.signed_in(people.dan).get(round_address).status_code == 404


def test_a_revision_says_why_in_sentences_and_as_data(people, history):
    told = build.signed_in(people.ann).get(f"/api/v1/players/{people.ann.pk}/ledger/5/").json()
    assert told["explanation"]["k"] == 1
    assert sum(line["counted"] for line in told["explanation"]["window"]) == 1
    assert "5.2a" in told["rules"]
    assert any("5.2a" in sentence for sentence in told["sentences"])
    assert build.signed_in(people.ann).get(f"/api/v1/players/{people.ann.pk}/ledger/99/").status_code == 404


def test_a_mate_is_not_told_what_was_made_on_single_holes(people, tee):
    post(people.ann, tee, date(2026, 3, 1), tenth=14)
    address = f"/api/v1/players/{people.ann.pk}/ledger/1/"
    own = build.signed_in(people.ann).get(address).json()
    assert [hole[0] for hole in own["explanation"]["score"]["capped_holes"]] == [10]
    seen = build.signed_in(people.ben).get(address)
    assert seen.json()["explanation"]["score"]["capped_holes"] == []
    assert "14" not in " ".join(seen.json()["sentences"])


def test_the_ledger_file_is_checked_without_the_database(people, history, tmp_path):
    rounds.correct_round(
        played=history[2], facts=facts(tee_of(history[2]), history[2].played_on, 2), version=1, corrected_by=people.ann
    )
    answer = build.signed_in(people.ann).get(f"/api/v1/players/{people.ann.pk}/ledger/file/")
    assert answer["Content-Disposition"] == 'attachment; filename="ledger.json"'
    taken = tmp_path / "ledger.json"
    taken.write_bytes(answer.content)
    assert verify(taken).returncode == 0
    spoiled = json.loads(answer.content)
    spoiled["revisions"][3]["index"] = "1.1"
    taken.write_text(json.dumps(spoiled))
    found = verify(taken)
    assert found.returncode == 1
    assert "1.1" in found.stdout


def tee_of(played):
    return played.tee


def verify(path):
    """Standard library only: -S leaves out every installed package."""
    command = [sys.executable, "-S", "-m", "league.exchange.verify_ledger", str(path)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


def test_only_those_who_keep_the_cards_take_the_file(people, history):
    for person, status in ((people.dan, 403), (people.ben, 403), (people.cat, 404)):
        answer = build.signed_in(person).get(f"/api/v1/players/{people.ann.pk}/ledger/file/")
        assert answer.status_code == status


def test_the_next_round_moves_the_index_as_it_really_would(people, tee, history):
    client = build.signed_in(people.ann)
    listed = client.get(f"/api/v1/players/{people.ann.pk}/next-time/?tee={tee.pk}").json()["results"]
    par = sum(hole.par for hole in tee.holes.all())
    foretold = {line["gross"]: line["index"] for line in listed}
    card = facts(tee, date(2026, 5, 5))
    played = rounds.post_round(player=people.ann, facts=card, posted_by=people.ann)
    told = client.get(f"/api/v1/rounds/{played.pk}/").json()
    assert foretold[par + 18] == told["index_after"]


def test_next_time_refuses_holes_that_the_tee_does_not_have(people, tee, history):
    address = f"/api/v1/players/{people.ann.pk}/next-time/?tee={tee.pk}&holes_in_play=twice"
    answer = build.signed_in(people.ann).get(address)
    assert (answer.status_code, answer.json()["errors"][0]["code"]) == (400, "holes_in_play")
