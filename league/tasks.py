from axes.models import AccessAttempt
from celery import shared_task
from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone

from league.services.accounts import forget_ended_sign_ins
from league.services.leaving import erase_due
from league.services.once import forget_old_keys


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
