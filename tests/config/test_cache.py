import pytest
from django.core.cache import cache, caches
from django.core.cache.backends.redis import RedisCache


@pytest.mark.django_db
def test_without_redis_counts_are_kept_in_the_database(django_assert_num_queries):
    cache.set("count", 1, 60)
    assert cache.incr("count") == 2
    with django_assert_num_queries(1):
        assert cache.get("count") == 2


def test_with_redis_they_are_kept_there(settings, redis_url):
    settings.CACHES = {
        "default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": redis_url},
    }
    counts = caches.create_connection("default")
    counts.set("count", 1, 60)
    assert isinstance(counts, RedisCache)
    assert counts.incr("count") == 2
