"""Barriers, outlook, ladder, budget, progress and strip over the API; the pages say the same numbers."""

import json
import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from league.models import Barrier, Player, Tee
from league.services import barriers, outlooks, rounds
from league.services.rounds import HoleFacts, RoundFacts
from tests import build

pytestmark = pytest.mark.django_db

FIRST = date(2026, 1, 5)
OWN = ("/api/v1/me/outlook/?tee={tee}", "/api/v1/me/progress/?tee={tee}", "/api/v1/me/ladder/?barrier=90")


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


def send(client: Client, method: str, path: str, body: Any = None, **headers: str) -> Any:
    return client.generic(
        method, f"/api/v1/{path}", json.dumps(body) if body is not None else "", "application/json", headers=headers
    )


def test_a_barrier_is_set_read_hidden_and_dropped(ann: Client, people: build.People) -> None:
    made = send(ann, "POST", "barriers/", {"score": 90})
    assert (made.status_code, made["ETag"]) == (201, '"1"')
    body = made.json()
    assert {name: body[name] for name in ("score", "tee", "hidden", "broken_on", "broken_by")} == {
        "score": 90,
        "tee": None,
        "hidden": False,
        "broken_on": None,
        "broken_by": None,
    }
    path = f"barriers/{body['id']}/"
    assert send(ann, "PATCH", path, {"hidden": True}).status_code == 428
    hidden = send(ann, "PATCH", path, {"hidden": True}, If_Match=made["ETag"])
    assert (hidden.status_code, hidden.json()["hidden"], hidden["ETag"]) == (200, True, '"2"')
    assert send(ann, "PATCH", path, {"hidden": False}, If_Match=made["ETag"]).status_code == 412
    assert send(ann, "DELETE", path, If_Match=hidden["ETag"]).status_code == 204
    assert ann.get(f"/api/v1/{path}").status_code == 404


@pytest.mark.parametrize(
    ("body", "field"),
    [({"score": 59}, "score"), ({"score": 151}, "score"), ({"score": "90"}, "score"), ({"score": 90.5}, "score")],
)
def test_what_is_no_barrier_is_said_so(ann: Client, body: Any, field: str) -> None:
    answer = send(ann, "POST", "barriers/", body)
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == [field]
    assert not Barrier.objects.exists()


def test_twice_and_too_many_have_codes_of_their_own(ann: Client) -> None:
    for score in range(80, 92):
        assert send(ann, "POST", "barriers/", {"score": score}).status_code == 201
    for score, code in ((80, "barrier_twice"), (79, "barriers_many")):
        answer = send(ann, "POST", "barriers/", {"score": score})
        assert (answer.status_code, answer.json()["code"]) == (409, code)


def test_the_same_key_sets_it_once(ann: Client) -> None:
    first = send(ann, "POST", "barriers/", {"score": 90}, Idempotency_Key="4e1f0f0e-3a5b-4c0e-9d43-6f2a6b1f8c77")
    again = send(ann, "POST", "barriers/", {"score": 90}, Idempotency_Key="4e1f0f0e-3a5b-4c0e-9d43-6f2a6b1f8c77")
    assert (first.status_code, again.status_code, Barrier.objects.count()) == (201, 201, 1)
    assert first.json() == again.json()


def test_a_tee_of_others_is_an_unknown_id(ann: Client, people: build.People) -> None:
    theirs = build.tee(build.course(people.other_group))
    answer = send(ann, "POST", "barriers/", {"score": 90, "tee": str(theirs.pk)})
    assert (answer.status_code, answer.json()["errors"][0]["field"]) == (400, "tee")


def test_mates_see_the_barriers_that_are_not_hidden_and_strangers_none(people: build.People) -> None:
    for score, hidden in ((90, False), (85, True)):
        barriers.set_barrier(player=people.ann, score=score, is_hidden=hidden)
    address = f"/api/v1/players/{people.ann.pk}/barriers/"

    def seen(player: Player) -> list[int]:
        return [one["score"] for one in build.signed_in(player).get(address).json()["results"]]

    assert (seen(people.ann), seen(people.ben), seen(people.dan)) == ([90, 85], [90], [90])
    assert build.signed_in(people.cat).get(address).status_code == 404
    assert Client().get(address).status_code == 401


@pytest.mark.parametrize("address", OWN)
def test_outlook_progress_and_ladder_answer_about_oneself_alone(people: build.People, tee: Tee, address: str) -> None:
    post_many(people.ann, tee, 6)
    path = address.format(tee=tee.pk)
    assert build.signed_in(people.ann).get(path).status_code == 200
    for mate in (people.ben, people.dan):
        assert build.signed_in(mate).get(path).json().get("n", 0) == 0
    assert build.signed_in(people.ann).get(f"{path}&player={people.dan.pk}").status_code == 400
    assert Client().get(path).status_code == 401


@pytest.mark.parametrize("count", [0, 1, 2])
def test_under_three_rounds_there_is_no_number(people: build.People, ann: Client, tee: Tee, count: int) -> None:
    post_many(people.ann, tee, count)
    body = ann.get(f"/api/v1/me/outlook/?tee={tee.pk}").json()
    assert (body["n"], body["usual"], body["dots"], body["chances"]) == (count, None, [], [])
    assert body["reason"]
    body = ann.get(f"/api/v1/me/progress/?tee={tee.pk}").json()
    assert (body["n"], body["points"], body["usual"]) == (count, [], None)


@pytest.mark.parametrize("count", [3, 4, 15, 200])
def test_outlook_and_progress_hang_together(people: build.People, ann: Client, tee: Tee, count: int) -> None:
    barriers.set_barrier(player=people.ann, score=88)
    barriers.set_barrier(player=people.ann, score=80)
    post_many(people.ann, tee, count)
    body = ann.get(f"/api/v1/me/outlook/?tee={tee.pk}").json()
    assert (body["n"], len(body["dots"]), body["up_to_date"]) == (count, 20, True)
    assert [one["score"] for one in body["chances"]] == [88, 80]
    easier, harder = body["chances"]
    assert easier["probability"] >= harder["probability"]
    for one in body["chances"]:
        assert one["dots"] == sum(dot < one["score"] for dot in body["dots"])
        assert one["probability_within_five"] >= one["probability"]
        # Twenty dots stand at the middles of twentieths, so they count the chance to within half of one.
        assert one["dots"] / 20 == pytest.approx(one["probability"], abs=0.05)
        if one["median_rounds"] is not None:
            assert 1 - (1 - one["probability"]) ** one["median_rounds"] >= 0.499
    shares = [body["quantiles"][share] for share in sorted(body["quantiles"], key=float)]
    assert shares == sorted(shares)
    assert (body["quantiles"]["0.1"], body["quantiles"]["0.9"]) == (body["low"], body["high"])
    told = ann.get(f"/api/v1/me/progress/?tee={tee.pk}").json()
    assert (told["n"], len(told["points"]), told["best"]) == (count, count, min(90 + n * 7 % 12 for n in range(count)))
    assert told["usual"] == body["usual"]
    assert told["points"][-1]["level"] == told["usual"]


def test_words_are_no_more_exact_than_the_number_of_rounds_allows(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=88)
    found = []
    for count in (5, 7, 10):
        post_many(people.ann, tee, count)
        chance = ann.get(f"/api/v1/me/outlook/?tee={tee.pk}").json()["chances"][0]
        found.append(chance["spoken"])
    words, fives, whole = found
    assert "%" not in words
    assert int(re.findall(r"\d+", fives)[0]) % 5 == 0
    assert re.search(r"\d+ %", whole)


def test_pages_and_api_give_the_same_numbers(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=92)
    post_many(people.ann, tee, 20, least=93)
    body = ann.get(f"/api/v1/me/outlook/?tee={tee.pk}").json()
    chance = body["chances"][0]
    home = ann.get(f"/?tee={tee.pk}").content.decode()
    text = " ".join(re.sub(r"<[^>]+>", " ", home).split())
    if chance["dots"]:
        assert f"{chance['dots']} of 20" in text
    assert f"{body['low']} to {body['high']}" in text
    assert f"about {body['usual']:.0f}" in text
    assert chance["spoken"] in text
    page = ann.get(f"/progress/?tee={tee.pk}").content.decode()
    text = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    for words in (chance["spoken"], chance["spoken_within_five"], f"{body['low']} to {body['high']}"):
        assert words in text
    told = ann.get(f"/api/v1/me/progress/?tee={tee.pk}").json()
    assert all(f"{point['level']:.1f}" in text for point in told["points"])


def test_a_post_makes_the_outlook_due_and_says_so(people: build.People, ann: Client, tee: Tee) -> None:
    post_many(people.ann, tee, 5)
    address = f"/api/v1/me/outlook/?tee={tee.pk}"
    facts = RoundFacts(tee=tee, played_on=FIRST + timedelta(days=60), gross=99)
    rounds.post_round(player=people.ann, facts=facts, posted_by=people.ann)
    before = ann.get(address).json()
    assert (before["n"], before["up_to_date"]) == (5, False)
    outlooks.refresh_due()
    after = ann.get(address).json()
    assert (after["n"], after["up_to_date"]) == (6, True)


def test_the_ladder_adds_up_and_is_that_of_the_page(people: build.People, ann: Client, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=85)
    for place in range(6):
        holes = tuple(
            HoleFacts(number=hole.number, strokes=hole.par + 1, putts=2, penalties=0) for hole in tee.holes.all()
        )
        facts = RoundFacts(tee=tee, played_on=FIRST + timedelta(days=place), holes=holes)
        rounds.post_round(player=people.ann, facts=facts, posted_by=people.ann)
    outlooks.refresh_due()
    body = ann.get("/api/v1/me/ladder/?barrier=85").json()
    usual = ann.get(f"/api/v1/me/outlook/?tee={tee.pk}").json()["usual"]
    known = [leak["strokes"]["value"] for leak in body["leaks"] if leak["strokes"]]
    assert sum(known) == pytest.approx(body["gap"], abs=1e-6)
    assert body["gap"] == pytest.approx(usual - 84, abs=0.01)
    assert (body["n_rounds"], body["n"]) == (6, 6)
    page = ann.get(f"/progress/?tee={tee.pk}").content.decode()
    assert f"is {body['gap']:.1f} strokes" in page
    assert ann.get("/api/v1/me/ladder/?barrier=70").json()["leaks"] == []


@pytest.mark.parametrize("barrier", [60, 80, 90, 100, 150])
def test_the_budget_always_adds_up(ann: Client, tee: Tee, barrier: int) -> None:
    body = ann.get(f"/api/v1/tees/{tee.pk}/budget/?barrier={barrier}").json()
    assert sum(hole["personal_par"] for hole in body["holes"]) == barrier - 1
    assert (body["par"], body["over"]) == (72, barrier - 73)
    assert body["words"]


def test_what_a_budget_affords(ann: Client, tee: Tee) -> None:
    # By hand: under 90 at par 72 is 17 over; 13 bogeys leave 4, and a double or worse costs 1.2 more: 3 of them.
    body = ann.get(f"/api/v1/tees/{tee.pk}/budget/?barrier=90&pars=5").json()
    assert body["words"] == ["three doubles, if five holes are pars"]
    assert ann.get(f"/api/v1/tees/{tee.pk}/budget/?barrier=90&pars=18&birdies=1").status_code == 400


def test_the_strip_is_sorted_and_keeps_what_is_hidden(people: build.People, tee: Tee) -> None:
    post_many(people.ann, tee, 5, least=92)
    post_many(people.dan, tee, 5, least=95)
    post_many(people.ben, tee, 5, least=80)
    barriers.set_barrier(player=people.ann, score=90, is_hidden=True)
    barriers.set_barrier(player=people.dan, score=93)
    barriers.set_barrier(player=people.ben, score=79)
    address = f"/api/v1/groups/{people.group.pk}/strip/"

    def seen(player: Player) -> list[tuple[str, int | None]]:
        listed = build.signed_in(player).get(address).json()["results"]
        return [(line["player"]["name"], line["barrier"]) for line in listed]

    assert dict(seen(people.ann))["Ann"] == 90
    assert dict(seen(people.dan)) == {"Ann": None, "Ben": 79, "Dan": 93}
    assert seen(people.dan)[-1] == ("Ann", None)
    lines = build.signed_in(people.ann).get(address).json()["results"]
    assert [line["to_go"] for line in lines] == sorted(line["to_go"] for line in lines)
    assert "Eve" not in {line["player"]["name"] for line in lines}
    people.dan.memberships.update(hides_lines=True)
    assert {name for name, _ in seen(people.ben)} == {"Ann", "Ben"}
    assert "Dan" in {name for name, _ in seen(people.dan)}
    assert build.signed_in(people.cat).get(address).status_code == 404
    page = build.signed_in(people.ann).get(f"/group/{people.group.pk}/").content.decode()
    shown = page[page.index("group-strip") : page.index("</svg>")]
    assert re.findall(r'class="name[^>]*>([^<]+)<', shown) == [
        line["player"]["name"] for line in lines if line["player"]["name"] != "Dan"
    ]


@pytest.mark.parametrize("path", ["/api/v1/groups/{group}/strip/", "/group/{group}/"])
def test_the_strip_asks_as_often_for_sixty_as_for_eight(
    people: build.People, ann: Client, tee: Tee, path: str, django_assert_max_num_queries: Any
) -> None:
    def statements() -> int:
        with django_assert_max_num_queries(30) as asked:
            assert ann.get(path.format(group=people.group.pk)).status_code == 200
        return len(asked)

    def fill(count: int) -> None:
        for number in range(count):
            player = build.player(f"Player {number}")
            build.membership(people.group, player)
            barriers.set_barrier(player=player, score=85)
            facts = [RoundFacts(tee=tee, played_on=FIRST + timedelta(days=day), gross=95) for day in range(3)]
            rounds.post_rounds(player=player, many=facts, posted_by=player)

    fill(5)
    statements()
    few = statements()
    fill(52)
    assert statements() == few


def test_optional_facts_of_a_hole_come_back(people: build.People, ann: Client, tee: Tee) -> None:
    holes = [
        {"number": number, "strokes": 5, "putts": 2, "first_putt_beyond_20ft": True, "strokes_from_60": 3}
        for number in range(1, 18)
    ]
    holes.append({"number": 18, "strokes": 6, "recovery": False, "strokes_from_60": None})
    made = send(ann, "POST", "rounds/", {"tee": str(tee.pk), "played_on": "2026-04-03", "holes": holes})
    assert made.status_code == 201, made.content
    first, last = made.json()["holes"][0], made.json()["holes"][-1]
    names = ("first_putt_beyond_20ft", "strokes_from_60", "recovery")
    assert [first[name] for name in names] == [True, 3, None]
    assert [last[name] for name in names] == [None, None, False]
    path = f"rounds/{made.json()['id']}/"
    changed = send(ann, "PATCH", path, {"note": "Wind."}, If_Match=made["ETag"])
    assert [changed.json()["holes"][0][name] for name in names] == [True, 3, None]


@pytest.mark.parametrize(
    ("hole", "field"),
    [
        ({"strokes_from_60": 6}, "strokes_from_60"),
        ({"strokes_from_60": 1, "putts": 2}, "strokes_from_60"),
        ({"first_putt_beyond_20ft": True, "putts": 0}, "first_putt_beyond_20ft"),
        ({"recovery": "yes"}, "recovery"),
    ],
)
def test_optional_facts_are_checked(ann: Client, tee: Tee, hole: dict[str, Any], field: str) -> None:
    holes: list[dict[str, Any]] = [{"number": number, "strokes": 5} for number in range(1, 19)]
    holes[6] |= hole
    answer = send(ann, "POST", "rounds/", {"tee": str(tee.pk), "played_on": "2026-04-03", "holes": holes})
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == [f"holes.6.{field}"]
