"""Signing up, in and out; the way back; one's own settings."""

import io
import re
import zipfile
from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.core import mail
from django.test import Client
from django.utils import timezone

from league.models import Account, Group, Membership, Player, Role, SignIn, Token
from league.services import tokens
from league.web.accounts import post_room
from tests import build

pytestmark = pytest.mark.django_db

NEW = {
    "name": "Ivy",
    "email": "Ivy@Example.org",
    "password": "lapwings over the dyke",
    "group_name": "Teal Tuesday Group",
    "time_zone": "Europe/London",
}


@pytest.fixture
def people() -> build.People:
    return build.people()


def mails() -> list[str]:
    """What has left so far: the one thread that sends has nothing waiting any more."""
    post_room.submit(lambda: None).result()
    return [message.body for message in mail.outbox]


# Up


def test_one_form_makes_account_player_group_and_organiser(client: Client) -> None:
    done = client.post("/sign-up/", NEW)
    place = Membership.objects.get(player__name="Ivy")
    assert (done.status_code, done["Location"]) == (303, f"/group/{place.group_id}/")
    assert (place.role, place.group.name, place.player.account.email) == (
        Role.ORGANISER,
        "Teal Tuesday Group",
        "ivy@example.org",
    )
    assert "Ivy" in client.get(done["Location"]).content.decode()


def test_a_double_press_signs_up_once(client: Client) -> None:
    client.post("/sign-up/", NEW)
    again = Client().post("/sign-up/", NEW)
    assert again.status_code == 303
    assert (Group.objects.count(), Account.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("name", "", "This is needed."),
        ("name", "\u202eyvI", "direction"),
        ("name", "x" * 81, "80 at most"),
        ("email", "ivy", "valid email"),
        ("password", "short", "10 characters"),
        ("password", "password1234", "too common"),
        ("password", "ivy@example.org", "similar"),
        ("time_zone", "Moon/Sea", "not one of the available"),
    ],
)
def test_a_fault_stands_at_its_field_and_the_entries_are_kept(
    client: Client, field: str, value: str, said: str
) -> None:
    page = client.post("/sign-up/", {**NEW, field: value})
    shown = page.content.decode()
    assert page.status_code == 400
    assert said in shown
    assert f'id="id_{field}_error"' in shown
    assert 'value="Teal Tuesday Group"' in shown
    assert 'value="lapwings' not in shown
    assert not Account.objects.exists()


def test_an_address_that_is_taken_is_said_at_its_field(people: build.People, client: Client) -> None:
    page = client.post("/sign-up/", {**NEW, "email": people.ann.account.email})
    assert page.status_code == 409
    assert 'id="id_email_error"' in page.content.decode()
    assert not Player.objects.filter(name="Ivy").exists()


# In and out


def sign_in(client: Client, email: str, password: str = build.PASSWORD, **more: str):
    return client.post("/sign-in/", {"email": email, "password": password, **more})


def test_the_right_password_signs_in_under_a_new_key(people: build.People) -> None:
    client = Client()
    client.get("/sign-in/")
    client.cookies["session"] = "planted0planted0planted0planted0"
    done = sign_in(client, f" {people.ann.account.email.upper()} ", next="/settings/")
    assert (done.status_code, done["Location"]) == (303, "/settings/")
    assert client.cookies["session"].value != "planted0planted0planted0planted0"
    assert client.get("/settings/").status_code == 200
    assert SignIn.objects.get(account=people.ann.account).agent == "unknown browser"


@pytest.mark.parametrize("address", ["//evil.example/", "https://evil.example/", "javascript:alert(1)", "/\\evil", ""])
def test_the_way_on_stays_here(people: build.People, address: str) -> None:
    done = sign_in(Client(), people.ann.account.email, next=address)
    assert done["Location"] == "/"


def test_unknown_and_known_addresses_are_answered_alike(people: build.People) -> None:
    def answer(email: str) -> tuple[int, str]:
        page = sign_in(Client(), email, "wrong password")
        plain = re.sub(r'value="[^"]*"', "", page.content.decode())
        return page.status_code, plain

    assert answer(people.ann.account.email) == answer("nobody@example.org")


@pytest.mark.parametrize("known", [True, False])
def test_many_tries_are_delayed_and_never_locked_for_ever(people: build.People, known: bool) -> None:
    email = people.ann.account.email if known else "nobody@example.org"
    client = Client()
    answers = [sign_in(client, email, f"wrong {number}").status_code for number in range(8)]
    assert answers[0] == 400
    assert answers[-1] == 429
    assert sign_in(client, email).status_code == 429
    elsewhere = Client(REMOTE_ADDR="192.0.2.7")
    assert sign_in(elsewhere, email).status_code == (303 if known else 400)
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=16))
    assert sign_in(client, email).status_code == (303 if known else 400)


def test_the_counter_of_tries_keeps_no_form(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    ann.post("/settings/password/?note=canary-1", {"password": "canary-2", "new_password": "canary-3 canary-3"})
    kept = str(list(AccessAttempt.objects.values()))
    assert people.ann.account.email in kept
    assert "canary" not in kept


def test_signing_out_ends_the_session_and_says_so(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    ann.get("/settings/")
    assert ann.get("/sign-out/").status_code == 405
    done = ann.post("/sign-out/", follow=True)
    assert "keeps nothing of yours" in done.content.decode()
    assert not SignIn.objects.exists()
    assert ann.get("/settings/").status_code == 401


def test_a_form_from_elsewhere_is_refused(people: build.People) -> None:
    client = Client(enforce_csrf_checks=True)
    assert sign_in(client, people.ann.account.email).status_code == 403


# The way back


def test_a_mailed_link_sets_a_password_once_and_ends_other_sign_ins_and_tokens(people: build.People) -> None:
    elsewhere = build.signed_in(people.ann)
    elsewhere.get("/settings/")
    client = Client()
    token, _ = tokens.make_token(account=people.ann.account, name="spreadsheet", scopes=["read"], days=7)
    assert client.post("/reset/", {"email": people.ann.account.email})["Location"] == "/reset/sent/"
    (body,) = mails()
    link = re.search(r"http://testserver(/reset/\S+)", body)[1]
    assert client.get(link)["Referrer-Policy"] == "same-origin"
    assert client.post(link, {"new_password": "password1234"}).status_code == 400
    assert client.post(link, {"new_password": "sandpipers at low water"}).status_code == 303
    assert client.post(link, {"new_password": "another long password"}).status_code == 404
    assert elsewhere.get("/settings/").status_code == 401
    assert Token.objects.get(pk=token.pk).withdrawn_at is not None
    assert sign_in(Client(), people.ann.account.email, "sandpipers at low water").status_code == 303


def test_an_unknown_address_hears_the_same(people: build.People) -> None:
    known = Client().post("/reset/", {"email": people.ann.account.email})
    unknown = Client().post("/reset/", {"email": "nobody@example.org"})
    assert (known.status_code, known["Location"]) == (unknown.status_code, unknown["Location"])
    assert len(mails()) == 1


def test_cut_and_foreign_links_are_unknown(people: build.People, client: Client) -> None:
    for link in ("/reset/MQ/abc-def/", "/reset/%00/x/", "/reset/a/b/"):
        assert client.get(link).status_code == 404


# Settings


def test_the_profile_is_stored(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    tee = build.tee(build.course(people.group))
    entered = {"name": "Anna", "length_unit": "metres", "rated_for": "women", "home_tee": tee.pk, "theme": "dark"}
    assert ann.post("/settings/", entered).status_code == 303
    page = ann.get("/settings/").content.decode()
    assert 'data-theme="dark"' in page
    assert "Anna" in page


def test_a_name_that_acts_as_markup_is_shown_as_text(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    ann.post("/settings/", {"name": "<script>alert(1)</script>", "length_unit": "yards", "rated_for": "women"})
    for page in (ann.get("/settings/"), build.signed_in(people.ben).get(f"/group/{people.group.pk}/")):
        assert "<script>" not in page.content.decode()
        assert "&lt;script&gt;" in page.content.decode()


def test_password_and_address_take_the_password(people: build.People) -> None:
    ann, elsewhere = build.signed_in(people.ann), build.signed_in(people.ann)
    elsewhere.get("/settings/")
    ann.get("/settings/")
    new = "sandpipers at low water"
    assert ann.post("/settings/password/", {"password": "wrong", "new_password": new}).status_code == 400
    assert ann.post("/settings/password/", {"password": build.PASSWORD, "new_password": new}).status_code == 303
    assert ann.get("/settings/").status_code == 200
    assert elsewhere.get("/settings/").status_code == 401
    assert SignIn.objects.filter(account=people.ann.account).count() == 1
    was = people.ann.account.email
    assert ann.post("/settings/email/", {"password": new, "email": people.ben.account.email}).status_code == 409
    assert ann.post("/settings/email/", {"password": new, "email": "Anna@Example.org"}).status_code == 303
    assert Account.objects.get(pk=people.ann.account.pk).email == "anna@example.org"
    assert "anna@example.org" in mails()[0]
    assert mail.outbox[0].to == [was]


def test_index_only_is_switched_by_the_member_alone(people: build.People) -> None:
    place = Membership.objects.get(group=people.group, player=people.ann)
    ann = build.signed_in(people.ann)
    assert ann.post(f"/settings/places/{place.pk}/", {"hides_lines": "yes"}).status_code == 303
    place.refresh_from_db()
    assert place.hides_lines
    assert build.signed_in(people.ben).post(f"/settings/places/{place.pk}/").status_code == 403
    assert build.signed_in(people.cat).post(f"/settings/places/{place.pk}/").status_code == 404


def test_a_token_is_shown_on_one_page_once(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    key = re.search(r'name="key" value="([^"]+)"', ann.get("/settings/tokens/new/").content.decode())[1]
    wanted = {"name": "spreadsheet", "scope": "read", "days": "30", "password": build.PASSWORD, "key": key}
    done = ann.post("/settings/tokens/new/", wanted)
    again = ann.post("/settings/tokens/new/", wanted)
    assert (done.status_code, again["Location"]) == (303, done["Location"])
    assert Token.objects.count() == 1
    shown = re.search(r'class="code">([^<]+)<', ann.get(done["Location"]).content.decode())[1]
    assert len(shown) >= 43
    assert shown not in ann.get(done["Location"]).content.decode()
    assert build.signed_in(people.ben).get(done["Location"]).status_code == 404
    assert ann.post(f"{done['Location']}withdraw/").status_code == 303
    assert ann.get(done["Location"]).status_code == 404


def test_the_archive_takes_the_password(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    assert ann.post("/settings/archive/", {"password": "wrong"}).status_code == 400
    packed = ann.post("/settings/archive/", {"password": build.PASSWORD})
    assert "README.txt" in zipfile.ZipFile(io.BytesIO(packed.content)).namelist()


def test_erasing_signs_out_everywhere_and_signing_in_again_asks(people: build.People) -> None:
    ben = build.signed_in(people.ben)
    assert "only organiser of" in ben.get("/settings/erase/").content.decode()
    assert ben.post("/settings/erase/", {"password": "wrong"}).status_code == 400
    assert ben.post("/settings/erase/", {"password": build.PASSWORD})["Location"] == "/sign-in/"
    assert ben.get("/settings/").status_code == 401
    back = Client()
    assert sign_in(back, people.ben.account.email)["Location"] == "/settings/erase/"
    assert "Keep it after all" in back.get("/settings/erase/").content.decode()
    assert back.post("/settings/keep/").status_code == 303
    assert Account.objects.get(pk=people.ben.account.pk).erase_due_at is None


@pytest.mark.parametrize("address", ["", "password/", "email/", "tokens/new/", "archive/", "erase/"])
def test_nobody_signs_in_first(client: Client, address: str) -> None:
    page = client.get(f"/settings/{address}")
    assert page.status_code == 401
    assert page["Cache-Control"] == "private, no-store"


def test_the_head_of_a_page_asks_the_database_three_times(people: build.People, django_assert_num_queries) -> None:
    ann = build.signed_in(people.ann)
    ann.get("/settings/password/")
    with django_assert_num_queries(2 + 3):  # the session and its account, then the sheet
        ann.get("/settings/password/")
