"""Lines of a card: sent in, answered by their players, and the rounds they become. Lines close one by one."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from league.models import (
    Card,
    CardLine,
    CardMark,
    CardState,
    LineState,
    MarkState,
    Membership,
    Player,
    Role,
    Round,
    RoundState,
    Tee,
)
from league.rules.errors import RuleBroken, refuse_all
from league.services import rounds
from league.services.card_marks import facts_of
from league.services.cards import held, other_holes, touch
from league.services.errors import Refused
from league.services.rounds import HoleFacts, RoundFacts

TEE_CHANGED = "card_tee_changed"


@dataclass(frozen=True, kw_only=True)
class Sending:
    """What a person says when lines become rounds: what they have seen, another tee, why holes were not played.

    `order_in_day` is which round of their day it was, from 1; None is after those that are stored. `without_round` are
    lines that would become rounds by the sender's hand and close without one, whatever is written on them.
    """

    confirmed: Collection[str] = ()
    tee: Tee | None = None
    not_played_reason: str = ""
    order_in_day: int | None = None
    without_round: Collection[UUID] = ()


@transaction.atomic
def send_card(*, card: Card, sender: Player, sending: Sending) -> Card:
    """Close the sender's line; whoever opened the card closes all that are open.

    The sender's own line and those of players without an account become rounds. The line of a player with an account
    waits for that player's yes. A line on which nothing is written, or that is left out, closes without a round.
    """
    fresh, lines = held(card, sender)
    if fresh.state == CardState.DROPPED:
        raise Refused("card_dropped", "This card was dropped.")
    is_scorer = fresh.opened_by_id == sender.pk
    closing = [line for line in lines if line.state == LineState.OPEN and (is_scorer or line.player_id == sender.pk)]
    if not closing:
        return fresh
    counting = [line for line in closing if line.pk not in sending.without_round]
    if set(sending.without_round) - {line.pk for line in closing if _posts(line, sender)}:
        text = "Leave out your own line and those of guests. The line of a member waits for that member’s yes."
        raise RuleBroken("line_unknown", text, "without_round")
    _refuse_unsettled(counting)
    _settle_tee(fresh, sending)
    written = {line.pk: _holes_of(line) for line in counting}
    if counting and not any(written.values()):
        raise RuleBroken("card_empty", "Nothing is written on this card yet.", "")
    _close(fresh, closing, written, sender, sending)
    return touch(fresh, lines)


def _posts(line: CardLine, sender: Player) -> bool:
    """Whether the line becomes a round by the sender's hand."""
    return line.player_id == sender.pk or line.player.account_id is None


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
        holes = written.get(line.pk)
        if not holes:
            line.state = LineState.DECLINED
        elif _posts(line, sender):
            try:
                _post(card, line, holes, sender, sending)
            except RuleBroken as broken:
                problems += [_on_line(line, one) for one in broken.problems]
        else:
            line.state = LineState.WAITS
        line.save()
    refuse_all(problems)


def _on_line(line: CardLine, broken: RuleBroken) -> RuleBroken:
    return RuleBroken(broken.code, f"{line.player.name}: {broken.message}", f"lines.{line.place}.{broken.field}")


def _keeps(keeper: Player, player: Player) -> bool:
    """Whether the keeper may enter cards of this player, who has no account, today: keepers come and go."""
    mine = Membership.objects.filter(player=keeper, left_at=None).exclude(role=Role.GUEST)
    run = mine.filter(role=Role.ORGANISER).values("group_id")
    kept = Q(keeper=keeper, group_id__in=mine.values("group_id")) | Q(group_id__in=run)
    return Membership.objects.filter(kept, player=player, left_at=None).exists()


def _post(card: Card, line: CardLine, holes: tuple[HoleFacts, ...], poster: Player, sending: Sending) -> None:
    if line.player_id != poster.pk and not _keeps(poster, line.player):
        text = "You do not keep this card any more. Close the line without a round, or ask an organiser of the group."
        raise RuleBroken("player_not_kept", text, "player")
    facts = RoundFacts(
        tee=card.tee,
        played_on=card.played_on,
        holes_in_play=card.holes_in_play,
        order_in_day=sending.order_in_day or _free_place(card, line.player),
        holes=holes,
        not_played_reason=sending.not_played_reason if len(holes) < _n_holes(card) else "",
        marker=card.opened_by if card.opened_by_id != line.player_id else None,
    )
    line.round = rounds.post_round(player=line.player, facts=facts, posted_by=poster, was_open=True)
    line.state, line.answered_at = LineState.POSTED, timezone.now()


def _free_place(card: Card, player: Player) -> int | None:
    """The place that was named when the card was opened, unless a round has come to stand there; else the next one."""
    standing = Round.objects.filter(player=player, played_on=card.played_on, state=RoundState.STANDING)
    return None if standing.filter(order_in_day=card.order_in_day).exists() else card.order_in_day


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
        refuse_all(other_holes(card, sending.tee))
        card.tee = sending.tee
    rows = Tee.objects.select_for_update(of=("self",), no_key=True).filter(pk=card.tee_id)
    version = rows.values_list("version", flat=True).first()
    if sending.tee is None and version != card.tee_version and TEE_CHANGED not in sending.confirmed:
        text = "The tee was changed since this card was opened. Look at it; then confirm it or choose another tee."
        raise Refused(TEE_CHANGED, text)
    card.tee_version = version or card.tee_version


def _holes_of(line: CardLine) -> tuple[HoleFacts, ...]:
    standing = CardMark.objects.filter(line=line, state=MarkState.STANDING, value__isnull=False).order_by("number")
    return tuple(facts_of(mark.number, mark.value or {}) for mark in standing)


@transaction.atomic
def answer_line(*, line: CardLine, player: Player, post: bool, sending: Sending) -> Card:
    """The player says yes to what a scorer wrote, and it becomes a round; or no, and it does not."""
    card, lines = held(line.card, player)
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
    return touch(card, lines)
