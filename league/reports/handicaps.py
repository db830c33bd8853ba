"""The ledger as pages, API and exports show it: lines, one revision explained, and what the next round would do."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Max, QuerySet

from league import charts
from league.exchange import ledger_csv, ledger_file
from league.models import CardEvent, Player, Revision, Round, Standing, Tee
from league.reports.courses import today_at
from league.rules import explanation, record, rounding
from league.rules.revision import revision_from_plain

KIND_WORDS = {
    "entered": "round entered",
    "corrected": "round corrected",
    "withdrawn": "round withdrawn",
    "adjusted": "adjustment",
    "lifted": "reduction lifted",
}
FEWEST_FOR_INDEX = 3


@dataclass(frozen=True)
class LedgerLine:
    """One revision as a row. Tenths are whole numbers; None is unknown or not there."""

    number: int
    kind: str
    issued_on: date
    played_on: date | None
    round_id: UUID | None
    course: str
    tee: str
    gross: int | None
    adjusted_gross: int | None
    differential_tenths: int | None
    index_tenths: int | None
    low_tenths: int | None
    step_tenths: int | None
    made_of: str
    reason: str

    @property
    def kind_words(self) -> str:
        return KIND_WORDS[self.kind]


def ledger_lines(revisions: Sequence[Revision]) -> list[LedgerLine]:
    """Rows for revisions that come with their event, round, tee and course selected."""
    return [_line(revision) for revision in revisions]


def revisions_of(player: Player) -> QuerySet[Revision]:
    return Revision.objects.filter(player=player).select_related("event__round__tee__course").order_by("-number")


def _line(revision: Revision) -> LedgerLine:
    detail, played = revision.detail, revision.event.round
    score = detail.get("score") or {}
    return LedgerLine(
        number=revision.number,
        kind=revision.event.kind,
        issued_on=revision.issued_on,
        played_on=date.fromisoformat(score["played_on"]) if score else (played.played_on if played else None),
        round_id=played.pk if played else None,
        course=played.tee.course.name if played else "",
        tee=played.tee.name if played else "",
        gross=score.get("gross"),
        adjusted_gross=score.get("adjusted_gross"),
        differential_tenths=revision.differential_tenths,
        index_tenths=revision.index_tenths,
        low_tenths=revision.low_tenths,
        step_tenths=_step(revision),
        made_of=made_of(detail),
        reason=revision.event.reason,
    )


def _step(revision: Revision) -> int | None:
    before = revision.detail.get("previous")
    if before is None or revision.index_tenths is None:
        return None
    return revision.index_tenths - rounding.tenths(before)


def made_of(detail: dict[str, Any]) -> str:
    """“lowest 8 of 20, soft cap”: which scores made the value, in a few words."""
    if detail.get("index") is None:
        return "no index"
    words = f"lowest {detail['k']} of {detail['n']}"
    adjustment = rounding.tenths(detail["table_adjustment"])
    if adjustment:
        words += f", less {-adjustment // 10}"
    if detail["cap"]:
        words += f", {detail['cap']} cap"
    return words


def _without_holes(detail: dict[str, Any]) -> dict[str, Any]:
    score = detail["score"]
    return detail if score is None else {**detail, "score": {**score, "capped_holes": []}}


@dataclass(frozen=True)
class RevisionPage:
    line: LedgerLine
    in_short: str
    sentences: list[str]
    rules: list[str]
    window: list[dict[str, Any]]
    detail: dict[str, Any]
    edition: str


def revision_page(revision: Revision, *, in_full: bool) -> RevisionPage:
    """One revision with its reasons in sentences and the scores that it rests on.

    `in_full` for those who keep the card; mates are not told what was made on single holes.
    """
    detail = revision.detail if in_full else _without_holes(revision.detail)
    rounds = Round.objects.filter(pk__in=[line["key"] for line in detail["window"]]).select_related("tee__course")
    by_key = {str(played.pk): played for played in rounds}
    window = [
        {**line, "day": date.fromisoformat(line["played_on"]), "round": by_key.get(line["key"])}
        for line in reversed(detail["window"])
    ]
    explained = revision_from_plain(detail)
    return RevisionPage(
        line=_line(revision),
        in_short=explanation.in_short(explained),
        sentences=list(explanation.explain(explained)),
        rules=detail["rules"],
        window=window,
        detail=detail,
        edition=revision.edition,
    )


def staircase(player: Player) -> charts.Picture | None:
    """The index over time for the ledger's page, from which every step leads to its reasons. None without an index.

    The ways are relative to that page: a thousand whole addresses would weigh more than all the rest of it.
    """
    rows = Revision.objects.filter(player=player).order_by("number").values_list("number", "issued_on", "index_tenths")
    if not any(index is not None for _, _, index in rows):
        return None
    return charts.staircase([charts.Step(number, issued_on, index, f"{number}/") for number, issued_on, index in rows])


@dataclass(frozen=True)
class Stand:
    """Where a player stands now. `is_provisional` while fewer than twenty scores carry the index.

    `issued_on` is the day from which the index is in force: the day after what came in (Rule 5.4).
    """

    index_tenths: int | None
    low_tenths: int | None
    n_scores: int
    issued_on: date | None = None

    @property
    def is_provisional(self) -> bool:
        return self.index_tenths is not None and self.n_scores < 20

    @property
    def missing_scores(self) -> int:
        return max(0, FEWEST_FOR_INDEX - self.n_scores)


def stand_of(player: Player) -> Stand:
    standing = Standing.objects.filter(player=player).first()
    if standing is None:
        return Stand(None, None, 0)
    issued_on = Revision.objects.filter(player=player, number=standing.last_number).values_list("issued_on", flat=True)
    return Stand(standing.index_tenths, standing.low_tenths, standing.n_scores, issued_on.first())


@dataclass(frozen=True)
class NextLine:
    gross: int
    differential_tenths: int
    index_tenths: int
    step_tenths: int


def next_time(player: Player, tee: Tee, holes_in_play: str) -> list[NextLine]:
    """What each adjusted gross around the usual would make of the index; empty before there is one."""
    standing = Standing.objects.filter(player=player).first()
    if standing is None or standing.state is None or standing.index_tenths is None:
        return []
    small = record.Standing.from_plain(standing.state)
    rated = tee.in_play(holes_in_play)
    usual = rated.par + rated.course_handicap(rounding.as_decimal(standing.index_tenths)) + 3
    last = Round.objects.filter(player=player).aggregate(day=Max("played_on"))["day"]
    today = today_at(tee.course)
    found = record.what_next(small, rated, range(usual - 9, usual + 6), max(today, last) if last else today)
    return [
        NextLine(
            one.adjusted_gross,
            rounding.tenths(one.differential),
            rounding.tenths(one.index),
            rounding.tenths(one.index) - standing.index_tenths,
        )
        for one in found
        if one.differential is not None and one.index is not None
    ]


def ledger_text(player: Player) -> str:
    """The ledger as one file, from which `verify_ledger` computes every number again."""
    facts = CardEvent.objects.filter(player=player).order_by("number").values_list("facts", flat=True)
    details = Revision.objects.filter(player=player).order_by("number").values_list("detail", flat=True)
    return ledger_file.write(
        player.name,
        [record.event_from_plain(plain) for plain in facts],
        [revision_from_plain(detail) for detail in details],
    )


def ledger_table(player: Player) -> str:
    """The ledger's lines as CSV."""
    details = Revision.objects.filter(player=player).order_by("number").values_list("detail", flat=True)
    return ledger_csv.write([revision_from_plain(detail) for detail in details])
