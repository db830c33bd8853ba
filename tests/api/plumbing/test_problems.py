import ast
import errno
import json
import logging
import sqlite3
from pathlib import Path

import psycopg
import pytest
from django.core.exceptions import RequestDataTooBig, SuspiciousOperation
from django.db import DataError, InterfaceError, OperationalError

from league.api.codes import CODES, FIELD_CODES
from league.api.errors import Problem, problem_for, type_of
from league.services.errors import Refused
from tests.api.plumbing.addresses import FAULTS

LEAGUE = Path(__file__).resolve().parents[3] / "league"


def post(ask, notes, name):
    answer = ask("POST", notes, json.dumps({"name": name}))
    assert answer["Content-Type"] == "application/problem+json"
    return answer, answer.json()


def test_a_broken_rule_is_told_at_its_field(ann, notes):
    answer, told = post(ann, notes, "rules")
    assert (answer.status_code, told["code"], told["type"]) == (400, "rule_broken", "/problems/rule-broken/")
    assert told["errors"] == [
        {
            "field": "slope_rating",
            "code": "slope_range",
            "message": "A slope rating is a whole number from 55 to 155.",
        }
    ]


def test_every_broken_rule_is_told(ann, notes):
    _, told = post(ann, notes, "two")
    assert [error["field"] for error in told["errors"]] == ["slope_rating", "holes.0.par"]
    assert told["detail"] == "2 things need a look. Nothing was stored."


def test_a_refusal_tells_what_stands_in_the_way(ann, notes):
    answer, told = post(ann, notes, "refused")
    assert (answer.status_code, told["code"], told["detail"]) == (409, "refused", "The outing is closed.")
    assert told["errors"] == [{"field": "", "code": "unlisted_reason", "message": "The outing is closed."}]


def test_a_listed_refusal_keeps_its_own_code():
    problem = problem_for(Refused("key_busy", "Wait."))
    assert (problem.code, problem.status, problem.errors) == ("key_busy", 409, ())


def test_a_fault_of_ours_tells_nothing_and_logs_the_place_only(ann, notes, caplog):
    with caplog.at_level(logging.DEBUG):
        answer, told = post(ann, notes, "bug")
    assert (answer.status_code, told["code"]) == (500, "our_fault")
    assert b"canary" not in answer.content
    assert "canary" not in caplog.text.replace('"bug": RuntimeError("canary in the message")', "")
    assert "RuntimeError" in caplog.text


def test_a_locked_database_is_busy(ann, notes):
    FAULTS["locked"].__cause__ = sqlite3.OperationalError("database is locked")
    answer, told = post(ann, notes, "locked")
    assert (answer.status_code, told["code"]) == (503, "busy")
    assert answer["Retry-After"] == "5"


def caused(by):
    fault = OperationalError(str(by))
    fault.__cause__ = by
    return fault


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        (caused(sqlite3.OperationalError("database or disk is full")), "busy"),
        (caused(sqlite3.OperationalError("disk I/O error")), "busy"),
        (caused(sqlite3.OperationalError("attempt to write a readonly database")), "busy"),
        (caused(sqlite3.OperationalError("no such table: x")), None),
        (caused(psycopg.errors.DiskFull()), "busy"),
        (caused(psycopg.errors.DeadlockDetected()), "busy"),
        (caused(psycopg.errors.LockNotAvailable()), "busy"),
        (caused(psycopg.errors.TooManyConnections()), "busy"),
        (caused(psycopg.OperationalError("connection refused")), "busy"),
        (InterfaceError("connection already closed"), "busy"),
        (OSError(errno.ENOSPC, "No space left on device"), "busy"),
        (OSError(errno.EACCES, "Permission denied"), None),
        (DataError("bad"), None),
        (RequestDataTooBig(), "too_big"),
        (SuspiciousOperation(), "bad_request"),
    ],
)
def test_what_passes_by_itself_is_told_apart_from_a_fault(fault, code):
    problem = problem_for(fault)
    assert (problem.code if problem else None) == code


def test_a_forged_host_is_a_problem_too(ann, notes):
    answer = ann("GET", notes, Host="evil.example")
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/problem+json")
    assert answer.json()["code"] == "bad_request"
    assert b"evil" not in answer.content


def test_a_fault_outside_the_views_is_a_problem_too(ann, notes, monkeypatch):
    def broken(self, request):
        raise RuntimeError("canary")

    monkeypatch.setattr("django.contrib.sessions.middleware.SessionMiddleware.process_request", broken)
    answer = ann("GET", notes)
    assert (answer.status_code, answer.json()["code"]) == (500, "our_fault")
    assert answer.json()["request_id"] == answer["X-Request-ID"]
    assert b"canary" not in answer.content


def codes_raised():
    """Every literal code that a Refused or Problem in the source is made with."""
    for path in sorted(LEAGUE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Refused", "Problem") and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant) and isinstance(first.value, str):
                    yield path.relative_to(LEAGUE).as_posix(), first.value


def test_every_code_that_is_raised_is_listed():
    raised = list(codes_raised())
    assert ("api/base.py", "match_required") in raised
    assert [(path, code) for path, code in raised if code not in CODES] == []


def test_an_unlisted_code_cannot_be_raised_as_a_problem():
    with pytest.raises(KeyError):
        Problem("nonsense")


def test_every_code_has_words_and_a_page(client, db, settings):
    settings.ROOT_URLCONF = "league.config.urls"
    index = client.get("/problems/").content.decode()
    for code, entry in CODES.items():
        assert 400 <= entry.status < 600
        assert entry.title
        assert entry.advice
        assert f'href="{type_of(code)}"' in index
        page = client.get(type_of(code))
        assert page.status_code == 200
    assert all(code in index for code in FIELD_CODES)
    assert client.get("/problems/nonsense/").status_code == 404
    assert client.get("/problems/not_found/").status_code == 404
