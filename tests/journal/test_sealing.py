"""Text sealed in the database, and what happens when keys change or are missing.

Fernet itself is the `cryptography` library's; here it is checked that what it makes is what is stored.
"""

from io import StringIO

import pytest
from cryptography.fernet import Fernet
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client

from journal.models import LookBack
from journal.sealing import MARK, Unopened
from journal.services.look_backs import open_look_back, write_look_back
from league.models import Round
from tests import build

pytestmark = pytest.mark.django_db
WORDS = "The wind was not the reason."


def raw() -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT keep FROM journal_lookback")
        return str(cursor.fetchone()[0])


def run(*arguments: str) -> str:
    said = StringIO()
    call_command("seal_journal", *arguments, stdout=said)
    return said.getvalue()


@pytest.fixture
def entry(people: build.People, played: Round) -> LookBack:
    made = open_look_back(player=people.ann, played=played)
    return write_look_back(look_back=made, changes={"keep": WORDS, "state": "done"})


def test_without_keys_it_is_plain(entry: LookBack) -> None:
    assert raw() == WORDS
    with pytest.raises(CommandError, match="LEAGUE_JOURNAL_KEYS is empty"):
        run()


def test_sealed_turned_over_to_a_new_key_and_opened_again(entry: LookBack, settings: object) -> None:
    old, new = run("--new-key").strip(), run("--new-key").strip()
    settings.JOURNAL_KEYS = [old]
    assert run() == "1 text sealed with the first key.\n"
    assert WORDS not in raw()
    assert Fernet(old).decrypt(raw().removeprefix(MARK)).decode() == WORDS
    assert LookBack.objects.get().keep == WORDS
    settings.JOURNAL_KEYS = [new, old]
    run()
    settings.JOURNAL_KEYS = [new]
    assert LookBack.objects.get().keep == WORDS
    settings.JOURNAL_KEYS = [old]
    with pytest.raises(Unopened):
        LookBack.objects.get()
    with pytest.raises(CommandError, match="Nothing was changed"):
        run()
    settings.JOURNAL_KEYS = [new]
    run("--open")
    settings.JOURNAL_KEYS = []
    assert LookBack.objects.get().keep == WORDS == raw()


def test_new_words_are_sealed_and_found_and_nothing_seals_twice(
    people: build.People, played: Round, settings: object
) -> None:
    settings.JOURNAL_KEYS = [Fernet.generate_key().decode()]
    made = open_look_back(player=people.ann, played=played)
    write_look_back(look_back=made, changes={"keep": WORDS})
    assert raw().startswith(MARK)
    assert WORDS not in raw()
    run()
    run()
    assert LookBack.objects.get().keep == WORDS
    ann: Client = build.signed_in(people.ann)
    found = ann.post("/api/v1/journal/search/", {"words": "wind"}, "application/json").json()
    assert found["results"][0]["keep"] == WORDS
    assert "sealed in the database" in ann.get("/journal/settings/").content.decode()
