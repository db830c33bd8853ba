"""The package keeps to exact arithmetic and the standard library, and its examples in the text hold."""

import ast
import doctest
import importlib
import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "league" / "rules"
MODULES = sorted(path.stem for path in FOLDER.glob("*.py"))


def name_of(stem: str) -> str:
    return "league.rules" if stem == "__init__" else f"league.rules.{stem}"


def tree_of(stem: str) -> ast.Module:
    return ast.parse((FOLDER / f"{stem}.py").read_text(encoding="utf-8"))


@pytest.mark.parametrize("stem", MODULES)
def test_it_holds_no_float(stem):
    for node in ast.walk(tree_of(stem)):
        assert not (isinstance(node, ast.Constant) and isinstance(node.value, float | complex)), ast.unparse(node)
        assert not (isinstance(node, ast.Name) and node.id in {"float", "round"}), ast.unparse(node)
        assert not (isinstance(node, ast.Attribute) and node.attr == "ROUND_HALF_UP")


@pytest.mark.parametrize("stem", MODULES)
def test_it_divides_only_by_exact_constants(stem):
    module = importlib.import_module(name_of(stem))
    for node in ast.walk(tree_of(stem)):
        if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.Div):
            divisor = node.right if isinstance(node, ast.BinOp) else node.value
            assert isinstance(divisor, ast.Name), ast.unparse(node)
            assert isinstance(getattr(module, divisor.id, None), Fraction | Decimal), ast.unparse(node)


@pytest.mark.parametrize("stem", MODULES)
def test_it_imports_the_standard_library_only(stem):
    tree = tree_of(stem)
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom)]
    assert all(node in tree.body for node in imports)
    for node in imports:
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else [node.module or ""]
        for name in names:
            assert name.startswith("league.rules") or name.split(".")[0] in sys.stdlib_module_names, name


@pytest.mark.parametrize("stem", MODULES)
def test_every_function_and_class_says_what_it_is(stem):
    tree = tree_of(stem)
    assert ast.get_docstring(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            assert ast.get_docstring(node), node.name


@pytest.mark.parametrize("stem", MODULES)
def test_the_examples_in_its_text_hold(stem):
    result = doctest.testmod(importlib.import_module(name_of(stem)))
    assert result.attempted
    assert not result.failed
