"""What a page weighs on its way to a phone, compressed as a proxy would do it."""

import gzip
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings
from django.test import Client
from django.urls import reverse

from league.management.benchmarks.lines import Figure, Line, Target
from league.management.benchmarks.world import World, give_history, new_player, new_world
from league.models import Player, Role, Round
from league.services import rounds
from league.services.rounds import HoleFacts, RoundFacts

LEVEL = 6
MOST_A_PAGE, MOST_FIRST_LOAD = 15, 30
FILES = re.compile(r'(?:href|src)="(/static/[^"]+\.(?:css|js))"')


@dataclass(frozen=True)
class Sizes:
    revisions: int = 1_000
    members: int = 60


def weights(sizes: Sizes) -> Iterable[Line]:
    world = new_world()
    player = new_player(world, "Reader", role=Role.ORGANISER)
    for number in range(1, sizes.members):
        give_history(world, new_player(world, f"Member {number}"), 4, seed=number)
    give_history(world, player, sizes.revisions - 1)
    played = hole_by_hole(world, player)
    browser = signed_in(player)
    first_load = 0.0
    for name, address in addresses(sizes, world, player, played):
        text = page(browser, address)
        weight = kilobytes(text)
        figures = [
            Figure("gz_kb", [weight], Target(at_most=MOST_A_PAGE)),
            Figure("plain_kb", [len(text) / 1000]),
        ]
        yield Line(f"page {name}", figures)
        files = [file_behind(found) for found in FILES.findall(text.decode())]
        first_load = max(first_load, weight + sum(map(kilobytes, files)))
    sheet = file_behind(FILES.findall(page(browser, reverse("home")).decode())[0])
    yield Line("stylesheet", [Figure("gz_kb", [kilobytes(sheet)]), Figure("plain_kb", [len(sheet) / 1000])])
    yield Line("heaviest first load", [Figure("gz_kb", [first_load], Target(at_most=MOST_FIRST_LOAD))])


def hole_by_hole(world: World, player: Player) -> Round:
    holes = tuple(HoleFacts(number=number, strokes=5, putts=2, penalties=0) for number in range(1, 19))
    facts = RoundFacts(tee=world.tee, played_on=player.joined_on + timedelta(days=1), holes=holes)
    return rounds.post_round(player=player, facts=facts, posted_by=player)


def addresses(sizes: Sizes, world: World, player: Player, played: Round) -> Iterator[tuple[str, str]]:
    yield "home", reverse("home")
    yield f"ledger of {sizes.revisions}", reverse("ledger", args=[player.pk])
    yield "revision", reverse("revision", args=[player.pk, sizes.revisions])
    yield f"group of {sizes.members}", reverse("group", args=[world.group.pk])
    yield "round", reverse("round", args=[played.pk])
    yield "card form", f"{reverse('round_new')}?tee={world.tee.pk}"


def signed_in(player: Player) -> Client:
    client = Client(raise_request_exception=False, headers={"host": "localhost"})
    assert player.account is not None
    client.force_login(player.account, backend="django.contrib.auth.backends.ModelBackend")
    return client


def page(browser: Client, address: str) -> bytes:
    answer = browser.get(address)
    if answer.status_code != 200:
        raise RuntimeError(f"{address} answered {answer.status_code}.")
    return bytes(answer.content)


def file_behind(address: str) -> bytes:
    name = address.removeprefix(settings.STATIC_URL)
    return (settings.STATIC_ROOT / name).read_bytes()


def kilobytes(data: bytes) -> float:
    return len(gzip.compress(data, LEVEL)) / 1000
