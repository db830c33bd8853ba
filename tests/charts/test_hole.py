"""The strip of a hole: what is described stands where it lies, with a pattern, a number and words."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from league.charts import Picture, hole_strip
from league.charts.hole_words import hole_reading, not_known, place_words, trouble_words
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width, check
from league.rules.errors import RuleBroken
from tests.charts.drawn import SVG, demo_holes, of_kind, parse, share

HOSTILE = '"><svg onload>'
WATER = Trouble(TroubleKind.PENALTY_AREA, Side.RIGHT, 100, 200, off_line=20)
SAND = Trouble(TroubleKind.BUNKER, Side.LEFT, -10, 5, off_line=12, depth=8, counted_from=CountedFrom.GREEN)
HOLE = Described(
    number=7,
    trouble=(WATER, SAND),
    widths=(Width(150, 40),),
    green_depth=28,
    green_width=20,
    safe_side=Side.SHORT,
    hard_chip_from=(Side.LONG,),
    bend_to=Side.LEFT,
    bend_at=210,
    bend_degrees=35,
    rise_to_green=-4,
)


def pixels_along(length: int) -> Callable[[float], float]:
    """From the distances lettered at the left: where any distance from the tee stands."""
    root = parse(hole_strip(HOLE, length, "yards"))
    ticks = sorted(
        (int(mark.text or ""), float(mark.get("y", "")) - 4)
        for mark in of_kind(root, "end")
        if mark.get("x") == "0%" and (mark.text or "").isdigit()
    )
    (near, low), (far, high) = ticks[0], ticks[-1]
    return lambda along: low + (along - near) / (far - near) * (high - low)


def test_trouble_stands_at_its_distances_and_on_its_side() -> None:
    root = parse(hole_strip(HOLE, 360, "yards"))
    water, sand = of_kind(root, "trouble")
    at = pixels_along(360)
    assert float(water.get("y", "")) == pytest.approx(at(200), abs=0.2)
    assert float(water.get("y", "")) + float(water.get("height", "")) == pytest.approx(at(100), abs=0.2)
    assert float(sand.get("y", "")) == pytest.approx(at(365), abs=0.2)
    # Half of 40 yards of width and 20 off the line reach the same place, so the water begins where the width ends.
    ground = of_kind(root, "land")[0]
    edge = share(ground.get("x", "")) + share(ground.get("width", ""))
    assert share(water.get("x", "")) == pytest.approx(edge, abs=1e-4)
    assert share(sand.get("x", "")) + share(sand.get("width", "")) < 0.5
    assert share(water.get("x", "")) + share(water.get("width", "")) == 1


def test_each_kind_has_a_pattern_of_its_own_and_its_words() -> None:
    kinds = tuple(
        Trouble(kind, Side.LEFT, 20 + 60 * at, 50 + 60 * at, off_line=20) for at, kind in enumerate(TroubleKind)
    )
    root = parse(hole_strip(Described(number=1, trouble=kinds), 400, "metres"))
    patterns = {mark.get("id"): len(mark) and [child.tag for child in mark] for mark in root.iter(f"{SVG}pattern")}
    fills = [mark.get("fill", "") for mark in of_kind(root, "trouble")]
    assert len(patterns) == len(TroubleKind) == len(set(fills))
    assert {fill.removeprefix("url(#").removesuffix(")") for fill in fills} == set(patterns)
    words = [mark.text for mark in root.iter(f"{SVG}text")]
    for number, name in enumerate(("out of bounds", "penalty area", "bunker", "trees", "steep fall-off"), 1):
        assert f"{number} {name}" in words


def test_what_is_not_known_is_drawn_unsure_and_said() -> None:
    bare = Described(number=2, trouble=(Trouble(TroubleKind.TREES, Side.LEFT, 50, 90),))
    root = parse(hole_strip(bare, None, "yards"))
    assert {mark.tag.removeprefix(SVG) for mark in of_kind(root, "unsure")} == {"rect", "ellipse"}
    assert not_known(bare, None) == (
        "its length",
        "how far off the line trouble 1 begins",
        "how wide the ground is",
        "how deep the green is",
        "how wide the green is",
        "the safe side of the green",
        "where a miss leaves a hard chip",
        "ups and downs",
    )
    assert not_known(HOLE, 360) == ()
    assert not of_kind(parse(hole_strip(HOLE, 360, "yards")), "unsure")


def test_distances_to_the_green_are_told_only_where_the_length_is_known() -> None:
    def right(length: int | None) -> list[str]:
        root = parse(hole_strip(HOLE, length, "yards"))
        return [
            mark.text or "" for mark in of_kind(root, "figure") if mark.get("x") == "100%" and mark.get("dx") == "5"
        ]

    assert right(360)[:2] == ["310", "260"]
    assert right(None) == []


def test_the_reading_says_where_it_bends_and_counts_the_rest() -> None:
    assert hole_reading(HOLE, 360, "yards") == (
        "360 yards: a penalty area on the right from 100 to 200, 20 off the line; a bunker left of the green, 12 off "
        "the line; it bends left at 210, by some 35 degrees; the green lies 4 yards below the tee."
    )
    many = Described(number=1, trouble=(WATER,) * 6)
    assert hole_reading(many, None, "metres").startswith("Length not known, distances in metres: ")
    assert "; three more." in hole_reading(many, None, "metres")
    assert hole_reading(Described(number=1, green_depth=20), 120, "metres") == (
        "120 metres: no trouble is written down."
    )


@pytest.mark.parametrize(
    ("trouble", "words"),
    [
        (Trouble(TroubleKind.OUT_OF_BOUNDS, Side.LEFT, 0, 300, off_line=30), "out of bounds on the left from 0 to 300"),
        (Trouble(TroubleKind.PENALTY_AREA, Side.ACROSS, 150, 150), "a penalty area across the hole at 150"),
        (Trouble(TroubleKind.BUNKER, Side.ACROSS, -20, -8, counted_from=CountedFrom.GREEN),
         "a bunker short of the green"),
        (Trouble(TroubleKind.TREES, Side.RIGHT, 12, 30, counted_from=CountedFrom.GREEN),
         "trees beyond the green on the right"),
        (Trouble(TroubleKind.FALL_OFF, Side.ACROSS, -5, 5, counted_from=CountedFrom.GREEN),
         "a steep fall-off across the green"),
    ],
)  # fmt: skip
def test_trouble_in_words(trouble: Trouble, words: str) -> None:
    assert trouble_words(trouble).startswith(words)
    assert place_words(trouble) in words


def test_the_table_holds_everything_that_is_known() -> None:
    rows = [row.cells for row in hole_strip(HOLE, 360, "yards").rows]
    assert rows[0] == ("1 penalty area", "right", "100", "200", "20", "–", "")
    assert rows[1] == ("2 bunker", "left", "−10", "5", "12", "8", "from the middle of the green")
    assert [row[0] for row in rows[2:]] == [
        "width", "green", "safe side of the green", "a hard chip from", "bend", "height of the green"
    ]  # fmt: skip
    assert rows[-1][-1] == "4 yards below the tee"


def profile(landing: int | None, green: int | None) -> tuple[list[str], list[tuple[float, float]]]:
    """What is lettered under the strip, and how high the ground is drawn from tee to green; up is more."""
    hole = Described(number=1, rise_to_landing=landing, rise_to_green=green)
    root = parse(hole_strip(hole, 300, "metres"))
    marks = of_kind(root, "ground")
    words = [mark.text or "" for mark in root.iter(f"{SVG}text")]
    foot = next((at for at, told in enumerate(words) if told.startswith("ups and downs")), len(words))
    return words[foot:], [(-float(mark.get("y1", "")), -float(mark.get("y2", ""))) for mark in marks]


def test_ups_and_downs_are_drawn_against_the_tee_with_words() -> None:
    words, ground = profile(-6, 4)
    assert words == ["ups and downs, in metres against the tee", "tee", "landing", "6 down", "green", "4 up"]
    (tee, landing), (again, green) = ground
    assert landing == again
    assert landing < tee < green
    assert (tee - landing) / (green - tee) == pytest.approx(6 / 4, abs=0.02)


@pytest.mark.parametrize(
    ("landing", "green", "told"),
    [
        (None, 0, ["tee", "green", "level"]),
        (3, None, ["tee", "landing", "3 up"]),
        (0, -100, ["tee", "landing", "level", "green", "100 down"]),
    ],
)
def test_only_heights_that_are_known_are_drawn(landing: int | None, green: int | None, told: list[str]) -> None:
    words, ground = profile(landing, green)
    assert words[1:] == told
    assert len(ground) == (landing is not None) + (green is not None)


def test_without_any_height_no_profile_is_drawn() -> None:
    root = parse(hole_strip(Described(number=1, green_depth=20), 300, "metres"))
    assert not of_kind(root, "ground")
    assert "ups and downs" not in " ".join(mark.text or "" for mark in root.iter(f"{SVG}text"))


def lettering(picture: Picture, plot: float) -> list[tuple[str, float, float, float, float]]:
    """All words with left, top, right and bottom in pixels, on a plot so wide; letters of the sheet's own sizes."""
    found = []
    for mark in parse(picture).iter(f"{SVG}text"):
        kinds, words = mark.get("class", "").split(), mark.text or ""
        size = 11 if "figure" in kinds else 12.5
        wide = len(words) * size * (0.54 if "lbl" in kinds else 0.52)
        x = share(mark.get("x", "")) * plot + float(mark.get("dx", "0"))
        left = x - (wide if "end" in kinds else wide / 2 if "mid" in kinds else 0)
        y = float(mark.get("y", ""))
        found.append((words, left, y - 0.75 * size, left + wide, y + 0.2 * size))
    return found


def faults(picture: Picture, plot: float) -> list[str]:
    """What sticks out of the picture and its gutters, and what meets other lettering."""
    tall, told = float(parse(picture).get("height", "")), lettering(picture, plot)
    out = [one[0] for one in told if one[1] < -35 or one[3] > plot + 41 or one[2] < 0 or one[4] > tall]
    meeting = [
        f"{words} / {other}"
        for at, (words, left, top, right, bottom) in enumerate(told)
        for other, low, high, far, deep in told[at + 1 :]
        if left < far and low < right and top < deep and high < bottom
    ]
    return out + meeting


@pytest.mark.parametrize("plot", [204, 215, 275, 420, 590])
def test_no_lettering_of_the_demo_holes_meets_or_leaves_the_picture(plot: float) -> None:
    assert len(demo_holes()) == 45
    for course, one, length in demo_holes():
        picture = hole_strip(one.hole, length, one.length_unit)
        assert faults(picture, plot) == [], f"{course} {one.hole.number}"


def test_each_piece_of_trouble_of_the_demo_is_numbered_in_the_picture() -> None:
    for course, one, length in demo_holes():
        words = [mark.text or "" for mark in parse(hole_strip(one.hole, length, one.length_unit)).iter(f"{SVG}text")]
        for number in range(1, len(one.hole.trouble) + 1):
            assert any(told.startswith(f"{number} ") or told == str(number) for told in words), (
                f"{course} {one.hole.number}"
            )
        assert "green" in words


def test_hostile_notes_stay_text() -> None:
    picture = hole_strip(Described(number=1, trouble=(Trouble(
        TroubleKind.BUNKER, Side.LEFT, 100, 110, off_line=9, note=HOSTILE),)), 300, "yards")  # fmt: skip
    assert "<svg onload" not in picture.svg
    assert HOSTILE in picture.rows[0].cells
    assert not any("style" in mark.attrib for mark in parse(picture).iter())


def test_of_nothing_there_is_no_picture() -> None:
    with pytest.raises(ValueError, match="nothing is described"):
        hole_strip(Described(number=1), 300, "yards")


def spans(lowest: int, highest: int) -> st.SearchStrategy[tuple[int, int]]:
    return st.tuples(st.integers(lowest, highest), st.integers(lowest, highest)).map(lambda two: (min(two), max(two)))


def troubles(counted_from: CountedFrom) -> st.SearchStrategy[Trouble]:
    ends = spans(-60, 60) if counted_from == CountedFrom.GREEN else spans(0, 700)
    off = st.none() | st.integers(0, 150)
    return st.builds(
        lambda kind, side, ends, off, depth: Trouble(
            kind, side, *ends, off_line=None if side == Side.ACROSS else off, depth=depth, counted_from=counted_from
        ),
        st.sampled_from(TroubleKind),
        st.sampled_from([Side.LEFT, Side.RIGHT, Side.ACROSS]),
        ends,
        off,
        st.none() | st.integers(1, 150),
    )


HOLES = st.builds(
    Described,
    number=st.integers(1, 18),
    trouble=st.lists(troubles(CountedFrom.TEE) | troubles(CountedFrom.GREEN), min_size=1, max_size=20).map(tuple),
    widths=st.dictionaries(st.integers(1, 700), st.integers(1, 150), max_size=6).map(
        lambda rows: tuple(Width(*row) for row in sorted(rows.items()))
    ),
    green_depth=st.none() | st.integers(1, 80),
    green_width=st.none() | st.integers(1, 80),
    hard_chip_from=st.sampled_from([(), (Side.LONG,), (Side.LEFT, Side.SHORT)]),
    safe_side=st.none() | st.just(Side.RIGHT),
    bend_to=st.just(Side.LEFT),
    bend_at=st.integers(1, 700),
    rise_to_landing=st.none() | st.integers(-100, 100),
    rise_to_green=st.none() | st.integers(-100, 100),
)


@settings(max_examples=60, deadline=None)
@given(hole=HOLES, length=st.none() | st.integers(40, 700))
def test_every_lawful_hole_can_be_drawn_and_stays_in_the_picture(hole: Described, length: int | None) -> None:
    try:
        check(hole)
    except RuleBroken as broken:
        raise AssertionError(broken) from broken
    picture = hole_strip(hole, length, "yards")
    assert faults(picture, 215) == faults(picture, 590) == []
    root = parse(picture)
    tall = float(root.get("height", ""))
    for mark in root.iter():
        for name in ("x", "x1", "x2", "cx"):
            if (mark.get(name) or "").endswith("%"):
                assert 0 <= share(mark.get(name, "")) <= 1
        if mark.tag == f"{SVG}rect":
            top, height = float(mark.get("y", "")), float(mark.get("height", ""))
            assert height > 0
            assert -5 <= top <= top + height <= tall + 5
            assert share(mark.get("width", "")) > 0
