"""Rounds over the API: posting, reading, correcting, withdrawing and attesting."""

import json
from datetime import date

import pytest

from league.models import CardEvent, Revision, Round
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people():
    return build.people()


@pytest.fixture
def tee(people):
    return build.tee(build.course(people.group))


def card(tee, over=1, **changes):
    holes = [{"number": hole.number, "strokes": hole.par + over, "putts": 2} for hole in tee.holes.all()]
    return {"tee": str(tee.pk), "played_on": "2026-05-02", "holes": holes, **changes}


def post(client, body, **headers):
    return client.post("/api/v1/rounds/", json.dumps(body), "application/json", headers=headers)


def send(client, method, address, body, **headers):
    return getattr(client, method)(address, json.dumps(body), "application/json", headers=headers)


def test_it_stores_a_card_and_answers_the_whole_round(people, tee):
    client = build.signed_in(people.ann)
    answer = post(client, card(tee, ref="card 7"))
    assert answer.status_code == 201, answer.content
    stored = answer.json()
    par = sum(hole.par for hole in tee.holes.all())
    assert (stored["gross"], stored["adjusted_gross"]) == (par + 18, par + 18)
    assert stored["complete"] is True
    assert stored["official"] is False
    assert stored["ref"] == "card 7"
    assert answer["Location"] == f"/api/v1/rounds/{stored['id']}/"
    read = client.get(answer["Location"])
    assert read.json() == stored
    assert read["ETag"] == answer["ETag"] == '"1"'


def test_it_caps_holes_for_the_index_and_keeps_the_gross_for_barriers(people, tee):
    body = card(tee)
    body["holes"][0]["strokes"] = 15
    stored = post(build.signed_in(people.ann), body).json()
    par = body["holes"] and next(iter(tee.holes.all())).par
    assert stored["gross"] - stored["adjusted_gross"] == 15 - (par + 5)
    assert stored["holes"][0]["counted"] == par + 5


def test_a_total_is_taken_as_given(people, tee):
    body = {"tee": str(tee.pk), "played_on": "2026-05-02", "gross": 97, "adjusted_gross": 95}
    stored = post(build.signed_in(people.ann), body).json()
    assert (stored["gross"], stored["adjusted_gross"], stored["holes"]) == (97, 95, [])


def test_a_hole_picked_up_without_a_number_leaves_the_gross_unknown(people, tee):
    body = card(tee)
    body["holes"][3] = {"number": 4, "picked_up": True}
    stored = post(build.signed_in(people.ann), body).json()
    assert stored["gross"] is None
    assert stored["adjusted_gross"] is not None


@pytest.mark.parametrize(
    ("changes", "field", "code"),
    [
        ({"played_on": "2999-01-01"}, "played_on", "date"),
        ({"played_on": "2199-01-01"}, "played_on", "played_in_future"),
        ({"playing_conditions": 2}, "playing_conditions_from", "playing_conditions_origin"),
        ({"playing_conditions": 4}, "playing_conditions", "range"),
        ({"holes_in_play": "nine"}, "holes_in_play", "holes_in_play"),
        ({"gross": 90}, "holes", "holes_or_gross"),
        ({"adjusted_gross": 88}, "adjusted_gross", "holes_or_gross"),
        ({"index": 12}, "index", "unknown"),
    ],
)
def test_it_refuses_and_names_the_field(people, tee, changes, field, code):
    answer = post(build.signed_in(people.ann), card(tee, **changes))
    assert answer.status_code == 400
    assert (field, code) in [(error["field"], error["code"]) for error in answer.json()["errors"]]
    assert Round.objects.count() == 0


@pytest.mark.parametrize("strokes", [0, 26, 99])
def test_it_refuses_strokes_out_of_range_at_their_place_in_the_list(people, tee, strokes):
    body = card(tee)
    body["holes"][6]["strokes"] = strokes
    answer = post(build.signed_in(people.ann), body)
    assert answer.status_code == 400
    problem = answer.json()
    assert [error["field"] for error in problem["errors"]] == ["holes.6.strokes"] * len(problem["errors"])
    assert problem["errors"][0]["message"].startswith("Hole 7:")


def test_it_refuses_a_card_of_seven_holes(people, tee):
    body = card(tee)
    body["holes"] = body["holes"][:7]
    answer = post(build.signed_in(people.ann), body)
    assert answer.status_code == 400
    assert Round.objects.count() == CardEvent.objects.count() == 0


def test_ten_to_seventeen_holes_need_a_reason(people, tee):
    body = card(tee)
    body["holes"] = body["holes"][:14]
    client = build.signed_in(people.ann)
    refused = post(client, body).json()
    assert "not_played_reason" in [error["field"] for error in refused["errors"]]
    stored = post(client, {**body, "not_played_reason": "light"})
    assert stored.status_code == 201
    assert stored.json()["differential"] is None
    assert "index was in force" in stored.json()["no_differential_reason"]


def test_a_correction_needs_the_version_and_adds_a_revision(people, tee):
    client = build.signed_in(people.ann)
    stored = post(client, card(tee)).json()
    address = f"/api/v1/rounds/{stored['id']}/"
    change = {"holes": card(tee, over=2)["holes"], "reason": "Two holes were misread."}
    assert send(client, "patch", address, change).status_code == 428
    stale = send(client, "patch", address, change, if_match='"9"')
    assert stale.status_code == 412
    assert stale.json()["stored"]["gross"] == stored["gross"]
    done = send(client, "patch", address, change, if_match='"1"')
    assert done.status_code == 200
    assert done.json()["gross"] == stored["gross"] + 18
    assert done["ETag"] == '"2"'
    assert [event.kind for event in CardEvent.objects.filter(player=people.ann)] == ["entered", "corrected"]
    assert Revision.objects.filter(player=people.ann).count() == 2


def test_a_change_of_the_note_alone_leaves_the_ledger_alone(people, tee):
    client = build.signed_in(people.ann)
    stored = post(client, card(tee)).json()
    done = send(client, "patch", f"/api/v1/rounds/{stored['id']}/", {"note": "Wind."}, if_match='"1"')
    assert (done.status_code, done.json()["note"]) == (200, "Wind.")
    assert CardEvent.objects.count() == 1


def test_a_withdrawn_round_leaves_the_record_but_not_the_ledger(people, tee):
    client = build.signed_in(people.ann)
    for day in ("2026-05-02", "2026-05-03", "2026-05-04"):
        stored = post(client, card(tee, played_on=day)).json()
    assert stored["index_after"] is not None
    address = f"/api/v1/rounds/{stored['id']}/"
    gone = send(client, "delete", address, {"reason": "Not my card."}, if_match='"1"')
    assert (gone.status_code, gone.json()["state"]) == (200, "withdrawn")
    assert gone.json()["index_after"] is None
    again = send(client, "delete", address, {}, if_match='"2"')
    assert (again.status_code, again.json()["code"]) == (409, "round_withdrawn")
    assert Revision.objects.filter(player=people.ann).count() == 4


def test_a_mate_sees_the_line_and_a_stranger_nothing(people, tee):
    stored = post(build.signed_in(people.ann), card(tee, note="Cold hands.")).json()
    address = f"/api/v1/rounds/{stored['id']}/"
    for mate in (people.dan, people.ben):
        line = build.signed_in(mate).get(address).json()
        assert line["gross"] == stored["gross"]
        assert not {"holes", "note", "notes", "marker", "ref"} & line.keys()
    hidden = build.signed_in(people.cat).get(address)
    invented = build.signed_in(people.cat).get("/api/v1/rounds/11111111-1111-4111-8111-111111111111/")
    assert hidden.status_code == invented.status_code == 404
    assert hidden.content == invented.content


def test_a_mate_may_not_correct_or_withdraw(people, tee):
    stored = post(build.signed_in(people.ann), card(tee)).json()
    address = f"/api/v1/rounds/{stored['id']}/"
    for person, status in ((people.ben, 403), (people.dan, 403), (people.cat, 404)):
        client = build.signed_in(person)
        assert send(client, "patch", address, {"note": "x"}, if_match='"1"').status_code == status
        assert send(client, "delete", address, {}, if_match='"1"').status_code == status


def test_nobody_posts_for_a_player_with_an_account(people, tee):
    body = card(tee, player=str(people.ann.pk))
    assert post(build.signed_in(people.ben), body).status_code == 403
    unknown = post(build.signed_in(people.cat), body)
    assert unknown.status_code == 400
    assert {"player"} == {error["field"] for error in unknown.json()["errors"]}


def test_the_keeper_posts_for_a_guest(people, tee):
    stored = post(build.signed_in(people.ann), card(tee, player=str(people.eve.pk)))
    assert stored.status_code == 201
    assert stored.json()["player"]["name"] == "Eve"


def test_a_mate_attests_the_version_that_was_looked_at(people, tee):
    stored = post(build.signed_in(people.ann), card(tee)).json()
    address = f"/api/v1/rounds/{stored['id']}/attestation/"
    own = send(build.signed_in(people.ann), "post", address, {}, if_match='"1"')
    assert own.status_code == 403
    mate = build.signed_in(people.dan)
    assert send(mate, "post", address, {}).status_code == 428
    assert send(mate, "post", address, {"on_paper": True}, if_match='"1"').status_code == 403
    done = send(mate, "post", address, {}, if_match='"1"')
    assert done.status_code == 201
    assert done.json()["attestation"]["by"]["name"] == "Dan"
    again = send(mate, "post", address, {}, if_match='"1"')
    assert again.status_code == 409
    ann = build.signed_in(people.ann)
    corrected = send(
        ann, "patch", f"/api/v1/rounds/{stored['id']}/", {"holes": card(tee, over=2)["holes"]}, if_match='"1"'
    )
    assert corrected.json()["attestation"] is None


def test_the_same_key_stores_one_round(people, tee):
    client = build.signed_in(people.ann)
    body = card(tee)
    first = post(client, body, idempotency_key="a-key-of-sixteen-or-more")
    second = post(client, body, idempotency_key="a-key-of-sixteen-or-more")
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.json()["id"] == second.json()["id"]
    assert second["Idempotency-Replayed"] == "true"
    assert Round.objects.count() == 1
    other = post(client, {**body, "note": "x"}, idempotency_key="a-key-of-sixteen-or-more")
    assert other.status_code == 422


def test_a_list_is_filtered_and_paged(people, tee):
    client = build.signed_in(people.ann)
    for day in range(1, 6):
        post(client, card(tee, played_on=date(2026, 5, day).isoformat()))
    listed = client.get("/api/v1/rounds/?page_size=2").json()
    assert (len(listed["results"]), listed["count"]) == (2, 5)
    assert listed["results"][0]["played_on"] == "2026-05-05"
    following = client.get(listed["next"]).json()
    assert following["results"][0]["played_on"] == "2026-05-03"
    some = client.get("/api/v1/rounds/?played_from=2026-05-04").json()
    assert some["count"] == 2
    assert client.get("/api/v1/rounds/?owner=me").status_code == 400
    assert client.get("/api/v1/rounds/?played_from=yesterday").status_code == 400


def test_a_look_alike_is_stored_with_a_note(people, tee):
    client = build.signed_in(people.ann)
    post(client, card(tee))
    again = post(client, card(tee))
    assert again.status_code == 201
    assert [note["code"] for note in again.json()["notes"]] == ["look_alike"]
    assert again.json()["order_in_day"] == 2


def test_a_list_of_rounds_costs_the_same_queries_for_two_and_for_twenty(people, tee, django_assert_max_num_queries):
    client = build.signed_in(people.ann)
    for day in range(1, 21):
        post(client, card(tee, played_on=date(2026, 5, day).isoformat()))
    for size in (2, 20):
        with django_assert_max_num_queries(16):
            client.get(f"/api/v1/rounds/?page_size={size}")
