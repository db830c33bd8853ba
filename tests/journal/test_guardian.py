"""Who decides under 18: what can be seen to be no guardian is refused, and an answer can be changed."""

from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from journal.models import GuardianDecision
from journal.services import guardian
from journal.services.words import may_write_freely
from league.rules.errors import RuleBroken
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def minor(people: build.People) -> Client:
    people.ann.is_under_18 = True
    people.ann.save()
    return build.signed_in(people.ann)


def ask(client: Client, address: str) -> object:
    return client.post(reverse("guardian_ask"), {"guardian_email": address, "password": build.PASSWORD})


def test_ones_own_address_and_that_of_another_minor_decide_nothing(minor: Client, people: build.People) -> None:
    people.dan.is_under_18 = True
    people.dan.save()
    for player in (people.ann, people.dan):
        answer = ask(minor, player.account.email.upper())
        assert answer.status_code == 400
        assert "This address cannot decide." in answer.content.decode()
    assert not GuardianDecision.objects.exists()
    assert mail.outbox == []
    assert ask(minor, people.ben.account.email).status_code == 303


def test_the_link_is_not_for_whom_it_is_about(minor: Client, people: build.People) -> None:
    link = reverse("guardian", args=[guardian.ask_guardian(player=people.ann, address="parent@example.org")])
    for answer in (minor.get(link), minor.post(link, {"answer": "yes"})):
        assert answer.status_code == 403
        assert "<button" not in answer.content.decode().split("<main", 1)[1].split("</main", 1)[0]
    assert not may_write_freely(people.ann)
    for client in (Client(), build.signed_in(people.ben)):
        assert client.get(link).status_code == 200


def test_a_yes_is_taken_back_by_its_link_however_late(minor: Client, people: build.People) -> None:
    link = reverse("guardian", args=[guardian.ask_guardian(player=people.ann, address="parent@example.org")])
    parent = Client()
    parent.post(link, {"answer": "yes"})
    assert may_write_freely(people.ann)
    GuardianDecision.objects.update(ends_at=timezone.now() - timedelta(days=300))
    assert "Your answer so far: yes." in parent.get(link).content.decode()
    assert "Stored: no." in parent.post(link, {"answer": "no"}).content.decode()
    assert not may_write_freely(people.ann)


def test_asking_again_undoes_no_answer(minor: Client, people: build.People) -> None:
    first = guardian.ask_guardian(player=people.ann, address="parent@example.org")
    guardian.decide(decision=GuardianDecision.objects.get(), allows=False)
    second = guardian.ask_guardian(player=people.ann, address="parent@example.org")
    assert GuardianDecision.objects.get().allows is False
    assert Client().get(reverse("guardian", args=[first])).status_code == 404
    GuardianDecision.objects.update(ends_at=timezone.now() - timedelta(days=1))
    assert Client().get(reverse("guardian", args=[second])).status_code == 404, "the old answer keeps no new link open"
    guardian.decide(decision=GuardianDecision.objects.get(), allows=True)
    with pytest.raises(RuleBroken, match="said yes"):
        guardian.ask_guardian(player=people.ann, address="parent@example.org")
