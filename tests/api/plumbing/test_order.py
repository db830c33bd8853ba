"""Credentials, method, row, role, headers, shape: a stranger learns nothing from any later step."""

import uuid

import pytest

BODIES = ["", "{", "[]", '{"name": 7}', '{"name": "x"}', "[" * 1000, "x" * 300_000]
HEADERS = [{}, {"Idempotency_Key": "short"}, {"Idempotency_Key": "k" * 10_000}, {"If_Match": '"1"'}]
INVENTED = f"/api/v1/players/{uuid.UUID(int=7)}/notes/"
VARYING = {"X-Request-ID", "Set-Cookie"}


def told(answer):
    headers = sorted((name, value) for name, value in answer.items() if name not in VARYING)
    return answer.status_code, answer.content, headers


@pytest.mark.one_database
@pytest.mark.parametrize("headers", HEADERS)
@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("kind", ["application/json", "text/plain"])
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PATCH"])
def test_a_stranger_gets_the_same_for_hidden_and_invented(cat, notes, method, kind, body, headers):
    hidden, invented = cat(method, notes, body, kind, **headers), cat(method, INVENTED, body, kind, **headers)
    assert told(hidden) == told(invented)
    assert hidden.status_code == 404


def test_unknown_addresses_answer_like_hidden_ones(cat, notes):
    for path in ("/api/v1/", "/api/v1/players/7/notes/", "/api//v1/courses/", "/api/v1/courses", "/api/V1/courses/",
                 "/api/v1/courses.json", "/api/v1/%2e%2e/courses/", notes.upper().replace("/API/V1/", "/api/v1/"),
                 notes[:-1], notes + "extra/"):  # fmt: skip
        assert told(cat("POST", path, "{")) == told(cat("POST", notes, "{")), path


def test_without_credentials_every_private_address_answers_401(client, notes):
    answers = [client.get(path) for path in (notes, INVENTED, "/api/v1/nowhere/", "/api/v1/courses")]
    answers += [client.post(notes), client.delete(notes), client.options(notes), client.get(notes, {"x": 1})]
    assert {answer.status_code for answer in answers} == {401}
    assert {answer["WWW-Authenticate"] for answer in answers} == {'Bearer realm="api"'}
    assert len({answer.content for answer in answers}) == 1
    assert answers[0].json()["code"] == "sign_in_needed"


@pytest.mark.parametrize("method", ["OPTIONS", "TRACE", "DELETE", "PUT", "PROPFIND"])
def test_other_methods_are_refused_before_the_row(cat, notes, method):
    answer, other = cat(method, notes), cat(method, INVENTED)
    assert answer.status_code == 405
    assert answer["Allow"] == "GET, HEAD, POST, PATCH"
    assert told(answer) == told(other)


def test_a_method_cannot_be_overridden(ann, notes):
    assert ann("GET", notes, X_HTTP_Method_Override="DELETE").status_code == 200
    assert ann("POST", notes, "{", X_HTTP_Method_Override="GET").status_code == 400


def test_head_is_get_without_a_body(ann, notes):
    got, head = ann("GET", notes), ann("HEAD", notes)
    assert (head.status_code, head["ETag"], head.content) == (200, got["ETag"], b"")


def test_a_mate_may_look_but_not_write(people, token, notes, ann):
    token(people.dan, "d" * 43)
    dan = type(ann)("d" * 43)
    assert dan("GET", notes).status_code == 200
    for body in BODIES:
        answer = dan("POST", notes, body)
        assert (answer.status_code, answer.json()["code"]) == (403, "not_allowed")


def test_the_kind_of_content_comes_before_the_key_and_the_key_before_the_shape(ann, notes):
    assert ann("POST", notes, "{", "text/plain", Idempotency_Key="short").json()["code"] == "wrong_media_type"
    assert ann("POST", notes, "{", Idempotency_Key="short").json()["code"] == "invalid_key"
    assert ann("PATCH", notes, "{", "text/plain").json()["code"] == "wrong_media_type"
    assert ann("PATCH", notes, "{").json()["code"] == "match_required"


@pytest.mark.parametrize(("accept", "status"), [
    ("application/json", 200), ("*/*", 200), ("application/*", 200), ("text/html, */*;q=0.1", 200), ("", 200),
    ("application/problem+json", 200), ("text/html", 406), ("application/xml", 406), ("nonsense", 406),
])  # fmt: skip
def test_it_answers_json_or_not_at_all(ann, notes, accept, status):
    answer = ann("GET", notes, Accept=accept)
    assert answer.status_code == status
    assert answer["Content-Type"] == ("application/json" if status == 200 else "application/problem+json")


def test_unknown_and_doubled_parameters_are_refused(ann, notes):
    for query in ("?format=json", "?cursor=x", "?x=' OR 1=1"):
        answer = ann("GET", notes + query)
        assert (answer.status_code, answer.json()["code"]) == (400, "unknown_parameter")
    for query in ("?name=a&name=b", "?name=%00", "?name=%ff"):
        assert ann("GET", f"/api/v1/courses/{query}").status_code == 400


def test_the_id_of_an_answer_is_in_the_body_of_5xx_only(ann, notes):
    assert "request_id" not in ann("POST", notes, "{").json()
    answer = ann("POST", notes, '{"name": "bug"}', X_Request_ID="forged")
    assert answer.status_code == 500
    assert answer.json()["request_id"] == answer["X-Request-ID"] != "forged"
