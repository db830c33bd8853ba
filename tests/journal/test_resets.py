"""The reset: its words, the mark that it was done, and who can reach either."""

import uuid

import pytest
from django.test import Client

from journal.models import Reset
from league.models import IdempotencyKey, Round, Tee
from league.services import tokens
from tests import build
from tests.journal.conftest import line_of

pytestmark = pytest.mark.django_db
RESETS, ROUTINE = "/api/v1/journal/resets/", "/api/v1/journal/routine/"


def post(client: Client, body: dict[str, object], **headers: str) -> object:
    return client.post(RESETS, body, "application/json", headers=headers)


def test_a_mark_that_arrives_twice_is_one(ann: Client, people: build.People, tee: Tee) -> None:
    line = line_of(people.ann, tee)
    done_at = "2026-05-01T10:00:00Z"
    body = {"client_id": str(uuid.uuid4()), "line": str(line.pk), "round": None, "hole": 7, "done_at": done_at}
    first, second = post(ann, body), post(ann, body)
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.json() == second.json()
    assert (first.json()["hole"], first.json()["line"]) == (7, str(line.pk))
    assert Reset.objects.count() == 1
    changed = post(ann, {**body, "hole": 8})
    assert (changed.status_code, changed.json()["errors"][0]["code"]) == (400, "mark_reused")
    other = build.signed_in(people.dan)
    assert post(other, {"client_id": body["client_id"]}).json()["id"] != first.json()["id"]


def test_the_round_of_a_mark_is_that_of_its_card(ann: Client, people: build.People, tee: Tee, played: Round) -> None:
    line = line_of(people.ann, tee)
    made = post(ann, {"client_id": str(uuid.uuid4()), "line": str(line.pk)}).json()
    assert made["round"] is None
    line.round = played
    line.save()
    assert ann.get(f"{RESETS}{made['id']}/").json()["round"] == str(played.pk)


def test_a_line_or_round_of_somebody_else_is_refused(people: build.People, tee: Tee, played: Round) -> None:
    line = line_of(people.ann, tee)
    for who in (people.dan, people.ben, people.cat):
        for name, row in (("line", line), ("round", played)):
            answer = post(build.signed_in(who), {"client_id": str(uuid.uuid4()), name: str(row.pk)})
            assert (answer.status_code, answer.json()["errors"][0]["field"]) == (400, name)
    assert not Reset.objects.exists()


def test_a_key_keeps_status_and_id_only(ann: Client) -> None:
    body = {"client_id": str(uuid.uuid4()), "hole": 3}
    key = {"Idempotency-Key": "a-reset-on-the-third-hole"}
    first = post(ann, body, **key)
    second = post(ann, body, **key)
    assert second["Idempotency-Replayed"] == "true"
    assert (second.status_code, second.json(), second["Location"]) == (201, first.json(), first["Location"])
    kept = IdempotencyKey.objects.get()
    assert kept.body == f'{{"id":"{first.json()["id"]}"}}'
    assert kept.headers == {}
    assert post(ann, {**body, "hole": 4}, **key).status_code == 422
    ann.delete(f"{RESETS}{first.json()['id']}/")
    assert post(ann, body, **key).status_code == 404


def test_own_words_for_the_reset(ann: Client, people: build.People) -> None:
    usual = ann.get(ROUTINE)
    assert (usual.json()["is_own"], usual.json()["breaths"], usual["ETag"]) == (False, 3, '"0"')
    own = {"sentence": "Out with it.", "breaths": 2}
    assert ann.patch(ROUTINE, own, "application/json").status_code == 428
    stored = ann.patch(ROUTINE, own, "application/json", headers={"If-Match": usual["ETag"]})
    assert stored.json() == {**own, "is_own": True, "version": 1}
    assert ann.get(ROUTINE).json() == stored.json()
    stale = ann.patch(ROUTINE, {"breaths": 1}, "application/json", headers={"If-Match": usual["ETag"]})
    assert (stale.status_code, stale.json()["stored"]["sentence"]) == (412, "Out with it.")
    assert build.signed_in(people.dan).get(ROUTINE).json()["is_own"] is False


def test_only_a_token_that_was_made_for_it_opens_the_journal(people: build.People) -> None:
    def asked(*scopes: str) -> int:
        value = tokens.make_token(account=people.ann.account, name="phone", scopes=list(scopes), days=1)[1]
        return Client().get(ROUTINE, headers={"Authorization": f"Bearer {value}"}).status_code

    assert [asked("read"), asked("read", "write"), asked("journal"), asked("read", "journal")] == [403, 403, 200, 200]


def test_a_mark_made_by_page_is_taken_back_and_leads_to_its_card(ann: Client, people: build.People, tee: Tee) -> None:
    line = line_of(people.ann, tee)
    page = f"/journal/reset/?line={line.pk}&hole=7"
    answer = ann.post(page, {"client_id": str(uuid.uuid4()), "hole": "7"})
    made = Reset.objects.get()
    assert (made.line, made.hole) == (line, 7)
    shown = ann.get(answer["Location"]).content.decode()
    assert f'href="/cards/{line.card_id}/?hole=7"' in shown
    drop = f"/journal/reset/{made.pk}/drop/"
    assert drop in shown
    assert build.signed_in(people.dan).post(drop).status_code == 404
    back = ann.post(drop)
    assert (back.status_code, Reset.objects.count()) == (303, 0)
    assert ">Done<" in ann.get(back["Location"]).content.decode()
    assert drop not in ann.get(answer["Location"]).content.decode()
