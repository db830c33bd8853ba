"""Invitation links on pages: made and shown once, followed by somebody new and by somebody known."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from league.models import Invitation, Membership, Player, Role
from league.services.members import make_invitation
from tests import build

pytestmark = pytest.mark.django_db

NEW = {
    "name": "Ivy",
    "email": "ivy@example.org",
    "password": "lapwings over the dyke",
    "rated_for": "women",
    "length_unit": "metres",
    "hides_lines": "on",
    "is_under_18": "on",
}


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def link(people: build.People) -> str:
    _, value = make_invitation(group=people.group, actor=people.ben, uses=2, label="Ivy and Cat")
    return f"/join/{value}/"


def test_an_organiser_sees_link_and_square_once(people: build.People) -> None:
    ben = build.signed_in(people.ben)
    wanted = {"role": "player", "label": "Ivy", "uses": "1", "days": "14", "key": "d" * 24}
    done = ben.post(f"/group/{people.group.pk}/invitations/new/", wanted)
    assert ben.post(f"/group/{people.group.pk}/invitations/new/", wanted)["Location"] == done["Location"]
    assert Invitation.objects.count() == 1
    page = ben.get(done["Location"])
    shown = page.content.decode()
    link = re.search(r"http://testserver(/join/[\w-]+/)", shown)[1]
    assert "<svg" in shown
    assert "style=" not in shown
    assert Client().get(link).status_code == 200
    assert "/join/" not in ben.get(done["Location"]).content.decode()


@pytest.mark.parametrize(("field", "value"), [("uses", "0"), ("uses", "61"), ("days", "0"), ("role", "organiser")])
def test_an_invitation_keeps_its_bounds(people: build.People, field: str, value: str) -> None:
    wanted = {"role": "player", "label": "", "uses": "1", "days": "14", field: value}
    page = build.signed_in(people.ben).post(f"/group/{people.group.pk}/invitations/new/", wanted)
    assert page.status_code == 400
    assert not Invitation.objects.exists()


def test_the_page_says_who_asks_and_what_the_group_will_see(people: build.People, link: str, client: Client) -> None:
    page = client.get(link)
    shown = page.content.decode()
    for words in ("Lapwing Friday Group", "Ben", "lines of your ledger", "under 18"):
        assert words in shown
    assert page["Referrer-Policy"] == "same-origin"
    assert "noindex" in page["X-Robots-Tag"]
    for hidden in ("Ann", "Dan", "Ivy and Cat"):
        assert hidden not in shown


def test_somebody_new_comes_in_within_one_form(people: build.People, link: str, client: Client) -> None:
    done = client.post(link, NEW)
    assert (done.status_code, done["Location"]) == (303, f"/group/{people.group.pk}/")
    place = Membership.objects.get(player__name="Ivy")
    assert (place.role, place.hides_lines, place.player.is_under_18) == (Role.PLAYER, True, True)
    assert (place.player.length_unit, place.player.rated_for) == ("metres", "women")
    assert client.get(done["Location"]).status_code == 200


def test_a_double_press_on_the_last_use_leads_into_the_group(people: build.People, link: str, client: Client) -> None:
    Invitation.objects.update(uses_left=1)
    first, second = client.post(link, NEW), Client().post(link, NEW)
    assert (first.status_code, second.status_code) == (303, 303)
    assert second["Location"] == first["Location"]
    assert client.post(link).status_code == 303
    assert Membership.objects.filter(player__name="Ivy").count() == 1
    assert Client().post(link, {**NEW, "password": "not the password"}).status_code == 404
    assert Client().post("/join/guess/", NEW).status_code == 404


def test_faults_use_up_nothing(people: build.People, link: str, client: Client) -> None:
    assert client.post(link, {**NEW, "password": "short"}).status_code == 400
    assert client.post(link, {**NEW, "email": people.ann.account.email}).status_code == 409
    assert Invitation.objects.get().uses_left == 2
    assert not Player.objects.filter(name="Ivy").exists()


def test_somebody_known_joins_with_one_press_and_only_once(people: build.People, link: str) -> None:
    cat = build.signed_in(people.cat)
    assert "Ben" in cat.get(link).content.decode()
    assert cat.post(link).status_code == 303
    assert cat.post(link).status_code == 303
    assert Membership.objects.filter(group=people.group, player=people.cat).count() == 1
    assert Invitation.objects.get().uses_left == 1


def test_dead_links_answer_alike(people: build.People, link: str, client: Client) -> None:
    guessed = client.get("/join/guess/")
    Invitation.objects.update(ends_at=timezone.now() - timedelta(minutes=1))
    ended = client.get(link)
    Invitation.objects.update(ends_at=timezone.now() + timedelta(days=1), uses_left=0)
    used_up = client.get(link)
    Invitation.objects.update(uses_left=1, withdrawn_at=timezone.now())
    withdrawn = client.post(link, NEW)
    assert {page.status_code for page in (guessed, ended, used_up, withdrawn)} == {404}
    assert guessed.content == ended.content == used_up.content == withdrawn.content


def test_a_claim_link_makes_somebody_new_the_guest(people: build.People, client: Client) -> None:
    ben = build.signed_in(people.ben)
    place = Membership.objects.get(player=people.eve)
    assert build.signed_in(people.ann).post(f"/members/{place.pk}/claim/").status_code == 403
    done = ben.post(f"/members/{place.pk}/claim/")
    link = re.search(r"http://testserver(/join/[\w-]+/)", ben.get(done["Location"]).content.decode())[1]
    assert 'value="Eve"' in client.get(link).content.decode()
    assert client.post(link, {**NEW, "name": "Eve"}).status_code == 303
    eve = Player.objects.get(pk=people.eve.pk)
    assert eve.account.email == "ivy@example.org"
    assert Membership.objects.get(player=eve).role == Role.PLAYER
    assert Client().get(link).status_code == 404


def test_a_claim_link_is_not_for_somebody_who_is_in(people: build.People) -> None:
    _, value = make_invitation(group=people.group, actor=people.ben, guest=people.eve)
    page = build.signed_in(people.dan).post(f"/join/{value}/")
    assert page.status_code == 409
    assert Player.objects.get(pk=people.eve.pk).account is None


def test_a_withdrawn_invitation_is_gone_from_the_desk(people: build.People, link: str) -> None:
    ben = build.signed_in(people.ben)
    invitation = Invitation.objects.get()
    assert "Ivy and Cat" in ben.get(f"/group/{people.group.pk}/desk/").content.decode()
    assert build.signed_in(people.ann).post(f"/invitations/{invitation.pk}/withdraw/").status_code == 404
    assert ben.post(f"/invitations/{invitation.pk}/withdraw/").status_code == 303
    assert "Ivy and Cat" not in ben.get(f"/group/{people.group.pk}/desk/").content.decode()
