"""Cards while they are played: opened by a phone or a page, and dropped.

Whoever writes holds the rows of everybody on the card, in the order of their ids, and then the card's: sending in posts
rounds, which holds players too, and two cards with the same people never wait for each other.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from league.models import Card, CardLine, CardMark, CardState, Group, LineState, MarkState, Player, Tee
from league.rules.errors import RuleBroken, refuse_all
from league.services.audit import note_action
from league.services.errors import Refused, Stale

MOST_PLAYERS = 4


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


@transaction.atomic
def drop_card(*, card: Card, version: int, dropped_by: Player) -> None:
    """Lines that are open close without a round, and their players are told; lines that were sent in stay as they are.

    A card of which nothing was sent in is dropped as a whole. Marks are kept and stand for nothing; what somebody else
    wrote is not theirs to drop, so a card with such marks on open lines stays.
    """
    fresh, lines = held(card, dropped_by)
    if fresh.state == CardState.DROPPED:
        return
    if fresh.version != version:
        raise Stale(fresh)
    going = [line for line in lines if line.state == LineState.OPEN]
    if not going:
        raise Refused("card_sent", "Every line of this card was sent in, so nothing is left to drop.")
    _refuse_words_of_others(going, dropped_by)
    if len(going) == len(lines):
        fresh.state, fresh.sent_at = CardState.DROPPED, timezone.now()
    else:
        CardLine.objects.filter(pk__in=[line.pk for line in going]).update(state=LineState.DECLINED)
        lines = list(fresh.lines.all())
    touch(fresh, lines)
    for line in going:
        if line.player.account_id is not None and line.player_id != dropped_by.pk:
            _tell_of_dropping(fresh, line.player, dropped_by)


def _refuse_words_of_others(going: Collection[CardLine], dropped_by: Player) -> None:
    marks = CardMark.objects.filter(line__in=going, value__isnull=False).exclude(state=MarkState.REPLACED)
    writers = marks.exclude(written_by=dropped_by).exclude(written_by=None).values_list("written_by__name", flat=True)
    names = sorted(set(writers))
    if names:
        wrote = " and ".join(names)
        text = (
            f"{wrote} wrote on this card, so it is not dropped. Send it in: lines of members wait for their own yes,"
            " and yours and those of guests can be left without a round."
        )
        raise Refused("card_written", text)


def _tell_of_dropping(card: Card, player: Player, dropped_by: Player) -> None:
    note_action(action="card_dropped", actor=dropped_by, group=card.group, about=player, after={"card": str(card.pk)})


def _hold_players(ids: Collection[UUID], actor: Player) -> None:
    held = {row.pk: row for row in Player.objects.select_for_update().filter(pk__in=ids).order_by("pk")}
    if held[actor.pk].erased_at is not None:
        raise Refused("player_erased", "This player was erased meanwhile, with all their rounds.")


def held(card: Card, actor: Player) -> tuple[Card, list[CardLine]]:
    """The card and its lines as they stand, nobody else writing."""
    on_it = CardLine.objects.filter(card=card).values_list("player_id", flat=True)
    _hold_players({actor.pk, *on_it, *([card.opened_by_id] if card.opened_by_id else [])}, actor)
    rows = Card.objects.select_for_update(of=("self",)).select_related("tee__course__group", "opened_by")
    fresh = rows.prefetch_related("tee__holes").filter(pk=card.pk).first()
    if fresh is None:
        raise Refused("card_dropped", "This card was dropped meanwhile.")
    return fresh, list(fresh.lines.select_related("player"))


def touch(card: Card, lines: Iterable[CardLine]) -> Card:
    card.version += 1
    if card.state == CardState.OPEN and all(line.state != LineState.OPEN for line in lines):
        card.state, card.sent_at = CardState.SENT, timezone.now()
    card.save()
    return card
