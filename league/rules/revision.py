"""One line of the ledger: what a fact did to the index, and the calculation of the card behind it.

>>> revision_from_plain({})
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: score: a set of named values is expected.
>>> line = WindowLine("r1", date(2024, 5, 1), Decimal("17.0"), (), Decimal("17.0"), True, False)
>>> line.effective
Decimal('17.0')
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

from league.rules.errors import RuleBroken
from league.rules.index import LOWEST_USED, TABLE_ADJUSTMENT, WINDOW
from league.rules.plain import (
    Plain,
    day_of,
    decimal_of,
    decimal_or_none_of,
    flag_of,
    list_of,
    mapping_of,
    optional_text,
    text_of,
    whole_of,
    whole_or_none_of,
)
from league.rules.rounding import Ratio, as_decimal, as_text, fraction_of, tenths
from league.rules.window import Line, Mark

EXCEPTIONAL = "exceptional"
COMMITTEE = "committee"
NINE_WAITS = "nine_waits"
PARTIAL_BEFORE_INDEX = "partial_before_index"


class Reduction(NamedTuple):
    """One change to a differential, in strokes, with the key of the round that caused it ('' for a committee)."""

    kind: str
    amount: Decimal
    cause: str


class WindowLine(NamedTuple):
    """One of the last 20 scores: its differential, the changes on it, and whether it was among the lowest averaged."""

    key: str
    played_on: date
    differential: Decimal
    reductions: tuple[Reduction, ...]
    effective: Decimal
    counted: bool
    estimated: bool


def _in_strokes(count: int | None) -> Decimal | None:
    """Tenths in strokes; None stays None."""
    return None if count is None else as_decimal(count)


class ScoreLine(NamedTuple):
    """A card's own calculation (Rules 3, 5.1, 5.6, 5.9 and 6.1), kept in whole numbers and read in strokes.

    `played`, `expected` and `exact` are exact strokes; the properties give them as 'n/d' text for keeping.
    `differential` is None with a `reason` while the score cannot count: 'nine_waits' or 'partial_before_index'.
    """

    key: str
    played_on: date
    holes: int
    par: int
    course_rating: Decimal
    slope_rating: int
    playing_conditions: int
    in_force_tenths: int | None
    course_handicap: int | None
    gross: int | None
    adjusted_gross: int
    capped_holes: tuple[tuple[int, int | None, int], ...]
    played_ratio: Ratio
    expected: Fraction | None
    differential_tenths: int | None
    reduction_tenths: int
    reason: str

    @property
    def index_in_force(self) -> Decimal | None:
        """The index by which the card is measured."""
        return _in_strokes(self.in_force_tenths)

    @property
    def played(self) -> Fraction:
        """The differential of the holes played, before rounding."""
        return Fraction(*self.played_ratio)

    @property
    def exact(self) -> Fraction | None:
        """The differential before rounding; None while the score cannot count."""
        if self.differential_tenths is None:
            return None
        return self.played if self.expected is None else self.played + self.expected

    @property
    def differential(self) -> Decimal | None:
        """The score differential, in strokes."""
        return _in_strokes(self.differential_tenths)

    @property
    def reduction(self) -> Decimal:
        """What this score takes off each differential of its window, in strokes: 0.0, -1.0 or -2.0."""
        return as_decimal(self.reduction_tenths)

    @property
    def is_estimated(self) -> bool:
        """Whether part of the differential is expected rather than played."""
        return self.expected is not None

    @property
    def unrounded(self) -> str | None:
        """The differential before rounding, as 'n/d' in strokes."""
        exact = self.exact
        return None if exact is None else as_text(exact)

    @property
    def played_part(self) -> str:
        """The differential of the holes played, before rounding, as 'n/d' in strokes."""
        return as_text(self.played)

    @property
    def expected_part(self) -> str | None:
        """The differential expected of the holes not played, as 'n/d' in strokes; None where none is added."""
        return None if self.expected is None else as_text(self.expected)


class Revision(NamedTuple):
    """What a fact did to the index, with everything needed to explain it; kept in whole numbers and read in strokes.

    `calculated` is the value before caps, `low_used` the low index it was held against, `low` the low index afterwards.
    `cap` is '', 'soft' or 'hard'. `founding` is the provisional value behind a first index that rests on nines as well.
    """

    number: int
    kind: str
    key: str
    entered_on: date
    issued_day: int
    index_tenths: int | None
    low_tenths: int | None
    low_used_tenths: int | None
    previous_tenths: int | None
    calculated_tenths: int | None
    cap: str
    ceiling: bool
    marks: tuple[Mark, ...]
    score: ScoreLine | None = None
    founding_tenths: int | None = None
    amount_tenths: int | None = None
    reason: str = ""

    @property
    def issued_on(self) -> date:
        """The day from which the index is in force."""
        return date.fromordinal(self.issued_day)

    @property
    def index(self) -> Decimal | None:  # type: ignore[override]  # nobody looks for places in this tuple
        """The index that was issued."""
        return _in_strokes(self.index_tenths)

    @property
    def low(self) -> Decimal | None:
        """The low index afterwards."""
        return _in_strokes(self.low_tenths)

    @property
    def low_used(self) -> Decimal | None:
        """The low index that the calculated value was held against."""
        return _in_strokes(self.low_used_tenths)

    @property
    def previous(self) -> Decimal | None:
        """The index before."""
        return _in_strokes(self.previous_tenths)

    @property
    def calculated(self) -> Decimal | None:
        """The value that follows from the table, before caps and ceiling."""
        return _in_strokes(self.calculated_tenths)

    @property
    def founding(self) -> Decimal | None:
        """The provisional value behind a first index that rests on nines as well."""
        return _in_strokes(self.founding_tenths)

    @property
    def amount(self) -> Decimal | None:
        """What a committee put on every differential of the window."""
        return _in_strokes(self.amount_tenths)

    @property
    def n(self) -> int:
        """Scores in the window, at most 20."""
        return len(self.marks)

    @property
    def k(self) -> int:
        """How many of the lowest differentials the table averages (Rule 5.2a)."""
        return LOWEST_USED[len(self.marks)]

    @property
    def table_adjustment(self) -> Decimal:
        """What the table adds to that average (Rule 5.2a)."""
        return as_decimal(TABLE_ADJUSTMENT[len(self.marks)])

    @property
    def window(self) -> tuple[WindowLine, ...]:
        """The last 20 counting scores in order of play; of equal differentials the more recent one is counted."""
        counted = self._counted()
        return tuple(_window_line(mark, place in counted) for place, mark in enumerate(self.marks))

    def _counted(self) -> set[int]:
        """Places in the window of the differentials that the table averages."""
        order = sorted([(mark.effective, -place) for place, mark in enumerate(self.marks)])
        return {-place for _, place in order[: self.k]}

    @property
    def rules(self) -> tuple[str, ...]:
        """Numbers of the published rules that this revision used, in ascending order."""
        return tuple(rule for rule, is_used in _uses(self) if is_used)

    def as_plain(self) -> Plain:
        """Plain values for keeping and sending: days as ISO text, decimals as text."""
        counted = self._counted()
        plain: Plain = {
            "number": self.number,
            "kind": self.kind,
            "key": self.key,
            "entered_on": self.entered_on.isoformat(),
            "issued_on": self.issued_on.isoformat(),
            "cap": self.cap,
            "ceiling": self.ceiling,
            "n": self.n,
            "k": self.k,
            "table_adjustment": str(self.table_adjustment),
            "reason": self.reason,
            "rules": list(self.rules),
            "window": [_mark_as_plain(mark, place in counted) for place, mark in enumerate(self.marks)],
            "score": None if self.score is None else _score_as_plain(self.score),
        }
        return plain | {name: optional_text(getattr(self, name)) for name in _OPTIONAL}


_OPTIONAL = ("index", "low", "low_used", "previous", "calculated", "founding", "amount")


def _uses(revision: Revision) -> list[tuple[str, bool]]:
    """Each rule number with whether the revision used it."""
    score, has_index = revision.score, revision.index is not None
    has_holes = score is not None and bool(score.capped_holes)
    no_index = score is not None and score.index_in_force is None
    counts = score is not None and score.differential is not None
    is_exceptional = any(line.kind == EXCEPTIONAL for mark in revision.marks for line in mark.lines)
    return [
        ("3.1a", has_holes and no_index),
        ("3.1b", has_holes and not no_index),
        ("3.2b", score is not None and 9 < score.holes < 18),
        ("4.2", revision.kind in ("corrected", "withdrawn")),
        ("4.5", not has_index or revision.founding is not None),
        ("5.1a", score is not None and score.holes == 18),
        ("5.1b", counts and score is not None and score.holes == 9),
        ("5.2a", has_index and revision.n < 20),
        ("5.2b", has_index and revision.n == 20),
        ("5.3", revision.ceiling),
        ("5.4", True),
        ("5.6", counts and score is not None and score.playing_conditions != 0),
        ("5.7", revision.low_used is not None or revision.low is not None),
        ("5.8", bool(revision.cap)),
        ("5.9", is_exceptional or revision.kind == "lifted"),
        ("6.1", score is not None and score.course_handicap is not None),
        ("7.1a", revision.kind == "adjusted" or any(x.kind == COMMITTEE for m in revision.marks for x in m.lines)),
    ]


def _window_line(mark: Mark, counted: bool) -> WindowLine:
    """A mark in strokes."""
    reductions = tuple(Reduction(line.kind, as_decimal(line.amount), line.cause) for line in mark.lines)
    return WindowLine(
        mark.key,
        mark.played_on,
        as_decimal(mark.differential),
        reductions,
        as_decimal(mark.effective),
        counted,
        mark.is_estimated,
    )


def _mark_as_plain(mark: Mark, counted: bool) -> Plain:
    """One line of the window as plain values, in strokes."""
    return {
        "key": mark.key,
        "played_on": mark.played_on.isoformat(),
        "differential": str(as_decimal(mark.differential)),
        "reductions": [[line.kind, str(as_decimal(line.amount)), line.cause] for line in mark.lines],
        "effective": str(as_decimal(mark.effective)),
        "counted": counted,
        "estimated": mark.is_estimated,
    }


def _score_as_plain(score: ScoreLine) -> Plain:
    """A card's calculation as plain values."""
    return {
        "key": score.key,
        "played_on": score.played_on.isoformat(),
        "holes": score.holes,
        "par": score.par,
        "course_rating": str(score.course_rating),
        "slope_rating": score.slope_rating,
        "playing_conditions": score.playing_conditions,
        "index_in_force": optional_text(score.index_in_force),
        "course_handicap": score.course_handicap,
        "gross": score.gross,
        "adjusted_gross": score.adjusted_gross,
        "capped_holes": [list(hole) for hole in score.capped_holes],
        "played_part": score.played_part,
        "expected_part": score.expected_part,
        "unrounded": score.unrounded,
        "differential": optional_text(score.differential),
        "estimated": score.is_estimated,
        "reduction": str(score.reduction),
        "reason": score.reason,
    }


def _score_from_plain(values: Mapping[str, Any]) -> ScoreLine:
    """The calculation kept by `_score_as_plain`."""
    expected, played = values.get("expected_part"), fraction_of(text_of(values, "played_part"))
    in_force, differential = decimal_or_none_of(values, "index_in_force"), decimal_or_none_of(values, "differential")
    return ScoreLine(
        text_of(values, "key"),
        day_of(values, "played_on"),
        whole_of(values, "holes"),
        whole_of(values, "par"),
        decimal_of(values, "course_rating"),
        whole_of(values, "slope_rating"),
        whole_of(values, "playing_conditions"),
        _tenths_or_none(in_force),
        whole_or_none_of(values, "course_handicap"),
        whole_or_none_of(values, "gross"),
        whole_of(values, "adjusted_gross"),
        tuple((number, strokes, cap) for number, strokes, cap in list_of(values, "capped_holes")),
        (played.numerator, played.denominator),
        None if expected is None else fraction_of(text_of(values, "expected_part")),
        _tenths_or_none(differential),
        tenths(decimal_of(values, "reduction")),
        text_of(values, "reason"),
    )


def _tenths_or_none(value: Decimal | None) -> int | None:
    """A kept value in tenths; None stays None."""
    return None if value is None else tenths(value)


def _mark_from_plain(values: Mapping[str, Any]) -> Mark:
    """The mark behind a window line kept as plain values."""
    lines = tuple(Line(kind, tenths(Decimal(amount)), cause) for kind, amount, cause in list_of(values, "reductions"))
    return Mark(
        text_of(values, "key"),
        day_of(values, "played_on"),
        tenths(decimal_of(values, "differential")),
        lines,
        tenths(decimal_of(values, "effective")),
        flag_of(values, "estimated"),
    )


def revision_from_plain(values: Mapping[str, Any]) -> Revision:
    """The revision kept by `Revision.as_plain`; RuleBroken `plain_form` if it has another form."""
    score = None if values.get("score", "") is None else _score_from_plain(mapping_of(values, "score"))
    optional = {f"{name}_tenths": _tenths_or_none(decimal_or_none_of(values, name)) for name in _OPTIONAL}
    marks = tuple(_mark_from_plain(mapping_of(line, "")) for line in list_of(values, "window"))
    if len(marks) > WINDOW:
        raise RuleBroken("plain_form", f"window: at most {WINDOW} scores are expected.", "window")
    return Revision(
        number=whole_of(values, "number"),
        kind=text_of(values, "kind"),
        key=text_of(values, "key"),
        entered_on=day_of(values, "entered_on"),
        issued_day=day_of(values, "issued_on").toordinal(),
        cap=text_of(values, "cap"),
        ceiling=flag_of(values, "ceiling"),
        marks=marks,
        score=score,
        reason=text_of(values, "reason"),
        **optional,
    )
