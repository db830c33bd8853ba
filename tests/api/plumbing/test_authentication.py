from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from league.models import Token
from tests import build


def test_a_token_reads_and_writes(ann, notes):
    assert ann("GET", notes).status_code == 200
    assert ann("POST", notes, '{"name": "x"}').status_code == 201
    assert Token.objects.get().last_used_on == timezone.now().date()


@pytest.mark.parametrize("header", [
    "Bearer", "Bearer ", "Bearer  " + "t" * 43, "Bearer " + "t" * 43 + " ", "Bearer " + "t" * 42, "Token " + "t" * 43,
    "Bearer " + "t" * 43 + "=", "Bearer " + "x" * 43, "Bearer " + "x" * 9000, "Bearer \xe9", "Basic YTpi",
    "Bearer " + "t" * 43 + ", Bearer x",
])  # fmt: skip
def test_other_headers_are_refused_alike(people, token, notes, header):
    token(people.ann)
    answer = Client(headers={"Authorization": header}).get(notes)
    assert (answer.status_code, answer.json()["code"]) == (401, "sign_in_needed")
    assert answer["WWW-Authenticate"]


def test_ended_withdrawn_and_inactive_are_refused(people, token, ann, notes):
    for change in ({"ends_at": timezone.now()}, {"withdrawn_at": timezone.now()}):
        Token.objects.update(ends_at=timezone.now() + timedelta(1), withdrawn_at=None)
        assert ann("GET", notes).status_code == 200
        Token.objects.update(**change)
        assert ann("GET", notes).status_code == 401
    Token.objects.update(ends_at=timezone.now() + timedelta(1), withdrawn_at=None)
    people.ann.account.is_active = False
    people.ann.account.save()
    assert ann("GET", notes).status_code == 401


def test_a_bad_token_is_not_made_good_by_a_session(people, notes):
    browser = build.signed_in(people.ann)
    assert browser.get(notes).status_code == 200
    assert browser.get(notes, headers={"Authorization": "Bearer x"}).status_code == 401


def test_a_token_in_the_address_is_nothing(people, token, client):
    token(people.ann)
    assert client.get("/api/v1/courses/", {"token": "t" * 43}).status_code == 401


def test_scopes_are_kept(people, token, notes, ann):
    Token.objects.update(scopes=["read"])
    assert ann("GET", notes).status_code == 200
    assert ann("HEAD", notes).status_code == 200
    answer = ann("POST", notes, "{")
    assert (answer.status_code, answer.json()["code"]) == (403, "scope_missing")
    Token.objects.update(scopes=["write"])
    refused = ann("GET", notes).json()
    assert refused["code"] == "scope_missing"
    assert refused["detail"] == "This needs a token with the scope `read`."


def test_the_account_is_for_browsers(people, ann):
    assert ann("POST", "/api/v1/account/").json()["code"] == "browser_only"
    assert build.signed_in(people.ann).post("/api/v1/account/").status_code == 204


def test_a_browser_needs_its_csrf_token_in_the_header(people, notes):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(people.ann.account, backend="django.contrib.auth.backends.ModelBackend")
    body = {"data": '{"name": "x"}', "content_type": "application/json"}
    answer = browser.post(notes, **body)
    assert (answer.status_code, answer.json()["code"]) == (403, "csrf")
    browser.cookies["csrf"] = "a" * 32
    assert browser.post(notes, {"csrfmiddlewaretoken": "a" * 32}).json()["code"] == "csrf"
    assert browser.post(notes, headers={"X-CSRFToken": "b" * 32}, **body).json()["code"] == "csrf"
    assert browser.post(notes, headers={"X-CSRFToken": "a" * 32}, **body).status_code == 201


@pytest.mark.parametrize("body", ["{", "[]", "x" * 300_000])
def test_a_stranger_in_a_browser_learns_nothing_from_a_junk_body(people, notes, body):
    browser = Client(enforce_csrf_checks=True, headers={"X-CSRFToken": "a" * 32})
    browser.force_login(people.cat.account, backend="django.contrib.auth.backends.ModelBackend")
    browser.cookies["csrf"] = "a" * 32
    for kind in ("application/json", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"):
        assert browser.post(notes, body, content_type=kind).status_code == 404


def test_a_huge_form_in_a_browser_is_refused_without_being_read(people, notes):
    browser = build.signed_in(people.ann)
    assert browser.post(notes, {"name": "x" * 3_000_000}).status_code == 415


def test_too_many_requests_wait_each_token_for_itself(people, token, ann, cat, notes, monkeypatch):
    monkeypatch.setattr("rest_framework.settings.api_settings.DEFAULT_THROTTLE_RATES", {"user": "3/minute"})
    answers = [ann("GET", notes) for _ in range(4)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
    assert answers[3].json()["code"] == "too_many"
    assert 1 <= int(answers[3]["Retry-After"]) <= 60
    assert cat("GET", "/api/v1/courses/").status_code == 200
