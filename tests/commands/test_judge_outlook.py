from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from league.estimates.judgement import METHODS


def run(**options) -> str:
    out = StringIO()
    call_command("judge_outlook", stdout=out, **options)
    return out.getvalue()


def test_it_prints_every_method_with_seed_players_and_forecasts():
    told = run(players=4, seed=7, world="A").splitlines()
    assert "World A: rounds 1.07 times as wide as usual; seed 7, 4 players, " in told[0]
    n_forecasts = int(told[0].split()[-2])
    assert [line[:24].strip() for line in told[2 : 2 + len(METHODS)]] == list(METHODS)
    given = [line.split() for line in told[told.index(next(x for x in told if x.startswith("chance given"))) + 1 :]]
    assert sum(int(words[2]) for words in given if words) == n_forecasts


def test_the_columns_are_numbers_and_the_others_stand_against_ours():
    lines = run(players=6, seed=7, world="C").splitlines()[2 : 2 + len(METHODS)]
    for line in lines:
        numbers = line[24:].split()
        assert all(0 < float(number) < 10 for number in numbers[:8])
        assert len(numbers) == (8 if line.startswith("outlook") else 11)


def test_the_same_seed_prints_the_same_and_all_worlds_are_told():
    told = run(players=2, seed=3, world="all")
    assert told == run(players=2, seed=3, world="all")
    assert [line[:7] for line in told.splitlines() if line.startswith("World")] == ["World A", "World B", "World C"]


def test_one_player_gives_no_interval():
    with pytest.raises(CommandError, match="at least two"):
        run(players=1)
