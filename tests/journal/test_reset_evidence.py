"""Whether resets shorten bad runs: what a player is told of their own cards and marks, and from how many."""

import uuid
from collections.abc import Iterable
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from journal.models import Reset
from journal.readings import resets_told
from league.models import Card, CardLine, HoleScore, Membership, Player, Round, Tee
from league.reports.evidence import own_rounds
from tests import build

pytestmark = pytest.mark.django_db
API = "/api/v1/journal/resets/evidence/"
TURNS = [{hole: 4, **({hole + 1: 2} if costs else {})} for hole in range(1, 18) for costs in (False, True)]
"""A quadruple on each hole but the last in turn; every other time it costs one more on the hole after it."""


def stored(player: Player, tee: Tee, n: int, over: Iterable[dict[int, int]], start: int = 0) -> list[Round]:
    """So many rounds as they stand, bogey on every hole but where `over` says otherwise, round after round in turn."""
    rounds = [
        Round(
            player=player,
            tee=tee,
            n_holes=18,
            played_on=date(2025, 1, 1) + timedelta(days=start + number),
            fingerprint=f"{player.pk} {start + number}",
            entered_at=timezone.now(),
        )
        for number in range(n)
    ]
    Round.objects.bulk_create(rounds)
    turns, holes = list(over), list(tee.holes.all())
    scores = [
        HoleScore(round=played, number=hole.number, strokes=hole.par + turns[at % len(turns)].get(hole.number, 1))
        for at, played in enumerate(rounds)
        for hole in holes
    ]
    HoleScore.objects.bulk_create(scores, batch_size=500)
    return rounds


def reset_every_other(player: Player, rounds: list[Round]) -> None:
    """Whenever it cost nothing afterwards."""
    marks = [mark(player, played, next(iter(TURNS[at % len(TURNS)]))) for at, played in enumerate(rounds)]
    Reset.objects.bulk_create(marks[::2])


def mark(player: Player, played: Round | None, hole: int | None, line: CardLine | None = None) -> Reset:
    return Reset(player=player, client_id=uuid.uuid4(), round=played, line=line, hole=hole, stored_at=timezone.now())


def text_of(client: Client) -> str:
    return client.get(reverse("journal_reset_evidence")).content.decode()


def test_without_anything_there_is_nothing_to_tell(ann: Client) -> None:
    told = ann.get(API).json()
    assert (told["verdict"], told["effect"], told["n_rounds"]) == ("too few rounds to tell", None, 0)
    assert (told["rounds_needed"], told["each_needed"]) == (100, 60)
    page = text_of(ann)
    assert "Too few rounds to tell." in page
    assert "Rounds hole by hole: 0 of 100." in page
    assert "<svg" not in page


def test_few_rounds_have_their_number_with_its_interval_and_no_verdict(
    ann: Client, people: build.People, tee: Tee
) -> None:
    reset_every_other(people.ann, stored(people.ann, tee, 12, TURNS))
    told = ann.get(API).json()
    assert (told["n_rounds"], told["n_with"], told["n_without"]) == (12, 6, 6)
    assert told["verdict"] == "too few rounds to tell"
    effect = told["effect"]
    # A stroke, less the little by which it moves its round's mean and its hole's.
    assert effect["value"] == pytest.approx(-1.0, abs=0.15)
    assert effect["low"] < effect["value"] < effect["high"]
    assert effect["n"] == 12
    page = text_of(ann)
    assert "Rounds hole by hole: 12 of 100. Bad holes with a reset after them: 6 of 60; without one: 6 of 60." in page
    assert f"{-effect['value']:.2f} strokes fewer with a reset than without" in page
    assert "<svg" in page


def test_from_enough_on_it_is_said_and_never_called_an_effect(ann: Client, people: build.People, tee: Tee) -> None:
    reset_every_other(people.ann, stored(people.ann, tee, 128, TURNS))
    told = ann.get(API).json()
    assert told["verdict"].startswith("the next hole went better after a reset than without one")
    assert told["verdict"].endswith("when you reset is your choice, not chance")
    assert told["effect"]["high"] < 0
    assert "of 100" not in text_of(ann)


def test_a_mark_counts_for_its_owner_its_round_and_its_hole(people: build.People, tee: Tee) -> None:
    rounds = stored(people.ann, tee, 8, [{5: 4}])
    others = stored(people.dan, tee, 2, [{5: 4}])
    card = Card.objects.create(
        client_id=uuid.uuid4(), tee=tee, tee_version=1, played_on=date(2025, 1, 1), opened_at=timezone.now()
    )
    line = CardLine.objects.create(card=card, player=people.ann, place=1, round=rounds[1])
    counted = [mark(people.ann, rounds[0], 5), mark(people.ann, None, 5, line)]
    not_counted = [mark(people.ann, rounds[2], 6), mark(people.ann, rounds[3], None), mark(people.dan, others[0], 5)]
    Reset.objects.bulk_create([*counted, *not_counted])
    use = resets_told(people.ann).use
    assert (use.n_with, use.n_without) == (2, 6)
    Round.objects.filter(pk=rounds[0].pk).update(state="withdrawn")
    use = resets_told(people.ann).use
    assert (use.n_rounds, use.n_with, use.n_without) == (7, 1, 6)


def test_others_count_from_three_on_and_only_who_shows_lines(people: build.People, tee: Tee) -> None:
    def left() -> list[tuple[float, ...]]:
        return [one.residuals for one in own_rounds(people.ann)]

    stored(people.ann, tee, 2, [{5: 4}])
    alone = left()
    una = build.player("Una")
    place = build.membership(people.group, una)
    for player in (people.ben, people.dan, people.cat):
        stored(player, tee, 3, [{9: 3}])
    assert left() == alone, "cat is in another group, and two are too few"
    Membership.objects.filter(pk=place.pk).update(hides_lines=True)
    stored(una, tee, 3, [{9: 3}])
    assert left() == alone
    Membership.objects.filter(pk=place.pk).update(hides_lines=False)
    together = left()
    assert [one.round_id for one in own_rounds(people.ann)] == [
        played.pk for played in Round.objects.filter(player=people.ann)
    ]
    # The ninth is hard for everybody, so a bogey there is better than it looked.
    assert together[0][8] < alone[0][8] - 1
