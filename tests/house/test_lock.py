import re
import tomllib

import pytest

from tests.house.documents import ROOT

LOCKS = ("requirements.lock", "requirements-test.lock")
PIN = re.compile(r"(?P<name>[a-z0-9][a-z0-9._-]*)==(?P<version>[^ ;]+)(?P<marker> ;[^\\]*)?")


def entries(lock: str) -> list[str]:
    """Each requirement with its hashes as one string, comments left out."""
    lines = [line for line in (ROOT / lock).read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [entry.strip() for entry in "\n".join(lines).replace("\\\n", " ").splitlines() if entry.strip()]


def pins(lock: str) -> set[tuple[str, str, str]]:
    found = [PIN.match(entry) for entry in entries(lock)]
    return {(one["name"], one["version"], (one["marker"] or "").strip()) for one in found if one}


def wanted(part: str) -> set[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    asked = list(project["project"]["dependencies"])
    if part == "requirements-test.lock":
        asked += project["dependency-groups"]["test"]
    return {re.split(r"[^A-Za-z0-9._-]", line)[0].lower() for line in asked}


@pytest.mark.parametrize("lock", LOCKS)
def test_every_entry_is_an_exact_version_with_hashes(lock):
    assert [entry for entry in entries(lock) if not PIN.match(entry) or "--hash=sha256:" not in entry] == []


@pytest.mark.parametrize("lock", LOCKS)
def test_everything_asked_for_is_locked(lock):
    assert wanted(lock) - {name for name, _, _ in pins(lock)} == set()


@pytest.mark.parametrize("lock", LOCKS)
def test_no_address_is_in_it(lock):
    assert "://" not in (ROOT / lock).read_text(encoding="utf-8")


def test_the_tests_run_on_the_versions_that_are_served():
    tested = {(name, version) for name, version, _ in pins("requirements-test.lock")}
    assert {(name, version) for name, version, _ in pins("requirements.lock")} - tested == set()
