"""How well outlooks have come true: worked out beside the pages, from the outlooks as they were stored."""

from collections.abc import Callable, Iterable
from dataclasses import asdict
from random import Random
from typing import Any

from django.db import transaction
from django.utils import timezone

from league.estimates import judgement, said
from league.estimates.judgement import Mark, Method
from league.estimates.student import TwoPiece
from league.estimates.worlds import Simulated
from league.models import Foretold, Group, Judgement, Membership, Round

FEWEST_PLAYERS = 5
"""Of a smaller group nothing is told: it would tell of single people, whose outlooks are theirs alone."""
OURS = "our outlook"
BESIDE: dict[str, Callable[[], Method]] = {
    "as often as in the last 20": judgement.LastFrequencies,
    "a normal curve, last 20": judgement.LastNormal,
    "a Student t, last 20": judgement.LastStudent,
    "a normal curve, fading by ten rounds": judgement.Fading,
}


def judge_group(*, group: Group | None) -> Judgement:
    """Judge a group's outlooks, or without one those of the whole installation, and keep what was found."""
    rounds = Round.objects.whole().select_related("tee__course", "foretold")
    if group is not None:
        members = Membership.objects.filter(group=group, left_at=None).values("player_id")
        rounds = rounds.filter(player__in=members)
    marks, n_hindsight = _marks(rounds)
    ours = marks[OURS]
    told: dict[str, Any] = {"n": len(ours), "n_hindsight": n_hindsight}
    is_told = group is None or len({mark.golfer for mark in ours}) >= FEWEST_PLAYERS
    if is_told and len(ours) >= said.FEWEST_OUTLOOKS:
        told["classes"] = [asdict(one) for one in said.classes(ours)]
        told["band"] = asdict(said.band_cover(ours))
        told["ways"] = [asdict(one) for one in said.ways(marks, OURS)]
    with transaction.atomic():
        found, _ = Judgement.objects.update_or_create(
            group=group, defaults={"told": told, "n_rounds": len(ours), "computed_at": timezone.now()}
        )
    return found


def _marks(rounds: Iterable[Round]) -> tuple[dict[str, list[Mark]], int]:
    """Ours from what was stored, the others worked out from the rounds before; all over the same rounds."""
    marks: dict[str, list[Mark]] = {OURS: [], **{name: [] for name in BESIDE}}
    n_hindsight, number, player = 0, -1, None
    making: dict[str, Method] = {}
    scores: list[int] = []
    rng = Random("within the whole score")
    for played in rounds:
        gross = played.least_gross
        if gross is None:
            continue
        if played.player_id != player:
            player, number, scores = played.player_id, number + 1, []
            making = {name: make() for name, make in BESIDE.items()}
        came = _came(played, gross)
        foretold: Foretold | None = getattr(played, "foretold", None)
        if foretold is not None and len(scores) >= judgement.FEWEST_BEFORE:
            n_hindsight += foretold.is_hindsight
            barrier, anywhere = judgement.barrier_below(scores), rng.random()
            stored = TwoPiece(foretold.mode, foretold.left, foretold.right, foretold.freedom)
            for name, ahead in {OURS: stored, **{name: one.foretell(came) for name, one in making.items()}}.items():
                off, log, chance, pit = judgement.judge_one(ahead, came, barrier, anywhere)
                marks[name].append(Mark(number, len(scores), False, off, log, chance, gross < barrier, pit))
        for method in making.values():
            method.see(came)
        scores.append(gross)
    return marks, n_hindsight


def _came(played: Round, gross: int) -> Simulated:
    """A real round has no known truth behind it: level and spread are left at nothing and never asked for."""
    return Simulated(played.played_on, 0, played.tee.ground, 0, gross, gross, 0.0, 0.0)


def judge_all() -> int:
    """The installation and every group that has somebody in it."""
    groups = list(Group.objects.filter(memberships__left_at=None).distinct())
    judge_group(group=None)
    for group in groups:
        judge_group(group=group)
    return len(groups) + 1
