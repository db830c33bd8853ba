import json

import pytest

from league.models import Group

pytestmark = pytest.mark.one_database

DEEP = '{"name": "x", "deep": ' + "[" * 20 + "]" * 20 + "}"
WITH = '{{"name": "x", {}}}'.format


def refused(answer, code):
    assert answer.status_code == 400, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    assert {"type", "title", "status", "code", "detail", "errors"} <= set(answer.json())
    assert answer.json()["code"] == code
    return [(error["field"], error["code"]) for error in answer.json()["errors"]]


@pytest.fixture(autouse=True)
def _nothing_is_stored(people):
    before = Group.objects.count()
    yield
    assert Group.objects.count() == before


@pytest.mark.parametrize("body", ["{", "", '{"a":}', "nonsense", '{"a": 1} {"b": 2}', "\ufeff{}", "'", '"\\'])
def test_it_refuses_what_cannot_be_read(ann, notes, body):
    assert refused(ann("POST", notes, body), "unreadable") == []


@pytest.mark.parametrize("body", [b'{"name": "\xff"}', b'{"name": "\xc3', '{"name": "x"}'.encode("utf-16")])
def test_it_refuses_what_is_not_utf_8(ann, notes, body):
    refused(ann("POST", notes, body), "unreadable")


@pytest.mark.parametrize("body", ["[]", "[{}]", '"x"', "7", "null", "true"])
def test_it_refuses_anything_but_an_object(ann, notes, body):
    assert refused(ann("POST", notes, body), "invalid") == [("", "object")]


def test_it_refuses_more_than_256_kib(ann, notes):
    at_limit = json.dumps({"name": "x" * (256 * 1024 - 12)})
    assert len(at_limit) == 256 * 1024
    assert refused(ann("POST", notes, at_limit), "invalid") == [("name", "text_too_long")]
    answer = ann("POST", notes, at_limit + " ")
    assert (answer.status_code, answer.json()["code"]) == (413, "too_big")


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("NaN", "number"),
        ("Infinity", "number"),
        ("-Infinity", "number"),
        ("1e309", "number"),
        ("1e999999999", "number"),
        ("1e-999999999", "number"),
        ("9" * 5000, "number"),
        ("9" * 19, "number"),
        ("0." + "1" * 5000, "number"),
        ("9" * 18, "range"),
        ("7.5", "whole"),
        ('"7"', "number"),
        ("true", "number"),
        ("null", "null"),
        ("[7]", "number"),
        ("0", "range"),
        ("26", "range"),
    ],
)
def test_it_refuses_what_is_not_a_whole_number_in_range(ann, notes, value, code):
    assert refused(ann("POST", notes, WITH(f'"strokes": {value}')), "invalid") == [("strokes", code)]


@pytest.mark.parametrize(
    ("value", "code"),
    [("18.45", "tenths"), ("54.1", "range"), ('"18.4"', "number"), ("false", "number"), ("NaN", "number")],
)
def test_it_refuses_what_is_not_a_tenth_in_range(ann, notes, value, code):
    assert refused(ann("POST", notes, WITH(f'"index": {value}')), "invalid") == [("index", code)]


def test_it_names_the_path_of_a_number_deep_inside(ann, notes):
    body = WITH('"holes": [{"strokes": 4}, {"strokes": NaN}]')
    assert refused(ann("POST", notes, body), "invalid") == [("holes.1.strokes", "number")]
    body = WITH('"holes": [{"strokes": 4}, {"strokes": 0, "x": 1}]')
    assert refused(ann("POST", notes, body), "invalid") == [("holes.1.x", "unknown"), ("holes.1.strokes", "range")]


@pytest.mark.parametrize("body", [DEEP, "[" * 200_000, '{"name":' * 30_000, '{"name": "x", "deep": ' + "[" * 20])
def test_it_refuses_more_than_twenty_levels(ann, notes, body):
    assert refused(ann("POST", notes, body), "invalid") == [("", "depth")]


def test_brackets_in_texts_are_no_levels(ann, notes):
    body = json.dumps({"name": "x" * 81, "deep": '[{"' * 100})
    assert refused(ann("POST", notes, body), "invalid") == [("name", "text_too_long")]


def test_many_quotes_are_read_in_no_time(ann, notes):
    refused(ann("POST", notes, '"' + '\\"' * 120_000), "unreadable")


def test_it_refuses_a_name_that_stands_twice(ann, notes):
    assert refused(ann("POST", notes, WITH('"name": "y"')), "invalid") == [("name", "twice")]
    body = WITH('"holes": [{"strokes": 4, "strokes": 5}]')
    assert refused(ann("POST", notes, body), "invalid") == [("holes.0.strokes", "twice")]


def test_it_names_every_field_that_is_unknown_read_only_or_missing(ann, notes):
    found = refused(ann("POST", notes, '{"colour": 1, "owner": "ann", "strokes": 0}'), "invalid")
    assert found == [("colour", "unknown"), ("owner", "read_only"), ("name", "required"), ("strokes", "range")]


@pytest.mark.parametrize(
    "text",
    [
        "a\\u0000b",
        "\\ud800",
        "a\\udfff",
        "a\\u0007",
        "a\\nb",
        "a\\u0085b",
        "a\\u2028b",
        "a\\u202eb",
        "a\\u2066b",
        "\\u200b\\u200d",
        "\\u3164",
        "e" + "\\u0301" * 4000,
        "e" + "\\u0301" * 9,
    ],
)
def test_it_refuses_a_text_with_something_hidden(ann, notes, text):
    found = refused(ann("POST", notes, f'{{"name": "{text}"}}'), "invalid")
    assert found in ([("name", "text")], [("name", "text_too_long")])


@pytest.mark.parametrize("value", ["7", "true", "[]", "{}", "1.5"])
def test_it_refuses_what_is_no_text(ann, notes, value):
    assert refused(ann("POST", notes, f'{{"name": {value}}}'), "invalid") == [("name", "text")]


@pytest.mark.parametrize(("text", "code"), [("", "blank"), ("  ", "blank"), ("x" * 10_000, "text_too_long")])
def test_it_refuses_a_text_too_short_or_too_long(ann, notes, text, code):
    assert refused(ann("POST", notes, json.dumps({"name": text})), "invalid") == [("name", code)]


@pytest.mark.parametrize(
    "day",
    ["03/04/2026", "45123", "2026-04-31", "2025-02-29", "today", "0000-01-01", "9999-01-01", "1899-12-31", "2026-4-3",
     "2026-04-03T10:00", "٢٠٢٦-٠٤-٠٣", "20260403"],
)  # fmt: skip
def test_it_refuses_what_is_not_a_day(ann, notes, day):
    assert refused(ann("POST", notes, WITH(f'"played_on": "{day}"')), "invalid") == [("played_on", "date")]


@pytest.mark.parametrize(
    ("part", "error"),
    [
        ('"plumbing_side": "side"', ("plumbing_side", "choice")),
        ('"plumbing_side": ["front"]', ("plumbing_side", "choice")),
        ('"is_total": "true"', ("is_total", "flag")),
        ('"is_total": 1', ("is_total", "flag")),
        ('"tee": 7', ("tee", "id")),
        ('"tee": "{00000000-0000-0000-0000-000000000000}"', ("tee", "id")),
        ('"holes": {}', ("holes", "list")),
        ('"holes": [7]', ("holes.0", "object")),
    ],
)
def test_it_refuses_other_kinds(ann, notes, part, error):
    assert refused(ann("POST", notes, WITH(part)), "invalid") == [error]


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"])
def test_it_takes_json_only(ann, notes, kind):
    answer = ann("POST", notes, '{"name": "x"}', kind)
    assert (answer.status_code, answer.json()["code"]) == (415, "wrong_media_type")


def test_it_takes_nothing_compressed(ann, notes):
    assert ann("POST", notes, '{"name": "x"}', Content_Encoding="gzip").status_code == 415
