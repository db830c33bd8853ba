"""The journal's pages: what is typed is kept, nothing is stored that was not said, and who reads it is said."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from journal.models import Intention, LookBack, Reset
from journal.services.before import today_for
from journal.services.look_backs import open_look_back, share_look_back, write_look_back
from league.models import Round, Tee
from league.services.rounds import RoundFacts, post_round, withdraw_round
from tests import build
from tests.journal.conftest import line_of, play

pytestmark = pytest.mark.django_db


def test_asking_for_the_range_of_another_tee_keeps_what_was_typed(ann: Client, people: build.People, tee: Tee) -> None:
    other = build.tee(tee.course, "Plover", slope=120)
    typed = {"goal": "Towards the church.", "when": "If it blows,", "played_on": "2027-01-01", "tee": str(other.pk)}
    answer = ann.post(reverse("intention_new"), {**typed, "act": "range"})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert all(f'value="{typed[name]}"' in page for name in ("goal", "when", "played_on"))
    assert f'<option value="{other.pk}" selected>' in page
    assert "Plover</bdi>" in page
    assert not Intention.objects.exists()


def test_a_sentence_of_the_list_does_not_replace_ones_own(ann: Client) -> None:
    both = {"ready": "hurry", "when": "If it blows,", "then": "then I wait.", "played_on": "2026-12-01"}
    answer = ann.post(reverse("intention_new"), both)
    assert answer.status_code == 400
    assert "Keep one of the two" in answer.content.decode()
    assert 'value="then I wait."' in answer.content.decode()
    assert ann.post(reverse("intention_new"), {**both, "ready": ""}).status_code == 303
    assert Intention.objects.get().then == "then I wait."


def test_a_stored_tee_that_was_rated_anew_stays(ann: Client, people: build.People, tee: Tee) -> None:
    made = Intention.objects.create(
        player=people.ann, tee=tee, played_on=date(2026, 5, 1), goal="Targets.", created_at="2026-04-30T20:00Z"
    )
    newer = build.tee(tee.course, slope=120, valid_from=date(2026, 6, 1))
    type(newer).objects.filter(pk=newer.pk).update(set_id=tee.set_id)
    changed = {"goal": "Speed.", "tee": str(tee.pk), "played_on": "2026-05-01", "version": "1"}
    assert ann.post(reverse("intention", args=[made.pk]), changed).status_code == 303
    made.refresh_from_db()
    assert (made.goal, made.tee_id) == ("Speed.", tee.pk)


def test_the_card_suggests_a_hole_and_stores_none(ann: Client, played: Round) -> None:
    address = reverse("look_back", args=[played.pk])
    assert "Furthest over par, hole 4: 10 on a par 5, 2 putts." in ann.get(address).content.decode()
    ann.post(address, {"act": "draft", "keep": "Speed."})
    assert LookBack.objects.get().worst_hole is None
    ann.post(address, {"act": "skip", "keep": "Not this", "worst_hole": "4"})
    skipped = LookBack.objects.get()
    assert (skipped.state, skipped.keep, skipped.worst_hole) == ("skipped", "Speed.", None)


def test_an_answer_can_be_taken_back(ann: Client, played: Round) -> None:
    address = reverse("look_back", args=[played.pk])
    ann.post(address, {"act": "finish", "cause": "luck", "plan_kept": "no"})
    assert LookBack.objects.get().cause == "luck"
    ann.post(address, {"act": "finish", "cause": "", "plan_kept": ""})
    assert (LookBack.objects.get().cause, LookBack.objects.get().plan_kept) == ("", "")


def test_whoever_reads_it_is_named_where_it_is_changed(ann: Client, people: build.People, played: Round) -> None:
    address = reverse("look_back", args=[played.pk])
    opened = open_look_back(player=people.ann, played=played)
    write_look_back(look_back=opened, changes={"state": "done"})
    assert "can read this" not in ann.get(address).content.decode()
    share_look_back(look_back=opened, group=people.group, readers=[people.dan], to_all=False)
    assert "<bdi>Dan</bdi> can read this, and what you store now at once." in ann.get(address).content.decode()


def test_a_hole_that_was_not_played_is_refused(ann: Client, people: build.People, tee: Tee) -> None:
    facts = RoundFacts(tee=tee, played_on=date(2026, 5, 9), holes_in_play="front", gross=47, adjusted_gross=46)
    nine = post_round(player=people.ann, facts=facts, posted_by=people.ann)
    made = ann.post("/api/v1/journal/look-backs/", {"round": str(nine.pk)}, "application/json").json()["id"]
    address, headers = f"/api/v1/journal/look-backs/{made}/", {"If-Match": "*"}
    refused = ann.patch(address, {"worst_hole": 18}, "application/json", headers=headers)
    assert refused.json()["errors"][0]["code"] == "hole_not_played"
    assert ann.patch(address, {"worst_hole": 9}, "application/json", headers=headers).status_code == 200


def test_a_withdrawn_round_is_looked_back_on_no_more(ann: Client, people: build.People, tee: Tee) -> None:
    kept, gone = play(people.ann, tee, 1), play(people.ann, tee, 2)
    open_look_back(player=people.ann, played=kept)
    for played in (kept, gone):
        withdraw_round(played=played, version=played.version, withdrawn_by=people.ann, reason="Not mine.")
    answers = [
        ann.post(f"/api/v1/journal/{name}/", body, "application/json")
        for name, body in (
            ("look-backs", {"round": str(gone.pk)}),
            ("resets", {"client_id": str(gone.pk), "round": str(gone.pk)}),
        )
    ]
    assert [answer.json()["errors"][0]["code"] for answer in answers] == ["withdrawn_round"] * 2
    assert ann.post("/api/v1/journal/look-backs/", {"round": str(kept.pk)}, "application/json").status_code == 201
    assert ann.post(reverse("look_back", args=[gone.pk]), {"act": "finish"}).status_code == 400


def test_ones_home_has_one_quiet_line_and_skipping_ends_it(ann: Client, people: build.People, tee: Tee) -> None:
    def line() -> str:
        page = ann.get(reverse("home")).content.decode()
        return page.partition('<h2 id="own">Yours alone</h2>')[2].partition("</section>")[0]

    today = today_for(people.ann, tee)
    older, fresh = (play(people.ann, tee, on=today - timedelta(days=ago)) for ago in (5, 1))
    assert line().count("<a ") == 1
    assert f'href="{reverse("look_back", args=[fresh.pk])}">Look back on ' in line()
    ann.post(reverse("look_back", args=[older.pk]), {"act": "draft", "keep": "Half a"})
    assert f'href="{reverse("look_back", args=[older.pk])}">An unfinished look-back of ' in line()
    assert line().count("<a ") == 1
    for played in (older, fresh):
        ann.post(reverse("look_back", args=[played.pk]), {"act": "skip"})
    assert line() == ""
    assert "look-back" not in build.signed_in(people.dan).get(reverse("home")).content.decode()


def test_an_old_draft_is_left_alone(ann: Client, people: build.People, tee: Tee) -> None:
    open_look_back(player=people.ann, played=play(people.ann, tee, 1))
    assert "An unfinished look-back of 1 May 2026" in ann.get(reverse("home")).content.decode()
    LookBack.objects.update(created_at=timezone.now() - timedelta(days=15))
    assert "Yours alone" not in ann.get(reverse("home")).content.decode()


def test_old_intentions_have_a_list_of_their_own(ann: Client, people: build.People, tee: Tee) -> None:
    for number in range(35):
        Intention.objects.create(
            player=people.ann,
            played_on=date(2026, 3, 1 + number % 28),
            goal=f"Aim {number}.",
            created_at="2026-02-01T00:00Z",
        )
    home = ann.get(reverse("journal")).content.decode()
    assert (home.count("No round of that day is here."), "All 35" in home) == (4, True)
    first, second = (ann.get(reverse("intentions"), {"page": page}).content.decode() for page in (1, 2))
    assert (first.count("Aim "), second.count("Aim ")) == (30, 5)


def test_the_reset_knows_what_was_meant_and_for_which_card(ann: Client, people: build.People, tee: Tee) -> None:
    send = {"goal": "Targets first.", "tee": str(tee.pk), "played_on": today_for(people.ann, tee).isoformat()}
    ann.post(reverse("intention_new"), send)
    assert "Targets first." in ann.get(reverse("journal_reset")).content.decode()
    other = build.tee(tee.course, "Plover", slope=120)
    lines = [line_of(people.ann, one, on=today_for(people.ann, tee)) for one in (tee, other)]
    page = ann.get(reverse("journal_reset")).content.decode()
    assert f"{reverse('journal_reset')}?line={lines[0].pk}" in page, "the card opened last is taken, the other offered"
    assert "Targets first." not in page
    mark = "11111111-1111-4111-8111-111111111111"
    address = f"{reverse('journal_reset')}?line={lines[0].pk}&hole=7&client_id={mark}"
    page = ann.get(address).content.decode()
    assert "Targets first." in page
    assert f'value="{mark}"' in page
    for _ in range(2):
        assert ann.post(address, {"client_id": mark, "hole": "7"}).status_code == 303
    assert list(Reset.objects.values_list("line", "hole")) == [(lines[0].pk, 7)]
    assert ann.post(address, {"client_id": mark, "hole": "8"}).status_code == 400
