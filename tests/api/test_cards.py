"""Cards over the API: opened once, written on by two phones, settled, sent in, answered; nothing is lost or doubled."""

import json
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from league.models import Card, CardMark, HolePlan, Membership, Plan, Player, Round, Tee
from league.services import barriers, courses, outlooks
from league.services.handicaps import check_player
from league.services.rounds import RoundFacts, post_round
from tests import build

pytestmark = pytest.mark.django_db

CARDS = "/api/v1/cards/"
DAY = date(2026, 7, 4)


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


class Phone:
    """A signed-in person's phone: it numbers its marks itself."""

    def __init__(self, player: Player) -> None:
        self.player, self.client, self.device = player, build.signed_in(player), str(uuid4())

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> HttpResponse:
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        data = "" if body is None else json.dumps(body)
        return self.client.generic(method, path, data, "application/json", headers=sent)

    def opens(self, tee: Tee, *players: Player, **more: Any) -> dict[str, Any]:
        answer = self.ask("POST", CARDS, opening(tee, *players, **more))
        assert answer.status_code == 201, answer.content
        return answer.json()

    def marks(self, card: dict[str, Any], *marks: dict[str, Any]) -> HttpResponse:
        body = {"device": self.device, "marks": list(marks)}
        return self.ask("POST", f"{CARDS}{card['id']}/marks/", body)

    def writes(self, card: dict[str, Any], line: int, number: int, **value: Any) -> dict[str, Any]:
        """One mark, over what the phone is shown; the card as it stands then."""
        shown = self.reads(card)["lines"][line]["holes"][number - 1]["mark"]
        answer = self.marks(card, mark(card, line, number, over=shown, **value))
        assert answer.status_code == 200, answer.content
        return answer.json()

    def fills(self, card: dict[str, Any], line: int, over: int = 1, **value: Any) -> dict[str, Any]:
        numbers = [hole["number"] for hole in card["lines"][line]["holes"]]
        marks = [mark(card, line, n, strokes=build.PARS[n - 1] + over, **value) for n in numbers]
        answer = self.marks(card, *marks)
        assert answer.status_code == 200, answer.content
        return answer.json()

    def reads(self, card: dict[str, Any]) -> dict[str, Any]:
        return self.ask("GET", f"{CARDS}{card['id']}/").json()

    def sends(self, card: dict[str, Any], **body: Any) -> HttpResponse:
        return self.ask("POST", f"{CARDS}{card['id']}/send/", body)

    def answers(self, card: dict[str, Any], line: int, answer: str, **body: Any) -> HttpResponse:
        path = f"{CARDS}{card['id']}/lines/{card['lines'][line]['id']}/answer/"
        return self.ask("POST", path, {"answer": answer, **body})


def opening(tee: Tee, *players: Player, **more: Any) -> dict[str, Any]:
    ids = [str(player.pk) for player in players]
    whole = {"client_id": str(uuid4()), "tee": str(tee.pk), "holes_in_play": "18", "played_on": str(DAY)}
    return {**whole, "players": ids, **more}


def mark(card: dict[str, Any], line: int, number: int, over: str | None = None, **value: Any) -> dict[str, Any]:
    return {
        "client_id": str(uuid4()),
        "line": card["lines"][line]["id"],
        "number": number,
        "over": over,
        "value": value or None,
        "claimed_at": "2026-07-04T09:30:00Z",
    }


def hole(card: dict[str, Any], line: int, number: int) -> dict[str, Any]:
    return card["lines"][line]["holes"][number - 1]


def problem(answer: HttpResponse, status: int = 409) -> dict[str, Any]:
    assert answer.status_code == status, answer.content
    return answer.json()


@pytest.fixture
def ann(people: build.People) -> Phone:
    return Phone(people.ann)


@pytest.fixture
def dan(people: build.People) -> Phone:
    return Phone(people.dan)


def test_a_card_of_one_phone_is_stored_once(ann: Phone, tee: Tee) -> None:
    body = opening(tee, ann.player)
    first, again = ann.ask("POST", CARDS, body), ann.ask("POST", CARDS, body)
    assert first.json() == again.json()
    assert Card.objects.count() == 1
    told = first.json()
    assert (told["state"], told["version"], told["holes_in_play"]) == ("open", 1, "18")
    assert [line["name"] for line in told["lines"]] == ["Ann"]
    assert [one["number"] for one in told["lines"][0]["holes"]] == list(range(1, 19))
    assert hole(told, 0, 7) == {"number": 7, "value": None, "mark": None, "contested": []}


def test_who_may_stand_on_a_card(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    ann.opens(tee, people.ann, people.dan, people.ben, people.eve)
    for phone, player in ((ann, people.cat), (dan, people.eve)):
        refused = problem(phone.ask("POST", CARDS, opening(tee, phone.player, player)), 400)
        assert refused["errors"][0]["field"] == "players.1"
    twice = problem(ann.ask("POST", CARDS, opening(tee, people.ann, people.ann)), 400)
    assert twice["errors"][0]["code"] == "player_twice"
    half = problem(ann.ask("POST", CARDS, opening(tee, people.ann, holes_in_play="nine")), 400)
    assert half["errors"][0]["code"] == "holes_in_play"


def test_a_card_of_a_group_has_its_people_on_it(people: build.People, ann: Phone, tee: Tee) -> None:
    group = str(people.group.pk)
    assert ann.opens(tee, people.ann, people.eve, group=group)["group"] == group
    assert ann.opens(tee, people.ann, group=None)["group"] is None
    hers = str(people.other_group.pk)
    assert problem(ann.ask("POST", CARDS, opening(tee, people.ann, group=hers)), 400)["errors"][0]["field"] == "group"
    build.membership(people.other_group, people.ann)
    refused = problem(ann.ask("POST", CARDS, opening(tee, people.ann, people.dan, group=hers)), 400)["errors"]
    assert [(one["field"], one["code"]) for one in refused] == [("group", "player_not_in_group")]
    assert "Dan" in refused[0]["message"]


def test_organisers_see_who_keeps_what_and_no_strokes(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    group = str(people.group.pk)
    ann.opens(tee, people.ann)
    card = ann.opens(tee, people.ann, people.dan, people.eve, group=group)
    ann.fills(card, 1)
    ann.writes(card, 0, 1, strokes=17)
    dan.marks(card, mark(card, 0, 1, strokes=16))
    address = f"/api/v1/groups/{group}/cards/"
    assert dan.ask("GET", address).status_code == 403
    ben = Phone(people.ben)
    answer = ben.ask("GET", address)
    (told,) = answer.json()["results"]
    assert (told["id"], told["opened_by_name"], told["state"]) == (card["id"], "Ann", "open")
    assert [(line["name"], line["holes_written"], line["contested"]) for line in told["lines"]] == [
        ("Ann", 0, [1]),
        ("Dan", 18, []),
        ("Eve", 0, []),
    ]
    assert {*told["lines"][0]} == {"player", "name", "state", "holes_written", "contested"}
    page = build.signed_in(people.ben).get(f"/group/{group}/cards/").content.decode()
    assert "18 of 18 holes" in page
    assert "two values on 1" in page
    ann.sends(card, without_round=[card["lines"][0]["id"], card["lines"][2]["id"]])
    (told,) = ben.ask("GET", address).json()["results"]
    assert (told["state"], told["lines"][1]["state"]) == ("sent", "waits")
    dan.answers(card, 1, "decline")
    assert ben.ask("GET", address).json()["results"] == []


def test_a_group_that_rests_opens_no_card_and_open_ones_are_sent(people: build.People, ann: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.eve, group=str(people.group.pk))
    for line in (0, 1):
        ann.fills(card, line)
    people.group.rests_since = timezone.now()
    people.group.save()
    assert problem(ann.ask("POST", CARDS, opening(tee, people.ann)))["code"] == "group_rests"
    assert ann.sends(card).json()["state"] == "sent"
    assert Round.objects.count() == 2


def test_whoever_keeps_a_guest_no_more_posts_no_round_of_theirs(people: build.People, ann: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.eve)
    for line in (0, 1):
        ann.fills(card, line)
    Membership.objects.filter(player=people.eve).update(keeper=people.dan)
    refused = problem(ann.sends(card), 400)["errors"]
    assert [(one["field"], one["code"]) for one in refused] == [("lines.2.player", "player_not_kept")]
    assert ann.sends(card, without_round=[card["lines"][1]["id"]]).json()["state"] == "sent"
    assert Round.objects.get().player == people.ann


def test_what_was_said_at_opening_is_put_right_while_it_is_open(
    people: build.People, ann: Phone, dan: Phone, tee: Tee
) -> None:
    card = ann.opens(tee, people.ann, people.eve, played_on="2199-01-01")
    assert [note["code"] for note in card["notes"]] == ["played_in_future"]
    ann.writes(card, 0, 1, strokes=5)
    path = f"{CARDS}{card['id']}/"
    other, nine = build.tee(tee.course, "Bittern"), build.tee(build.course(people.group, "Plover", n_holes=9))
    assert ann.ask("PATCH", path, {"played_on": str(DAY)}).status_code == 428
    assert ann.ask("PATCH", path, {"played_on": str(DAY)}, If_Match='"1"').status_code == 412
    right = {"tee": str(other.pk), "played_on": str(DAY), "order_in_day": 2, "group": str(people.group.pk)}
    right["players"] = [str(one.pk) for one in (people.ann, people.dan)]
    answer = ann.ask("PATCH", path, right, If_Match='"2"')
    told = answer.json()
    assert (answer.status_code, answer["ETag"], told["version"]) == (200, '"3"', 3)
    assert {name: told[name] for name in ("tee", "played_on", "order_in_day", "group")} == {
        name: right[name] for name in ("tee", "played_on", "order_in_day", "group")
    }
    assert [(line["name"], line["place"]) for line in told["lines"]] == [("Ann", 1), ("Dan", 2)]
    assert hole(told, 0, 1)["value"] == {"strokes": 5}
    assert told["notes"] == []
    for wrong, field, code in (
        ({"tee": str(nine.pk)}, "tee", "holes_in_play"),
        ({"played_on": "2199-01-01"}, "played_on", "played_in_future"),
        ({"players": [str(people.dan.pk)]}, "players", "line_written"),
        ({"players": [str(people.ann.pk)] * 2}, "players", "player_twice"),
        ({"players": [str(people.ann.pk), str(people.cat.pk)]}, "players.1", "id"),
        ({"players": []}, "players", "list_length"),
        ({"holes_in_play": "front"}, "holes_in_play", "unknown"),
    ):
        errors = problem(ann.ask("PATCH", path, wrong, If_Match="*"), 400)["errors"]
        assert (errors[0]["field"], errors[0]["code"]) == (field, code)
    assert dan.ask("PATCH", path, {"order_in_day": 1}, If_Match="*").status_code == 403
    dan.fills(told, 1)
    dan.sends(told)
    assert problem(ann.ask("PATCH", path, {"order_in_day": 1}, If_Match="*"))["code"] == "card_sent"


def test_marks_of_two_phones_join_and_arrive_once(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan)
    one = mark(card, 0, 1, strokes=5)
    assert hole(ann.marks(card, one).json(), 0, 1)["mark"] == one["client_id"]
    told = dan.marks(card, mark(card, 0, 2, strokes=6)).json()
    assert [hole(told, 0, n)["value"] for n in (1, 2)] == [{"strokes": 5}, {"strokes": 6}]
    again = ann.marks(card, one, mark(card, 0, 3, strokes=4)).json()
    assert hole(again, 0, 3)["value"] == {"strokes": 4}
    assert CardMark.objects.count() == 3
    assert again["version"] == 4
    assert ann.marks(card, one).json()["version"] == 4


def test_two_values_are_shown_until_a_person_chooses(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan)
    mine, his = mark(card, 1, 4, strokes=5), mark(card, 1, 4, strokes=6)
    ann.marks(card, mine)
    told = dan.marks(card, his).json()
    shown = hole(told, 1, 4)
    assert (shown["value"], shown["mark"]) == (None, None)
    assert [(one["value"]["strokes"], one["written_by"]) for one in shown["contested"]] in (
        [(5, "Ann"), (6, "Dan")],
        [(6, "Dan"), (5, "Ann")],
    )
    assert [note["code"] for note in told["notes"]] == ["card_unsettled"]
    assert "Dan" in problem(ann.sends(card))["detail"]
    settle = {"line": card["lines"][1]["id"], "number": 4}
    path = f"{CARDS}{card['id']}/settlements/"
    unknown = problem(ann.ask("POST", path, {**settle, "mark": str(uuid4())}), 400)
    assert unknown["errors"][0]["code"] == "mark_unknown"
    chosen = ann.ask("POST", path, {**settle, "mark": his["client_id"]})
    assert hole(chosen.json(), 1, 4) == {
        "number": 4,
        "value": {"strokes": 6},
        "mark": his["client_id"],
        "contested": [],
    }
    assert ann.ask("POST", path, {**settle, "mark": his["client_id"]}).status_code == 200
    assert problem(dan.ask("POST", path, {**settle, "mark": mine["client_id"]}))["code"] == "card_settled"
    assert CardMark.objects.count() == 2


def test_a_mark_written_over_the_one_that_stands_replaces_it(ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, ann.player, dan.player)
    ann.writes(card, 0, 1, strokes=5)
    assert hole(dan.writes(card, 0, 1, strokes=7), 0, 1)["value"] == {"strokes": 7}
    assert hole(ann.writes(card, 0, 1), 0, 1)["value"] is None


@pytest.mark.parametrize(
    ("value", "field"),
    [
        ({"strokes": 5, "putts": 7}, "putts"),
        ({"strokes": 3, "penalties": 3}, "penalties"),
        ({"strokes": 4, "strokes_from_60": 5}, "strokes_from_60"),
        ({"picked_up": True, "putts": 3, "strokes_from_60": 2}, "strokes_from_60"),
        ({"strokes": 3, "putts": 0, "first_putt_beyond_20ft": True}, "first_putt_beyond_20ft"),
    ],
)
def test_facts_of_a_hole_that_cannot_all_be_so_are_refused(
    ann: Phone, tee: Tee, value: dict[str, Any], field: str
) -> None:
    card = ann.opens(tee, ann.player)
    refused = problem(ann.marks(card, mark(card, 0, 2, **value)), 400)["errors"]
    assert [one["field"] for one in refused] == [f"marks.0.value.{field}"]
    assert not CardMark.objects.exists()


def test_a_bad_batch_stores_nothing_and_names_each_mark(ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, ann.player, holes_in_play="front")
    other = dan.opens(tee, dan.player)
    sound = mark(card, 0, 1, strokes=4)
    bad = [mark(card, 0, 10, strokes=4), mark(card, 0, 2, strokes=60), mark(other, 0, 3, strokes=4)]
    refused = problem(ann.marks(card, sound, *bad), 400)
    assert [(one["field"], one["code"]) for one in refused["errors"]] == [
        ("marks.1.number", "hole_unknown"),
        ("marks.2.value.strokes", "strokes_range"),
        ("marks.3.line", "line_unknown"),
    ]
    assert not CardMark.objects.exists()
    ann.marks(card, sound)
    for other in ({"number": 2}, {"value": {"strokes": 5}}, {"value": None}, {"over": str(uuid4())}):
        reused = problem(ann.marks(card, {**sound, **other}), 400)
        assert [(one["field"], one["code"]) for one in reused["errors"]] == [("marks.0.client_id", "mark_reused")]
    twice = mark(card, 0, 2, strokes=4)
    assert problem(ann.marks(card, twice, {**twice, "value": {"strokes": 5}}), 400)["errors"][0]["field"] == (
        "marks.1.client_id"
    )
    assert CardMark.objects.count() == 1


def test_putts_are_the_players_and_the_scorers(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan, people.eve, people.ben)
    for line in range(4):
        ann.writes(card, line, 1, strokes=6, putts=3, penalties=1)
    whole, short = {"strokes": 6, "putts": 3, "penalties": 1}, {"strokes": 6}
    assert [hole(ann.reads(card), line, 1)["value"] for line in range(4)] == [whole] * 4
    assert [hole(dan.reads(card), line, 1)["value"] for line in range(4)] == [short, whole, whole, short]
    shown = hole(dan.reads(card), 0, 1)["mark"]
    over = mark(card, 0, 1, over=shown, strokes=7)
    for _ in range(2):
        assert dan.marks(card, over).status_code == 200
    assert hole(ann.reads(card), 0, 1)["value"] == {**whole, "strokes": 7}


def test_a_card_becomes_rounds_and_a_mates_line_waits_for_a_yes(
    people: build.People, ann: Phone, dan: Phone, tee: Tee
) -> None:
    card = ann.opens(tee, people.ann, people.dan, people.eve)
    for line in range(3):
        ann.fills(card, line, over=line, putts=2)
    told = ann.sends(card).json()
    assert told["state"] == "sent"
    assert [line["state"] for line in told["lines"]] == ["posted", "waits", "posted"]
    assert {(played.player.name, played.gross) for played in Round.objects.all()} == {("Ann", 72), ("Eve", 108)}
    guests = Round.objects.get(player=people.eve)
    assert (guests.marker, guests.posted_by) == (people.ann, people.ann)
    assert ann.sends(card).json() == told
    assert ann.answers(card, 1, "post").status_code == 403
    assert [one["id"] for one in dan.ask("GET", CARDS).json()["results"]] == []
    posted = dan.answers(card, 1, "post").json()
    assert posted["lines"][1]["state"] == "posted"
    his = Round.objects.get(player=people.dan)
    assert (his.gross, his.marker, his.posted_by, posted["lines"][1]["round"]) == (
        90,
        people.ann,
        people.dan,
        str(his.pk),
    )
    assert dan.answers(card, 1, "post").json() == posted
    assert problem(dan.answers(card, 1, "decline"))["code"] == "card_answered"
    assert Round.objects.count() == 3


def test_a_line_that_is_declined_is_no_round(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.dan)
    ann.fills(card, 0)
    assert problem(dan.answers(card, 0, "post"))["code"] == "card_line_open"
    ann.sends(card)
    assert dan.answers(card, 0, "decline").json()["lines"][0]["state"] == "declined"
    assert not Round.objects.exists()


def test_a_player_sends_their_own_line(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan)
    ann.fills(card, 1)
    told = dan.sends(card).json()
    assert (told["state"], [line["state"] for line in told["lines"]]) == ("open", ["open", "posted"])
    ann.fills(card, 0)
    told = ann.sends(card).json()
    assert (told["state"], [line["state"] for line in told["lines"]]) == ("sent", ["posted", "posted"])


def test_a_mark_that_comes_late_is_stored_nowhere(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan)
    early = mark(card, 1, 1, strokes=5)
    dan.marks(card, early)
    for line in (0, 1):
        ann.marks(card, *[mark(card, line, n, strokes=5) for n in range(2 - line, 19) if (line, n) != (1, 1)])
    ann.marks(card, mark(card, 0, 1, strokes=5))
    assert dan.sends(card).status_code == 200
    before = CardMark.objects.count()
    late, timely = mark(card, 1, 2, strokes=9), mark(card, 0, 2, strokes=9)
    refused = problem(dan.marks(card, early, timely, late))
    assert refused["code"] == "card_sent"
    assert refused["late"] == [late]
    assert [one["field"] for one in refused["errors"]] == ["marks.2"]
    assert CardMark.objects.count() == before
    assert dan.marks(card, early, timely).status_code == 200


def test_a_tee_that_changed_is_told_and_then_confirmed_or_replaced(people: build.People, ann: Phone, tee: Tee) -> None:
    card, other = ann.opens(tee, people.ann), ann.opens(tee, people.ann)
    for one in (card, other):
        ann.fills(one, 0)
    tee.version += 1
    tee.slope_rating = 120
    tee.save()
    assert [note["code"] for note in ann.reads(card)["notes"]] == ["card_tee_changed"]
    assert problem(ann.sends(card))["code"] == "card_tee_changed"
    assert ann.sends(card, confirm=["card_tee_changed"]).json()["state"] == "sent"
    another = build.tee(tee.course, "Bittern")
    assert ann.sends(other, tee=str(another.pk)).json()["tee"] == str(another.pk)
    assert Round.objects.filter(tee=another).count() == 1


def test_which_round_of_the_day_it_was_is_said_when_it_is_sent(people: build.People, ann: Phone, tee: Tee) -> None:
    """Next free unless it is said; who had the place moves on, and all are measured by the morning's index."""
    people.ann.joined_on = date(2026, 8, 1)
    people.ann.save()
    for n in range(3):
        facts = RoundFacts(tee=tee, played_on=DAY - timedelta(9 - n), gross=95)
        post_round(player=people.ann, facts=facts, posted_by=people.ann)
    morning, noon, evening = (ann.opens(tee, people.ann) for _ in range(3))
    for card, over in ((morning, 0), (noon, 2), (evening, 1)):
        ann.fills(card, 0, over=over)
    assert ann.sends(evening).status_code == 200
    assert ann.sends(noon, order_in_day=1).status_code == 200
    assert ann.sends(morning, order_in_day=1).json()["state"] == "sent"
    for wrong in (0, 10, "1", 1.5):
        assert problem(ann.sends(ann.opens(tee, people.ann), order_in_day=wrong), 400)["errors"][0]["field"]
    played = Round.objects.filter(player=people.ann, played_on=DAY).order_by("order_in_day")
    assert [(one.order_in_day, one.gross) for one in played] == [(1, 72), (2, 108), (3, 90)]
    assert check_player(people.ann) == []
    measured = {one.events.latest("number").revision.detail["score"]["index_in_force"] for one in played}
    assert len(measured - {None}) == len(measured) == 1


def test_the_place_that_a_phone_named_is_taken_while_it_is_free(people: build.People, ann: Phone, tee: Tee) -> None:
    first, second, third = (ann.opens(tee, people.ann, order_in_day=place) for place in (1, 2, 1))
    for card in (second, first, third):
        ann.fills(card, 0, over=card["order_in_day"])
        ann.sends(card)
    cards = [ann.reads(card)["lines"][0]["round"] for card in (first, second, third)]
    assert [Round.objects.get(pk=played).order_in_day for played in cards] == [1, 2, 3]


def test_a_line_may_close_without_a_round(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan, people.eve)
    ann.fills(card, 0)
    ann.writes(card, 2, 1, strokes=9)
    assert problem(ann.sends(card), 400)["errors"][0]["field"].startswith("lines.3.")
    mine, his, guests = (line["id"] for line in card["lines"])
    for sender, wrong in ((ann, [str(uuid4())]), (ann, [his, guests]), (dan, [mine])):
        assert problem(sender.sends(card, without_round=wrong), 400)["errors"][0]["code"] == "line_unknown"
    told = ann.sends(card, without_round=[guests]).json()
    assert [line["state"] for line in told["lines"]] == ["posted", "declined", "declined"]
    assert Round.objects.get().player == people.ann


def test_what_the_rules_ask_for_is_asked_when_it_is_sent(people: build.People, ann: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann)
    assert problem(ann.sends(card), 400)["errors"][0]["code"] == "card_empty"
    ann.marks(card, *[mark(card, 0, n, strokes=5) for n in range(1, 13)])
    refused = problem(ann.sends(card), 400)
    assert [one["field"] for one in refused["errors"]] == ["lines.1.not_played_reason"]
    assert not Round.objects.exists()
    assert ann.sends(card, not_played_reason="light").json()["lines"][0]["state"] == "posted"
    future = ann.opens(tee, people.ann, played_on="2199-01-01")
    ann.fills(future, 0)
    assert problem(ann.sends(future), 400)["errors"][0]["code"] == "played_in_future"


def test_the_same_key_sends_once(people: build.People, ann: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann)
    ann.fills(card, 0)
    path, key = f"{CARDS}{card['id']}/send/", {"Idempotency_Key": "0123456789abcdef"}
    first, again = (ann.ask("POST", path, {}, **key) for _ in range(2))
    assert first.content == again.content
    assert again["Idempotency-Replayed"] == "true"
    assert Round.objects.count() == 1


def test_dropping_needs_the_version_and_an_unsent_card(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan)
    path = f"{CARDS}{card['id']}/"
    seen = ann.ask("GET", path)["ETag"]
    his = dan.writes(card, 1, 1, strokes=5)
    assert ann.ask("DELETE", path).status_code == 428
    assert ann.ask("DELETE", path, If_Match=seen).status_code == 412
    assert dan.ask("DELETE", path, If_Match="*").status_code == 403
    refused = problem(ann.ask("DELETE", path, If_Match='"2"'))
    assert (refused["code"], "Dan wrote" in refused["detail"]) == ("card_written", True)
    ann.marks(card, mark(card, 1, 1, over=hole(his, 1, 1)["mark"], strokes=6))
    assert ann.ask("DELETE", path, If_Match='"3"').status_code == 204
    assert ann.ask("DELETE", path, If_Match="*").status_code == 204
    refused = problem(dan.marks(card, mark(card, 1, 2, strokes=5)))
    assert (refused["code"], len(refused["late"])) == ("card_dropped", 1)
    assert (dan.reads(card)["state"], dan.reads(card)["notes"][0]["code"]) == ("dropped", "card_dropped")
    assert problem(ann.sends(card))["code"] == "card_dropped"


def test_dropping_the_rest_leaves_what_was_sent_in(people: build.People, ann: Phone, dan: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann, people.dan)
    dan.fills(card, 1)
    dan.sends(card)
    path = f"{CARDS}{card['id']}/"
    assert ann.ask("DELETE", path, If_Match="*").status_code == 204
    told = ann.reads(card)
    assert (told["state"], [line["state"] for line in told["lines"]]) == ("sent", ["declined", "posted"])
    assert problem(ann.ask("DELETE", path, If_Match="*"))["code"] == "card_sent"


def test_the_kit_holds_tees_people_and_own_barriers(people: build.People, ann: Phone, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=90)
    barriers.set_barrier(player=people.dan, score=80)
    kit = ann.ask("GET", f"{CARDS}kit/").json()
    assert kit["player"] == str(people.ann.pk)
    assert [one["name"] for one in kit["people"]] == ["Ann", "Ben", "Dan", "Eve"]
    assert [one["has_account"] for one in kit["people"]] == [True, True, True, False]
    (taken,) = kit["tees"]
    assert (taken["course_rating"], taken["slope_rating"]) == (72.1, 128)
    assert (taken["id"], taken["version"], taken["holes_in_play"]) == (str(tee.pk), 1, ["18", "front", "back"])
    assert [one["par"] for one in taken["holes"]] == list(build.PARS)
    (barrier,) = kit["barriers"]
    assert barrier["barrier"] == 90
    assert sum(one["personal_par"] for one in barrier["personal_pars"][str(tee.pk)]) == 89


def test_the_kit_tells_of_whom_an_index_is_known_and_how_strokes_are_given(
    people: build.People, ann: Phone, tee: Tee
) -> None:
    played = {"tee": str(tee.pk), "gross": 95}
    for place, day in enumerate((DAY, DAY, DAY + timedelta(1))):
        posted = {**played, "gross": 95 + place, "played_on": str(day)}
        assert ann.ask("POST", "/api/v1/rounds/", posted).status_code == 201
    kit = Phone(people.dan).ask("GET", f"{CARDS}kit/").json()
    assert {tuple(one["groups"]) for one in kit["people"]} == {(str(people.group.pk),)}
    indexes = {one["name"]: one["index"] for one in kit["people"]}
    stated = ann.ask("GET", f"/api/v1/players/{people.ann.pk}/").json()["index"]
    assert indexes == {"Ann": stated, "Ben": None, "Dan": None}
    assert stated is not None
    whole, front, back = kit["tees"][0]["rated"]
    assert whole == {
        "holes_in_play": "18",
        "course_rating": 72.1,
        "slope_rating": 128,
        "par": 72,
        "ranks": list(build.STROKE_INDEXES),
    }
    assert (front["par"], front["ranks"]) == (36, [4, 2, 9, 6, 1, 5, 8, 3, 7])
    assert (back["holes_in_play"], back["ranks"]) == ("back", [4, 2, 9, 6, 1, 5, 8, 3, 7])


def test_the_kit_tells_the_owner_alone_the_usual_score_and_the_days_played(
    people: build.People, ann: Phone, tee: Tee
) -> None:
    today = timezone.now().date()
    for place, days in enumerate((30, 3, 3)):
        posted = {"tee": str(tee.pk), "gross": 95 + place, "played_on": str(today - timedelta(days))}
        assert ann.ask("POST", "/api/v1/rounds/", posted).status_code == 201
    outlooks.refresh_due()
    kit = ann.ask("GET", f"{CARDS}kit/").json()
    assert kit["groups"] == [{"id": str(people.group.pk), "name": people.group.name}]
    assert kit["days_played"] == [{"played_on": str(today - timedelta(3)), "orders_in_day": [1, 2]}]
    (score,) = kit["usual_scores"]
    told = ann.ask("GET", f"/api/v1/me/outlook/?tee={tee.pk}").json()
    assert (score["tee"], score["usual"], score["n_rounds"]) == (str(tee.pk), round(told["usual"], 1), 3)
    assert abs(score["low"] - told["low"]) <= 0.6
    dans = Phone(people.dan).ask("GET", f"{CARDS}kit/").json()
    assert (dans["usual_scores"], dans["days_played"]) == ([], [])


def test_the_kit_holds_own_plans_hole_by_hole_and_nobody_else_s(people: build.People, ann: Phone, tee: Tee) -> None:
    worked_out = {
        "stance": "measured",
        "reason": "The green is wide.",
        "club": "4 hybrid",
        "aim": "",
        "safe_side": "left",
    }
    told = [
        {"number": n, "personal_par": par + 1, "due": 5 * n, "lay_up": "", "rules": [], **worked_out}
        for n, par in enumerate(build.PARS, 1)
    ]
    now = timezone.now()
    plan = Plan.objects.create(
        player=people.ann, tee=tee, barrier=91, told={"holes": told}, created_at=now, worked_out_at=now
    )
    HolePlan.objects.create(plan=plan, number=2, personal_par=5, stance="protect", club="7 iron", note="short of it")
    (taken,) = ann.ask("GET", f"{CARDS}kit/").json()["plans"]
    assert (taken["tee"], taken["barrier"], taken["for_day"]) == (str(tee.pk), 91, None)
    first, second = taken["holes"][:2]
    common = {"lay_up": "", **worked_out}
    assert first == {
        "number": 1,
        "personal_par": 5,
        "made_in": "on in three, two putts",
        "due": 5,
        "own_note": "",
        **common,
    }
    assert second == {
        **common,
        "number": 2,
        "personal_par": 5,
        "made_in": "on in three, two putts",
        "due": 10,
        "stance": "protect",
        "club": "7 iron",
        "own_note": "short of it",
    }
    assert Phone(people.dan).ask("GET", f"{CARDS}kit/").json()["plans"] == []


def test_a_tee_with_cards_stays(people: build.People, ann: Phone, tee: Tee) -> None:
    ann.opens(tee, people.ann, played_on=str(DAY + timedelta(1)))
    ben = Phone(people.ben)
    assert problem(ben.ask("DELETE", f"/api/v1/tees/{tee.pk}/", If_Match="*"))["code"] == "tee_used"
    assert problem(ben.ask("DELETE", f"/api/v1/courses/{tee.course_id}/", If_Match="*"))["code"] == "course_used"
    with pytest.raises(Exception, match="stays"):
        courses.delete_tee(actor=people.ben, tee=tee)


def test_strangers_and_group_mates_who_are_not_on_it_see_no_card(people: build.People, ann: Phone, tee: Tee) -> None:
    card = ann.opens(tee, people.ann)
    for player in (people.ben, people.cat):
        client: Client = build.signed_in(player)
        assert client.get(f"{CARDS}{card['id']}/").status_code == 404
