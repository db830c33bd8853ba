import ast

from tests.house.documents import ROOT


def variables_read() -> set[str]:
    """The first argument of every env_...(...) call of the settings."""
    tree = ast.parse((ROOT / "league" / "config" / "settings.py").read_text(encoding="utf-8"))
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]
    return {ast.literal_eval(call.args[0]) for call in calls if call.func.id.startswith("env_")}


def test_every_variable_is_explained():
    explained = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    names = variables_read() | {"LEAGUE_OWN_PYTHON"}
    assert len(names) > 15
    assert {name for name in names if f"`{name}`" not in explained} == set()


def test_no_variable_is_read_past_the_one_way_in():
    past = {
        str(path.relative_to(ROOT))
        for folder in ("league", "journal")
        for path in (ROOT / folder).rglob("*.py")
        if "os.environ" in path.read_text(encoding="utf-8") or "getenv" in path.read_text(encoding="utf-8")
    }
    # The others hand the environment on, or set Django’s own variable in it.
    allowed = {"league/config/environment.py", "league/config/celery.py", "league/config/wsgi.py"}
    assert past - allowed == {"league/management/benchmarks/apart.py", "league/management/commands/start.py"}
