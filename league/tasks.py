
from axes.models import AccessAttempt
from celery import shared_task
from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone


@shared_task
def clear_what_has_ended() -> None:
    """Sign-ins past their end, and failed attempts that no longer count towards a delay."""
    SessionStore.clear_expired()
    AccessAttempt.objects.filter(attempt_time__lt=timezone.now() - settings.AXES_COOLOFF_TIME).delete()
