"""What is wrong with a field is said in our words, and says what to send; no text of the framework comes through."""

from importlib import import_module
from typing import Any

import pytest
from rest_framework import serializers

from journal.api.before import RangeQuery
from journal.api.look_backs import ShareIn
from journal.api.resets import ResetIn
from league.api.accounts import TokenIn
from league.api.barriers import BudgetQuery, TeeQuery
from league.api.card_marks import MarksIn
from league.api.descriptions import HoleDescriptionIn
from league.api.errors import flattened
from league.api.fields import Choice, Moment, Strict
from league.api.imports import ImportsQuery
from league.api.practice import PracticeQuery
from league.api.rounds import RoundsQuery

AN_ID = "1b4e28ba-2fa1-41d2-883f-0016d3cca427"
MOMENT = "Write the moment as 2026-07-01T09:30:00Z."
SEEN = "Send the id of something you can see."
LIST = "Send a list here: […]."
NULL = "This is needed; null is not a value here."


@pytest.mark.parametrize(
    ("kind", "sent", "field", "code", "told"),
    [
        (
            ResetIn,
            {"client_id": "x", "hole": 3},
            "client_id",
            "id",
            f"Send an id that you made yourself, such as {AN_ID}.",
        ),
        (ResetIn, {"client_id": None, "hole": 3}, "client_id", "null", NULL),
        (ResetIn, {"client_id": AN_ID, "hole": 3, "done_at": "2026-04-03"}, "done_at", "date", MOMENT),
        (ResetIn, {"client_id": AN_ID, "hole": 3, "done_at": "2026-04-03T09:00:00"}, "done_at", "date", MOMENT),
        (ResetIn, {"client_id": AN_ID, "hole": 3, "done_at": "0001-01-01T00:00:00+14:00"}, "done_at", "date", MOMENT),
        (ResetIn, {"client_id": AN_ID, "hole": 3, "done_at": 5}, "done_at", "date", MOMENT),
        (MarksIn, {"device": AN_ID, "marks": []}, "marks", "list_length", "Send 1 to 200 marks at once."),
        (MarksIn, {"device": AN_ID, "marks": "x"}, "marks", "list", "Send a list here: […]."),
        (ShareIn, {"group": AN_ID, "readers": [AN_ID] * 101}, "readers", "list_length", "Send at most 100 entries."),
        (ShareIn, {"group": AN_ID, "readers": None}, "readers", "null", NULL),
        (
            TokenIn,
            {"password": "p", "name": "n", "days": 7, "scopes": []},
            "scopes",
            "list_length",
            "Send 1 to 3 entries.",
        ),
        (HoleDescriptionIn, {"length_unit": "yards", "trouble": {}}, "trouble", "list", "Send a list here: […]."),
        (RangeQuery, {"tee": "x"}, "tee", "id", SEEN),
        (TeeQuery, {"tee": AN_ID, "day": "3 April"}, "day", "date", "Write the day as 2026-04-03."),
        (RoundsQuery, {"state": "lost"}, "state", "choice", "Choose one of: standing, withdrawn."),
        (ImportsQuery, {"day_first": "maybe"}, "day_first", "choice", "Choose one of: yes, no."),
        (BudgetQuery, {"barrier": "ninety"}, "barrier", "invalid", "Enter 60 to 150."),
        (PracticeQuery, {"minutes": "1"}, "minutes", "range", "Enter 15 to 180."),
    ],
)
def test_each_fault_says_what_to_send(kind: Any, sent: dict[str, Any], field: str, code: str, told: str) -> None:
    serializer = kind(data=sent)
    assert not serializer.is_valid()
    assert [(one.field, one.code, one.message) for one in flattened(serializer.errors)] == [(field, code, told)]


@pytest.mark.parametrize("told", ["2026-07-01T09:30:00Z", "2026-07-01T09:30:00.123Z", "2026-07-01T11:30+02:00"])
def test_a_moment_of_a_phone_is_taken(told: str) -> None:
    assert Moment().run_validation(told).utcoffset() is not None


def test_a_choice_that_may_be_empty_says_so() -> None:
    with pytest.raises(serializers.ValidationError) as fault:
        Choice(["attack", "protect", ""]).run_validation("wild")
    assert [str(one) for one in fault.value.detail] == ["Choose one of: attack, protect; or leave it empty."]


def shapes(kind: type[Strict] = Strict) -> list[type[Strict]]:
    """Every body that the API takes."""
    below = [found for one in kind.__subclasses__() for found in (one, *shapes(one))]
    return [one for one in below if not one.__module__.startswith("tests.")]


def test_no_shape_falls_back_on_the_words_of_the_framework() -> None:
    import_module("league.api.urls")
    found = shapes()
    assert {"CardIn", "RoundIn", "ResetIn"} <= {kind.__name__ for kind in found}
    for kind in found:
        for name, field in kind().fields.items():
            if not field.read_only:
                assert field.error_messages["null"] == NULL, (kind, name)
                assert field.error_messages.get("not_a_list", LIST) == LIST, (kind, name)
