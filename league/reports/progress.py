"""Where a player stands against a barrier: outlook, ladder, what-ifs and progress, from what was last worked out.

Everything here is the owner's alone, but for what a group may see: barriers that are not hidden, and recent scores.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import F, Q, Window
from django.db.models.functions import RowNumber

from league import charts
from league.estimates import outlook, progress
from league.estimates.holes import affords, personal_pars
from league.estimates.outlook import Ground, Level, Played, Spoken
from league.estimates.student import TwoPiece
from league.models import Barrier, Group, Judgement, Membership, Outlook, Player, Role, Round, Standing, Tee

ROUNDS_AHEAD = 5
RECENT = 10
FARTHEST_DRAWN = 12
PARS_ASKED = (2, 5, 8, 11)


@dataclass(frozen=True)
class BarrierChance:
    """The chance of one barrier on one tee. `rounds` and `weeks` are None for more than is ever said."""

    barrier: Barrier | None
    score: int
    once: float
    spoken: Spoken
    within: float
    spoken_within: Spoken
    rounds: int | None
    weeks: float | None
    n_dots: int


@dataclass(frozen=True)
class OutlookView:
    """How the next score on a tee is likely to fall. Gross strokes; `low` to `high` holds four scores in five."""

    tee: Tee
    day: date
    n: int
    next_score: TwoPiece
    usual: float
    usual_low: float
    usual_high: float
    low: int
    high: int
    dots: tuple[int, ...]
    chances: tuple[BarrierChance, ...]
    is_due: bool

    @property
    def first(self) -> BarrierChance | None:
        """The barrier that the page speaks of: the highest that the usual score is not under yet, else the lowest."""
        score = progress.next_barrier(self.usual, [one.score for one in self.chances])
        asked = [one for one in self.chances if one.score == score] or list(self.chances)
        return min(asked, key=lambda one: one.score, default=None)

    def quantile(self, share: float) -> int:
        return math.floor(self.tee.ground.gross(self.next_score.quantile(share)) + 0.5)

    @property
    def picture(self) -> charts.Picture:
        """A barrier far from every dot would leave the dots no room: the words say it instead."""
        first = self.first
        near = first and min(self.dots) - FARTHEST_DRAWN <= first.score <= max(self.dots) + FARTHEST_DRAWN
        return charts.twenty_dots(self.dots, first.score if first and near else None)


@dataclass(frozen=True)
class NoOutlook:
    """Too few rounds for a personal number: how many there are, and how many are missing."""

    n: int

    @property
    def missing(self) -> int:
        return outlook.FEWEST_ROUNDS - self.n

    @property
    def reason(self) -> str:
        rounds = "1 more round" if self.missing == 1 else f"{self.missing} more rounds"
        return f"{rounds} of eighteen holes, and there is something to say."


def outlook_of(player: Player, tee: Tee, day: date) -> OutlookView | NoOutlook:
    stored = Outlook.objects.filter(player=player).first()
    if stored is None or stored.n_rounds < outlook.FEWEST_ROUNDS:
        return NoOutlook(stored.n_rounds if stored else 0)
    level, ground = Level.from_plain(stored.level), tee.ground
    next_score = outlook.predict(level, day, tee.key)
    error = level.standard_error(day) * tee.slope_rating / 113
    usual = ground.gross(level.usual_on(tee.key))
    dots = outlook.dots(next_score, ground)
    return OutlookView(
        tee=tee,
        day=day,
        n=level.n,
        next_score=next_score,
        usual=usual,
        usual_low=usual - 2 * error,
        usual_high=usual + 2 * error,
        low=math.floor(ground.gross(next_score.quantile(0.1)) + 0.5),
        high=math.floor(ground.gross(next_score.quantile(0.9)) + 0.5),
        dots=dots,
        chances=tuple(_chances(player, level, next_score, ground, tee, dots)),
        is_due=_is_due(player, stored),
    )


def _is_due(player: Player, stored: Outlook) -> bool:
    return not Standing.objects.filter(player=player, last_number=stored.last_number).exists()


def open_barriers(player: Player, tee: Tee | None = None) -> list[Barrier]:
    """Not broken yet, on any tee or on this one, highest first."""
    held = Barrier.objects.filter(player=player, broken_by=None).select_related("tee").order_by("-score")
    return [one for one in held if one.tee is None or tee is None or one.tee.set_id == tee.set_id]


def _chances(
    player: Player, level: Level, next_score: TwoPiece, ground: Ground, tee: Tee, dots: Sequence[int]
) -> Iterable[BarrierChance]:
    held = open_barriers(player, tee)
    usual = ground.gross(level.usual_on(tee.key))
    classic = progress.next_barrier(usual, progress.CLASSIC)
    asked: list[tuple[int, Barrier | None]] = [(one.score, one) for one in held]
    if not asked and classic is not None:
        asked = [(classic, None)]
    for score, barrier in asked:
        once = outlook.chance(next_score, ground, score)
        rounds = outlook.median_rounds(once)
        gap = level.mean_gap_weeks
        within = outlook.chance_within(once, ROUNDS_AHEAD)
        yield BarrierChance(
            barrier=barrier,
            score=score,
            once=once,
            spoken=outlook.spoken(once, level.n),
            within=within,
            spoken_within=outlook.spoken(within, level.n),
            rounds=rounds,
            weeks=rounds * gap if rounds is not None and gap is not None else None,
            n_dots=sum(dot < score for dot in dots),
        )


@dataclass(frozen=True)
class Budget:
    """What a barrier allows on a tee: personal par hole by hole (number, par, stroke index, allowed).

    `affords` says what that leaves room for, a sentence for each number of pars; the same words once.
    """

    barrier: int
    par: int
    over: int
    holes: tuple[tuple[int, int, int, int], ...]
    affords: tuple[str, ...]

    @property
    def last(self) -> int:
        return self.barrier - 1


def budget_of(tee: Tee, barrier: int, pars: Sequence[int] = PARS_ASKED, birdies: int = 0) -> Budget:
    rated = tee.in_play("twice" if tee.course.n_holes == 9 else "18")
    allowed = personal_pars(barrier, rated.holes)
    return Budget(
        barrier=barrier,
        par=rated.par,
        over=barrier - 1 - rated.par,
        holes=tuple(
            (hole.number, hole.par, hole.stroke_index, due) for hole, due in zip(rated.holes, allowed, strict=True)
        ),
        affords=tuple(dict.fromkeys(affords(rated.par, barrier, count, birdies).words for count in pars)),
    )


@dataclass(frozen=True)
class ProgressView:
    """A player's scores carried to one tee, with the level that stood after each, its band, and what changed it."""

    tee: Tee
    n: int
    best: int
    usual: float
    points: tuple[charts.ProgressPoint, ...]
    changes: tuple[str, ...]
    lately: str
    last_words: str
    barrier: int | None

    @property
    def picture(self) -> charts.Picture:
        return charts.progress_line(self.points, self.barrier)


def progress_of(player: Player, tee: Tee, barrier: int | None) -> ProgressView | NoOutlook:
    """From the rounds themselves: a filter over some hundred rounds takes less time than one query."""
    rounds = Round.objects.filter(player=player).whole().select_related("tee__course")
    counted = [(played, one) for played in rounds if (one := played.as_played) is not None]
    if len(counted) < outlook.FEWEST_ROUNDS:
        return NoOutlook(len(counted))
    ground = tee.ground
    ones = [one for _, one in counted]
    levels = outlook.levels_of(ones)
    points = []
    for (played, one), level in zip(counted, levels, strict=True):
        spread = math.sqrt(level.round_variance * (1 + level.variance)) * 1.2816
        points.append(
            charts.ProgressPoint(
                day=played.played_on,
                score=ground.gross(one.differential),
                made=played.least_gross or 0,
                level=ground.gross(level.usual_on(tee.key)),
                low=ground.gross(level.usual_on(tee.key) - spread),
                high=ground.gross(level.usual_on(tee.key) + spread),
            )
        )
    found = progress.changes(levels)
    lately = progress.lately(ones, outlook.START_LEVEL)
    last = progress.one_round(levels[-2], ones[-1], counted[-1][0].tee.slope_rating)
    return ProgressView(
        tee=tee,
        n=len(counted),
        best=min(played.least_gross for played, _ in counted if played.least_gross is not None),
        usual=ground.gross(levels[-1].usual_on(tee.key)),
        points=tuple(points),
        changes=tuple(_change_words(one, counted) for one in found),
        lately=lately.words if lately else "",
        last_words=last.words,
        barrier=barrier,
    )


def _change_words(change: progress.Change, counted: Sequence[tuple[Round, Played]]) -> str:
    day = charts.day_words(counted[change.place][0].played_on)
    return f"Your level had probably changed for the {change.direction} by {day}."


@dataclass(frozen=True)
class LadderView:
    """The leak ladder of one barrier, as last worked out; None where nothing was recorded."""

    score: int
    gap: float
    n_rounds: int
    n: int
    leaks: tuple[dict[str, Any], ...]
    what_if: tuple[dict[str, Any], ...]

    @property
    def changes(self) -> list[dict[str, Any]]:
        """The what-ifs, their chances said as exactly as the number of rounds allows."""
        return [{**one, **self._said(one["told"])} for one in self.what_if]

    def _said(self, told: Mapping[str, Any] | None) -> dict[str, str]:
        if told is None:
            return {}
        after = told["after"]
        chances = {"before": told["before"], "after": after["value"], "low": after["low"], "high": after["high"]}
        return {name: outlook.spoken(chance, self.n).words for name, chance in chances.items()}

    @property
    def worst(self) -> dict[str, Any] | None:
        """The kind that costs most of those that can be worked on."""
        known = [leak for leak in self.leaks if leak["strokes"] and leak["kind"] != "everything_else"]
        return max(known, key=lambda leak: leak["strokes"]["value"], default=None)

    @property
    def worst_words(self) -> str:
        return LEAK_WORDS[self.worst["kind"]] if self.worst else ""

    @property
    def picture(self) -> charts.Picture | None:
        """None while too little was noted of every kind: a ladder needs a rung."""
        if all(leak["strokes"] is None for leak in self.leaks):
            return None
        rungs = [
            charts.Rung(
                kind=LEAK_WORDS[leak["kind"]],
                strokes=leak["strokes"]["value"] if leak["strokes"] else None,
                low=leak["strokes"]["low"] if leak["strokes"] else None,
                high=leak["strokes"]["high"] if leak["strokes"] else None,
                holes=leak["strokes"]["n"] if leak["strokes"] else 0,
                reason=leak["reason"],
            )
            for leak in self.leaks
        ]
        return charts.leak_ladder(self.score - 1 + self.gap, self.score, rungs)


LEAK_WORDS = {
    "penalties": "penalty strokes",
    "three_putts": "three-putts",
    "short_game": "four or more from 60 yards",
    "recovery": "recovery shots",
    "approach": "greens missed",
    "down_in_three": "three, not two, from 60 yards",
    "doubles": "doubles or worse",
    "everything_else": "everything else",
}


def ladder_of(player: Player, score: int) -> LadderView | None:
    """The ladder of an open barrier, or of the classic one that is spoken of; None while there is none."""
    kept = list(Barrier.objects.filter(player=player, broken_by=None, score=score).values_list("told", flat=True))
    kept += list(Outlook.objects.filter(player=player).values_list("told", flat=True))
    for told in kept:
        if told and told["score"] == score and told["ladder"]:
            return ladder_view(told)
    return None


def ladder_view(told: Mapping[str, Any]) -> LadderView:
    ladder = told["ladder"]
    return LadderView(
        score=told["score"],
        gap=ladder["gap"],
        n_rounds=ladder["n_rounds"],
        n=told["n"],
        leaks=tuple(ladder["leaks"]),
        what_if=tuple(told["what_if"]),
    )


@dataclass(frozen=True)
class StripLine:
    """What a group may see of somebody's scores: the last ones, oldest first, and the next barrier unless hidden."""

    player_id: UUID
    row: charts.StripRow


def group_strip(group: Group, reader: Player, names: Mapping[UUID, str]) -> list[StripLine]:
    """Everybody in the group but guests and those who show the index only; nearest to the barrier first.

    The barrier is the highest one not broken yet that holds on any tee. The reader sees an own hidden one.
    """
    members = Membership.objects.filter(group=group, left_at=None, player__erased_at=None).exclude(role=Role.GUEST)
    shown = list(
        members.filter(Q(hides_lines=False) | Q(player=reader))
        .order_by("joined_at", "pk")
        .values_list("player_id", flat=True)
    )
    scores: dict[UUID, list[int]] = {}
    ago = Window(
        RowNumber(),
        partition_by="player_id",
        order_by=[F("played_on").desc(), F("order_in_day").desc(), F("entered_at").desc()],
    )
    rounds = (
        Round.objects.filter(player__in=shown, gross__isnull=False).whole().annotate(ago=ago).filter(ago__lte=RECENT)
    )
    for player_id, gross in rounds.values_list("player_id", "gross"):
        scores.setdefault(player_id, []).append(gross or 0)
    held = Barrier.objects.filter(Q(is_hidden=False) | Q(player=reader), player__in=shown, broken_by=None, tee=None)
    barriers = dict(held.order_by("score").values_list("player_id", "score"))
    lines = [
        StripLine(
            player_id,
            charts.StripRow(
                name=names[player_id],
                scores=tuple(scores.get(player_id, ())),
                barrier=barriers.get(player_id),
                is_reader=player_id == reader.pk,
            ),
        )
        for player_id in shown
    ]
    return sorted(lines, key=lambda line: line.row.place)


def strip_picture(lines: Sequence[StripLine]) -> charts.Picture | None:
    rows = [line.row for line in lines]
    return charts.group_strip(rows) if any(row.scores for row in rows) else None


def judgement_of(group: Group | None) -> Judgement | None:
    """How well outlooks have come true, for the whole installation or one group, as last worked out."""
    return Judgement.objects.filter(group=group).first()


@dataclass(frozen=True)
class JudgedView:
    """The judgement as the page shows it; without a picture there are too few outlooks to tell."""

    n_rounds: int
    n_hindsight: int
    picture: charts.Picture | None
    band_words: str
    beside: tuple[dict[str, Any], ...]


def judged_view(group: Group | None) -> JudgedView | None:
    found = judgement_of(group)
    if found is None:
        return None
    rows = [charts.SaidRow(**one) for one in found.told.get("classes", [])]
    band = found.told.get("band")
    words = ""
    if band:
        expected = f"{100 * band['low']:.0f} to {100 * band['high']:.0f} of a hundred if it is right"
        words = f"The band of four in five held {100 * band['happened']:.0f} of a hundred rounds; {expected}."
    return JudgedView(
        n_rounds=found.n_rounds,
        n_hindsight=found.told["n_hindsight"],
        picture=charts.said_and_happened(rows) if rows else None,
        band_words=words,
        beside=tuple(found.told.get("ways", [])),
    )
