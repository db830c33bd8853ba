"""Two at the same moment, with real commits: the last organiser and the last use of a link."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from league.models import Invitation, Membership, Player, Role
from league.services import members
from league.services.errors import Refused
from tests import build

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(first: Callable[[], object], second: Callable[[], object]) -> list[str]:
    """What each came to: "" or the code of the refusal."""
    start = Barrier(2)

    def run(act: Callable[[], object]) -> str:
        try:
            start.wait(10)
            act()
        except Refused as refused:
            return refused.code
        finally:
            connection.close()
        return ""

    with ThreadPoolExecutor(2) as threads:
        return sorted(threads.map(run, (first, second)))


def step_down(player: Player) -> Callable[[], object]:
    place = Membership.objects.select_related("group").get(player=player)
    return lambda: members.change_membership(membership=place, actor=player, changes={"role": Role.PLAYER})


def test_of_two_organisers_who_step_down_one_stays() -> None:
    people = build.people()
    Membership.objects.filter(player=people.ann).update(role=Role.ORGANISER)
    assert at_once(step_down(people.ann), step_down(people.ben)) == ["", "last_organiser"]
    assert Membership.objects.filter(group=people.group, role=Role.ORGANISER).count() == 1


def test_of_two_people_on_the_last_use_of_a_link_one_comes_in() -> None:
    people = build.people()
    members.make_invitation(group=people.group, actor=people.ben, uses=1)
    invitation, fay = Invitation.objects.select_related("group").get(), build.player("Fay")

    def join(player: Player) -> Callable[[], object]:
        return lambda: members.accept_invitation(invitation=invitation, player=player)

    assert at_once(join(people.cat), join(fay)) == ["", "invitation_over"]
    assert Membership.objects.filter(group=people.group, player__in=[people.cat, fay]).count() == 1
