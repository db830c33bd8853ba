"""A whole course in one JSON file, in our own plain form, so that it is typed once and handed on.

    {"format": "course", "version": 1, "name": "Mill Lane", "place": "", "holes": 18,
     "tees": [{"name": "white", "rated_for": "men", "course_rating": 71.2, "slope_rating": 124,
               "front": {"course_rating": 35.4, "slope_rating": 122},
               "back": {"course_rating": 35.8, "slope_rating": 126},
               "length_unit": "metres", "valid_from": "2026-01-01",
               "holes": [{"number": 1, "par": 4, "stroke_index": 7, "length": 352}, …]}]}

`front`, `back`, `valid_from` and `length` may be null or left out. Ratings have one decimal at most and are kept in
tenths.
"""

import json
from collections import Counter
from dataclasses import dataclass, field
from datetime import date

from league.exchange.courses_csv import HoleRow
from league.exchange.json_in import Place, load
from league.exchange.problems import Limits, Problem, ProblemList, Question

FORMAT, VERSION = "course", 1
N_TEES = 40
TEE_NAME_CHARACTERS = 40
RATED_FOR = ("men", "women")
LENGTH_UNITS = ("yards", "metres")
# No rating has a published bound; these are a form check of our own, which asks and does not refuse.
USUAL_RATING = {18: (500, 850), 9: (200, 450)}


@dataclass(frozen=True, slots=True)
class Rating:
    """A course rating in tenths and its slope rating."""

    course_rating_tenths: int
    slope_rating: int


@dataclass(frozen=True, slots=True)
class TeeFile:
    """One tee as a file gives it."""

    name: str
    rated_for: str
    rating: Rating
    holes: tuple[HoleRow, ...]
    length_unit: str
    front: Rating | None = None
    back: Rating | None = None
    valid_from: date | None = None


@dataclass(frozen=True, slots=True)
class CourseFile:
    """One course as a file gives it."""

    name: str
    place: str
    n_holes: int
    tees: tuple[TeeFile, ...]


@dataclass(slots=True)
class CourseReading:
    """The course, or None and what keeps it from being used. Questions are to be asked before it is stored."""

    course: CourseFile | None = None
    problems: list[Problem] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)


def read(data: bytes, *, limits: Limits | None = None) -> CourseReading:
    """Reads one course file and names every problem by its path."""
    limits = limits or Limits()
    value = load(data, limits)
    if isinstance(value, Problem):
        return CourseReading(problems=[value])
    problems = ProblemList(limits.problems)
    reading = CourseReading()
    course = _course(Place(value, "", problems, limits), reading.questions)
    reading.course = None if problems.listed else course
    reading.problems = problems.finished()
    return reading


def _course(place: Place, questions: list[Question]) -> CourseFile:
    place.only("format", "version", "name", "place", "holes", "tees")
    place.one_of("format", (FORMAT,))
    place.whole("version", VERSION, VERSION)
    n_holes = place.whole("holes", 9, 18)
    if n_holes not in (9, 18):
        place.add("holes", "number", "A course has 9 or 18 holes.")
    name = place.text("name", place.limits.name_characters)
    where = place.text("place", place.limits.name_characters, is_needed=False)
    tees = tuple(_tee(inner, n_holes, questions) for inner in place.places("tees", N_TEES))
    twice = [key for key, count in Counter((tee.name.casefold(), tee.rated_for) for tee in tees).items() if count > 1]
    for tee_name, rated_for in twice:
        place.add("tees", "tee_twice", f"The tee “{tee_name}” rated for {rated_for} stands there twice.")
    return CourseFile(name, where, n_holes, tees)


def _tee(place: Place, n_holes: int, questions: list[Question]) -> TeeFile:
    place.only(
        "name", "rated_for", "course_rating", "slope_rating", "front", "back", "length_unit", "valid_from", "holes"
    )
    rating = _rating(place, n_holes, questions)
    nines = {name: _rating(place.inner(name), 9, questions) for name in ("front", "back") if place.has(name)}
    for name in nines:
        place.inner(name).only("course_rating", "slope_rating")
        if n_holes == 9:
            place.add(name, "field_unknown", "A nine-hole course has no front or back nine of its own.")
    holes = tuple(_hole(inner) for inner in place.places("holes", 18))
    _check_holes(place, holes, n_holes)
    return TeeFile(
        name=place.text("name", TEE_NAME_CHARACTERS),
        rated_for=place.one_of("rated_for", RATED_FOR),
        rating=rating,
        holes=tuple(sorted(holes, key=lambda hole: hole.number)),
        length_unit=place.one_of("length_unit", LENGTH_UNITS),
        front=nines.get("front"),
        back=nines.get("back"),
        valid_from=place.day_or_none("valid_from"),
    )


def _rating(place: Place, n_holes: int, questions: list[Question]) -> Rating:
    tenths = place.tenths("course_rating")
    low, high = USUAL_RATING.get(n_holes, USUAL_RATING[18])
    if tenths and not low <= tenths <= high:
        path = f"{place.path}.course_rating"
        message = f"{path}: a course rating of {tenths // 10}.{tenths % 10} is unusual. Is it right?"
        questions.append(Question("rating_unusual", message, ("keep", "change"), ()))
    return Rating(tenths, place.whole("slope_rating", 55, 155))


def _hole(place: Place) -> HoleRow:
    place.only("number", "par", "stroke_index", "length")
    return HoleRow(
        number=place.whole("number", 1, 18),
        par=place.whole("par", 3, 6),
        stroke_index=place.whole("stroke_index", 1, 18),
        length=place.whole("length", 1, 999) if place.has("length") else None,
    )


def _check_holes(place: Place, holes: tuple[HoleRow, ...], n_holes: int) -> None:
    if sorted(hole.number for hole in holes) != list(range(1, n_holes + 1)):
        place.add("holes", "holes", f"Holes 1 to {n_holes} are expected here, each once.")
    if len({hole.stroke_index for hole in holes}) < len(holes):
        place.add("holes", "stroke_index_twice", "Each hole needs a stroke index of its own.")


def write(course: CourseFile) -> str:
    """The course as a file that `read` reads back as the same course."""
    plain = {
        "format": FORMAT,
        "version": VERSION,
        "name": course.name,
        "place": course.place,
        "holes": course.n_holes,
        "tees": [_tee_as_plain(tee) for tee in course.tees],
    }
    return json.dumps(plain, ensure_ascii=False, indent=1) + "\n"


def _tee_as_plain(tee: TeeFile) -> dict[str, object]:
    return {
        "name": tee.name,
        "rated_for": tee.rated_for,
        **_rating_as_plain(tee.rating),
        "front": tee.front and _rating_as_plain(tee.front),
        "back": tee.back and _rating_as_plain(tee.back),
        "length_unit": tee.length_unit,
        "valid_from": tee.valid_from and tee.valid_from.isoformat(),
        "holes": [
            {"number": hole.number, "par": hole.par, "stroke_index": hole.stroke_index, "length": hole.length}
            for hole in tee.holes
        ],
    }


def _rating_as_plain(rating: Rating) -> dict[str, object]:
    # The nearest double of a number with one decimal prints as that number again, so nothing is lost in JSON.
    return {"course_rating": rating.course_rating_tenths / 10, "slope_rating": rating.slope_rating}
