"""A POST is done once for each key. The races use real threads and real commits."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection, connections
from django.utils import timezone

from league.models import Group, IdempotencyKey
from league.services.once import KEPT_FOR, forget_old_keys
from tests import build
from tests.api.plumbing.conftest import Caller

KEY = "0123456789abcdef"
BODY = '{"name": "x", "index": 18.0}'


def test_the_same_request_is_answered_the_same_to_the_byte(ann, notes):
    first, second = (ann("POST", notes, BODY, Idempotency_Key=KEY) for _ in range(2))
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.content == second.content
    assert first["Location"] == second["Location"]
    assert (first.get("Idempotency-Replayed"), second["Idempotency-Replayed"]) == (None, "true")
    assert Group.objects.filter(name="x").count() == 1


def test_spacing_order_and_spelling_of_numbers_do_not_count(ann, notes):
    first = ann("POST", notes, BODY, Idempotency_Key=KEY)
    second = ann("POST", notes, '{ "index":18,\n"name":"\\u0078" }', Idempotency_Key=f'"{KEY}"')
    assert first.content == second.content


def test_another_body_is_refused(ann, notes):
    ann("POST", notes, BODY, Idempotency_Key=KEY)
    answer = ann("POST", notes, '{"name": "y"}', Idempotency_Key=KEY)
    assert (answer.status_code, answer.json()["code"]) == (422, "key_reused")
    assert not Group.objects.filter(name="y").exists()


def test_the_key_of_another_person_or_address_is_another_key(people, token, ann, cat, notes):
    ann("POST", notes, BODY, Idempotency_Key=KEY)
    hers = notes.replace(str(people.ann.pk), str(people.cat.pk))
    assert cat("POST", hers, '{"name": "y"}', Idempotency_Key=KEY).status_code == 201
    eves = notes.replace(str(people.ann.pk), str(people.eve.pk))
    assert ann("POST", eves, '{"name": "z"}', Idempotency_Key=KEY).status_code == 201
    assert IdempotencyKey.objects.count() == 3


@pytest.mark.parametrize("key", ["", "a" * 15, "a" * 65, "k" * 10_000, "ä" * 16, f'"{KEY}', f"{KEY}, {KEY}", "a b" * 8])
def test_other_keys_are_refused(ann, notes, key):
    answer = ann("POST", notes, BODY, Idempotency_Key=key)
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_key")
    assert not Group.objects.filter(name="x").exists()


@pytest.mark.parametrize("name", ["", "rules", "refused", "locked", "bug"])
def test_a_refusal_keeps_no_key(ann, notes, name):
    assert ann("POST", notes, json.dumps({"name": name}), Idempotency_Key=KEY).status_code >= 400
    assert not IdempotencyKey.objects.exists()
    assert ann("POST", notes, BODY, Idempotency_Key=KEY).status_code == 201


def test_the_door_is_passed_again_before_a_replay(people, ann, notes):
    eves = notes.replace(str(people.ann.pk), str(people.eve.pk))
    assert ann("POST", eves, BODY, Idempotency_Key=KEY).status_code == 201
    people.eve.memberships.update(left_at=timezone.now())
    assert ann("POST", eves, BODY, Idempotency_Key=KEY).status_code == 404


def test_without_a_key_each_one_counts(ann, notes):
    for _ in range(2):
        assert ann("POST", notes, BODY).status_code == 201
    assert Group.objects.filter(name="x").count() == 2


def test_old_keys_are_forgotten(ann, notes):
    ann("POST", notes, BODY, Idempotency_Key=KEY)
    now = timezone.now()
    assert forget_old_keys(now=now + KEPT_FOR - timedelta(hours=1)) == 0
    assert forget_old_keys(now=now + KEPT_FOR + timedelta(hours=1)) == 1


def at_once(n, ask):
    """n threads that start together, each with its own connection."""
    start = Barrier(n)

    def run(number):
        try:
            start.wait()
            return ask(number)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(n) as threads:
        return list(threads.map(run, range(n)))


@pytest.mark.django_db(transaction=True)
def test_copies_sent_at_the_same_moment_are_done_once(token):
    people = build.people()
    token(people.ann)
    notes = f"/api/v1/players/{people.ann.pk}/notes/"
    keys = [f"{KEY}{n}" for n in range(3)]

    def ask(number):
        key = keys[number % 3]
        return key, Caller()("POST", notes, json.dumps({"name": key}), Idempotency_Key=key)

    answers = at_once(12, ask)
    assert {answer.status_code for _, answer in answers} == {201}
    for key in keys:
        assert len({answer.content for sent, answer in answers if sent == key}) == 1
        assert sum(not answer.has_header("Idempotency-Replayed") for sent, answer in answers if sent == key) == 1
        assert Group.objects.filter(name=key).count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_two_bodies_under_one_key_one_is_stored(token):
    people = build.people()
    token(people.ann)
    notes = f"/api/v1/players/{people.ann.pk}/notes/"

    def ask(number):
        return Caller()("POST", notes, json.dumps({"name": f"n{number}"}), Idempotency_Key=KEY)

    answers = at_once(6, ask)
    assert sorted(answer.status_code for answer in answers) == [201, 422, 422, 422, 422, 422]
    assert Group.objects.filter(name__startswith="n").count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_second_one_waits_and_is_then_told_to_come_again(token, monkeypatch):
    """The first transaction still runs when the wait is over."""
    people = build.people()
    token(people.ann)
    notes = f"/api/v1/players/{people.ann.pk}/notes/"
    monkeypatch.setattr("league.services.once.WAIT_SECONDS", 1)
    started, may_end = Barrier(2), Barrier(2)
    monkeypatch.setattr("tests.api.plumbing.addresses.PAUSES", [(started, may_end)])

    def ask(number):
        if number:
            started.wait()
            if connection.vendor == "sqlite":
                with connection.cursor() as cursor:
                    cursor.execute("PRAGMA busy_timeout = 1000")
        answer = Caller()("POST", notes, BODY, Idempotency_Key=KEY)
        if number:
            may_end.wait()
        return answer

    first, second = at_once(2, ask)
    assert first.status_code == 201
    # SQLite knows one lock for everything, so it cannot tell whose turn it waits for.
    told = {"postgresql": (409, "key_busy"), "sqlite": (503, "busy")}[connection.vendor]
    assert (second.status_code, second.json()["code"]) == told
    assert int(second["Retry-After"]) > 0
    assert Group.objects.filter(name="x").count() == 1
