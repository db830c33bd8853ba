"""Nothing in the league leads to the journal: no name back, no name in the code but where it is wired."""

import re

import pytest
from django.apps import apps
from django.core.exceptions import FieldError

from tests.house.documents import ROOT

FIELDS = [
    field
    for model in apps.get_app_config("journal").get_models()
    for field in model._meta.get_fields()
    if field.is_relation
]


@pytest.mark.parametrize("field", FIELDS, ids=str)
def test_no_link_has_a_way_back(field: object) -> None:
    assert field.remote_field.hidden, field


def test_no_query_of_the_league_can_ask_about_the_journal() -> None:
    names = {model._meta.model_name for model in apps.get_app_config("journal").get_models()}
    for model in apps.get_app_config("league").get_models():
        reached = {relation.name for relation in model._meta.related_objects if not relation.hidden}
        assert not [name for name in reached if any(word in name for word in names)], model
        for name in names:
            with pytest.raises(FieldError):
                model._default_manager.filter(**{f"{name}__isnull": False})


def test_the_league_names_it_in_wiring_only() -> None:
    allowed = {"league/config/settings.py", "league/config/urls.py"}
    found = {
        str(path.relative_to(ROOT))
        for path in (ROOT / "league").rglob("*.py")
        if re.search(r"^\s*(from|import) journal|[\"']journal\.", path.read_text(encoding="utf-8"), re.MULTILINE)
    }
    assert {path for path in found - allowed if not path.startswith("league/management/")} == set()


def test_no_admin_is_installed() -> None:
    assert not apps.is_installed("django.contrib.admin")
