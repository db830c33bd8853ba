"""One's own account over the API: what a browser may, what a token may, what nobody may."""

import io
import json
import zipfile
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from league.models import Account, SignIn, Token
from league.services import tokens
from league.services.rounds import RoundFacts, post_round
from tests import build

pytestmark = pytest.mark.django_db

RIGHT = {"password": build.PASSWORD}
WRONG = {"password": "not-the-password"}


@pytest.fixture
def people() -> build.People:
    return build.people()


def sent(client: Client, method: str, path: str, body: Any = None, **headers: str) -> Any:
    return client.generic(
        method,
        f"/api/v1/{path}",
        "" if body is None else json.dumps(body),
        content_type="application/json",
        headers=headers,
    )


def with_token(account: Account, *scopes: str) -> dict[str, str]:
    _, value = tokens.make_token(account=account, name="spreadsheet", scopes=list(scopes), days=7)
    return {"Authorization": f"Bearer {value}"}


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "me/"),
        ("GET", "me/tokens/"),
        ("POST", "me/tokens/"),
        ("GET", "me/sign-ins/"),
        ("POST", "me/export/"),
        ("POST", "me/erasure/"),
        ("DELETE", "me/erasure/"),
    ],
)
def test_nobody_is_told_to_sign_in(client: Client, method: str, path: str) -> None:
    assert sent(client, method, path, RIGHT).status_code == 401


def test_the_profile_changes_with_its_version(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    tee = build.tee(build.course(people.group))
    me = sent(ann, "GET", "me/")
    assert (me.json()["name"], me.json()["official"], me.json()["email"]) == ("Ann", False, people.ann.account.email)
    changes = {"length_unit": "metres", "theme": "dark", "home_tee": str(tee.pk)}
    changed = sent(ann, "PATCH", "me/", changes, **{"If-Match": me["ETag"]})
    assert {name: changed.json()[name] for name in changes} == changes
    assert sent(ann, "PATCH", "me/", {"name": "Anna"}, **{"If-Match": me["ETag"]}).status_code == 412


def test_a_home_tee_that_is_not_theirs_is_an_unknown_id(people: build.People) -> None:
    tee = build.tee(build.course(people.other_group))
    refused = sent(build.signed_in(people.ann), "PATCH", "me/", {"home_tee": str(tee.pk)}, **{"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (400, "id")


def test_nobody_sets_what_the_service_sets(people: build.People) -> None:
    refused = sent(build.signed_in(people.ann), "PATCH", "me/", {"index": 3.1}, **{"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["errors"][0]["field"]) == (400, "index")


def test_a_token_reads_or_writes_and_never_manages_the_account(people: build.People, client: Client) -> None:
    reads, writes = with_token(people.ann.account, "read"), with_token(people.ann.account, "read", "write")
    assert sent(client, "GET", "me/", **reads).status_code == 200
    refused = sent(client, "PATCH", "me/", {"name": "Anna"}, **reads, **{"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["code"]) == (403, "scope_missing")
    assert sent(client, "PATCH", "me/", {"name": "Anna"}, **writes, **{"If-Match": '"1"'}).status_code == 200
    for method, path in (
        ("GET", "me/tokens/"),
        ("POST", "me/tokens/"),
        ("POST", "me/export/"),
        ("POST", "me/erasure/"),
    ):
        refused = sent(client, method, path, RIGHT, **writes)
        assert (refused.status_code, refused.json()["code"]) == (403, "browser_only")


def test_a_token_is_shown_once_and_takes_the_password(people: build.People, client: Client) -> None:
    ann = build.signed_in(people.ann)
    wanted = {"name": "spreadsheet", "scopes": ["read"], "days": 30}
    assert sent(ann, "POST", "me/tokens/", {**wanted, **WRONG}).status_code == 400
    key = {"Idempotency-Key": "c" * 20}
    made, again = (sent(ann, "POST", "me/tokens/", {**wanted, **RIGHT}, **key).json() for _ in range(2))
    assert (again["id"], again["value"]) == (made["id"], None)
    assert made["value"] not in str(list(Token.objects.values()))
    bearer = {"Authorization": f"Bearer {made['value']}"}
    assert sent(client, "GET", "me/", **bearer).status_code == 200
    assert sent(ann, "DELETE", f"me/tokens/{made['id']}/").status_code == 204
    assert sent(client, "GET", "me/", **bearer).status_code == 401
    assert sent(ann, "GET", "me/tokens/").json()["count"] == 0


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"days": 366}, "days"),
        ({"scopes": ["account"]}, "scopes.0"),
        ({"scopes": []}, "scopes"),
        ({"name": ""}, "name"),
    ],
)
def test_a_token_keeps_its_bounds(people: build.People, change: dict[str, Any], field: str) -> None:
    wanted = {"name": "spreadsheet", "scopes": ["read"], "days": 30, **RIGHT, **change}
    refused = sent(build.signed_in(people.ann), "POST", "me/tokens/", wanted)
    assert (refused.status_code, refused.json()["errors"][0]["field"]) == (400, field)


def test_tokens_and_sign_ins_of_others_do_not_exist(people: build.People) -> None:
    token, _ = tokens.make_token(account=people.ann.account, name="spreadsheet", scopes=["read"], days=7)
    build.signed_in(people.ann).get("/api/v1/me/")
    sign_in = SignIn.objects.get(account=people.ann.account)
    ben = build.signed_in(people.ben)
    assert sent(ben, "DELETE", f"me/tokens/{token.pk}/").status_code == 404
    assert sent(ben, "DELETE", f"me/sign-ins/{sign_in.pk}/").status_code == 404


def test_ending_a_sign_in_ends_it_on_its_next_request(people: build.People) -> None:
    phone, laptop = build.signed_in(people.ann), build.signed_in(people.ann)
    assert phone.get("/api/v1/me/", headers={"User-Agent": "iPhone Safari/1"}).status_code == 200
    listed = sent(laptop, "GET", "me/sign-ins/").json()["results"]
    other = next(one for one in listed if not one["is_this"])
    assert other["agent"] == "Safari, iPhone"
    assert sent(laptop, "DELETE", f"me/sign-ins/{other['id']}/").status_code == 204
    assert phone.get("/api/v1/me/").status_code == 401
    assert laptop.get("/api/v1/me/").status_code == 200


def test_a_sign_in_ends_by_itself_when_it_is_old(people: build.People, settings) -> None:
    ann = build.signed_in(people.ann)
    assert ann.get("/api/v1/me/").status_code == 200
    session = ann.session
    session["since"] -= (settings.SIGN_IN_MAX_DAYS + 1) * 86_400
    session.save()
    assert ann.get("/api/v1/me/").status_code == 401


def test_everything_comes_in_one_archive(people: build.People) -> None:
    ann = build.signed_in(people.ann)
    assert sent(ann, "POST", "me/export/", WRONG).status_code == 400
    tokens.make_token(account=people.ann.account, name="=2+2", scopes=["read"], days=7)
    tee = build.tee(build.course(people.group))
    for day in (1, 2, 3):
        facts = RoundFacts(tee=tee, played_on=date(2026, 3, day), gross=90 + day, adjusted_gross=90 + day)
        post_round(player=people.ann, facts=facts, posted_by=people.ann)
    packed = sent(ann, "POST", "me/export/", RIGHT)
    assert packed["Content-Disposition"] == 'attachment; filename="everything-of-mine.zip"'
    archive = zipfile.ZipFile(io.BytesIO(packed.content))
    everything = json.loads(archive.read("everything.json"))
    assert everything["player"][0]["name"] == "Ann"
    assert everything["official"] is False
    assert [played["gross"] for played in everything["rounds"]] == [91, 92, 93]
    assert [line["index"] is None for line in everything["revisions"]] == [True, True, False]
    assert everything["card_events"][0]["recorded_by"] == "you"
    assert "token_hash" not in archive.read("everything.json").decode()
    assert "'=2+2" in archive.read("tokens.csv").decode()
    tables = [name for name in archive.namelist() if name.endswith(".csv") and name != "columns.csv"]
    explained = archive.read("columns.csv").decode()
    for table in tables:
        for column in archive.read(table).decode().split("\r\n")[0].split(","):
            assert f"{table},{column}," in explained


def test_erasure_ends_tokens_and_sign_ins_and_can_be_called_off(people: build.People, client: Client) -> None:
    ann, bearer = build.signed_in(people.ann), with_token(people.ann.account, "read")
    elsewhere = build.signed_in(people.ann)
    elsewhere.get("/api/v1/me/")
    assert sent(ann, "POST", "me/erasure/", WRONG).status_code == 400
    asked = sent(ann, "POST", "me/erasure/", RIGHT)
    assert asked.status_code == 202
    for gone in (ann.get("/api/v1/me/"), elsewhere.get("/api/v1/me/"), sent(client, "GET", "me/", **bearer)):
        assert gone.status_code == 401
    assert Account.objects.get(pk=people.ann.account.pk).erase_due_at > timezone.now() + timedelta(days=6)
    back = build.signed_in(people.ann)
    assert sent(back, "DELETE", "me/erasure/").status_code == 204
    assert sent(back, "GET", "me/").json()["erase_due_at"] is None
