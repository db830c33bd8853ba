"""Worked examples from fixtures/rules: one file a kind, each row with its source beside it."""

import csv
from functools import cache
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "fixtures" / "rules"
Row = dict[str, str]


@cache
def kinds() -> dict[str, list[Row]]:
    found = {}
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as text:
            found[path.stem] = list(csv.DictReader(text))
    return found


def each(kind: str) -> pytest.MarkDecorator:
    """Run a test once for every row of a kind."""
    rows = kinds()[kind]
    return pytest.mark.parametrize("row", rows, ids=[row["id"] for row in rows])


def whole_numbers(cell: str) -> list[int]:
    return [int(word) for word in cell.split()]
