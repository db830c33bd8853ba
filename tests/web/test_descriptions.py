"""The pages of described holes, as ben who organises, ann who plays, cat who is a stranger."""

import re
from dataclasses import replace
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from league.models import Course, HoleDescription, Tee
from league.reports.descriptions import described_holes
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width
from league.services import descriptions as services
from tests import build

pytestmark = pytest.mark.django_db
WATER = Trouble(TroubleKind.PENALTY_AREA, Side.RIGHT, 180, 240, off_line=25, note="the pond")
SAND = Trouble(TroubleKind.BUNKER, Side.LEFT, -10, 5, off_line=12, counted_from=CountedFrom.GREEN)
HOLE = Described(
    number=7,
    name="Sluice",
    trouble=(WATER, SAND),
    widths=(Width(210, 32),),
    green_depth=28,
    hard_chip_from=(Side.LONG,),
)


@pytest.fixture(autouse=True)
def _fresh_cache(settings: Any) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def ben(people: build.People) -> Client:
    return build.signed_in(people.ben)


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


@pytest.fixture
def course(tee: Tee) -> Course:
    return tee.course


def entries(tee: Tee | None = None, **changes: Any) -> dict[str, Any]:
    typed = {
        "measured_from": str(tee.pk) if tee else "",
        "length_unit": "yards",
        "name": "Sluice",
        "trouble_0_kind": "penalty_area",
        "trouble_0_side": "right",
        "trouble_0_begins": "180",
        "trouble_0_ends": "240",
        "trouble_0_off_line": "25",
        "trouble_0_counted_from": "tee",
        "trouble_0_note": "the pond",
        "trouble_2_kind": "bunker",
        "trouble_2_side": "left",
        "trouble_2_begins": "-10",
        "trouble_2_ends": "5",
        "trouble_2_off_line": "12",
        "trouble_2_counted_from": "green",
        "widths_0_distance": "210",
        "widths_0_width": "32",
        "green_depth": "28",
        "hard_chip_from": ["long"],
        "version": 0,
    }
    return {**typed, **changes}


def written(number: int = 7) -> HoleDescription:
    return HoleDescription.objects.get(number=number, is_current=True)


def describe(people: build.People, course: Course, hole: Described = HOLE, tee: Tee | None = None, **more: Any) -> None:
    to = services.Description(hole=hole, length_unit="yards", measured_from=tee)
    services.describe_hole(actor=people.ben, course=course, to=to, **more)


def text_of(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


class TestDescribing:
    def test_what_was_typed_is_what_stands_blank_rows_are_not_there(self, ben: Client, tee: Tee) -> None:
        answer = ben.post(reverse("hole_change", args=[tee.course_id, 7]), entries(tee))
        assert (answer.status_code, answer["Location"]) == (303, reverse("hole", args=[tee.course_id, 7]))
        assert described_holes(tee)[7] == HOLE
        assert written().written_by.name == "Ben"

    def test_the_form_begins_with_what_stands_and_stores_it_unchanged(
        self, people: build.People, ben: Client, course: Course, tee: Tee
    ) -> None:
        describe(people, course, tee=tee)
        page = ben.get(reverse("hole_change", args=[course.pk, 7])).content.decode()
        assert 'name="trouble_1_begins" value="-10"' in page
        assert 'name="trouble_3_kind"' in page
        assert "hole-strip" in page
        again = ben.post(reverse("hole_change", args=[course.pk, 7]), {**entries(tee), "version": 1})
        assert again.status_code == 303
        assert HoleDescription.objects.count() == 1

    @pytest.mark.parametrize(
        ("changes", "field", "said"),
        [
            ({"trouble_0_ends": "100"}, "trouble_0_ends", "it ends before it begins"),
            ({"trouble_2_ends": "-20"}, "trouble_2_ends", "it ends before it begins"),
            ({"trouble_2_begins": "-61"}, "trouble_2_begins", "Enter -60 to"),
            ({"trouble_0_kind": ""}, "trouble_0_kind", "Choose what it is."),
            ({"trouble_0_begins": ""}, "trouble_0_begins", "Say where it begins."),
            ({"trouble_0_side": "long"}, "trouble_0_side", "not one of the available choices"),
            ({"trouble_0_side": "across"}, "trouble_0_off_line", "leave that empty"),
            ({"widths_0_width": ""}, "widths_0_width", "Say how wide."),
            ({"widths_0_width": "151"}, "widths_0_width", "Enter 1 to 150."),
            ({"bend_to": "left"}, "bend_at", "both or neither"),
            ({"bend_to": "left", "bend_at": "315"}, "bend_at", "Hole 7 is 315 long: it bends at less from the tee."),
            ({"draw": "yes", "widths_0_distance": "400"}, "widths_0_distance", "a width stands at less from the tee"),
            ({"safe_side": "long"}, "safe_side", "cannot leave a hard chip"),
            ({"green_depth": "28.5"}, "green_depth", "Enter a whole number."),
            ({"length_unit": ""}, "length_unit", "This is needed."),
        ],
    )
    def test_each_fault_is_said_at_its_field_and_the_entries_stay(
        self, ben: Client, course: Course, changes: dict[str, str], field: str, said: str
    ) -> None:
        answer = ben.post(reverse("hole_change", args=[course.pk, 7]), entries(**changes))
        assert answer.status_code == 400
        assert said in text_of(answer)
        page = answer.content.decode()
        assert f'id="id_{field}_error"' in page
        assert 'value="the pond"' in page
        assert not HoleDescription.objects.exists()

    def test_drawing_stores_nothing_and_makes_room(self, ben: Client, tee: Tee) -> None:
        drawn = ben.post(reverse("hole_change", args=[tee.course_id, 7]), entries(tee, draw="yes"))
        page = drawn.content.decode()
        assert drawn.status_code == 200
        assert "a penalty area on the right from 180 to 240, 25 off the line" in page
        assert 'name="trouble_3_kind"' in page
        assert 'value="long" id="id_hard_chip_from_3" checked' in page.replace(' aria-describedby=""', "")
        assert not HoleDescription.objects.exists()

    def test_widths_may_be_typed_in_any_order(self, ben: Client, tee: Tee) -> None:
        widths = {"widths_1_distance": "150", "widths_1_width": "40"}
        assert ben.post(reverse("hole_change", args=[tee.course_id, 7]), entries(tee, **widths)).status_code == 303
        assert described_holes(tee)[7].widths == (Width(150, 40), Width(210, 32))

    def test_a_late_change_keeps_what_was_typed_and_overwrites_nothing(
        self, people: build.People, ben: Client, course: Course
    ) -> None:
        describe(people, course)
        path = reverse("hole_change", args=[course.pk, 7])
        late = ben.post(path, entries(name="Weir"))
        page = late.content.decode()
        assert late.status_code == 409
        assert 'value="Weir"' in page
        assert 'name="version" value="1"' in page
        assert re.search(r'value="long"[^>]*checked', page)
        assert written().version == 1
        assert ben.post(path, entries(name="Weir", version=1)).status_code == 303
        assert written().described["name"] == "Weir"

    def test_nothing_at_all_is_not_a_description(self, ben: Client, course: Course) -> None:
        answer = ben.post(reverse("hole_change", args=[course.pk, 7]), {"length_unit": "yards", "version": 0})
        assert answer.status_code == 400
        assert "nothing is described yet" in text_of(answer)


class TestReading:
    def test_a_mate_reads_and_is_told_what_is_not_known(self, people: build.People, course: Course, tee: Tee) -> None:
        describe(people, course, tee=tee, reason="Walked it.")
        ann = build.signed_in(people.ann)
        said = text_of(ann.get(reverse("hole", args=[course.pk, 7])))
        assert "Hole 7, Sluice" in said
        assert "a penalty area on the right from 180 to 240" in said
        assert "Not known: how wide the green is, the safe side of the green, ups and downs." in said
        assert "Walked it." in said
        assert "Correct it" not in said

    def test_what_nobody_described_says_so(self, people: build.People, course: Course) -> None:
        said = text_of(build.signed_in(people.ann).get(reverse("hole", args=[course.pk, 3])))
        assert "Nobody described this hole yet; it is 315 yards long." in said

    def test_a_course_without_a_tee_has_holes_too(self, people: build.People, ben: Client) -> None:
        bare = build.course(people.group, "Fen")
        assert ben.get(reverse("hole", args=[bare.pk, 1])).status_code == 200
        assert ben.post(reverse("hole_change", args=[bare.pk, 7]), entries()).status_code == 303
        assert "its length" in text_of(ben.get(reverse("hole", args=[bare.pk, 7])))

    def test_from_a_shorter_tee_what_counts_from_the_tee_moves(
        self, people: build.People, course: Course, tee: Tee
    ) -> None:
        short = build.tee(course, "Wren")
        short.holes.filter(number=7).update(length=300)
        describe(people, course, tee=tee)
        ann = build.signed_in(people.ann)
        said = text_of(ann.get(reverse("hole", args=[course.pk, 7]), {"tee": str(short.pk)}))
        assert "on the right from 165 to 225" in said
        assert (
            "Described from Heron . From here the hole is 15 yards shorter, so what counts from the tee comes" in said
        )
        assert "Not moved: distances in notes, and ups and downs. They count from Heron ." in said
        assert "left out" not in said

    @pytest.mark.parametrize(
        ("length", "told"),
        [
            (315, "Described from Heron ; from here the hole is as long, so nothing moves."),
            (
                316,
                "1 yard longer, so what counts from the tee comes that much later. What counts from the green stays.",
            ),
            (60, "sooner, and what would lie behind this tee is left out."),
            (None, "A length is not known, so nothing is moved: distances still count from there."),
        ],
    )
    def test_it_says_from_which_tee_distances_count(
        self, people: build.People, course: Course, tee: Tee, length: int | None, told: str
    ) -> None:
        other = build.tee(course, "Wren")
        other.holes.filter(number=7).update(length=length)
        describe(people, course, replace(HOLE, note="230 to the pond."), tee)
        page = reverse("hole", args=[course.pk, 7])
        ann = build.signed_in(people.ann)
        said = text_of(ann.get(page, {"tee": str(other.pk)}))
        assert told in said
        assert ("A distance in this note counts from Heron , not from here." in said) == (length != 315)
        assert "Described from this tee." in text_of(ann.get(page, {"tee": str(tee.pk)}))

    def test_a_description_for_no_tee_says_so_and_an_old_version_names_its_tee(
        self, people: build.People, course: Course, tee: Tee
    ) -> None:
        describe(people, course, tee=tee)
        describe(people, course)
        page, ann = reverse("hole", args=[course.pk, 7]), build.signed_in(people.ann)
        assert "Described for no tee in particular" in text_of(ann.get(page))
        assert "Distances count from Heron ." in text_of(ann.get(page, {"version": 1}))

    def test_heights_are_drawn_and_said(self, people: build.People, course: Course, tee: Tee) -> None:
        describe(people, course, Described(number=7, rise_to_landing=-3, rise_to_green=2), tee)
        said = text_of(build.signed_in(people.ann).get(reverse("hole", args=[course.pk, 7])))
        assert "the tee shot lands 3 yards below the tee; the green lies 2 yards above the tee." in said
        assert "ups and downs, in yards against the tee tee landing 3 down green 2 up" in said
        assert "Both heights count from the tee" in text_of(
            build.signed_in(people.ben).get(reverse("hole_change", args=[course.pk, 7]))
        )

    def test_the_course_page_lists_what_is_described(self, people: build.People, course: Course) -> None:
        page = reverse("course", args=[course.pk])
        ann = build.signed_in(people.ann)
        assert "No hole is described yet" in text_of(ann.get(page))
        describe(people, course)
        said = text_of(ann.get(page))
        assert "One of 18 is described." in said
        assert "two pieces of trouble, width, green" in said

    @pytest.mark.parametrize("number", [0, 19, 400])
    def test_no_other_hole_exists(self, people: build.People, ben: Client, course: Course, number: int) -> None:
        assert ben.get(reverse("hole", args=[course.pk, number])).status_code == 404
        assert ben.post(reverse("hole_change", args=[course.pk, number]), entries()).status_code == 404

    @pytest.mark.parametrize("asked", ["tee=x", "version=9", "version=x", "version=-1", "version=99999999999"])
    def test_what_the_address_asks_for_must_exist(self, ben: Client, course: Course, asked: str) -> None:
        assert ben.get(f"{reverse('hole', args=[course.pk, 7])}?{asked}").status_code == 404

    def test_a_stranger_finds_nothing_and_a_mate_changes_nothing(self, people: build.People, course: Course) -> None:
        names = [("hole", [7]), ("hole_change", [7]), ("holes_table", []), ("holes_file", [])]
        cat, ann = build.signed_in(people.cat), build.signed_in(people.ann)
        assert [cat.get(reverse(name, args=[course.pk, *more])).status_code for name, more in names] == [404] * 4
        assert [ann.get(reverse(name, args=[course.pk, *more])).status_code for name, more in names] == [
            200, 403, 403, 200
        ]  # fmt: skip


class TestVersions:
    def test_an_older_one_is_shown_and_stands_again(self, people: build.People, ben: Client, course: Course) -> None:
        describe(people, course)
        describe(people, course, Described(number=7, trouble=(WATER,)), reason="The bunker is gone.")
        said = text_of(ben.get(reverse("hole", args=[course.pk, 7])))
        assert "Version 2 ," in said
        assert "trouble, widths, green, sides of the green" in said
        assert "The bunker is gone." in said
        old = text_of(ben.get(reverse("hole", args=[course.pk, 7]), {"version": 1}))
        assert "An older version; version 2 stands." in old
        answer = ben.post(reverse("hole_restore", args=[course.pk, 7, 1]), {"seen": "2"})
        assert answer.status_code == 303
        stands = written()
        assert (stands.version, stands.reason) == (3, "Version 1 once more.")
        assert stands.described == HoleDescription.objects.get(version=1).described

    def test_what_was_changed_meanwhile_is_not_overwritten(
        self, people: build.People, ben: Client, course: Course
    ) -> None:
        describe(people, course)
        describe(people, course, Described(number=7, trouble=(WATER,)))
        assert ben.post(reverse("hole_restore", args=[course.pk, 7, 1]), {"seen": "1"}).status_code == 409
        assert written().version == 2

    def test_what_stands_already_and_what_never_was(self, people: build.People, ben: Client, course: Course) -> None:
        describe(people, course)
        assert ben.post(reverse("hole_restore", args=[course.pk, 7, 1])).status_code == 303
        assert ben.post(reverse("hole_restore", args=[course.pk, 7, 5])).status_code == 404
        assert ben.post(reverse("hole_restore", args=[course.pk, 8, 1])).status_code == 404
        assert HoleDescription.objects.count() == 1

    def test_the_length_it_was_measured_at_comes_back_too(
        self, people: build.People, ben: Client, course: Course, tee: Tee
    ) -> None:
        describe(people, course, tee=tee)
        tee.holes.filter(number=7).update(length=330)
        describe(people, course, Described(number=7, trouble=(WATER,)), tee=tee)
        ben.post(reverse("hole_restore", args=[course.pk, 7, 1]))
        assert (written().measured_length, written().measured_from) == (315, tee)


TABLE = "hole,what,side,from,to,off line\n7,bunker,left,150,160,20\n8,trees,right,0,300,30\n"


class TestTable:
    def test_it_is_read_first_and_stored_when_it_was_seen(self, ben: Client, course: Course) -> None:
        path = reverse("holes_table", args=[course.pk])
        sent = {"table": TABLE, "length_unit": "yards", "measured_from": ""}
        read = ben.post(path, {**sent, "apply": "yes"})
        assert read.status_code == 200
        assert "Two holes read. Nothing is stored yet." in text_of(read)
        assert "a bunker on the left from 150 to 160, 20 off the line" in text_of(read)
        assert not HoleDescription.objects.exists()
        seen = re.search(r'name="seen" value="(\w+)"', read.content.decode())
        assert seen
        changed = ben.post(path, {**sent, "table": TABLE.replace("150", "155"), "seen": seen[1], "apply": "yes"})
        assert changed.status_code == 200
        assert not HoleDescription.objects.exists()
        stored = ben.post(path, {**sent, "seen": seen[1], "apply": "yes"})
        assert (stored.status_code, HoleDescription.objects.count()) == (303, 2)

    def test_every_problem_is_named_by_its_line(self, ben: Client, course: Course) -> None:
        sent = {"table": TABLE + "9,lake,left,1,2,3\n10,bunker,left,160,150,5\n", "length_unit": "yards"}
        answer = ben.post(reverse("holes_table", args=[course.pk]), sent)
        assert answer.status_code == 400
        assert "Line 4:" in text_of(answer)
        assert "Line 5:" in text_of(answer)
        assert "9,lake,left" in answer.content.decode()

    def test_a_hole_that_the_course_lacks_is_refused_when_stored(self, people: build.People, ben: Client) -> None:
        nine = build.course(people.group, "Fen", n_holes=9)
        sent = {"table": TABLE.replace("8,", "12,"), "length_unit": "yards"}
        path = reverse("holes_table", args=[nine.pk])
        seen = re.search(r'name="seen" value="(\w+)"', ben.post(path, sent).content.decode())
        assert seen
        answer = ben.post(path, {**sent, "seen": seen[1], "apply": "yes"})
        assert answer.status_code == 400
        assert "there is no hole 12" in text_of(answer)
        assert not HoleDescription.objects.exists()

    def test_what_goes_out_comes_in_again_as_the_same(
        self, people: build.People, ben: Client, course: Course, tee: Tee
    ) -> None:
        describe(people, course, tee=tee)
        file = ben.get(reverse("holes_file", args=[course.pk]))
        assert file["Content-Disposition"] == 'attachment; filename="marsh-links-heron-yards.csv"'
        path = reverse("holes_table", args=[course.pk])
        sent = {"table": file.content.decode(), "length_unit": "yards", "measured_from": str(tee.pk)}
        seen = re.search(r'name="seen" value="(\w+)"', ben.post(path, sent).content.decode())
        assert seen
        assert ben.post(path, {**sent, "seen": seen[1], "apply": "yes"}).status_code == 303
        assert HoleDescription.objects.count() == 1
