"""The published schema against the service: generated requests to every operation, as ann and as nobody.

No server error, no status, content type or body that the schema does not tell of. Half of the requests carry ids of
rows that are there.
"""

from collections.abc import Iterator

import pytest
import schemathesis
from django.db import transaction
from django.test.client import ClientHandler
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from requests import Request
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from werkzeug.test import EnvironBuilder

from league.api.docs import schema
from tests.access.asking import ARGUMENTS
from tests.access.world import NOBODY, World, build_world, taken_back

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

N_REQUESTS = 25
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
DOCUMENT = schema("league.config.urls")
HANDLER = ClientHandler(enforce_csrf_checks=False)
OPERATIONS = [(path, method) for path, item in DOCUMENT["paths"].items() for method in item]


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: pytest.fixture) -> Iterator[World]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield build_world()
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def described() -> schemathesis.BaseSchema:
    found = schemathesis.openapi.from_dict(DOCUMENT)
    found.app = HANDLER
    return found


def answered(case: schemathesis.Case) -> schemathesis.Response:
    """Handled in this thread and this transaction, so that it can be taken back."""
    sent = EnvironBuilder(**case.as_transport_kwargs())
    answer = HANDLER(sent.get_environ())
    request = Request(sent.method, f"http://localhost{sent.path}", dict(sent.headers)).prepare()
    headers = {name: [value] for name, value in answer.items()}
    return schemathesis.Response(answer.status_code, headers, answer.content, request, 0.0, False)


@pytest.mark.parametrize("person", ["write", NOBODY])
@pytest.mark.parametrize(("path", "method"), OPERATIONS)
def test_the_service_does_what_its_schema_says(
    world: World, described: schemathesis.BaseSchema, path: str, method: str, person: str
) -> None:
    operation = described[path][method]

    @settings(
        max_examples=N_REQUESTS if person != NOBODY else 3,
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(), data=st.data())
    def ask(case: schemathesis.Case, data: st.DataObject) -> None:
        sent = {name: value for name, value in (case.headers or {}).items() if name.lower() != "authorization"}
        if person != NOBODY:
            sent["Authorization"] = world.clients[person].defaults["HTTP_AUTHORIZATION"]
        for name in case.path_parameters if data.draw(st.booleans()) else ():
            if name in ARGUMENTS:
                rows = [world.ids[row] for row in ARGUMENTS[name].values()]
                case.path_parameters[name] = data.draw(st.sampled_from(rows))
                sent["If-Match"] = "*"
        case.headers, case.cookies = sent, {}
        with taken_back():
            answer = answered(case)
        case.validate_response(answer, checks=CHECKS)

    ask()
