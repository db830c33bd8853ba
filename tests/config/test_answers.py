import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import RequestFactory

from league.config import health
from league.config.middleware import NamedProxy, Private, RequestId


@pytest.mark.django_db
def test_it_is_healthy_when_the_tables_are_there(client):
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (200, b"ready\n")
    assert answer.cookies == {}


@pytest.mark.django_db
def test_it_is_not_healthy_before_the_migrations(client, monkeypatch):
    monkeypatch.setattr(health, "MIGRATED", set())
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'sessions'")
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (503, b"not ready\n")
    assert answer["Retry-After"]


@pytest.mark.django_db
def test_every_answer_has_an_id_made_here(client):
    first = client.get("/healthz", headers={"X-Request-ID": "forged"})["X-Request-ID"]
    second = client.get("/healthz")["X-Request-ID"]
    assert len({first, second, "forged"}) == 3


@pytest.mark.django_db
def test_every_answer_is_protected_and_private(client):
    answer = client.get("/healthz")
    assert answer["Cache-Control"] == "private, no-store"
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert "unsafe" not in answer["Content-Security-Policy"]
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Referrer-Policy"] == "same-origin"


def test_an_answer_that_says_how_long_it_may_be_kept_keeps_that():
    said = HttpResponse(headers={"Cache-Control": "max-age=60"})
    assert Private(lambda _: said)(RequestFactory().get("/"))["Cache-Control"] == "max-age=60"


@pytest.mark.parametrize(
    ("proxies", "forwarded", "seen"),
    [
        ([], "203.0.113.9", "192.0.2.1"),
        (["192.0.2.1"], "203.0.113.9", "203.0.113.9"),
        (["192.0.2.1"], "198.51.100.7, 203.0.113.9", "203.0.113.9"),
        (["192.0.2.1", "192.0.2.2"], "203.0.113.9, 192.0.2.2", "203.0.113.9"),
        (["192.0.2.1"], "", "192.0.2.1"),
    ],
)
def test_the_client_is_who_the_named_proxy_says(settings, proxies, forwarded, seen):
    settings.PROXIES = proxies
    request = RequestFactory().get("/", headers={"X-Forwarded-For": forwarded}, REMOTE_ADDR="192.0.2.1")
    NamedProxy(lambda _: HttpResponse())(request)
    assert request.META["REMOTE_ADDR"] == seen


def test_the_id_is_on_the_answer_of_whatever_lies_below():
    assert RequestId(lambda _: HttpResponse(status=418))(RequestFactory().get("/"))["X-Request-ID"]


@pytest.mark.django_db(transaction=True)
def test_a_database_that_might_lose_cards_is_named():
    # The PostgreSQL of these tests runs without fsync, for speed.
    if connection.vendor == "postgresql":
        assert "fsync = off" in health.durability_fault()
        return
    assert health.durability_fault() is None
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA synchronous=NORMAL")
        try:
            assert "synchronous = 1" in health.durability_fault()
        finally:
            cursor.execute("PRAGMA synchronous=FULL")
