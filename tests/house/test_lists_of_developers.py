"""DEVELOPERS.md names every command, route and code there is."""

import ast
from collections.abc import Iterable, Iterator

from django.urls import URLPattern, URLResolver

from league.api.codes import CODES, FIELD_CODES
from league.config import urls
from tests.house.documents import ROOT

TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMANDS = ROOT / "league" / "management" / "commands"


def unnamed(names: Iterable[str]) -> set[str]:
    listed = set(names)
    assert listed
    return {name for name in listed if f"`{name}`" not in TEXT}


def route_names(patterns: Iterable[URLPattern | URLResolver]) -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from route_names(pattern.url_patterns)
        else:
            assert pattern.name, f"{pattern.pattern} has no name"
            yield pattern.name


def rule_codes() -> Iterator[str]:
    """The first argument of every RuleBroken(...) that is written out."""
    for path in (*(ROOT / "league").rglob("*.py"), *(ROOT / "journal").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "RuleBroken" and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant) and isinstance(first.value, str):
                    yield first.value


def test_every_command_is_in_the_table():
    commands = {path.stem for path in COMMANDS.glob("*.py") if path.stem != "__init__"} | {"test"}
    assert {name for name in commands if f"`python3 manage.py {name}" not in TEXT} == set()


def test_every_route_is_listed():
    assert unnamed(route_names(urls.urlpatterns)) == set()


def test_every_problem_code_is_listed():
    assert unnamed(CODES) == set()
    assert unnamed(FIELD_CODES) == set()


def test_every_code_of_the_rules_is_listed():
    assert unnamed(rule_codes()) == set()
