"""The pages of the carry book, used as its owner uses them, without script; and closed to everybody else."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from league.models import CarryBook, Club, Player, Shot
from league.services import carries
from tests import build

pytestmark = pytest.mark.django_db
BOOK = "/carry-book/"
LIST = "club,carry,off line,date\n7i,138,6 R,2026-04-03\n7 iron,131,-4,2026-04-03\nPW,95,,\n"


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def ann(people: build.People) -> Client:
    return build.signed_in(people.ann)


def text_of(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def value(answer: Any, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', answer.content.decode())
    return found[1] if found else ""


def a_club(player: Player, **facts: Any) -> Club:
    return carries.add_club(
        player=player, facts=carries.ClubFacts(**{"name": "7 iron", "kind": "iron", "carry": 140, **facts})
    )


def test_an_empty_book_says_how_to_begin(ann):
    page = text_of(ann.get(BOOK))
    assert "No club is in the book yet." in page
    assert "Take a usual set" in page


def test_a_usual_set_is_taken_once(ann):
    key = value(ann.get(BOOK), "key")
    for _ in range(2):
        assert ann.post(f"{BOOK}starter/", {"drive": "216", "key": key}).status_code == 303
    page = text_of(ann.get(BOOK))
    # 216 with 8 % of the carry as roll is a carry of 200.
    assert "From 200 yards with driver to 70 with sand wedge; every spread here is a published figure." in page
    assert Club.objects.count() == 10
    assert ann.post(f"{BOOK}starter/", {"drive": "200"}).status_code == 409


@pytest.mark.parametrize("drive", ["49", "401", "far", "-200"])
def test_what_is_no_drive_comes_back(ann, drive):
    answer = ann.post(f"{BOOK}starter/", {"drive": drive})
    assert answer.status_code == 400
    assert "One thing needs a look" in text_of(answer)
    assert not Club.objects.exists()


def test_a_club_is_entered_changed_and_removed(ann):
    entered = {"name": "7 iron", "kind": "iron", "carry": "140", "long_spread": "9", "wide": "5,5", "loft": "32",
               "curve": "right", "curve_by": "6", "is_carried": "on"}  # fmt: skip
    form = ann.get(f"{BOOK}clubs/new/")
    for _ in range(2):
        assert ann.post(f"{BOOK}clubs/new/", {**entered, "key": value(form, "key")}).status_code == 303
    club = Club.objects.get()
    assert (club.carry, club.wide_tenths, club.loft_tenths, club.curve_by) == (140, 55, 320, 6)
    page = text_of(ann.get(f"{BOOK}clubs/{club.pk}/"))
    assert "It usually carries 140 yards." in page
    assert "± 5.5°" in page
    assert "Curve 6 right" in page
    assert "Spread rests on your own" in page
    form = ann.get(f"{BOOK}clubs/{club.pk}/change/")
    assert (value(form, "wide"), value(form, "loft"), value(form, "version")) == ("5.5", "32", "1")
    changed = {**entered, "carry": "135", "version": "1"}
    assert ann.post(f"{BOOK}clubs/{club.pk}/change/", changed).status_code == 303
    late = ann.post(f"{BOOK}clubs/{club.pk}/change/", {**changed, "carry": "130"})
    assert (late.status_code, value(late, "version")) == (409, "2")
    club.refresh_from_db()
    assert club.carry == 135
    assert "No shot was measured with it." in text_of(ann.get(f"{BOOK}clubs/{club.pk}/remove/"))
    assert ann.post(f"{BOOK}clubs/{club.pk}/remove/").status_code == 303
    assert not Club.objects.exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"carry": "401"}, "Enter 1 to 400."),
        ({"carry": "0"}, "Enter 1 to 400."),
        ({"wide": "31"}, "Enter 0.1 to 30, with one decimal at most."),
        ({"loft": "0"}, "Enter 1 to 70, with one decimal at most."),
        ({"curve": "left"}, "Say by how much it curves, or leave the side empty."),
        ({"curve_by": "5"}, "Say to which side it curves, or leave empty by how much."),
        ({"kind": "putter"}, "A putter has no carry, spread or curve: leave it empty."),
        ({"name": ""}, "This is needed."),
    ],
)
def test_what_cannot_be_a_club_comes_back_with_words(ann, changes, words):
    answer = ann.post(f"{BOOK}clubs/new/", {"name": "7 iron", "kind": "iron", "carry": "140", **changes})
    assert answer.status_code == 400
    assert words in text_of(answer)
    assert not Club.objects.exists()


def test_a_club_of_the_same_name_and_a_fifteenth_in_the_bag_are_refused(people, ann):
    for number in range(14):
        a_club(people.ann, name=f"club {number}")
    entered = {"name": "Club 3", "kind": "iron", "carry": "140"}
    assert ann.post(f"{BOOK}clubs/new/", entered).status_code == 409
    fifteenth = ann.post(f"{BOOK}clubs/new/", {**entered, "name": "one more", "is_carried": "on"})
    assert (fifteenth.status_code, "14 clubs are carried already" in text_of(fifteenth)) == (400, True)
    assert ann.post(f"{BOOK}clubs/new/", {**entered, "name": "one more"}).status_code == 303
    assert "at home" in text_of(ann.get(BOOK))


def test_notes_and_liking_are_kept_and_follow_the_unit(people, ann):
    a_club(people.ann, carry=150)
    form = ann.get(f"{BOOK}change/")
    told = {"liked_distance": "100", "from_rough": "One club <more>", "version": value(form, "version")}
    assert ann.post(f"{BOOK}change/", told).status_code == 303
    assert ann.post(f"{BOOK}change/", {**told, "liked_distance": "80"}).status_code == 409
    page = ann.get(BOOK)
    assert "One club &lt;more&gt;" in page.content.decode()
    assert "You like to leave 100 yards" in text_of(page)
    assert ann.post(f"{BOOK}unit/", {"length_unit": "metres"}).status_code == 303
    # 100 yards are 91.44 m, 150 are 137.16.
    book = CarryBook.objects.get()
    assert (book.length_unit, book.liked_distance, Club.objects.get().carry) == ("metres", 91, 137)
    assert ann.post(f"{BOOK}unit/", {"length_unit": "miles"}).status_code == 400


def test_a_shot_is_added_and_removed_at_its_club(people, ann):
    club = a_club(people.ann)
    page = f"{BOOK}clubs/{club.pk}/"
    assert ann.post(f"{page}shots/", {"carry": "128", "off_line": "7 L", "hit_on": "2026-04-03"}).status_code == 303
    shot = Shot.objects.get()
    assert (shot.carry, shot.off_line, shot.hit_on) == (128, -7, date(2026, 4, 3))
    assert "128 7 left 3 Apr 2026" in text_of(ann.get(page))
    tomorrow = timezone.now().date() + timedelta(days=2)
    for wrong in ({"carry": ""}, {"off_line": "up"}, {"off_line": "151"}, {"hit_on": str(tomorrow)}, {"carry": "401"}):
        assert ann.post(f"{page}shots/", {"carry": "128", **wrong}).status_code == 400, wrong
    assert ann.post(f"{page}shots/{shot.pk}/remove/").status_code == 303
    assert not Shot.objects.exists()


def test_a_list_is_read_then_stored_then_taken_back(people, ann):
    a_club(people.ann)
    looked = ann.post(f"{BOOK}shots/", {"text": LIST, "whole": "yes"})
    assert looked.status_code == 200
    assert "3 shots with two clubs. Nothing is stored yet." in text_of(looked)
    assert "New in the book: pitching wedge ." in text_of(looked)
    assert not Shot.objects.exists()
    sent = {"text": LIST, "whole": "yes", "store": "yes", "length_unit": value(looked, "length_unit")}
    assert ann.post(f"{BOOK}shots/", sent).status_code == 303
    assert (Shot.objects.count(), Club.objects.count()) == (3, 2)
    again = ann.post(f"{BOOK}shots/", {"text": LIST, "whole": "yes"})
    assert "This list is in the book already." in text_of(again)
    assert "A list of 3 shots with two clubs, 3 Apr 2026" in text_of(ann.get(BOOK))
    undo = f"{BOOK}shot-lists/{Shot.objects.first().batch}/undo/"
    assert "3 of its shots are in the book" in text_of(ann.get(undo))
    assert ann.post(undo).status_code == 303
    assert (Shot.objects.count(), Club.objects.count()) == (0, 2)
    assert ann.get(undo).status_code == 404


def test_a_file_in_metres_is_told_in_yards(ann):
    file = SimpleUploadedFile("range.csv", b"club;carry\n7i;100,0\n", "text/csv")
    looked = ann.post(f"{BOOK}shots/", {"file": file, "length_unit": "metres", "whole": "yes"})
    assert "7 iron 109" in text_of(looked)
    assert value(looked, "length_unit") == "metres"


def test_every_problem_of_a_list_is_shown_with_its_line(ann):
    answer = ann.post(f"{BOOK}shots/", {"text": "club,carry\n7i,far\nThe Spoon,12\n", "whole": "yes", "store": "yes"})
    assert answer.status_code == 400
    assert "2 carry “far” is not a distance" in text_of(answer)
    bad = ann.post(f"{BOOK}shots/", {"text": "club,carry\nThe Spoon,120\n", "whole": "yes", "store": "yes"})
    assert "2 club No club “The Spoon” is in the book" in text_of(bad)
    assert not Shot.objects.exists()


@pytest.mark.parametrize(("data", "status"), [(b"\x89PNG\r\n", 415), (b"x" * (2 * 1024 * 1024 + 1), 413), (b"", 400)])
def test_a_file_that_is_no_list_is_refused(ann, data, status):
    file = SimpleUploadedFile("range.csv", data, "text/csv")
    assert ann.post(f"{BOOK}shots/", {"file": file, "whole": "yes"}).status_code == status


def test_an_open_date_is_asked_on_the_page(ann):
    open_list = "club,carry,date\n7i,140,03/04/2026\n"
    asked = ann.post(f"{BOOK}shots/", {"text": open_list, "whole": "yes"})
    assert "One question first" in text_of(asked)
    answered = {"text": open_list, "whole": "yes", "day_first": "yes"}
    assert "3 Apr 2026" in text_of(ann.post(f"{BOOK}shots/", answered))
    assert ann.post(f"{BOOK}shots/", {**answered, "store": "yes"}).status_code == 303
    assert Shot.objects.get().hit_on == date(2026, 4, 3)


def test_the_day_makes_a_shot_longer_and_says_why(people, ann):
    """150 in 11 degrees, ten under the usual 21: 0.15 % a degree are 2.25; 10 miles an hour against are a tenth, 15."""
    a_club(people.ann, carry=150)
    answer = ann.get(f"{BOOK}today/?distance=150&temperature=11&wind=moderate&wind_from=ahead")
    assert answer.status_code == 200
    page = text_of(answer)
    assert "150 yards play about 167." in page
    assert "Cool air adds 2 (0.15 % a degree, from a published test)." in page
    assert "A moderate wind against adds 15 (1 % a mile an hour, common practice)." in page
    # The same swing carries 150 / 1.115 = 134.5.
    assert re.search(r"7 iron 150 13[45] ", page)


def test_a_wind_across_blows_it_aside(people, ann):
    """0.6 % of the carry for each of 20 miles an hour: 150 x 0.12 = 18, to the right when it comes from the left."""
    a_club(people.ann, carry=150)
    page = text_of(ann.get(f"{BOOK}today/?wind=strong&wind_from=left"))
    assert "18 right" in page
    assert "blows the ball aside: 0.6 % of the carry a mile an hour" in page
    assert "18 left" in text_of(ann.get(f"{BOOK}today/?wind=strong&wind_from=right"))


def test_a_usual_day_changes_nothing(people, ann):
    a_club(people.ann)
    assert "150 yards play as they measure." in text_of(ann.get(f"{BOOK}today/?distance=150"))
    assert "Work it out" in text_of(ann.get(f"{BOOK}today/"))


@pytest.mark.parametrize(
    "asked",
    ["temperature=90", "temperature=warm", "wind=strong", "wind_from=left", "wind=storm&wind_from=left", "rise=101",
     "altitude=9000", "distance=0", "ground=lava", "distance=%00"],
)  # fmt: skip
def test_a_day_that_cannot_be_comes_back(ann, asked):
    answer = ann.get(f"{BOOK}today/?{asked}")
    assert answer.status_code == 400
    assert "needs a look" in text_of(answer)


def test_a_published_spread_is_said_to_be_one_until_the_shots_outweigh_it(people, ann):
    club = a_club(people.ann)
    page = f"{BOOK}clubs/{club.pk}/"
    assert "Spread rests on published figures" in text_of(ann.get(page))
    shots = [carries.ShotFacts(carry=135 + at % 3, off_line=at % 5 - 2) for at in range(11)]
    carries.add_shots(club=club, shots=shots)
    assert "Spread rests on your own" in text_of(ann.get(page))


def test_nobody_else_finds_a_club_or_a_list(people, ann):
    club = a_club(people.ann)
    ann.post(f"{BOOK}shots/", {"text": LIST, "whole": "yes", "store": "yes"})
    batch = Shot.objects.first().batch
    for other in (people.ben, people.dan, people.cat):
        client = build.signed_in(other)
        for address in ("", "change/", "remove/"):
            assert client.get(f"{BOOK}clubs/{club.pk}/{address}").status_code == 404
        assert client.get(f"{BOOK}shot-lists/{batch}/undo/").status_code == 404
        assert "7 iron" not in text_of(client.get(BOOK))
    assert Client().get(BOOK).status_code == 401


def test_many_shots_come_in_parts(people, ann):
    club = a_club(people.ann)
    Shot.objects.bulk_create(Shot(club=club, carry=100 + at) for at in range(60))
    assert "1 to 50 of 60" in text_of(ann.get(f"{BOOK}clubs/{club.pk}/"))
    assert "51 to 60 of 60" in text_of(ann.get(f"{BOOK}clubs/{club.pk}/?page=2"))
