"""Intentions and look-backs over the API: drafts, searching, sharing and withdrawing, taking along, erasing."""

import json
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from journal.models import GuardianDecision, Intention, LookBack, Share
from journal.services import guardian
from journal.services.before import today_for
from league.models import IdempotencyKey, Membership, Role, Round, Tee
from league.reports.leaving import tables_of
from league.services import leaving, members, outlooks
from tests import build
from tests.journal.conftest import play

pytestmark = pytest.mark.django_db
HOME = "/api/v1/journal/"


def send(client: Client, method: str, address: str, body: object = None, **headers: str) -> object:
    return client.generic(
        method, HOME + address, json.dumps(body), "application/json", headers={"If-Match": "*", **headers}
    )


def finished(client: Client, played: Round, **words: object) -> str:
    made = send(client, "POST", "look-backs/", {"round": str(played.pk)}).json()["id"]
    body = {"state": "done", "keep": "Speed on the long ones.", **words}
    assert send(client, "PATCH", f"look-backs/{made}/", body).status_code == 200
    return made


def with_outlook(people: build.People, tee: Tee) -> None:
    for day in range(1, 7):
        play(people.ann, tee, day, worst=day)
    outlooks.refresh_due(limit=10)


def test_the_range_is_that_of_the_outlook_and_is_kept_as_it_was(ann: Client, people: build.People, tee: Tee) -> None:
    few = ann.get(f"{HOME}range/?tee={tee.pk}").json()
    assert (few["low"], few["reason"]) == (None, "3 more rounds of eighteen holes, and there is something to say.")
    with_outlook(people, tee)
    today = today_for(people.ann, tee)
    told = ann.get(f"{HOME}range/?tee={tee.pk}").json()
    outlook = ann.get(f"/api/v1/me/outlook/?tee={tee.pk}&day={today}").json()
    assert (told["low"], told["high"]) == (outlook["low"], outlook["high"])
    assert told["words"].startswith(f"Four rounds in five fall from {told['low']} to {told['high']}")
    body = {"tee": str(tee.pk), "goal": "Targets.", "range_words": "A bit more, in wind."}
    made = send(ann, "POST", "intentions/", body).json()
    assert (made["low"], made["high"], made["range_words"]) == (told["low"], told["high"], "A bit more, in wind.")
    assert (made["told"], made["round"]) == ("Still to come.", None)
    played = play(people.ann, tee, on=today)
    became = ann.get(f"{HOME}intentions/{made['id']}/").json()
    assert (became["round"], became["gross"], became["kept"]) == (str(played.pk), 90, "")
    look_back = finished(ann, played, plan_kept="partly")
    (became,) = ann.get(f"{HOME}intentions/").json()["results"]
    assert (became["round"], became["kept"], became["gross"]) == (str(played.pk), "partly", 90)
    assert became["fell"].startswith("90 fell ")
    whole = ann.get(f"{HOME}look-backs/{look_back}/").json()
    assert (whole["intention"], whole["fell"]) == (made["id"], became["fell"])
    for address in (
        reverse("look_back", args=[played.pk]),
        reverse("journal_entry", args=[look_back]),
        reverse("intention", args=[made["id"]]),
    ):
        page = ann.get(address).content.decode()
        assert became["fell"] in page
        assert 'class="one-range"' in page


def test_a_range_is_never_written_down_after_the_score(ann: Client, people: build.People, tee: Tee) -> None:
    with_outlook(people, tee)
    today = today_for(people.ann, tee)
    past = ann.get(f"{HOME}range/?tee={tee.pk}&day=2026-05-08").json()
    assert (past["low"], past["reason"]) == (None, "That day is past; a range is told before a round only.")
    late = send(ann, "POST", "intentions/", {"tee": str(tee.pk), "played_on": "2026-05-08"}).json()
    assert late["low"] is None
    played = play(people.ann, tee, on=today)
    body = {"tee": str(tee.pk), "goal": "Targets."}
    for after in ({**body, "round": str(played.pk)}, body):
        made = send(ann, "POST", "intentions/", after).json()
        assert (made["low"], made["fell"]) == (None, "")
    assert made["round"] is None, "what was written after the round is not tied to it by its day"


def test_a_range_is_not_set_beside_a_score_from_other_tees(ann: Client, people: build.People, tee: Tee) -> None:
    with_outlook(people, tee)
    today = today_for(people.ann, tee)
    other = build.tee(tee.course, "Plover", slope=120)
    made = send(ann, "POST", "intentions/", {"tee": str(other.pk), "goal": "Targets."}).json()
    assert made["low"] is not None
    played = play(people.ann, tee, on=today)
    assert ann.get(f"{HOME}intentions/{made['id']}/").json()["round"] is None
    assert ann.get(f"{HOME}look-backs/{finished(ann, played)}/").json()["intention"] is None
    refused = send(ann, "PATCH", f"intentions/{made['id']}/", {"round": str(played.pk)})
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (400, "other_round")


@pytest.mark.parametrize(
    ("body", "field", "code"),
    [
        ({}, "goal", "nothing_meant"),
        ({"then": "I walk."}, "when", "half_sentence"),
        ({"when": "If I hurry,"}, "then", "half_sentence"),
        ({"goal": "Targets.", "played_on": "2199-01-01"}, "played_on", "day_far"),
    ],
)
def test_half_a_thing_or_none_is_not_kept(ann: Client, body: dict[str, str], field: str, code: str) -> None:
    answer = send(ann, "POST", "intentions/", body)
    assert answer.status_code == 400
    assert [(error["field"], error["code"]) for error in answer.json()["errors"]] == [(field, code)]


def test_a_draft_is_kept_and_one_round_has_one(ann: Client, played: Round) -> None:
    first = send(ann, "POST", "look-backs/", {"round": str(played.pk)}).json()
    send(ann, "PATCH", f"look-backs/{first['id']}/", {"hole_words": "Half a thought"})
    again = send(ann, "POST", "look-backs/", {"round": str(played.pk)}).json()
    assert (again["id"], again["state"], again["hole_words"]) == (first["id"], "draft", "Half a thought")
    skipped = send(ann, "PATCH", f"look-backs/{first['id']}/", {"state": "skipped"}).json()
    assert skipped["finished_at"] is not None


def test_one_is_found_by_its_own_words_and_by_its_owner_alone(ann: Client, people: build.People, tee: Tee) -> None:
    one = finished(ann, play(people.ann, tee, 1), keep="Löng putts: speed")
    finished(ann, play(people.ann, tee, 2), keep="Targets")
    assert [found["id"] for found in send(ann, "POST", "search/", {"words": "LÖNG spee"}).json()["results"]] == [one]
    assert send(build.signed_in(people.dan), "POST", "search/", {"words": "speed"}).json()["count"] == 0
    assert ann.get(f"{HOME}look-backs/?search=speed").status_code == 400


def test_what_was_meant_is_found_too(ann: Client) -> None:
    made = send(ann, "POST", "intentions/", {"goal": "Targets first.", "range_words": "A bit more, in wind."}).json()
    found = send(ann, "POST", "search/", {"words": "wind targets"}).json()
    assert (found["results"], found["count"]) == ([], 1)
    assert found["intentions"] == [made]
    page = ann.post(reverse("journal"), {"words": "WIND"}).content.decode()
    assert reverse("intention", args=[made["id"]]) in page


def test_sharing_is_with_those_who_were_named(ann: Client, people: build.People, played: Round) -> None:
    made = finished(ann, played)
    dan, ben = build.signed_in(people.dan), build.signed_in(people.ben)
    group = str(people.group.pk)
    send(ann, "POST", f"look-backs/{made}/share/", {"group": group, "readers": [str(people.dan.pk)]})
    assert dan.get(f"{HOME}shared/{made}/").json()["keep"] == "Speed on the long ones."
    assert [one["id"] for one in dan.get(f"{HOME}shared/").json()["results"]] == [made]
    assert ben.get(f"{HOME}shared/{made}/").status_code == 404
    for address in (f"look-backs/{made}/", f"look-backs/{made}/share/"):
        assert dan.get(HOME + address).status_code == 404
    for stranger in (people.cat, people.eve):
        body = {"group": group, "readers": [str(stranger.pk)]}
        assert send(ann, "POST", f"look-backs/{made}/share/", body).status_code == 400
    assert send(ann, "DELETE", f"look-backs/{made}/share/").status_code == 204
    assert dan.get(f"{HOME}shared/{made}/").status_code == 404


def test_the_group_is_the_group_of_that_moment(ann: Client, people: build.People, played: Round) -> None:
    made = finished(ann, played)
    told = send(ann, "POST", f"look-backs/{made}/share/", {"group": str(people.group.pk)}).json()
    assert sorted(one["name"] for one in told["readers"]) == ["Ben", "Dan"]
    una = build.player("Una")
    build.membership(people.group, una)
    assert build.signed_in(una).get(f"{HOME}shared/{made}/").status_code == 404
    dan = build.signed_in(people.dan)
    assert dan.get(f"{HOME}shared/{made}/").status_code == 200
    members.leave_group(membership=Membership.objects.get(group=people.group, player=people.dan))
    assert dan.get(f"{HOME}shared/{made}/").status_code == 404
    build.membership(people.group, people.dan, Role.PLAYER)
    assert dan.get(f"{HOME}shared/{made}/").status_code == 404
    members.leave_group(membership=Membership.objects.get(group=people.group, player=people.ann))
    assert build.signed_in(people.ben).get(f"{HOME}shared/{made}/").status_code == 404


def test_a_draft_is_shared_with_nobody_and_going_back_to_one_withdraws(
    ann: Client, people: build.People, played: Round
) -> None:
    made = send(ann, "POST", "look-backs/", {"round": str(played.pk)}).json()["id"]
    body = {"group": str(people.group.pk)}
    assert send(ann, "POST", f"look-backs/{made}/share/", body).json()["errors"][0]["code"] == "not_finished"
    send(ann, "PATCH", f"look-backs/{made}/", {"state": "done"})
    send(ann, "POST", f"look-backs/{made}/share/", body)
    send(ann, "PATCH", f"look-backs/{made}/", {"state": "draft"})
    assert not Share.objects.exists()


def test_under_18_the_words_are_those_of_the_list_until_a_guardian_says_yes(ann: Client, people: build.People) -> None:
    send(ann, "PATCH", "routine/", {"sentence": "My very own."})
    people.ann.is_under_18 = True
    people.ann.save()
    refused = send(ann, "POST", "intentions/", {"goal": "My own aim."})
    assert (refused.status_code, refused.json()["errors"][0]["field"]) == (400, "goal")
    assert refused.json()["errors"][0]["code"] == "fixed_words"
    assert send(ann, "POST", "intentions/", {"goal": "Decide once, then play it."}).status_code == 201
    assert ann.get(f"{HOME}routine/").json()["sentence"] == "My very own."
    assert send(ann, "PATCH", "routine/", {"sentence": "My very own.", "breaths": 1}).status_code == 200
    guardian.ask_guardian(player=people.ann, address="parent@example.org")
    decision = GuardianDecision.objects.get(player=people.ann)
    guardian.decide(decision=decision, allows=False)
    assert send(ann, "POST", "intentions/", {"goal": "My own aim."}).status_code == 400
    guardian.decide(decision=decision, allows=True)
    assert send(ann, "POST", "intentions/", {"goal": "My own aim."}).status_code == 201


def test_a_key_keeps_no_word(ann: Client) -> None:
    key = {"Idempotency-Key": "an-intention-for-sunday"}
    first = send(ann, "POST", "intentions/", {"goal": "A canary"}, **key)
    again = send(ann, "POST", "intentions/", {"goal": "A canary"}, **key)
    assert (again.json(), again["Idempotency-Replayed"]) == (first.json(), "true")
    assert send(ann, "POST", "intentions/", {"goal": "Another"}, **key).status_code == 422
    kept = IdempotencyKey.objects.values().get()
    assert "canary" not in str(kept)
    assert kept["body"] == f'{{"id":"{first.json()["id"]}"}}'


def test_all_of_it_goes_along_and_all_of_it_goes(ann: Client, people: build.People, played: Round) -> None:
    made = finished(ann, played, keep="A canary for the archive")
    send(ann, "POST", "intentions/", {"goal": "A canary too"})
    send(ann, "POST", f"look-backs/{made}/share/", {"group": str(people.group.pk)})
    assert ann.get(f"{HOME}export/").content.count(b"A canary") == 2
    tables = {table.name: table.plain() for table in tables_of(people.ann.account)}
    assert tables["journal_look_backs"][0]["keep"] == "A canary for the archive"
    assert len(tables["journal_shares"]) == 2
    assert "canary" not in json.dumps([table.plain() for table in tables_of(people.dan.account)], default=str)
    assert send(ann, "POST", "erasure/", {"password": "not this one"}).status_code == 400
    assert send(ann, "POST", "erasure/", {"password": build.PASSWORD}).status_code == 204
    assert [LookBack.objects.count(), Intention.objects.count(), Share.objects.count()] == [0, 0, 0]


def test_a_person_who_is_erased_leaves_no_journal(ann: Client, people: build.People, played: Round, tee: Tee) -> None:
    dan = build.signed_in(people.dan)
    hers = finished(ann, played)
    his = finished(dan, play(people.dan, tee, 2))
    for client, made in ((ann, hers), (dan, his)):
        send(client, "POST", f"look-backs/{made}/share/", {"group": str(people.group.pk)})
    send(ann, "PATCH", "routine/", {"sentence": "My very own."})
    leaving.ask_to_erase(account=people.ann.account)
    leaving.erase_due(now=timezone.now() + timedelta(days=8))
    assert not LookBack.objects.filter(player=people.ann).exists()
    assert {share.reader for share in Share.objects.all()} == {people.ben}
    assert [one.pk for one in LookBack.objects.all()] == [LookBack.objects.get(player=people.dan).pk]
    assert date(2026, 5, 2) == LookBack.objects.get().played_on
