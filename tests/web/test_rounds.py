"""Pages about rounds: posting, reading, correcting, withdrawing, attesting."""

import re
from datetime import date

import pytest

from league.models import CardEvent, Round
from league.services import rounds
from league.services.rounds import HoleFacts, RoundFacts
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people():
    return build.people()


@pytest.fixture
def tee(people):
    return build.tee(build.course(people.group))


def entries(tee, over=1, **changes):
    card = {f"h{hole.number}": str(hole.par + over) for hole in tee.holes.all()}
    return {"tee": str(tee.pk), "holes": "18", "by": "holes", "played_on": "2026-05-02", **card, **changes}


def post(player, tee, day=date(2026, 5, 2), over=1):
    holes = tuple(HoleFacts(number=hole.number, strokes=hole.par + over) for hole in tee.holes.all())
    facts = RoundFacts(tee=tee, played_on=day, holes=holes)
    return rounds.post_round(player=player, facts=facts, posted_by=player)


def text_of(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_a_card_is_posted_and_leads_to_its_page(people, tee):
    client = build.signed_in(people.ann)
    assert client.get("/rounds/new/").status_code == 200
    sent = client.post("/rounds/new/", entries(tee))
    assert sent.status_code == 303, text_of(sent)
    page = client.get(sent["Location"])
    assert page.status_code == 200
    assert "90 at Marsh Links" in text_of(page)


def test_the_same_form_pressed_twice_stores_one_round(people, tee):
    client = build.signed_in(people.ann)
    form = entries(tee, key="0123456789abcdef0123456789abcdef")
    first, second = (client.post("/rounds/new/", form) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert Round.objects.count() == 1


def test_marks_for_picked_up_and_not_played_are_read(people, tee):
    form = entries(tee, h3="7x", h5="x", h17="", h18="-", not_played_reason="light")
    sent = build.signed_in(people.ann).post("/rounds/new/", form)
    assert sent.status_code == 303, text_of(sent)
    stored = {hole.number: (hole.strokes, hole.is_picked_up) for hole in Round.objects.get().hole_scores.all()}
    assert (stored[3], stored[5], len(stored)) == ((7, True), (None, True), 16)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"h7": "seven"}, "Enter the strokes, x for picked up"),
        ({"h7": "0"}, "Hole 7"),
        ({"h7": "99"}, "Hole 7: enter 1 to 25"),
        ({"putts7": "9"}, "Hole 7: more putts than strokes"),
        ({"played_on": "31.12.2026"}, "Enter a valid date"),
        ({"played_on": "2199-01-01"}, "That day has not come yet"),
        ({"h18": ""}, "Say why holes were not played"),
        ({"note": "a\x00b"}, ""),
        ({"playing_conditions": "2"}, "Say where the playing conditions value was published"),
    ],
)
def test_a_fault_is_named_at_its_field_and_the_entries_stay(people, tee, changes, said):
    answer = build.signed_in(people.ann).post("/rounds/new/", entries(tee, **changes))
    assert answer.status_code == 400
    assert said in text_of(answer)
    assert "things need a look" in text_of(answer) or "One thing needs a look" in text_of(answer)
    assert 'name="h1" value="5"' in answer.content.decode()
    assert Round.objects.count() == 0


def test_a_look_alike_is_asked_about_and_stored_when_it_is_right(people, tee):
    client = build.signed_in(people.ann)
    client.post("/rounds/new/", entries(tee))
    asked = client.post("/rounds/new/", entries(tee))
    assert asked.status_code == 400
    assert "Worth a second look" in text_of(asked)
    assert Round.objects.count() == 1
    assert client.post("/rounds/new/", entries(tee, confirmed="on")).status_code == 303
    assert Round.objects.count() == 2


def test_a_total_is_posted(people, tee):
    form = {"tee": str(tee.pk), "holes": "18", "by": "total", "played_on": "2026-05-02", "gross": "97"}
    sent = build.signed_in(people.ann).post("/rounds/new/", form)
    assert sent.status_code == 303, text_of(sent)
    assert (Round.objects.get().gross, Round.objects.get().is_total) == (97, True)


def test_without_a_tee_the_page_says_what_is_missing(people):
    assert "A round needs a tee" in text_of(build.signed_in(people.cat).get("/rounds/new/"))


def test_a_keeper_posts_for_a_guest_and_nobody_for_a_mate(people, tee):
    client = build.signed_in(people.ann)
    assert client.post("/rounds/new/", entries(tee, player=str(people.eve.pk))).status_code == 303
    assert Round.objects.get().player == people.eve
    assert client.post("/rounds/new/", entries(tee, player=str(people.dan.pk))).status_code == 403
    assert client.post("/rounds/new/", entries(tee, player=str(people.cat.pk))).status_code == 404


def test_a_correction_is_stored_with_its_reason(people, tee):
    played = post(people.ann, tee)
    client = build.signed_in(people.ann)
    page = client.get(f"/rounds/{played.pk}/correct/")
    assert page.status_code == 200
    form = entries(tee, over=2, version="1", reason="Misread.")
    assert client.post(f"/rounds/{played.pk}/correct/", form).status_code == 303
    assert Round.objects.get().gross == 108
    assert CardEvent.objects.order_by("number").last().reason == "Misread."


def test_two_corrections_at_once_show_both_versions_and_overwrite_nothing(people, tee):
    played = post(people.ann, tee)
    client = build.signed_in(people.ann)
    client.post(f"/rounds/{played.pk}/correct/", entries(tee, over=2, version="1"))
    stale = client.post(f"/rounds/{played.pk}/correct/", entries(tee, over=3, version="1"))
    assert stale.status_code == 409
    assert "Stored now: 108 strokes" in text_of(stale)
    assert Round.objects.get().gross == 108
    assert 'name="version" value="2"' in stale.content.decode()


def test_a_round_is_withdrawn_after_asking(people, tee):
    played = post(people.ann, tee)
    client = build.signed_in(people.ann)
    assert "Withdraw this round?" in text_of(client.get(f"/rounds/{played.pk}/withdraw/"))
    sent = client.post(f"/rounds/{played.pk}/withdraw/", {"version": "1", "reason": "Twice."})
    assert sent.status_code == 303
    assert "This round was withdrawn" in text_of(client.get(f"/rounds/{played.pk}/"))


def test_a_mate_attests_and_the_player_cannot(people, tee):
    played = post(people.ann, tee)
    assert build.signed_in(people.ann).post(f"/rounds/{played.pk}/attest/", {"version": "1"}).status_code == 403
    assert build.signed_in(people.cat).post(f"/rounds/{played.pk}/attest/", {"version": "1"}).status_code == 404
    mate = build.signed_in(people.dan)
    assert "Attest it" in text_of(mate.get(f"/rounds/{played.pk}/"))
    assert mate.post(f"/rounds/{played.pk}/attest/", {"version": "1"}).status_code == 303
    assert "Attested by Dan" in text_of(mate.get(f"/rounds/{played.pk}/"))


def test_a_mate_sees_the_line_but_no_hole(people, tee):
    played = post(people.ann, tee)
    seen = build.signed_in(people.dan).get(f"/rounds/{played.pk}/")
    assert "after hole caps is a differential of" in text_of(seen)
    assert "The card" not in text_of(seen)


def test_the_list_and_its_file(people, tee):
    post(people.ann, tee)
    client = build.signed_in(people.ann)
    assert "Marsh Links" in text_of(client.get("/rounds/"))
    taken = client.get("/rounds/file/")
    assert taken["Content-Type"].startswith("text/csv")
    assert taken.content.decode().count("\n") == 2
    assert "Unofficial" in taken.content.decode()


def test_a_hostile_note_is_shown_as_text(people, tee):
    client = build.signed_in(people.ann)
    sent = client.post("/rounds/new/", entries(tee, note='"><svg onload=alert(1)>'))
    page = client.get(sent["Location"]).content.decode()
    assert "<svg onload" not in page
    assert "&lt;svg onload" in page


def test_old_rounds_keep_the_rating_they_were_played_on(people, tee):
    """A round posted for a past day takes the version of the tee that covered it."""
    from_day = date(2026, 4, 1)
    old = tee
    old.valid_until = date(2026, 3, 31)
    old.save()
    new = build.tee(old.course, name=old.name)
    new.set_id, new.valid_from = old.set_id, from_day
    new.save()
    client = build.signed_in(people.ann)
    assert client.post("/rounds/new/", entries(new, played_on="2026-03-15")).status_code == 303
    assert Round.objects.get().tee_id == old.pk


def test_a_withdrawn_round_gives_its_reason_and_asks_for_no_signature(people, tee):
    played = post(people.ann, tee)
    rounds.withdraw_round(played=played, version=1, withdrawn_by=people.ann, reason="entered for somebody else")
    shown = text_of(build.signed_in(people.ann).get(f"/rounds/{played.pk}/"))
    assert "The reason given: entered for somebody else" in shown
    assert "Nobody had attested it." in shown
    assert "can do it" not in shown


def test_the_number_of_holes_played_stands_at_the_head(people, tee):
    holes = tuple(HoleFacts(number=hole.number, strokes=hole.par + 1) for hole in tee.holes.all())[:14]
    facts = RoundFacts(tee=tee, played_on=date(2026, 5, 2), holes=holes, not_played_reason="light")
    played = rounds.post_round(player=people.ann, facts=facts, posted_by=people.ann)
    assert "14 of 18 holes" in text_of(build.signed_in(people.ann).get(f"/rounds/{played.pk}/"))


def test_correcting_a_total_takes_the_adjusted_gross_along(people, tee):
    """Nobody gave an adjusted gross, so none may stay behind when the gross changes."""
    facts = RoundFacts(tee=tee, played_on=date(2026, 5, 2), gross=93)
    played = rounds.post_round(player=people.ann, facts=facts, posted_by=people.ann)
    client, path = build.signed_in(people.ann), f"/rounds/{played.pk}/correct/"
    shown = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', client.get(path).content.decode()))
    assert client.post(path, {**shown, "gross": "94", "playing_conditions": "0"}).status_code == 303
    played.refresh_from_db()
    assert (played.gross, played.adjusted_gross) == (94, 94)


def test_no_sentence_stands_twice_in_a_ledger_without_an_index(people, tee):
    post(people.ann, tee)
    assert text_of(build.signed_in(people.ann).get(f"/players/{people.ann.pk}/ledger/")).count("There is no index") == 1


def test_a_correction_may_move_a_card_to_another_tee_and_make_it_a_total(people, tee):
    played = post(people.ann, tee)
    other = build.tee(build.course(people.group, name="Sallow Moor"))
    client, path = build.signed_in(people.ann), f"/rounds/{played.pk}/correct/"
    asked = client.get(path, {"tee": str(other.pk), "by": "total"})
    assert "Sallow Moor" in text_of(asked)
    assert 'name="gross"' in asked.content.decode()
    assert 'name="h1"' not in asked.content.decode()
    form = {"tee": str(other.pk), "holes": "18", "by": "total", "played_on": "2026-05-02", "gross": "91"}
    form["version"] = "1"
    assert client.post(path, form).status_code == 303
    played.refresh_from_db()
    assert (played.tee, played.is_total, played.gross) == (other, True, 91)
    strange = build.tee(build.course(build.group(), name="Elsewhere"))
    assert client.get(path, {"tee": str(strange.pk)}).status_code == 404


def test_a_correction_of_a_card_on_a_tee_no_longer_seen_keeps_that_tee(people, tee):
    played = post(people.ann, tee)
    people.group.memberships.filter(player=people.ann).update(left_at=played.entered_at)
    client, path = build.signed_in(people.ann), f"/rounds/{played.pk}/correct/"
    assert client.get(path).status_code == 200
    assert client.post(path, entries(tee, over=2, version="1")).status_code == 303


def test_who_attested_hears_of_a_correction_until_it_is_attested_again(people, tee):
    played = post(people.ann, tee)
    dan = build.signed_in(people.dan)
    assert dan.post(f"/rounds/{played.pk}/attest/", {"version": "1"}).status_code == 303
    assert "Corrected since" not in text_of(dan.get("/"))
    build.signed_in(people.ann).post(f"/rounds/{played.pk}/correct/", entries(tee, over=2, version="1"))
    assert "Corrected since" in text_of(dan.get("/"))
    assert "Corrected since" not in text_of(build.signed_in(people.ben).get("/"))
    assert dan.post(f"/rounds/{played.pk}/attest/", {"version": "2"}).status_code == 303
    assert "Corrected since" not in text_of(dan.get("/"))
