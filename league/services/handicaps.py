"""The ledger's only writer. Whoever calls it holds the player's row, so events get their numbers one after another."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from league.models import CardEvent, Player, Revision, Round, Standing
from league.rules import EDITION, record, rounding
from league.rules.errors import RuleBroken
from league.services.errors import Refused

KINDS = {
    record.Entered: "entered",
    record.Corrected: "corrected",
    record.Withdrawn: "withdrawn",
    record.Adjusted: "adjusted",
    record.Lifted: "lifted",
}

ROWS_AT_ONCE = 100
"""Longer INSERT statements are slower on SQLite, not faster."""

COPIED = ("gross", "adjusted_gross", "differential_tenths", "no_differential_reason", "is_estimated")
"""Columns of a round that come from the calculation of its card."""

Compare = Callable[[str, object, object], None]


@dataclass(frozen=True)
class Recorded:
    """One event to write down, with the round it is about and why it came."""

    event: record.Event
    played: Round | None = None
    reason: str = ""


@dataclass(frozen=True)
class Difference:
    """A stored number that does not follow from the stored facts."""

    player_id: str
    where: str
    stored: str
    recomputed: str

    def __str__(self) -> str:
        return f"{self.player_id} {self.where}: stored {self.stored}, recomputed {self.recomputed}"


def lock_player(player: Player) -> Player:
    """Two cards of one player never meet: the second waits here until the first is stored.

    Refused when an erasure was what it waited for: the door was passed while the player was still there.
    """
    held = Player.objects.select_for_update().get(pk=player.pk)
    if held.erased_at is not None:
        raise Refused("player_erased", "This player was erased meanwhile, with all their rounds.")
    return held


def record_events(*, player: Player, recorded: Sequence[Recorded], recorded_by: Player | None) -> list[Revision]:
    """Append events and the revisions they cause. Call inside a transaction that holds the player's row.

    What an event makes of its card is copied to the round, which the caller saves afterwards.
    """
    standing, _ = Standing.objects.get_or_create(player=player)
    first_number = standing.last_number + 1
    small = record.Standing.from_plain(standing.state) if standing.state else None
    lines: dict[str, record.ScoreLine] = {}
    if small is not None and len(recorded) == 1 and small.can_append(recorded[0].event):
        revised = [small.append(recorded[0].event)]
    else:
        whole = _whole_record(player)
        revised = [whole.apply(one.event) for one in recorded]
        small = whole.standing()
        lines = {score.line.key: score.line for score in whole.scores}
        _store_other_differentials(lines, [one.played for one in recorded])
    now = timezone.now()
    rows = [
        CardEvent(
            player=player,
            number=first_number + place,
            kind=KINDS[type(one.event)],
            round=one.played,
            facts=record.event_as_plain(one.event),
            entered_on=one.event.entered_on,
            recorded_at=now,
            recorded_by=recorded_by,
            reason=one.reason,
        )
        for place, one in enumerate(recorded)
    ]
    events = CardEvent.objects.bulk_create(rows, batch_size=ROWS_AT_ONCE)
    revisions = Revision.objects.bulk_create(
        [_revision_row(player, event, result) for event, result in zip(events, revised, strict=True)],
        batch_size=ROWS_AT_ONCE,
    )
    last = revised[-1]
    standing.state = small.as_plain()
    standing.index_tenths = _tenths(last.index)
    standing.low_tenths = _tenths(last.low)
    standing.n_scores = last.n
    standing.last_number = last.number
    standing.save()
    for one, result in zip(recorded, revised, strict=True):
        if one.played is not None and result.score is not None:
            # A nine that waited may have got its differential from a later event of the same batch.
            _copy_score(one.played, lines.get(str(one.played.pk), result.score))
    return revisions


def _whole_record(player: Player) -> record.Record:
    facts = CardEvent.objects.filter(player=player).order_by("number").values_list("facts", flat=True)
    return record.replay(record.event_from_plain(plain) for plain in facts)


def _tenths(value: Decimal | None) -> int | None:
    return None if value is None else rounding.tenths(value)


def _revision_row(player: Player, event: CardEvent, result: record.Revision) -> Revision:
    return Revision(
        player=player,
        event=event,
        number=result.number,
        issued_on=result.issued_on,
        index_tenths=_tenths(result.index),
        low_tenths=_tenths(result.low),
        differential_tenths=_tenths(result.score.differential) if result.score else None,
        edition=EDITION,
        detail=result.as_plain(),
    )


def _copy_score(played: Round, score: record.ScoreLine) -> None:
    """Lists read it from the round's own row."""
    played.gross = score.gross
    played.adjusted_gross = score.adjusted_gross
    played.differential_tenths = _tenths(score.differential)
    played.no_differential_reason = score.reason or ""
    played.is_estimated = score.is_estimated


def _store_other_differentials(lines: Mapping[str, record.ScoreLine], own: Sequence[Round | None]) -> None:
    """When the first index appears, nines that were waiting get differentials of their own (Rule 5.1b)."""
    others = lines.keys() - {str(played.pk) for played in own if played is not None}
    for played in Round.objects.filter(pk__in=others).only("pk", *COPIED):
        before = [getattr(played, name) for name in COPIED]
        _copy_score(played, lines[str(played.pk)])
        if before != [getattr(played, name) for name in COPIED]:
            played.save(update_fields=COPIED)


def entered_on_for(player: Player, played_on: date, today: date) -> date:
    """Rounds from before the player joined are history: they count as entered on the day they were played."""
    return played_on if played_on < player.joined_on else today


def check_player(player: Player) -> list[Difference]:
    """Replay the stored facts and name every stored number that does not follow from them."""
    whole = _whole_record(player)
    found: list[Difference] = []

    def compare(where: str, stored: object, recomputed: object) -> None:
        if stored != recomputed:
            found.append(Difference(str(player.pk), where, repr(stored), repr(recomputed)))

    stored_revisions = list(Revision.objects.filter(player=player).order_by("number"))
    compare("number of revisions", len(stored_revisions), len(whole.revisions))
    for stored, result in zip(stored_revisions, whole.revisions, strict=False):
        expected = _revision_row(player, stored.event, result) if stored.event_id else None
        where = f"revision {stored.number}"
        compare(where, stored.number, result.number)
        compare(f"{where} issued_on", stored.issued_on, result.issued_on)
        compare(f"{where} index", stored.index_tenths, expected.index_tenths if expected else None)
        compare(f"{where} low", stored.low_tenths, expected.low_tenths if expected else None)
        explained = result.as_plain()
        for name in sorted(stored.detail.keys() | explained.keys()):
            compare(f"{where} explanation of {name}", stored.detail.get(name), explained.get(name))
    _check_standing(player, whole, compare)
    _check_rounds(player, whole, compare)
    return found


def _check_standing(player: Player, whole: record.Record, compare: Compare) -> None:
    standing = Standing.objects.filter(player=player).first()
    last = whole.revisions[-1] if whole.revisions else None
    if last is None:
        compare("standing", standing.last_number if standing else 0, 0)
        return
    compare("standing", standing.state if standing else None, whole.standing().as_plain())
    compare("standing index", standing.index_tenths if standing else None, _tenths(last.index))


def _check_rounds(player: Player, whole: record.Record, compare: Compare) -> None:
    """The rounds as lists read them, and their holes, against the facts of the ledger."""
    scores = {score.line.key: score for score in whole.scores}
    standing = Round.objects.filter(player=player, state="standing").prefetch_related("hole_scores")
    stored = {str(played.pk): played for played in standing}
    compare("standing rounds", sorted(stored), sorted(scores))
    for key in sorted(stored.keys() & scores.keys()):
        played, posted, recomputed = stored[key], scores[key].posted, Round()
        _copy_score(recomputed, scores[key].line)
        for name in COPIED:
            compare(f"round {key} {name}", getattr(played, name), getattr(recomputed, name))
        compare(f"round {key} played_on", played.played_on, posted.played_on)
        compare(f"round {key} order_in_day", played.order_in_day, posted.order_in_day)
        compare(f"round {key} playing_conditions", played.playing_conditions, posted.playing_conditions)
        holes = [(hole.number, hole.strokes, hole.is_picked_up) for hole in played.hole_scores.all()]
        told = sorted((hole.number, hole.strokes, hole.picked_up) for hole in posted.card.holes)
        compare(f"round {key} holes", holes, told)


def check_everybody(players: Iterable[Player]) -> Iterator[Difference]:
    """Differences of many players, one after the other, each as of one moment: cards may come in meanwhile."""
    for player in players:
        yield from _check_locked(player)


@transaction.atomic
def _check_locked(player: Player) -> list[Difference]:
    """Facts that cannot be replayed are a difference too; a player who was deleted meanwhile has none."""
    if not Player.objects.select_for_update().filter(pk=player.pk).exists():
        return []
    try:
        return check_player(player)
    except RuleBroken as broken:
        return [Difference(str(player.pk), "facts", "not to be replayed", broken.message)]


@transaction.atomic
def rebuild_player(*, player: Player) -> int:
    """Write the columns copied from the ledger again from the facts; revisions themselves are never rewritten."""
    Player.objects.select_for_update().get(pk=player.pk)
    whole = _whole_record(player)
    if not whole.revisions:
        return 0
    last = whole.revisions[-1]
    Standing.objects.update_or_create(
        player=player,
        defaults={
            "state": whole.standing().as_plain(),
            "index_tenths": _tenths(last.index),
            "low_tenths": _tenths(last.low),
            "n_scores": last.n,
            "last_number": last.number,
        },
    )
    _store_other_differentials({score.line.key: score.line for score in whole.scores}, [])
    return len(whole.revisions)
