"""Cards while they are played: opened, written on by several, settled, sent in. Lines close one by one, not cards.

Whoever writes holds the rows of everybody on the card, in the order of their ids, and then the card's: sending in posts
rounds, which holds players too, and two cards with the same people never wait for each other.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from league.models import Card, CardLine, CardMark, CardState, Group, LineState, MarkState, Player, Tee
from league.models.marks import Mark, merge_of
from league.rules.errors import RuleBroken, refuse_all
from league.services import rounds
from league.services.errors import Refused, Stale
from league.services.rounds import HoleFacts, RoundFacts

MOST_PLAYERS = 4
TEE_CHANGED = "card_tee_changed"

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

SEEN_BY_ALL = frozenset({"strokes", "picked_up"})
"""The rest is shown to the player and to whoever opened the card."""


class LateMarks(Refused):
    """Marks for lines that are closed already. They are stored nowhere; `places` says which of the batch they are."""

    def __init__(self, code: str, message: str, places: Sequence[int]) -> None:
        super().__init__(code, message)
        self.places = tuple(places)


@dataclass(frozen=True, kw_only=True)
class Opening:
    """A card as a phone opened it. `tee_version` is that of the tee which the phone knew."""

    client_id: UUID
    tee: Tee
    tee_version: int
    holes_in_play: str
    played_on: date
    order_in_day: int = 1
    group: Group | None = None
    players: tuple[Player, ...]


@dataclass(frozen=True, kw_only=True)
class Written:
    """One mark as a phone wrote it; `value` by the names of `COLUMNS`, None for a hole that was cleared."""

    client_id: UUID
    line: UUID
    number: int
    value: Mapping[str, Any] | None
    over: UUID | None = None
    claimed_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class Sending:
    """What a person says when a line becomes a round: what they have seen, another tee, why holes were not played."""

    confirmed: Collection[str] = ()
    tee: Tee | None = None
    not_played_reason: str = ""


def sees_all(card: Card, line: CardLine, reader: Player) -> bool:
    """Putts, penalties and the quick fields of a player with an account are that player's and the scorer's."""
    return line.player.account_id is None or reader.pk in (line.player_id, card.opened_by_id)


@transaction.atomic
def open_card(*, opener: Player, opening: Opening) -> Card:
    """The card of this phone's id: stored once, however often it arrives."""
    _hold_players({opener.pk, *(player.pk for player in opening.players)}, opener)
    stored = Card.objects.filter(opened_by=opener, client_id=opening.client_id).first()
    if stored is not None:
        return stored
    refuse_all(_opening_problems(opening))
    opening.tee.in_play(opening.holes_in_play)
    card = Card.objects.create(
        client_id=opening.client_id,
        opened_by=opener,
        group=opening.group,
        tee=opening.tee,
        tee_version=opening.tee_version,
        holes_in_play=opening.holes_in_play,
        played_on=opening.played_on,
        order_in_day=opening.order_in_day,
        opened_at=timezone.now(),
    )
    lines = (CardLine(card=card, player=player, place=place) for place, player in enumerate(opening.players, 1))
    CardLine.objects.bulk_create(lines)
    return card


def _opening_problems(opening: Opening) -> list[RuleBroken]:
    """The day is judged when the card is sent in: a card that a phone holds is never turned away for it."""
    ids = [player.pk for player in opening.players]
    problems = []
    if not 1 <= len(ids) <= MOST_PLAYERS:
        problems.append(RuleBroken("card_players", f"One to {MOST_PLAYERS} players stand on a card.", "players"))
    if len(set(ids)) < len(ids):
        problems.append(RuleBroken("player_twice", "A player stands once on a card.", "players"))
    return problems


def _hold_players(ids: Collection[UUID], actor: Player) -> None:
    held = {row.pk: row for row in Player.objects.select_for_update().filter(pk__in=ids).order_by("pk")}
    if held[actor.pk].erased_at is not None:
        raise Refused("player_erased", "This player was erased meanwhile, with all their rounds.")


def _hold(card: Card, actor: Player) -> tuple[Card, list[CardLine]]:
    """The card and its lines as they stand, nobody else writing."""
    on_it = CardLine.objects.filter(card=card).values_list("player_id", flat=True)
    _hold_players({actor.pk, *on_it, *([card.opened_by_id] if card.opened_by_id else [])}, actor)
    rows = Card.objects.select_for_update(of=("self",)).select_related("tee__course__group", "opened_by")
    fresh = rows.prefetch_related("tee__holes").filter(pk=card.pk).first()
    if fresh is None:
        raise Refused("card_dropped", "This card was dropped meanwhile.")
    return fresh, list(fresh.lines.select_related("player"))


def _touch(card: Card, lines: Iterable[CardLine]) -> Card:
    card.version += 1
    if card.state == CardState.OPEN and all(line.state != LineState.OPEN for line in lines):
        card.state, card.sent_at = CardState.SENT, timezone.now()
    card.save()
    return card


# Marks


@transaction.atomic
def write_marks(*, card: Card, writer: Player, device: UUID, marks: Sequence[Written]) -> Card:
    """Store the marks that are new, all of them or none. RuleBroken names each that cannot be taken by its place."""
    fresh, lines = _hold(card, writer)
    by_id = {line.pk: line for line in lines}
    known = {mark.client_id: mark for mark in CardMark.objects.filter(line__in=lines)}
    refuse_all(_mark_problems(fresh, by_id, known, marks))
    new = {mark.client_id: (place, mark) for place, mark in reversed(list(enumerate(marks)))}
    arrived = sorted((place, mark) for key, (place, mark) in new.items() if key not in known)
    _refuse_late(fresh, by_id, arrived)
    for _, mark in arrived:
        known[mark.client_id] = _stored(fresh, by_id[mark.line], mark, known, writer, device)
    for line_id, number in sorted({(mark.line, mark.number) for _, mark in arrived}):
        _restate(by_id[line_id], number)
    return _touch(fresh, lines) if arrived else fresh


def _mark_problems(
    card: Card, lines: Mapping[UUID, CardLine], known: Mapping[UUID, CardMark], marks: Sequence[Written]
) -> list[RuleBroken]:
    numbers = {hole.number for hole in card.tee.in_play(card.holes_in_play).holes}
    most = settings.LEAGUE_MOST_STROKES_A_HOLE
    problems = []
    seen: dict[UUID, tuple[UUID, int]] = {}
    for place, mark in enumerate(marks):
        where, here = f"marks.{place}", (mark.line, mark.number)
        if mark.line not in lines:
            problems.append(RuleBroken("line_unknown", "This line is not on the card.", f"{where}.line"))
        if mark.number not in numbers:
            text = f"Hole {mark.number} is not played on this card."
            problems.append(RuleBroken("hole_unknown", text, f"{where}.number"))
        strokes = (mark.value or {}).get("strokes")
        if strokes is not None and not 1 <= strokes <= most:
            text = f"Hole {mark.number}: enter 1 to {most}, or clear it."
            problems.append(RuleBroken("strokes_range", text, f"{where}.value.strokes"))
        before = known.get(mark.client_id)
        where_before = (before.line_id, before.number) if before else seen.setdefault(mark.client_id, here)
        if where_before != here:
            text = "A mark with this id came before, for another hole or line."
            problems.append(RuleBroken("mark_reused", text, f"{where}.client_id"))
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
def settle_hole(*, card: Card, line: CardLine, number: int, mark: UUID, settled_by: Player) -> Card:
    """A person chose one of the contested marks; the others stay readable and count no more."""
    fresh, lines = _hold(card, settled_by)
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
    return _touch(fresh, lines)


# Sending in


@transaction.atomic
def send_card(*, card: Card, sender: Player, sending: Sending) -> Card:
    """Close the sender's line; whoever opened the card closes all that are open.

    The sender's own line and those of players without an account become rounds. The line of a player with an account
    waits for that player's yes. A line on which nothing is written closes without a round.
    """
    fresh, lines = _hold(card, sender)
    if fresh.state == CardState.DROPPED:
        raise Refused("card_dropped", "This card was dropped.")
    is_scorer = fresh.opened_by_id == sender.pk
    closing = [line for line in lines if line.state == LineState.OPEN and (is_scorer or line.player_id == sender.pk)]
    if not closing:
        return fresh
    _refuse_unsettled(closing)
    _settle_tee(fresh, sending)
    written = {line.pk: _holes_of(line) for line in closing}
    if not any(written.values()):
        raise RuleBroken("card_empty", "Nothing is written on this card yet.", "")
    _close(fresh, closing, written, sender, sending)
    return _touch(fresh, lines)


def _close(
    card: Card,
    closing: Sequence[CardLine],
    written: Mapping[UUID, tuple[HoleFacts, ...]],
    sender: Player,
    sending: Sending,
) -> None:
    """Lines are closed in the order of their players' ids, as their rows are held."""
    problems: list[RuleBroken] = []
    for line in sorted(closing, key=lambda line: line.player_id):
        if not written[line.pk]:
            line.state = LineState.DECLINED
        elif line.player_id == sender.pk or line.player.account_id is None:
            try:
                _post(card, line, written[line.pk], sender, sending)
            except RuleBroken as broken:
                problems += [_on_line(line, one) for one in broken.problems]
        else:
            line.state = LineState.WAITS
        line.save()
    refuse_all(problems)


def _on_line(line: CardLine, broken: RuleBroken) -> RuleBroken:
    return RuleBroken(broken.code, f"{line.player.name}: {broken.message}", f"lines.{line.place}.{broken.field}")


def _post(card: Card, line: CardLine, holes: tuple[HoleFacts, ...], poster: Player, sending: Sending) -> None:
    facts = RoundFacts(
        tee=card.tee,
        played_on=card.played_on,
        holes_in_play=card.holes_in_play,
        order_in_day=card.order_in_day if card.order_in_day > 1 else None,
        holes=holes,
        not_played_reason=sending.not_played_reason if len(holes) < _n_holes(card) else "",
        marker=card.opened_by if card.opened_by_id != line.player_id else None,
    )
    line.round = rounds.post_round(player=line.player, facts=facts, posted_by=poster)
    line.state, line.answered_at = LineState.POSTED, timezone.now()


def _n_holes(card: Card) -> int:
    return card.tee.in_play(card.holes_in_play).n_holes


def _refuse_unsettled(closing: Sequence[CardLine]) -> None:
    contested = CardMark.objects.filter(line__in=closing, state=MarkState.CONTESTED).select_related("line__player")
    holes = dict.fromkeys((mark.line.player.name, mark.number) for mark in contested)
    if holes:
        where = ", ".join(f"hole {number} of {name}" for name, number in holes)
        raise Refused("card_unsettled", f"Two values stand for {where}. Choose one of each, then send.")


def _settle_tee(card: Card, sending: Sending) -> None:
    """A rating that changed since the card was opened is told before it counts; another tee is one's own choice."""
    if sending.tee is not None and sending.tee.pk != card.tee_id:
        before = {hole.number for hole in card.tee.in_play(card.holes_in_play).holes}
        if {hole.number for hole in sending.tee.in_play(card.holes_in_play).holes} != before:
            raise RuleBroken("tee_holes", "That tee has other holes than this card.", "tee")
        card.tee = sending.tee
    held = Tee.objects.select_for_update(of=("self",), no_key=True).filter(pk=card.tee_id)
    version = held.values_list("version", flat=True).first()
    if sending.tee is None and version != card.tee_version and TEE_CHANGED not in sending.confirmed:
        text = "The tee was changed since this card was opened. Look at it; then confirm it or choose another tee."
        raise Refused(TEE_CHANGED, text)
    card.tee_version = version or card.tee_version


def _holes_of(line: CardLine) -> tuple[HoleFacts, ...]:
    standing = CardMark.objects.filter(line=line, state=MarkState.STANDING, value__isnull=False).order_by("number")
    return tuple(
        HoleFacts(number=mark.number, **{COLUMNS[name]: fact for name, fact in (mark.value or {}).items()})
        for mark in standing
    )


@transaction.atomic
def answer_line(*, line: CardLine, player: Player, post: bool, sending: Sending) -> Card:
    """The player says yes to what a scorer wrote, and it becomes a round; or no, and it does not."""
    card, lines = _hold(line.card, player)
    here = next((one for one in lines if one.pk == line.pk), None)
    if here is None or card.state == CardState.DROPPED:
        raise Refused("card_dropped", "This card was dropped meanwhile.")
    wanted = LineState.POSTED if post else LineState.DECLINED
    if here.state == wanted:
        return card
    if here.state == LineState.OPEN:
        raise Refused("card_line_open", "This line is still being written. Send it in first.")
    if here.state != LineState.WAITS:
        raise Refused("card_answered", "This line was answered already.")
    if post:
        _settle_tee(card, sending)
        try:
            _post(card, here, _holes_of(here), player, sending)
        except RuleBroken as broken:
            refuse_all([_on_line(here, one) for one in broken.problems])
    here.state, here.answered_at = wanted, timezone.now()
    here.save()
    return _touch(card, lines)


@transaction.atomic
def drop_card(*, card: Card, version: int, dropped_by: Player) -> None:
    """Only while nothing of it was sent in. Its marks are kept and stand for nothing."""
    fresh, lines = _hold(card, dropped_by)
    if fresh.state == CardState.DROPPED:
        return
    if fresh.version != version:
        raise Stale(fresh)
    if any(line.state != LineState.OPEN for line in lines):
        raise Refused("card_sent", "A line of this card was sent in, so the card stays.")
    fresh.state = CardState.DROPPED
    _touch(fresh, lines)
