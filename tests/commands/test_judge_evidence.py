from io import StringIO

import pytest
from django.core.management import CommandError, call_command


def run(**options) -> list[str]:
    out = StringIO()
    call_command("judge_evidence", stdout=out, **options)
    return out.getvalue().splitlines()


def test_it_prints_false_alarms_power_and_the_plain_chart_that_lies():
    told = run(groups=6, shuffles=40, seed=3, rounds=[12])
    assert told[0] == "Seed 3, 6 groups a cell, 40 shuffles; called at 0.05"
    none, strong = (
        next(line.split() for line in told if line.startswith(f"truth {truth}")) for truth in ("0.0", "0.5")
    )
    assert float(none[-1]) > 0.1
    assert float(strong[-2]) > float(none[-2])
    assert [line.split()[1:3] for line in told if " of 0.5" in line] == [["0.0", "of"], ["0.5", "of"]]


def test_the_same_seed_prints_the_same():
    options = {"groups": 2, "shuffles": 20, "seed": 5, "rounds": [6]}
    assert run(**options) == run(**options)


def test_too_little_to_judge_is_refused():
    with pytest.raises(CommandError, match="two groups"):
        run(groups=1)
