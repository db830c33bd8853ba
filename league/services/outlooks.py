"""Outlooks worked out after rounds have come in: the level, what it foretold, broken barriers, ladder and what-ifs.

What is due shows by itself: an outlook whose `last_number` is not that of the ledger. Twice does no harm.
"""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from league.estimates import leaks, outlook, progress, what_if
from league.estimates.leaks import PlayedHole
from league.estimates.outlook import Level, Played
from league.estimates.progress import CLASSIC
from league.models import Barrier, Foretold, Membership, Outlook, Player, Round, Standing, Tee

ROUNDS_FOR_LEAKS = 20


def due_players(limit: int) -> list[UUID]:
    """Players whose outlook does not know their last event yet."""
    is_known = Q(player__outlook__last_number=F("last_number"))
    is_due = ~is_known | Q(player__outlook__isnull=True)
    due = Standing.objects.filter(is_due, player__erased_at=None)
    return list(due.order_by("player_id").values_list("player_id", flat=True)[:limit])


@transaction.atomic
def refresh_player(*, player_id: UUID) -> Outlook | None:
    """Work out all that rests on a player’s rounds. A post that comes meanwhile waits, and makes it due again."""
    player = Player.objects.select_for_update().filter(pk=player_id, erased_at=None).first()
    standing = Standing.objects.filter(player=player).first() if player else None
    if player is None or standing is None:
        return None
    rounds = list(Round.objects.filter(player=player).whole().select_related("tee__course"))
    counted = [(played, one) for played in rounds if (one := played.as_played) is not None]
    level = _foretell(player, counted)
    settle_barriers(player, rounds)
    told = _tell_barriers(player, level, rounds)
    found, _ = Outlook.objects.update_or_create(
        player=player,
        defaults={
            "level": level.as_plain(),
            "told": told,
            "n_rounds": level.n,
            "last_number": standing.last_number,
            "computed_at": timezone.now(),
        },
    )
    return found


def _foretell(player: Player, counted: Sequence[tuple[Round, Played]]) -> Level:
    """Keep, for every round, the outlook that the rounds before it gave; what a correction changed is hindsight."""
    stored = {foretold.round_id: foretold for foretold in Foretold.objects.filter(player=player)}
    keep: set[Any] = set()
    made, changed = [], []
    level = outlook.starting()
    for played, one in counted:
        if level.n >= outlook.FEWEST_ROUNDS:
            told = _told(player, played, level)
            keep.add(played.pk)
            known = stored.get(played.pk)
            if known is None:
                made.append(told)
            elif _numbers(known) != _numbers(told):
                told.is_hindsight = known.is_hindsight or _forecast(known) != _forecast(told)
                changed.append(told)
        level = outlook.step(level, one)
    Foretold.objects.filter(player=player).exclude(pk__in=keep).delete()
    Foretold.objects.bulk_create(made, batch_size=100)
    for told in changed:
        told.save(force_update=True)
    return level


def _told(player: Player, played: Round, level: Level) -> Foretold:
    next_score = outlook.predict(level, played.played_on, played.tee.key)
    ground = played.tee.ground
    return Foretold(
        round=played,
        player=player,
        played_on=played.played_on,
        is_hindsight=played.played_on < player.joined_on,
        n_before=level.n,
        gross=played.least_gross or 0,
        course_rating=ground.course_rating,
        slope_rating=ground.slope_rating,
        mode=next_score.mode,
        left=next_score.left,
        right=next_score.right,
        freedom=next_score.freedom,
    )


def _forecast(told: Foretold) -> tuple[object, ...]:
    return (told.played_on, told.n_before, told.mode, told.left, told.right, told.freedom)


def _numbers(told: Foretold) -> tuple[object, ...]:
    return (*_forecast(told), told.gross, told.course_rating, told.slope_rating)


def settle_barriers(player: Player, rounds: Sequence[Round]) -> None:
    """A barrier is broken by the first standing round under it; when that round goes, so does the mark."""
    for barrier in Barrier.objects.filter(player=player).select_related("tee"):
        proof = next((played for played in rounds if _breaks(played, barrier)), None)
        broken_on = proof.played_on if proof else None
        if (barrier.broken_by_id, barrier.broken_on) != (proof.pk if proof else None, broken_on):
            barrier.broken_by, barrier.broken_on = proof, broken_on
            barrier.version += 1
            barrier.save(update_fields=["broken_by", "broken_on", "version"])


def _breaks(played: Round, barrier: Barrier) -> bool:
    on_tee = barrier.tee is None or played.tee.set_id == barrier.tee.set_id
    return on_tee and played.gross is not None and played.gross < barrier.score


def usual_tee(player: Player, rounds: Sequence[Round]) -> Tee | None:
    """Where the player's numbers are told when nobody says where: the home tee, else the one last played."""
    return player.home_tee or (rounds[-1].tee if rounds else None)


def holes_of(rounds: Sequence[Round]) -> list[list[PlayedHole]]:
    """Hole-by-hole cards among the last rounds, oldest first, as the leak ladder needs them."""
    cards = []
    for played in rounds[-ROUNDS_FOR_LEAKS:]:
        scores = {score.number: score for score in played.hole_scores.all()}
        rated = played.tee.in_play(played.holes_in_play)
        if len(scores) == rated.n_holes and all(score.strokes is not None for score in scores.values()):
            cards.append([_hole(hole.par, hole.stroke_index, scores[hole.number]) for hole in rated.holes])
    return cards


def _hole(par: int, stroke_index: int, score: Any) -> PlayedHole:
    return PlayedHole(
        par=par,
        stroke_index=stroke_index,
        strokes=score.strokes,
        putts=score.putts,
        penalties=score.penalties,
        first_putt_beyond_20ft=score.first_putt_is_long,
        strokes_from_60=score.strokes_from_60,
        recovery=score.had_recovery,
    )


def _tell_barriers(player: Player, level: Level, rounds: Sequence[Round]) -> dict[str, Any] | None:
    """The ladder and what-ifs of every open barrier; without one, those of the next classic barrier are answered."""
    open_barriers = list(Barrier.objects.filter(player=player, broken_by=None).select_related("tee__course"))
    Barrier.objects.filter(player=player).exclude(broken_by=None).update(told=None)
    usual = usual_tee(player, rounds)
    if usual is None or not rounds:
        Barrier.objects.filter(player=player).update(told=None)
        return None
    mates = Membership.objects.filter(
        left_at=None, group__memberships__player=player, group__memberships__left_at=None
    ).values_list("player_id", flat=True)
    cards = _cards_by_player({*mates, player.pk})
    own, others = cards.get(player.pk, []), [cards[mate] for mate in cards if mate != player.pk]
    for barrier in open_barriers:
        barrier.told = _told_of(barrier.score, barrier.tee or usual, level, own, others)
        barrier.save(update_fields=["told"])
    if open_barriers:
        return None
    classic = progress.next_barrier(usual.ground.gross(level.usual_on(usual.key)), CLASSIC)
    return _told_of(classic, usual, level, own, others) if classic is not None else None


def _cards_by_player(players: Iterable[Any]) -> dict[Any, list[list[PlayedHole]]]:
    by_player: dict[Any, list[Round]] = {}
    for played in Round.objects.filter(player__in=list(players)).whole():
        by_player.setdefault(played.player_id, []).append(played)
    last = [played for rounds in by_player.values() for played in rounds[-ROUNDS_FOR_LEAKS:]]
    with_holes = Round.objects.filter(pk__in=[played.pk for played in last]).prefetch_related(
        "hole_scores", "tee__holes", "tee__course"
    )
    loaded = {played.pk: played for played in with_holes}
    return {
        player: holes_of([loaded[played.pk] for played in rounds[-ROUNDS_FOR_LEAKS:]])
        for player, rounds in by_player.items()
    }


def _told_of(
    score: int,
    tee: Tee,
    level: Level,
    own: list[list[PlayedHole]],
    others: list[list[list[PlayedHole]]],
) -> dict[str, Any]:
    means = leaks.group_means(others, score) if others else None
    usual = tee.ground.gross(level.usual_on(tee.key)) if level.n >= outlook.FEWEST_ROUNDS else None
    ladder = leaks.ladder(own, score, means, usual)
    told: dict[str, Any] = {
        "score": score,
        "n": level.n,
        "tee": str(tee.pk),
        "ladder": asdict(ladder) if ladder else None,
        "what_if": [],
    }
    if level.n >= outlook.FEWEST_ROUNDS and level.last is not None and own:
        next_score = outlook.predict(level, level.last, tee.key)
        for change in what_if.CHANGES:
            found = what_if.what_if(next_score, tee.ground, score, own, change)
            told["what_if"].append(
                {"code": change.code, "words": change.words, "told": asdict(found) if found else None}
            )
    return told


def make_due(player: Player) -> None:
    """The next refresh works this player out anew, though the ledger has not moved."""
    Outlook.objects.filter(player=player).update(last_number=0)


def refresh_due(*, limit: int = 100) -> int:
    """Work out what is due; each player in a transaction of its own."""
    players = due_players(limit)
    for player_id in players:
        refresh_player(player_id=player_id)
    return len(players)
