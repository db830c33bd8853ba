"""The pages of imports: a file is looked at, then taken, left or undone."""

import html
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from league.exchange import rounds_csv
from league.models import Membership, Player, Role, Round, RoundImport, Tee
from league.services import courses, handicaps
from tests import build

# The services behind these pages are asked over the API on both databases.
pytestmark = [pytest.mark.django_db, pytest.mark.one_database(on="postgresql")]
HEAD = "played_on,course,tee,gross,note\n"
ROW = "2026-04-{day:02},Marsh Links,Heron,{gross},{note}\n"
FILE = HEAD + "".join(ROW.format(day=day, gross=90 + day, note="") for day in (3, 10, 17, 24))


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


@pytest.fixture
def ann(people: build.People, tee: Tee) -> Client:
    return build.signed_in(people.ann)


def upload(client: Client, data: bytes | str, name: str = "rounds.csv", **entries: Any) -> Any:
    raw = data.encode() if isinstance(data, str) else data
    return client.post(
        reverse("imports"), {"whose": "own", "file": SimpleUploadedFile(name, raw), "whole": "yes", **entries}
    )


def paste(client: Client, text: str, **entries: Any) -> Any:
    return client.post(reverse("imports"), {"whose": "own", "text": text, "whole": "yes", **entries})


def text_of(answer: Any) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", answer.content.decode())).split())


def cells(answer: Any) -> list[list[str]]:
    """The rows of the first table."""
    body = re.search(r"<tbody>(.*?)</tbody>", answer.content.decode(), re.DOTALL)
    rows = re.findall(r"<tr>(.*?)</tr>", body[1], re.DOTALL) if body else []
    cut = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL) for row in rows]
    return [[" ".join(html.unescape(re.sub(r"<[^>]*>", "", cell)).split()) for cell in row] for row in cut]


def taken(client: Client, data: str = FILE) -> RoundImport:
    answer = upload(client, data)
    assert answer.status_code == 303, text_of(answer)
    assert client.post(answer["Location"] + "apply/").status_code == 303
    return RoundImport.objects.latest("created_at")


class TestTheFile:
    def test_the_page_says_what_a_file_is_and_hands_out_the_template(self, ann: Client) -> None:
        page = ann.get(reverse("imports"))
        assert re.findall(r"<h1[^>]*>(.*?)</h1>", page.content.decode()) == ["Rounds from a file"]
        in_contents = re.findall(rf'<a href="{reverse("imports")}"[^>]*>(.*?)</a>', page.content.decode())
        assert {re.sub(r"<[^>]*>", "", link).strip() for link in in_contents} == {"Rounds from a file"}
        assert page.status_code == 200
        for column in ("played_on", "order_in_day", "adjusted_gross", "reason", "ref"):
            assert column in text_of(page)
        template = ann.get(reverse("imports_template"))
        assert template.content.decode() == rounds_csv.TEMPLATE
        assert 'filename="rounds-template.csv"' in template["Content-Disposition"]

    def test_a_file_in_order_is_shown_first_and_stored_when_taken(self, ann: Client, people: build.People) -> None:
        answer = upload(ann, FILE)
        found = RoundImport.objects.get()
        assert (answer.status_code, answer["Location"]) == (303, reverse("import", args=[found.pk]))
        page = ann.get(answer["Location"])
        assert "4 new rounds" in text_of(page)
        assert cells(page)[0] == ["2", "3 Apr 2026", "Marsh Links, Heron women", "18", "93", ""]
        assert "Take the 4 rounds" in text_of(page)
        assert Round.objects.count() == 0
        assert ann.post(reverse("import_apply", args=[found.pk])).status_code == 303
        assert Round.objects.filter(player=people.ann).count() == 4
        assert "4 rounds stored; the index stands at" in text_of(ann.get(answer["Location"]))
        assert handicaps.check_player(people.ann) == []

    def test_pasted_rows_are_read_like_a_file(self, ann: Client) -> None:
        assert paste(ann, FILE.replace("\n", "\r\n")).status_code == 303
        assert len(RoundImport.objects.get().rows) == 4

    def test_the_same_file_again_says_nothing_new(self, ann: Client) -> None:
        taken(ann)
        again = upload(ann, FILE)
        assert again.status_code == 200
        assert "Nothing new: all 4 rounds in it are stored already." in text_of(again)
        assert RoundImport.objects.count() == 1

    def test_a_file_with_some_new_rounds_leaves_the_others_out(self, ann: Client) -> None:
        taken(ann)
        page = ann.get(upload(ann, FILE + ROW.format(day=30, gross=91, note=""))["Location"])
        assert "1 new round; 5 stand in the file" in text_of(page)
        assert [row[-1] for row in cells(page)] == ["stored already"] * 4 + [""]
        assert "Take the round" in text_of(page)

    def test_a_double_press_reads_it_once(self, ann: Client) -> None:
        key = "a-key-of-sixteen-or-more"
        first, second = (upload(ann, FILE, key=key) for _ in range(2))
        assert first["Location"] == second["Location"]
        other = upload(ann, FILE.replace(",93,", ",94,"), key=key)
        assert other["Location"] != first["Location"]
        assert RoundImport.objects.count() == 2

    @pytest.mark.parametrize(
        "entries", [{}, {"text": " \r\n "}, {"text": FILE, "file": SimpleUploadedFile("a.csv", FILE.encode())}]
    )
    def test_nothing_or_both_is_asked_about(self, ann: Client, entries: dict[str, Any]) -> None:
        answer = ann.post(reverse("imports"), {"whose": "own", "whole": "yes", **entries})
        assert answer.status_code == 400
        assert RoundImport.objects.count() == 0

    def test_damaged_characters_of_a_paste_are_not_stored(self, ann: Client) -> None:
        answer = paste(ann, HEAD + ROW.format(day=3, gross=90, note="caf\ufffd"))
        assert (answer.status_code, RoundImport.objects.count()) == (400, 0)
        assert "damaged on the way" in text_of(answer)


class TestProblems:
    def test_every_place_is_named_and_nothing_is_stored(self, ann: Client) -> None:
        bad = HEAD + "2026-04-31,Marsh Links,Heron,90,\n2026-04-03,Nowhere,Heron,90,\n2026-04-03,Marsh Links,Teal,?,\n"
        answer = upload(ann, bad)
        assert answer.status_code == 400
        assert [row[:2] for row in cells(answer)] == [["2", "played_on"], ["3", "course"], ["4", "gross"]]
        assert "There is no course “Nowhere” here." in text_of(answer)
        assert RoundImport.objects.count() == Round.objects.count() == 0

    def test_a_thousand_are_listed_and_the_rest_counted(self, ann: Client) -> None:
        answer = upload(ann, HEAD + "x,Marsh Links,Heron,90,\n" * 1_200)
        rows = cells(answer)
        assert len(rows) == 1_001
        assert rows[-1][2].startswith("200 more problems") or rows[0][2].startswith("200 more problems")

    @pytest.mark.parametrize(
        ("data", "status"),
        [
            (b"\x89PNG\r\n\x1a\n" + b"0" * 40, 415),
            (b"PK\x03\x04" + b"0" * 40, 415),
            (b"\x1f\x8b" + b"0" * 40, 415),
            (b"<!doctype html><p>", 415),
            (HEAD.encode() + b"2026-04-03,Marsh Links,Heron,90," + b"a" * 5_000, 413),
            (HEAD.encode() + b"2026-04-03,Marsh Links,Heron,90,\n" * 5_001, 413),
            (b"a" * (2 * 1024 * 1024 + 1), 413),
            (HEAD.encode() + b"\n" * (2 * 1024 * 1024 - 100), 400),
            (HEAD.encode("utf-16"), 400),
            (HEAD.encode() + "2026-04-03,Marsh Links,Heron,90,café\n".encode("latin-1"), 400),
            (HEAD.encode() + b"2026-04-03,Marsh Links,Heron,90,a\0b\n", 400),
            (b"", 400),
            (HEAD.encode(), 400),
        ],
    )
    def test_what_is_no_table_of_ours(self, ann: Client, data: bytes, status: int) -> None:
        answer = upload(ann, data)
        assert answer.status_code == status
        assert "Nothing was stored" in text_of(answer)
        assert RoundImport.objects.count() == 0

    @pytest.mark.parametrize("sent", ["file", "text"])
    def test_far_too_much_is_answered_413(self, ann: Client, sent: str, settings: Any) -> None:
        much = b"a" * (settings.FILE_UPLOAD_MAX_MEMORY_SIZE + 1)
        answer = upload(ann, much) if sent == "file" else paste(ann, much.decode())
        assert answer.status_code == 413
        assert "too large" in text_of(answer)

    def test_many_fields_are_answered_413_and_a_forged_body_400(self, ann: Client) -> None:
        assert ann.post(reverse("imports"), {f"f{n}": "" for n in range(1_100)}).status_code == 413
        assert ann.post(reverse("imports"), b"x", "multipart/form-data; boundary=").status_code == 400

    def test_a_cut_upload_is_not_taken_for_a_whole_one(self, ann: Client) -> None:
        whole = (
            b'--b\r\nContent-Disposition: form-data; name="whose"\r\n\r\nown\r\n'
            b'--b\r\nContent-Disposition: form-data; name="file"; filename="a.csv"\r\n\r\n' + FILE.encode() + b"\r\n"
            b'--b\r\nContent-Disposition: form-data; name="whole"\r\n\r\nyes\r\n--b--\r\n'
        )
        for length in range(100, whole.rindex(b"yes") + 2):
            answer = ann.post(reverse("imports"), whole[:length], "multipart/form-data; boundary=b")
            assert answer.status_code == 400
        assert RoundImport.objects.count() == 0
        assert "did not arrive whole" in text_of(answer)
        assert ann.post(reverse("imports"), whole, "multipart/form-data; boundary=b").status_code == 303

    @pytest.mark.parametrize("name", ["../../x", "a\0b.csv", "n" * 300 + ".csv", "rounds.exe"])
    def test_the_name_of_a_file_is_ignored(self, ann: Client, name: str) -> None:
        assert upload(ann, FILE, name=name).status_code == 303

    def test_a_message_with_markup_is_shown_as_text(self, ann: Client) -> None:
        answer = upload(ann, HEAD + "2026-04-03,<script>alert(1)</script>,Heron,90,\n")
        assert b"<script>alert" not in answer.content
        assert "<script>alert(1)</script>" in text_of(answer)


class TestQuestions:
    TWO_WAYS = HEAD + "03/04/2026,Marsh Links,Heron,90,\n05/04/2026,Marsh Links,Heron,95,\n"
    TWICE = HEAD + ROW.format(day=3, gross=90, note="") * 2

    def test_the_file_is_kept_on_the_page_while_one_answers(self, ann: Client) -> None:
        asked = upload(ann, self.TWO_WAYS)
        assert asked.status_code == 400
        page = asked.content.decode()
        kept = html.unescape(re.search(r'<div hidden><textarea name="text">\n(.*?)</textarea>', page, re.DOTALL)[1])
        assert kept == self.TWO_WAYS
        assert 'type="file"' not in page
        assert '<input type="hidden" name="whose" value="own">' in page
        answer = paste(ann, kept.replace("\n", "\r\n"), day_first="yes")
        assert answer.status_code == 303
        assert [row["played_on"] for row in RoundImport.objects.get().rows] == ["2026-04-03", "2026-04-05"]

    def test_month_first(self, ann: Client) -> None:
        assert paste(ann, self.TWO_WAYS, day_first="no").status_code == 303
        assert [row["played_on"] for row in RoundImport.objects.get().rows] == ["2026-03-04", "2026-05-04"]

    def test_a_row_twice_is_asked_about(self, ann: Client) -> None:
        asked = upload(ann, self.TWICE)
        assert asked.status_code == 400
        assert "Were they played twice?" in text_of(asked)
        assert paste(ann, self.TWICE, keep_twice="no").status_code == 303
        assert len(RoundImport.objects.get().rows) == 1
        assert paste(ann, self.TWICE, keep_twice="yes").status_code == 303
        assert len(RoundImport.objects.latest("created_at").rows) == 2

    def test_the_first_answer_goes_along_with_the_second_question(self, ann: Client) -> None:
        both = HEAD + "03/04/2026,Marsh Links,Heron,90,\n" * 2
        asked = upload(ann, both)
        assert 'name="day_first"' in asked.content.decode()
        second = paste(ann, both, day_first="yes")
        assert re.search(r'<input type="hidden" name="day_first" value="yes"', second.content.decode())
        assert paste(ann, both, day_first="yes", keep_twice="no").status_code == 303

    def test_rounds_kept_twice_are_stored_twice_and_then_known(self, ann: Client, people: build.People) -> None:
        answer = paste(ann, self.TWICE, keep_twice="yes")
        ann.post(answer["Location"] + "apply/")
        assert sorted(Round.objects.values_list("order_in_day", flat=True)) == [1, 2]
        assert "Nothing new" in text_of(paste(ann, self.TWICE, keep_twice="yes"))


class TestTakingAndUndoing:
    def test_applying_again_changes_nothing(self, ann: Client) -> None:
        found = taken(ann)
        assert ann.post(reverse("import_apply", args=[found.pk])).status_code == 303
        assert Round.objects.count() == 4

    def test_undo_asks_first_and_withdraws_exactly_its_rounds(self, ann: Client, people: build.People) -> None:
        first = taken(ann)
        taken(ann, HEAD + ROW.format(day=29, gross=88, note=""))
        asked = ann.get(reverse("import_undo", args=[first.pk]))
        assert "The 4 rounds that it stored will be withdrawn." in text_of(asked)
        assert Round.objects.filter(state="standing").count() == 5
        assert ann.post(reverse("import_undo", args=[first.pk])).status_code == 303
        assert [played.gross for played in Round.objects.filter(state="standing")] == [88]
        assert handicaps.check_player(people.ann) == []
        assert "Undone" in text_of(ann.get(reverse("import", args=[first.pk])))
        again = upload(ann, FILE)
        assert "4 new rounds" in text_of(ann.get(again["Location"]))

    def test_not_now_throws_the_rows_away(self, ann: Client) -> None:
        upload(ann, FILE)
        found = RoundImport.objects.get()
        assert ann.post(reverse("import_decline", args=[found.pk])).status_code == 303
        found.refresh_from_db()
        assert (found.state, found.rows, found.notes) == ("declined", [], [])
        late = ann.post(reverse("import_apply", args=[found.pk]))
        assert (late.status_code, Round.objects.count()) == (409, 0)
        assert "Read the file again" in text_of(late)

    def test_a_tee_deleted_meanwhile_stops_it_whole(self, ann: Client, people: build.People, tee: Tee) -> None:
        other = build.tee(tee.course, "Teal")
        address = upload(ann, FILE + "2026-04-30,Marsh Links,Teal,90,\n")["Location"]
        courses.delete_tee(actor=people.ben, tee=other)
        answer = ann.post(address + "apply/")
        assert (answer.status_code, Round.objects.count()) == (409, 0)
        assert "Line 6: the tee was deleted" in text_of(answer)
        assert "a tee that was deleted" in text_of(answer)

    def test_a_tee_rerated_meanwhile_stops_it_whole(self, ann: Client, tee: Tee) -> None:
        address = upload(ann, FILE)["Location"]
        Tee.objects.filter(pk=tee.pk).update(valid_until="2026-04-15")
        answer = ann.post(address + "apply/")
        assert (answer.status_code, Round.objects.count()) == (409, 0)
        assert "changed since the file was read" in text_of(answer)
        assert RoundImport.objects.get().state == "ready"


class TestOthers:
    def test_an_organiser_imports_by_name_and_accounts_wait_for_their_yes(self, people: build.People, tee: Tee) -> None:
        ben, ann = build.signed_in(people.ben), build.signed_in(people.ann)
        named = (
            "player,"
            + HEAD
            + "".join(
                f"{name},2026-04-{day:02},Marsh Links,Heron,95,\n" for name in ("Ann", "Eve") for day in (3, 10, 17)
            )
        )
        answer = upload(ben, named, whose=f"group:{people.group.pk}")
        assert (answer.status_code, answer["Location"]) == (303, reverse("imports"))
        asks = RoundImport.objects.get(player=people.ann)
        kept = RoundImport.objects.get(player=None)
        listed = text_of(ben.get(reverse("imports")))
        assert "3 rounds of Ann : waits for their yes" in listed
        assert "3 rounds: waits for your yes" in listed
        assert ben.post(reverse("import_apply", args=[asks.pk])).status_code == 409
        assert ben.post(reverse("import_apply", args=[kept.pk])).status_code == 303
        assert set(Round.objects.values_list("player__name", flat=True)) == {"Eve"}
        page = text_of(ann.get(reverse("import", args=[asks.pk])))
        assert "Ben read 3 past rounds of yours" in page
        assert "Nothing of them counts before you say yes" in page
        assert ann.post(reverse("import_apply", args=[asks.pk])).status_code == 303
        assert Round.objects.filter(player=people.ann).count() == 3
        assert ben.post(reverse("import_undo", args=[asks.pk])).status_code == 409
        assert ann.post(reverse("import_undo", args=[asks.pk])).status_code == 303
        assert handicaps.check_player(people.ann) == handicaps.check_player(people.eve) == []

    def test_whoever_asks_can_take_the_question_back(self, people: build.People, tee: Tee) -> None:
        ben = build.signed_in(people.ben)
        upload(ben, "player," + HEAD + "Ann,2026-04-03,Marsh Links,Heron,95,\n", whose=f"group:{people.group.pk}")
        asks = RoundImport.objects.get()
        assert "Take the question back" in text_of(ben.get(reverse("import", args=[asks.pk])))
        assert ben.post(reverse("import_decline", args=[asks.pk])).status_code == 303
        ann = build.signed_in(people.ann)
        assert ann.post(reverse("import_apply", args=[asks.pk])).status_code == 409

    def test_the_keeper_brings_rounds_of_a_guest(self, people: build.People, ann: Client) -> None:
        answer = upload(ann, FILE, whose=f"player:{people.eve.pk}")
        ann.post(answer["Location"] + "apply/")
        assert Round.objects.filter(player=people.eve).count() == 4

    def test_a_guest_who_took_an_account_meanwhile_is_asked_anew(self, people: build.People, ann: Client) -> None:
        address = upload(ann, FILE, whose=f"player:{people.eve.pk}")["Location"]
        Player.objects.filter(pk=people.eve.pk).update(account=build.account("eve@example.org"))
        assert ann.post(address + "apply/").status_code == 403
        assert Round.objects.count() == 0

    def test_an_organiser_no_longer_cannot_take_it(self, people: build.People, tee: Tee) -> None:
        ben = build.signed_in(people.ben)
        named = "player," + HEAD + "Eve,2026-04-03,Marsh Links,Heron,95,\n"
        address = upload(ben, named, whose=f"group:{people.group.pk}")["Location"]
        Membership.objects.filter(player=people.ben).update(role=Role.PLAYER)
        assert ben.post(address + "apply/").status_code == 403

    @pytest.mark.parametrize("who", ["ben", "cat", "dan"])
    def test_a_file_is_its_makers_alone(self, people: build.People, ann: Client, who: str) -> None:
        address = upload(ann, FILE)["Location"]
        other = build.signed_in(getattr(people, who))
        invented = reverse("import", args=["11111111-1111-4111-8111-111111111111"])
        for end, method in (("", "get"), ("apply/", "post"), ("decline/", "post"), ("undo/", "get"), ("undo/", "post")):
            hidden, unknown = (getattr(other, method)(base + end) for base in (address, invented))
            assert hidden.status_code == unknown.status_code == 404
        assert paste(other, FILE, whose=f"player:{people.ann.pk}").status_code == 400

    def test_nobody_is_asked_to_sign_in(self, ann: Client) -> None:
        address = upload(ann, FILE)["Location"]
        for page in (reverse("imports"), reverse("imports_template"), address):
            assert Client().get(page).status_code == 401


def test_rounds_of_a_resting_group_do_not_come_in(people: build.People, ann: Client) -> None:
    address = upload(ann, FILE)["Location"]
    people.group.rests_since = people.group.created_at
    people.group.save()
    answer = ann.post(address + "apply/")
    assert (answer.status_code, Round.objects.count()) == (409, 0)
    assert RoundImport.objects.get().state == "ready"
