import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest
from django.conf import settings
from django.template.base import Template

from tests import build, servers

TESTS = Path(__file__).parent
PART = os.environ.get("TEST_PART")
FROM_OUTSIDE = {"browser": {"pages"}, "faults": {"programs"}}
"""Folders of tests that meet the service from outside, each in a part of its own: they wait more than they work."""
PARTS = {"pure", "sqlite", "postgresql", "pages", "programs"}
ONLY_IN = FROM_OUTSIDE | dict.fromkeys(("charts", "estimates", "exchange", "rules"), {"pure"})
hypothesis.settings.register_profile("suite", deadline=None)  # Five parts share two cores: an example may wait.
hypothesis.settings.load_profile("suite")


def pytest_configure() -> None:
    settings.STATIC_ROOT.mkdir(parents=True)


def pytest_unconfigure() -> None:
    shutil.rmtree(settings.DATA)


def looked_in_by(path: Path) -> set[str]:
    """The parts of the whole suite that read this folder or file; a part spares itself what holds nothing for it."""
    return ONLY_IN.get(path.relative_to(TESTS).parts[0], PARTS - {"pages", "programs"}) if path != TESTS else PARTS


def pytest_ignore_collect(collection_path: Path) -> bool | None:
    return True if PART and PART not in looked_in_by(collection_path) else None


def parts_of(item: pytest.Item) -> set[str]:
    """The parts that hold this test; tests/run.py starts them."""
    fixtures = set(getattr(item, "fixturenames", ()))
    outside = FROM_OUTSIDE.get(item.path.relative_to(TESTS).parts[0])
    if outside:
        return outside
    if item.get_closest_marker("django_db") or {"db", "transactional_db"} & fixtures:
        once = item.get_closest_marker("one_database")
        return {once.kwargs.get("on", "sqlite")} if once else {"sqlite", "postgresql"}
    return {"pure"}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if PART:
        lost = [item.nodeid for item in items if not parts_of(item) <= looked_in_by(item.path)]
        if lost:
            raise pytest.UsageError(f"These need a database, and no part with one looks into their folder: {lost}")
        elsewhere = [item for item in items if PART not in parts_of(item)]
        items[:] = [item for item in items if PART in parts_of(item)]
        config.hook.pytest_deselected(items=elsewhere)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Where the parts are counted together: a test that ran on both databases says on which it failed."""
    worker = getattr(report, "node", None)
    if worker and worker.gateway.spec.env.get("TEST_PART") == "postgresql":
        report.nodeid += " on PostgreSQL"


@pytest.fixture(scope="session", autouse=True)
def _pages_are_drawn_as_in_use(django_test_environment: None) -> Iterator[None]:
    """No test asks which templates drew a page, and to tell it the context is copied for each of them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Template, "_render", lambda self, context: self.nodelist.render(context))
        yield


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
