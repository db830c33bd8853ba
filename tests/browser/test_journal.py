"""The journal's pages on the demo season: sound on a phone, wide, in the dark and on paper; the reset in one tap."""

import pytest
from django.urls import reverse
from playwright.sync_api import Browser

from journal.models import GuardianDecision, Intention, LookBack, Reset, Share
from journal.services.guardian import ask_guardian
from league.models import Player
from tests import build
from tests.browser.soundness import faults_of, visitor

WRITER, READER = "nuala@skerrin.example", "tomoko@skerrin.example"


def cookie(email: str) -> str:
    return build.signed_in(Player.objects.get(account__email=email)).cookies["session"].value


def test_every_page_of_it_is_sound(browser: Browser, demo: str) -> None:
    nuala = Player.objects.get(account__email=WRITER)
    meant = Intention.objects.filter(player=nuala).first()
    entry = Share.objects.get(look_back__player=nuala).look_back
    plain = ("journal", "intention_new", "intentions", "journal_reset", "journal_reset_evidence", "journal_settings")
    plain = (*plain, "journal_export", "journal_erase")
    addresses = [reverse(name) for name in (*plain, "guardian_ask", "journal_evidence", "journal_help")]
    addresses += [reverse(name, args=[meant.pk]) for name in ("intention", "intention_drop")]
    addresses += [reverse(f"journal_{name}", args=[entry.pk]) for name in ("entry", "entry_drop", "share")]
    addresses += [reverse("look_back", args=[entry.round_id]), reverse("journal_reset") + "?done=1"]
    faults = []
    with visitor(browser, demo, cookie(WRITER)) as reader:
        for address in addresses:
            reader.go(demo + address)
            faults += [f"{address} {fault}" for fault in faults_of(reader, dark=True)]
    with visitor(browser, demo, cookie(READER)) as reader:
        reader.go(demo + reverse("journal_shared", args=[entry.pk]))
        faults += [f"shared {fault}" for fault in faults_of(reader, dark=True)]
        reader.go(demo + reverse("journal_entry", args=[entry.pk]), 404)
    assert not faults, "\n".join(faults)


def test_the_reset_is_one_tap(browser: Browser, demo: str) -> None:
    before = Reset.objects.count()
    with visitor(browser, demo, cookie(WRITER)) as reader:
        page = reader.go(f"{demo}{reverse('journal_reset')}?hole=9")
        assert "Where does this one land?" in page.inner_text("main")
        page.get_by_role("button", name="Done").click()
        page.get_by_role("heading", name="The next shot").wait_for()
    assert Reset.objects.count() == before + 1
    assert Reset.objects.latest("stored_at").hole == 9


def test_a_guardian_decides_by_the_link_and_can_change_it(browser: Browser, demo: str) -> None:
    nuala = Player.objects.get(account__email=WRITER)
    nuala.is_under_18 = True
    nuala.save()
    link = ask_guardian(player=nuala, address="parent@example.org")
    with visitor(browser, demo) as reader:
        page = reader.go(demo + reverse("guardian", args=[link]))
        faults = faults_of(reader, dark=True)
        page.get_by_role("button", name="Yes, own words").click()
        page.get_by_text("Stored: yes.").wait_for()
        page = reader.go(demo + reverse("guardian", args=[link]))
        faults += faults_of(reader, dark=True)
        page.get_by_role("button", name="No, lists only").click()
        page.get_by_text("Stored: no.").wait_for()
    assert not faults, "\n".join(faults)
    assert GuardianDecision.objects.get(player=nuala).allows is False
    assert LookBack.objects.filter(player=nuala).count() == 2


@pytest.mark.django_db  # one mark in a file is what has the database made when the file runs alone
def test_a_guessed_link_leads_nowhere(browser: Browser, demo: str) -> None:
    with visitor(browser, demo) as reader:
        reader.go(demo + reverse("guardian", args=["x" * 43]), 404)
