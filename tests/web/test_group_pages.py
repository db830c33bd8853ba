"""Who sees and does what on the pages of a group."""

import re

import pytest
from django.db import OperationalError

from league.models import AuditEntry, Membership, Player, Role
from league.reports import members as reports
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people() -> build.People:
    return build.people()


def test_the_group_page_names_everybody(people: build.People) -> None:
    page = build.signed_in(people.ann).get(f"/group/{people.group.pk}/")
    assert page.status_code == 200
    for name in ("Ann", "Ben", "Dan", "Eve"):
        assert name in page.content.decode()


@pytest.mark.parametrize("address", ["", "desk/", "change/", "record/", "people/new/", "invitations/new/", "leave/"])
def test_a_stranger_sees_of_a_group_what_they_see_of_none(people: build.People, address: str) -> None:
    cat = build.signed_in(people.cat)
    hidden = cat.get(f"/group/{people.group.pk}/{address}")
    invented = cat.get(f"/group/00000000-0000-4000-8000-000000000000/{address}")
    assert hidden.status_code == invented.status_code == 404
    assert hidden.content == invented.content


@pytest.mark.parametrize("address", ["", "desk/", "people/new/", "invitations/new/"])
def test_nobody_is_asked_to_sign_in_where_they_are(people: build.People, client, address: str) -> None:
    page = client.get(f"/group/{people.group.pk}/{address}")
    assert page.status_code == 401
    assert f'value="/group/{people.group.pk}/{address}"' in page.content.decode()


@pytest.mark.parametrize("address", ["desk/", "change/", "people/new/", "invitations/new/"])
def test_a_mate_may_not_organise(people: build.People, address: str) -> None:
    assert build.signed_in(people.ann).get(f"/group/{people.group.pk}/{address}").status_code == 403
    assert build.signed_in(people.ben).get(f"/group/{people.group.pk}/{address}").status_code == 200


def place_of(people: build.People, player: Player) -> Membership:
    return Membership.objects.get(group=people.group, player=player, left_at=None)


def test_somebody_without_an_account_is_added_once(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"/group/{people.group.pk}/people/new/"
    key = re.search(r'name="key" value="([^"]+)"', ben.get(path).content.decode())[1]
    entered = {"name": "Fay", "role": "guest", "rated_for": "women", "key": key}
    assert ben.post(path, entered).status_code == ben.post(path, entered).status_code == 303
    place = Membership.objects.get(player__name="Fay")
    assert (place.role, place.keeper, place.player.account) == (Role.GUEST, people.ben, None)


def test_a_scorer_adds_a_guest_whatever_the_form_says(people: build.People) -> None:
    Membership.objects.filter(player=people.dan).update(role=Role.SCORER)
    dan, path = build.signed_in(people.dan), f"/group/{people.group.pk}/people/new/"
    assert dan.post(path, {"name": "Fay", "role": "player", "rated_for": "women"}).status_code == 303
    assert Membership.objects.get(player__name="Fay").role == Role.GUEST


@pytest.mark.parametrize("address", ["", "remove/", "erase/"])
def test_only_organisers_change_members(people: build.People, address: str) -> None:
    path = f"/members/{place_of(people, people.eve).pk}/{address}"
    assert build.signed_in(people.dan).get(path).status_code == 403
    assert build.signed_in(people.cat).get(path).status_code == 404
    assert build.signed_in(people.ben).get(path).status_code == 200


def test_two_organisers_at_one_form_overwrite_nothing_unseen(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"/group/{people.group.pk}/change/"
    version = re.search(r'name="version" value="([^"]+)"', ben.get(path).content.decode())[1]
    first, second = ({"name": name, "time_zone": "Europe/Paris", "version": version} for name in ("One", "Two"))
    assert ben.post(path, first).status_code == 303
    late = ben.post(path, second)
    assert late.status_code == 409
    shown = late.content.decode()
    for words in ("Nothing was overwritten", "One", 'value="Two"'):
        assert words in shown
    again = re.search(r'name="version" value="([^"]+)"', shown)[1]
    assert ben.post(path, {**second, "version": again}).status_code == 303
    people.group.refresh_from_db()
    assert people.group.name == "Two"


def test_a_role_is_changed_and_written_down(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"/members/{place_of(people, people.dan).pk}/"
    assert ben.post(path, {"role": "scorer", "version": "1"}).status_code == 303
    late = ben.post(path, {"role": "organiser", "version": "1"})
    assert late.status_code == 409
    assert 'name="version" value="2"' in late.content.decode()
    assert place_of(people, people.dan).role == Role.SCORER
    assert "role player → scorer" in ben.get(f"/group/{people.group.pk}/record/").content.decode()


def test_the_last_organiser_hears_what_to_do_first(people: build.People) -> None:
    ben = build.signed_in(people.ben)
    page = ben.post(f"/members/{place_of(people, people.ben).pk}/", {"role": "player", "version": "1"})
    assert page.status_code == 409
    assert "only organiser" in page.content.decode()
    assert ben.post(f"/group/{people.group.pk}/leave/").status_code == 409
    assert place_of(people, people.ben).role == Role.ORGANISER


def test_removing_needs_a_reason(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"/members/{place_of(people, people.dan).pk}/remove/"
    assert ben.post(path, {"reason": " "}).status_code == 400
    assert ben.post(path, {"reason": "Moved to the coast."}).status_code == 303
    assert build.signed_in(people.dan).get(f"/group/{people.group.pk}/").status_code == 404


def test_leaving_is_ones_own_to_do(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    assert ann.post(f"/group/{people.group.pk}/leave/").status_code == 303
    assert ann.get(f"/group/{people.group.pk}/").status_code == 404
    assert AuditEntry.objects.get(action="left").about == people.ann


def test_the_keeper_changes_a_guest_and_nobody_else(people: build.People) -> None:
    path = f"/members/{place_of(people, people.eve).pk}/profile/"
    assert build.signed_in(people.dan).get(path).status_code == 403
    assert build.signed_in(people.ann).post(path, {"name": "Eva", "rated_for": "women"}).status_code == 303
    assert Player.objects.get(pk=people.eve.pk).name == "Eva"
    own = f"/members/{place_of(people, people.ann).pk}/profile/"
    assert build.signed_in(people.ann).get(own).status_code == 403


def test_a_claim_link_for_somebody_with_an_account_is_refused_with_a_page(people: build.People) -> None:
    page = build.signed_in(people.ben).post(f"/members/{place_of(people, people.dan).pk}/claim/")
    assert page.status_code == 409
    assert "nothing to hand over" in page.content.decode()


def test_a_busy_database_answers_with_a_page_that_needs_none(people: build.People, monkeypatch) -> None:
    def busy(*args: object, **options: object) -> None:
        raise OperationalError("database is locked: canary")

    ben = build.signed_in(people.ben)
    ben.get(f"/group/{people.group.pk}/")
    monkeypatch.setattr(reports, "group_members", busy)
    page = ben.get(f"/group/{people.group.pk}/")
    assert (page.status_code, page["Retry-After"]) == (503, "5")
    assert "canary" not in page.content.decode()


def test_a_guest_is_erased_at_once(people: build.People) -> None:
    ben, path = build.signed_in(people.ben), f"/members/{place_of(people, people.eve).pk}/erase/"
    assert ben.post(path).status_code == 303
    assert "Eve" not in ben.get(f"/group/{people.group.pk}/").content.decode()
    assert build.signed_in(people.ben).get(f"/members/{place_of(people, people.ann).pk}/erase/").status_code == 403


def test_a_second_group_can_be_set_up_and_stands_at_the_head(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    done = ann.post("/groups/new/", {"name": "Plover Pair", "time_zone": "Europe/Dublin"})
    page = ann.get(done["Location"]).content.decode()
    assert "Plover Pair" in page.split("</header>")[0]
    assert "Lapwing Friday Group" in page
    assert "Plover Pair" in ann.get("/settings/").content.decode().split("</header>")[0]


def test_the_desk_lists_what_waits(people: build.People) -> None:
    page = build.signed_in(people.ben).get(f"/group/{people.group.pk}/desk/").content.decode()
    assert "Nothing waits." in page
    assert "Eve" in page
