"""A whole course in one JSON file, in our own plain form, so that it is typed once and handed on.

    {"format": "course", "version": 1, "name": "Mill Lane", "place": "", "holes": 18,
     "tees": [{"name": "white", "rated_for": "men", "course_rating": 71.2, "slope_rating": 124,
               "front": {"course_rating": 35.4, "slope_rating": 122},
               "back": {"course_rating": 35.8, "slope_rating": 126},
               "length_unit": "metres", "valid_from": "2026-01-01", "valid_until": null,
               "holes": [{"number": 1, "par": 4, "stroke_index": 7, "length": 352}, …]}]}

`descriptions` of its holes may follow the tees (`league.exchange.descriptions_json`).
`front`, `back`, `valid_from`, `valid_until` and `length` may be null or left out. Ratings have one decimal at most.
The versions of a re-rated tee stand beside one another: same name, same gender, days that do not overlap.
"""

import json
from dataclasses import dataclass, field
from decimal import Decimal

from league.exchange import descriptions_json
from league.exchange.descriptions_json import DescribedHole
from league.exchange.json_in import Place, load
from league.exchange.problems import Limits, Note, Problem, ProblemList, Question
from league.rules.errors import RuleBroken
from league.rules.printed import (
    MEN,
    METRES,
    WOMEN,
    YARDS,
    PrintedHole,
    PrintedTee,
    check,
    days_overlap,
    doubts,
    same_set,
)

FORMAT, VERSION = "course", 1
N_TEES = 40
NAME_CHARACTERS, TEE_NAME_CHARACTERS = 80, 40
COUNT = (0, 9_999)


@dataclass(frozen=True, slots=True)
class CourseFile:
    """One course as a file gives it."""

    name: str
    place: str
    n_holes: int
    tees: tuple[PrintedTee, ...]
    descriptions: tuple[DescribedHole, ...] = ()


@dataclass(slots=True)
class CourseReading:
    """The course, or None and what keeps it from being used. Questions are to be asked before it is stored."""

    course: CourseFile | None = None
    problems: list[Problem] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)


def read(data: bytes, *, limits: Limits | None = None) -> CourseReading:
    """Reads one course file and names every problem by its path."""
    limits = limits or Limits()
    value = load(data, limits)
    return CourseReading(problems=[value]) if isinstance(value, Problem) else read_value(value, limits=limits)


def read_value(value: object, *, limits: Limits | None = None) -> CourseReading:
    """The same for a file that has been taken apart already, with decimals kept exactly."""
    limits = limits or Limits()
    problems = ProblemList(limits.problems)
    course = _course(Place(value, "", problems, limits))
    if not problems.listed:
        _check_tees(course, problems)
    if problems.listed:
        return CourseReading(problems=problems.finished())
    return _with_doubts(course)


def _course(place: Place) -> CourseFile:
    place.only("format", "version", "name", "place", "holes", "tees", "descriptions")
    place.one_of("format", (FORMAT,))
    place.whole("version", VERSION, VERSION)
    n_holes = place.whole("holes", 9, 18)
    if n_holes not in (9, 18):
        place.add("holes", "number", "A course has 9 or 18 holes.")
    name = place.text("name", NAME_CHARACTERS)
    where = place.text("place", NAME_CHARACTERS, is_needed=False)
    tees = tuple(_tee(inner) for inner in place.places("tees", N_TEES))
    for position, tee in enumerate(tees):
        if any(same_set(tee, other) and days_overlap(tee, other) for other in tees[:position]):
            message = f"The tee “{tee.name}” rated for {tee.rated_for} stands there twice for the same days."
            place.add(f"tees.{position}.valid_from", "tee_twice", message)
    holes = place.places("descriptions", 18) if place.has("descriptions") else ()
    return CourseFile(name, where, n_holes, tees, descriptions_json.read(holes, n_holes, tees))


def _tee(place: Place) -> PrintedTee:
    place.only(
        "name", "rated_for", "course_rating", "slope_rating", "front", "back", "length_unit", "valid_from",
        "valid_until", "holes",
    )  # fmt: skip
    nines: dict[str, tuple[Decimal | None, int | None]] = {"front": (None, None), "back": (None, None)}
    for name in nines:
        if place.has(name):
            inner = place.inner(name)
            inner.only("course_rating", "slope_rating")
            nines[name] = inner.decimal("course_rating"), inner.whole("slope_rating", *COUNT)
    return PrintedTee(
        name=place.text("name", TEE_NAME_CHARACTERS),
        rated_for=place.one_of("rated_for", (MEN, WOMEN)),
        course_rating=place.decimal("course_rating"),
        slope_rating=place.whole("slope_rating", *COUNT),
        front_course_rating=nines["front"][0],
        front_slope_rating=nines["front"][1],
        back_course_rating=nines["back"][0],
        back_slope_rating=nines["back"][1],
        length_unit=place.one_of("length_unit", (YARDS, METRES)),
        valid_from=place.day_or_none("valid_from"),
        valid_until=place.day_or_none("valid_until"),
        holes=tuple(_hole(inner) for inner in place.places("holes", 18)),
    )


def _hole(place: Place) -> PrintedHole:
    place.only("number", "par", "stroke_index", "length")
    return PrintedHole(
        number=place.whole("number", *COUNT),
        par=place.whole("par", *COUNT),
        stroke_index=place.whole("stroke_index", *COUNT),
        length=place.whole("length", *COUNT) if place.has("length") else None,
    )


def _check_tees(course: CourseFile, problems: ProblemList) -> None:
    for position, tee in enumerate(course.tees):
        try:
            check(tee, course.n_holes)
        except RuleBroken as broken:
            for each in broken.problems:
                problems.add(0, _path(position, each.field), each.code, each.message)


def _with_doubts(course: CourseFile) -> CourseReading:
    reading = CourseReading(course)
    for position, tee in enumerate(course.tees):
        for doubt in doubts(tee):
            path = _path(position, doubt.field)
            if doubt.asks:
                reading.questions.append(Question(doubt.code, f"{path}: {doubt.message}", ("keep", "change"), ()))
            else:
                reading.notes.append(Note(0, path, doubt.code, doubt.message))
    return reading


def _path(position: int, name: str) -> str:
    for nine in ("front", "back"):
        name = name.replace(f"{nine}_", f"{nine}.")
    return f"tees.{position}.{name}"


def write(course: CourseFile) -> str:
    """The course as a file that `read` reads back as the same course."""
    plain: dict[str, object] = {
        "format": FORMAT,
        "version": VERSION,
        "name": course.name,
        "place": course.place,
        "holes": course.n_holes,
        "tees": [_tee_as_plain(tee) for tee in course.tees],
    }
    if course.descriptions:
        plain["descriptions"] = [descriptions_json.as_plain(one) for one in course.descriptions]
    return json.dumps(plain, ensure_ascii=False, indent=1) + "\n"


def _tee_as_plain(tee: PrintedTee) -> dict[str, object]:
    nines = {name: _rating_as_plain(rating, slope) for name, rating, slope in tee.nines}
    return {
        "name": tee.name,
        "rated_for": tee.rated_for,
        **(_rating_as_plain(tee.course_rating, tee.slope_rating) or {}),
        **nines,
        "length_unit": tee.length_unit,
        "valid_from": tee.valid_from and tee.valid_from.isoformat(),
        "valid_until": tee.valid_until and tee.valid_until.isoformat(),
        "holes": [
            {"number": hole.number, "par": hole.par, "stroke_index": hole.stroke_index, "length": hole.length}
            for hole in tee.holes
        ],
    }


def _rating_as_plain(rating: Decimal | None, slope: int | None) -> dict[str, object] | None:
    # The nearest double of a number with one decimal prints as that number again, so nothing is lost in JSON.
    return None if rating is None else {"course_rating": float(rating), "slope_rating": slope}
