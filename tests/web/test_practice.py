"""The practice page and its address in the API: with no cards, few and many; the owner's alone."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from league.models import Player, Tee
from league.services import barriers, outlooks, rounds
from league.services.rounds import HoleFacts, RoundFacts
from tests import build

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

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


def post_cards(player: Player, tee: Tee, count: int) -> None:
    """Every hole a bogey and one more on the first nine; three putts and a penalty on four holes of the first nine."""
    many = []
    for place in range(count):
        holes = [
            HoleFacts(
                number=hole.number,
                strokes=hole.par + (2 if hole.number <= 9 else 1),
                putts=3 if hole.number <= 4 else 2,
                penalties=int(hole.number in (5, 6)),
            )
            for hole in tee.in_play("18").holes
        ]
        many.append(RoundFacts(tee=tee, played_on=FIRST + timedelta(days=place), holes=holes))
    rounds.post_rounds(player=player, many=many, posted_by=player)
    outlooks.refresh_due()


def text_of(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_without_a_card_it_says_so_and_the_games_stand(ann: Client, people: build.People) -> None:
    answer = ann.get("/practice/")
    assert answer.status_code == 200
    text = text_of(answer)
    assert "Too few rounds to tell what costs most" in text
    assert "First putts from far, by putts: not recorded yet." in text
    assert "what a player of about 90 reaches about as often as not" in text
    for game in ("Through the gate", "On the green", "Down in three", "Two from far", "Over the line"):
        assert game in text
    told = ann.get("/api/v1/me/practice/").json()
    assert (told["parts"], told["may_save"], told["barrier"], told["level_is_known"]) == ([], None, None, False)
    assert told["reason"].startswith("Too few rounds")
    assert [one["kind"] for one in told["unknown"]] == ["recovery", "greens", "short", "putting", "carries"]
    assert len(told["games"]) == 5


def test_an_hour_goes_to_what_the_cards_show(ann: Client, people: build.People, tee: Tee) -> None:
    """Four three-putts, four greens missed beyond the budget and two penalties a round, against 90."""
    barriers.set_barrier(player=people.ann, score=90)
    post_cards(people.ann, tee, 6)
    told = ann.get("/api/v1/me/practice/").json()
    by_kind = {part["kind"]: part for part in told["parts"]}
    assert set(by_kind) == {"putting", "greens"}
    assert by_kind["putting"]["minutes"] == by_kind["greens"]["minutes"] == 30
    assert [(one["words"], one["costs"]["value"]) for one in told["left_out"]] == [("carries and lines", 2.0)]
    assert sum(part["minutes"] for part in told["parts"]) == told["minutes"] == 60
    page = ann.get("/practice/").content.decode()
    assert page.count('class="wh"') == 60
    assert "Of 60 minutes go " in page
    assert 'href="#split"' in page
    assert by_kind["putting"]["costs"]["value"] > by_kind["putting"]["may_save"]["value"] > 0
    assert by_kind["putting"]["costs"]["n"] == 108
    assert (told["barrier"], told["n_rounds"], told["reason"]) == (90, 6, "")
    assert told["may_save"]["low"] <= told["may_save"]["value"] <= told["may_save"]["high"]
    assert {one["kind"]: one["reason"] for one in told["unknown"]}["short"] == "not recorded yet"
    text = text_of(ann.get("/practice/"))
    assert f"First putts from far {by_kind['putting']['minutes']}" in text
    assert "6 cards hole by hole" in text
    assert "Games for the rest" in text
    assert "Carries and lines, 2.0: too little beside the others for ten minutes." in text
    assert "A green is missed by the tee shot, too" in text
    assert "your level reaches" in text


def test_cards_that_just_came_in_are_being_worked_out(ann: Client, people: build.People, tee: Tee) -> None:
    facts = RoundFacts(tee=tee, played_on=FIRST, gross=95)
    rounds.post_round(player=people.ann, facts=facts, posted_by=people.ann)
    assert "Being worked out." in text_of(ann.get("/practice/"))
    assert ann.get("/api/v1/me/practice/").json()["up_to_date"] is False
    outlooks.refresh_due()
    assert "Too few rounds" in text_of(ann.get("/practice/"))
    assert ann.get("/api/v1/me/practice/").json()["up_to_date"] is True


def test_another_time_is_split_too(ann: Client, people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=90)
    post_cards(people.ann, tee, 3)
    told = ann.get("/api/v1/me/practice/?minutes=30&barrier=90").json()
    assert sum(part["minutes"] for part in told["parts"]) == 30
    assert "Together 90" in text_of(ann.get("/practice/?minutes=90"))
    assert "Together 60" in text_of(ann.get("/practice/?minutes=7"))


@pytest.mark.parametrize(
    ("query", "field"), [("minutes=10", "minutes"), ("minutes=62", "minutes"), ("barrier=9", "barrier"), ("x=1", "x")]
)
def test_what_cannot_be_asked_is_named(ann: Client, people: build.People, query: str, field: str) -> None:
    answer = ann.get(f"/api/v1/me/practice/?{query}")
    assert answer.status_code == 400
    assert field in answer.content.decode()


def test_the_own_longest_club_sets_the_line(ann: Client, people: build.People) -> None:
    assert ann.post("/api/v1/carry-book/starter/", {"drive": 216}, content_type="application/json").status_code == 200
    told = ann.get("/api/v1/me/practice/").json()
    line = next(game for game in told["games"] if game["kind"] == "carries")
    assert "the driver" in line["setup"]


def test_nobody_else_is_answered(people: build.People) -> None:
    assert Client().get("/practice/").status_code == 401
    assert Client().get("/api/v1/me/practice/").status_code == 401


def test_progress_and_contents_lead_there(ann: Client, people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=90)
    post_cards(people.ann, tee, 3)
    assert ann.get("/progress/").content.decode().count('href="/practice/"') >= 2
