"""The group's record of who did what to whom, and why."""

from typing import Any

from django.utils import timezone

from league.models import AuditEntry, Group, Player


def note_action(
    *,
    action: str,
    actor: Player | None,
    group: Group | None = None,
    about: Player | None = None,
    reason: str = "",
    before: Any = None,
    after: Any = None,
) -> AuditEntry:
    """Write one line. Never put journal text, sign-in data, putts or penalties into `before` or `after`."""
    return AuditEntry.objects.create(
        group=group,
        actor=actor,
        about=about,
        action=action,
        reason=reason,
        before=before,
        after=after,
        at=timezone.now(),
    )
