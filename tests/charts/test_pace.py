"""The pace line: made less due after each hole, blow-ups at net double bogey, ends where the totals are."""

import random
from itertools import accumulate

import pytest

from league.charts import Picture, PlayedHole, pace_line, signed_words
from tests.charts.drawn import SVG, of_kind, parse, scale_of, share

FIGURES = {signed_words(strokes): float(strokes) for strokes in range(-300, 600)}
PARS = (4, 4, 3, 5, 4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 5, 4)
HOSTILE = "\"><svg onload=alert(1)>&'</text>"


def holes_of(*strokes: int | None, received: int = 1, resets: tuple[int, ...] = (), name: str = "") -> list[PlayedHole]:
    return [
        PlayedHole(at + 1, PARS[at], received, PARS[at] + received, made, at + 1 in resets, name)
        for at, made in enumerate(strokes)
    ]


LEVEL = tuple(par + 1 for par in PARS)
DICE = random.Random(3)
CASES = {
    "level": holes_of(*LEVEL),
    "one blow-up": holes_of(*LEVEL[:11], 8, *LEVEL[12:], resets=(12,)),
    "every hole": holes_of(*(par + 6 for par in PARS), resets=tuple(range(1, 19))),
    "far over": holes_of(*(25 for _ in PARS)),
    "far under": holes_of(*(1 for _ in PARS), received=3),
    "front nine": holes_of(*LEVEL[:9]),
    "thirteen": holes_of(*LEVEL[:8], 9, 4, 5, 6, 9),
    "gaps": holes_of(5, None, None, 6, 5, 8, 4, 5, 5, None, 4, 8, 6, 5, 5, 4, 6, None),
    "plus player": holes_of(*(par for par in PARS), received=-1),
    "any": holes_of(*(par + DICE.choice((-1, 0, 1, 1, 2, 2, 4)) for par in PARS), resets=(3, 9)),
}


@pytest.fixture(params=CASES.values(), ids=CASES.keys())
def case(request: pytest.FixtureRequest) -> tuple[list[PlayedHole], Picture]:
    return request.param, pace_line(request.param)


def running_of(holes: list[PlayedHole]) -> list[int]:
    return list(accumulate((hole.strokes - hole.due) if hole.strokes is not None else 0 for hole in holes))


def test_every_hole_stands_at_made_less_due(case: tuple[list[PlayedHole], Picture]) -> None:
    holes, picture = case
    root = parse(picture)
    per_unit, zero = scale_of(root, FIGURES)
    assert per_unit < 0
    level = [
        mark
        for mark in root.iter(f"{SVG}line")
        if mark.get("class") in ("pace", "gone") and mark.get("y1") == mark.get("y2")
    ]
    assert len(level) == len(holes)
    for at, (mark, total, hole) in enumerate(zip(level, running_of(holes), holes, strict=True)):
        assert share(mark.get("x1", "")) == pytest.approx(at / len(holes), abs=1e-4)
        assert share(mark.get("x2", "")) == pytest.approx((at + 1) / len(holes), abs=1e-4)
        assert float(mark.get("y1", "")) == pytest.approx(zero + per_unit * total, abs=0.11)
        assert (mark.get("class") == "gone") == (hole.strokes is None)


def test_a_thick_riser_marks_net_double_bogey_or_worse_and_nothing_else(case: tuple[list[PlayedHole], Picture]) -> None:
    holes, picture = case
    blown = [
        at / len(holes)
        for at, hole in enumerate(holes)
        if hole.strokes is not None and hole.strokes >= hole.par + 2 + hole.received
    ]
    marks = [share(mark.get("x1", "")) for mark in of_kind(parse(picture), "jump")]
    assert marks == pytest.approx(blown, abs=1e-4)
    assert sum("blow-up" in row.cells[-1] for row in picture.rows) == len(blown)


def test_risers_join_the_holes(case: tuple[list[PlayedHole], Picture]) -> None:
    holes, picture = case
    root = parse(picture)
    per_unit, zero = scale_of(root, FIGURES)
    totals = [0, *running_of(holes)]
    risers = {
        round(share(mark.get("x1", "")) * len(holes)): {float(mark.get("y1", "")), float(mark.get("y2", ""))}
        for mark in root.iter(f"{SVG}line")
        if mark.get("class") in ("pace", "jump") and mark.get("x1") == mark.get("x2")
    }
    for at, (before, after) in enumerate(zip(totals, totals[1:], strict=False)):
        if after != before:
            assert sorted(risers[at]) == pytest.approx(
                sorted(zero + per_unit * total for total in (before, after)), abs=0.11
            )


def test_a_reset_is_an_open_mark_in_the_middle_of_its_hole(case: tuple[list[PlayedHole], Picture]) -> None:
    holes, picture = case
    nested = [mark for mark in parse(picture).iter(f"{SVG}svg") if mark.get("overflow")]
    wanted = [(at + 0.5) / len(holes) for at, hole in enumerate(holes) if hole.has_reset]
    assert [share(mark.get("x", "")) for mark in nested] == pytest.approx(wanted, abs=1e-4)


def test_ends_are_lettered_with_the_score_and_what_was_due(case: tuple[list[PlayedHole], Picture]) -> None:
    holes, picture = case
    ends = [mark for mark in parse(picture).iter(f"{SVG}text") if mark.get("x") == "100%" and mark.get("dx") == "9"]
    made = sum(hole.strokes for hole in holes if hole.strokes is not None)
    due = sum(hole.due for hole in holes if hole.strokes is not None)
    assert [mark.text for mark in ends] == [str(made)] + ([str(due)] if due != made else [])
    heights = [float(mark.get("y", "")) for mark in ends]
    assert len(heights) == 1 or abs(heights[0] - heights[1]) >= 13.9
    assert len(heights) == 1 or (heights[0] < heights[1]) == (made > due)


def test_no_two_labels_meet_on_any_width(case: tuple[list[PlayedHole], Picture]) -> None:
    root = parse(case[1])
    labels = [mark for mark in root.iter(f"{SVG}text") if "lbl" in mark.get("class", "") or mark.text == "reset"]
    for width in (215, 280, 590):
        boxes = []
        for mark in labels:
            length = 6.8 * len(mark.text or "")
            left = share(mark.get("x", "")) * width + float(mark.get("dx", "0"))
            kinds = mark.get("class", "").split()
            left -= length if "end" in kinds else length / 2 if "mid" in kinds else 0
            boxes.append((left, left + length, float(mark.get("y", ""))))
        for at, one in enumerate(boxes):
            for other in boxes[at + 1 :]:
                assert one[1] <= other[0] + 0.1 or other[1] <= one[0] + 0.1 or abs(one[2] - other[2]) >= 13.9


def test_a_single_blow_up_always_has_its_words() -> None:
    for at in range(18):
        strokes = list(LEVEL)
        strokes[at] = PARS[at] + 5
        words = [mark.text for mark in of_kind(parse(pace_line(holes_of(*strokes))), "lbl")]
        assert f"hole {at + 1}: {PARS[at] + 5}" in words or f"{at + 1}: {PARS[at] + 5}" in words


def test_no_style_and_no_script(case: tuple[list[PlayedHole], Picture]) -> None:
    for mark in parse(case[1]).iter():
        assert "style" not in mark.attrib
        assert not any(name.startswith("on") for name in mark.attrib)


def test_a_blow_up_on_which_more_was_due_is_still_marked() -> None:
    holes = [PlayedHole(1, 4, 0, 7, 6), PlayedHole(2, 4, 0, 4, 4)]
    mark = of_kind(parse(pace_line(holes)), "jump")[0]
    assert float(mark.get("y1", "")) > float(mark.get("y2", ""))


def test_the_budget_of_the_whole_card_is_the_end_mark() -> None:
    root = parse(pace_line(holes_of(*LEVEL), budget=sum(LEVEL) + 2))
    per_unit, zero = scale_of(root, FIGURES)
    mark = of_kind(root, "bar")[0]
    assert (float(mark.get("y1", "")) + float(mark.get("y2", ""))) / 2 == pytest.approx(zero + 2 * per_unit, abs=0.11)


@pytest.mark.parametrize(
    ("name", "reading"),
    [
        ("level", "90 for 90 due, level. No blow-up."),
        ("one blow-up", "93 for 90 due, three over. Hole 12 took 8, three over on its own."),
        ("front nine", "45 for 45 due, level. No blow-up."),
        ("plus player", "72 for 54 due, 18 over. No blow-up."),
        ("gaps", "76 on 14 holes for 71 due, five over. Holes 6 and 12 were blow-ups, six over between them."),
    ],
)
def test_the_reading(name: str, reading: str) -> None:
    assert pace_line(CASES[name]).reading == reading


def test_hostile_names_stay_text() -> None:
    picture = pace_line(holes_of(*LEVEL[:11], 8, *LEVEL[12:], name=HOSTILE))
    root = parse(picture)
    assert HOSTILE in (root.get("aria-label") or "")
    assert "<svg onload" not in picture.svg
    assert "onload=" in picture.svg
    assert HOSTILE in picture.rows[0].cells[0]


def test_a_card_without_a_hole_played_is_refused() -> None:
    with pytest.raises(ValueError, match="a hole that was played"):
        pace_line(holes_of(None, None))
