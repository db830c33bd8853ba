"""Every page that somebody can reach is opened once, on the demo season, and is sound on a phone, wide and on paper."""

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.template.loader import render_to_string
from django.test import Client
from django.urls import URLResolver, get_resolver, resolve, reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from playwright.sync_api import Browser, Route

from league.models import Account, Membership, Player, RoundImport, Tee
from league.services import members
from tests import build
from tests.browser.soundness import faults_of, visitor

ORGANISER, PLAYER, NEWCOMER = "tomoko@skerrin.example", "nuala@skerrin.example", "maeve@skerrin.example"
LONG_NAME = "Anneliese Thornbury-Wetherspoon of the Upper Saltmarsh Road"
# Buttons lead here, never links: nothing to look at.
PRESSED = {
    "sign_out", "sign_in_end", "index_only", "token_withdraw", "keep", "invitation_withdraw", "import_apply",
    "import_decline", "claim_link", "barrier_new", "barrier_hide", "hole_restore",
    "carry_book_unit", "starter_set", "shot_new", "shot_remove", "card_settle", "card_take_back",
}  # fmt: skip
FILES = {
    "rounds_file", "ledger_file", "ledger_table", "course_export", "imports_template",
    "card_who", "card_worker", "card_manifest", "holes_file",
}  # fmt: skip
# What is looked at in the dark as well: figures, pictures, forms, tables, what is wrong.
IN_THE_DARK = {
    "carry_book",
    "carries_today",
    "club",
    "home",
    "ledger",
    "round",
    "round_new",
    "group",
    "settings",
    "imports",
    "tee_new",
    "erase",
    "hole",
    "hole_change",
}


def player_of(email: str) -> Player:
    return Player.objects.get(account__email=email)


def cookie(email: str) -> str:
    return build.signed_in(player_of(email)).cookies["session"].value


def page_names(patterns: Iterable[Any]) -> Iterator[str]:
    for one in patterns:
        if isinstance(one, URLResolver):
            yield from page_names(one.url_patterns)
        elif one.name:
            yield one.name


PAGES = set(page_names(get_resolver("league.web.urls").url_patterns)) - PRESSED - FILES


def looked_at(browser: Browser, demo: str, email: str, addresses: Iterable[str]) -> list[str]:
    """The faults of these pages, each with its address."""
    with visitor(browser, demo, cookie(email) if email else "") as reader:
        faults = []
        for address in addresses:
            reader.go(demo + address)
            dark = resolve(urlsplit(address).path).url_name in IN_THE_DARK
            faults += [f"{address} {fault}" for fault in faults_of(reader, dark=dark)]
    return faults


def paste(client: Client, whose: str, rows: str) -> RoundImport:
    text = f"player,played_on,course,tee,rated,gross\n{rows}"
    answer = client.post(reverse("imports"), {"whose": whose, "text": text, "whole": "yes"})
    assert answer.status_code == 303, answer.content.decode()
    return RoundImport.objects.latest("created_at")


def a_row(player: Player, days_ago: int) -> str:
    tee = Tee.objects.filter(course__name="Skerrin Head", rated_for=player.rated_for).latest("valid_from")
    day = date.today() - timedelta(days=days_ago)
    return f"{player.name},{day},Skerrin Head,{tee.name},{tee.rated_for},101\n"


@pytest.fixture(scope="module")
def season(demo: str) -> str:
    """The demo season with what it lacks: a long name, an invitation, a file that waits and one that was taken."""
    tomoko, nuala = player_of(ORGANISER), player_of(PLAYER)
    group = Membership.objects.get(player=tomoko, left_at=None).group
    long_one = Membership.objects.filter(group=group, role="player", player__account=None).first()
    assert long_one is not None
    Player.objects.filter(pk=long_one.player_id).update(name=LONG_NAME)
    client = build.signed_in(tomoko)
    taken = paste(client, "own", a_row(tomoko, 3))
    assert client.post(reverse("import_apply", args=[taken.pk])).status_code == 303
    paste(client, f"group:{group.pk}", a_row(nuala, 2))
    members.make_invitation(group=group, actor=tomoko, role="player", label="Somebody new")
    return demo


def links_of(page: Any, server: str) -> list[str]:
    found = page.eval_on_selector_all(
        "a[href]", "links => links.map(link => new URL(link.getAttribute('href'), location).href.split('#')[0])"
    )
    return [link.removeprefix(server) for link in found if link.startswith(f"{server}/")]


def test_an_organiser_reaches_every_page_and_all_are_sound(browser: Browser, season: str) -> None:
    tomoko = player_of(ORGANISER)
    joined = Membership.objects.get(player=tomoko, left_at=None)
    invitation, link = members.make_invitation(group=joined.group, actor=tomoko, role="player", label="")
    taken = RoundImport.objects.get(state="applied")
    unused = build.tee(build.course(joined.group))
    # These are come to by a button, by mail, or without a sign-in.
    elsewhere = {
        "sign_in", "sign_up", "reset", "reset_sent", "reset_password", "token", "round_attest",
        "barrier_drop",
    }  # fmt: skip
    waiting = [
        "/",
        reverse("import", args=[taken.pk]),
        reverse("join", args=[link]),
        reverse("invitation", args=[invitation.pk]),
        reverse("course_delete", args=[unused.course_id]),
        reverse("tee_delete", args=[unused.pk]),
    ]
    seen, faults = set[str](), list[str]()
    with visitor(browser, season, cookie(ORGANISER)) as reader:
        while waiting:
            address = waiting.pop(0)
            name = resolve(urlsplit(address).path).url_name
            if name in seen or name in FILES or not name or name.startswith("api-"):
                continue
            seen.add(name)
            page = reader.go(season + address)
            waiting += links_of(page, season)
            faults += [f"{address} {fault}" for fault in faults_of(reader, dark=name in IN_THE_DARK)]
    assert not faults, "\n".join(faults)
    assert PAGES - seen - elsewhere == set()


def test_a_player_finds_every_page_sound(browser: Browser, season: str) -> None:
    nuala = player_of(PLAYER)
    group = Membership.objects.filter(player=nuala, left_at=None).earliest("joined_at").group
    mates = Membership.objects.filter(group=group, left_at=None, player__account__isnull=False).exclude(player=nuala)
    mate = mates.filter(hides_lines=False, player__rounds__attested_at=None, role="player").order_by("pk").first()
    hidden = mates.filter(hides_lines=True).first()
    assert mate is not None
    assert hidden is not None
    theirs = mate.player.rounds.filter(attested_at=None, state="standing").latest("played_on")
    mine = nuala.rounds.filter(state="standing").latest("played_on")
    part = nuala.rounds.filter(state="standing").exclude(not_played_reason="").latest("played_on")
    first, last = (nuala.revisions.order_by(order)[0].number for order in ("number", "-number"))
    waiting = RoundImport.objects.get(player=nuala, state="ready")
    token = build.signed_in(nuala).post(
        reverse("token_new"),
        {"name": "spreadsheet", "scope": "read", "days": "90", "password": "marram-and-thrift"},
    )["Location"]
    faults = looked_at(
        browser,
        season,
        PLAYER,
        [
            "/",
            reverse("rounds"),
            f"{reverse('rounds')}?page=2",
            f"{reverse('round_new')}?by=total",
            *(reverse(name, args=[mine.pk]) for name in ("round", "round_correct", "round_withdraw")),
            reverse("round", args=[part.pk]),
            reverse("round", args=[theirs.pk]),
            reverse("round_attest", args=[theirs.pk]),
            *(reverse("ledger", args=[one.pk]) for one in (nuala, mate.player, hidden.player)),
            *(reverse("revision", args=[nuala.pk, which]) for which in (first, last)),
            reverse("group", args=[group.pk]),
            reverse("group_record", args=[group.pk]),
            reverse("courses"),
            reverse("course", args=[mine.tee.course_id]),
            reverse("tee", args=[mine.tee_id]),
            reverse("import", args=[waiting.pk]),
            reverse("carry_book"),
            f"{reverse('carries_today')}?distance=150&temperature=8&wind=strong&wind_from=left&ground=soft&rise=-4",
            reverse("settings"),
            token,
        ],
    )
    assert not faults, "\n".join(faults)


def test_a_newcomer_finds_every_page_sound(browser: Browser, season: str) -> None:
    maeve = player_of(NEWCOMER)
    played = maeve.rounds.latest("played_on")
    own = [reverse("ledger", args=[maeve.pk]), reverse("round", args=[played.pk]), reverse("imports")]
    alone = build.player("Isolde")
    faults = looked_at(
        browser, season, NEWCOMER, ["/", reverse("rounds"), reverse("carry_book"), reverse("carries_today"), *own]
    )
    assert not faults, "\n".join(faults)
    assert alone.account is not None
    nowhere = ["/", reverse("rounds"), reverse("round_new"), reverse("courses"), reverse("ledger", args=[alone.pk])]
    faults = looked_at(browser, season, alone.account.email, [*nowhere, reverse("settings")])
    assert not faults, "\n".join(faults)


def test_somebody_at_the_door_finds_every_page_sound(browser: Browser, season: str) -> None:
    tomoko = player_of(ORGANISER)
    group = Membership.objects.get(player=tomoko, left_at=None).group
    _, link = members.make_invitation(group=group, actor=tomoko, role="player", label="")
    doors = [reverse(name) for name in ("sign_in", "sign_up", "reset", "reset_sent", "api", "problems")]
    account = Account.objects.get(email=NEWCOMER)
    number = urlsafe_base64_encode(force_bytes(account.pk))
    way_back = reverse("reset_password", args=[number, default_token_generator.make_token(account)])
    others = [reverse("problem", args=["rule-broken"]), reverse("join", args=[link]), way_back]
    faults = looked_at(browser, season, "", [*doors, *others])
    assert not faults, "\n".join(faults)


ERRORS = ("400", "403", "403_csrf", "404", "409", "413", "429", "500", "503")


@pytest.mark.parametrize("who", ["", PLAYER])
def test_what_went_wrong_is_told_on_a_sound_page(browser: Browser, season: str, who: str) -> None:
    """The page of an address that leads nowhere, and each of the others as it is drawn without a reader."""

    def told(route: Route) -> None:
        name = route.request.url.rstrip("/").rsplit("/", 1)[-1]
        body = render_to_string(f"{name}.html", {"request_id": "3f9c"})
        headers = {"Content-Security-Policy": policy}
        route.fulfill(status=int(name[:3]), content_type="text/html; charset=utf-8", headers=headers, body=body)

    with visitor(browser, season, cookie(who) if who else "") as reader:
        reader.go(f"{season}/nothing/here/", 404)
        faults = [f"nothing here {fault}" for fault in faults_of(reader, dark=True)]
        policy = Client().get("/sign-in/")["Content-Security-Policy"]
        reader.page.route("**/went-wrong/*/", told)
        for name in ERRORS if not who else ():
            reader.go(f"{season}/went-wrong/{name}/", int(name[:3]))
            faults += [f"{name} {fault}" for fault in faults_of(reader)]
    assert not faults, "\n".join(faults)


AMISS = (
    "<!doctype html><html lang=en><title>t</title><link rel=stylesheet href=/static/league/sheet.css>"
    "<a class=skip href=#nowhere>Skip</a><main id=main><h1>One</h1><h1>Two</h1><p style='width:2000px'>Wide</p>"
    "<nav><button style='outline:none'>x</button></nav><p style='color:#888'>Faint</p>"
    "<p style='color:#555'>Dim</p></main>"
)


@pytest.mark.django_db  # one mark in a file is what has the database made when the file runs alone
@pytest.mark.parametrize(
    ("allowed", "wanted"),
    [
        ("'unsafe-inline'", ["stick out", "['One', 'Two']", "phone: small", "unseen focus: unmarked", "paper: <nav"]),
        ("'unsafe-inline'", ["phone: color-contrast", "dark: color-contrast", "leads nowhere"]),
        ("", ["heard: "]),
    ],
)
def test_the_visitor_hears_and_sees_what_is_amiss(
    browser: Browser, season: str, allowed: str, wanted: list[str]
) -> None:
    """The eyes and ears of the tests above, on a page with a fault of every kind."""
    policy = Client().get(reverse("sign_in"))["Content-Security-Policy"]
    headers = {"Content-Security-Policy": policy.replace("style-src", f"style-src {allowed}", 1)}
    with visitor(browser, season) as reader:
        reader.page.route(
            "**/amiss/", lambda route: route.fulfill(content_type="text/html", headers=headers, body=AMISS)
        )
        reader.go(f"{season}/amiss/")
        faults = "\n".join(faults_of(reader, dark=True))
    assert [one for one in wanted if one not in faults] == [], faults
