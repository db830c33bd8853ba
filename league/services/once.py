"""A POST that is sent twice is done once: the key, the change and its answer are one transaction."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db import IntegrityError, OperationalError, connection, transaction
from django.utils import timezone

from league.models import Account, IdempotencyKey, Round

WAIT_SECONDS = 10
KEPT_FOR = timedelta(days=90)
LOCK_NOT_AVAILABLE = "55P03"


class KeyReused(Exception):
    """The key came before, with another body."""


class KeyBusy(Exception):
    """The first request with this key is still running."""


@dataclass(frozen=True)
class StoredAnswer:
    """An answer as it was sent: `body` is its text, so that a replay is the same to the byte."""

    status: int
    body: str
    headers: dict[str, str] = field(default_factory=dict)
    made_round: Round | None = None


@dataclass(frozen=True)
class SentKey:
    """What makes two requests the same one. The fingerprint stands for the body as parsed."""

    account: Account
    method: str
    path: str
    key: str
    fingerprint: str


def run_once(*, sent: SentKey, act: Callable[[], StoredAnswer]) -> tuple[StoredAnswer, bool]:
    """The answer, and whether it is a replay. What `act` raises undoes the change and the key alike.

    The race: two requests with one key at the same moment. SQLite lets one transaction write at a time; in PostgreSQL
    the second insert waits at the unique constraint until the first transaction has ended.
    """
    earlier = _find(sent)
    if earlier is not None:
        return _replay(earlier, sent), True
    with transaction.atomic():
        row = _claim(sent)
        if row is None:
            found = _find(sent)
            if found is None:
                raise KeyBusy
            return _replay(found, sent), True
        answer = act()
        row.status, row.body, row.headers, row.made_round = (
            answer.status,
            answer.body,
            answer.headers,
            answer.made_round,
        )
        row.save(update_fields=["status", "body", "headers", "made_round"])
        return answer, False


def forget_old_keys(*, now: datetime | None = None) -> int:
    """Keys live 90 days; a key that made a card lives as long as the card."""
    before = (now or timezone.now()) - KEPT_FOR
    return IdempotencyKey.objects.filter(created_at__lt=before, made_round=None).delete()[0]


def _find(sent: SentKey) -> IdempotencyKey | None:
    return IdempotencyKey.objects.filter(account=sent.account, method=sent.method, path=sent.path, key=sent.key).first()


def _claim(sent: SentKey) -> IdempotencyKey | None:
    """The key's new row, or None when another request has stored it meanwhile or the account is gone."""
    try:
        with transaction.atomic():
            _limit_wait(f"{WAIT_SECONDS}s")
            if not _holds_account(sent.account):
                return None
            row = IdempotencyKey.objects.create(
                account=sent.account,
                method=sent.method,
                path=sent.path,
                key=sent.key,
                fingerprint=sent.fingerprint,
                created_at=timezone.now(),
            )
            _limit_wait("0")
    except IntegrityError:
        return None
    except OperationalError as fault:
        if getattr(fault.__cause__, "sqlstate", None) == LOCK_NOT_AVAILABLE:
            raise KeyBusy from fault
        raise
    return row


def _holds_account(account: Account) -> bool:
    """Held first, as an erasure does; its absence would otherwise show only when everything is about to be stored."""
    return Account.objects.select_for_update(no_key=True).filter(pk=account.pk).exists()


def _limit_wait(limit: str) -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT set_config('lock_timeout', %s, true)", [limit])


def _replay(row: IdempotencyKey, sent: SentKey) -> StoredAnswer:
    if row.fingerprint != sent.fingerprint:
        raise KeyReused
    return StoredAnswer(row.status or 200, row.body or "", row.headers)
