"""manage.py before there are any libraries: what it says, and on what it insists."""

import ast
import os
import shutil
import subprocess
import sys

import pytest

from tests.faults.running import PATIENCE, ROOT

NO_NETWORK = {"PIP_INDEX_URL": "http://127.0.0.1:9/simple", "PIP_CONFIG_FILE": os.devnull, "PIP_RETRIES": "0"}
YOUNGER_THAN_ALL = (
    ast.JoinedStr, ast.AnnAssign, ast.NamedExpr, ast.Nonlocal, ast.AsyncFunctionDef, ast.Await, ast.Match,
    ast.YieldFrom,
)  # fmt: skip


@pytest.fixture
def checkout(tmp_path):
    for name in ("manage.py", "requirements.lock", "requirements-test.lock"):
        shutil.copy(ROOT / name, tmp_path / name)
    return tmp_path


def run(checkout, *command: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("LEAGUE_", "PIP_"))}
    return subprocess.run(
        [sys.executable, *command], cwd=checkout, env={**kept, **NO_NETWORK},
        capture_output=True, text=True, timeout=PATIENCE * 2, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("version", [(2, 7, 18), (3, 6, 15), (3, 10, 13)])
def test_an_old_python_is_told_so(checkout, version):
    pretend = f"import runpy, sys; sys.version_info = {version}; runpy.run_path('manage.py', run_name='__main__')"
    refused = run(checkout, "-c", pretend)
    assert refused.returncode == 1
    assert refused.stderr == f"This is Python {version[0]}.{version[1]}; Python 3.11 or newer is needed.\n"
    assert not (checkout / ".venv").exists()


def test_old_pythons_can_read_it():
    tree = ast.parse((ROOT / "manage.py").read_text(encoding="ascii"), feature_version=(3, 4))
    names = [type(node).__name__ for node in ast.walk(tree) if isinstance(node, YOUNGER_THAN_ALL)]
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    hinted = [one.name for one in functions if one.returns or one.args.kwonlyargs or one.args.posonlyargs]
    hinted += [one.name for one in functions for argument in one.args.args if argument.annotation]
    raised_from = [node.lineno for node in ast.walk(tree) if isinstance(node, ast.Raise) and node.cause]
    assert (names, hinted, raised_from) == ([], [], [])


def test_a_place_that_cannot_hold_the_libraries_is_named(checkout):
    (checkout / ".venv").touch()
    refused = run(checkout, "manage.py", "start")
    assert refused.returncode == 1
    assert f"The folder .venv in {checkout} cannot be made" in refused.stderr.splitlines()[-1]
    assert "Traceback" not in refused.stderr


def test_without_a_network_it_says_so_and_the_next_start_begins_again(checkout):
    for _ in range(2):
        refused = run(checkout, "manage.py", "start")
        assert refused.returncode == 1
        assert len(refused.stderr.splitlines()) == 2
        assert refused.stderr.splitlines()[-1].startswith("The libraries could not be downloaded")
        assert not (checkout / ".venv" / "installed.txt").exists()
