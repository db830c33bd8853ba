"""Courses and tees through the API, as ann who plays, ben who organises, cat who is a stranger, and nobody."""

import json
import uuid
from copy import deepcopy
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from league.models import Course, Round, Standing, Tee
from tests import build

pytestmark = pytest.mark.django_db
COURSES = "/api/v1/courses/"
PARS, INDEXES = build.PARS, build.STROKE_INDEXES
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


def send(client: Client, method: str, path: str, body: Any = None, **headers: str) -> Any:
    data = b"" if body is None else (body if isinstance(body, bytes) else json.dumps(body).encode())
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return client.generic(method, path, data, "application/json", headers=named)


def a_tee(**changes: Any) -> dict[str, Any]:
    holes = [
        {"par": par, "stroke_index": index, "length": LENGTHS[par]} for par, index in zip(PARS, INDEXES, strict=True)
    ]
    return {
        "name": "Teal",
        "rated_for": "men",
        "course_rating": 72.1,
        "slope_rating": 128,
        "front": {"course_rating": 36.0, "slope_rating": 127},
        "back": {"course_rating": 36.1, "slope_rating": 129},
        "holes": holes,
        **changes,
    }


def fields(answer: Any) -> dict[str, str]:
    return {error["field"]: error["code"] for error in answer.json()["errors"]}


class TestCourses:
    def test_ben_makes_one_and_gets_the_same_back(self, people: build.People, ben: Client) -> None:
        answer = send(ben, "POST", COURSES, {"name": "Fen", "place": "Ärmelby", "group": str(people.group.pk)})
        assert answer.status_code == 201, answer.content
        got = ben.get(answer["Location"])
        assert got.json() == answer.json()
        assert (got["ETag"], got.json()["n_holes"], got.json()["tees"]) == ('"1"', 18, [])
        assert got["Cache-Control"] == "private, no-store"

    def test_a_key_sent_twice_makes_one(self, people: build.People, ben: Client) -> None:
        body, key = {"name": "Fen", "group": str(people.group.pk)}, "k" * 20
        first, second = (send(ben, "POST", COURSES, body, Idempotency_Key=key) for _ in range(2))
        assert (first.status_code, second.status_code) == (201, 201)
        assert first.content == second.content
        assert second["Idempotency-Replayed"] == "true"
        assert Course.objects.count() == 1

    def test_ann_keeps_a_course_of_her_own_that_ben_never_sees(self, ann: Client, ben: Client) -> None:
        made = send(ann, "POST", COURSES, {"name": "Back garden", "n_holes": 9}).json()
        assert made["group"] is None
        assert ben.get(f"{COURSES}{made['id']}/").status_code == 404
        assert send(ann, "POST", f"{COURSES}{made['id']}/tees/", {}).status_code == 400

    def test_the_search_folds_case_in_any_script(self, people: build.People, ben: Client, cat: Client) -> None:
        build.course(people.group, "Ärmelfeld")
        build.course(people.group, "Σκιά")
        build.course(people.other_group, "Ärger")
        found = lambda client, text: [row["name"] for row in client.get(COURSES, {"q": text}).json()["results"]]  # noqa: E731
        assert found(ben, "ärm") == ["Ärmelfeld"]
        assert found(ben, "σΚΙΆ") == ["Σκιά"]
        assert found(cat, "ÄR") == ["Ärger"]
        assert found(ben, "' OR 1=1") == []

    def test_the_list_is_of_one_group_and_in_pages(self, people: build.People, ben: Client) -> None:
        for name in "CAB":
            build.course(people.group, name)
        page = ben.get(COURSES, {"group": str(people.group.pk), "page_size": 2}).json()
        assert ([row["name"] for row in page["results"]], page["count"]) == (["A", "B"], 3)
        assert [row["name"] for row in ben.get(page["next"]).json()["results"]] == ["C"]
        assert ben.get(COURSES, {"group": str(people.other_group.pk)}).status_code == 404
        assert ben.get(COURSES, {"owner": "x"}).status_code == 400

    def test_the_list_costs_the_same_for_many(
        self, people: build.People, ben: Client, django_assert_max_num_queries: Any
    ) -> None:
        for number in range(5):
            build.tee(build.course(people.group, f"C{number}"))
        ben.get(COURSES)
        with django_assert_max_num_queries(10):
            assert ben.get(COURSES).json()["count"] == 5

    def test_a_change_needs_the_version_that_was_seen(self, ben: Client, tee: Tee) -> None:
        path = f"{COURSES}{tee.course_id}/"
        assert send(ben, "PATCH", path, {"name": "Marsh"}).status_code == 428
        changed = send(ben, "PATCH", path, {"name": "Marsh"}, If_Match='"1"')
        assert (changed.status_code, changed["ETag"], changed.json()["name"]) == (200, '"2"', "Marsh")
        late = send(ben, "PATCH", path, {"name": "Mere"}, If_Match='"1"')
        assert late.status_code == 412
        assert (late.json()["yours"], late.json()["stored"]["name"]) == ({"name": "Mere"}, "Marsh")

    def test_holes_stay_while_there_is_a_tee(self, ben: Client, tee: Tee) -> None:
        answer = send(ben, "PATCH", f"{COURSES}{tee.course_id}/", {"n_holes": 9}, If_Match='"1"')
        assert (answer.status_code, answer.json()["code"]) == (409, "course_has_tees")

    @pytest.mark.parametrize(
        ("body", "field"),
        [
            ({}, "name"),
            ({"name": ""}, "name"),
            ({"name": "x" * 81}, "name"),
            ({"name": "a\x00b"}, "name"),
            ({"name": "\u202eab"}, "name"),
            ({"name": "Fen", "n_holes": 12}, "n_holes"),
            ({"name": "Fen", "n_holes": "18"}, "n_holes"),
            ({"name": "Fen", "n_holes": 18.5}, "n_holes"),
            ({"name": "Fen", "time_zone": "Europe/Atlantis"}, "time_zone"),
            ({"name": "Fen", "owner": str(uuid.uuid4())}, "owner"),
        ],
    )
    def test_it_refuses_what_no_course_has(self, ben: Client, body: dict[str, Any], field: str) -> None:
        answer = send(ben, "POST", COURSES, body)
        assert answer.status_code == 400
        assert field in fields(answer)
        assert not Course.objects.exists()

    def test_an_unused_one_is_deleted_a_used_one_stays(self, people: build.People, ben: Client, tee: Tee) -> None:
        path = f"{COURSES}{tee.course_id}/"
        played = play(tee, people, date(2026, 5, 1))
        assert send(ben, "DELETE", path, If_Match='"1"').status_code == 409
        played.delete()
        assert send(ben, "DELETE", path, If_Match='"1"').status_code == 204
        assert ben.get(path).status_code == 404


def play(tee: Tee, people: build.People, day: date) -> Round:
    return Round.objects.create(
        player=people.ann, tee=tee, n_holes=18, played_on=day, gross=90, fingerprint="", entered_at=timezone.now()
    )


class TestTees:
    @pytest.fixture
    def path(self, people: build.People) -> str:
        return f"{COURSES}{build.course(people.group).pk}/tees/"

    def test_ben_enters_one(self, ben: Client, path: str) -> None:
        answer = send(ben, "POST", path, a_tee())
        assert answer.status_code == 201, answer.content
        got = ben.get(answer["Location"])
        assert got.json() == answer.json()
        assert got["ETag"] == '"1"'
        body = got.json()
        assert (body["course_rating"], body["front"]["slope_rating"], body["par"], body["notes"]) == (72.1, 127, 72, [])
        assert body["holes"][12] == {"number": 13, "par": 5, "stroke_index": 12, "length": 490}

    @pytest.mark.parametrize(
        ("changes", "field", "code"),
        [
            ({"slope_rating": 54}, "slope_rating", "range"),
            ({"slope_rating": 156}, "slope_rating", "range"),
            ({"slope_rating": "128"}, "slope_rating", "number"),
            ({"slope_rating": True}, "slope_rating", "number"),
            ({"course_rating": 72.35}, "course_rating", "tenths"),
            ({"course_rating": 0}, "course_rating", "range"),
            ({"par_total": 71}, "par_total", "par_total"),
            ({"front": {"course_rating": 36.0}}, "front.slope_rating", "required"),
            ({"back": {"course_rating": 36.0, "slope_rating": 200}}, "back.slope_rating", "range"),
            ({"holes": []}, "holes", "list_length"),
            ({"valid_from": "2026-02-30"}, "valid_from", "date"),
            ({"valid_from": "2026-05-02", "valid_until": "2026-05-01"}, "valid_until", "valid_order"),
            ({"rated_for": "seniors"}, "rated_for", "choice"),
            ({"name": " \u200b"}, "name", "text"),
        ],
    )
    def test_it_refuses_with_field_and_reason(
        self, ben: Client, path: str, changes: dict[str, Any], field: str, code: str
    ) -> None:
        answer = send(ben, "POST", path, a_tee(**changes))
        assert answer.status_code == 400
        assert fields(answer)[field] == code
        assert not Tee.objects.exists()

    def test_a_stroke_index_given_twice_names_both_holes(self, ben: Client, path: str) -> None:
        body = a_tee()
        body["holes"][12]["stroke_index"] = body["holes"][1]["stroke_index"]
        answer = send(ben, "POST", path, body)
        assert answer.status_code == 400
        messages = {error["field"]: error["message"] for error in answer.json()["errors"]}
        assert messages["holes.12.stroke_index"] == "Hole 13 has stroke index 3, which hole 2 has already."
        assert "12" in messages["holes"]

    @pytest.mark.parametrize("n_holes", [9, 17])
    def test_a_course_of_eighteen_needs_eighteen(self, ben: Client, path: str, n_holes: int) -> None:
        body = a_tee()
        answer = send(ben, "POST", path, {**body, "holes": body["holes"][:n_holes]})
        assert (answer.status_code, fields(answer)["holes"]) == (400, "hole_numbers")

    def test_a_rating_without_its_point_is_asked_about_first(self, ben: Client, path: str) -> None:
        asked = send(ben, "POST", path, a_tee(course_rating=720))
        assert (asked.status_code, fields(asked)) == (409, {"course_rating": "rating_unusual"})
        assert asked.json()["code"] == "confirm_first"
        assert "72.0" in asked.json()["errors"][0]["message"]
        assert not Tee.objects.exists()
        wrong = send(ben, "POST", path, a_tee(course_rating=720, confirm_warnings=["nines_do_not_add_up"]))
        assert wrong.status_code == 409
        stored = send(ben, "POST", path, a_tee(course_rating=720, confirm_warnings=["rating_unusual"]))
        assert (stored.status_code, stored.json()["course_rating"]) == (201, 720.0)
        assert "rating_unusual" in {note["code"] for note in stored.json()["notes"]}
        assert send(ben, "POST", path, a_tee(name="Wren", course_rating=720, confirm_warnings=True)).status_code == 201

    def test_what_is_only_odd_is_stored_with_a_note(self, ben: Client, path: str) -> None:
        body = a_tee(back={"course_rating": 35.0, "slope_rating": 129})
        body["holes"][0]["length"] = 520
        notes = {note["code"]: note for note in send(ben, "POST", path, body).json()["notes"]}
        assert set(notes) == {"nines_do_not_add_up", "par_for_length"}
        assert notes["nines_do_not_add_up"]["field"] == "back.course_rating"
        assert "240 to 490" in notes["par_for_length"]["message"]

    def test_nine_holes_have_nine_different_indexes_and_no_nines(self, people: build.People, ben: Client) -> None:
        path = f"{COURSES}{build.course(people.group, n_holes=9).pk}/tees/"
        body = {**a_tee(course_rating=35.6), "holes": a_tee()["holes"][:9]}
        refused = send(ben, "POST", path, body)
        assert fields(refused) == {"front.course_rating": "nine_of_a_nine", "back.course_rating": "nine_of_a_nine"}
        assert send(ben, "POST", path, {**body, "front": None, "back": None}).status_code == 201

    def test_a_change_keeps_what_is_left_out(self, ben: Client, tee: Tee) -> None:
        path = f"/api/v1/tees/{tee.pk}/"
        before = ben.get(path).json()
        changed = send(ben, "PATCH", path, {"slope_rating": 130, "front": None}, If_Match='"1"')
        assert changed.json() == {**before, "slope_rating": 130, "front": None}
        assert changed["ETag"] == '"2"'
        assert send(ben, "PATCH", path, {"holes": before["holes"][:1]}, If_Match='"2"').status_code == 400
        assert send(ben, "PATCH", path, {"slope_rating": 129}, If_Match='"1"').status_code == 412

    def test_a_used_tee_keeps_its_numbers_and_is_re_rated(self, people: build.People, ben: Client, tee: Tee) -> None:
        path = f"/api/v1/tees/{tee.pk}/"
        play(tee, people, date(2026, 5, 1))
        refused = send(ben, "PATCH", path, {"slope_rating": 130}, If_Match='"1"')
        assert (refused.status_code, refused.json()["code"]) == (409, "tee_used")
        assert send(ben, "DELETE", path, If_Match='"1"').status_code == 409
        made = send(ben, "POST", f"{path}versions/", {"slope_rating": 130, "valid_from": "2026-05-02"})
        assert made.status_code == 201, made.content
        assert (made.json()["set"], made.json()["slope_rating"]) == (str(tee.set_id), 130)
        assert ben.get(path).json()["valid_until"] == "2026-05-01"
        assert send(ben, "DELETE", f"/api/v1/tees/{made.json()['id']}/", If_Match='"1"').status_code == 204
        assert ben.get(path).json()["valid_until"] is None

    def test_a_new_version_needs_its_first_day(self, ben: Client, tee: Tee) -> None:
        answer = send(ben, "POST", f"/api/v1/tees/{tee.pk}/versions/", {"slope_rating": 130})
        assert fields(answer) == {"valid_from": "required"}
        unknown = send(
            ben, "POST", f"/api/v1/tees/{tee.pk}/versions/", {"valid_from": "2026-05-02", "rated_for": "men"}
        )
        assert fields(unknown) == {"rated_for": "unknown"}


class TestCourseHandicap:
    def test_for_any_index(self, ann: Client, tee: Tee) -> None:
        got = ann.get(f"/api/v1/tees/{tee.pk}/course-handicap/", {"index": "18.4"}).json()
        # 18.4 x 128 / 113 + (72.1 - 72) = 20.9425; 9.2 x 128 / 113 + (36.0 - 36) = 10.4212 (Rule 6.1).
        assert [(one["holes"], one["course_handicap"], one["unrounded"]) for one in got["handicaps"]] == [
            ("18", 21, "20.9425"),
            ("front", 10, "10.4212"),
            ("back", 11, "10.5212"),
        ]
        assert got["official"] is False

    def test_for_my_own_index_and_without_one(self, people: build.People, ann: Client, tee: Tee) -> None:
        path = f"/api/v1/tees/{tee.pk}/course-handicap/"
        assert ann.get(path).json() == {"tee": str(tee.pk), "index": None, "official": False, "handicaps": []}
        Standing.objects.create(player=people.ann, index_tenths=-21)
        got = ann.get(path).json()
        assert (got["index"], got["handicaps"][0]["course_handicap"]) == (-2.1, -2)

    def test_a_nine_is_played_once_or_twice(self, people: build.People, ann: Client) -> None:
        tee = build.tee(build.course(people.group, n_holes=9))
        got = ann.get(f"/api/v1/tees/{tee.pk}/course-handicap/", {"index": "10"}).json()
        assert [one["holes"] for one in got["handicaps"]] == ["nine", "twice"]

    @pytest.mark.parametrize("index", ["60", "54.1", "-10.0", "18.45", "abc", "NaN", "", "1e1", "９"])
    def test_it_takes_an_index_only(self, ann: Client, tee: Tee, index: str) -> None:
        answer = ann.get(f"/api/v1/tees/{tee.pk}/course-handicap/", {"index": index})
        assert (answer.status_code, list(fields(answer))) == (400, ["index"])


class TestFiles:
    def test_an_export_comes_back_as_the_same_course(self, people: build.People, ben: Client, tee: Tee) -> None:
        Tee.objects.update(valid_until=date(2026, 4, 30))
        send(ben, "POST", f"/api/v1/tees/{tee.pk}/versions/", {"valid_from": "2026-05-01", "slope_rating": 130})
        file = ben.get(f"{COURSES}{tee.course_id}/file/").json()
        assert [one["slope_rating"] for one in file["tees"]] == [128, 130]
        made = send(ben, "POST", f"{COURSES}import/?group={people.group.pk}", file)
        assert made.status_code == 201, made.content
        assert ben.get(f"{COURSES}{made.json()['id']}/file/").json() == file
        assert len({one["set"] for one in made.json()["tees"]}) == 1

    def test_problems_are_named_by_path_and_nothing_is_stored(self, ben: Client, tee: Tee) -> None:
        file = ben.get(f"{COURSES}{tee.course_id}/file/").json()
        bad = deepcopy(file)
        bad["tees"][0]["slope_rating"] = 156
        bad["tees"][0]["holes"][3]["par"] = 7
        answer = send(ben, "POST", f"{COURSES}import/", bad)
        assert answer.status_code == 400
        assert set(fields(answer)) == {"tees.0.slope_rating", "tees.0.holes.3.par"}
        assert Course.objects.count() == 1

    def test_an_unusual_rating_in_a_file_is_asked_about(self, ben: Client, tee: Tee) -> None:
        file = ben.get(f"{COURSES}{tee.course_id}/file/").json()
        file["tees"][0]["course_rating"] = 721
        asked = send(ben, "POST", f"{COURSES}import/", file)
        assert (asked.status_code, fields(asked)) == (409, {"tees.0.course_rating": "rating_unusual"})
        assert send(ben, "POST", f"{COURSES}import/?confirm_warnings=true", file).status_code == 201

    def test_a_pasted_table_is_read_and_not_stored(self, ann: Client) -> None:
        lines = [f"{n}\t{par}\t{index}\t{300 + n}" for n, par, index in zip(range(1, 19), PARS, INDEXES, strict=True)]
        table = "\n".join(["Hole\tPar\tSI\tYards", *lines])
        got = send(ann, "POST", f"{COURSES}read-holes/", {"table": table})
        assert got.status_code == 200, got.content
        assert (len(got.json()["holes"]), got.json()["length_unit"], got.json()["problems"]) == (18, "yards", [])
        twice = send(ann, "POST", f"{COURSES}read-holes/", {"table": table.replace("\t18\t", "\t7\t")}).json()
        assert twice["holes"] == []
        assert "stroke_index_twice" in {problem["code"] for problem in twice["problems"]}


def routes(tee: Tee) -> list[tuple[str, str, Any]]:
    course, one = f"{COURSES}{tee.course_id}/", f"/api/v1/tees/{tee.pk}/"
    return [
        ("GET", course, None),
        ("PATCH", course, {"name": "Mine"}),
        ("DELETE", course, None),
        ("GET", f"{course}file/", None),
        ("POST", f"{course}tees/", a_tee()),
        ("GET", one, None),
        ("PATCH", one, {"name": "Mine"}),
        ("DELETE", one, None),
        ("POST", f"{one}versions/", {"valid_from": "2026-05-01"}),
        ("GET", f"{one}course-handicap/", None),
    ]


class TestWhoMay:
    def test_a_player_reads_and_changes_nothing(self, people: build.People, ann: Client, tee: Tee) -> None:
        for method, path, body in routes(tee):
            expected = 200 if method == "GET" else 403
            assert send(ann, method, path, body, If_Match='"1"').status_code == expected, (method, path)
        body = {"name": "Fen", "group": str(people.group.pk)}
        assert send(ann, "POST", COURSES, body).status_code == 403
        assert send(ann, "POST", f"{COURSES}import/?group={people.group.pk}", {}).status_code == 403
        assert Course.objects.get().name == "Marsh Links"

    def test_a_stranger_gets_the_answer_of_an_invented_id(self, people: build.People, cat: Client, tee: Tee) -> None:
        for method, path, body in routes(tee):
            invented = path.replace(str(tee.course_id), str(uuid.uuid4())).replace(str(tee.pk), str(uuid.uuid4()))
            for sent in (body, b"{junk"):
                hidden = send(cat, method, path, sent)
                unknown = send(cat, method, invented, sent)
                assert hidden.status_code == 404, (method, path)
                assert hidden.content == unknown.content
        assert send(cat, "POST", COURSES, {"name": "Fen", "group": str(people.group.pk)}).status_code == 404
        assert send(cat, "POST", f"{COURSES}import/?group={people.group.pk}", {}).status_code == 404
        assert cat.get(COURSES).json()["count"] == 0

    def test_nobody_gets_401_everywhere(self, tee: Tee) -> None:
        for method, path, body in [*routes(tee), ("GET", COURSES, None), ("POST", COURSES, {})]:
            assert send(Client(), method, path, body).status_code == 401, (method, path)
