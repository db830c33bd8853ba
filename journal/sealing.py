"""Journal text in the database: plain, or sealed with keys that are kept outside it.

A sealed value begins with a control character, which no text that a person types can hold. The first key seals, all of
them open. What it does not protect: whoever holds the running machine has the keys too; and who wrote when, for which
round, and the ticks are not sealed.
"""

from functools import lru_cache
from typing import Any

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import models

MARK = "\x01"


class Unopened(Exception):
    """A sealed text for which no key is here."""


@lru_cache(maxsize=4)
def _locks(keys: tuple[str, ...]) -> MultiFernet | None:
    try:
        return MultiFernet([Fernet(key) for key in keys]) if keys else None
    except ValueError:
        raise ImproperlyConfigured(
            "LEAGUE_JOURNAL_KEYS is not understood: each key is 32 random bytes in URL-safe base64."
        ) from None


def locks() -> MultiFernet | None:
    return _locks(tuple(settings.JOURNAL_KEYS))


def sealed(text: str) -> str:
    with_keys = locks()
    return text if with_keys is None or not text else MARK + with_keys.encrypt(text.encode()).decode("ascii")


def opened(stored: str) -> str:
    if not stored.startswith(MARK):
        return stored
    with_keys = locks()
    if with_keys is None:
        raise Unopened("A journal text is sealed and LEAGUE_JOURNAL_KEYS is empty.")
    try:
        return with_keys.decrypt(stored.removeprefix(MARK)).decode()
    except InvalidToken:
        raise Unopened("A journal text is sealed with a key that is not in LEAGUE_JOURNAL_KEYS.") from None


class SealedText(models.TextField):
    """Text that is sealed on its way into the database, when there are keys. It cannot be searched there."""

    def from_db_value(self, value: str | None, *args: object) -> str | None:
        return None if value is None else opened(value)

    def get_prep_value(self, value: Any) -> Any:
        plain = super().get_prep_value(value)
        return sealed(plain) if isinstance(plain, str) else plain
