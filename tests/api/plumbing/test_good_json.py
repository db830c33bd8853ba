import json
import unicodedata

import pytest

from league.models import Group


@pytest.mark.parametrize("name", ["Ärger", "山田 花子", "👍🏽", "' OR 1=1 --", "<script>", "שלום", "A\u030angstrom"])
def test_a_name_in_any_script_is_stored_composed(ann, notes, name):
    answer = ann("POST", notes, json.dumps({"name": name}))
    assert answer.status_code == 201
    assert answer.json()["name"] == unicodedata.normalize("NFC", name) == Group.objects.get(pk=answer.json()["id"]).name


@pytest.mark.parametrize(("sent", "shown"), [("18", b"18.0"), ("18.40", b"18.4"), ("-2.5", b"-2.5"), ("54.0", b"54.0")])
def test_tenths_are_numbers_with_one_digit_after_the_point(ann, notes, sent, shown):
    assert b'"index":' + shown in ann("POST", notes, f'{{"name": "x", "index": {sent}}}').content.replace(b" ", b"")


def test_seventy_two_point_nought_is_whole(ann, notes):
    assert ann("POST", notes, '{"name": "x", "strokes": 4.0}').status_code == 201


def test_twenty_levels_are_taken(ann, notes):
    body = '{"name": "x", "deep": ' + "[" * 19 + "]" * 19 + "}"
    assert ann("POST", notes, body).status_code == 201


def test_a_note_keeps_its_lines(ann, notes):
    assert ann("POST", notes, json.dumps({"name": "x", "note": "one\r\ntwo\tthree"})).status_code == 201


def test_every_answer_is_private(ann, notes):
    for answer in (ann("GET", notes), ann("POST", notes, "{"), ann("GET", "/api/v1/nowhere/")):
        assert answer["Cache-Control"] == "private, no-store"
