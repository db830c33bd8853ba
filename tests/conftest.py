import os
import shutil
from collections.abc import Iterator

import hypothesis
import pytest
from django.conf import settings

from tests import build, servers

PART = os.environ.get("TEST_PART")
hypothesis.settings.register_profile("suite", deadline=None)  # Four parts share two cores: an example may wait.
hypothesis.settings.load_profile("suite")


def pytest_configure() -> None:
    settings.STATIC_ROOT.mkdir(parents=True)


def pytest_unconfigure() -> None:
    shutil.rmtree(settings.DATA)


def parts_of(item: pytest.Item) -> set[str]:
    """The parts of the whole suite that hold this test; tests/run.py starts them."""
    if {"browser", "faults"} & set(item.path.parts):
        return {"programs"}
    fixtures = set(getattr(item, "fixturenames", ()))
    if item.get_closest_marker("django_db") or {"db", "transactional_db"} & fixtures:
        return {"sqlite"} if item.get_closest_marker("one_database") else {"sqlite", "postgresql"}
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


@pytest.fixture(autouse=True)
def _ledger_is_emptied(request: pytest.FixtureRequest) -> Iterator[None]:
    """After a test with real commits all tables are emptied; the ledger lets go of a player under erasure only."""
    marker = request.node.get_closest_marker("django_db")
    commits = marker is not None and marker.kwargs.get("transaction")
    if not commits and not {"transactional_db", "live_server"} & set(request.fixturenames):
        yield
        return
    request.getfixturevalue("transactional_db")
    yield
    build.let_go_of_the_ledger()
