"""The staircase: one link and one tick a revision, treads where the values are."""

import gzip
import random
from datetime import date, timedelta

import pytest

from league.charts import Picture, Step, index_words, staircase
from tests.charts.drawn import SVG, of_kind, parse, path_points, scale_of

FIGURES = {index_words(tenths).removesuffix(".0") if whole else index_words(tenths): tenths / 10
           for tenths in range(-200, 620) for whole in (True, False)}  # fmt: skip


def steps_of(*values: int | None, every: int = 14) -> list[Step]:
    first = date(2025, 6, 14)
    return [
        Step(at + 1, first + timedelta(days=every * at), value, f"#revision-{at + 1}")
        for at, value in enumerate(values)
    ]


def long_record() -> list[Step]:
    dice, value, day = random.Random(7), 31, date(2003, 4, 1)
    steps = []
    for number in range(1, 1001):
        value = max(-45, value + dice.choice((-3, -2, -1, 0, 0, 1, 2, 3)))
        day += timedelta(days=dice.choice((0, 3, 7, 7, 14)))
        steps.append(Step(number, day, value, f"#revision-{number}"))
    return steps


CASES = {
    "one": steps_of(208),
    "two": steps_of(208, 204),
    "equal": steps_of(169, 169, 169, 169),
    "plus": steps_of(6, 2, -4, -24, -31),
    "same day": steps_of(240, 228, 220, every=0),
    "lost and found": steps_of(None, None, 208, 210, None, 197),
    "never any": steps_of(None, None),
    "thousand": long_record(),
}


@pytest.fixture(params=CASES.values(), ids=CASES.keys())
def case(request: pytest.FixtureRequest) -> tuple[list[Step], Picture]:
    return request.param, staircase(request.param)


def test_every_revision_is_one_link_in_order(case: tuple[list[Step], Picture]) -> None:
    steps, picture = case
    links = list(parse(picture).iter(f"{SVG}a"))
    assert [link.get("href") for link in links] == [step.href for step in steps]
    assert [row.href for row in picture.rows] == [step.href for step in steps]
    for link, step in zip(links, steps, strict=True):
        words = "no index" if step.tenths is None else index_words(step.tenths)
        assert (link.get("aria-label") or "").endswith(f": {words}")


def test_targets_cover_the_plot_side_by_side_and_are_tall(case: tuple[list[Step], Picture]) -> None:
    steps, picture = case
    targets = [next(link.iter(f"{SVG}rect")) for link in parse(picture).iter(f"{SVG}a")]
    begins = [int(target.get("x", "")) for target in targets]
    widths = [int(target.get("width", "")) for target in targets]
    assert begins[0] == 0
    assert begins[-1] + widths[-1] == 10_000
    assert all(begin + width == after for begin, width, after in zip(begins, widths, begins[1:], strict=False))
    assert min(widths) >= int(0.6 * 10_000 / len(steps)) - 1
    assert all(float(target.get("height", "")) >= 44 for target in targets)


def test_treads_stand_at_their_values(case: tuple[list[Step], Picture]) -> None:
    steps, picture = case
    root = parse(picture)
    per_unit, zero = scale_of(root, FIGURES)
    assert per_unit < 0
    ticks = path_points(of_kind(root, "ticks")[0].get("d", ""))[::2]
    assert len(ticks) == len(steps)
    begins = [int(next(link.iter(f"{SVG}rect")).get("x", "")) for link in root.iter(f"{SVG}a")]
    for step, (x, y), begin in zip(steps, ticks, begins, strict=True):
        assert x == begin
        if step.tenths is not None:
            assert y == pytest.approx(zero + per_unit * step.tenths / 10, abs=0.6)


def test_the_line_goes_through_every_tread_and_no_gap(case: tuple[list[Step], Picture]) -> None:
    steps, picture = case
    root = parse(picture)
    corners = set(path_points(of_kind(root, "treads")[0].get("d", "")))
    ticks = path_points(of_kind(root, "ticks")[0].get("d", ""))[::2]
    ends = [x for x, _ in ticks[1:]] + [10_000.0]
    for step, (_, y), end in zip(steps, ticks, ends, strict=True):
        assert ((end, y) in corners) == (step.tenths is not None)


def test_no_style_and_no_script(case: tuple[list[Step], Picture]) -> None:
    for mark in parse(case[1]).iter():
        assert "style" not in mark.attrib
        assert not any(name.startswith("on") for name in mark.attrib)
        assert mark.tag not in (f"{SVG}script", f"{SVG}style", f"{SVG}foreignObject")


def test_an_earlier_day_never_stands_to_the_right() -> None:
    steps = [Step(1, date(2025, 1, 1), 100, "#1"), Step(2, date(2025, 1, 8), 98, "#2"),
             Step(3, date(2025, 1, 9), 97, "#3"), Step(4, date(2025, 9, 1), 99, "#4")]  # fmt: skip
    targets = [next(link.iter(f"{SVG}rect")) for link in parse(staircase(steps, date(2025, 9, 30))).iter(f"{SVG}a")]
    week, one_day, winter, _ = (int(target.get("width", "")) for target in targets)
    assert one_day < week < winter


@pytest.mark.parametrize("name", ["one", "equal", "plus", "thousand"])
def test_lettering_of_the_axis_of_days_is_apart_on_a_phone(name: str) -> None:
    root = parse(staircase(CASES[name]))
    places = sorted(
        (float(mark.get("x", "")[:-1]) / 100 * 215, mark.get("class", ""), mark.text or "")
        for mark in of_kind(root, "t2")
        if float(mark.get("y", "")) > 200
    )
    assert places
    spans = []
    for x, kind, words in places:
        length = 6.8 * len(words)
        left = x - (length / 2 if "mid" in kind else length if "end" in kind else 0)
        spans.append((left, left + length))
    assert all(before[1] <= after[0] for before, after in zip(spans, spans[1:], strict=False))


def test_the_latest_value_is_lettered_and_plus_is_below_zero() -> None:
    root = parse(staircase(CASES["plus"]))
    assert of_kind(root, "lbl")[0].text == "+3.1"
    heights = [y for _, y in path_points(of_kind(root, "ticks")[0].get("d", ""))[::2]]
    assert heights == sorted(heights)


def test_a_thousand_revisions_stay_small() -> None:
    assert len(gzip.compress(staircase(CASES["thousand"]).svg.encode())) <= 15_000


def test_a_long_record_does_not_fill_the_tab_order() -> None:
    assert all(link.get("tabindex") == "-1" for link in parse(staircase(CASES["thousand"])).iter(f"{SVG}a"))
    assert all(link.get("tabindex") is None for link in parse(staircase(CASES["plus"])).iter(f"{SVG}a"))


@pytest.mark.parametrize(
    ("name", "reading"),
    [
        ("one", "One step so far: 20.8, from 14 Jun 2025."),
        ("two", "From 20.8 to 20.4 in two revisions; each step leads to its reasons."),
        ("equal", "16.9 at both ends, in four revisions; each step leads to its reasons."),
        ("plus", "From 0.6 to +3.1 in five revisions; each step leads to its reasons."),
        ("never any", "No index in two revisions."),
    ],
)
def test_the_reading(name: str, reading: str) -> None:
    picture = staircase(CASES[name])
    assert picture.reading == reading
    assert parse(picture).get("aria-label") == reading


def test_the_table_says_each_step() -> None:
    words = [row.cells[3] for row in staircase(CASES["lost and found"]).rows]
    assert words == ["\u2013", "no index", "first", "up 0.2", "no index", "index again"]
    assert [row.cells[3] for row in staircase(steps_of(169, 165, 165, 167)).rows] == [
        "first", "down 0.4", "no change", "up 0.2"]  # fmt: skip


def test_no_index_at_the_end_is_said() -> None:
    assert staircase(steps_of(208, 204, None)).reading.endswith("There is no index now.")


def test_hostile_addresses_stay_text() -> None:
    picture = staircase([Step(1, date(2025, 1, 1), 100, '"><svg onload="x">')])
    link = next(parse(picture).iter(f"{SVG}a"))
    assert link.get("href") == '"><svg onload="x">'
    assert "<svg onload" not in picture.svg


def test_nothing_to_draw_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one step"):
        staircase([])
