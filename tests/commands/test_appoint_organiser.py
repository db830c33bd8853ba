"""A group that lost its last organiser goes on with a member who is willing."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from league.models import Membership, Role
from tests import build


@pytest.fixture
def people(db: None) -> build.People:
    """Ben, the only organiser, is gone."""
    people = build.people()
    Membership.objects.filter(group=people.group, player=people.ben).update(left_at=timezone.now())
    people.group.rests_since = timezone.now()
    people.group.save()
    return people


def appoint(people: build.People, email: str) -> str:
    out = StringIO()
    call_command("appoint_organiser", str(people.group.pk), email, reason="Ann asked by mail.", stdout=out)
    return out.getvalue()


def test_a_member_takes_over_and_the_record_says_why(people: build.People) -> None:
    assert appoint(people, people.ann.account.email.upper()) == f"Ann organises {people.group} now.\n"
    people.group.refresh_from_db()
    assert people.group.rests_since is None
    assert Membership.objects.get(group=people.group, player=people.ann).role == Role.ORGANISER
    record = build.signed_in(people.ann).get(f"/group/{people.group.pk}/record/").content.decode()
    assert "the service changed the place of Ann: role player → organiser" in record
    assert "Ann asked by mail." in record


def test_nobody_from_outside_takes_over(people: build.People) -> None:
    with pytest.raises(CommandError, match="Nobody in"):
        appoint(people, people.cat.account.email)
    people.group.refresh_from_db()
    assert people.group.rests_since is not None


def test_a_group_with_an_organiser_is_left_alone(people: build.People) -> None:
    people.group.rests_since = None
    people.group.save()
    with pytest.raises(CommandError, match="does not rest"):
        appoint(people, people.ann.account.email)


def test_an_unknown_group_is_said(people: build.People) -> None:
    people.group.pk = "00000000-0000-4000-8000-000000000000"
    with pytest.raises(CommandError, match="There is no group"):
        appoint(people, people.ann.account.email)
