from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from league.models import Round
from tests import build

GOOD = "played_on,course,tee,gross\n2025-05-03,Marsh Links,Heron,92\n2025-05-10,Marsh Links,Heron,95\n"


@pytest.fixture
def people(db):
    made = build.people()
    build.tee(build.course(made.group))
    build.tee(build.course(made.other_group, name="Fen Course"))
    return made


@pytest.fixture
def write(tmp_path):
    def written(text: str) -> str:
        file = tmp_path / "rounds.csv"
        file.write_text(text, encoding="utf-8")
        return str(file)

    return written


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("import_rounds", *arguments, stdout=out)
    return out.getvalue()


def refused(*arguments: str) -> str:
    out = StringIO()
    with pytest.raises(CommandError, match="Nothing was stored"):
        call_command("import_rounds", *arguments, stdout=out)
    assert not Round.objects.exists()
    return out.getvalue()


def test_it_stores_nothing_before_it_is_told_to_and_nothing_twice(people, write):
    file, ann = write(GOOD), people.ann.account.email
    assert "2 new rounds, 0 stored already" in run(file, "--player", ann)
    assert not Round.objects.exists()
    assert "2 rounds were stored, 0 were there already." in run(file, "--player", ann.upper(), "--apply")
    assert sorted(Round.objects.filter(player=people.ann).values_list("gross", flat=True)) == [92, 95]
    assert "0 rounds were stored, 2 were there already." in run(file, "--player", ann, "--apply")
    assert Round.objects.count() == 2


def test_a_player_without_an_account_is_named_by_id(people, write):
    run(write(GOOD), "--player", str(people.eve.pk), "--apply")
    assert Round.objects.filter(player=people.eve).count() == 2


def test_every_problem_is_named_by_line_and_nothing_is_stored(people, write):
    text = refused(
        write(GOOD + "2025-05-17,Fen Course,Heron,90\n2025-05-24,Marsh Links,Heron,?\n"),
        "--player",
        str(people.ann.pk),
        "--apply",
    )
    assert "Line 4, column course: There is no course “Fen Course” here." in text
    assert "Line 5, column gross:" in text


def test_days_that_can_be_read_two_ways_are_asked_about(people, write):
    file = write(GOOD.replace("2025-05-03", "03/04/2025").replace("2025-05-10", "05/04/2025"))
    assert "Question" in refused(file, "--player", str(people.ann.pk), "--apply")
    run(file, "--player", str(people.ann.pk), "--apply", "--day-first")
    assert {played.played_on.month for played in Round.objects.all()} == {4}


def test_a_file_may_be_larger_than_the_page_allows(people, write):
    """Over 2 MiB and 5,000 rows; read and placed, not stored, which would take minutes."""
    row = "2025-05-{:02d},Marsh Links,Heron,{},{}\n"
    rows = "".join(row.format(n % 28 + 1, 80 + n % 40, f"{n} " + "x" * 350) for n in range(6_000))
    text = run(write("played_on,course,tee,gross,note\n" + rows), "--player", str(people.ann.pk), "--keep-twice")
    assert text.splitlines()[-1].startswith("6000 new rounds")


@pytest.mark.parametrize("player", ["nobody@example.org", "00000000-0000-0000-0000-000000000001"])
def test_a_player_who_is_not_there(people, write, player):
    with pytest.raises(CommandError, match="There is no player"):
        run(write(GOOD), "--player", player)


def test_a_file_that_is_not_there(people):
    with pytest.raises(CommandError, match=r"gone\.csv cannot be read"):
        run("gone.csv", "--player", str(people.ann.pk))
