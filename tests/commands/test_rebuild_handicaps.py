import logging
from datetime import date
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from league import tasks
from league.models import HoleScore, Player, Round, Standing
from league.services.rounds import HoleFacts, RoundFacts, post_round, post_rounds
from tests import build

NINE_OVER = tuple(HoleFacts(number=number, strokes=par + 1) for number, par in enumerate(build.PARS, 1))


@pytest.fixture
def people(db):
    return build.people()


@pytest.fixture
def ann(people):
    """Three rounds of eighteen and a nine that waited for them."""
    tee = build.tee(build.course(people.group))
    facts = [RoundFacts(tee=tee, played_on=date(2025, 5, day), holes=NINE_OVER) for day in (3, 10, 17)]
    nine = RoundFacts(tee=tee, played_on=date(2025, 5, 1), holes=NINE_OVER[:9], holes_in_play="front")
    post_rounds(player=people.ann, many=[*facts, nine], posted_by=people.ann)
    return people.ann


def run(*arguments: str) -> tuple[str, int]:
    out = StringIO()
    try:
        call_command("rebuild_handicaps", *arguments, stdout=out)
    except SystemExit as ended:
        return out.getvalue(), int(ended.code or 0)
    return out.getvalue(), 0


def test_sound_ledgers_have_no_difference(ann):
    assert run("--check") == ("Players: 5. Differences: 0.\n", 0)
    assert run() == ("Players: 5. Differences: 0.\n", 0)


def test_a_nine_that_waited_in_the_same_file_has_its_differential(ann):
    nine = Round.objects.get(player=ann, n_holes=9)
    assert nine.differential_tenths is not None
    assert nine.is_estimated
    assert nine.no_differential_reason == ""


def test_a_changed_copy_is_named_and_written_again(ann):
    played = Round.objects.filter(player=ann).first()
    Round.objects.filter(pk=played.pk).update(differential_tenths=1)
    Standing.objects.filter(player=ann).update(index_tenths=1)
    text, code = run("--check")
    assert code == 1
    assert f"{ann.pk} round {played.pk} differential_tenths: stored 1" in text
    assert f"{ann.pk} standing index: stored 1" in text
    assert Standing.objects.get(player=ann).index_tenths == 1
    text, code = run()
    assert (code, text.splitlines()[-1]) == (0, "Players: 5. Differences: 0.")
    assert run("--check")[1] == 0


def test_a_changed_card_stays_a_difference(ann):
    """The facts of the ledger are not written from the card, nor the card from them: somebody has to look."""
    hole = HoleScore.objects.filter(round__player=ann).first()
    HoleScore.objects.filter(pk=hole.pk).update(strokes=9)
    text, code = run()
    assert code == 1
    assert f"still: {ann.pk} round {hole.round_id} holes" in text


def test_one_player_alone(ann, people):
    Standing.objects.filter(player=ann).update(low_tenths=None, state=None)
    assert run("--check", "--player", str(people.ben.pk))[1] == 0
    assert run("--check", "--player", str(ann.pk))[1] == 1
    with pytest.raises(CommandError, match="no player"):
        run("--player", "00000000-0000-0000-0000-000000000001")


def test_the_nightly_check_names_ids_only_and_goes_on_where_it_stopped(ann, people, caplog, monkeypatch):
    Standing.objects.filter(player=ann).update(index_tenths=1)
    monkeypatch.setattr(tasks, "PLAYERS_AT_ONCE", 1)
    with caplog.at_level(logging.ERROR):
        tasks.check_ledgers()
    assert [record.getMessage() for record in caplog.records] == [
        f"the ledger of player {ann.pk} differs at: standing index"
    ]
    caplog.clear()
    tasks.check_ledgers()
    assert caplog.records == []


def test_a_stretch_of_the_nightly_check_ends_in_time(ann, monkeypatch):
    seen = []
    monkeypatch.setattr(tasks, "PLAYERS_AT_ONCE", 2)
    monkeypatch.setattr(tasks, "check_everybody", lambda batch: seen.extend(batch) or ())
    monkeypatch.setattr(tasks, "STRETCH_SECONDS", 0)
    tasks.check_ledgers()
    assert seen == []
    monkeypatch.setattr(tasks, "STRETCH_SECONDS", 60)
    tasks.check_ledgers()
    assert seen == list(Player.objects.order_by("pk"))


def test_a_card_posted_alone_after_a_nine(people):
    tee = build.tee(build.course(people.group))
    nine = RoundFacts(tee=tee, played_on=date(2025, 5, 1), holes=NINE_OVER[:9], holes_in_play="front")
    post_round(player=people.ann, facts=nine, posted_by=people.ann)
    for day in (3, 10, 17):
        facts = RoundFacts(tee=tee, played_on=date(2025, 5, day), holes=NINE_OVER)
        post_round(player=people.ann, facts=facts, posted_by=people.ann)
    assert run("--check")[1] == 0
