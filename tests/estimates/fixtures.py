import json
from functools import cache
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parents[2] / "fixtures" / "estimates"


@cache
def read(name: str) -> dict[str, Any]:
    return json.loads((HERE / f"{name}.json").read_text(encoding="utf-8"))


def table(name: str) -> list[list[Any]]:
    [found] = [table["rows"] for table in read("tables")["tables"] if table["id"] == name]
    return found
