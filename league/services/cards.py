"""Cards while they are played: opened by a phone or a page, put right, and dropped.

Whoever writes holds the rows of everybody on the card, in the order of their ids, and then the card's: sending in posts
rounds, which holds players too, and two cards with the same people never wait for each other.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from league.models import Card, CardLine, CardMark, CardState, Group, LineState, MarkState, Membership, Player, Tee
from league.rules.errors import RuleBroken, refuse_all
from league.services import rounds
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
    rounds.refuse_resting(opener)
    _refuse_resting(opening.group)
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
    return [*_people_problems(opening.players), *_group_problems(opening.group, opening.players)]


def _people_problems(players: Sequence[Player]) -> list[RuleBroken]:
    ids = [player.pk for player in players]
    problems = []
    if not 1 <= len(ids) <= MOST_PLAYERS:
        problems.append(RuleBroken("card_players", f"One to {MOST_PLAYERS} players stand on a card.", "players"))
    if len(set(ids)) < len(ids):
        problems.append(RuleBroken("player_twice", "A player stands once on a card.", "players"))
    return problems


def _group_problems(group: Group | None, players: Sequence[Player]) -> list[RuleBroken]:
    """A card of a group has its members and guests on it, nobody else."""
    if group is None:
        return []
    inside = set(
        Membership.objects.filter(group=group, left_at=None, player__in=players).values_list("player_id", flat=True)
    )
    outside = [player.name for player in players if player.pk not in inside]
    if not outside:
        return []
    text = f"Not in {group.name}: {', '.join(outside)}. Choose another group, none, or other players."
    return [RuleBroken("player_not_in_group", text, "group")]


def _refuse_resting(group: Group | None) -> None:
    if group is not None and group.rests_since is not None:
        raise Refused("group_rests", "This group rests: cards that are open may be sent in, but none is opened for it.")


@dataclass(frozen=True, kw_only=True)
class CardFacts:
    """What may be put right on a card while every line is open."""

    tee: Tee
    played_on: date
    order_in_day: int
    group: Group | None
    players: tuple[Player, ...]


@transaction.atomic
def change_card(*, card: Card, version: int, facts: CardFacts, changed_by: Player) -> Card:
    """Put right what was said when the card was opened. What is written stays, hole by hole.

    Another tee has the same holes; somebody goes from the card only while nothing is written on their line.
    """
    fresh, lines = held(card, changed_by, facts.players)
    if fresh.state == CardState.DROPPED:
        raise Refused("card_dropped", "This card was dropped.")
    if fresh.version != version:
        raise Stale(fresh)
    if any(line.state != LineState.OPEN for line in lines):
        raise Refused("card_sent", "A line of this card was sent in, so the card stays as it is. Correct the round.")
    if facts.group is not None and facts.group.pk != fresh.group_id:
        _refuse_resting(facts.group)
    refuse_all(_change_problems(fresh, lines, facts, changed_by))
    if facts.tee.pk != fresh.tee_id:
        fresh.tee, fresh.tee_version = facts.tee, facts.tee.version
    fresh.played_on, fresh.order_in_day, fresh.group = facts.played_on, facts.order_in_day, facts.group
    return touch(fresh, _lines_for(fresh, lines, facts.players))


def _change_problems(card: Card, lines: Sequence[CardLine], facts: CardFacts, changed_by: Player) -> list[RuleBroken]:
    problems = _people_problems(facts.players) + _group_problems(facts.group, facts.players)
    problems += rounds.day_problems(facts.tee, facts.played_on, rounds.today_at(facts.tee, changed_by))
    if facts.tee.pk != card.tee_id:
        problems += other_holes(card, facts.tee)
    going = [line for line in lines if line.player not in facts.players]
    written = CardMark.objects.filter(line__in=going).values_list("line_id", flat=True)
    for line in going:
        if line.pk in written:
            text = f"Something is written for {line.player.name}, so that line stays. It can close without a round."
            problems.append(RuleBroken("line_written", text, "players"))
    return problems


def other_holes(card: Card, tee: Tee) -> list[RuleBroken]:
    """Why this tee cannot be that of the card: its holes have other numbers, or are not rated."""
    before = {hole.number for hole in card.tee.in_play(card.holes_in_play).holes}
    try:
        after = {hole.number for hole in tee.in_play(card.holes_in_play).holes}
    except RuleBroken as broken:
        return [RuleBroken(one.code, one.message, "tee") for one in broken.problems]
    return [] if after == before else [RuleBroken("tee_holes", "That tee has other holes than this card.", "tee")]


def _lines_for(card: Card, lines: Sequence[CardLine], players: Sequence[Player]) -> list[CardLine]:
    """Those who stay keep their places; who comes takes the first that is free."""
    staying = [line for line in lines if line.player in players]
    CardLine.objects.filter(card=card).exclude(pk__in=[line.pk for line in staying]).delete()
    known, taken = {line.player_id for line in staying}, {line.place for line in staying}
    free = (place for place in range(1, MOST_PLAYERS + 1) if place not in taken)
    coming = [CardLine(card=card, player=player, place=next(free)) for player in players if player.pk not in known]
    return [*staying, *CardLine.objects.bulk_create(coming)]


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


def held(card: Card, actor: Player, coming: Iterable[Player] = ()) -> tuple[Card, list[CardLine]]:
    """The card and its lines as they stand, nobody else writing; `coming` are to stand on it too."""
    on_it = CardLine.objects.filter(card=card).values_list("player_id", flat=True)
    also = {player.pk for player in coming} | ({card.opened_by_id} if card.opened_by_id else set())
    _hold_players({actor.pk, *on_it, *also}, actor)
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
