"""What is left of a person when the days are over, and what is not."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import DatabaseError
from django.utils import timezone

from league import tasks
from league.models import (
    Account,
    AuditEntry,
    Card,
    CardEvent,
    CardMark,
    CarryBook,
    Club,
    Erasure,
    HoleDescription,
    HolePlan,
    IdempotencyKey,
    Membership,
    Plan,
    Player,
    Revision,
    Role,
    Round,
    RoundImport,
    Shot,
    SignIn,
    Standing,
    Token,
)
from league.reports.leaving import tables_of
from league.reports.members import names_in
from league.rules.described import Described
from league.services import card_marks, cards, leaving, members, tokens
from league.services.descriptions import Description, describe_hole
from league.services.rounds import RoundFacts, post_round
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people() -> build.People:
    return build.people()


def post(player: Player, tee: object, gross: int, day: int) -> Round:
    facts = RoundFacts(tee=tee, played_on=date(2026, 3, day), gross=gross, adjusted_gross=gross)
    return post_round(player=player, facts=facts, posted_by=player)


def book_and_plan(player: Player, tee: object) -> Plan:
    """A carry book with a club and a shot, and a plan with a hole."""
    book = CarryBook.objects.create(player=player, length_unit="yards", liked_distance=90, from_rough="One club more.")
    club = Club.objects.create(book=book, name="7 iron", kind="iron", carry=140, loft_tenths=320, wide_tenths=55)
    Shot.objects.create(club=club, carry=138, off_line=-4, hit_on=date(2026, 3, 1))
    now = timezone.now()
    plan = Plan.objects.create(
        player=player, tee=tee, barrier=90, told={"holes": []}, created_at=now, worked_out_at=now
    )
    HolePlan.objects.create(plan=plan, number=1, personal_par=5, is_fixed=True, note="Short of the ditch.")
    return plan


def days_later(days: int) -> object:
    return timezone.now() + timedelta(days=days)


def test_a_person_is_gone_with_everything_that_was_theirs(people: build.People) -> None:
    tee = build.tee(build.course(people.group))
    for day in (1, 2, 3):
        post(people.ann, tee, 90 + day, day)
    kept = post(people.dan, tee, 88, 4)
    tokens.make_token(account=people.ann.account, name="spreadsheet", scopes=["read"], days=7)
    assert Revision.objects.filter(player=people.ann).count() == 3
    leaving.ask_to_erase(account=people.ann.account)
    assert leaving.erase_due(now=days_later(8)) == 1
    for model in (CardEvent, Revision, Standing, Round, Membership):
        assert not model.objects.filter(
            player=people.ann, **({"left_at": None} if model is Membership else {})
        ).exists()
    assert not Account.objects.filter(pk=people.ann.account_id).exists()
    assert Token.objects.count() == SignIn.objects.count() == IdempotencyKey.objects.count() == 0
    assert Player.objects.get(pk=people.ann.pk).name == "former player"
    assert names_in(people.group)[people.ann.pk] == "former player 1"
    assert Round.objects.get() == kept
    assert Erasure.objects.get().done_at is not None


def test_the_carry_book_and_plans_go_with_their_owner_alone(people: build.People) -> None:
    tee = build.tee(build.course(people.group))
    book_and_plan(people.ann, tee)
    kept = book_and_plan(people.dan, tee)
    leaving.ask_to_erase(account=people.ann.account)
    leaving.erase_due(now=days_later(8))
    assert CarryBook.objects.get().player == Club.objects.get().book.player == people.dan
    assert Shot.objects.get().club.book.player == people.dan
    assert Plan.objects.get() == HolePlan.objects.get().plan == kept


def test_the_carry_book_and_plans_are_in_the_archive(people: build.People) -> None:
    tee = build.tee(build.course(people.group))
    plan = book_and_plan(people.ann, tee)
    book_and_plan(people.dan, tee)
    taken = {table.name: table.plain() for table in tables_of(people.ann.account)}
    assert [(row["length_unit"], row["liked_distance"]) for row in taken["carry_book"]] == [("yards", 90)]
    assert [(row["name"], row["carry"], row["loft"], row["wide_spread"]) for row in taken["clubs"]] == [
        ("7 iron", 140, "32.0", "5.5")
    ]
    assert [(row["carry"], row["off_line"], row["hit_on"]) for row in taken["shots"]] == [(138, -4, "2026-03-01")]
    assert [(row["id"], row["barrier"], row["told"]) for row in taken["plans"]] == [(str(plan.pk), 90, {"holes": []})]
    assert [(row["number"], row["personal_par"], row["note"]) for row in taken["hole_plans"]] == [
        (1, 5, "Short of the ditch.")
    ]


def test_nothing_happens_before_the_days_are_over_or_after_a_change_of_mind(people: build.People) -> None:
    leaving.ask_to_erase(account=people.ann.account)
    assert leaving.erase_due(now=days_later(6)) == 0
    leaving.keep_account(account=people.ann.account)
    assert leaving.erase_due(now=days_later(8)) == 0
    assert Player.objects.get(pk=people.ann.pk).name == "Ann"


def test_the_timetable_erases_who_is_due(people: build.People, settings) -> None:
    settings.ERASE_AFTER_DAYS = 0
    leaving.ask_to_erase(account=people.ann.account)
    tasks.erase_who_is_due()
    assert Player.objects.get(pk=people.ann.pk).erased_at is not None


def test_the_timetable_forgets_sign_ins_that_have_ended(people: build.People) -> None:
    for player, days in ((people.ann, 31), (people.ben, 1)):
        build.signed_in(player).get("/settings/")
        seen_at = timezone.now() - timedelta(days=days)
        SignIn.objects.filter(account=player.account).update(last_seen_at=seen_at)
    tasks.clear_what_has_ended()
    assert [sign_in.account for sign_in in SignIn.objects.all()] == [people.ben.account]


def test_the_record_keeps_what_was_done_without_the_name(people: build.People) -> None:
    place = Membership.objects.get(group=people.group, player=people.ann)
    members.change_profile(player=people.ann, actor=people.ann, changes={"name": "Anna Loom"})
    members.change_membership(membership=place, actor=people.ben, changes={"role": Role.SCORER})
    leaving.ask_to_erase(account=people.ann.account)
    leaving.erase_due(now=days_later(8))
    entries = AuditEntry.objects.filter(about=people.ann)
    assert {entry.action for entry in entries} >= {"renamed", "member_changed", "erased"}
    assert "Anna" not in str(list(AuditEntry.objects.values()))


def test_a_file_of_the_group_loses_the_rows_of_the_erased(people: build.People) -> None:
    rows = [{"row": 2, "player": str(people.eve.pk)}, {"row": 3, "player": str(people.dan.pk)}]
    imported = RoundImport.objects.create(
        group=people.group, made_by=people.ben, rows=rows, notes=["Eve"], created_at=timezone.now()
    )
    leaving.erase_guest(player=people.eve, actor=people.ben)
    imported.refresh_from_db()
    assert (imported.rows, imported.notes) == ([{"row": 3, "player": str(people.dan.pk)}], [])


def test_a_group_without_an_organiser_rests(people: build.People) -> None:
    leaving.ask_to_erase(account=people.ben.account)
    leaving.erase_due(now=days_later(8))
    people.group.refresh_from_db()
    assert people.group.rests_since is not None
    with pytest.raises(members.Refused) as refused:
        members.add_player(group=people.group, actor=people.ann, name="Fay")
    assert refused.value.code == "group_rests"


def test_numbers_of_former_players_do_not_change_hands(people: build.People) -> None:
    leaving.erase_guest(player=people.eve, actor=people.ben)
    leaving.ask_to_erase(account=people.dan.account)
    leaving.erase_due(now=days_later(8))
    names = names_in(people.group)
    assert (names[people.eve.pk], names[people.dan.pk]) == ("former player 1", "former player 2")


def test_the_ledger_opens_for_the_erased_person_alone(people: build.People) -> None:
    """Anybody else's ledger stays closed, also while an erasure is under way."""
    tee = build.tee(build.course(people.group))
    post(people.dan, tee, 88, 4)
    leaving.erase_guest(player=people.eve, actor=people.ben)
    with pytest.raises(DatabaseError, match="the ledger only grows"):
        Revision.objects.filter(player=people.dan).delete()


def test_described_holes_stay_with_the_group_without_a_name(people: build.People) -> None:
    to = Description(hole=Described(number=3, green_depth=28), length_unit="yards")
    describe_hole(actor=people.ann, course=build.course(people.group), to=to, reason="Paced it.")
    taken = {table.name: table.plain() for table in tables_of(people.ann.account)}
    assert [(row["number"], row["reason"], row["described"]) for row in taken["descriptions"]] == [
        (3, "Paced it.", {"number": 3, "green_depth": 28})
    ]
    leaving.ask_to_erase(account=people.ann.account)
    leaving.erase_due(now=days_later(8))
    stays = HoleDescription.objects.get()
    assert (stays.described["green_depth"], stays.written_by) == (28, None)


def card_of(people: build.People, scorer: Player, *players: Player) -> Card:
    tee = build.tee(build.course(people.group, f"Links {Card.objects.count()}"))
    opening = cards.Opening(
        client_id=uuid4(),
        tee=tee,
        tee_version=1,
        holes_in_play="18",
        played_on=date(2026, 7, 4),
        players=players,
    )
    card = cards.open_card(opener=scorer, opening=opening)
    for line in card.lines.all():
        mark = card_marks.Written(client_id=uuid4(), line=line.pk, number=1, value={"strokes": 5, "putts": 2})
        card_marks.write_marks(card=card, writer=scorer, device=uuid4(), marks=[mark])
    return card


def test_lines_of_cards_go_with_their_player_and_cards_of_nobody_go_too(people: build.People) -> None:
    shared = card_of(people, people.ann, people.ann, people.dan)
    card_of(people, people.ann, people.ann, people.eve)
    leaving.ask_to_erase(account=people.ann.account)
    leaving.erase_due(now=days_later(8))
    assert Card.objects.get() == shared
    kept = CardMark.objects.get()
    assert (kept.line.player, kept.written_by, kept.line.card.opened_by) == (people.dan, None, None)


def test_own_lines_of_cards_are_in_the_archive(people: build.People) -> None:
    card_of(people, people.dan, people.ann, people.dan)
    taken = {table.name: table.plain() for table in tables_of(people.ann.account)}
    assert [(row["tee"], row["state"]) for row in taken["card_lines"]] == [("Links 0, Heron", "open")]
    assert [(row["number"], row["value"], row["written_by"]) for row in taken["card_marks"]] == [
        (1, {"strokes": 5, "putts": 2}, "Dan")
    ]
