"""An hour of practice by a player's own leaks, and games at their level. The owner's alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import F

from league import charts
from league.estimates.carries import LEVEL_UNKNOWN
from league.estimates.estimate import Estimate
from league.estimates.games import Game, games
from league.estimates.leaks import Leak
from league.estimates.practice import GREENS, HOUR, NAMES, NOTED_AS, Hour, Part, costs_of, left_over, split
from league.models import Barrier, Outlook, Player, Standing
from league.reports.carries import carry_book
from league.reports.progress import LEAK_WORDS, LadderView, ladder_of, ladder_view

TOO_SMALL = "too little beside the others for ten minutes"
NO_PART = "what is left of a hole after all the others, and shrinks with them"


@dataclass(frozen=True)
class PartView:
    """One part of the hour with the game that goes with it."""

    part: Part
    name: str
    game: Game


@dataclass(frozen=True)
class LeftOut:
    """What costs strokes a round and gets no minute."""

    name: str
    strokes: Estimate
    reason: str


@dataclass(frozen=True)
class PracticeView:
    """`barrier` is the one that the leaks are told against; None while there is none.

    `left_over`: what leaks cost that are no part of the hour, by kind. `is_due`: cards came in that the leaks do not
    know yet.
    """

    barrier: int | None
    n_rounds: int
    unit: str
    level: float
    level_is_known: bool
    hour: Hour
    left_over: Mapping[str, Estimate]
    is_due: bool
    games: tuple[Game, ...]

    @property
    def parts(self) -> list[PartView]:
        by_kind = {game.kind: game for game in self.games}
        return [PartView(part, NAMES[part.kind], by_kind[part.kind]) for part in self.hour.parts]

    @property
    def has_greens(self) -> bool:
        return any(part.kind == GREENS for part in self.hour.parts)

    @property
    def picture(self) -> charts.Picture | None:
        """The time on a line of minutes, where it is split at all."""
        stretches = [charts.Stretch(one.name, one.part.minutes) for one in self.parts]
        return charts.split_hour(stretches) if len(stretches) > 1 else None

    @property
    def other_games(self) -> list[Game]:
        """The games of the parts that the hour leaves out."""
        taken = {part.kind for part in self.hour.parts}
        return [game for game in self.games if game.kind not in taken]

    @property
    def left_out(self) -> list[LeftOut]:
        """Only beside an hour that is split."""
        small = [LeftOut(NAMES[kind], strokes, TOO_SMALL) for kind, strokes in self.hour.too_small]
        rest = [LeftOut(LEAK_WORDS[kind], strokes, NO_PART) for kind, strokes in self.left_over.items()]
        return [*small, *rest] if self.hour.parts else []

    @property
    def missing(self) -> list[str]:
        """What would have to be noted for the other parts, in words."""
        return [f"{NAMES[kind]}, by {NOTED_AS[kind]}: {reason}" for kind, reason in self.hour.unknown]


def practice_of(player: Player, minutes: int = HOUR, barrier: int | None = None) -> PracticeView:
    """Without a barrier the one spoken of: the highest open one that the usual score is not under, else the lowest."""
    ladder = ladder_of(player, barrier) if barrier is not None else _ladder_spoken_of(player)
    leaks = _leaks(ladder.leaks if ladder else ())
    costs, unknown = costs_of(leaks)
    book = carry_book(player)
    level = LEVEL_UNKNOWN if book.level is None else book.level
    return PracticeView(
        barrier=ladder.score if ladder else barrier,
        n_rounds=ladder.n_rounds if ladder else 0,
        unit=player.length_unit,
        level=level,
        level_is_known=book.level is not None,
        hour=split(costs, minutes, unknown),
        left_over=left_over(leaks),
        is_due=Standing.objects.filter(player=player).exclude(player__outlook__last_number=F("last_number")).exists(),
        games=games(level, player.length_unit, book.carries(player.length_unit, level)),
    )


def _ladder_spoken_of(player: Player) -> LadderView | None:
    kept = list(Barrier.objects.filter(player=player, broken_by=None).order_by("-score").values_list("told", flat=True))
    kept += list(Outlook.objects.filter(player=player).values_list("told", flat=True))
    known = [ladder_view(told) for told in kept if told and told["ladder"]]
    return next((one for one in known if one.gap > 0), known[-1] if known else None)


def _leaks(told: Sequence[dict[str, Any]]) -> dict[str, Leak]:
    return {
        one["kind"]: Leak(one["kind"], Estimate(**one["strokes"]) if one["strokes"] else None, one["reason"])
        for one in told
    }
