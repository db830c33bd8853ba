"""Examples in the text of modules are run, wherever one stands; those of the rules in tests/rules."""

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for package in ("league", "journal")
    for path in (ROOT / package).rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8") and path.parent.name != "rules"
)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_in_the_text_hold(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0
