import uuid
from datetime import date

import pytest
from django.test import Client
from django.utils import timezone

from league.models import Card, CardLine, Player, Round, Tee
from league.services.rounds import HoleFacts, RoundFacts, post_round
from tests import build


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


@pytest.fixture
def ann(people: build.People) -> Client:
    return build.signed_in(people.ann)


def play(player: Player, tee: Tee, day: int = 0, worst: int = 0, on: date | None = None) -> Round:
    """Bogey on every hole, and five over on the hole named; on that day of May, or on the day given."""
    over = {worst: 5}
    holes = tuple(
        HoleFacts(number=hole.number, strokes=hole.par + over.get(hole.number, 1), putts=2) for hole in tee.holes.all()
    )
    facts = RoundFacts(tee=tee, played_on=on or date(2026, 5, day), holes=holes)
    return post_round(player=player, facts=facts, posted_by=player)


def line_of(player: Player, tee: Tee, on: date = date(2026, 5, 1)) -> CardLine:
    card = Card.objects.create(
        client_id=uuid.uuid4(),
        opened_by=player,
        tee=tee,
        tee_version=1,
        played_on=on,
        opened_at=timezone.now(),
    )
    return CardLine.objects.create(card=card, player=player, place=1)


@pytest.fixture
def played(people: build.People, tee: Tee) -> Round:
    return play(people.ann, tee, 1, worst=4)
