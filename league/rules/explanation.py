"""A revision in plain sentences, each with the number of the published rule it rests on.

>>> empty = Revision(1, "withdrawn", "r1", date(2024, 5, 1), 738_999, None, None, None, None, None, "", False, ())
>>> explain(empty)[0]
'A round was withdrawn on 1 May 2024; everything after is worked out without it (Rule 4.2).'
>>> explain_plain({})
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: score: a set of named values is expected.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from league.rules.index import shown
from league.rules.revision import NINE_WAITS, Revision, ScoreLine, revision_from_plain
from league.rules.rounding import halves_up, tenths

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def explain(revision: Revision) -> tuple[str, ...]:
    """What happened and why, in the order of the calculation."""
    sentences = [_what_came_in(revision)]
    if revision.score is not None:
        sentences += _about_card(revision.score)
    sentences += _about_table(revision)
    sentences += _about_limits(revision)
    sentences.append(_outcome(revision))
    return tuple(sentences)


def in_short(revision: Revision) -> str:
    """The index in one sentence: what it is the average of, and what changed or held it back (Rules 5.2, 5.3, 5.8)."""
    if revision.calculated is None or revision.index is None:
        return _outcome(revision)
    scores = "the last 20" if revision.n == 20 else str(revision.n)
    mean = shown(revision.calculated - revision.table_adjustment)
    parts = [f"The lowest {revision.k} of {scores} differentials average {mean}"]
    if revision.k == 1:
        parts = [f"The lowest of {scores} differentials is {mean}"]
    if revision.table_adjustment:
        parts.append(f"the table makes that {shown(revision.calculated)}")
    if revision.ceiling:
        parts.append("no index is above 54.0")
    elif revision.cap:
        parts.append(f"the {revision.cap} cap leaves {shown(revision.index)}")
    return f"{'; '.join(parts)}."


def explain_plain(values: Mapping[str, Any]) -> tuple[str, ...]:
    """The same for a revision kept by `Revision.as_plain`. RuleBroken `plain_form` if it has another form."""
    return explain(revision_from_plain(values))


def day_in_words(day: date) -> str:
    """A day as '1 May 2024'."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _three_decimals(value: Fraction) -> str:
    """An exact value shown to three decimals."""
    return str(Decimal(halves_up(1000 * value.numerator, value.denominator)).scaleb(-3))


def _signed(value: Decimal) -> str:
    """An amount with its sign."""
    return f"+{value}" if value > 0 else str(value)


def _what_came_in(revision: Revision) -> str:
    """The fact, and the day it came in."""
    day, score = day_in_words(revision.entered_on), revision.score
    if revision.kind == "entered" and score is not None:
        return f"A round played on {day_in_words(score.played_on)} was entered on {day}."
    if revision.kind == "corrected" and score is not None:
        played = day_in_words(score.played_on)
        return f"The card of {played} was corrected on {day}; it stands in its place by day of play (Rule 4.2)."
    if revision.kind == "withdrawn":
        return f"A round was withdrawn on {day}; everything after is worked out without it (Rule 4.2)."
    if revision.kind == "adjusted" and revision.amount is not None:
        amount = _signed(revision.amount)
        return (
            f"On {day} each differential of the last {revision.n} was moved by {amount}: {revision.reason} (Rule 7.1a)."
        )
    return f"On {day} the reductions that one exceptional score had caused were taken back (Rule 5.9)."


def _about_card(score: ScoreLine) -> list[str]:
    """From the card to its differential."""
    sentences = [_handicap_used(score)]
    caps = [
        f"hole {number}, picked up, counts {cap}" if strokes is None else f"hole {number}: {strokes} counts {cap}"
        for number, strokes, cap in score.capped_holes
    ]
    if caps:
        rule = "3.1a" if score.index_in_force is None else "3.1b"
        sentences.append(f"Capped: {'; '.join(caps)} (Rule {rule}).")
    gross = "" if score.gross is None else f"Gross {score.gross}, adjusted"
    sentences.append(f"{gross or 'Adjusted'} gross {score.adjusted_gross} over {score.holes} holes (Rule 3.1).")
    sentences += _about_differential(score)
    if score.reduction and score.index_in_force is not None and score.exact is not None:
        better = _three_decimals(Fraction(score.index_in_force) - score.exact)
        sentences.append(
            f"That is exceptionally good, {better} better than the index of {shown(score.index_in_force)}: "
            f"the differentials of the last 20 scores up to this one each change by {score.reduction} (Rule 5.9)."
        )
    return sentences


def _handicap_used(score: ScoreLine) -> str:
    """The index in force and the course handicap from it; without one the limit of a hole, where that acted.

    A total has no holes to be limited (Rule 4.1).
    """
    if score.index_in_force is None:
        limit = ", so a hole counts at most par + 5 (Rule 3.1a)" if score.capped_holes else ""
        return f"No index was in force on that day{limit}."
    return (
        f"The index in force on that day was {shown(score.index_in_force)}: course handicap "
        f"{shown_strokes(score.course_handicap)} with rating {score.course_rating}, slope {score.slope_rating} "
        f"and par {score.par} (Rule 6.1)."
    )


def shown_strokes(handicap: int | None) -> str:
    """A whole handicap as players read it: '+2' for -2, '-' for none (Rule 5.2c)."""
    if handicap is None:
        return "-"
    return f"+{-handicap}" if handicap < 0 else str(handicap)


def _about_differential(score: ScoreLine) -> list[str]:
    """The differential, or why the score has none yet."""
    if score.differential is None:
        if score.reason == NINE_WAITS:
            return ["Nine holes wait until 54 holes are in; then they get their own differential (Rule 4.5)."]
        return ["A round of 10 to 17 holes needs an index in force on its day; this one does not count (Rule 3.2b)."]
    if score.expected is None:
        conditions = f" and the playing conditions adjustment of {score.playing_conditions} (Rule 5.6)"
        less = f"{score.course_rating}{conditions if score.playing_conditions else ''}"
        return [
            f"Adjusted gross {score.adjusted_gross} less the rating {less}, times 113 over the slope "
            f"{score.slope_rating}, is {_three_decimals(score.played)}: "
            f"a score differential of {score.differential} (Rule 5.1a)."
        ]
    conditions = ""
    if score.playing_conditions:
        conditions = f" The playing conditions adjustment of {score.playing_conditions} is in it, pro rata (Rule 5.6)."
    rule = "5.1b" if score.holes == 9 else "3.2b"
    return [
        f"The {score.holes} holes played give {_three_decimals(score.played)}, {_how_played(score)}; "
        f"the {18 - score.holes} others are expected to give {_three_decimals(score.expected)}, {_for_whom(score)}: "
        f"together an estimated score differential of {score.differential} (Rule {rule}).{conditions}"
    ]


def _how_played(score: ScoreLine) -> str:
    """What the differential of the holes played was worked out from (Rules 5.1b and 3.2b)."""
    if score.holes == 9:
        return f"by the rating {score.course_rating} and the slope {score.slope_rating}"
    return f"by their share of the rating {score.course_rating} and the slope {score.slope_rating}, our reading"


def _for_whom(score: ScoreLine) -> str:
    """Whose expected score stands for the holes not played (Rules 5.1b and 3.2b)."""
    if score.index_in_force is None:
        return "for the value with which the record began"
    return f"for an index of {shown(score.index_in_force)}"


def _about_table(revision: Revision) -> list[str]:
    """How the table turns the last scores into a value."""
    if revision.calculated is None:
        return []
    sentences = []
    if revision.founding is not None:
        sentences.append(
            f"With 54 holes in, the first index is due. The nines in pairs give {shown(revision.founding)} for now; "
            "with it each nine gets its own differential (Rule 4.5, our reading)."
        )
    lowest = sorted(line.effective for line in revision.window if line.counted)
    listed = ", ".join(str(differential) for differential in lowest)
    which = f"lowest {revision.k} are averaged" if revision.k > 1 else "lowest counts"
    change = f"; the table changes that by {_signed(revision.table_adjustment)}" if revision.table_adjustment else ""
    rule = "5.2b" if revision.n == 20 else "5.2a"
    sentences.append(
        f"Of {revision.n} scores the {which} ({listed}){change}: {shown(revision.calculated)} (Rule {rule})."
    )
    return sentences


def _about_limits(revision: Revision) -> list[str]:
    """Soft cap, hard cap and ceiling where they acted."""
    sentences = []
    if revision.cap and revision.calculated is not None and revision.low_used is not None:
        above = Decimal(tenths(revision.calculated) - tenths(revision.low_used)).scaleb(-1)
        text = f"That is {above} above the low index of {shown(revision.low_used)}"
        if revision.cap == "soft":
            sentences.append(f"{text}; the part over 3.0 counts half (soft cap, Rule 5.8).")
        else:
            sentences.append(f"{text}; it stops 5.0 above it (hard cap, Rule 5.8).")
    if revision.ceiling:
        sentences.append("An index is never above 54.0 (Rule 5.3).")
    return sentences


def _outcome(revision: Revision) -> str:
    """The index issued, and the one before."""
    day = day_in_words(revision.issued_on)
    if revision.index is None:
        return "There is no index: it takes 54 holes to begin with, and at least 3 scores (Rules 4.5 and 5.2a)."
    if revision.previous == revision.index:
        said = f"The index stays at {shown(revision.index)} (Rule 5.4)."
    else:
        before = "" if revision.previous is None else f"; before, it was {shown(revision.previous)}"
        said = f"The index from {day} is {shown(revision.index)}{before} (Rule 5.4)."
    low = "" if revision.low is None else f" The low index is {shown(revision.low)} (Rule 5.7)."
    return f"{said}{low}"
