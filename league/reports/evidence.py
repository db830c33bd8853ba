"""Whether a bad hole carries over in a group, in words, with its interval, or that there are too few rounds to tell."""

from dataclasses import dataclass
from datetime import datetime

from league.estimates.estimate import Estimate
from league.estimates.evidence import FEWEST_PLAYERS, FEWEST_ROUNDS, CarryOver
from league.models import Group, GroupEvidence


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
            f"{_signed(effect.low)} to {_signed(effect.high)} nineteen times in twenty."
        )


def carry_over_of(group: Group) -> GroupCarryOver:
    stored = GroupEvidence.objects.filter(group=group).first()
    if stored is None:
        return GroupCarryOver(0, 0, None, None)
    told = stored.told
    found = CarryOver(Estimate(**told["effect"]), told["share_by_chance"]) if "effect" in told else None
    return GroupCarryOver(stored.n_rounds, told["n_players"], found, stored.computed_at)


def _signed(value: float) -> str:
    return f"{'−' if value < 0 else '+'}{abs(value):.2f}"
