"""Progress, barriers, numbers and home, with none, few and many rounds; each for its owner alone."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from league.models import Barrier, Player, Tee
from league.services import barriers, judging, outlooks, rounds
from league.services.rounds import HoleFacts, RoundFacts
from tests import build

# The services behind these pages are asked over the API on both databases.
pytestmark = [pytest.mark.django_db, pytest.mark.one_database(on="postgresql")]

FIRST = date(2026, 1, 5)


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


@pytest.fixture
def ann(people: build.People) -> Client:
    return build.signed_in(people.ann)


def post_many(player: Player, tee: Tee, count: int, least: int = 90) -> None:
    many = [
        RoundFacts(tee=tee, played_on=FIRST + timedelta(days=place), gross=least + place * 7 % 12)
        for place in range(count)
    ]
    rounds.post_rounds(player=player, many=many, posted_by=player)
    outlooks.refresh_due()


def text_of(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


@pytest.mark.parametrize("count", [0, 2, 4, 15, 200])
@pytest.mark.parametrize("aims", [(), (88,), (70, 60), (150,)])
def test_every_page_stands_with_any_number_of_rounds(
    people: build.People, ann: Client, tee: Tee, count: int, aims: tuple[int, ...]
) -> None:
    for score in aims:
        barriers.set_barrier(player=people.ann, score=score)
    post_many(people.ann, tee, count)
    for address in ("/", "/progress/", "/numbers/"):
        answer = ann.get(address)
        assert answer.status_code == 200, address
        assert "None" not in text_of(answer).replace("None set.", "")
        assert "nan" not in text_of(answer).split()
    progress = text_of(ann.get("/progress/"))
    assert ("and there is something to say" in progress) == (count < 3)
    # 150 has fallen with the first round, and the next that players speak of stands in its place.
    assert ("Next time here" in progress) == (count >= 3)


def test_a_barrier_far_away_leaves_the_usual_score_at_the_head(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=62)
    post_many(people.ann, tee, 20)
    home = text_of(ann.get("/"))
    assert "0 of 20 equally" not in home
    assert "your usual score on this tee" in home
    assert "Under 62 next time" in home


def test_a_plus_player_has_no_classic_barrier_left(people: build.People, ann: Client, tee: Tee) -> None:
    post_many(people.ann, tee, 20, least=62)
    home = text_of(ann.get("/"))
    assert "your usual score on this tee" in home
    assert ann.get("/progress/").status_code == 200


def test_the_next_of_several_is_spoken_of(people: build.People, ann: Client, tee: Tee) -> None:
    for score in (94, 80, 90):
        barriers.set_barrier(player=people.ann, score=score)
    post_many(people.ann, tee, 4, least=95)
    assert "fall under 94" in text_of(ann.get("/"))


def test_what_has_fallen_is_shown_with_its_proof(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=91)
    post_many(people.ann, tee, 3)
    page = ann.get("/progress/").content.decode()
    assert f"/rounds/{Barrier.objects.get().broken_by_id}/" in page
    assert "Broken on" in page


def test_a_barrier_is_set_hidden_shown_and_dropped_on_the_page(people: build.People, ann: Client, tee: Tee) -> None:
    form = ann.get("/progress/").content.decode()
    key = re.search(r'name="key" value="([^"]+)"', form)
    sent = {"score": "88", "tee": "", "is_hidden": "on", "key": key[1] if key else ""}
    assert ann.post("/barriers/new/", sent).status_code == 303
    assert ann.post("/barriers/new/", sent).status_code == 303
    barrier = Barrier.objects.get()
    assert (barrier.score, barrier.is_hidden) == (88, True)
    assert "kept to yourself" in text_of(ann.get("/progress/"))
    assert ann.post(f"/barriers/{barrier.pk}/hide/").status_code == 303
    barrier.refresh_from_db()
    assert not barrier.is_hidden
    assert ann.get(f"/barriers/{barrier.pk}/drop/").status_code == 200
    assert Barrier.objects.exists()
    assert ann.post(f"/barriers/{barrier.pk}/drop/").status_code == 303
    assert not Barrier.objects.exists()


@pytest.mark.parametrize("score", ["", "59", "151", "ninety", "9" * 40, "90.5"])
def test_what_is_no_barrier_comes_back_with_words(ann: Client, tee: Tee, score: str) -> None:
    answer = ann.post("/barriers/new/", {"score": score})
    assert answer.status_code == 400
    assert 'aria-invalid="true"' in answer.content.decode()
    assert not Barrier.objects.exists()


def test_twice_is_said_beside_the_field(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=88)
    answer = ann.post("/barriers/new/", {"score": "88"})
    assert answer.status_code == 409
    assert "Under 88 is set already" in text_of(answer)


@pytest.mark.parametrize("name", ["ben", "dan", "cat"])
@pytest.mark.parametrize("act", ["hide", "drop"])
def test_a_barrier_of_somebody_else_is_not_there(people: build.People, name: str, act: str) -> None:
    barrier = barriers.set_barrier(player=people.ann, score=88)
    client = build.signed_in(getattr(people, name))
    assert client.post(f"/barriers/{barrier.pk}/{act}/").status_code == 404
    assert Barrier.objects.filter(pk=barrier.pk, is_hidden=False).exists()


@pytest.mark.parametrize("address", ["/progress/", "/numbers/", "/barriers/new/"])
def test_nobody_is_shown_the_way_in(address: str) -> None:
    answer = Client().get(address)
    assert answer.status_code == 401
    assert "/sign-in/" in answer.content.decode()


def test_the_pages_are_about_their_reader(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=77, is_hidden=True)
    post_many(people.ann, tee, 6)
    for name in ("ben", "dan", "cat"):
        client = build.signed_in(getattr(people, name))
        for address in ("/", "/progress/", f"/progress/?player={people.ann.pk}", "/numbers/"):
            assert "under 77" not in text_of(client.get(address)).lower()
    assert build.signed_in(people.cat).get(f"/progress/?tee={tee.pk}").status_code == 404
    assert build.signed_in(people.cat).get(f"/numbers/?group={people.group.pk}").status_code == 404


def test_numbers_say_too_few_until_thirty(people: build.People, ann: Client, tee: Tee) -> None:
    assert "Too few rounds to tell" in text_of(ann.get("/numbers/"))
    post_many(people.ann, tee, 32)
    judging.judge_all()
    assert "Too few rounds to tell" in text_of(ann.get("/numbers/"))
    post_many(people.dan, tee, 40)
    judging.judge_all()
    page = text_of(ann.get("/numbers/"))
    assert "Too few rounds to tell" not in page
    assert "66 outlooks have met their round" in page
    assert "66 outlooks" in text_of(ann.get(f"/numbers/?group={people.group.pk}"))


def test_one_card_hole_by_hole_is_too_little_for_the_leaks(people: build.People, ann: Client, tee: Tee) -> None:
    """Enough rounds for an outlook, too few holes for any rung of the ladder."""
    holes = tuple(HoleFacts(number=hole.number, strokes=hole.par + 1) for hole in tee.holes.all())
    rounds.post_round(player=people.ann, facts=RoundFacts(tee=tee, played_on=FIRST, holes=holes), posted_by=people.ann)
    post_many(people.ann, tee, 5)
    assert ann.get("/").status_code == 200
    answer = ann.get("/progress/")
    assert answer.status_code == 200
    assert "from three cards of eighteen holes on, entered hole by hole; one is here so far." in text_of(answer)


def test_leaks_and_what_ifs_come_from_cards_hole_by_hole(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=85)
    for place in range(6):
        holes = tuple(
            HoleFacts(number=hole.number, strokes=hole.par + 1 + (hole.number == 3), putts=2, penalties=0)
            for hole in tee.holes.all()
        )
        facts = RoundFacts(tee=tee, played_on=FIRST + timedelta(days=place), holes=holes)
        rounds.post_round(player=people.ann, facts=facts, posted_by=people.ann)
    outlooks.refresh_due()
    page = text_of(ann.get("/progress/"))
    for words in ("From a usual", "one penalty fewer a round", "three-putts halved", "no hole worse than double"):
        assert words in page


def test_the_budget_is_on_the_page(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=90)
    post_many(people.ann, tee, 4, least=95)
    page = text_of(ann.get("/progress/"))
    assert "Under 90 on this tee is 89 or better" in page
    assert "Three doubles, if five holes are pars." in page


def test_optional_facts_are_entered_and_shown(people: build.People, ann: Client, tee: Tee) -> None:
    page = ann.get("/rounds/new/").content.decode()
    assert "More, if you like" in page
    key = re.search(r'name="key" value="([^"]+)"', page)
    card = {f"h{number}": "5" for number in range(1, 19)}
    more = {"shortgame1": "3", "longputt1": "on", "recovery2": "on", "noted": "on"}
    sent = {"tee": tee.pk, "holes": "18", "by": "holes", "played_on": "2026-04-03", "key": key[1] if key else ""}
    answer = ann.post("/rounds/new/", {**sent, **card, **more, "playing_conditions": "0"})
    assert answer.status_code == 303, text_of(answer)
    noted = list(people.ann.rounds.get().hole_scores.order_by("number"))
    assert [noted[0].first_putt_is_long, noted[0].strokes_from_60, noted[0].had_recovery] == [True, 3, False]
    assert [noted[1].first_putt_is_long, noted[1].strokes_from_60, noted[1].had_recovery] == [False, None, True]
    assert "What else was noted" in text_of(ann.get(answer["Location"]))
    again = ann.get(f"{answer['Location']}correct/").content.decode()
    assert "<details open>" in again


def test_an_empty_box_is_not_known_unless_said(people: build.People, ann: Client, tee: Tee) -> None:
    card = {f"h{number}": "5" for number in range(1, 19)}
    sent = {"tee": tee.pk, "holes": "18", "by": "holes", "played_on": "2026-04-03", "longputt1": "on"}
    assert ann.post("/rounds/new/", {**sent, **card, "playing_conditions": "0"}).status_code == 303
    told = people.ann.rounds.get().hole_scores.order_by("number").values_list("first_putt_is_long", "had_recovery")
    assert list(told)[:2] == [(True, None), (None, None)]


def test_the_day_of_the_judgement_is_kept(people: build.People) -> None:
    before = timezone.now()
    assert judging.judge_group(group=None).computed_at >= before
