"""The demo season, loaded for real through the services."""

import json
from collections import Counter
from datetime import date, timedelta
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.utils import timezone

from league.management.commands import start
from league.management.commands.demo import FOLDER
from league.management.demo_season import Season
from league.models import (
    Account,
    AuditEntry,
    Barrier,
    CardEvent,
    Course,
    Group,
    HoleScore,
    Membership,
    Player,
    Revision,
    Role,
    Round,
    Tee,
)
from tests import build
from tests.build import signed_in

TABLES = (Account, AuditEntry, Barrier, CardEvent, Course, Group, HoleScore, Membership, Player, Revision, Round, Tee)


def run(*arguments: str) -> str:
    out = StringIO()
    call_command(*arguments, stdout=out)
    return out.getvalue()


def counts() -> dict[str, int]:
    return {model.__name__: model.objects.count() for model in TABLES}


@pytest.fixture
def demo(db):
    return run("demo")


def test_the_season_is_whole_and_a_second_load_adds_nothing(demo):
    """One load for all that can be said of it, since it takes seconds."""
    skerrin = Group.objects.get(name="Skerrin Saturday Group")
    assert Membership.objects.filter(group=skerrin).count() == 16
    assert Course.objects.count() == 3
    assert Round.objects.count() >= 500
    assert f"{Round.objects.count()} rounds" in demo

    # Some barriers have fallen, most stand, and one is somebody's own affair.
    assert Barrier.objects.filter(broken_by=None, is_hidden=False).count() >= 8
    assert Barrier.objects.exclude(broken_by=None).exists()
    assert Barrier.objects.filter(broken_by=None, is_hidden=True).count() == 2

    before = counts()
    assert "here already" in run("demo")
    assert counts() == before
    assert run("rebuild_handicaps", "--check").endswith("Differences: 0.\n")

    a_season_holds_what_it_is_meant_to_show()
    its_ledgers_look_lived_in()
    those_who_are_printed_can_sign_in()


def a_season_holds_what_it_is_meant_to_show():
    people = {player.name.split()[0].lower(): player for player in Player.objects.all()}
    assert people["linnea"].standing.index_tenths < 0
    assert Round.objects.filter(player=people["maeve"]).count() == 2
    assert people["alban"].account is None
    jonas = Membership.objects.get(player=people["jonas"])
    assert (jonas.role, jonas.keeper) == (Role.GUEST, people["callum"])
    assert Membership.objects.get(player=people["hamish"]).role == Role.SCORER
    assert Membership.objects.get(player=people["desmond"]).hides_lines
    assert Membership.objects.filter(player=people["beatriz"]).count() == 2
    rounds = Round.objects.all()
    assert Counter(rounds.filter(player=people["beatriz"]).values_list("n_holes", flat=True))[9] > 20
    assert rounds.filter(n_holes__range=(10, 17)).count() == 3
    assert rounds.filter(is_total=True).count() >= 10
    assert rounds.exclude(attested_by=None).count() >= 100
    assert rounds.filter(state="withdrawn").count() == 1
    assert HoleScore.objects.filter(is_picked_up=True).count() >= 5
    assert rounds.exclude(playing_conditions=0).exists()
    assert Tee.objects.exclude(valid_from=None).get().rounds.exists()
    kinds = Counter(CardEvent.objects.values_list("kind", flat=True))
    assert kinds == {"entered": rounds.count(), "corrected": 1, "withdrawn": 1}
    details = list(Revision.objects.values_list("detail", flat=True))
    reductions = {detail["score"]["reduction"] for detail in details if detail["score"]}
    assert {"-1.0", "-2.0"} <= reductions
    caps = Counter(
        detail["cap"] for detail in Revision.objects.filter(player=people["samir"]).values_list("detail", flat=True)
    )
    assert caps["soft"] >= 5


def its_ledgers_look_lived_in():
    today = timezone.now().date()
    for player in Player.objects.exclude(standing=None):
        issued = list(player.revisions.values_list("issued_on", flat=True))
        assert issued == sorted(issued)
    nuala = Player.objects.get(name="Nuala Osei")
    months = {(day.year, day.month) for day in nuala.revisions.values_list("issued_on", flat=True)}
    assert len(months) >= 14
    latest = Round.objects.order_by("-played_on").values_list("played_on", flat=True)[0]
    assert today - timedelta(days=9) <= latest < today
    late = nuala.card_events.get(round__played_on=nuala.rounds.order_by("played_on").last().played_on).number
    assert nuala.card_events.filter(number__gt=late, kind="entered").count() == 1


def those_who_are_printed_can_sign_in():
    entries = json.loads((settings.BASE / "fixtures" / "demo" / "sign_ins.json").read_text(encoding="utf-8"))
    assert start.demo_sign_ins() == entries
    for entry in entries:
        account = Account.objects.get(email=entry["email"])
        assert account.check_password(entry["password"])
        assert signed_in(account.player).get("/").status_code in (200, 302)
    organiser = Account.objects.get(email=entries[0]["email"]).player
    assert Membership.objects.get(player=organiser).role == Role.ORGANISER


@pytest.mark.django_db
def test_the_golf_is_the_same_whenever_it_is_loaded():
    tee = build.tee(build.course(build.group()))

    def cards(today: date) -> list[tuple[object, ...]]:
        season = Season(FOLDER / "season.json", today)
        nuala = next(person for person in season.people if person.key == "nuala")
        plays = [play for play in season.plays(nuala) if play.course == "Skerrin Head"]
        told = [season.facts(nuala, play, tee, None) for play in plays]
        return [(facts.played_on - season.last_saturday, facts.holes, facts.gross, facts.note) for facts in told]

    first, later = cards(date(2026, 3, 4)), cards(date(2027, 8, 1))
    assert first == later
    assert len(first) > 30
    assert Season(FOLDER / "season.json", date(2026, 3, 7)).last_saturday == date(2026, 2, 28)


@pytest.mark.django_db
def test_a_season_that_would_end_in_the_future_is_refused_whole():
    before = counts()
    with pytest.raises(CommandError, match="in the future"):
        run("demo", "--until", (timezone.now() + timedelta(days=30)).date().isoformat())
    assert counts() == before
