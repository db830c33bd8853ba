"""The lines of a ledger for a spreadsheet: one revision a row, with a column that says they are unofficial."""

import csv
import io
from collections.abc import Iterable
from decimal import Decimal

from league.exchange.cells import guarded
from league.exchange.problems import UNOFFICIAL
from league.rules.revision import Revision, ScoreLine

COLUMNS = (
    "number", "kind", "entered_on", "issued_on", "played_on", "holes", "gross", "adjusted_gross", "course_rating",
    "slope_rating", "playing_conditions", "differential", "estimated", "not_counted_because", "reduction", "scores",
    "lowest_used", "calculated", "low_index", "cap", "ceiling", "index_before", "index", "rules", "adjustment",
    "reason", "unofficial",
)  # fmt: skip
YES_NO = {True: "yes", False: "no"}


def write(revisions: Iterable[Revision]) -> str:
    """The revisions as CSV. Encode as UTF-8 ("utf-8-sig" for a spreadsheet)."""
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(COLUMNS)
    lines.writerows(_cells(revision) for revision in revisions)
    return text.getvalue()


def _cells(revision: Revision) -> list[object]:
    return [
        revision.number,
        revision.kind,
        revision.entered_on.isoformat(),
        revision.issued_on.isoformat(),
        *_score_cells(revision.score),
        revision.n,
        revision.k,
        _text(revision.calculated),
        _text(revision.low_used),
        revision.cap,
        YES_NO[revision.ceiling],
        _text(revision.previous),
        _text(revision.index),
        # Rule numbers apart by semicolons and in words, so that no spreadsheet takes "5.2" for a number or a date.
        "; ".join(f"Rule {rule}" for rule in revision.rules),
        _text(revision.amount),
        guarded(revision.reason),
        UNOFFICIAL,
    ]


def _score_cells(score: ScoreLine | None) -> list[object]:
    if score is None:
        return [""] * 11
    return [
        score.played_on.isoformat(),
        score.holes,
        "" if score.gross is None else score.gross,
        score.adjusted_gross,
        score.course_rating,
        score.slope_rating,
        score.playing_conditions,
        _text(score.differential),
        YES_NO[score.is_estimated],
        score.reason,
        score.reduction,
    ]


def _text(value: Decimal | None) -> str:
    return "" if value is None else str(value)
