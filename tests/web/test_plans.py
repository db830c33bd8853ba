"""Pages of plans: made by form, changed on a hole, printed, answered after the round, found from home and the round."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from league.models import Plan, Tee
from league.services import carries, descriptions
from league.services.rounds import HoleFacts, RoundFacts, post_round
from league.web.plan_forms import HolesField, holes_words
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


def made(ann: Client, tee: Tee, **also: str) -> Plan:
    answer = ann.post(reverse("plan_new"), {"tee": str(tee.pk), "barrier": "100", **also})
    assert answer.status_code == 303, answer.content.decode()
    return Plan.objects.latest("created_at")


def played_by(people: build.People, tee: Tee) -> str:
    holes = tuple(HoleFacts(number=hole.number, strokes=hole.par + 1) for hole in tee.holes.all())
    facts = RoundFacts(tee=tee, played_on=date(2026, 6, 6), holes=holes)
    return str(post_round(player=people.ann, facts=facts, posted_by=people.ann).pk)


def test_a_plan_is_made_by_form_with_the_wind_told_by_holes(ann: Client, tee: Tee) -> None:
    assert b"Work it out" in ann.get(reverse("plan_new")).content
    plan = made(ann, tee, wind_speed="moderate", ahead="1, 4, 9-11", right="2", temperature_c="8", ground="soft")
    assert plan.conditions["wind"] == {**{str(n): "ahead" for n in (1, 4, 9, 10, 11)}, "2": "right"}
    page = ann.get(reverse("plan", args=[plan.pk])).content.decode()
    assert "A plan for 99" in page
    assert "One under 100 is 99" in page
    assert page.count('class="stance ') == 18
    assert "The carry book is empty" in page
    assert "Too few rounds of eighteen holes for a chance: 0 of the 3 that it takes." in page
    assert reverse("plan", args=[plan.pk]) in ann.get(reverse("plans")).content.decode()
    assert reverse("plan", args=[plan.pk]) in ann.get("/").content.decode()


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"ahead": "1, 19"}, "Holes are numbered 1 to 18."),
        ({"ahead": "first"}, "Write holes as 1, 4, 9-12."),
        ({"ahead": "1", "wind_speed": ""}, "A wind has a strength."),
        ({"ahead": "1-3", "left": "3"}, "Hole 3 stands under “Into the wind” already."),
        ({"barrier": "20"}, "60"),
        ({"temperature_c": "80"}, "45"),
    ],
)
def test_what_needs_a_look_is_said_and_kept(ann: Client, tee: Tee, sent: dict[str, str], words: str) -> None:
    entries = {"tee": str(tee.pk), "barrier": "100", "wind_speed": "light", **sent}
    answer = ann.post(reverse("plan_new"), entries)
    assert answer.status_code == 400
    assert words in answer.content.decode()
    assert not Plan.objects.exists()


@pytest.mark.parametrize(
    ("text", "numbers"),
    [("", ()), ("3", (3,)), ("1,4, 9-11", (1, 4, 9, 10, 11)), ("1 4 9 - 10", (1, 4, 9, 10)), ("18; 2", (2, 18))],
)
def test_holes_as_people_write_them(text: str, numbers: tuple[int, ...]) -> None:
    assert HolesField().clean(text) == numbers
    assert HolesField().clean(holes_words(list(numbers))) == numbers


def test_a_plan_is_made_before_the_round(ann: Client, tee: Tee) -> None:
    late = ann.post(reverse("plan_new"), {"tee": str(tee.pk), "barrier": "100", "for_day": "2020-01-01"})
    assert late.status_code == 400
    assert "A plan is made before the round" in late.content.decode()
    assert not Plan.objects.exists()
    plan = made(ann, tee)
    sent = {"barrier": "95", "for_day": "2020-01-01", "version": "1"}
    assert ann.post(reverse("plan_anew", args=[plan.pk]), sent).status_code == 400


def test_one_hole_by_hand(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee)
    address = reverse("plan_hole", args=[plan.pk, 3])
    assert "Whatever you fix, the eighteen add up to 99" in ann.get(address).content.decode()
    sent = {"personal_par": "6", "stance": "attack", "club": "5 wood", "note": "Left of the marker.", "version": "1"}
    answer = ann.post(address, sent)
    assert (answer.status_code, answer["Location"]) == (303, reverse("plan", args=[plan.pk]) + "#hole-3")
    page = ann.get(reverse("plan", args=[plan.pk])).content.decode()
    assert "5 wood" in page
    assert "Your choice; worked out: measured." in page
    assert "More on hole 3, less on hole" in page
    late = ann.post(address, {**sent, "personal_par": "5"})
    assert late.status_code == 409
    assert "changed meanwhile" in late.content.decode()
    impossible = ann.post(address, {**sent, "personal_par": "20", "version": "2"})
    assert impossible.status_code == 400
    assert ann.get(reverse("plan_hole", args=[plan.pk, 19])).status_code == 404


def test_worked_out_anew_by_form(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee, wind_speed="light", ahead="1, 2, 3")
    address = reverse("plan_anew", args=[plan.pk])
    assert 'value="1-3"' in ann.get(address).content.decode()
    assert ann.post(address, {"barrier": "90", "version": "1"}).status_code == 303
    plan.refresh_from_db()
    assert (plan.barrier, plan.conditions, plan.told["last"]) == (90, {}, 89)


def test_asked_after_the_round_and_answered(ann: Client, people: build.People, tee: Tee) -> None:
    plan = made(ann, tee)
    Plan.objects.update(created_at="2026-06-05T20:00:00Z", for_day="2026-06-06")
    address = reverse("plan_kept", args=[plan.pk])
    assert "No round of yours stands on this tee" in ann.get(address).content.decode()
    played = played_by(people, tee)
    assert address in ann.get(reverse("round", args=[played])).content.decode()
    sent = {"round": played, "h1": "no", "h2": "yes", "rest_kept": "on", "version": "1"}
    assert ann.post(address, sent).status_code == 303
    assert "kept on 17 of 18 holes" in ann.get(reverse("round", args=[played])).content.decode()
    assert "Kept on 17 of 18 holes." in ann.get(reverse("plan", args=[plan.pk])).content.decode()
    mates = build.signed_in(people.ben).get(reverse("round", args=[played])).content.decode()
    assert "kept on" not in mates
    assert "Too few to tell" in ann.get(reverse("plans")).content.decode()


def test_an_answer_is_taken_back_by_leaving_its_hole_open(ann: Client, people: build.People, tee: Tee) -> None:
    plan = made(ann, tee)
    played = played_by(people, tee)
    address = reverse("plan_kept", args=[plan.pk])
    holes = range(1, 19)
    first = {f"h{number}": "no" if number == 1 else "yes" for number in holes}
    assert ann.post(address, {"round": played, "version": "1", **first}).status_code == 303
    page = ann.get(address).content.decode()
    assert page.count('value="" id="id_h') == 18
    assert page.count("checked") == 18
    then = {**first, "h1": "", "h2": ""}
    del then["h3"]
    assert ann.post(address, {"round": played, "version": "2", **then}).status_code == 303
    assert list(plan.holes.values_list("is_kept", flat=True)) == [None, None, *[True] * 16]
    assert "Kept on 16 of 16 holes." in ann.get(reverse("plan", args=[plan.pk])).content.decode()
    none = {f"h{number}": "" for number in holes}
    assert ann.post(address, {"round": played, "version": "3", **none}).status_code == 303
    assert "Was it kept?" in ann.get(reverse("plan", args=[plan.pk])).content.decode()


def test_the_sheet_has_every_hole_and_the_caution(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee)
    page = ann.get(reverse("plan_sheet", args=[plan.pk])).content.decode()
    assert page.count('class="stance ') == 18
    assert "Local rules and the committee go first." in page


def test_removed_by_form(ann: Client, tee: Tee) -> None:
    plan = made(ann, tee)
    address = reverse("plan_remove", args=[plan.pk])
    assert ann.get(address).status_code == 200
    assert ann.post(address, {"version": "1"}).status_code == 303
    assert not Plan.objects.exists()


def test_nobody_else_finds_any_of_it(ann: Client, people: build.People, tee: Tee) -> None:
    plan = made(ann, tee)
    for other in (people.ben, people.cat):
        client = build.signed_in(other)
        for name in ("plan", "plan_sheet", "plan_anew", "plan_kept", "plan_remove"):
            assert client.get(reverse(name, args=[plan.pk])).status_code == 404
        assert str(plan.pk) not in client.get(reverse("plans")).content.decode()


def wooded_with_clubs(people: build.People, tee: Tee) -> None:
    """A starter set, and trees on the fourth."""
    carries.take_starter_set(player=people.ann, drive=204)
    trees = {"kind": "trees", "side": "left", "begins": 120, "ends": 220, "counted_from": "tee"}
    hole = descriptions.described.from_plain({"number": 4, "trouble": [trees]})
    told = descriptions.Description(hole=hole, length_unit="yards", measured_from=None)
    descriptions.describe_hole(actor=people.ben, course=tee.course, to=told)


def test_the_page_of_a_hole_has_every_shot_and_the_rules(ann: Client, people: build.People, tee: Tee) -> None:
    wooded_with_clubs(people, tee)
    plan = made(ann, tee)
    far = max(plan.told["holes"], key=lambda hole: hole["length"])
    page = ann.get(reverse("plan_hole", args=[plan.pk, far["number"]])).content.decode()
    assert "Shot by shot" in page
    assert all(f"<bdi>{shot['club']}</bdi>" in page for shot in far["shots"])
    assert f'<td class="n">{far["length"]}</td>' in page
    assert "Once on the green" in page
    assert f", then {far['shots'][1]['club']}" in ann.get(reverse("plan", args=[plan.pk])).content.decode()
    assert "common practice; carry and roll by loft from memory" in page
    fourth = ann.get(reverse("plan_hole", args=[plan.pk, 4])).content.decode()
    assert "sideways to short grass leaves" in fourth
    sheet = ann.get(reverse("plan_sheet", args=[plan.pk])).content.decode()
    assert f", <bdi>{far['shots'][1]['club']}</bdi>" in sheet
    assert "finds short grass: on 4 the gap would have to work" in sheet


def test_a_plan_from_before_shots_were_told_still_reads(ann: Client, people: build.People, tee: Tee) -> None:
    wooded_with_clubs(people, tee)
    plan = made(ann, tee)
    for hole in plan.told["holes"]:
        del hole["shots"]
        hole["rules"] = [{"words": rule["words"], "rests_on": rule["rests_on"]} for rule in hole["rules"]]
    plan.save()
    page = ann.get(reverse("plan_hole", args=[plan.pk, 4])).content.decode()
    assert "sideways to short grass leaves" in page
    assert "Shot by shot" not in page
    assert ann.get(reverse("plan_sheet", args=[plan.pk])).status_code == 200
    fourth = ann.get(f"/api/v1/plans/{plan.pk}/").json()["holes"][3]
    assert fourth["shots"] == []
    assert {(rule["kind"], rule["chance"]) for rule in fourth["rules"]} == {("", None)}
