"""Plans over the API: the sum holds, one hole by hand re-balances, the round is answered, and nobody else sees any."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from league.estimates.words import number
from league.models import Plan, Tee
from league.services import carries, descriptions, outlooks
from league.services.rounds import HoleFacts, RoundFacts, post_round
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


@pytest.fixture
def ann(people: build.People) -> Client:
    return build.signed_in(people.ann)


def post(client: Client, address: str, sent: dict[str, Any], **headers: str) -> Any:
    return client.post(address, sent, "application/json", headers=headers or None)


def work_out_anew(client: Client, plan: dict[str, Any], sent: dict[str, Any]) -> Any:
    return post(client, f"/api/v1/plans/{plan['id']}/anew/", sent, **{"If-Match": f'"{plan["version"]}"'})


def made(client: Client, tee: Tee, **also: Any) -> dict[str, Any]:
    answer = post(client, "/api/v1/plans/", {"tee": str(tee.pk), "barrier": 100, **also})
    assert answer.status_code == 201, answer.content
    body: dict[str, Any] = answer.json()
    return body


def patch(client: Client, plan: dict[str, Any], number: int, sent: dict[str, Any]) -> Any:
    address = f"/api/v1/plans/{plan['id']}/holes/{number}/"
    return client.patch(address, sent, "application/json", headers={"If-Match": f'"{plan["version"]}"'})


def play(people: build.People, tee: Tee, day: date, over: int = 1) -> str:
    holes = tuple(HoleFacts(number=hole.number, strokes=hole.par + over) for hole in tee.holes.all())
    facts = RoundFacts(tee=tee, played_on=day, holes=holes)
    return str(post_round(player=people.ann, facts=facts, posted_by=people.ann).pk)


def test_a_plan_adds_up_and_says_what_it_does_not_know(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee, for_day="2026-12-05")
    assert sum(hole["personal_par"] for hole in plan["holes"]) == plan["last"] == 99 == plan["holes"][-1]["due"]
    assert plan["unknown"] == [
        "The carry book is empty, so no clubs are named.",
        "The weather is not told: every hole is as usual.",
    ]
    assert plan["chance"] is None
    assert plan["chance_reason"] == "Too few rounds of eighteen holes for a chance: 0 of the 3 that it takes."
    assert all("what trouble there is" in hole["unknown"] for hole in plan["holes"])
    assert ann.get(f"/api/v1/plans/{plan['id']}/").json() == plan
    assert [line["id"] for line in ann.get("/api/v1/plans/").json()["results"]] == [plan["id"]]


def test_the_day_moves_the_length_of_a_hole(ann: Client, people: build.People, tee: Tee) -> None:
    day = {"temperature_c": 1, "wind_speed": "moderate", "wind": [{"number": 1, "wind_from": "ahead"}]}
    plan = made(ann, tee, conditions=day)
    first, second = plan["holes"][:2]
    length = tee.holes.get(number=1).length
    if length is not None:
        assert first["plays"] == round(length * 1.13)
    assert "where the wind comes from here" not in first["unknown"]
    assert "where the wind comes from here" in second["unknown"]
    assert plan["conditions"] == {
        "temperature_c": 1,
        "wind_speed": "moderate",
        "wind": [{"number": 1, "wind_from": "ahead"}],
    }


def test_one_hole_by_hand_stays_and_the_rest_re_balances(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee)
    before = [hole["personal_par"] for hole in plan["holes"]]
    answer = patch(ann, plan, 4, {"personal_par": before[3] + 2, "stance": "attack", "club": "5 wood", "note": "Left."})
    assert answer.status_code == 200, answer.content
    changed = answer.json()
    after = [hole["personal_par"] for hole in changed["holes"]]
    assert after[3] == before[3] + 2
    assert sum(after) == 99
    fourth = changed["holes"][3]
    assert fourth["made_in"] == f"on in {number(after[3] - 2)}, two putts"
    assert (fourth["stance"], fourth["stance_is_own"], fourth["club"], fourth["own_note"]) == (
        "attack",
        True,
        "5 wood",
        "Left.",
    )
    assert (fourth["is_fixed"], fourth["moved"]) == (True, 2)
    again = patch(ann, changed, 9, {"personal_par": before[8] - 1}).json()
    assert again["holes"][3]["personal_par"] == before[3] + 2
    assert sum(hole["personal_par"] for hole in again["holes"]) == 99
    freed = patch(ann, again, 4, {"personal_par": None}).json()
    assert freed["holes"][3]["is_fixed"] is False
    assert freed["holes"][3]["club"] == "5 wood"


def test_what_cannot_be_met_is_refused_with_its_reason(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee)
    refused = patch(ann, plan, 1, {"personal_par": 15})
    assert refused.status_code == 400
    assert refused.json()["errors"][0]["code"] == "personal_par_range"
    assert ann.get(f"/api/v1/plans/{plan['id']}/").json() == plan
    assert patch(ann, plan, 19, {"note": "x"}).status_code == 404


def test_a_stale_change_stores_nothing_and_shows_both(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee)
    assert patch(ann, plan, 1, {"note": "One."}).status_code == 200
    late = patch(ann, plan, 1, {"note": "Two."})
    assert late.status_code == 412
    assert late.json()["stored"]["holes"][0]["own_note"] == "One."
    bare = ann.patch(f"/api/v1/plans/{plan['id']}/holes/1/", {"note": "x"}, "application/json")
    assert bare.status_code == 428


def test_worked_out_anew_keeps_what_was_fixed_by_hand(ann: Client, people: build.People, tee: Tee) -> None:
    plan = made(ann, tee)
    fixed = patch(ann, plan, 2, {"personal_par": plan["holes"][1]["par"] + 3}).json()
    club = carries.ClubFacts(name="driver", kind="driver", carry=200)
    carries.add_club(player=people.ann, facts=club)
    anew = work_out_anew(ann, fixed, {"barrier": 95, "conditions": {"ground": "soft"}}).json()
    assert anew["holes"][1]["personal_par"] == fixed["holes"][1]["personal_par"]
    assert sum(hole["personal_par"] for hole in anew["holes"]) == 94 == anew["last"]
    assert anew["unknown"] == []


def test_two_penalty_areas_protect(ann: Client, people: build.People, tee: Tee) -> None:
    rows = [
        {"kind": "penalty_area", "side": side, "begins": 100, "ends": 200, "counted_from": "tee"}
        for side in ("left", "right")
    ]
    hole = descriptions.described.from_plain({"number": 3, "trouble": rows})
    told = descriptions.Description(hole=hole, length_unit="yards", measured_from=None)
    descriptions.describe_hole(actor=people.ben, course=tee.course, to=told)
    third = made(ann, tee)["holes"][2]
    assert third["stance"] == "protect"
    assert "Two separate penalty areas" in third["reason"]


def test_kept_or_not_is_answered_beside_the_round(ann: Client, people: build.People, tee: Tee) -> None:
    plan = made(ann, tee)
    played = play(people, tee, date(2026, 6, 6))
    address = f"/api/v1/plans/{plan['id']}/kept/"
    sent = {"round": played, "holes": [{"number": number, "is_kept": number != 7} for number in range(1, 19)]}
    answer = ann.put(address, sent, "application/json", headers={"If-Match": '"1"'})
    assert answer.status_code == 200, answer.content
    assert [hole["is_kept"] for hole in answer.json()["holes"]].count(True) == 17
    told = ann.get("/api/v1/plans/kept/").json()
    assert (told["n_kept"], told["n_left"], told["gain"]) == (17, 1, None)
    assert told["words"].startswith("Too few to tell")
    other = made(ann, tee)
    twice = ann.put(f"/api/v1/plans/{other['id']}/kept/", sent, "application/json", headers={"If-Match": '"1"'})
    assert (twice.status_code, twice.json()["code"]) == (409, "round_planned")


def test_what_keeping_it_was_worth_when_there_is_enough(ann: Client, people: build.People, tee: Tee) -> None:
    for day in range(1, 7):
        plan = made(ann, tee)
        holes = tuple(
            HoleFacts(number=hole.number, strokes=hole.par + (1 if hole.number <= 9 else 3)) for hole in tee.holes.all()
        )
        facts = RoundFacts(tee=tee, played_on=date(2026, 6, day), holes=holes)
        played = post_round(player=people.ann, facts=facts, posted_by=people.ann)
        Plan.objects.filter(pk=plan["id"]).update(version=1)
        sent = {"round": str(played.pk), "holes": [{"number": n, "is_kept": n <= 9} for n in range(1, 19)]}
        address = f"/api/v1/plans/{plan['id']}/kept/"
        assert ann.put(address, sent, "application/json", headers={"If-Match": '"1"'}).status_code == 200
    told = ann.get("/api/v1/plans/kept/").json()
    assert (told["n_kept"], told["n_left"], told["gain"]["n"]) == (54, 54, 6)
    assert told["gain"]["value"] > 0


def test_a_round_of_another_tee_or_of_nobody_is_refused(ann: Client, people: build.People, tee: Tee) -> None:
    plan = made(ann, tee)
    other = build.tee(build.course(people.group, "Reed Marsh"))
    for round_id, code in ((play(people, other, date(2026, 6, 6)), "plan_round"), (plan["id"], "id")):
        sent = {"round": round_id, "holes": []}
        answer = ann.put(f"/api/v1/plans/{plan['id']}/kept/", sent, "application/json", headers={"If-Match": '"1"'})
        assert (answer.status_code, answer.json()["errors"][0]["code"]) == (400, code)


def test_removed_is_gone(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee)
    address = f"/api/v1/plans/{plan['id']}/"
    assert ann.delete(address, headers={"If-Match": '"1"'}).status_code == 204
    assert ann.get(address).status_code == 404


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"barrier": 59}, "barrier"),
        ({"barrier": 100, "conditions": {"wind": [{"number": 1, "wind_from": "ahead"}]}}, "conditions.wind_speed"),
        ({"barrier": 100, "conditions": {"temperature_c": 60}}, "conditions.temperature_c"),
        ({"barrier": 100, "conditions": {"wind_speed": "storm"}}, "conditions.wind_speed"),
    ],
)
def test_bad_wishes_store_nothing(ann: Client, tee: Tee, sent: dict[str, Any], field: str) -> None:
    answer = post(ann, "/api/v1/plans/", {"tee": str(tee.pk), **sent})
    assert answer.status_code == 400
    assert field in [error["field"] for error in answer.json()["errors"]]
    assert not Plan.objects.exists()


def test_nobody_else_finds_a_plan(ann: Client, people: build.People, tee: Tee) -> None:
    plan = made(ann, tee)
    for other in (people.ben, people.cat, people.dan):
        client = build.signed_in(other)
        assert client.get(f"/api/v1/plans/{plan['id']}/").status_code == 404
        assert client.get("/api/v1/plans/").json()["count"] == 0


def test_an_outlook_that_is_still_being_worked_out_is_not_too_few_rounds(
    ann: Client, people: build.People, tee: Tee
) -> None:
    for day in (1, 2, 3):
        play(people, tee, date(2026, 6, day))
    plan = made(ann, tee)
    assert plan["chance"] is None
    assert plan["chance_reason"].startswith("The outlook was still being worked out when this plan was made.")
    outlooks.refresh_player(player_id=people.ann.pk)
    anew = work_out_anew(ann, plan, {}).json()
    assert anew["chance"]["n_holes"] == 0
    assert anew["chance_reason"] == ""
    play(people, tee, date(2026, 6, 4))
    assert made(ann, tee)["chance"] is not None


def test_too_few_rounds_are_counted(ann: Client, people: build.People, tee: Tee) -> None:
    play(people, tee, date(2026, 6, 1))
    outlooks.refresh_player(player_id=people.ann.pk)
    reason = made(ann, tee)["chance_reason"]
    assert reason == "Too few rounds of eighteen holes for a chance: 1 of the 3 that it takes."


def test_what_was_read_can_be_sent_back(ann: Client, tee: Tee) -> None:
    day = {"wind_speed": "light", "wind": [{"number": 3, "wind_from": "left"}], "altitude_m": 300}
    plan = made(ann, tee, conditions=day)
    assert plan["conditions"] == day
    again = work_out_anew(ann, plan, {"conditions": plan["conditions"], "for_day": plan["for_day"]}).json()
    assert again["conditions"] == day
    assert work_out_anew(ann, plan, {}).status_code == 412
    assert post(ann, f"/api/v1/plans/{plan['id']}/anew/", {}).status_code == 428


def test_a_plan_is_made_before_the_round(ann: Client, tee: Tee) -> None:
    late = post(ann, "/api/v1/plans/", {"tee": str(tee.pk), "barrier": 100, "for_day": "2020-01-01"})
    assert (late.status_code, late.json()["errors"][0]["code"]) == (400, "plan_day")
    plan = made(ann, tee)
    late = work_out_anew(ann, plan, {"for_day": "2020-01-01"})
    assert (late.status_code, late.json()["errors"][0]["field"]) == (400, "for_day")
    Plan.objects.filter(pk=plan["id"]).update(for_day=date(2020, 1, 1))
    assert work_out_anew(ann, plan, {"barrier": 95}).status_code == 200


def test_another_club_has_its_own_arithmetic(ann: Client, people: build.People, tee: Tee) -> None:
    carries.take_starter_set(player=people.ann, drive=204)
    for day in (1, 2, 3):
        play(people, tee, date(2026, 6, day))
    outlooks.refresh_player(player_id=people.ann.pk)
    plan = made(ann, tee)
    hole = next(one for one in plan["holes"] if len(one["tried"]) > 1)
    costs = {one["club"]: one["costs"] for one in hole["tried"]}
    assert costs.pop(hole["club"]) == 0
    other, more = max(costs.items(), key=lambda one: one[1])
    assert more > 0.05
    changed = patch(ann, plan, hole["number"], {"club": other.upper()}).json()
    own = next(one for one in changed["holes"] if one["number"] == hole["number"])
    assert own["own_club_words"].startswith(other[0].upper())
    assert own["own_club_words"].endswith(f"more than {hole['club']}.")
    shown = ann.get(f"/plans/{plan['id']}/").content.decode()
    assert f"Your own club on hole {hole['number']} is not counted in it" in shown
    shown = ann.get(f"/plans/{plan['id']}/holes/{hole['number']}/").content.decode()
    assert f"Your club from the tee: <bdi>{other.upper()}</bdi>" in shown
    changed = patch(ann, changed, hole["number"], {"club": "A broom"}).json()
    words = next(one for one in changed["holes"] if one["number"] == hole["number"])["own_club_words"]
    assert words == "Nothing is worked out with it from this tee."
    assert all(one["own_club_words"] == "" for one in changed["holes"] if one["number"] != hole["number"])


def test_shots_and_rules_of_every_hole(ann: Client, people: build.People, tee: Tee) -> None:
    carries.take_starter_set(player=people.ann, drive=204)
    trees = {"kind": "trees", "side": "left", "begins": 120, "ends": 220, "counted_from": "tee"}
    hole = descriptions.described.from_plain({"number": 4, "trouble": [trees]})
    told = descriptions.Description(hole=hole, length_unit="yards", measured_from=None)
    descriptions.describe_hole(actor=people.ben, course=tee.course, to=told)
    plan = made(ann, tee)
    for one in plan["holes"]:
        assert sum(shot["covers"] for shot in one["shots"]) == one["length"]
        assert one["shots"][-1]["leaves"] == 0
        assert 0 < one["shots"][-1]["chance_green"] < 1
        assert all((shot["lost"], shot["lost_words"]) == (0, "") for shot in one["shots"])
        assert {"first_putt", "chip"} <= {rule["kind"] for rule in one["rules"]}
    ways_out = {one["number"]: rule for one in plan["holes"] for rule in one["rules"] if rule["kind"] == "way_out"}
    assert list(ways_out) == [4]
    assert 0 < ways_out[4]["chance"] <= 1
