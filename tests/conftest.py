import os
from collections.abc import Iterator

import pytest

from tests import servers


def part_of(item: pytest.Item) -> set[str]:
    """The parts of the whole suite that hold this test; tests/run.py starts them."""
    if {"browser", "faults"} & set(item.path.parts):
        return {"programs"}
    uses_database = {"db", "transactional_db"} & set(getattr(item, "fixturenames", ()))
    return {"sqlite", "postgresql"} if uses_database or item.get_closest_marker("django_db") else {"sqlite"}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    part = os.environ.get("TEST_PART")
    if part:
        elsewhere = [item for item in items if part not in part_of(item)]
        items[:] = [item for item in items if part in part_of(item)]
        config.hook.pytest_deselected(items=elsewhere)


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    with servers.redis() as address:
        yield address
