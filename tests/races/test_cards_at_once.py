"""Several phones on one card at the same moment: real threads, real commits, both databases."""

from collections.abc import Callable
from datetime import date
from functools import partial
from uuid import uuid4

import pytest

from league.models import Card, CardMark, Round, Tee
from league.services import card_lines, card_marks, cards
from league.services.card_lines import Sending
from league.services.card_marks import Written
from league.services.cards import CardFacts, Opening
from league.services.errors import Refused
from tests import build
from tests.races.test_rounds_at_once import all_at_once, record_is_sound

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


def opening(people: build.People, tee: Tee) -> Opening:
    return Opening(
        client_id=uuid4(),
        tee=tee,
        tee_version=tee.version,
        holes_in_play="18",
        played_on=date(2026, 7, 4),
        players=(people.ann, people.dan, people.eve),
    )


def whole_line(card: Card, place: int, strokes: int = 5) -> list[Written]:
    line = card.lines.get(place=place).pk
    return [Written(client_id=uuid4(), line=line, number=n, value={"strokes": strokes}) for n in range(1, 19)]


def test_a_card_that_is_opened_six_times_at_once_is_one(people: build.People, tee: Tee) -> None:
    told = opening(people, tee)
    made = all_at_once([lambda: cards.open_card(opener=people.ann, opening=told).pk for _ in range(6)])
    assert len(set(made)) == Card.objects.count() == 1


def test_two_phones_that_write_every_hole_lose_nothing(people: build.People, tee: Tee) -> None:
    card = cards.open_card(opener=people.ann, opening=opening(people, tee))
    batches = [
        (people.ann, whole_line(card, 2)),
        (people.dan, whole_line(card, 2, 6)),
        (people.dan, whole_line(card, 1)),
    ]
    acts = [
        partial(card_marks.write_marks, card=card, writer=writer, device=uuid4(), marks=marks)
        for writer, marks in [*batches, *batches]
    ]
    all_at_once(acts)
    assert CardMark.objects.count() == 54
    assert CardMark.objects.filter(line__place=2, state="contested").count() == 36
    assert CardMark.objects.filter(line__place=1, state="standing").count() == 18


def test_sending_at_once_from_two_phones_and_writing_meanwhile(people: build.People, tee: Tee) -> None:
    """Each player's line becomes one round, or waits; what was written came before or was refused, never half."""
    card = cards.open_card(opener=people.ann, opening=opening(people, tee))
    for place in (1, 2, 3):
        card_marks.write_marks(card=card, writer=people.ann, device=uuid4(), marks=whole_line(card, place))
    line = card.lines.get(place=2).pk
    late = Written(client_id=uuid4(), line=line, number=1, value={"strokes": 5, "putts": 2})

    def writes() -> str:
        try:
            card_marks.write_marks(card=card, writer=people.dan, device=uuid4(), marks=[late])
        except Refused as refused:
            return refused.code
        return "stored"

    def sends(player: object) -> str:
        return card_lines.send_card(card=card, sender=player, sending=Sending()).state  # type: ignore[arg-type]

    came_to = all_at_once([lambda: sends(people.ann), lambda: sends(people.dan), lambda: sends(people.ann), writes])
    assert came_to[3] in ("stored", "card_sent")
    assert CardMark.objects.count() == 54 + (came_to[3] == "stored")
    assert Round.objects.filter(player=people.ann).count() == Round.objects.filter(player=people.eve).count() == 1
    his = card.lines.get(place=2)
    assert his.state in ("posted", "waits")
    assert Round.objects.filter(player=people.dan).count() == (his.state == "posted")
    assert Card.objects.get().state == "sent"
    assert record_is_sound(people.ann)
    assert record_is_sound(people.eve)


def test_putting_right_dropping_and_writing_at_once_leave_one_of_them(people: build.People, tee: Tee) -> None:
    """A card that was dropped holds nothing of another's; one that was written on stays, with everybody's marks."""
    card = cards.open_card(opener=people.ann, opening=opening(people, tee))
    facts = CardFacts(
        tee=tee,
        played_on=date(2026, 7, 5),
        order_in_day=2,
        group=people.group,
        players=(people.ann, people.dan, people.ben),
    )

    def done(act: Callable[[], object]) -> str:
        try:
            act()
        except Refused as refused:
            return refused.code
        return "done"

    changed, dropped, written = all_at_once(
        [
            partial(done, partial(cards.change_card, card=card, version=1, facts=facts, changed_by=people.ann)),
            partial(done, partial(cards.drop_card, card=card, version=1, dropped_by=people.ann)),
            partial(
                done,
                lambda: card_marks.write_marks(card=card, writer=people.dan, device=uuid4(), marks=whole_line(card, 2)),
            ),
        ]
    )
    card.refresh_from_db()
    assert (changed, dropped) in (("done", "stale"), ("card_dropped", "done"), ("stale", "stale"))
    assert (card.state == "dropped", written) in ((True, "card_dropped"), (False, "done"))
    assert CardMark.objects.count() == (18 if written == "done" else 0)
    assert [line.player for line in card.lines.all()][1:] == (
        [people.dan, people.ben] if changed == "done" else [people.dan, people.eve]
    )


def test_one_entry_is_taken_back_once_by_six_presses(people: build.People, tee: Tee) -> None:
    card = cards.open_card(opener=people.ann, opening=opening(people, tee))
    device, marks = uuid4(), whole_line(card, 1)
    card_marks.write_marks(card=card, writer=people.ann, device=device, marks=marks)
    last = marks[-1].client_id
    all_at_once([lambda: card_marks.take_back(card=card, mark=last, writer=people.ann, device=device)] * 6)
    assert CardMark.objects.count() == 19
    assert CardMark.objects.get(number=18, state="standing").value is None
