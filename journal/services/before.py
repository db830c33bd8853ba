"""Writing down what a player takes into a round.

The range is only ever one that was told before the score: none is written down for a day that is past, or on which a
round of the player's has come in.
"""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from journal.models import Intention
from journal.services.words import check_words
from league.models import Membership, Player, Round, RoundState, Tee
from league.reports.progress import NoOutlook, outlook_of
from league.rules.errors import RuleBroken, refuse_all

FARTHEST_AHEAD = timedelta(days=366)


def locked(player_id: UUID) -> Player:
    return Player.objects.select_for_update().get(pk=player_id)


def today_for(player: Player, tee: Tee | None = None) -> date:
    """The calendar day at the course, else in the player's group, else in UTC."""
    zone = tee.course.time_zone if tee is not None else ""
    if not zone:
        place = Membership.objects.filter(player=player, left_at=None).select_related("group").first()
        zone = place.group.time_zone if place is not None else "UTC"
    return timezone.now().astimezone(ZoneInfo(zone)).date()


@transaction.atomic
def write_intention(
    *, player: Player, played_on: date, tee: Tee | None, played: Round | None, words: Mapping[str, str]
) -> Intention:
    """The range is the outlook's of this moment: what was expected, not what would be said afterwards."""
    player = locked(player.pk)
    check_words(player, words)
    _check(player, {"played_on": played_on, "tee": tee, "round": played, **words})
    low, high, n_rounds = _range(player, tee, played_on)
    return Intention.objects.create(
        player=player,
        tee=tee,
        round=played,
        played_on=played_on,
        low=low,
        high=high,
        n_rounds=n_rounds,
        created_at=timezone.now(),
        **words,
    )


def _range(player: Player, tee: Tee | None, day: date) -> tuple[int | None, int | None, int]:
    view = outlook_of(player, tee, day) if tee is not None and not _is_late(player, tee, day) else None
    if view is None or isinstance(view, NoOutlook):
        return None, None, view.n if view else 0
    return view.low, view.high, view.n


def _is_late(player: Player, tee: Tee, day: date) -> bool:
    came_in = Round.objects.filter(player=player, played_on=day, state=RoundState.STANDING)
    return day < today_for(player, tee) or came_in.exists()


@transaction.atomic
def change_intention(*, intention: Intention, changes: Mapping[str, Any]) -> Intention:
    """Another tee or day brings the range of that one, unless the round is played already."""
    player = locked(intention.player_id)
    fresh = Intention.objects.select_for_update(of=("self",)).select_related("tee__course").get(pk=intention.pk)
    check_words(player, changes, fresh)
    names = ("played_on", "tee", "round", "range_words", "goal", "when", "then")
    _check(player, {name: changes.get(name, getattr(fresh, name)) for name in names})
    moved = any(name in changes and changes[name] != getattr(fresh, name) for name in ("tee", "played_on"))
    for name, value in changes.items():
        setattr(fresh, name, value)
    if moved and fresh.round is None:
        fresh.low, fresh.high, fresh.n_rounds = _range(player, fresh.tee, fresh.played_on)
    fresh.version += 1
    fresh.save()
    return fresh


@transaction.atomic
def drop_intention(*, intention: Intention) -> None:
    locked(intention.player_id)
    intention.delete()


def _check(player: Player, meant: Mapping[str, Any]) -> None:
    """Something is meant, whole, for a day not too far off, and the round is one of that day and those tees."""
    day, tee, played = meant["played_on"], meant["tee"], meant["round"]
    problems = []
    if day > today_for(player, tee) + FARTHEST_AHEAD:
        problems.append(RuleBroken("day_far", "Choose a day within a year from now.", "played_on"))
    halves = [name for name in ("when", "then") if not meant.get(name)]
    if len(halves) == 1:
        problems.append(RuleBroken("half_sentence", "Write both halves, the if and the then.", halves[0]))
    if tee is None and not any(meant.get(name) for name in ("range_words", "goal", "when", "then")):
        problems.append(RuleBroken("nothing_meant", "Choose a tee, or write one thing that you mean to do.", "goal"))
    if played is not None and not is_about(day, tee, played):
        words = "That round was played on another day or from other tees."
        problems.append(RuleBroken("other_round", words, "round"))
    refuse_all(problems)


def is_about(day: date, tee: Tee | None, played: Round) -> bool:
    """Whether what was meant for a day and a tee, if one was named, was meant for this round."""
    return played.played_on == day and (tee is None or tee.set_id == played.tee.set_id)


def is_meant_for(one: Intention, played: Round) -> bool:
    """Written before the round came in, for its day and its tees."""
    return one.created_at < played.entered_at and is_about(one.played_on, one.tee, played)
