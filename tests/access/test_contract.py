"""What anyone can check from outside: addresses, ids, lists, versions, keys, cookies, sign-ins and links."""

import json
import re
from uuid import UUID

import pytest
from django.http import HttpResponse
from django.test import Client

from league.models import Invitation, Membership, SignIn, Token
from league.services import members
from tests import build
from tests.access.asking import address_of, ask, routes
from tests.access.pages import faults_of
from tests.access.test_bad_json import somebody, writing
from tests.access.test_cells import LINES, Line
from tests.access.world import World, taken_back

pytestmark = pytest.mark.django_db

MAKING = [line for line in writing() if line.method == "POST" and 201 in line.cells.values()]
LISTS = [line for line in LINES if line.is_api and line.method == "GET" and 200 in line.cells.values()]
UNKNOWN = ["x=1", "format=json", "page=2", "x=' OR 1=1", "owner=me", "X=1"]


def reading(line: Line) -> str:
    return next(person for person, status in line.cells.items() if status == 200)


@pytest.mark.parametrize("line", MAKING, ids=str)
def test_a_post_answers_what_a_get_answers(world: World, line: Line) -> None:
    with taken_back():
        person = somebody(line)
        made = ask(world, person, "POST", line.name, address_of(world, line.name, line.label))
        assert made.status_code == 201
        body = json.loads(made.content)
        if line.name == "api-round-attestation":
            assert made["ETag"]
            return
        assert UUID(body["id"]).version == 4
        read = ask(world, person, "GET", line.name, made["Location"])
        assert read.status_code == 200
        shown_once = {"link", "value"} & body.keys()
        assert json.loads(read.content) == {**body, **dict.fromkeys(shown_once)}
        assert read.headers.get("ETag") == made.headers.get("ETag")


@pytest.mark.one_database
@pytest.mark.parametrize("line", LISTS, ids=str)
def test_unknown_parameters_are_refused_and_lists_have_one_shape(world: World, line: Line) -> None:
    address, person = address_of(world, line.name, line.label), reading(line)
    if line.name == "api-schema":
        return
    joint = "&" if "?" in address else "?"
    for query in UNKNOWN:
        answer = ask(world, person, "GET", line.name, f"{address}{joint}{query}")
        assert (answer.status_code, json.loads(answer.content)["code"]) == (400, "unknown_parameter"), query
    whole = ask(world, person, "GET", line.name, address)
    body = json.loads(whole.content) if whole["Content-Type"] == "application/json" else {}
    if isinstance(body, dict) and "results" in body and "official" not in body:
        assert set(body) == {"results", "next", "count"}
    if isinstance(body, dict) and "next" in body and line.name not in ("api-barriers", "api-player-barriers"):
        for query in ("page_size=-1", "page_size=0", "page_size=501", "page_size=1000000000", "page_size=a", "cursor=x",
                      "cursor=" + "x" * 5_000):  # fmt: skip
            assert ask(world, person, "GET", line.name, f"{address}{joint}{query}").status_code == 400, query


@pytest.mark.one_database
@pytest.mark.parametrize("name", sorted(routes()))
def test_an_address_has_one_spelling(world: World, name: str) -> None:
    if name in ("health", "home", "api-unknown"):
        return
    path = address_of(world, name).partition("?")[0]
    others = [path[:-1], path + "x/", path[:-1] + ".json", "/%2e%2e" + path]
    others += [path.replace("-", "").replace("apiv1", "api/v1")] if re.search(r"[0-9a-f]{8}-", path) else []
    for other in others:
        answer = ask(world, "ann", "GET", name, other)
        if answer.status_code == 301:
            assert answer["Location"] == f"{other}/"
            answer = ask(world, "ann", "GET", name, f"{other}/") if f"{other}/" != path else None
        assert answer is None or answer.status_code == 404, other


def test_the_schema_and_health_are_open(client: Client) -> None:
    assert client.get("/api/schema/").json()["openapi"].startswith("3.")
    assert client.get("/healthz").content == b"ready\n"


@pytest.mark.parametrize("headers", [{"X-HTTP-Method-Override": "DELETE"}, {"X-Original-URL": "/settings/"},
                                     {"X-Rewrite-URL": "/settings/"}, {"X-Request-ID": "forged"}])  # fmt: skip
def test_headers_that_pretend_are_ignored(world: World, headers: dict[str, str]) -> None:
    address = address_of(world, "api-round")
    plain, pretending = (ask(world, "ann", "GET", "api-round", address, **extra) for extra in ({}, headers))
    assert (plain.status_code, plain.content) == (pretending.status_code, pretending.content)
    assert pretending["X-Request-ID"] != "forged"


def test_a_forged_host_is_refused(world: World) -> None:
    for address in ("/", "/api/v1/me/", "/sign-in/"):
        assert world.client("ann").get(address, headers={"Host": "evil.example"}).status_code == 400


# Sign-ins and links


def signed_in_by_form(world: World, cookie: str = "") -> tuple[Client, HttpResponse]:
    client = Client()
    if cookie:
        client.cookies["session"] = cookie
    return client, client.post("/sign-in/", {"email": world.email, "password": build.PASSWORD})


def test_signing_in_makes_a_new_cookie_that_scripts_cannot_read(world: World) -> None:
    with taken_back():
        client, answer = signed_in_by_form(world, "planted-before-by-somebody")
        cookie = answer.cookies["session"]
        assert cookie.value != "planted-before-by-somebody"
        assert cookie["httponly"]
        assert cookie["samesite"] == "Lax"
        assert client.get("/settings/").status_code == 200


def test_signing_out_ends_the_sign_in_for_copies_of_the_cookie_too(world: World) -> None:
    with taken_back():
        client, _ = signed_in_by_form(world)
        copy = Client()
        copy.cookies["session"] = client.cookies["session"].value
        assert copy.get("/settings/").status_code == 200
        assert client.post("/sign-out/").status_code == 303
        assert copy.get("/settings/").status_code == client.get("/settings/").status_code == 401


def test_a_sign_in_that_was_ended_elsewhere_is_over_at_the_next_request(world: World) -> None:
    with taken_back():
        phone, _ = signed_in_by_form(world)
        assert phone.get("/settings/").status_code == 200
        found = SignIn.objects.get(session_key=phone.cookies["session"].value)
        assert world.client("ann").post(f"/settings/sign-ins/{found.pk}/end/").status_code == 303
        assert phone.get("/settings/").status_code == 401
        assert phone.get("/api/v1/me/").status_code == 401


def test_whoever_is_removed_sees_nothing_at_the_next_request(world: World) -> None:
    group = address_of(world, "api-group")
    with taken_back():
        assert ask(world, "dan", "GET", "api-group", group).status_code == 200
        place = Membership.objects.get(pk=world.ids["place of dan"])
        members.remove_member(membership=place, actor=world.people.ben, reason="Left the club.")
        for name in ("api-group", "api-round", "api-ledger", "group", "round", "ledger", "course"):
            assert ask(world, "dan", "GET", name, address_of(world, name)).status_code == 404, name


def test_a_token_is_over_with_its_account(world: World) -> None:
    with taken_back():
        account = world.people.ann.account
        account.is_active = False
        account.save()
        assert ask(world, "write", "GET", "api-me", "/api/v1/me/").status_code == 401
        assert ask(world, "ann", "GET", "settings", "/settings/").status_code == 401


def test_cut_padded_and_foreign_tokens_are_nobody(world: World) -> None:
    value = world.clients["write"].defaults["HTTP_AUTHORIZATION"].partition(" ")[2]
    for sent_ in (value[:-1], value + "=", value + " ", f" {value}x", value.swapcase(), "x" * 10_000, "é", ""):
        for scheme in ("Bearer", "Token", "Basic"):
            answer = Client().get("/api/v1/me/", headers={"Authorization": f"{scheme} {sent_}"})
            assert answer.status_code == 401 or sent_.strip() == value
    assert Client().get(f"/api/v1/me/?token={value}").status_code == 401
    assert Token.objects.filter(token_hash=value).count() == 0


def test_links_that_are_over_are_like_guessed_ones_and_say_nothing(world: World) -> None:
    found = set()
    for link in ("withdrawn link", "late link", "used link"):
        answer = Client().get(f"/join/{world.ids[link]}/")
        found.add((answer.status_code, answer.content))
    guessed = Client().get(f"/join/{'x' * 43}/")
    assert found == {(guessed.status_code, guessed.content)}
    assert guessed.status_code == 404
    assert "Lapwing" not in guessed.content.decode()


def test_a_page_of_a_link_is_not_found_by_search_engines(world: World) -> None:
    answer = Client().get(f"/join/{world.ids['open link']}/")
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert answer["Referrer-Policy"] in ("same-origin", "no-referrer")


def test_a_cursor_of_somebody_else_is_refused(world: World) -> None:
    page = json.loads(ask(world, "ann", "GET", "api-rounds", "/api/v1/rounds/?page_size=1").content)
    assert ask(world, "ann", "GET", "api-rounds", page["next"]).status_code == 200
    assert ask(world, "cat", "GET", "api-rounds", page["next"]).status_code == 400


def test_a_key_of_somebody_else_is_unrelated(world: World) -> None:
    key = {"Idempotency-Key": "the-same-key-for-two-people"}
    with taken_back():
        answers = [ask(world, who, "POST", "api-groups", "/api/v1/groups/", None, **key) for who in ("ann", "cat")]
        again = ask(world, "ann", "POST", "api-groups", "/api/v1/groups/", None, **key)
        other = ask(world, "ann", "POST", "api-groups", "/api/v1/groups/", {"name": "X", "time_zone": "UTC"}, **key)
    assert [answer.status_code for answer in answers] == [201, 201]
    assert json.loads(answers[0].content)["id"] != json.loads(answers[1].content)["id"]
    assert (again.content, again["Idempotency-Replayed"]) == (answers[0].content, "true")
    assert other.status_code == 422


# Hostile words where they are shown

HOSTILE = "\"><svg onload=alert(1)><script>alert('x')</script>&amp;"
HIDDEN = ("<svg onload", "<script>alert", "onload=alert(1)>")


def test_hostile_words_are_shown_as_they_were_typed(world: World) -> None:
    people = world.people
    with taken_back():
        for row in (people.ann, people.dan, people.eve, people.group, *people.group.courses.all()):
            row.name = HOSTILE
            row.save()
        for course in people.group.courses.all():
            course.place = HOSTILE
            course.save()
            course.tees.update(name=HOSTILE[:40])
        people.ann.rounds.update(note=HOSTILE, marker_name=HOSTILE, playing_conditions_from=HOSTILE, ref=HOSTILE[:64])
        Invitation.objects.update(label=HOSTILE)
        Token.objects.update(name=HOSTILE)
        n_shown = 0
        for line in LINES:
            for person in ("ann", "ben", "dan"):
                if line.is_api or line.method != "GET" or line.cells.get(person) != 200:
                    continue
                answer = ask(world, person, "GET", line.name, address_of(world, line.name, line.label))
                assert answer.status_code == 200, (line, person)
                assert not faults_of(answer, line.name), (line, person)
                text = answer.content.decode()
                if answer["Content-Type"].startswith("text/html"):
                    assert not [word for word in HIDDEN if word in text], (line, person)
                    n_shown += "&quot;&gt;&lt;svg" in text
        assert n_shown > 20


@pytest.mark.parametrize("word", ["=HYPERLINK(1)", "+1", "-1+1", "@x"])
def test_a_formula_in_a_name_is_a_text_in_every_table(world: World, word: str) -> None:
    with taken_back():
        world.people.ann.rounds.update(note=word, marker_name=word)
        for course in world.people.group.courses.all():
            course.name = word
            course.save()
        for name in ("rounds_file", "api-rounds-file"):
            text = ask(world, "ann", "GET", name, address_of(world, name)).content.decode()
            assert word in text
            assert not re.search(rf'(^|,|")\s*{re.escape(word)}', text, re.MULTILINE), name


def test_file_names_have_no_line_ends(world: World) -> None:
    with taken_back():
        course = world.people.group.courses.get(pk=world.ids["course"])
        course.name = 'a"; filename=evil.exe \u2028'
        course.save()
        answer = ask(world, "ann", "GET", "course_export", address_of(world, "course_export"))
        assert re.fullmatch(r'attachment; filename="[a-z0-9-]+\.json"', answer["Content-Disposition"])
