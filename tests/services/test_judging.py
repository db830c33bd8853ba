"""How well outlooks have come true: counted from what was stored, beside plainer ways over the same rounds."""

from datetime import date, timedelta

import pytest

from league import tasks
from league.estimates import said
from league.models import Foretold, Judgement, Player, Tee
from league.services import judging, outlooks, rounds
from league.services.rounds import RoundFacts
from tests import build

pytestmark = pytest.mark.django_db

FIRST = date(2026, 1, 5)


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


def post_many(player: Player, tee: Tee, count: int) -> None:
    many = [
        RoundFacts(tee=tee, played_on=FIRST + timedelta(days=place), gross=90 + place * 7 % 12)
        for place in range(count)
    ]
    rounds.post_rounds(player=player, many=many, posted_by=player)
    outlooks.refresh_due()


def test_without_rounds_there_is_nothing_to_tell(people: build.People) -> None:
    found = judging.judge_group(group=None)
    assert (found.n_rounds, found.told) == (0, {"n": 0, "n_hindsight": 0})


def test_under_thirty_it_is_only_counted(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, said.FEWEST_OUTLOOKS + 2)
    found = judging.judge_group(group=None)
    assert found.n_rounds == said.FEWEST_OUTLOOKS - 1
    assert set(found.told) == {"n", "n_hindsight"}
    post_many(people.dan, tee, 4)
    assert "classes" in judging.judge_group(group=None).told


def test_every_way_is_judged_over_the_same_rounds(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, 40)
    post_many(people.dan, tee, 20)
    told = judging.judge_group(group=None).told
    assert told["n"] == 37 + 17 == told["band"]["n"]
    assert [one["name"] for one in told["ways"]] == [judging.OURS, *judging.BESIDE]
    assert sum(one["n"] for one in told["classes"]) <= told["n"]


def test_what_was_stored_is_judged_not_what_would_be_said_today(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, 40)
    right = judging.judge_group(group=None).told
    Foretold.objects.update(mode=60.0)
    wrong = judging.judge_group(group=None).told
    assert wrong["ways"][0]["crps"] > right["ways"][0]["crps"] + 10
    assert wrong["ways"][1]["crps"] == right["ways"][1]["crps"]
    assert wrong["band"]["happened"] == 0


def test_hindsight_is_counted(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, 40)
    Foretold.objects.filter(n_before__lt=13).update(is_hindsight=True)
    assert judging.judge_group(group=None).told["n_hindsight"] == 10


def test_a_group_is_judged_by_those_in_it(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, 10)
    own = build.tee(build.course(people.other_group))
    post_many(people.cat, own, 8)
    assert judging.judge_all() == 3
    counted = {str(found.group or "all"): found.n_rounds for found in Judgement.objects.select_related("group")}
    assert counted == {"all": 12, str(people.group): 7, str(people.other_group): 5}
    people.ann.memberships.update(left_at="2026-07-01T00:00:00Z")
    judging.judge_all()
    assert Judgement.objects.get(group=people.group).n_rounds == 0
    assert Judgement.objects.count() == 3


def test_the_first_judgement_comes_once_nothing_is_due(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, 10)
    rounds.post_round(player=people.dan, facts=RoundFacts(tee=tee, played_on=FIRST, gross=95), posted_by=people.dan)
    tasks.refresh_due_outlooks()
    assert not Judgement.objects.exists()
    tasks.refresh_due_outlooks()
    first = Judgement.objects.get(group=None)
    assert first.n_rounds == 7
    tasks.refresh_due_outlooks()
    assert Judgement.objects.get(group=None).computed_at == first.computed_at


def test_a_withdrawn_round_is_judged_no_more(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, 10)
    played = people.ann.rounds.order_by("-played_on").first()
    rounds.withdraw_round(played=played, version=played.version, withdrawn_by=None, reason="Not mine.")
    outlooks.refresh_due()
    assert judging.judge_group(group=None).n_rounds == 6
