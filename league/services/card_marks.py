"""What is written on a card, hole by hole, and which of two values stands.

What marks come to does not depend on the order in which they arrive (`models.marks`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from league.models import Card, CardLine, CardMark, CardState, LineState, MarkState, Player
from league.models.marks import SEEN_BY_ALL, Mark, merge_of, taken_back_id
from league.rules.errors import RuleBroken, refuse_all
from league.services.cards import held, touch
from league.services.errors import Refused
from league.services.rounds import HoleFacts, hole_problems

COLUMNS = {
    "strokes": "strokes",
    "putts": "putts",
    "penalties": "penalties",
    "picked_up": "is_picked_up",
    "first_putt_beyond_20ft": "first_putt_is_long",
    "strokes_from_60": "strokes_from_60",
    "recovery": "had_recovery",
}
"""What a mark may say of a hole, and the column of `HoleFacts` that it becomes."""


class LateMarks(Refused):
    """Marks for lines that are closed already. They are stored nowhere; `places` says which of the batch they are."""

    def __init__(self, code: str, message: str, places: Sequence[int]) -> None:
        super().__init__(code, message)
        self.places = tuple(places)


@dataclass(frozen=True, kw_only=True)
class Written:
    """One mark as a phone wrote it; `value` by the names of `COLUMNS`, None for a hole that was cleared."""

    client_id: UUID
    line: UUID
    number: int
    value: Mapping[str, Any] | None
    over: UUID | None = None
    claimed_at: datetime | None = None


def facts_of(number: int, value: Mapping[str, Any]) -> HoleFacts:
    """What a mark says of a hole, as a round takes it."""
    return HoleFacts(number=number, **{COLUMNS[name]: fact for name, fact in value.items()})


def sees_all(card: Card, line: CardLine, reader: Player) -> bool:
    """Putts, penalties and the quick fields of a player with an account are that player's and the scorer's."""
    return line.player.account_id is None or reader.pk in (line.player_id, card.opened_by_id)


@transaction.atomic
def write_marks(*, card: Card, writer: Player, device: UUID, marks: Sequence[Written]) -> Card:
    """Store the marks that are new, all of them or none. RuleBroken names each that cannot be taken by its place."""
    fresh, lines = held(card, writer)
    by_id = {line.pk: line for line in lines}
    known = {mark.client_id: mark for mark in CardMark.objects.filter(line__in=lines)}
    refuse_all(_mark_problems(fresh, by_id, marks) + _reused_problems(fresh, by_id, known, writer, marks))
    new = {mark.client_id: (place, mark) for place, mark in reversed(list(enumerate(marks)))}
    arrived = sorted((place, mark) for key, (place, mark) in new.items() if key not in known)
    _refuse_late(fresh, by_id, arrived)
    for _, mark in arrived:
        known[mark.client_id] = _stored(fresh, by_id[mark.line], mark, known, writer, device)
    for line_id, number in sorted({(mark.line, mark.number) for _, mark in arrived}):
        _restate(by_id[line_id], number)
    return touch(fresh, lines) if arrived else fresh


def _mark_problems(card: Card, lines: Mapping[UUID, CardLine], marks: Sequence[Written]) -> list[RuleBroken]:
    numbers = {hole.number for hole in card.tee.in_play(card.holes_in_play).holes}
    most = settings.LEAGUE_MOST_STROKES_A_HOLE
    problems = []
    for place, mark in enumerate(marks):
        where = f"marks.{place}"
        if mark.line not in lines:
            problems.append(RuleBroken("line_unknown", "This line is not on the card.", f"{where}.line"))
        if mark.number not in numbers:
            text = f"Hole {mark.number} is not played on this card."
            problems.append(RuleBroken("hole_unknown", text, f"{where}.number"))
        strokes = (mark.value or {}).get("strokes")
        if strokes is not None and not 1 <= strokes <= most:
            text = f"Hole {mark.number}: enter 1 to {most}, or clear it."
            problems.append(RuleBroken("strokes_range", text, f"{where}.value.strokes"))
        problems += _value_problems(mark, f"{where}.value")
    return problems


def _value_problems(mark: Written, where: str) -> list[RuleBroken]:
    """Facts that cannot all be so, as for a round."""
    found = hole_problems(facts_of(mark.number, plain_value(mark.value) or {}))
    return [
        RuleBroken(one.code, one.message, f"{where}.{one.field.rpartition('.')[2]}")
        for one in found
        if one.code != "strokes_range"
    ]


def _reused_problems(
    card: Card,
    lines: Mapping[UUID, CardLine],
    known: Mapping[UUID, CardMark],
    writer: Player,
    marks: Sequence[Written],
) -> list[RuleBroken]:
    """Ids that came before, or twice in this batch, and said something else then."""
    problems = []
    seen: dict[UUID, tuple[Any, ...]] = {}
    for place, mark in enumerate(marks):
        said = (mark.line, mark.number, mark.over, plain_value(mark.value))
        before = known.get(mark.client_id)
        if before is None:
            is_other = seen.setdefault(mark.client_id, said) != said
        else:
            # The stored mark of somebody who is not shown the putts has more in it than what they sent.
            kept = before.value
            if kept and before.line_id in lines and not sees_all(card, lines[before.line_id], writer):
                kept = {name: fact for name, fact in kept.items() if name in (said[3] or {})} or None
            is_other = (before.line_id, before.number, before.over, kept) != said
        if is_other:
            text = "A mark with this id came before and said something else. Each writing has an id of its own."
            problems.append(RuleBroken("mark_reused", text, f"marks.{place}.client_id"))
    return problems


def _refuse_late(card: Card, lines: Mapping[UUID, CardLine], arrived: Sequence[tuple[int, Written]]) -> None:
    if card.state == CardState.DROPPED:
        late = [place for place, _ in arrived]
        code, text = "card_dropped", "This card was dropped. What you wrote since is not stored here."
    else:
        late = [place for place, mark in arrived if lines[mark.line].state != LineState.OPEN]
        code, text = "card_sent", "This line was sent in before this came. Nothing was stored; correct the round."
    if late:
        raise LateMarks(code, text, late)


def plain_value(value: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """The facts that are known, in one order; nothing known is a cleared hole."""
    said = {name: (value or {}).get(name) for name in COLUMNS}
    known = {name: fact for name, fact in said.items() if fact is not None and (name != "picked_up" or fact)}
    return known or None


def _stored(
    card: Card, line: CardLine, mark: Written, known: Mapping[UUID, CardMark], writer: Player, device: UUID
) -> CardMark:
    value = plain_value(mark.value)
    before = known.get(mark.over) if mark.over else None
    if value is not None and before is not None and before.value and not sees_all(card, line, writer):
        # Who is not shown the putts cannot mean to take them away.
        value = plain_value({**{name: fact for name, fact in before.value.items() if name not in SEEN_BY_ALL}, **value})
    return CardMark.objects.create(
        line=line,
        number=mark.number,
        client_id=mark.client_id,
        over=mark.over,
        value=value,
        state=MarkState.REPLACED,
        written_by=writer,
        device=device,
        claimed_at=mark.claimed_at,
        written_at=timezone.now(),
    )


def _restate(line: CardLine, number: int) -> None:
    """What the marks of this hole come to, noted on each; the one that stands last, so that two never stand."""
    rows = list(CardMark.objects.filter(line=line, number=number))
    merged = merge_of(Mark(row.client_id, row.over, row.value, row.device, row.is_set_aside) for row in rows)
    due: dict[MarkState, list[int]] = {}
    for row in rows:
        if row.client_id == merged.standing:
            state = MarkState.STANDING
        elif row.client_id in merged.contested:
            state = MarkState.CONTESTED
        else:
            state = MarkState.AGREED if row.client_id in merged.agreed else MarkState.REPLACED
        if state != row.state:
            due.setdefault(state, []).append(row.pk)
    for state in sorted(due, key=lambda state: state == MarkState.STANDING):
        CardMark.objects.filter(pk__in=due[state]).update(state=state)


@transaction.atomic
def take_back(*, card: Card, mark: UUID, writer: Player, device: UUID) -> Card:
    """Write over a mark of this device what it was written over. Asked for again, it changes nothing more."""
    fresh, lines = held(card, writer)
    rows = CardMark.objects.filter(line__in=lines)
    row = rows.filter(client_id=mark, device=device).first()
    if row is None:
        raise RuleBroken("mark_unknown", "Only what was written here can be taken back here.", "mark")
    back = taken_back_id(mark)
    if row.state != MarkState.STANDING and not rows.filter(client_id=back).exists():
        raise Refused("card_settled", "This hole was settled or written anew meanwhile. Look at it again.")
    before = rows.filter(line=row.line_id, client_id=row.over).first() if row.over else None
    value = before.value if before is not None else None
    undone = Written(client_id=back, line=row.line_id, number=row.number, over=mark, value=value)
    return write_marks(card=fresh, writer=writer, device=device, marks=[undone])


@transaction.atomic
def settle_hole(*, card: Card, line: CardLine, number: int, mark: UUID, settled_by: Player) -> Card:
    """A person chose one of the contested marks; the others stay readable and count no more."""
    fresh, lines = held(card, settled_by)
    here = next(one for one in lines if one.pk == line.pk)
    if fresh.state == CardState.DROPPED:
        raise Refused("card_dropped", "This card was dropped.")
    if here.state != LineState.OPEN:
        raise Refused("card_sent", "This line was sent in already. Correct the round instead.")
    rows = CardMark.objects.filter(line=here, number=number)
    chosen = rows.filter(client_id=mark).first()
    if chosen is None:
        raise RuleBroken("mark_unknown", "Choose one of the marks of this hole.", "mark")
    if chosen.state == MarkState.STANDING:
        return fresh
    if chosen.state != MarkState.CONTESTED:
        raise Refused("card_settled", "This hole was settled or written anew meanwhile. Look at it again.")
    rows.filter(state=MarkState.CONTESTED).exclude(pk=chosen.pk).update(is_set_aside=True)
    _restate(here, number)
    return touch(fresh, lines)
