"""Groups, people, invitations and the record over the API, tried by ann, ben, cat and nobody."""

import json
import re
from typing import Any

import pytest
from django.test import Client

from league.models import Invitation, Membership, Player, Role, Standing
from tests import build

pytestmark = pytest.mark.django_db

NO_ID = "00000000-0000-4000-8000-000000000000"


@pytest.fixture
def people() -> build.People:
    return build.people()


def sent(client: Client, method: str, path: str, body: Any = None, **headers: str) -> Any:
    return client.generic(
        method,
        f"/api/v1/{path}",
        "" if body is None else json.dumps(body),
        content_type="application/json",
        headers=headers,
    )


def place_of(people: build.People, player: Player) -> Membership:
    return Membership.objects.get(group=people.group, player=player, left_at=None)


# Nobody, a stranger, a mate, an organiser


def addresses(people: build.People) -> list[tuple[str, str, Any, int, int]]:
    """Method, address, body, what ann gets, what ben gets. `{}` stands for the id."""
    group, eve = people.group.pk, place_of(people, people.eve).pk
    return [
        ("GET", f"groups/{group}/", None, 200, 200),
        ("PATCH", f"groups/{group}/", {"name": "Lapwing Sunday Group"}, 403, 200),
        ("GET", f"groups/{group}/members/", None, 200, 200),
        ("POST", f"groups/{group}/members/", {"name": "Fay"}, 403, 201),
        ("GET", f"groups/{group}/invitations/", None, 403, 200),
        ("POST", f"groups/{group}/invitations/", {"uses": 3}, 403, 201),
        ("GET", f"groups/{group}/audit/", None, 200, 200),
        ("GET", f"members/{eve}/", None, 200, 200),
        ("PATCH", f"members/{eve}/", {"role": "player"}, 403, 200),
        ("DELETE", f"members/{eve}/", {"reason": "Moved away."}, 403, 204),
        ("GET", f"players/{people.dan.pk}/", None, 200, 200),
        ("PATCH", f"players/{people.dan.pk}/", {"name": "Don"}, 403, 403),
        ("DELETE", f"players/{people.dan.pk}/", None, 403, 403),
    ]


N_ADDRESSES = 13


@pytest.mark.parametrize("number", range(N_ADDRESSES))
def test_each_gets_what_the_matrix_says(people: build.People, client: Client, number: int) -> None:
    method, path, body, for_ann, for_ben = addresses(people)[number]
    headers = {"If-Match": '"1"'} if method in ("PATCH", "DELETE") else {}
    assert len(addresses(people)) == N_ADDRESSES
    assert sent(client, method, path, body, **headers).status_code == 401
    assert sent(build.signed_in(people.ann), method, path, body, **headers).status_code == for_ann
    hidden = sent(build.signed_in(people.cat), method, path, body, **headers)
    invented = sent(
        build.signed_in(people.cat), method, re.sub(r"[0-9a-f-]{36}", NO_ID, path), {"junk": [1]}, **headers
    )
    assert (hidden.status_code, hidden.content) == (404, invented.content)
    assert invented.status_code == 404
    assert sent(build.signed_in(people.ben), method, path, body, **headers).status_code == for_ben


# Groups


def test_somebody_founds_a_second_group_and_organises_it(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    made = sent(ann, "POST", "groups/", {"name": "Plover Pair", "time_zone": "Europe/Dublin"})
    assert made.status_code == 201
    assert made.json()["role"] == "organiser"
    again = ann.get(made["Location"])
    assert again.json() == made.json()
    assert again["ETag"] == made["ETag"]
    assert [group["name"] for group in sent(ann, "GET", "groups/").json()["results"]] == [
        "Lapwing Friday Group",
        "Plover Pair",
    ]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"name": "", "time_zone": "UTC"}, "name"),
        ({"name": "x" * 81, "time_zone": "UTC"}, "name"),
        ({"name": "a\u202eb", "time_zone": "UTC"}, "name"),
        ({"name": "\u200b", "time_zone": "UTC"}, "name"),
        ({"name": "Plover", "time_zone": "Moon/Sea"}, "time_zone"),
        ({"name": "Plover"}, "time_zone"),
        ({"name": "Plover", "time_zone": "UTC", "owner": "me"}, "owner"),
    ],
)
def test_a_group_that_cannot_be_stored_is_named_by_field(people: build.People, body: Any, field: str) -> None:
    refused = sent(build.signed_in(people.ann), "POST", "groups/", body)
    assert refused.status_code == 400
    assert [error["field"] for error in refused.json()["errors"]] == [field]


def test_a_stale_change_shows_both_versions(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"groups/{people.group.pk}/"
    assert sent(ben, "PATCH", path, {"name": "First"}).status_code == 428
    assert sent(ben, "PATCH", path, {"name": "First"}, **{"If-Match": '"1"'}).status_code == 200
    stale = sent(ben, "PATCH", path, {"name": "Second"}, **{"If-Match": '"1"'})
    assert stale.status_code == 412
    assert (stale.json()["yours"]["name"], stale.json()["stored"]["name"]) == ("Second", "First")


# Members


def test_equal_names_are_told_apart_by_a_number(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"groups/{people.group.pk}/members/"
    assert sent(ben, "POST", path, {"name": "Ann"}).json()["name"] == "Ann (2)"
    names = [member["name"] for member in sent(ben, "GET", path).json()["results"]]
    assert sorted(names) == ["Ann", "Ann (2)", "Ben", "Dan", "Eve"]


def test_an_index_is_never_official_and_says_what_it_rests_on(people: build.People) -> None:
    Standing.objects.create(player=people.ann, index_tenths=-12, n_scores=8, last_number=8)
    members = sent(build.signed_in(people.dan), "GET", f"groups/{people.group.pk}/members/").json()["results"]
    ann = next(member for member in members if member["name"] == "Ann")
    assert (ann["official"], ann["index"], ann["n_scores"], ann["provisional"]) == (False, -1.2, 8, True)


def test_index_only_hides_the_rounds_from_mates_and_not_from_organisers(people: build.People) -> None:
    place = place_of(people, people.ann)
    hidden = sent(
        build.signed_in(people.ann), "PATCH", f"members/{place.pk}/", {"hides_lines": True}, **{"If-Match": '"1"'}
    )
    assert hidden.status_code == 200
    assert hidden.json()["n_rounds"] == 0
    assert sent(build.signed_in(people.dan), "GET", f"members/{place.pk}/").json()["n_rounds"] is None
    assert sent(build.signed_in(people.ben), "GET", f"members/{place.pk}/").json()["n_rounds"] == 0


def test_an_organiser_cannot_choose_what_a_member_shows(people: build.People) -> None:
    place = place_of(people, people.ann)
    headers = {"If-Match": '"1"'}
    ben = build.signed_in(people.ben)
    assert sent(ben, "PATCH", f"members/{place.pk}/", {"hides_lines": True}, **headers).status_code == 403
    ann = build.signed_in(people.ann)
    assert sent(ann, "PATCH", f"members/{place.pk}/", {"role": "organiser"}, **headers).status_code == 403
    assert place_of(people, people.ann).role == Role.PLAYER


def test_the_last_organiser_stays_until_somebody_else_is_one(people: build.People) -> None:
    ben = build.signed_in(people.ben)
    own, ann = place_of(people, people.ben), place_of(people, people.ann)
    headers = {"If-Match": '"1"'}
    for refused in (
        sent(ben, "PATCH", f"members/{own.pk}/", {"role": "player"}, **headers),
        sent(ben, "DELETE", f"members/{own.pk}/", None, **headers),
    ):
        assert (refused.status_code, refused.json()["code"]) == (409, "last_organiser")
    assert sent(ben, "PATCH", f"members/{ann.pk}/", {"role": "organiser"}, **headers).status_code == 200
    assert sent(ben, "DELETE", f"members/{own.pk}/", None, **headers).status_code == 204
    assert sent(ben, "GET", f"groups/{people.group.pk}/").status_code == 404


def test_somebody_without_an_account_cannot_organise(people: build.People) -> None:
    place = place_of(people, people.eve)
    ben = build.signed_in(people.ben)
    refused = sent(ben, "PATCH", f"members/{place.pk}/", {"role": "organiser"}, **{"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["code"]) == (409, "no_account")


def test_removing_takes_a_reason_and_ends_what_the_person_sees(people: build.People) -> None:
    ben, dan = build.signed_in(people.ben), build.signed_in(people.dan)
    place = place_of(people, people.dan)
    headers = {"If-Match": '"1"'}
    assert sent(ben, "DELETE", f"members/{place.pk}/", {"reason": ""}, **headers).status_code == 400
    assert sent(ben, "DELETE", f"members/{place.pk}/", {"reason": "Agreed by phone."}, **headers).status_code == 204
    assert sent(dan, "GET", f"groups/{people.group.pk}/").status_code == 404
    assert "Agreed by phone." in dan.get("/settings/").content.decode()
    assert sent(ben, "GET", f"groups/{people.group.pk}/audit/").json()["results"][0]["reason"] == "Agreed by phone."


def test_a_scorer_adds_guests_and_nobody_else(people: build.People) -> None:
    Membership.objects.filter(player=people.dan).update(role=Role.SCORER)
    dan, path = build.signed_in(people.dan), f"groups/{people.group.pk}/members/"
    made = sent(dan, "POST", path, {"name": "Gus"})
    assert (made.json()["role"], made.json()["keeper"]) == ("guest", str(people.dan.pk))
    assert sent(dan, "POST", path, {"name": "Gus", "role": "player"}).status_code == 403


def test_a_key_makes_one_person(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"groups/{people.group.pk}/members/"
    answers = [sent(ben, "POST", path, {"name": "Fay"}, **{"Idempotency-Key": "a" * 20}) for _ in range(2)]
    assert answers[0].json() == answers[1].json()
    assert Player.objects.filter(name="Fay").count() == 1


# Somebody without an account


def test_the_keeper_changes_name_and_ratings_and_a_mate_does_not(people: build.People) -> None:
    path, headers = f"players/{people.eve.pk}/", {"If-Match": '"1"'}
    assert sent(build.signed_in(people.dan), "PATCH", path, {"name": "Eva"}, **headers).status_code == 403
    changed = sent(build.signed_in(people.ann), "PATCH", path, {"name": "Eva", "is_under_18": True}, **headers)
    assert changed.json()["name"] == "Eva"
    cleared = sent(build.signed_in(people.ann), "PATCH", path, {"is_under_18": False}, **{"If-Match": '"2"'})
    assert cleared.status_code == 403


def test_an_organiser_erases_a_guest_and_the_keeper_does_not(people: build.People) -> None:
    path, headers = f"players/{people.eve.pk}/", {"If-Match": '"1"'}
    assert sent(build.signed_in(people.ann), "DELETE", path, None, **headers).status_code == 403
    assert sent(build.signed_in(people.ben), "DELETE", path, None, **headers).status_code == 204
    assert sent(build.signed_in(people.ben), "GET", path).status_code == 404
    eve = Player.objects.get(pk=people.eve.pk)
    assert (eve.name, eve.erased_at is not None) == ("former player", True)


# Invitations


def invite(people: build.People, **wanted: Any) -> Any:
    made = sent(build.signed_in(people.ben), "POST", f"groups/{people.group.pk}/invitations/", wanted)
    assert made.status_code == 201
    return made.json()


def test_a_link_is_shown_once_and_kept_as_a_hash(people: build.People) -> None:
    ben = build.signed_in(people.ben)
    path, key = f"groups/{people.group.pk}/invitations/", {"Idempotency-Key": "b" * 20}
    first, again = (sent(ben, "POST", path, {"label": "Fay"}, **key).json() for _ in range(2))
    value = first["link"].rstrip("/").rpartition("/")[2]
    assert (again["id"], again["link"]) == (first["id"], None)
    assert ben.get(f"/api/v1/invitations/{first['id']}/").json()["link"] is None
    assert len(value) >= 43
    assert value not in str(list(Invitation.objects.values()))


def test_a_link_makes_no_organiser(people: build.People) -> None:
    ben = build.signed_in(people.ben)
    refused = sent(ben, "POST", f"groups/{people.group.pk}/invitations/", {"role": "organiser"})
    assert (refused.status_code, refused.json()["errors"][0]["field"]) == (400, "role")


def test_cat_joins_once_by_a_link(people: build.People) -> None:
    link = invite(people, role="scorer", uses=1)["link"]
    cat = build.signed_in(people.cat)
    joined = sent(cat, "POST", "join/", {"link": link, "hides_lines": True})
    assert (joined.status_code, joined.json()["role"], joined.json()["hides_lines"]) == (201, "scorer", True)
    assert sent(cat, "GET", f"groups/{people.group.pk}/").status_code == 200
    assert sent(build.signed_in(build.player("Fay")), "POST", "join/", {"link": link}).status_code == 404


def test_withdrawn_and_guessed_links_answer_alike(people: build.People) -> None:
    made = invite(people)
    assert sent(build.signed_in(people.ben), "DELETE", f"invitations/{made['id']}/").status_code == 204
    cat = build.signed_in(people.cat)
    withdrawn = sent(cat, "POST", "join/", {"link": made["link"]})
    guessed = sent(cat, "POST", "join/", {"link": "http://testserver/join/guess/"})
    assert (withdrawn.status_code, withdrawn.content) == (404, guessed.content)


def test_a_mate_never_learns_of_an_invitation(people: build.People) -> None:
    made = invite(people)
    ann = build.signed_in(people.ann)
    assert sent(ann, "GET", f"invitations/{made['id']}/").status_code == 404
    assert sent(ann, "DELETE", f"invitations/{made['id']}/").status_code == 404


def test_a_claim_link_hands_the_cards_over(people: build.People) -> None:
    link = invite(people, guest=str(people.eve.pk))["link"]
    newcomer = build.player("Evelyn")
    joined = sent(build.signed_in(newcomer), "POST", "join/", {"link": link})
    assert joined.json()["player"] == str(people.eve.pk)
    eve = Player.objects.get(pk=people.eve.pk)
    assert (eve.account_id, eve.name) == (newcomer.account_id, "Evelyn")
    assert not Player.objects.filter(pk=newcomer.pk).exists()
    assert place_of(people, eve).role == Role.PLAYER
    assert place_of(people, eve).keeper is None


# The record


def test_a_mate_reads_of_the_record_what_concerns_them(people: build.People) -> None:
    ben = build.signed_in(people.ben)
    sent(ben, "PATCH", f"members/{place_of(people, people.dan).pk}/", {"role": "scorer"}, **{"If-Match": '"1"'})
    assert [line["words"] for line in sent(ben, "GET", f"groups/{people.group.pk}/audit/").json()["results"]] == [
        "Ben changed the place of Dan: role player → scorer"
    ]
    path = f"groups/{people.group.pk}/audit/"
    assert sent(build.signed_in(people.ann), "GET", path).json()["results"] == []
    assert sent(build.signed_in(people.dan), "GET", path).json()["count"] == 1


def test_a_group_mate_sees_shared_groups_only(people: build.People) -> None:
    build.membership(people.other_group, people.dan)
    seen = sent(build.signed_in(people.ann), "GET", f"players/{people.dan.pk}/").json()
    assert [place["name"] for place in seen["groups"]] == ["Lapwing Friday Group"]


def test_a_page_of_members_asks_the_database_a_few_times(people: build.People, django_assert_max_num_queries) -> None:
    ben = build.signed_in(people.ben)
    ben.get("/api/v1/me/")
    for number in range(20):
        build.membership(people.group, build.player(f"Player {number}", has_account=False))
    with django_assert_max_num_queries(14):
        assert sent(ben, "GET", f"groups/{people.group.pk}/members/").json()["count"] == 24
