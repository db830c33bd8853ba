"""Imports over the API: every way a file can be wrong, all or nothing, and the record as it was after an undo."""

import io
import json
import random
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from league.exchange import rounds_csv
from league.exchange.round_row import HoleScore, RoundRow
from league.models import CardEvent, Player, Revision, Round, RoundImport, Standing, Tee
from league.services import courses, handicaps
from tests import build

pytestmark = pytest.mark.django_db
IMPORTS = "/api/v1/imports/"
HEAD = "played_on,course,tee,gross,note\n"
DAYS = (3, 10, 17, 24)
FILE = HEAD + "".join(f"2026-04-{day:02},Marsh Links,Heron,{90 + day},\n" for day in DAYS)


@pytest.fixture
def people():
    return build.people()


@pytest.fixture
def tee(people):
    return build.tee(build.course(people.group))


@pytest.fixture
def ann(people, tee):
    return build.signed_in(people.ann)


def send(client, data, query="", **headers):
    raw = data.encode() if isinstance(data, str) else data
    return client.post(IMPORTS + query, raw, "text/csv", headers=headers)


def step(client, found, name):
    return client.post(f"{IMPORTS}{found['id']}/{name}/")


def applied(client, data=FILE, query=""):
    checked = send(client, data, query)
    assert checked.status_code == 201, checked.content
    (found,) = checked.json()
    answer = step(client, found, "apply")
    assert answer.status_code == 200, answer.content
    return answer.json()


def of_page(client, data, **entries):
    """The same file sent by the form of the page: its status."""
    raw = data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data
    start = b'--cut-here\r\nContent-Disposition: form-data; name="%s"%s\r\n\r\n%s\r\n'
    parts = [start % (b"file", b'; filename="x.csv"', raw)]
    fields = {"whose": "own", **entries, "whole": "yes"}
    parts += [start % (name.encode(), b"", value.encode()) for name, value in fields.items()]
    body = b"".join(parts) + b"--cut-here--\r\n"
    return client.post(reverse("imports"), body, "multipart/form-data; boundary=cut-here").status_code


def row(**cells):
    """A file of one round, with a cell changed or added."""
    values = {"played_on": "2026-04-03", "course": "Marsh Links", "tee": "Heron", "gross": "92", **cells}
    quoted = ['"' + value.replace('"', '""') + '"' for value in values.values()]
    return ",".join(values) + "\n" + ",".join(quoted) + "\n"


def told(found):
    """The rows of a checked import without what depends on the form of the file."""
    return [(row["played_on"], row["gross"], row["holes_in_play"]) for row in found["rows"]]


class TestForms:
    """Forms that are accepted: the same values whatever the form."""

    FORMS = {
        "byte order mark": b"\xef\xbb\xbf" + FILE.encode(),
        "crlf": FILE.replace("\n", "\r\n").encode(),
        "cr only": FILE.replace("\n", "\r").encode(),
        "all quoted": "\n".join(
            ",".join(f'"{cell}"' for cell in line.split(",")) for line in FILE.splitlines()
        ).encode(),
        "no last newline": FILE.rstrip("\n").encode(),
        "blank last lines": (FILE + "\n\n,,,,\n").encode(),
        "semicolons, decimal comma": FILE.replace(",", ";").replace(";93;", ";93,0;").encode(),
        "tabs": FILE.replace(",", "\t").encode(),
        "capitals, reordered": (
            "GROSS,Played On,TEE,Note,Course\n"
            + "".join(f"{90 + day},2026-04-{day:02},Heron,,Marsh Links\n" for day in DAYS)
        ).encode(),
    }

    @pytest.mark.parametrize("name", FORMS)
    def test_it_reads_the_same_values(self, ann, name):
        answer = send(ann, self.FORMS[name])
        assert answer.status_code == 201, answer.content
        (found,) = answer.json()
        assert answer["Location"] == f"{IMPORTS}{found['id']}/"
        assert told(found) == [(f"2026-04-{day:02}", 90 + day, "18") for day in DAYS]
        assert (found["n_new"], found["state"], Round.objects.count()) == (4, "ready", 0)
        assert of_page(ann, self.FORMS[name]) == 303

    @pytest.mark.parametrize("text", ['=HYPERLINK("x")', "+1", "@x", "-2", "\t=1+1", "'=1"])
    def test_what_looks_like_a_formula_is_kept_and_guarded_in_exports(self, ann, people, text):
        applied(ann, rounds_csv.write([next(iter(rounds_csv.read(row(note="'" + text).encode()).rows))]))
        assert Round.objects.get().note == text
        line = ann.get(f"/api/v1/players/{people.ann.pk}/rounds/file/").content.decode().splitlines()[1]
        assert f",'{text}" in line or ",\"'" + text.replace('"', '""') in line
        assert send(ann, ann.get(f"/api/v1/players/{people.ann.pk}/rounds/file/").content).json()[0]["n_new"] == 0


BAD = {
    "utf-16": (FILE.encode("utf-16"), 400, 0, "", "encoding"),
    "utf-16 without a mark": (FILE.encode("utf-16-le"), 400, 0, "", "encoding"),
    "latin-1": (row(note="café").encode("latin-1"), 400, 2, "", "encoding"),
    "half a character": (FILE.encode() + b"\xe2\x82", 400, 6, "", "encoding"),
    "nul": (row(note="a\0b"), 400, 2, "", "nul"),
    "short row": (FILE + "2026-04-30,Marsh Links\n", 400, 6, "", "row_short"),
    "long row": (FILE + "2026-04-30,Marsh Links,Heron,90,a,b\n", 400, 6, "", "row_long"),
    "open quote": (FILE + '2026-04-30,Marsh Links,Heron,90,"a\n', 400, 6, "", "quote"),
    "heading twice": ("gross," + FILE.replace("\n", "\n90,")[:-3], 400, 1, "gross", "heading_twice"),
    "heading missing": (FILE.replace("course", "note", 1).replace(",note\n", ",ref\n"), 400, 1, "course", None),
    "heading unknown": (FILE.replace("note", "index"), 400, 1, "index", "heading_unknown"),
    "no headings": (FILE.removeprefix(HEAD), 400, 1, "", "no_headings"),
    "headings only": (HEAD, 400, 0, "", "no_rows"),
    "white space": (b" \r\n\t\n", 400, 0, "", "empty"),
    "image": (b"\x89PNG\r\n\x1a\n" + bytes(60), 415, 0, "", "file_kind"),
    "photograph": (b"\xff\xd8\xff\xe0" + bytes(60), 415, 0, "", "file_kind"),
    "web page": (b"<!doctype html><title>x</title>", 415, 0, "", "file_kind"),
    "workbook or zip": (b"PK\x03\x04" + bytes(60), 415, 0, "", "file_kind"),
    "gzip": (b"\x1f\x8b\x08" + bytes(60), 415, 0, "", "file_kind"),
    "2 MiB and one": (FILE.encode() + b"\n" * (2 * 1024 * 1024), 413, 0, "", "file_too_big"),
    "5,001 rows": (HEAD + "2026-04-03,Marsh Links,Heron,90,\n" * 5_001, 413, None, None, "too_many_rows"),
    "many columns": (",".join(f"h{n}" for n in range(150)) + "\n", 413, 1, "", "too_many_columns"),
    "4,001 in a cell": (row(note="a" * 4_001), 413, 2, "note", "cell_too_long"),
    "day number": (row(played_on="45123"), 400, 2, "played_on", "date"),
    "31 april": (row(played_on="31.04.2026"), 400, 2, "played_on", "date"),
    "29 february": (row(played_on="2025-02-29"), 400, 2, "played_on", "date"),
    "today": (row(played_on="today"), 400, 2, "played_on", "date"),
    "tomorrow": (row(played_on="2099-01-01"), 400, 2, "played_on", "played_in_future"),
    "year 0": (row(played_on="0000-01-01"), 400, 2, "played_on", "date"),
    "year 9999": (row(played_on="9999-01-01"), 400, 2, "played_on", "date"),
    "a question mark at the end": (
        HEAD + "".join(f"{date(2025, 1, 1) + timedelta(days=n)},Marsh Links,Heron,90,\n" for n in range(200))
        + "2026-04-03,Marsh Links,Heron,?,\n", 400, 202, "gross", None,
    ),
    "strokes 0": (row(h1="0"), 400, 2, "h1", None),
    "strokes 99": (row(h1="99"), 400, 2, "h1", None),
    "seven holes": (row(gross="", **{f"h{n}": "5" for n in range(1, 8)}), 400, 2, None, "holes"),
    "unknown course": (row(course="Fen"), 400, 2, "course", "course_unknown"),
    "unknown tee": (row(tee="Teal"), 400, 2, "tee", "tee_unknown"),
    "rated for others": (row(rated="men"), 400, 2, "tee", "tee_not_valid"),
    "somebody else": (row(player="Ben"), 400, 2, "player", "player_unknown"),
    "adjusted above gross": (row(adjusted_gross="95"), 400, 2, "adjusted_gross", None),
}  # fmt: skip


class TestBadFiles:
    @pytest.mark.parametrize("name", BAD)
    def test_it_is_refused_with_the_place_and_nothing_is_stored(self, ann, name):
        data, status, line, column, code = BAD[name]
        answer = send(ann, data)
        assert answer.status_code == status, answer.content
        problem = answer.json()
        assert answer["Content-Type"] == "application/problem+json"
        assert problem["detail"].endswith("Nothing was stored.")
        wanted = {"row": line, "column": column, "code": code}
        known = {key: value for key, value in wanted.items() if value is not None}
        assert any(known.items() <= one.items() for one in problem["problems"]), problem["problems"][:5]
        assert len(problem["errors"]) == len(problem["problems"]) <= 1_001
        assert of_page(ann, data) == status
        assert RoundImport.objects.count() == Round.objects.count() == 0

    def test_what_is_asked_is_counted_once(self, ann):
        """A day that can be read two ways is a problem of its line and a question about the file: one thing."""
        problem = send(ann, "played_on,course,tee,gross\n03/04/2026,Marsh Links,White,90\n").json()
        assert [len(problem["problems"]), len(problem["questions"])] == [1, 1]
        assert problem["detail"] == "One thing needs a look. Nothing was stored."

    def test_an_empty_body_is_400(self, ann):
        problem = send(ann, b"")
        assert problem.status_code == 400
        assert problem.json()["detail"] == "The body is empty. Send the file itself. Nothing was stored."
        assert of_page(ann, b"") == 400

    def test_before_the_tee_was_rated(self, ann, tee):
        Tee.objects.filter(pk=tee.pk).update(valid_from="2026-04-10")
        problems = send(ann, FILE).json()["problems"]
        assert [(one["row"], one["column"], one["code"]) for one in problems] == [(2, "tee", "tee_not_valid")]

    def test_only_csv_is_taken(self, ann):
        for kind in ("application/json", "application/zip", "multipart/form-data; boundary=b"):
            assert ann.post(IMPORTS, b"x", kind).status_code == 415
        assert send(ann, FILE, content_encoding="gzip").status_code == 415

    def test_a_cut_body_is_not_taken_for_a_whole_one(self, ann):
        cut = FILE.encode()[:-30]
        answer = ann.post(IMPORTS, cut, "text/csv", **{"CONTENT_LENGTH": str(len(FILE)), "wsgi.input": io.BytesIO(cut)})
        assert (answer.status_code, RoundImport.objects.count()) == (400, 0)

    def test_every_problem_is_listed_and_then_counted(self, ann):
        problems = send(ann, HEAD + "x,Marsh Links,Heron,90,\n" * 1_200).json()["problems"]
        assert len(problems) == 1_001
        assert "200 more problems" in json.dumps(problems)


class TestQuestions:
    def test_a_date_that_reads_two_ways_is_asked_about(self, ann):
        two_ways = row(played_on="03/04/2026")
        asked = send(ann, two_ways)
        assert asked.status_code == 400
        (question,) = asked.json()["questions"]
        assert (question["code"], question["choices"]) == ("day_first", ["day_first", "month_first"])
        assert of_page(ann, two_ways) == 400
        assert RoundImport.objects.count() == 0
        assert told(send(ann, two_ways, "?day_first=yes").json()[0])[0][0] == "2026-04-03"
        assert told(send(ann, two_ways, "?day_first=no").json()[0])[0][0] == "2026-03-04"
        assert send(ann, two_ways, "?day_first=maybe").status_code == 400

    def test_a_row_twice_is_asked_about_and_never_silently_doubled(self, ann):
        twice = FILE + FILE.splitlines()[-1] + "\n"
        asked = send(ann, twice)
        assert asked.status_code == 400
        assert [question["code"] for question in asked.json()["questions"]] == ["row_twice"]
        assert send(ann, twice, "?keep_twice=no").json()[0]["n_rows"] == 4
        assert send(ann, twice, "?keep_twice=yes").json()[0]["n_rows"] == 5

    def test_one_key_stands_for_one_file_and_one_answer(self, ann):
        two_ways, key = row(played_on="03/04/2026"), "a-key-of-sixteen-or-more"
        first = send(ann, two_ways, "?day_first=yes", idempotency_key=key)
        again = send(ann, two_ways, "?day_first=yes", idempotency_key=key)
        assert first.json() == again.json()
        assert RoundImport.objects.count() == 1
        assert send(ann, two_ways, "?day_first=no", idempotency_key=key).status_code == 422
        assert send(ann, FILE, "?day_first=yes", idempotency_key=key).status_code == 422


class TestAllOrNothing:
    def test_it_stores_every_row_and_applying_again_changes_nothing(self, ann, people):
        done = applied(ann)
        assert (done["state"], done["n_rows"]) == ("applied", 4)
        assert list(Round.objects.order_by("played_on").values_list("gross", flat=True)) == [93, 100, 107, 114]
        assert CardEvent.objects.count() == Revision.objects.count() == 4
        again = step(ann, done, "apply")
        assert (again.status_code, again.json()) == (200, done)
        assert Round.objects.count() == 4
        assert handicaps.check_player(people.ann) == []

    def test_a_second_import_of_the_file_has_nothing_new(self, ann):
        applied(ann)
        (again,) = send(ann, FILE).json()
        assert (again["n_rows"], again["n_new"]) == (4, 0)
        assert [note["row"] for note in again["notes"] if note["code"] == "stored_already"] == [2, 3, 4, 5]
        step(ann, again, "apply")
        assert Round.objects.count() == 4

    def test_two_checked_copies_store_the_rounds_once(self, ann):
        (first,), (second,) = send(ann, FILE).json(), send(ann, FILE).json()
        assert step(ann, first, "apply").status_code == step(ann, second, "apply").status_code == 200
        assert Round.objects.count() == 4
        step(ann, second, "undo")
        assert Round.objects.filter(state="standing").count() == 4

    def test_what_the_check_left_out_stays_out(self, ann):
        first = applied(ann)
        (second,) = send(ann, FILE + "2026-04-30,Marsh Links,Heron,90,\n").json()
        step(ann, first, "undo")
        step(ann, second, "apply")
        assert [played.gross for played in Round.objects.filter(state="standing")] == [90]

    def test_a_tee_deleted_since_stops_it_whole(self, ann, people, tee):
        other = build.tee(tee.course, "Teal")
        (found,) = send(ann, FILE + "2026-04-30,Marsh Links,Teal,90,\n").json()
        courses.delete_tee(actor=people.ben, tee=other)
        answer = step(ann, found, "apply")
        assert (answer.status_code, answer.json()["code"]) == (409, "import_outdated")
        assert answer.json()["detail"].startswith("Line 6: the tee was deleted")
        assert Round.objects.count() == CardEvent.objects.count() == 0

    def test_a_tee_rerated_since_stops_it_whole(self, ann, people, tee):
        (found,) = send(ann, FILE).json()
        to = build.tee(build.course(people.group, "Fen"), valid_from=date(2026, 4, 15)).as_printed()
        courses.rerate_tee(actor=people.ben, tee=tee, to=to, confirmed=courses.ALL_CONFIRMED)
        answer = step(ann, found, "apply")
        assert (answer.status_code, answer.json()["code"]) == (409, "import_outdated")
        assert Round.objects.count() == 0
        assert ann.get(f"{IMPORTS}{found['id']}/").json()["state"] == "ready"
        assert applied(ann)["n_new"] == 4

    def test_a_nine_that_lost_its_rating_since_stops_it_whole(self, ann, tee):
        (found,) = send(ann, row(holes="front 9", gross="46")).json()
        Tee.objects.filter(pk=tee.pk).update(front_rating_tenths=None, front_slope_rating=None)
        answer = step(ann, found, "apply")
        assert (answer.status_code, answer.json()["code"], Round.objects.count()) == (409, "import_outdated", 0)

    def test_a_course_deleted_since_stops_it_whole(self, ann, people, tee):
        (found,) = send(ann, FILE).json()
        courses.delete_course(actor=people.ben, course=tee.course)
        assert step(ann, found, "apply").json()["code"] == "import_outdated"

    def test_a_player_erased_since_stops_it_whole(self, ann, people):
        (found,) = send(ann, FILE, f"?player={people.eve.pk}").json()
        Player.objects.filter(pk=people.eve.pk).update(erased_at="2026-05-01T10:00Z")
        assert step(ann, found, "apply").status_code in (403, 409)
        assert Round.objects.count() == 0

    @pytest.mark.parametrize(
        ("first", "then", "status"),
        [("decline", "apply", 409), ("decline", "undo", 409), ("apply", "decline", 409), ("undo", "apply", 200)],
    )
    def test_steps_in_the_wrong_order_are_refused(self, ann, first, then, status):
        (found,) = send(ann, FILE).json()
        step(ann, found, first)
        assert step(ann, found, then).status_code == status

    def test_declining_throws_the_rows_away(self, ann):
        (found,) = send(ann, FILE).json()
        for _ in range(2):
            answer = step(ann, found, "decline")
            assert (answer.status_code, answer.json()["state"], answer.json()["rows"]) == (200, "declined", [])


class TestUndo:
    def test_it_withdraws_exactly_its_rows(self, ann, people):
        applied(ann, row(played_on="2026-03-01", gross="99"))
        found = applied(ann)
        applied(ann, row(played_on="2026-04-30", gross="88"))
        for _ in range(2):
            answer = step(ann, found, "undo")
            assert (answer.status_code, answer.json()["state"]) == (200, "undone")
        standing = Round.objects.filter(state="standing").order_by("played_on")
        assert [played.gross for played in standing] == [99, 88]
        assert CardEvent.objects.filter(kind="withdrawn").count() == 4
        assert handicaps.check_player(people.ann) == []
        assert applied(ann)["n_new"] == 4
        assert handicaps.check_player(people.ann) == []

    def test_a_round_withdrawn_before_is_left_alone(self, ann, people):
        found = applied(ann)
        gone = Round.objects.order_by("played_on")[1]
        answer = ann.delete(
            f"/api/v1/rounds/{gone.pk}/", json.dumps({}), "application/json", headers={"if-match": '"1"'}
        )
        assert answer.status_code == 200
        assert step(ann, found, "undo").status_code == 200
        assert CardEvent.objects.filter(kind="withdrawn").count() == 4
        assert handicaps.check_player(people.ann) == []

    def test_an_import_before_later_rounds_leaves_a_sound_ledger(self, ann, people):
        later = "".join(f"2026-06-{day:02},Marsh Links,Heron,{88 + day % 5},\n" for day in range(1, 25))
        applied(ann, HEAD + later)
        index = Standing.objects.get(player=people.ann).index_tenths
        found = applied(ann)
        assert handicaps.check_player(people.ann) == []
        assert Standing.objects.get(player=people.ann).index_tenths == index
        assert step(ann, found, "undo").status_code == 200
        assert handicaps.check_player(people.ann) == []
        assert Standing.objects.get(player=people.ann).index_tenths == index


class TestOthers:
    NAMED = (
        "player,"
        + HEAD
        + "".join(f"{name},2026-04-{day:02},Marsh Links,Heron,95,\n" for name in ("Ann", "eve") for day in DAYS)
    )

    def test_rows_of_members_with_an_account_wait(self, ann, people):
        ben = build.signed_in(people.ben)
        answer = send(ben, self.NAMED, f"?group={people.group.pk}")
        made = answer.json()
        assert len(made) > 1
        assert "Location" not in answer
        kept, asks = sorted(made, key=lambda one: one["waits_for"] or "")
        assert (kept["waits_for"], asks["waits_for"]) == (None, str(people.ann.pk))
        assert {one["player"] for one in kept["rows"]} == {str(people.eve.pk)}
        waits = step(ben, asks, "apply")
        assert (waits.status_code, waits.json()["code"]) == (409, "import_waits")
        assert step(ben, kept, "apply").status_code == 200
        assert Round.objects.filter(player=people.ann).count() == 0
        assert ann.get(IMPORTS).json()["count"] == 1
        assert ann.get(f"{IMPORTS}{kept['id']}/").status_code == 404
        assert step(ann, asks, "apply").status_code == 200
        assert Round.objects.filter(player=people.ann).count() == 4
        assert step(ben, asks, "undo").json()["code"] == "import_waits"
        assert handicaps.check_player(people.ann) == handicaps.check_player(people.eve) == []

    def test_a_row_without_a_name_or_with_a_strangers_is_refused(self, people, tee):
        ben = build.signed_in(people.ben)
        for name, code in (("", "player_missing"), ("Cat", "player_unknown"), ("Nobody", "player_unknown")):
            problems = send(ben, row(player=name), f"?group={people.group.pk}").json()["problems"]
            assert [(one["row"], one["column"], one["code"]) for one in problems] == [(2, "player", code)]

    def test_two_players_of_one_name_are_not_guessed_at(self, people, tee):
        build.membership(people.group, build.player("Eve", has_account=False))
        problems = send(build.signed_in(people.ben), row(player="Eve"), f"?group={people.group.pk}").json()["problems"]
        assert [one["code"] for one in problems] == ["player_twice"]

    def test_who_may_import_for_whom(self, ann, people):
        ben, cat, dan = (build.signed_in(one) for one in (people.ben, people.cat, people.dan))
        assert send(ann, FILE, f"?player={people.eve.pk}").status_code == 201
        assert send(ann, FILE, f"?player={people.dan.pk}").status_code == 403
        assert send(ann, FILE, f"?group={people.group.pk}").status_code == 403
        assert send(ben, FILE, f"?player={people.ann.pk}").status_code == 403
        assert send(dan, FILE, f"?player={people.eve.pk}").status_code == 403
        for name, theirs in (("player", people.ann), ("group", people.group)):
            invented = f"?{name}=11111111-1111-4111-8111-111111111111"
            hidden, unknown = send(cat, b"\0junk", f"?{name}={theirs.pk}"), send(cat, FILE, invented)
            assert hidden.status_code == unknown.status_code == 404
            assert hidden.content == unknown.content

    def test_a_stranger_learns_nothing_of_an_import(self, ann, people):
        (found,) = send(ann, FILE).json()
        invented = "11111111-1111-4111-8111-111111111111"
        for who in (people.cat, people.ben, people.dan):
            client = build.signed_in(who)
            hidden, unknown = (client.get(f"{IMPORTS}{one}/") for one in (found["id"], invented))
            assert hidden.status_code == 404
            assert hidden.content == unknown.content
            for name in ("apply", "undo", "decline"):
                answers = [step(client, {"id": one}, name) for one in (found["id"], invented)]
                assert answers[0].status_code == 404
                assert answers[0].content == answers[1].content
            assert client.get(IMPORTS).json()["count"] == 0
        assert Client().get(f"{IMPORTS}{found['id']}/").status_code == 401

    def test_a_strangers_course_does_not_exist(self, people, tee):
        assert send(build.signed_in(people.cat), FILE).json()["problems"][0]["code"] == "course_unknown"


class TestExport:
    def test_it_comes_back_as_stored_already(self, people, tee):
        ann = build.signed_in(people.ann)
        build.tee(build.course(people.group, "Fen", 9), "Teal")
        build.tee(tee.course, "Heron", rated_for="men", rating_tenths=702)
        pars = build.PARS
        holes = {f"h{n}": str(pars[n - 1] + 1) for n in range(1, 19)}
        first_nine = {f"h{n}": "5" for n in range(1, 10)}
        files = [
            row(),
            row(played_on="2026-04-04", adjusted_gross="90"),
            row(played_on="2026-04-05", gross="", adjusted_gross="90"),
            row(played_on="2026-04-06", gross="", **{**holes, "h3": "x", "h4": "7x", "putts1": "2", "penalties2": "1"}),
            row(played_on="2026-04-07", gross="", holes="1 to 14", reason="light",
                **{f"h{n}": "5" for n in range(1, 15)}),
            row(played_on="2026-04-08", holes="front 9", gross="", **first_nine),
            row(played_on="2026-04-09", holes="back 9", gross="47"),
            row(played_on="2026-04-10", course="Fen", tee="Teal", holes="9", gross="46", note="=1\nTwo lines"),
            row(played_on="2026-04-11", course="fen", tee="TEAL", holes="18", gross="", marker="Zo", **holes),
            row(played_on="2026-04-12", rated="men", playing_conditions="1", playing_conditions_from="the committee"),
            row(played_on="2026-04-13", order_in_day="2", ref="second")
            + '"2026-04-13","Marsh Links","Heron","92","1","first"\n',
        ]  # fmt: skip
        for data in files:
            answer = send(ann, data)
            assert answer.status_code == 201, answer.content
            step(ann, answer.json()[0], "apply")
        assert Round.objects.filter(state="standing").count() == len(files) + 1
        exported = ann.get(f"/api/v1/players/{people.ann.pk}/rounds/file/")
        (again,) = send(ann, exported.content).json()
        assert (again["n_rows"], again["n_new"]) == (len(files) + 1, 0)
        before = Standing.objects.get(player=people.ann).index_tenths
        for stored in RoundImport.objects.filter(state="applied"):
            step(ann, {"id": stored.pk}, "undo")
        applied(ann, exported.content)
        assert ann.get(f"/api/v1/players/{people.ann.pk}/rounds/file/").content == exported.content
        assert Standing.objects.get(player=people.ann).index_tenths == before
        assert handicaps.check_player(people.ann) == []

    def test_the_template_is_handed_out(self, ann):
        assert ann.get(f"{IMPORTS}template/").content.decode() == rounds_csv.TEMPLATE


def many_rounds(count, course="Marsh Links", tee="Heron", rated="women"):
    chance, day = random.Random(3), date(2011, 1, 1)
    rows = []
    for _ in range(count):
        day += timedelta(days=chance.choice((0, 1, 1)))
        scores = tuple(HoleScore(par + chance.choice((0, 1, 1, 2, 3)), putts=2) for par in build.PARS)
        rows.append(RoundRow(played_on=day, course=course, tee=tee, rated=rated, holes="18", scores=scores))
    return rounds_csv.write(rows).encode()


def test_the_statements_do_not_grow_with_the_rows(ann):
    counts = []
    for count in (2, 30, 60):
        with CaptureQueriesContext(connection) as queries:
            assert send(ann, many_rounds(count)).status_code == 201
        counts.append(len(queries))
    assert counts[1] == counts[2]


def test_five_thousand_rounds_are_checked_and_counted_once(ann):
    """The most that one file may hold, with every hole of every card."""
    data = many_rounds(5_000)
    assert len(data) < 2 * 1024 * 1024
    (found,) = send(ann, data).json()
    assert (found["n_rows"], found["n_new"]) == (5_000, 5_000)
