"""Whether a bad hole carries over in a group: worked out beside the pages, from cards hole by hole."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from league.estimates.evidence import FEWEST_PLAYERS, carry_over, residuals
from league.estimates.holes import Result, expected
from league.models import Group, GroupEvidence, HolesInPlay, Membership, Round

MOST_ROUNDS = 1_000
"""The latest of the group: shuffling more takes long and tells hardly more."""

Card = tuple[UUID, UUID, list[Result]]
"""Player, set of tees, holes in the order of play."""


def weigh_group(*, group: Group) -> GroupEvidence:
    """Who shows the group the index only stays out of it. Eighteen holes, every one with its strokes."""
    cards = _cards(group)
    told: dict[str, object] = {"n_players": len({player for player, _, _ in cards})}
    if len({player for player, _, _ in cards}) >= FEWEST_PLAYERS:
        found = carry_over(_residuals(cards), seed=len(cards))
        if found is not None:
            told |= {"effect": asdict(found.effect), "share_by_chance": found.share_by_chance}
    with transaction.atomic():
        stored, _ = GroupEvidence.objects.update_or_create(
            group=group, defaults={"told": told, "n_rounds": len(cards), "computed_at": timezone.now()}
        )
    return stored


def weigh_all() -> int:
    """Every group that has somebody in it."""
    groups = list(Group.objects.filter(memberships__left_at=None).distinct())
    for group in groups:
        weigh_group(group=group)
    return len(groups)


def _cards(group: Group) -> list[Card]:
    members = Membership.objects.filter(group=group, left_at=None, hides_lines=False).values("player_id")
    rounds = Round.objects.whole().filter(player__in=members, holes_in_play=HolesInPlay.EIGHTEEN)
    latest = list(rounds.order_by("-played_on", "-entered_at").values_list("pk", flat=True)[:MOST_ROUNDS])
    return [
        (played.player_id, played.tee.set_id, results)
        for played, results in rounds.filter(pk__in=latest).hole_by_hole()
    ]


def _residuals(cards: Iterable[Card]) -> list[list[float]]:
    """Against the player's own results on those tees, shrunk to what the others' there make likely."""
    by_tee: Mapping[UUID, list[Card]] = _grouped(cards)
    found = []
    for theirs in by_tee.values():
        for player in sorted({one for one, _, _ in theirs}, key=str):
            own = [results for one, _, results in theirs if one == player]
            others = [result for one, _, results in theirs if one != player for result in results]
            expectations = expected([result for results in own for result in results], others)
            found += [residuals(results, expectations) for results in own]
    return found


def _grouped(cards: Iterable[Card]) -> dict[UUID, list[Card]]:
    found = defaultdict(list)
    for card in cards:
        found[card[1]].append(card)
    return found
