"""API tokens: shown once, kept as a hash, withdrawn at any time."""

import secrets
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from league.models import Account, Token
from league.models.members import hash_of


@transaction.atomic
def make_token(*, account: Account, name: str, scopes: list[str], days: int) -> tuple[Token, str]:
    """The row and the value, which is not kept."""
    value = secrets.token_urlsafe(32)
    now = timezone.now()
    token = Token.objects.create(
        account=account,
        name=name,
        token_hash=hash_of(value),
        scopes=sorted(set(scopes)),
        created_at=now,
        ends_at=now + timedelta(days=days),
    )
    return token, value


@transaction.atomic
def withdraw_token(*, token: Token) -> None:
    token.withdrawn_at = timezone.now()
    token.save(update_fields=["withdrawn_at"])


def live_token(*, value: str) -> Token | None:
    """The token of this value, unless it is withdrawn, over, or its account is closed or going."""
    now = timezone.now()
    found = Token.objects.filter(token_hash=hash_of(value), withdrawn_at=None, ends_at__gt=now)
    token = found.filter(account__is_active=True, account__erase_due_at=None).select_related("account").first()
    if token and token.last_used_on != now.date():
        Token.objects.filter(pk=token.pk).update(last_used_on=now.date())
    return token
