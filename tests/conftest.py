import os
from collections.abc import Iterator

import pytest

from tests import servers

PART = os.environ.get("TEST_PART")


def parts_of(item: pytest.Item) -> set[str]:
    """The parts of the whole suite that hold this test; tests/run.py starts them."""
    if {"browser", "faults"} & set(item.path.parts):
        return {"programs"}
    fixtures = set(getattr(item, "fixturenames", ()))
    if item.get_closest_marker("django_db") or {"db", "transactional_db"} & fixtures:
        return {"sqlite", "postgresql"}
    return {"pure"}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if PART:
        elsewhere = [item for item in items if PART not in parts_of(item)]
        items[:] = [item for item in items if PART in parts_of(item)]
        config.hook.pytest_deselected(items=elsewhere)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Where the parts are counted together: a test that ran on both databases says on which it failed."""
    worker = getattr(report, "node", None)
    if worker and worker.gateway.spec.env.get("TEST_PART") == "postgresql":
        report.nodeid += " on PostgreSQL"


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    with servers.redis() as address:
        yield address
