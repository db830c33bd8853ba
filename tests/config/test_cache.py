import logging
import time

import pytest
from django.core.cache import cache
from redis.backoff import NoBackoff
from redis.retry import Retry

from league.config.cache import ForgivingRedisCache

OPTIONS = {"socket_timeout": 2, "socket_connect_timeout": 2, "retry": Retry(NoBackoff(), 1)}


@pytest.mark.django_db
def test_without_redis_counts_are_kept_in_the_database(django_assert_num_queries):
    cache.set("count", 1, 60)
    assert cache.incr("count") == 2
    with django_assert_num_queries(1):
        assert cache.get("count") == 2


def test_with_redis_they_are_kept_there(redis_url):
    counts, again = (ForgivingRedisCache(redis_url, {"OPTIONS": dict(OPTIONS)}) for _ in range(2))
    counts.set("count", 1, 60)
    assert again.incr("count") == 2
    assert counts.get("count") == 2
    assert counts.add("count", 7) is False
    assert counts.delete("count") is True
    assert again.get("count", "gone") == "gone"


def test_while_redis_is_away_requests_go_on_without_delay(tmp_path, caplog):
    counts = ForgivingRedisCache(f"unix://{tmp_path}/nothing.sock", {"OPTIONS": dict(OPTIONS)})
    begun = time.monotonic()
    with caplog.at_level(logging.WARNING):
        counts.set("count", 1, 60)
        assert counts.get("count", "unknown") == "unknown"
        assert counts.add("count", 1) is True
        assert counts.delete("count") is False
    assert time.monotonic() - begun < 2
    assert caplog.text.count("Redis is away") == 4
