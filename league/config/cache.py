import logging
from collections.abc import Callable
from typing import Any

from django.core.cache.backends.db import DatabaseCache
from django.core.cache.backends.redis import RedisCache
from django.db import DatabaseError
from redis.exceptions import RedisError

from league.services.waits import brief_wait

log = logging.getLogger(__name__)


class ForgivingRedisCache(RedisCache):
    """Counts that may be lost: while Redis is away every key is unknown and requests go on. Delays after wrong
    passwords are kept in the database and do not depend on this."""

    def get(self, key: str, default: Any = None, version: int | None = None) -> Any:
        return self._or(default, lambda: RedisCache.get(self, key, default, version))

    def set(self, key: str, value: Any, *args: Any, **kwargs: Any) -> None:
        self._or(None, lambda: RedisCache.set(self, key, value, *args, **kwargs))

    def add(self, key: str, value: Any, *args: Any, **kwargs: Any) -> bool:
        return bool(self._or(True, lambda: RedisCache.add(self, key, value, *args, **kwargs)))

    def delete(self, key: str, version: int | None = None) -> bool:
        return bool(self._or(False, lambda: RedisCache.delete(self, key, version)))

    def _or(self, otherwise: Any, ask: Callable[[], Any]) -> Any:
        try:
            return ask()
        except RedisError as error:
            log.warning("Redis is away, counting pauses: %s", error)
            return otherwise


class BriefDatabaseCache(DatabaseCache):
    """The same without Redis: while the database is locked, counting pauses. Even reading may delete what has ended."""

    def get(self, key: str, default: Any = None, version: int | None = None) -> Any:
        return self._or(default, lambda: DatabaseCache.get(self, key, default, version))

    def set(self, key: str, value: Any, *args: Any, **kwargs: Any) -> None:
        self._or(None, lambda: DatabaseCache.set(self, key, value, *args, **kwargs))

    def add(self, key: str, value: Any, *args: Any, **kwargs: Any) -> bool:
        return bool(self._or(True, lambda: DatabaseCache.add(self, key, value, *args, **kwargs)))

    def delete(self, key: str, version: int | None = None) -> bool:
        return bool(self._or(False, lambda: DatabaseCache.delete(self, key, version)))

    def _or(self, otherwise: Any, ask: Callable[[], Any]) -> Any:
        try:
            with brief_wait():
                return ask()
        except DatabaseError as error:
            log.warning("The database cannot be written to, counting pauses: %s", error)
            return otherwise
