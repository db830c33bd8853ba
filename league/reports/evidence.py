"""Whether a bad hole carries over in a group, in words, with its interval, or that there are too few rounds to tell.

And what one player's own cards hole by hole leave of each hole, for questions about that player alone.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from league.charts import difference_words
from league.estimates.estimate import Estimate
from league.estimates.evidence import FEWEST_PLAYERS, FEWEST_ROUNDS, CarryOver, residuals
from league.estimates.holes import Result, expected
from league.models import Group, GroupEvidence, HolesInPlay, Membership, Player, Round
from league.models.rounds import RoundSet

MOST_OWN, MOST_OF_OTHERS = 400, 300
"""The latest rounds that are looked at, of the player and of everybody else: more take longer and tell hardly more."""


@dataclass(frozen=True)
class GroupCarryOver:
    """`effect`: strokes on the hole after a bad one, less what chance alone brings; None while there is none."""

    n_rounds: int
    n_players: int
    found: CarryOver | None
    computed_at: datetime | None

    @property
    def effect(self) -> Estimate | None:
        return self.found.effect if self.found else None

    @property
    def verdict(self) -> str:
        if self.n_players < FEWEST_PLAYERS:
            return f"too few players to tell of nobody in particular: {self.n_players} of {FEWEST_PLAYERS}"
        if self.found is None or self.n_rounds < FEWEST_ROUNDS:
            return f"too few rounds to tell: {self.n_rounds} of {FEWEST_ROUNDS}"
        return self.found.words

    @property
    def said(self) -> str:
        """The number with its interval, in one sentence; empty while there is none."""
        if self.found is None:
            return ""
        effect = self.found.effect
        more = "more" if effect.value >= 0 else "fewer"
        return (
            f"On the hole after a bad one: {abs(effect.value):.2f} strokes {more} than chance alone brings, "
            f"{difference_words(effect.low)} to {difference_words(effect.high)} nineteen times in twenty."
        )


def carry_over_of(group: Group) -> GroupCarryOver:
    stored = GroupEvidence.objects.filter(group=group).first()
    if stored is None:
        return GroupCarryOver(0, 0, None, None)
    told = stored.told
    found = CarryOver(Estimate(**told["effect"]), told["share_by_chance"]) if "effect" in told else None
    return GroupCarryOver(stored.n_rounds, told["n_players"], found, stored.computed_at)


@dataclass(frozen=True)
class OwnRound:
    """A card hole by hole, in the order of play: each hole's number, and strokes beyond those expected of it."""

    round_id: UUID
    numbers: tuple[int, ...]
    residuals: tuple[float, ...]


def own_rounds(player: Player) -> list[OwnRound]:
    """Against the player's own results on each set of tees, shrunk to what others' there make likely.

    Others are those who share a group with the player and show it their lines; of fewer than three on a set of tees
    nothing is taken, so that no number tells of single people.
    """
    mine: dict[UUID, list[tuple[Round, list[Result]]]] = defaultdict(list)
    for played, results in _latest(Round.objects.filter(player=player), MOST_OWN):
        mine[played.tee.set_id].append((played, results))
    theirs = _of_others(player, mine)
    found = []
    for set_id, cards in mine.items():
        expectations = expected((result for _, results in cards for result in results), theirs.get(set_id, ()))
        for played, results in cards:
            numbers = tuple(result.number for result in results)
            found.append(OwnRound(played.pk, numbers, tuple(residuals(results, expectations))))
    return found


def _of_others(player: Player, tees: Iterable[UUID]) -> dict[UUID, list[Result]]:
    groups = Membership.objects.filter(player=player, left_at=None).values("group")
    mates = Membership.objects.filter(group__in=groups, left_at=None, hides_lines=False).exclude(player=player)
    rounds = Round.objects.filter(player__in=mates.values("player"), tee__set_id__in=list(tees))
    found: dict[UUID, list[Result]] = defaultdict(list)
    people: dict[UUID, set[UUID]] = defaultdict(set)
    for played, results in _latest(rounds, MOST_OF_OTHERS):
        found[played.tee.set_id] += results
        people[played.tee.set_id].add(played.player_id)
    return {set_id: results for set_id, results in found.items() if len(people[set_id]) >= FEWEST_PLAYERS}


def _latest(rounds: RoundSet, most: int) -> list[tuple[Round, list[Result]]]:
    counted = rounds.whole().filter(holes_in_play=HolesInPlay.EIGHTEEN, is_total=False)
    latest = list(counted.order_by("-played_on", "-entered_at").values_list("pk", flat=True)[:most])
    return Round.objects.filter(pk__in=latest).whole().hole_by_hole()
