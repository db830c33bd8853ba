"""Whether a bad hole carries over in a group: what is told of it, of whom, and from how many rounds."""

from datetime import date, timedelta
from random import Random

import pytest
from django.urls import reverse

from league import tasks
from league.models import GroupEvidence, Membership, Player, Tee
from league.reports.evidence import carry_over_of
from league.services import evidence
from league.services.rounds import HoleFacts, RoundFacts, post_round
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


def play(player: Player, tee: Tee, n: int) -> None:
    rng = Random(player.name)
    for number in range(n):
        holes = tuple(
            HoleFacts(number=hole.number, strokes=hole.par + rng.choice((0, 1, 1, 2, 3))) for hole in tee.holes.all()
        )
        facts = RoundFacts(tee=tee, played_on=date(2026, 2, 1) + timedelta(days=number), holes=holes)
        post_round(player=player, facts=facts, posted_by=player)


def test_of_two_players_nothing_is_told(people, tee):
    play(people.ann, tee, 3)
    play(people.ben, tee, 3)
    evidence.weigh_group(group=people.group)
    told = carry_over_of(people.group)
    assert (told.n_rounds, told.n_players, told.found) == (6, 2, None)
    assert told.verdict.startswith("too few players")


def test_few_rounds_have_an_interval_and_no_verdict(people, tee):
    for player in (people.ann, people.ben, people.dan):
        play(player, tee, 3)
    tasks.judge_outlooks()
    told = carry_over_of(people.group)
    assert (told.n_rounds, told.verdict) == (9, "too few rounds to tell: 9 of 100")
    assert told.effect.low < told.effect.value < told.effect.high
    page = build.signed_in(people.ann).get(reverse("group", args=[people.group.pk])).content.decode()
    assert "Too few rounds to tell: 9 of 100." in page
    assert told.said in page
    answer = build.signed_in(people.ann).get(f"/api/v1/groups/{people.group.pk}/carry-over/").json()
    assert (answer["n_rounds"], answer["verdict"], answer["effect"]["value"]) == (9, told.verdict, told.effect.value)


def test_totals_and_who_shows_the_index_only_stay_out(people, tee):
    for player in (people.ann, people.ben, people.dan):
        play(player, tee, 2)
    post_round(
        player=people.ann,
        facts=RoundFacts(tee=tee, played_on=date(2026, 5, 1), gross=95, adjusted_gross=94),
        posted_by=people.ann,
    )
    Membership.objects.filter(player=people.dan).update(hides_lines=True)
    assert evidence.weigh_group(group=people.group).n_rounds == 4
    assert evidence.weigh_group(group=people.other_group).n_rounds == 0
    assert GroupEvidence.objects.count() == 2


def test_before_anything_is_worked_out_nothing_stands_there(people):
    assert carry_over_of(people.group).verdict.startswith("too few")
    assert (
        "carry over" not in build.signed_in(people.ann).get(reverse("group", args=[people.group.pk])).content.decode()
    )
