import logging
import time
import uuid

from axes.models import AccessAttempt
from celery import shared_task
from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.core.cache import cache
from django.utils import timezone

from league.models import Judgement, Player
from league.services.accounts import forget_ended_sign_ins
from league.services.evidence import weigh_all
from league.services.handicaps import check_everybody
from league.services.judging import judge_all
from league.services.leaving import erase_due
from league.services.once import forget_old_keys
from league.services.outlooks import refresh_due

log = logging.getLogger(__name__)

STRETCH_SECONDS, PLAYERS_AT_ONCE, ONE_DAY = 60, 20, 86_400
"""A stretch stays well under the time limit of a task, CELERY_TASK_TIME_LIMIT."""


@shared_task
def clear_what_has_ended() -> None:
    """Sign-ins past their end, old keys, and failed attempts that no longer count towards a delay."""
    now = timezone.now()
    forget_ended_sign_ins(now=now)
    forget_old_keys(now=now)
    SessionStore.clear_expired()
    AccessAttempt.objects.filter(attempt_time__lt=now - settings.AXES_COOLOFF_TIME).delete()


@shared_task
def erase_who_is_due() -> None:
    """People whose days to change their mind are over."""
    erase_due(now=timezone.now())


@shared_task
def check_ledgers() -> None:
    """The nightly replay of everybody, a stretch of a minute at a time; where it stopped is in the cache.

    A cache that forgets costs a second look, nothing else. The log names players and places by their ids alone.
    """
    until = time.monotonic() + STRETCH_SECONDS
    tonight = f"ledgers-checked-{timezone.now():%Y-%m-%d}"
    after = uuid.UUID(cache.get(tonight, str(uuid.UUID(int=0))))
    while time.monotonic() < until:
        batch = list(Player.objects.filter(pk__gt=after).order_by("pk")[:PLAYERS_AT_ONCE])
        if not batch:
            return
        for difference in check_everybody(batch):
            log.error("the ledger of player %s differs at: %s", difference.player_id, difference.where)
        after = batch[-1].pk
        cache.set(tonight, str(after), timeout=ONE_DAY)


@shared_task
def refresh_due_outlooks() -> None:
    """Outlooks of players whose ledger has moved on. What is due shows in the tables, so no message can be lost.

    The first judgement need not wait for its hour.
    """
    if refresh_due() == 0 and not Judgement.objects.exists():
        judge_all()
        weigh_all()


@shared_task
def judge_outlooks() -> None:
    """How well outlooks have come true, and whether bad holes carry over, for the pages that say so."""
    judge_all()
    weigh_all()
