from urllib.parse import parse_qs, urlsplit

import pytest

from league.models import Course
from tests import build

COURSES = "/api/v1/courses/"


@pytest.fixture
def courses(people):
    return [build.course(people.group, f"Course {n % 3}") for n in range(7)]


def follow(ask, address):
    pages = []
    while address:
        answer = ask("GET", address)
        assert answer.status_code == 200, answer.content
        pages.append(answer.json())
        address = pages[-1]["next"]
    return pages


@pytest.mark.parametrize("size", [1, 2, 3, 6, 7, 8, 500])
def test_every_row_comes_once_and_in_order(ann, courses, size):
    pages = follow(ann, f"{COURSES}?page_size={size}")
    shown = [row["id"] for page in pages for row in page["results"]]
    wanted = sorted(courses, key=lambda course: course.pk)
    wanted.sort(key=lambda course: course.name, reverse=True)
    assert shown == [str(course.pk) for course in wanted]
    assert {page["count"] for page in pages} == {7}
    assert len(pages) == -(-7 // size)


def test_rows_that_come_and_go_double_and_hide_nothing(people, ann, courses):
    first = ann("GET", f"{COURSES}?page_size=3").json()
    build.course(people.group, "Course 9")
    Course.objects.filter(pk=first["results"][2]["id"]).delete()
    rest = [row for page in follow(ann, first["next"]) for row in page["results"]]
    seen = {row["id"] for row in first["results"]}
    assert not seen & {row["id"] for row in rest}
    assert seen | {row["id"] for row in rest} == {str(course.pk) for course in courses}


@pytest.mark.parametrize("size", ["-1", "0", "501", "1000000000", "x", "", "1.5", "٣", " 5", "+5", "'"])
def test_other_sizes_are_refused(ann, courses, size):
    answer = ann("GET", f"{COURSES}?page_size={size.replace('+', '%2B')}")
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_parameter")
    assert answer.json()["errors"][0]["field"] == "page_size"


def test_a_cursor_is_bound_to_person_filters_and_its_own_text(ann, cat, courses):
    following = ann("GET", f"{COURSES}?page_size=2").json()["next"]
    cursor = parse_qs(urlsplit(following).query)["cursor"][0]
    assert ann("GET", f"{COURSES}?cursor={cursor}").status_code == 200
    for answer in (
        cat("GET", f"{COURSES}?cursor={cursor}"),
        ann("GET", f"{COURSES}?name=Course 1&cursor={cursor}"),
        ann("GET", f"{COURSES}?cursor={cursor[:-1]}"),
        ann("GET", f"{COURSES}?cursor={cursor}x"),
        ann("GET", f"{COURSES}?cursor="),
        ann("GET", f"{COURSES}?cursor={'x' * 5000}"),
        ann("GET", f"{COURSES}?cursor=W10:x:y"),
    ):
        assert (answer.status_code, answer.json()["code"]) == (400, "invalid_cursor")


def test_the_next_page_keeps_the_filters(ann, courses):
    pages = follow(ann, f"{COURSES}?name=Course 0&page_size=1")
    assert [len(page["results"]) for page in pages] == [1, 1, 1]
    assert {page["count"] for page in pages} == {3}


def test_a_statement_as_filter_finds_nothing(ann, courses):
    assert ann("GET", f"{COURSES}?name=' OR 1=1 --").json() == {"results": [], "next": None, "count": 0}


def test_a_stranger_finds_nothing(cat, courses):
    assert cat("GET", COURSES).json() == {"results": [], "next": None, "count": 0}
