"""Lists of measured shots through the API: read, stored together, known again, taken back; each for its owner alone."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from league.models import Club, Shot
from league.services import carries
from tests import build

pytestmark = pytest.mark.django_db
BOOK = "/api/v1/carry-book/"
LIST = "club,carry,off line,date\n7i,138,6 R,2026-04-03\n7 iron,131,-4,2026-04-03\nPW,95,,\n"


@pytest.fixture(autouse=True)
def _fresh_cache(settings: Any) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def ann(people: build.People) -> Client:
    return build.signed_in(people.ann)


def read(client: Client, table: str = LIST, **more: Any) -> dict[str, Any]:
    answer = client.post(f"{BOOK}shots/", json.dumps({"table": table, **more}), "application/json")
    assert answer.status_code == 200, answer.content
    return answer.json()


def places(told: dict[str, Any]) -> list[tuple[int, str, str]]:
    return [(problem["row"], problem["column"], problem["code"]) for problem in told["problems"]]


def test_a_list_is_looked_at_before_anything_is_stored(people, ann):
    carries.add_club(player=people.ann, facts=carries.ClubFacts(name="7-Iron", kind="iron", carry=140))
    told = read(ann)
    assert [(shot["row"], shot["club"], shot["carry"], shot["off_line"]) for shot in told["shots"]] == [
        (2, "7 iron", 138, 6),
        (3, "7 iron", 131, -4),
        (4, "pitching wedge", 95, None),
    ]
    assert (told["new_clubs"], told["problems"], told["stored"], told["list"]) == (["pitching wedge"], [], False, None)
    assert (Shot.objects.count(), Club.objects.count()) == (0, 1)


def test_it_is_stored_once_and_taken_back_as_a_whole(people, ann):
    carries.add_club(player=people.ann, facts=carries.ClubFacts(name="7-Iron", kind="iron", carry=140))
    own = carries.add_shots(club=Club.objects.get(), shots=[carries.ShotFacts(carry=150)])
    stored = read(ann, apply=True)
    again = read(ann, apply=True)
    assert (stored["stored"], again["stored"], again["list"]) == (True, True, stored["list"])
    assert sorted(Shot.objects.values_list("club__name", "carry")) == [
        ("7-Iron", 131),
        ("7-Iron", 138),
        ("7-Iron", 150),
        ("pitching wedge", 95),
    ]
    one = ann.get(f"{BOOK}shot-lists/{stored['list']}/").json()
    assert ann.get(f"{BOOK}shot-lists/").json() == {"lists": [one]}
    assert (one["n_shots"], one["n_clubs"], one["first_on"], one["last_on"]) == (3, 2, "2026-04-03", "2026-04-03")
    assert ann.delete(f"{BOOK}shot-lists/{stored['list']}/").status_code == 204
    assert ann.delete(f"{BOOK}shot-lists/{stored['list']}/").status_code == 404
    assert [shot.pk for shot in Shot.objects.all()] == [own[0].pk]
    assert Club.objects.count() == 2
    assert read(ann)["stored"] is False


def test_a_list_in_metres_comes_into_a_book_in_yards(ann):
    """100 / 0.9144 = 109.36."""
    assert read(ann, "club,carry\n7i,100\n", length_unit="metres")["shots"][0]["carry"] == 109
    assert read(ann, "club,carry (m)\n7i,100\n")["length_unit"] == "yards"


def test_nothing_is_stored_while_there_is_a_problem(ann):
    tomorrow = timezone.now().date() + timedelta(days=2)
    table = (
        f"club,carry,off line,date\n7i,140,,\nThe Spoon,140,,\nputter,5,,\n7i,401,,\n7i,0,,\n7i,140,151,\n"
        f"7i,140,,{tomorrow}\n"
    )
    told = read(ann, table, apply=True)
    assert places(told) == [
        (3, "club", "club_unknown"),
        (4, "club", "carry_range"),
        (5, "carry", "carry_range"),
        (6, "carry", "carry_range"),
        (7, "off line", "off_line_range"),
        (8, "date", "hit_in_future"),
    ]
    assert not told["stored"]
    assert (Shot.objects.count(), Club.objects.count()) == (0, 0)


def test_an_open_date_is_asked_and_answered(ann):
    table = "club,carry,date\n7i,140,03/04/2026\n"
    assert [one["code"] for one in read(ann, table, apply=True)["questions"]] == ["day_first"]
    assert not Shot.objects.exists()
    assert read(ann, table, apply=True, day_first=True)["shots"][0]["hit_on"] == "2026-04-03"


def test_dated_shots_that_stand_already_are_counted(ann):
    read(ann, apply=True)
    told = read(ann, f"{LIST}8i,120,,\n")
    assert (told["n_alike"], told["stored"]) == (2, False)


def test_a_book_has_room_for_so_much(people, ann):
    clubs = "".join(f"club {at} wedge,90\n" for at in range(31))
    assert places(read(ann, f"club,carry\n{clubs}", apply=True)) == [(0, "club", "clubs_many")]
    read(ann, "club,carry\n" + "".join(f"{at} wedge,90\n" for at in range(16)), apply=True)
    assert Club.objects.filter(is_carried=True).count() == 14
    club = Club.objects.first()
    Shot.objects.bulk_create(Shot(club=club, carry=90) for _ in range(carries.MOST_SHOTS - 18))
    assert places(read(ann, LIST)) == [(0, "", "shots_many")]


def test_the_organiser_sees_no_list(people, ann):
    stored = read(ann, apply=True)
    ben = build.signed_in(people.ben)
    assert ben.get(f"{BOOK}shot-lists/").json() == {"lists": []}
    for method in (ben.get, ben.delete):
        assert method(f"{BOOK}shot-lists/{stored['list']}/").status_code == 404
    assert Shot.objects.count() == 3


def test_the_same_list_of_two_people_is_two_lists(people, ann):
    first = read(ann, apply=True)["list"]
    assert read(build.signed_in(people.ben), apply=True)["list"] != first
    assert Shot.objects.count() == 6
