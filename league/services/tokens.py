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
