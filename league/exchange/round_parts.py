"""The cells of one row -> values, and values -> a round, or every reason why they make none."""

from collections.abc import Callable
from typing import Any

from league.exchange.cells import CellFault, clean_text, unguarded, whole_number
from league.exchange.dates import Order, read_date
from league.exchange.problems import Limits
from league.exchange.round_row import (
    HOLE_COLUMNS,
    IGNORED,
    LONG_PUTT_COLUMNS,
    N_HOLES,
    PENALTY_COLUMNS,
    PUTT_COLUMNS,
    REASONS,
    RECOVERY_COLUMNS,
    REQUIRED,
    SHORT_GAME_COLUMNS,
    HoleScore,
    RoundRow,
    checked_holes,
    hole_numbers,
    holes_text,
    named_holes,
)

RATED = {"men": "men", "m": "men", "women": "women", "w": "women"}
HOLE_FACTS = (
    (PUTT_COLUMNS, "putts", "putts"),
    (PENALTY_COLUMNS, "penalties", "penalties"),
    (LONG_PUTT_COLUMNS, "first_putt_is_long", "words about the first putt"),
    (SHORT_GAME_COLUMNS, "strokes_from_60", "strokes from inside 60 yards"),
    (RECOVERY_COLUMNS, "had_recovery", "words about a recovery"),
)
Parser = Callable[[str], Any]
Faults = list[tuple[str, CellFault]]


def parsers(columns: list[str], order: Order, limits: Limits, decimal_comma: bool | None) -> list[Parser]:
    """One parser a column. Each remembers what it has read: the same few cells fill most of a file."""

    def number(low: int, high: int, message: str) -> Parser:
        def parse(cell: str) -> int:
            value = whole_number(cell, decimal_comma)
            if not low <= value <= high:
                raise CellFault("number", message)
            return value

        return parse

    def text(limit: int) -> Parser:
        return lambda cell: clean_text(unguarded(cell.strip()), limit, limits)

    def note(cell: str) -> str:
        one_kind_of_break = cell.replace("\r\n", "\n").replace("\r", "\n")
        return clean_text(unguarded(one_kind_of_break), limits.note_characters, limits, many_lines=True)

    total = number(1, limits.strokes * N_HOLES, f"A total lies between 9 and {limits.strokes * N_HOLES}.")
    few = number(0, limits.strokes, f"Enter 0 to {limits.strokes}.")
    by_column: dict[str, Parser] = {
        "played_on": lambda cell: read_date(cell.strip(), order),
        "order_in_day": number(1, 9, "Enter 1 to 9."),
        "rated": _rated,
        "reason": _reason,
        "holes": named_holes,
        "gross": total,
        "adjusted_gross": total,
        "playing_conditions": number(-1, 3, "Enter -1, 0, 1, 2 or 3 (Rule 5.6)."),
        "ref": text(limits.ref_characters),
        "note": note,
        **dict.fromkeys(HOLE_COLUMNS, lambda cell: _hole_mark(cell, limits, decimal_comma)),
        **dict.fromkeys((*PUTT_COLUMNS, *PENALTY_COLUMNS, *SHORT_GAME_COLUMNS), few),
        **dict.fromkeys((*LONG_PUTT_COLUMNS, *RECOVERY_COLUMNS), _yes_or_no),
        **dict.fromkeys(IGNORED, lambda cell: None),
    }
    name = text(limits.name_characters)
    return [_remembering(by_column.get(column, name)) for column in columns]


def _remembering(parse: Parser) -> Parser:
    known: dict[str, Any] = {}

    def parsed(cell: str) -> Any:
        if cell not in known:
            known[cell] = parse(cell)
        return known[cell]

    return parsed


def _yes_or_no(cell: str) -> bool:
    plain = cell.strip().lower()
    if plain not in ("yes", "no", "y", "n"):
        raise CellFault("yes_or_no", "Write yes or no, or leave the cell blank.")
    return plain.startswith("y")


def _rated(cell: str) -> str:
    if cell.strip().lower() not in RATED:
        raise CellFault("rated", "Write men or women, or leave the cell blank.")
    return RATED[cell.strip().lower()]


def _reason(cell: str) -> str:
    plain = " ".join(cell.lower().split())
    for reason, words in REASONS.items():
        if plain in (reason, words):
            return reason
    raise CellFault("reason", f"Write one of these: {', '.join(REASONS)} (Rule 3.2).")


def _hole_mark(cell: str, limits: Limits, decimal_comma: bool | None) -> HoleScore | None:
    """Strokes, "x", "7x", or None for "-"."""
    plain = cell.strip().lower()
    if plain in ("-", "–"):
        return None
    is_picked_up = plain.endswith("x")
    digits = plain.removesuffix("x").rstrip()
    if is_picked_up and not digits:
        return HoleScore(None, True)
    strokes = whole_number(digits, decimal_comma)
    if strokes == 0:
        raise CellFault("strokes_range", "0 strokes: mark the hole as not played (-) or picked up (x).")
    if not 1 <= strokes <= limits.strokes:
        raise CellFault("strokes_range", f"Enter 1 to {limits.strokes}, x for picked up, or - for not played.")
    return HoleScore(strokes, is_picked_up)


def round_row(line: int, values: dict[str, Any]) -> tuple[Faults, RoundRow | None]:
    """The row, or what keeps its cells from making a round together."""
    faults: Faults = [
        (name, CellFault("missing", "This must not be blank.")) for name in REQUIRED if name not in values
    ]
    scores = _scores(values, faults)
    holes = _holes(values, scores, faults)
    if holes:
        _check_totals(values, scores, len(hole_numbers(holes)), faults)
        if 10 <= len(hole_numbers(holes)) < N_HOLES and "reason" not in values:
            message = "10 to 17 holes were played: say why (light, weather …), or fill in the holes that are missing."
            faults.append(("reason", CellFault("reason_missing", message)))
    if faults:
        return faults, None
    return faults, RoundRow(
        played_on=values["played_on"],
        course=values["course"],
        tee=values["tee"],
        holes=holes,
        gross=values.get("gross"),
        adjusted_gross=values.get("adjusted_gross"),
        scores=scores,
        player=values.get("player", ""),
        order_in_day=values.get("order_in_day"),
        rated=values.get("rated", ""),
        marker=values.get("marker", ""),
        playing_conditions=values.get("playing_conditions"),
        playing_conditions_from=values.get("playing_conditions_from", ""),
        reason=values.get("reason", ""),
        note=values.get("note", ""),
        ref=values.get("ref", ""),
        row=line,
    )


def _scores(values: dict[str, Any], faults: Faults) -> tuple[HoleScore | None, ...]:
    """Eighteen places with strokes and what else was noted, or () when no hole holds anything."""
    marks: list[HoleScore | None] = [values.get(column) for column in HOLE_COLUMNS]
    for columns, name, word in HOLE_FACTS:
        for place, column in enumerate(columns):
            if column not in values:
                continue
            mark = marks[place]
            if mark is None:
                message = f"There are {word} for hole {place + 1} and no strokes."
                faults.append((column, CellFault("strokes_missing", message)))
            else:
                marks[place] = mark._replace(**{name: values[column]})
    for number, mark in enumerate(marks, 1):
        if mark and mark.strokes is not None and (mark.putts or 0) + (mark.penalties or 0) > mark.strokes:
            message = f"Hole {number} has more putts and penalty strokes than strokes."
            faults.append((f"putts{number}", CellFault("putts_range", message)))
        if mark and mark.strokes is not None and (mark.strokes_from_60 or 0) > mark.strokes:
            message = f"Hole {number} has more strokes from inside 60 yards than strokes."
            faults.append((f"shortgame{number}", CellFault("strokes_from_60_range", message)))
    return tuple(marks) if any(marks) else ()


def _holes(values: dict[str, Any], scores: tuple[HoleScore | None, ...], faults: Faults) -> str:
    """Which holes were played, or "" when that cannot be said."""
    stated: str = values.get("holes", "")
    if not scores:
        return stated or "18"
    numbers = tuple(number for number, mark in enumerate(scores, 1) if mark)
    if not stated:
        try:
            return holes_text(checked_holes(numbers))
        except CellFault as fault:
            faults.append(("holes", fault))
            return ""
    expected = hole_numbers(stated)
    for number in sorted(set(expected) ^ set(numbers)):
        if number in expected:
            message = f"Hole {number} is one of the holes played ({stated}) and has no strokes."
        else:
            message = f"Hole {number} has strokes and is not one of the holes played ({stated})."
        faults.append((f"h{number}", CellFault("holes_differ", message)))
    return stated


def _check_totals(values: dict[str, Any], scores: tuple[HoleScore | None, ...], n_holes: int, faults: Faults) -> None:
    gross, adjusted = values.get("gross"), values.get("adjusted_gross")
    strokes = [mark.strokes for mark in scores if mark]
    known = [value for value in strokes if value is not None]
    if gross is None and adjusted is None and not strokes:
        faults.append(("gross", CellFault("missing", "Give the total, or the strokes hole by hole.")))
    elif not strokes and n_holes not in (9, N_HOLES):
        message = f"A total of {n_holes} holes is not enough: give the strokes hole by hole."
        faults.append(("gross", CellFault("holes", message)))
    elif gross is not None and len(known) < len(strokes):
        message = "A hole was picked up, so there is no total. Leave this blank, or write the likely score, as in 7x."
        faults.append(("gross", CellFault("gross_differs", message)))
    elif gross is not None and strokes and gross != sum(known):
        faults.append(("gross", CellFault("gross_differs", f"The holes add up to {sum(known)}, not {gross}.")))
    for column, total in (("gross", gross), ("adjusted_gross", adjusted)):
        if total is not None and total < n_holes:
            faults.append((column, CellFault("number", f"{total} strokes are fewer than the {n_holes} holes played.")))
    most = gross if gross is not None else sum(known) if strokes and len(known) == len(strokes) else None
    if adjusted is not None and most is not None and adjusted > most:
        message = f"This is more than the gross score {most}."
        faults.append(("adjusted_gross", CellFault("adjusted_above_gross", message)))
