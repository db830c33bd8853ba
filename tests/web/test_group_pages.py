"""Who sees and does what on the pages of a group."""

import re

import pytest

from league.models import AuditEntry, Invitation, Membership, Player, Role
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
