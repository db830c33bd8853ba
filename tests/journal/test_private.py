"""A planted sentence in every text of ann's journal, and everywhere it must not come to: 0 hits.

What every address answers to everybody else, and what is logged then, is looked at in tests/access/test_cells.py.
"""

import json
import zipfile
from collections.abc import Iterator
from io import BytesIO
from unittest.mock import patch

import pytest
from django.apps import apps
from django.core import mail, serializers
from django.db import transaction
from django.test import Client
from django.urls import reverse

from journal.models import Intention, LookBack
from journal.sealing import SealedText
from league.reports.leaving import person_archive
from tests import build
from tests.access.journal_world import JOURNAL, SHARED
from tests.access.private import DRAFT_ON_HOME, TYPED, hits, logged
from tests.access.world import World, build_world, taken_back

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: pytest.fixture) -> Iterator[World]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield build_world()
        transaction.set_rollback(True)


@pytest.fixture
def log() -> Iterator[list[str]]:
    with logged() as written:
        yield written


def test_every_text_of_the_journal_is_planted(world: World) -> None:
    empty = []
    for model in apps.get_app_config("journal").get_models():
        names = [field.name for field in model._meta.fields if isinstance(field, SealedText)]
        for name in names:
            values = model._default_manager.filter(player=world.people.ann).values_list(name, flat=True)
            if not any("canary-" in value for value in values):
                empty.append(f"{model.__name__}.{name}")
    assert empty == []


def test_a_draft_is_told_on_her_own_home_until_it_is_skipped(world: World) -> None:
    assert DRAFT_ON_HOME in world.client("ann").get(reverse("home")).content.decode()
    with taken_back():
        LookBack.objects.filter(pk=world.ids["draft"]).update(state="skipped")
        assert DRAFT_ON_HOME not in world.client("ann").get(reverse("home")).content.decode()


def wanderings(client: Client, world: World) -> None:
    """Ann writes, searches, mistypes and asks her guardian, by page and by API, with and without keys."""
    address, played = "/api/v1/journal/", world.ids["round of ann"]
    key = {"Idempotency-Key": "a-key-for-the-journal-0001"}
    body = {"goal": TYPED, "when": TYPED, "then": TYPED, "range_words": TYPED, "played_on": "2026-06-01"}
    assert client.post(f"{address}intentions/", body, "application/json", headers=key).status_code == 201
    assert client.post(f"{address}intentions/", body, "application/json", headers=key).status_code == 201
    assert client.post(f"{address}intentions/", {**body, TYPED: 1}, "application/json").status_code == 400
    assert client.post(f"{address}search/", {"words": TYPED}, "application/json").status_code == 200
    keep = {"keep": TYPED}
    wrong = client.patch(f"{address}look-backs/{world.ids['look-back']}/", keep, "application/json")
    assert wrong.status_code == 428
    form = {"keep": TYPED, "change": TYPED, "hole_words": TYPED, "act": "draft", "key": "k" * 24, "version": "99"}
    assert client.post(reverse("look_back", args=[played]), form).status_code == 409
    assert client.post(reverse("look_back", args=[played]), {**form, "version": ""}).status_code == 303
    entry = {"goal": TYPED, "played_on": "2026-06-02", "key": "k" * 24}
    assert client.post(reverse("intention_new"), entry).status_code == 303
    assert client.post(reverse("intention_new"), {**entry, "played_on": TYPED}).status_code == 400
    assert client.post(reverse("journal"), {"words": TYPED}).status_code == 200
    assert client.post(reverse("journal_settings"), {"sentence": TYPED, "breaths": "2"}).status_code == 303


def test_nothing_of_it_is_left_in_tables_logs_cookies_or_mails(world: World, log: list[str]) -> None:
    with taken_back():
        client = world.client("ann")
        wanderings(client, world)
        world.people.ann.is_under_18 = True
        world.people.ann.save()
        asked = {"guardian_email": "parent@example.org", "password": build.PASSWORD}
        assert client.post(reverse("guardian_ask"), asked).status_code == 303
        assert Intention.objects.filter(player=world.people.ann, played_on="2026-06-01").get().goal == TYPED
        for model in apps.get_models():
            if model._meta.app_label != "journal":
                rows = serializers.serialize("json", model._default_manager.all())
                assert not hits(rows), model
                assert "parent@example.org" not in rows
        assert not hits(str(client.cookies) + str(dict(client.session.items())))
    assert len(mail.outbox) == 1
    assert not hits(str(mail.outbox[0].message()))
    assert not hits("\n".join(log))


@pytest.mark.parametrize("how", ["api", "page"])
def test_a_fault_of_ours_quotes_nothing(world: World, log: list[str], how: str) -> None:
    client = world.client("ann")
    with taken_back(), patch("journal.services.before.check_words", side_effect=RuntimeError(f"about {TYPED}")):
        if how == "api":
            answer = client.post("/api/v1/journal/intentions/", {"goal": TYPED}, "application/json")
        else:
            answer = client.post(reverse("intention_new"), {"goal": TYPED, "played_on": "2026-06-02"})
    assert answer.status_code == 500
    assert not hits(answer.content.decode() + "\n".join(log))
    assert "RuntimeError" in "\n".join(log)


def test_archives_of_others_do_not_hold_it_and_her_own_does(world: World) -> None:
    def text_of(account: object) -> str:
        packed = zipfile.ZipFile(BytesIO(person_archive(account)))
        return "\n".join(packed.read(name).decode() for name in packed.namelist())

    people = world.people
    for player in (people.ben, people.dan, people.cat):
        assert not hits(text_of(player.account)), player
    assert set(hits(text_of(people.ann.account))) == {JOURNAL, SHARED}


def test_no_filter_of_the_league_reaches_it(world: World) -> None:
    for name in ("journal", "look_back", "lookback", "intention", "keep", "search"):
        for address in ("/api/v1/rounds/", "/api/v1/groups/", f"/api/v1/groups/{world.ids['group']}/members/"):
            answer = world.client("ben").get(address, {name: JOURNAL})
            assert (answer.status_code, json.loads(answer.content)["code"]) == (400, "unknown_parameter")


def test_withdrawing_acts_on_the_next_request(world: World) -> None:
    with taken_back():
        shared = reverse("journal_shared", args=[world.ids["look-back"]])
        assert SHARED in world.client("dan").get(shared).content.decode()
        assert (
            world.client("ann").post(reverse("journal_share_withdraw", args=[world.ids["look-back"]])).status_code
            == 303
        )
        assert world.client("dan").get(shared).status_code == 404
        assert LookBack.objects.filter(pk=world.ids["look-back"]).exists()
