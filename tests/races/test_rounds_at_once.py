"""Several people, or several copies of one request, at the same moment: real threads, real commits, both databases."""

import json
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from threading import Barrier as Start
from typing import Any

import pytest
from django.db import connections
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from league.models import (
    Account,
    AuditEntry,
    Barrier,
    CardEvent,
    Course,
    Erasure,
    HoleScore,
    IdempotencyKey,
    Membership,
    Outlook,
    Player,
    Revision,
    Role,
    Round,
    RoundImport,
    Standing,
    Tee,
)
from league.services import barriers, handicaps, leaving, outlooks, tokens
from league.services.errors import Refused
from league.services.rounds import RoundFacts, post_round
from tests import build

pytestmark = pytest.mark.django_db(transaction=True)

FIRST = date(2026, 3, 1)
KEY = "0123456789abcdef"
ROUNDS = "/api/v1/rounds/"


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


def all_at_once(acts: Sequence[Callable[[], Any]]) -> list[Any]:
    """What each came to; they start together, each on a connection of its own."""
    start = Start(len(acts))

    def run(act: Callable[[], Any]) -> Any:
        try:
            start.wait(20)
            return act()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as threads:
        return list(threads.map(run, acts))


class Caller:
    """A player's program, with a token made beforehand, so that only the request itself meets others."""

    def __init__(self, player: Player) -> None:
        _, value = tokens.make_token(account=player.account, name="phone", scopes=["read", "write"], days=1)
        self.client = Client(raise_request_exception=False, headers={"Authorization": f"Bearer {value}"})

    def asks(self, method: str, path: str, body: object = None, **headers: str) -> Callable[[], HttpResponse]:
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        data = b"" if body is None else json.dumps(body).encode()
        return lambda: self.client.generic(method, path, data, "application/json", headers=sent)


def card(tee: Tee, day: int = 0, over: int = 1) -> dict[str, Any]:
    holes = [{"number": hole.number, "strokes": hole.par + over} for hole in tee.holes.all()]
    return {"tee": str(tee.pk), "played_on": str(FIRST + timedelta(day)), "holes": holes}


def posted(player: Player, tee: Tee, day: int, gross: int = 95) -> Round:
    facts = RoundFacts(tee=tee, played_on=FIRST + timedelta(day), gross=gross)
    return post_round(player=player, facts=facts, posted_by=player)


def statuses(answers: Sequence[HttpResponse]) -> list[int]:
    return sorted(answer.status_code for answer in answers)


def numbers_of(player: Player) -> list[int]:
    return list(CardEvent.objects.filter(player=player).order_by("number").values_list("number", flat=True))


def record_is_sound(player: Player) -> bool:
    n = Standing.objects.get(player=player).last_number
    revisions = list(Revision.objects.filter(player=player).order_by("number").values_list("number", flat=True))
    return numbers_of(player) == revisions == list(range(1, n + 1)) and handicaps.check_player(player) == []


def test_twenty_copies_of_one_card_are_one_round(people: build.People, tee: Tee) -> None:
    body = card(tee)
    answers = all_at_once([Caller(people.ann).asks("POST", ROUNDS, body, Idempotency_Key=KEY) for _ in range(20)])
    assert statuses(answers) == [201] * 20
    assert len({answer.content for answer in answers}) == 1
    assert sum(not answer.has_header("Idempotency-Replayed") for answer in answers) == 1
    assert (Round.objects.count(), HoleScore.objects.count(), IdempotencyKey.objects.count()) == (1, 18, 1)
    assert record_is_sound(people.ann)


def test_eight_different_cards_of_one_player_are_all_stored(people: build.People, tee: Tee) -> None:
    """Four from before the last round, so they replay the record; four after it."""
    posted(people.ann, tee, 5)
    answers = all_at_once([Caller(people.ann).asks("POST", ROUNDS, card(tee, day)) for day in (0, 1, 2, 3, 6, 7, 8, 9)])
    assert statuses(answers) == [201] * 8
    assert Round.objects.filter(player=people.ann).count() == 9
    assert numbers_of(people.ann) == list(range(1, 10))
    assert record_is_sound(people.ann)


@pytest.mark.parametrize("turn", range(3))
def test_of_correcting_and_withdrawing_one_wins_and_attesting_holds_for_what_was_seen(
    people: build.People, tee: Tee, turn: int
) -> None:
    played = posted(people.ann, tee, 0)
    path, seen = f"{ROUNDS}{played.pk}/", {"If_Match": f'"{played.version}"'}
    acts = [
        ("correct", Caller(people.ann).asks("PATCH", path, {"gross": 90, "reason": "Miscounted."}, **seen)),
        ("withdraw", Caller(people.ann).asks("DELETE", path, {"reason": "Twice."}, **seen)),
        ("attest", Caller(people.dan).asks("POST", f"{path}attestation/", {}, **seen)),
    ]
    acts = acts[turn:] + acts[:turn]
    came_to = dict(zip([name for name, _ in acts], all_at_once([act for _, act in acts]), strict=True))
    changed = {name: came_to[name].status_code for name in ("correct", "withdraw")}
    assert set(changed.values()) in ({200, 409}, {200, 412})
    attested = came_to["attest"].status_code
    assert attested in (201, 409, 412)
    played.refresh_from_db()
    assert played.version == 2
    assert (played.state, played.gross) == (("standing", 90) if changed["correct"] == 200 else ("withdrawn", 95))
    # A correction ends the attestation that came before it; a withdrawn card keeps its own.
    assert (played.attested_by == people.dan) == (attested == 201 and changed["withdraw"] == 200)
    ended = AuditEntry.objects.filter(action="attestation_ended").count()
    assert ended == (attested == 201 and changed["correct"] == 200)
    assert numbers_of(people.ann) == [1, 2]
    assert record_is_sound(people.ann)


def test_of_two_organisers_who_change_a_course_one_is_shown_the_others_version(people: build.People, tee: Tee) -> None:
    Membership.objects.filter(player=people.dan).update(role=Role.ORGANISER)
    path, seen = f"/api/v1/courses/{tee.course_id}/", {"If_Match": f'"{tee.course.version}"'}
    names = {people.ben: "Marsh Links East", people.dan: "Marsh Links West"}
    asked = [Caller(player).asks("PATCH", path, {"name": name}, **seen) for player, name in names.items()]
    answers = all_at_once(asked)
    assert statuses(answers) == [200, 412]
    won, lost = sorted(answers, key=lambda answer: answer.status_code)
    stored = Course.objects.get(pk=tee.course_id)
    assert stored.name == won.json()["name"] == lost.json()["stored"]["name"]
    assert lost.json()["yours"]["name"] in set(names.values()) - {stored.name}
    assert stored.version == tee.course.version + 1


def test_an_import_that_is_applied_four_times_at_once_is_stored_once(people: build.People, tee: Tee) -> None:
    lines = "".join(f"2026-04-{day:02},Marsh Links,Heron,{90 + day}\n" for day in range(1, 13))
    data = f"played_on,course,tee,gross\n{lines}".encode()
    checked = build.signed_in(people.ann).post("/api/v1/imports/", data, "text/csv")
    assert checked.status_code == 201, checked.content
    address = f"/api/v1/imports/{checked.json()[0]['id']}/"
    posting = Caller(people.ann).asks("POST", ROUNDS, card(tee, 40))
    answers = all_at_once([*(Caller(people.ann).asks("POST", f"{address}apply/") for _ in range(4)), posting])
    assert statuses(answers) == [200, 200, 200, 200, 201]
    assert len({answer.content for answer in answers[:4]}) == 1
    assert Round.objects.filter(from_import=RoundImport.objects.get()).count() == 12
    assert record_is_sound(people.ann)
    undone = all_at_once([Caller(people.ann).asks("POST", f"{address}undo/") for _ in range(4)])
    assert statuses(undone) == [200] * 4
    assert numbers_of(people.ann) == list(range(1, 26))
    assert record_is_sound(people.ann)


def test_nothing_is_stored_for_somebody_who_is_erased_meanwhile(people: build.People, tee: Tee) -> None:
    posted(people.ann, tee, 0)
    Account.objects.filter(pk=people.ann.account_id).update(erase_due_at=timezone.now())
    keyed = [{"Idempotency_Key": f"{KEY}{n}"} if n % 2 else {} for n in range(8)]
    posts = [Caller(people.ann).asks("POST", ROUNDS, card(tee, 1 + n), **keyed[n]) for n in range(8)]
    erased, *answers = all_at_once([lambda: leaving.erase_due(now=timezone.now()), *posts])
    assert erased == 1
    assert set(statuses(answers)) <= {201, 401, 404, 409}
    for model in (Round, CardEvent, Revision, Standing, IdempotencyKey):
        assert model.objects.count() == 0, model
    assert Erasure.objects.filter(player_number=people.ann.pk).exclude(done_at=None).count() == 1
    assert Player.objects.get(pk=people.ann.pk).name == leaving.FORMER_NAME


def test_a_card_that_waited_for_an_erasure_is_not_stored(people: build.People, tee: Tee) -> None:
    """The door was passed before; when the player's row is free, there is nobody left whose card it could be."""
    Account.objects.filter(pk=people.ann.account_id).update(erase_due_at=timezone.now())
    assert leaving.erase_due(now=timezone.now()) == 1
    with pytest.raises(Refused):
        posted(people.ann, tee, 1)
    assert not Round.objects.exists()
    assert not Standing.objects.exists()


def test_barriers_may_come_and_go_while_outlooks_are_worked_out(people: build.People, tee: Tee) -> None:
    for day in range(5):
        posted(people.ann, tee, day)
    barrier = barriers.set_barrier(player=people.ann, score=94)
    path, seen = f"/api/v1/barriers/{barrier.pk}/", {"If_Match": "*"}
    assert build.signed_in(people.ann).get(path).status_code == 200
    answers = all_at_once(
        [
            Caller(people.ann).asks("POST", ROUNDS, {"tee": str(tee.pk), "played_on": str(FIRST), "gross": 93}),
            Caller(people.ann).asks("PATCH", path, {"hidden": True}, **seen),
            Caller(people.ann).asks("DELETE", path, **seen),
            Caller(people.ann).asks("POST", "/api/v1/barriers/", {"score": 90}),
            lambda: HttpResponse(status=201 if outlooks.refresh_player(player_id=people.ann.pk) else 500),
            lambda: HttpResponse(status=201 if outlooks.refresh_player(player_id=people.ann.pk) else 500),
        ]
    )
    hidden = answers[1].status_code
    assert hidden in (200, 404, 409)
    assert [answer.status_code for answer in answers] == [201, hidden, 204, 201, 201, 201]
    outlooks.refresh_due()
    assert list(Barrier.objects.values_list("score", "broken_on")) == [(90, None)]
    assert Outlook.objects.get(player=people.ann).last_number == 6
    assert record_is_sound(people.ann)
