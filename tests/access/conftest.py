from collections.abc import Iterator

import pytest
from django.db import transaction

from tests.access.world import World, build_world


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: pytest.fixture) -> Iterator[World]:
    """Built once for a module; what a test does to it is taken back, and at the end the world itself."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield build_world()
        transaction.set_rollback(True)
