"""Rounds as pages, API and exports show them: the owner's card, or the ledger line that mates may see."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from league import charts
from league.exchange import rounds_csv
from league.exchange.round_row import HoleScore as FileScore
from league.exchange.round_row import RoundRow, holes_text
from league.models import AuditEntry, HoleScore, HolesInPlay, Membership, Player, Revision, Role, Round, RoundState
from league.rules import rounding, scorecard

TOLD_FOR = timedelta(days=30)

REASONS = {
    "nine_waits": "Waits for a first index: nine-hole scores count from 54 holes on (Rule 4.5).",
    "partial_before_index": "Ten to seventeen holes count only when an index was in force on the day (Rule 3.2).",
}


@dataclass(frozen=True)
class HoleLine:
    """One hole of a card beside what the tee says of it. `counted` is after the cap; strokes None: not played."""

    number: int
    par: int
    stroke_index: int
    length: int | None
    received: int
    cap: int
    strokes: int | None
    is_picked_up: bool
    is_played: bool
    putts: int | None
    penalties: int | None
    first_putt_is_long: bool | None
    strokes_from_60: int | None
    had_recovery: bool | None

    @property
    def has_more(self) -> bool:
        """Whether any of the optional facts were noted."""
        return not (self.first_putt_is_long is None and self.strokes_from_60 is None and self.had_recovery is None)

    @property
    def counted(self) -> int | None:
        if not self.is_played:
            return None
        return self.cap if self.strokes is None else min(self.strokes, self.cap)

    @property
    def is_capped(self) -> bool:
        return self.is_played and self.counted != self.strokes


@dataclass(frozen=True)
class RoundCard:
    """A round and what was made of it. `in_full` for those who keep the card; others may be shown the line only."""

    played: Round
    in_full: bool
    revision: Revision | None
    tee_in_play: scorecard.Tee
    holes: tuple[HoleLine, ...]

    @property
    def score(self) -> dict[str, Any]:
        return (self.revision.detail.get("score") or {}) if self.revision else {}

    @property
    def course_handicap(self) -> int | None:
        value = self.score.get("course_handicap")
        return value if isinstance(value, int) else None

    @property
    def index_in_force_tenths(self) -> int | None:
        text = self.score.get("index_in_force")
        return None if text is None else rounding.tenths(text)

    @property
    def index_after_tenths(self) -> int | None:
        return self.revision.index_tenths if self.revision else None

    @property
    def index_before_tenths(self) -> int | None:
        text = self.revision.detail.get("previous") if self.revision else None
        return None if text is None else rounding.tenths(text)

    @property
    def no_differential_words(self) -> str:
        return REASONS.get(self.played.no_differential_reason, "")

    @property
    def putts(self) -> int | None:
        known = [hole.putts for hole in self.holes if hole.putts is not None]
        return sum(known) if known else None

    @property
    def penalties(self) -> int | None:
        known = [hole.penalties for hole in self.holes if hole.penalties is not None]
        return sum(known) if known else None

    @property
    def holes_with_more(self) -> list[HoleLine]:
        return [hole for hole in self.holes if hole.has_more]

    @property
    def picture(self) -> charts.Picture | None:
        """The pace line against par plus strokes received; None for a total.

        A blow-up is a hole at its cap: net double bogey, and par and five without an index, where no net is known.
        """
        if not any(hole.is_played for hole in self.holes):
            return None
        return charts.pace_line(
            [
                charts.PlayedHole(
                    number=hole.number,
                    par=hole.par,
                    received=hole.cap - hole.par - 2,
                    due=hole.par + hole.received,
                    strokes=hole.counted if hole.strokes is None else hole.strokes,
                )
                for hole in self.holes
            ]
        )


def latest_revisions(rounds: Iterable[Round]) -> dict[UUID, Revision]:
    """The revision of the last event about each round, in one query."""
    found = Revision.objects.filter(event__round__in=[played.pk for played in rounds]).order_by("number")
    return {
        revision.event.round_id: revision
        for revision in found.select_related("event")
        if revision.event.round_id is not None
    }


def round_card(played: Round, *, in_full: bool) -> RoundCard:
    return round_cards([played], in_full=in_full)[0]


def round_cards(rounds: Iterable[Round], *, in_full: bool) -> list[RoundCard]:
    listed = list(rounds)
    revisions = latest_revisions(listed)
    return [_card(played, in_full, revisions.get(played.pk)) for played in listed]


def _card(played: Round, in_full: bool, revision: Revision | None) -> RoundCard:
    rated = played.tee.in_play(played.holes_in_play)
    score = (revision.detail.get("score") or {}) if revision else {}
    return RoundCard(played, in_full, revision, rated, _hole_lines(played, rated, score.get("course_handicap")))


def _hole_lines(played: Round, rated: scorecard.Tee, course_handicap: int | None) -> tuple[HoleLine, ...]:
    if played.is_total:
        return ()
    received = scorecard.strokes_by_hole(rated, course_handicap or 0)
    caps = dict(zip((hole.number for hole in rated.holes), scorecard.stroke_caps(rated, course_handicap), strict=True))
    lengths = {hole.number: hole.length for hole in played.tee.holes.all()}
    scores = {score.number: score for score in played.hole_scores.all()}
    return tuple(
        _hole_line(hole, lengths.get((hole.number - 1) % len(lengths) + 1), received, caps, scores.get(hole.number))
        for hole in rated.holes
    )


def _hole_line(
    hole: scorecard.Hole, length: int | None, received: dict[int, int], caps: dict[int, int], score: HoleScore | None
) -> HoleLine:
    return HoleLine(
        number=hole.number,
        par=hole.par,
        stroke_index=hole.stroke_index,
        length=length,
        received=received[hole.number],
        cap=caps[hole.number],
        strokes=score.strokes if score else None,
        is_picked_up=bool(score and score.is_picked_up),
        is_played=score is not None,
        putts=score.putts if score else None,
        penalties=score.penalties if score else None,
        first_putt_is_long=score.first_putt_is_long if score else None,
        strokes_from_60=score.strokes_from_60 if score else None,
        had_recovery=score.had_recovery if score else None,
    )


def with_cards(rounds: QuerySet[Round]) -> QuerySet[Round]:
    """Everything that a card needs, in a fixed number of queries however many rounds there are."""
    return rounds.select_related("player", "tee__course__group", "marker", "attested_by", "posted_by").prefetch_related(
        "hole_scores", "tee__holes"
    )


def rounds_of(player: Player) -> QuerySet[Round]:
    return with_cards(Round.objects.filter(player=player, state=RoundState.STANDING)).order_by(
        "-played_on", "-order_in_day", "-entered_at"
    )


@dataclass(frozen=True)
class LastRound:
    played_on: date
    gross: int | None
    course: str
    entered_at: datetime
    round_id: UUID


def last_round(player: Player) -> LastRound | None:
    played = rounds_of(player).first()
    if played is None:
        return None
    return LastRound(played.played_on, played.gross, played.tee.course.name, played.entered_at, played.pk)


def export_rows(player: Player, reader: Player | None = None) -> tuple[list[RoundRow], list[int | None]]:
    """The standing rounds as rows of the CSV template, oldest first, and the differential of each in tenths."""
    rounds = list(reversed(rounds_of(player)))
    return [_export_row(played, reader) for played in rounds], [played.differential_tenths for played in rounds]


def rounds_table(player: Player, reader: Player) -> str:
    """The player's rounds as CSV, in the template that imports read. A ref is its writer's own."""
    rows, differentials = export_rows(player, reader)
    return rounds_csv.write(rows, differentials)


def _export_row(played: Round, reader: Player | None) -> RoundRow:
    scores = {score.number: score for score in played.hole_scores.all()}
    return RoundRow(
        played_on=played.played_on,
        course=played.tee.course.name,
        tee=played.tee.name,
        rated=played.tee.rated_for,
        holes=_export_holes(played, sorted(scores)),
        gross=played.gross,
        adjusted_gross=played.adjusted_gross if played.is_total else None,
        scores=tuple(_export_score(scores.get(number)) for number in range(1, 19)) if scores else (),
        order_in_day=played.order_in_day,
        marker=played.marker.name if played.marker else played.marker_name,
        playing_conditions=played.playing_conditions or None,
        playing_conditions_from=played.playing_conditions_from,
        reason=played.not_played_reason,
        note=played.note,
        ref=played.ref if reader is None or reader.pk == played.posted_by_id else "",
    )


def _export_holes(played: Round, numbers: Sequence[int]) -> str:
    named = {HolesInPlay.FRONT: "front 9", HolesInPlay.BACK: "back 9", HolesInPlay.NINE: "9"}
    if played.holes_in_play in named:
        return named[HolesInPlay(played.holes_in_play)]
    return holes_text(numbers or range(1, 19))


def _export_score(score: HoleScore | None) -> FileScore | None:
    if score is None:
        return None
    return FileScore(
        score.strokes,
        score.is_picked_up,
        score.putts,
        score.penalties,
        score.first_putt_is_long,
        score.strokes_from_60,
        score.had_recovery,
    )


def to_attest_again(attester: Player) -> list[Round]:
    """Cards that this person attested and that were corrected since, while nobody has attested them anew."""
    since = timezone.now() - TOLD_FOR
    ended = AuditEntry.objects.filter(action="attestation_ended", about=attester, at__gte=since)
    rounds = [after["round"] for after in ended.values_list("after", flat=True) if after]
    shared = Membership.objects.filter(player=attester, left_at=None).exclude(role=Role.GUEST).values("group_id")
    mates = Membership.objects.filter(group_id__in=shared, left_at=None, hides_lines=False).values("player_id")
    found = Round.objects.filter(pk__in=rounds, state=RoundState.STANDING, attested_at=None, player_id__in=mates)
    return list(found.select_related("player", "tee__course").order_by("played_on", "id"))
