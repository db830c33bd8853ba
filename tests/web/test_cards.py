"""Cards by page, without script: opened, written hole by hole, settled, sent in, answered."""

from datetime import date
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from league.models import Card, CardMark, Player, Round, Tee
from league.services import card_marks
from league.services.card_marks import Written
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


def opened(client: Client, tee: Tee, *players: Player) -> Card:
    entries = {"tee": tee.pk, "holes_in_play": "18", "played_on": "2026-07-04", "players": [one.pk for one in players]}
    assert client.post(reverse("card_open"), entries).status_code == 303
    return Card.objects.latest("opened_at")


def fill(card: Card, writer: Player, place: int) -> None:
    line = card.lines.get(place=place)
    value = {"strokes": 5, "putts": 2}
    marks = [Written(client_id=uuid4(), line=line.pk, number=number, value=value) for number in range(1, 19)]
    card_marks.write_marks(card=card, writer=writer, device=uuid4(), marks=marks)


def test_a_card_is_kept_hole_by_hole(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann, people.dan)
    page = reverse("card_page", args=[card.pk])
    answer = ann.post(page, {"hole": "1", "strokes_1": "5", "putts_1": "2", "strokes_2": "6"})
    assert (answer.status_code, answer["Location"]) == (303, f"{page}?hole=2")
    shown = ann.get(f"{page}?hole=1").content.decode()
    assert 'name="strokes_1" value="5"' in shown
    over = str(CardMark.objects.get(line__place=1).client_id)
    assert over in shown
    ann.post(page, {"hole": "1", "strokes_1": "7", "over_1": over, "strokes_2": "6"})
    marks = CardMark.objects.filter(line__place=1, state="standing")
    assert [mark.value for mark in marks] == [{"strokes": 7}]
    assert CardMark.objects.filter(line__place=2).count() == 1
    assert ann.post(page, {"hole": "2", "strokes_1": "sixty"}).status_code == 400


def test_a_card_is_opened_for_a_group_on_a_day_that_has_come(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    asked = ann.get(reverse("card_open")).content.decode()
    assert f'value="{people.group.pk}" selected' in asked
    entries = {"tee": tee.pk, "played_on": "2026-07-04", "group": people.group.pk, "players": [people.ann.pk]}
    for wrong, field in (({"played_on": "2031-01-01"}, "played_on"), ({"holes_in_play": "nine"}, "holes_in_play")):
        answer = ann.post(reverse("card_open"), {**entries, **wrong})
        assert (answer.status_code, Card.objects.count()) == (400, 0)
        assert f'href="#id_{field}"' in answer.content.decode()
    assert ann.post(reverse("card_open"), entries).status_code == 303
    card = Card.objects.get()
    assert (card.group, card.holes_in_play) == (people.group, "18")
    for page in (reverse("cards"), reverse("card_page", args=[card.pk])):
        assert "<bdi>Lapwing Friday Group</bdi>" in ann.get(page).content.decode().partition("<main")[2]


def test_tee_day_and_people_are_put_right_by_page(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann, people.eve)
    ann.post(reverse("card_page", args=[card.pk]), {"hole": "1", "strokes_1": "5"})
    other = build.tee(tee.course, "Bittern")
    change = reverse("card_change", args=[card.pk])
    assert change in ann.get(reverse("card_page", args=[card.pk])).content.decode()
    assert "Bittern" in ann.get(change).content.decode()
    entries = {
        "tee": other.pk,
        "played_on": "2026-07-05",
        "order_in_day": "2",
        "players": [people.ann.pk, people.dan.pk],
    }
    assert ann.post(change, {**entries, "version": "1"}).status_code == 409
    tomorrow = ann.post(change, {**entries, "played_on": "2031-01-01", "version": "2"})
    assert (tomorrow.status_code, 'href="#id_played_on"' in tomorrow.content.decode()) == (400, True)
    without = ann.post(change, {**entries, "players": [people.dan.pk], "version": "2"})
    assert (without.status_code, "written for Ann" in without.content.decode()) == (400, True)
    assert ann.post(change, {**entries, "version": "2"}).status_code == 303
    card.refresh_from_db()
    assert (card.tee, card.played_on, card.order_in_day) == (other, date(2026, 7, 5), 2)
    assert [line.player for line in card.lines.all()] == [people.ann, people.dan]
    assert CardMark.objects.get().value == {"strokes": 5}


def test_everything_that_a_mark_knows_is_written_by_page(people: build.People, tee: Tee) -> None:
    ann, dan = build.signed_in(people.ann), build.signed_in(people.dan)
    card = opened(ann, tee, people.ann, people.eve)
    page = reverse("card_page", args=[card.pk])
    entries = {"hole": "1", "strokes_1": "6", "putts_1": "3", "penalties_1": "1"}
    finer = {"strokes_from_60_1": "4", "first_putt_beyond_20ft_1": "yes", "recovery_1": "no"}
    assert ann.post(page, {**entries, **finer}).status_code == 303
    whole = {"strokes": 6, "putts": 3, "penalties": 1, "strokes_from_60": 4, "first_putt_beyond_20ft": True}
    assert CardMark.objects.get().value == {**whole, "recovery": False}
    shown = ann.get(f"{page}?hole=1").content.decode()
    assert "<details open>" in shown
    assert f"?line={card.lines.get(place=1).pk}&amp;hole=1" in shown
    card = opened(ann, tee, people.ann, people.dan)
    theirs = dan.get(reverse("card_page", args=[card.pk])).content.decode()
    assert 'name="recovery_2"' in theirs
    assert 'name="putts_1"' not in theirs
    assert 'name="recovery_1"' not in theirs


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"strokes_1": "26"}, "strokes_1", "Enter 1 to 25"),
        ({"strokes_1": "0"}, "strokes_1", "Enter 1 to 25"),
        ({"putts_1": "2"}, "strokes_1", "Enter the strokes too"),
        ({"strokes_1": "4", "putts_1": "5"}, "putts_1", "more putts than strokes"),
        ({"strokes_1": "4", "penalties_1": "4"}, "penalties_1", "penalty strokes are part of the strokes"),
        ({"strokes_1": "4", "putts_1": "2", "strokes_from_60_1": "1"}, "strokes_from_60_1", "include the putts"),
        ({"strokes_1": "4", "putts_1": "0", "first_putt_beyond_20ft_1": "yes"}, "first_putt_beyond_20ft_1", "no putt"),
    ],
    ids=lambda given: given if isinstance(given, str) and given.endswith("_1") else "",
)
def test_what_cannot_be_is_said_at_its_field(
    people: build.People, tee: Tee, entries: dict[str, str], field: str, words: str
) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann, people.eve)
    answer = ann.post(reverse("card_page", args=[card.pk]), {"hole": "1", "strokes_2": "5", **entries})
    said = answer.content.decode()
    assert answer.status_code == 400
    assert f'href="#id_{field}"' in said
    assert words in said
    assert not CardMark.objects.exists()


def test_half_a_hole_from_a_phone_stops_nobody_else_on_the_page(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann, people.eve)
    half = Written(client_id=uuid4(), line=card.lines.get(place=1).pk, number=1, value={"putts": 2})
    card_marks.write_marks(card=card, writer=people.ann, device=uuid4(), marks=[half])
    entries = {"hole": "1", "putts_1": "2", "over_1": str(half.client_id), "strokes_2": "5"}
    assert ann.post(reverse("card_page", args=[card.pk]), entries).status_code == 303
    assert CardMark.objects.get(line__place=2).value == {"strokes": 5}


def test_the_last_entries_are_taken_back_one_by_one(people: build.People, tee: Tee) -> None:
    ann, dan = build.signed_in(people.ann), build.signed_in(people.dan)
    card = opened(ann, tee, people.ann, people.dan)
    page, back = reverse("card_page", args=[card.pk]), reverse("card_take_back", args=[card.pk])
    assert back not in ann.get(page).content.decode()
    ann.post(page, {"hole": "1", "strokes_1": "5", "putts_1": "2"})
    first = str(CardMark.objects.get().client_id)
    ann.post(page, {"hole": "2", "strokes_1": "4"})
    second = CardMark.objects.get(number=2)
    ann.post(page, {"hole": "1", "strokes_1": "7", "putts_1": "2", "over_1": first})
    third = str(CardMark.objects.latest("pk").client_id)
    shown = ann.get(page).content.decode()
    assert "7, 2 putts. Taken back, 5, 2 putts stands there again." in shown
    assert back not in dan.get(page).content.decode()
    assert dan.post(back, {"mark": third, "hole": "1"}).status_code == 404
    for _ in range(2):
        assert ann.post(back, {"mark": third, "hole": "1"})["Location"] == f"{page}?hole=1"
    standing = CardMark.objects.filter(state="standing")
    assert [mark.value for mark in standing.order_by("number")] == [{"strokes": 5, "putts": 2}, {"strokes": 4}]
    assert f'value="{second.client_id}"' in ann.get(page).content.decode()
    ann.post(back, {"mark": str(second.client_id), "hole": "2"})
    assert CardMark.objects.get(number=2, state="standing").value is None
    shown = ann.get(page).content.decode()
    assert back not in shown
    over = CardMark.objects.get(number=1, state="standing").client_id
    dan.post(page, {"hole": "1", "strokes_1": "6", "over_1": str(over)})
    assert ann.post(back, {"mark": first, "hole": "1"}).status_code == 409


def test_two_values_are_shown_and_one_is_taken(people: build.People, tee: Tee) -> None:
    ann, dan = build.signed_in(people.ann), build.signed_in(people.dan)
    card = opened(ann, tee, people.ann, people.dan)
    page = reverse("card_page", args=[card.pk])
    ann.post(page, {"hole": "1", "strokes_2": "5"})
    dan.post(page, {"hole": "1", "strokes_2": "6"})
    shown = ann.get(f"{page}?hole=1").content.decode()
    assert "was written differently" in shown
    assert 'name="strokes_1"' in shown
    assert 'name="strokes_2"' not in shown
    assert ann.post(reverse("card_send", args=[card.pk]), {"not_played_reason": ""}).status_code == 409
    chosen = CardMark.objects.get(written_by=people.dan).client_id
    pressed = ann.post(reverse("card_settle", args=[card.pk]), {"place": "2", "hole": "1", "mark": str(chosen)})
    assert pressed.status_code == 303
    assert "was written differently" not in ann.get(page).content.decode()


def test_somebody_who_stopped_gets_no_round_and_the_others_do(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann, people.eve)
    fill(card, people.ann, 1)
    begun = Written(client_id=uuid4(), line=card.lines.get(place=2).pk, number=1, value={"strokes": 9})
    card_marks.write_marks(card=card, writer=people.ann, device=uuid4(), marks=[begun])
    send = reverse("card_send", args=[card.pk])
    asked = ann.get(send).content.decode()
    assert "18 of 18 holes written, 90 strokes; becomes a round" in asked
    assert "1 of 18 holes written, 9 strokes; too few holes for a round, which needs 10" in asked
    refused = ann.post(send, {"not_played_reason": "injury"})
    assert (refused.status_code, Round.objects.count()) == (400, 0)
    assert "Eve: " in refused.content.decode()
    eve = str(card.lines.get(place=2).pk)
    assert ann.post(send, {"not_played_reason": "", "without_round": [eve]}).status_code == 303
    assert [line.state for line in card.lines.all()] == ["posted", "declined"]
    assert Round.objects.get().player == people.ann


def test_a_second_round_of_a_day_is_asked_about_and_may_have_been_the_first(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    first, second = opened(ann, tee, people.ann), opened(ann, tee, people.ann)
    fill(first, people.ann, 1)
    send = reverse("card_send", args=[first.pk])
    assert "Which round of that day" not in ann.get(send).content.decode()
    ann.post(send, {"not_played_reason": ""})
    fill(second, people.ann, 1)
    send = reverse("card_send", args=[second.pk])
    asked = ann.get(send).content.decode()
    assert "has a round of that day already: 90 at" in asked
    assert "the first of the day" in asked
    assert ann.post(send, {"not_played_reason": "", "order_in_day": "1"}).status_code == 303
    places = {line.card_id: line.round.order_in_day for line in people.ann.card_lines.select_related("round")}
    assert places == {first.pk: 2, second.pk: 1}


def test_another_tee_may_have_been_played(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann)
    fill(card, people.ann, 1)
    other = build.tee(tee.course, "Bittern")
    build.tee(tee.course, "Ousel", valid_from=date(2026, 8, 1))
    send = reverse("card_send", args=[card.pk])
    asked = ann.get(send).content.decode()
    assert "Bittern" in asked
    assert "Ousel" not in asked
    assert ann.post(send, {"not_played_reason": "", "tee": str(other.pk)}).status_code == 303
    assert Round.objects.get().tee == other


def test_a_tee_that_changed_is_looked_at_before_it_counts(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann)
    fill(card, people.ann, 1)
    tee.version, tee.slope_rating = tee.version + 1, 120
    tee.save()
    send = reverse("card_send", args=[card.pk])
    assert "slope rating 120" in ann.get(send).content.decode()
    unseen = ann.post(send, {"not_played_reason": ""})
    assert (unseen.status_code, Round.objects.count()) == (400, 0)
    assert 'href="#id_tee_seen"' in unseen.content.decode()
    assert ann.post(send, {"not_played_reason": "", "tee_seen": "on"}).status_code == 303


def test_a_line_that_waits_is_on_the_front_page_until_it_is_answered(people: build.People, tee: Tee) -> None:
    ann, dan = build.signed_in(people.ann), build.signed_in(people.dan)
    card = opened(ann, tee, people.ann, people.dan)
    fill(card, people.ann, 1)
    fill(card, people.ann, 2)
    assert ann.post(reverse("card_send", args=[card.pk]), {"not_played_reason": ""}).status_code == 303
    answer = reverse("card_answer", args=[card.pk])
    for page in ("/", reverse("cards")):
        assert answer in dan.get(page).content.decode()
        assert answer not in ann.get(page).content.decode()
    assert "90 strokes" in dan.get(answer).content.decode()
    assert dan.post(answer, {"answer": "post", "not_played_reason": ""}).status_code == 303
    assert Round.objects.get(player=people.dan).gross == 90
    assert answer not in dan.get("/").content.decode()


def test_a_no_makes_no_round(people: build.People, tee: Tee) -> None:
    ann, dan = build.signed_in(people.ann), build.signed_in(people.dan)
    card = opened(ann, tee, people.dan)
    fill(card, people.ann, 1)
    ann.post(reverse("card_send", args=[card.pk]), {"not_played_reason": ""})
    assert dan.post(reverse("card_answer", args=[card.pk]), {"answer": "decline"}).status_code == 303
    assert not Round.objects.exists()


def test_dropping_says_what_goes_and_tells_the_others(people: build.People, tee: Tee) -> None:
    ann, dan = build.signed_in(people.ann), build.signed_in(people.dan)
    card = opened(ann, tee, people.ann, people.dan, people.eve)
    fill(card, people.ann, 2)
    page, drop = reverse("card_page", args=[card.pk]), reverse("card_drop", args=[card.pk])
    assert drop in ann.get(page).content.decode()
    assert drop not in dan.get(page).content.decode()
    assert dan.get(drop).status_code == 403
    asked = ann.get(drop).content.decode()
    assert "18 of 18 holes written, no round comes of them" in asked
    assert "Dan will see" in asked
    assert 'name="version" value="2"' in asked
    ann.post(page, {"hole": "1", "strokes_1": "5"})
    stale = ann.post(drop, {"version": "2"})
    assert (stale.status_code, Card.objects.get().state) == (409, "open")
    assert "wrote on the card since" in stale.content.decode()
    version = Card.objects.get().version
    assert ann.post(drop, {"version": version}).status_code == 303
    assert Card.objects.get().state == "dropped"
    assert ann.post(drop, {"version": version})["Location"] == page
    assert "counts for nothing" in dan.get(page).content.decode()
    for told, place in ((dan, reverse("cards")), (dan, "/")):
        assert "Closed without a round" in told.get(place).content.decode()
    assert "Closed without a round" not in ann.get(reverse("cards")).content.decode()
    assert not Round.objects.exists()


def test_what_somebody_else_wrote_is_not_dropped(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann, people.dan, people.eve)
    fill(card, people.dan, 2)
    drop, version = reverse("card_drop", args=[card.pk]), Card.objects.get().version
    asked = ann.get(drop).content.decode()
    assert "Dan wrote on this card" in asked
    assert 'name="version"' not in asked
    assert ann.post(drop, {"version": version}).status_code == 409
    left_out = [str(line.pk) for line in card.lines.exclude(place=2)]
    answer = ann.post(reverse("card_send", args=[card.pk]), {"not_played_reason": "", "without_round": left_out})
    assert answer.status_code == 303
    assert [line.state for line in card.lines.all()] == ["declined", "waits", "declined"]


def test_dropping_the_rest_leaves_what_was_sent_in(people: build.People, tee: Tee) -> None:
    ann, dan = build.signed_in(people.ann), build.signed_in(people.dan)
    card = opened(ann, tee, people.ann, people.dan)
    fill(card, people.ann, 2)
    dan.post(reverse("card_send", args=[card.pk]), {"not_played_reason": ""})
    drop = reverse("card_drop", args=[card.pk])
    asked = ann.get(drop).content.decode()
    assert "stored as a round; it stays" in asked
    assert "will see" not in asked
    assert ann.post(drop, {"version": "3"}).status_code == 303
    assert [line.state for line in card.lines.all()] == ["declined", "posted"]
    assert (Card.objects.get().state, Round.objects.get().player) == ("sent", people.dan)
    assert ann.get(drop).status_code == 409


def test_what_the_rules_ask_for_is_said_on_the_page(people: build.People, tee: Tee) -> None:
    ann = build.signed_in(people.ann)
    card = opened(ann, tee, people.ann)
    send = reverse("card_send", args=[card.pk])
    answer = ann.post(send, {"not_played_reason": ""})
    assert answer.status_code == 400
    assert "Nothing is written on this card yet." in answer.content.decode()
