"""The time for practice: a tick a minute, part after part, the sentence and the numbers say the same."""

import pytest

from league.charts import split_hour
from league.charts.hour import Stretch
from tests.charts.drawn import of_kind, parse, share

HOUR = (Stretch("first putts from far", 35), Stretch("carries and lines", 15), Stretch("ways out of trouble", 10))


def test_every_minute_has_its_tick_and_every_fifth_a_taller_one() -> None:
    ticks = of_kind(parse(split_hour(HOUR)), "wh")
    assert len(ticks) == 60
    heights = [float(tick.get("y2", "")) - float(tick.get("y1", "")) for tick in ticks]
    assert heights.count(max(heights)) == 12


def test_the_parts_follow_one_another() -> None:
    lines = of_kind(parse(split_hour(HOUR)), "ax")
    edges = [share(line.get(end, "")) for line in lines for end in ("x1", "x2")]
    assert edges == pytest.approx([0, 35 / 60, 35 / 60, 50 / 60, 50 / 60, 1], abs=1e-3)


def test_the_sentence_and_the_numbers() -> None:
    picture = split_hour(HOUR)
    assert picture.reading == (
        "Of 60 minutes go 35 to first putts from far, 15 to carries and lines and 10 to ways out of trouble."
    )
    assert [row.cells for row in picture.rows] == [
        ("first putts from far", "35", "0 to 35"),
        ("carries and lines", "15", "35 to 50"),
        ("ways out of trouble", "10", "50 to 60"),
    ]
    assert split_hour(HOUR[:1]).reading == "All 35 minutes go to first putts from far."


def test_a_name_is_escaped_and_no_time_is_no_picture() -> None:
    assert "<svg onload" not in split_hour([Stretch('"><svg onload>', 30)]).svg.removeprefix("<svg")
    with pytest.raises(ValueError, match="needs a minute"):
        split_hour([])
