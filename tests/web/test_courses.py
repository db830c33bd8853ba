"""The pages of courses and tees, as ann who plays, ben who organises, cat who is a stranger, and nobody."""

import json
import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from league.models import Course, Round, Standing, Tee
from league.services import courses as services
from tests import build

pytestmark = pytest.mark.django_db
LENGTHS = {3: 160, 4: 360, 5: 490}


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
def ann(people: build.People) -> Client:
    return build.signed_in(people.ann)


@pytest.fixture
def cat(people: build.People) -> Client:
    return build.signed_in(people.cat)


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


@pytest.fixture
def new_tee(people: build.People) -> str:
    return reverse("tee_new", args=[build.course(people.group).pk])


def entries(**changes: Any) -> dict[str, Any]:
    typed: dict[str, Any] = {
        "name": "Teal",
        "rated_for": "men",
        "length_unit": "yards",
        "course_rating": "72.1",
        "slope_rating": "128",
    }
    for number, (par, index) in enumerate(zip(build.PARS, build.STROKE_INDEXES, strict=True), 1):
        typed |= {f"par_{number}": par, f"stroke_index_{number}": index, f"length_{number}": LENGTHS[par]}
    return {**typed, **changes}


def hidden(answer: Any, name: str) -> str:
    """What the page itself would send again."""
    found = re.search(rf'<input type="hidden" name="{name}"(?: value="([^"]*)")?', answer.content.decode())
    assert found is not None
    return found[1] or ""


def text_of(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


def played_on(tee: Tee, people: build.People, day: date) -> None:
    Round.objects.create(
        player=people.ann, tee=tee, n_holes=18, played_on=day, gross=90, fingerprint="", entered_at=timezone.now()
    )


class TestEnteringACourse:
    def test_ben_enters_one_for_the_group_and_its_first_tee(self, people: build.People, ben: Client) -> None:
        answer = ben.post(
            reverse("course_new"), {"name": "Fen", "place": "", "n_holes": 18, "whose": str(people.group.pk)}
        )
        course = Course.objects.get()
        assert (answer.status_code, answer["Location"]) == (303, reverse("course", args=[course.pk]))
        assert course.group == people.group
        stored = ben.post(reverse("tee_new", args=[course.pk]), entries())
        assert (stored.status_code, stored["Location"]) == (303, reverse("tee", args=[Tee.objects.get().pk]))

    def test_ann_organises_nothing_so_hers_is_her_own(self, people: build.People, ann: Client) -> None:
        ann.post(reverse("course_new"), {"name": "Back garden", "n_holes": 9, "whose": str(people.group.pk)})
        assert Course.objects.get().owner == people.ann

    def test_a_double_press_makes_one(self, ben: Client) -> None:
        page = ben.get(reverse("course_new"))
        sent = {"key": hidden(page, "key"), "name": "Fen", "n_holes": 18, "whose": ""}
        first, second = (ben.post(reverse("course_new"), sent) for _ in range(2))
        assert first["Location"] == second["Location"]
        assert Course.objects.count() == 1

    def test_the_number_of_holes_stays_once_there_is_a_tee(self, ben: Client, tee: Tee) -> None:
        ben.post(reverse("course_change", args=[tee.course_id]), {"name": "Marsh", "n_holes": 9, "version": 1})
        course = Course.objects.get()
        assert (course.name, course.n_holes) == ("Marsh", 18)

    def test_a_late_change_keeps_what_was_typed_and_overwrites_nothing(self, ben: Client, tee: Tee) -> None:
        path = reverse("course_change", args=[tee.course_id])
        ben.post(path, {"name": "Marsh", "n_holes": 18, "version": 1})
        late = ben.post(path, {"name": "Mere", "n_holes": 18, "version": 1})
        assert late.status_code == 409
        assert 'value="Mere"' in late.content.decode()
        assert Course.objects.get().name == "Marsh"
        assert ben.post(path, {"name": "Mere", "n_holes": 18, "version": hidden(late, "version")}).status_code == 303

    def test_the_list_finds_by_any_case(self, people: build.People, ann: Client) -> None:
        build.course(people.group, "Ärmelfeld")
        build.course(people.group, "Fen")
        assert "Ärmelfeld" in text_of(ann.get(reverse("courses"), {"q": "ÄRMEL"}))
        assert "Fen" not in text_of(ann.get(reverse("courses"), {"q": "ÄRMEL"}))
        assert "No course has" in text_of(ann.get(reverse("courses"), {"q": "<script>"}))


class TestEnteringATee:
    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            ({"slope_rating": "54"}, "Enter 55 to 155."),
            ({"slope_rating": "156"}, "Enter 55 to 155."),
            ({"course_rating": "72.35"}, "A course rating has one decimal, like 72.3."),
            ({"course_rating": "NaN"}, "A course rating has one decimal, like 72.3."),
            ({"stroke_index_13": "3"}, "Hole 13 has stroke index 3, which hole 2 has already."),
            ({"par_4": "7"}, "Enter 3 to 6."),
            ({"par_total": "71"}, "The pars of the holes add up to 72, the total typed is 71."),
            ({"front_course_rating": "36.0"}, "Give course rating and slope rating of the front nine, or neither."),
            ({"valid_from": "03/04/2026"}, "Write the day as 2026-04-03."),
            ({"valid_from": "2026-05-02", "valid_until": "2026-05-01"}, "The last day comes before the first day."),
            ({"name": ""}, "This is needed."),
            ({"course_rating": ""}, "This is needed."),
            ({"course_rating": "7200"}, "A course rating has one decimal, like 72.3."),
        ],
    )
    def test_each_fault_is_said_at_its_field_and_the_entries_stay(
        self, ben: Client, new_tee: str, changes: dict[str, str], said: str
    ) -> None:
        answer = ben.post(new_tee, entries(**changes))
        assert answer.status_code == 400
        assert said in text_of(answer)
        assert 'name="par_18" value="5"' in answer.content.decode()
        assert not Tee.objects.exists()

    def test_a_decimal_comma_is_a_point(self, ben: Client, new_tee: str) -> None:
        assert ben.post(new_tee, entries(course_rating="72,3")).status_code == 303
        assert str(Tee.objects.get().course_rating) == "72.3"

    def test_what_is_unusual_is_asked_before_it_is_stored(self, ben: Client, new_tee: str) -> None:
        odd = entries(course_rating="720", length_1="520")
        asked = ben.post(new_tee, {**odd, "confirmed": "on"})
        assert asked.status_code == 200
        assert "Did you mean 72.0?" in text_of(asked)
        assert "520 yards is unusual for a par 4" in text_of(asked)
        assert "checked" not in asked.content.decode().split('name="confirmed"')[1][:60]
        unticked = ben.post(new_tee, {**odd, "seen": hidden(asked, "seen")})
        assert unticked.status_code == 200
        assert not Tee.objects.exists()
        stored = ben.post(new_tee, {**odd, "seen": hidden(asked, "seen"), "confirmed": "on"})
        assert stored.status_code == 303
        assert str(Tee.objects.get().course_rating) == "720.0"

    def test_a_tick_counts_for_what_was_shown_only(self, ben: Client, new_tee: str) -> None:
        asked = ben.post(new_tee, entries(length_1="520"))
        other = ben.post(new_tee, entries(course_rating="720", seen=hidden(asked, "seen"), confirmed="on"))
        assert other.status_code == 200
        assert not Tee.objects.exists()

    def test_a_pasted_table_fills_the_rows_and_stores_nothing(self, ben: Client, new_tee: str) -> None:
        lines = [
            f"{number}\t{par}\t{index}\t{300 + number}"
            for number, (par, index) in enumerate(zip(build.PARS, build.STROKE_INDEXES, strict=True), 1)
        ]
        table = "\n".join(["Hole\tPar\tSI\tMetres", *lines])
        read = ben.post(new_tee, {"name": "Teal", "course_rating": "72.1", "table": table})
        assert read.status_code == 200
        page = read.content.decode()
        assert "Nothing is stored yet" in text_of(read)
        assert 'name="length_18" value="318"' in page
        assert 'name="name" value="Teal"' in page
        assert re.search(r'value="metres"[^>]*checked', page)
        assert not Tee.objects.exists()

    @pytest.mark.parametrize(
        ("table", "said"),
        [("1 4 7 300", "missing"), ("hello", ""), ("\n".join(f"{n} 4 {n} 300" for n in range(1, 10)), "9 holes")],
    )
    def test_a_bad_table_is_kept_and_explained(self, ben: Client, new_tee: str, table: str, said: str) -> None:
        read = ben.post(new_tee, {"name": "Teal", "table": table})
        assert read.status_code == 400
        assert "cannot be taken yet" in text_of(read)
        assert said in text_of(read)
        assert table.splitlines()[0] in read.content.decode()

    def test_a_copy_brings_the_holes_and_leaves_the_ratings(self, ben: Client, tee: Tee) -> None:
        page = ben.get(reverse("tee_new", args=[tee.course_id]), {"copy": str(tee.pk)}).content.decode()
        assert 'name="stroke_index_18" value="14"' in page
        assert 'name="name" value="Heron"' in page
        assert not re.search(r'name="course_rating" value', page)

    def test_a_tee_of_another_group_is_not_copied(self, people: build.People, ben: Client, tee: Tee) -> None:
        hers = build.tee(build.course(people.other_group))
        answer = ben.get(reverse("tee_new", args=[tee.course_id]), {"copy": str(hers.pk)})
        assert answer.status_code == 404

    def test_markup_in_a_name_is_text(self, ben: Client, tee: Tee) -> None:
        ben.post(reverse("tee_new", args=[tee.course_id]), entries(name="<script>x</script>"))
        made = Tee.objects.exclude(pk=tee.pk).get()
        page = ben.get(reverse("tee", args=[made.pk])).content.decode()
        assert "<script>x" not in page
        assert "&lt;script&gt;x" in page


class TestUsedTees:
    def test_what_counts_is_not_changed_whatever_is_sent(self, people: build.People, ben: Client, tee: Tee) -> None:
        played_on(tee, people, date(2026, 5, 1))
        before = tee.as_printed()
        path = reverse("tee_change", args=[tee.pk])
        assert re.search(r'name="course_rating"[^>]*disabled', ben.get(path).content.decode())
        lengths = {f"length_{hole.number}": hole.length for hole in before.holes}
        sent = entries(name="Grey Heron", slope_rating="140", version=1, **lengths)
        assert ben.post(path, sent).status_code == 303
        after = Tee.objects.get().as_printed()
        assert (after.name, after.slope_rating, after.holes) == ("Grey Heron", 128, before.holes)

    def test_a_new_rating_begins_on_its_day(self, people: build.People, ben: Client, tee: Tee) -> None:
        played_on(tee, people, date(2026, 5, 1))
        path = reverse("tee_rerate", args=[tee.pk])
        doubts_seen = ben.post(path, entries(course_rating="72.8", valid_from="2026-06-01", version=1))
        assert doubts_seen.status_code == 303
        new = Tee.objects.get(valid_from=date(2026, 6, 1))
        assert (new.set_id, new.rated_for) == (tee.set_id, tee.rated_for)
        page = text_of(ben.get(reverse("tee", args=[new.pk])))
        assert "from the beginning until 31 May 2026, 1 round" in page

    def test_a_day_that_is_too_early_is_explained(self, people: build.People, ben: Client, tee: Tee) -> None:
        played_on(tee, people, date(2026, 5, 1))
        answer = ben.post(reverse("tee_rerate", args=[tee.pk]), entries(valid_from="2026-04-01", version=1))
        assert answer.status_code == 409
        assert "A round was posted on the present rating" in text_of(answer)
        missing = ben.post(reverse("tee_rerate", args=[tee.pk]), entries(version=1))
        assert missing.status_code == 400
        assert Tee.objects.count() == 1

    def test_deleting_is_asked_and_refused_while_used(self, people: build.People, ben: Client, tee: Tee) -> None:
        path = reverse("tee_delete", args=[tee.pk])
        assert "This version of the tee goes." in text_of(ben.get(path))
        played_on(tee, people, date(2026, 5, 1))
        assert ben.post(path).status_code == 409
        assert ben.post(reverse("course_delete", args=[tee.course_id])).status_code == 409
        Round.objects.all().delete()
        assert ben.post(path).status_code == 303
        assert not Tee.objects.exists()


class TestLooking:
    def test_a_tee_shows_sums_as_in_accounts(self, ann: Client, tee: Tee) -> None:
        page = text_of(ann.get(reverse("tee", args=[tee.pk])))
        assert "Out 36 3600" in page
        assert "In 36 3600" in page
        assert "All 72 7200" in page

    def test_my_course_handicap_here_is_there_and_unofficial(self, people: build.People, ann: Client, tee: Tee) -> None:
        Standing.objects.create(player=people.ann, index_tenths=184)
        page = text_of(ann.get(reverse("tee", args=[tee.pk])))
        # 18.4 x 128 / 113 + (72.1 - 72) = 20.94 (Rule 6.1).
        assert "18 holes 21" in page
        assert "From your index of 18.4, unofficial" in page
        on_course = text_of(ann.get(reverse("course", args=[tee.course_id])))
        assert "72.1 128 21" in on_course

    def test_a_plus_handicap_has_its_plus(self, people: build.People, ann: Client, tee: Tee) -> None:
        Standing.objects.create(player=people.ann, index_tenths=-21)
        assert "18 holes +2" in text_of(ann.get(reverse("tee", args=[tee.pk])))

    def test_doubts_are_told_to_everybody(self, people: build.People, ann: Client, tee: Tee) -> None:
        page = text_of(ann.get(reverse("course", args=[tee.course_id])))
        assert "315 yards is unusual for a par 3" in page

    def test_a_course_without_tees_says_what_is_missing(self, people: build.People, ann: Client) -> None:
        page = text_of(ann.get(reverse("course", args=[build.course(people.group).pk])))
        assert "No tee yet." in page
        assert "Enter a tee" not in page

    def test_the_page_costs_the_same_for_many_tees(
        self, people: build.People, ann: Client, tee: Tee, django_assert_max_num_queries: Any
    ) -> None:
        for number in range(4):
            build.tee(tee.course, f"T{number}")
        ann.get(reverse("course", args=[tee.course_id]))
        with django_assert_max_num_queries(18):
            ann.get(reverse("course", args=[tee.course_id]))


class TestFiles:
    def exported(self, client: Client, tee: Tee) -> bytes:
        answer = client.get(reverse("course_export", args=[tee.course_id]))
        assert answer["Content-Disposition"] == 'attachment; filename="marsh-links.json"'
        content: bytes = answer.content
        return content

    def upload(self, client: Client, data: bytes, **more: str) -> Any:
        return client.post(reverse("course_file"), {"file": SimpleUploadedFile("../x.json", data), **more})

    def test_a_file_is_shown_first_and_stored_when_asked(
        self, people: build.People, ann: Client, ben: Client, tee: Tee
    ) -> None:
        file = self.exported(ann, tee)
        shown = self.upload(ben, file, whose=str(people.group.pk))
        assert shown.status_code == 200
        assert "Nothing is stored yet" in text_of(shown)
        assert Course.objects.count() == 1
        stored = ben.post(reverse("course_file"), {"text": file.decode(), "whose": str(people.group.pk)})
        assert stored.status_code == 200
        assert Course.objects.count() == 1

    def test_with_the_tick_it_is_stored_whole(self, people: build.People, ben: Client, tee: Tee) -> None:
        file = self.exported(ben, tee)
        sent = {"text": file.decode(), "whose": str(people.group.pk), "confirmed": "on"}
        assert ben.post(reverse("course_file"), sent).status_code == 303
        made = Course.objects.exclude(pk=tee.course_id).get()
        assert made.tees.get().as_printed() == tee.as_printed()

    def test_problems_stand_with_their_path(self, ben: Client, tee: Tee) -> None:
        plain = json.loads(self.exported(ben, tee))
        plain["tees"][0]["holes"][6]["par"] = 9
        answer = self.upload(ben, json.dumps(plain).encode())
        assert answer.status_code == 400
        assert "tees.0.holes.6.par : Hole 7: par is 3, 4, 5 or 6." in text_of(answer)

    @pytest.mark.parametrize("data", [b"", b"\x89PNG\r\n", b"\xff\xfe{\x00", b"[]", b"[" * 3000, b"x" * 300_000])
    def test_other_files_are_refused(self, ben: Client, data: bytes) -> None:
        answer = self.upload(ben, data)
        assert answer.status_code == 400
        assert not Course.objects.exists()


def pages(tee: Tee) -> dict[str, str]:
    course, one = [tee.course_id], [tee.pk]
    return {
        **{name: reverse(name, args=course) for name in ("course", "course_export", "course_change", "course_delete")},
        **{name: reverse(name, args=one) for name in ("tee", "tee_change", "tee_rerate", "tee_delete")},
        "tee_new": reverse("tee_new", args=course),
    }


class TestWhoMay:
    def test_a_player_looks_and_changes_nothing(self, ann: Client, tee: Tee) -> None:
        for name, path in pages(tee).items():
            expected = 200 if name in ("course", "course_export", "tee") else 403
            assert ann.get(path).status_code == expected, name
            if expected == 403:
                assert ann.post(path, entries()).status_code == 403, name
        assert "Upkeep" in text_of(ann.get(reverse("course", args=[tee.course_id])))
        assert Tee.objects.get() == tee

    def test_a_stranger_finds_nothing(self, cat: Client, tee: Tee) -> None:
        for name, path in pages(tee).items():
            invented = re.sub(r"[0-9a-f-]{36}", str(uuid.uuid4()), path)
            assert cat.get(path).status_code == cat.get(invented).status_code == 404, name
            unread = 405 if name in ("course", "course_export", "tee") else 404
            assert cat.post(path).status_code == cat.post(invented).status_code == unread, name

    def test_nobody_is_asked_to_sign_in(self, tee: Tee) -> None:
        for name, path in [*pages(tee).items(), ("courses", reverse("courses")), ("new", reverse("course_new"))]:
            assert Client().get(path).status_code == 401, name

    def test_an_own_course_is_ones_own(self, people: build.People, ann: Client, ben: Client) -> None:
        mine = services.create_course(
            actor=people.ann, group=None, facts=services.CourseFacts(name="Garden", n_holes=9)
        )
        assert ann.get(reverse("tee_new", args=[mine.pk])).status_code == 200
        assert ben.get(reverse("course", args=[mine.pk])).status_code == 404
