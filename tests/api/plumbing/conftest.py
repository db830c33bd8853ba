import hashlib
from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from league.models import Token
from tests import build

ADDRESSES = "tests.api.plumbing.addresses"


@pytest.fixture(autouse=True)
def _addresses(settings):
    settings.ROOT_URLCONF = ADDRESSES
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()


@pytest.fixture
def people(db):
    return build.people()


@pytest.fixture
def token():
    def made(player, value="t" * 43, scopes=("read", "write"), days=30, **parts):
        now = timezone.now()
        return Token.objects.create(
            account=player.account,
            name="phone",
            token_hash=hashlib.sha256(value.encode()).hexdigest(),
            scopes=list(scopes),
            created_at=now,
            ends_at=now + timedelta(days=days),
            **parts,
        )

    return made


class Caller:
    """Asks in one person's name."""

    def __init__(self, value="t" * 43):
        self.client = Client(raise_request_exception=False, headers={"Authorization": f"Bearer {value}"})

    def __call__(self, method, path, body=None, content_type="application/json", **headers):
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        data = b"" if body is None else body if isinstance(body, bytes) else body.encode()
        return self.client.generic(method, path, data, content_type, headers=sent)


@pytest.fixture
def ann(people, token):
    token(people.ann)
    return Caller()


@pytest.fixture
def cat(people, token):
    token(people.cat, "c" * 43)
    return Caller("c" * 43)


@pytest.fixture
def notes(people):
    return f"/api/v1/players/{people.ann.pk}/notes/"
