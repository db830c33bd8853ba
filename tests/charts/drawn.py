"""Reading a picture back: parsed with a strict XML parser, positions as numbers."""

import re
from pathlib import Path
from xml.etree import ElementTree

from league.charts import Picture
from league.exchange import courses_json
from league.exchange.descriptions_json import DescribedHole

COURSES = Path(__file__).parents[2] / "fixtures/demo/courses"
SVG = "{http://www.w3.org/2000/svg}"


def parse(picture: Picture) -> ElementTree.Element:
    """The picture's root; raises ParseError when it is not well-formed."""
    return ElementTree.fromstring(picture.svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))


def of_kind(root: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    """Every mark with this class."""
    return [mark for mark in root.iter() if kind in mark.get("class", "").split()]


def share(value: str) -> float:
    """50% -> 0.5."""
    assert value.endswith("%")
    return float(value[:-1]) / 100


def path_points(path: str) -> list[tuple[float, float]]:
    """Corners of a path made of M, m, h and v only."""
    points, x, y = [], 0.0, 0.0
    for command, numbers in re.findall(r"([Mmhv])([-\d. ]+)", path):
        values = [float(number) for number in numbers.split()]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        elif command == "h":
            x += values[0]
        else:
            y += values[0]
        points.append((x, y))
    assert re.sub(r"[Mmhv][-\d. ]+", "", path) == ""
    return points


def scale_of(root: ElementTree.Element, figures: dict[str, float]) -> tuple[float, float]:
    """From the lettered axis at the left: pixels per unit (downwards) and where zero is. The two outermost ticks."""
    ticks = sorted(
        (float(mark.get("y", "")) - 4, figures[mark.text or ""])
        for mark in of_kind(root, "end")
        if mark.get("x") == "0%" and mark.text in figures
    )
    (y_top, top), (y_bottom, bottom) = ticks[0], ticks[-1]
    per_unit = (y_bottom - y_top) / (bottom - top)
    return per_unit, y_top - per_unit * top


def demo_holes() -> list[tuple[str, DescribedHole, int]]:
    """Every described hole of the demo with its length from its own tee."""
    found = []
    for path in sorted(COURSES.glob("*.json")):
        course = courses_json.read(path.read_bytes()).course
        assert course is not None
        for one in course.descriptions:
            tee = next(tee for tee in course.tees if (tee.name, tee.rated_for) == one.measured_from)
            found.append((path.stem, one, tee.holes[one.hole.number - 1].length or 0))
    return found
