import pytest
from django.core.management import call_command
from drf_spectacular.validation import validate_schema

from tests.api.plumbing.conftest import ADDRESSES


@pytest.fixture
def described(client):
    answer = client.get("/api/schema/")
    assert answer.status_code == 200
    return answer.json()


def test_the_schema_is_valid(described):
    validate_schema(described)


@pytest.mark.parametrize("addresses", [ADDRESSES, "league.config.urls"])
def test_nothing_is_left_to_guess(settings, addresses, tmp_path):
    settings.ROOT_URLCONF = addresses
    call_command("spectacular", validate=True, fail_on_warn=True, urlconf=addresses, file=str(tmp_path / "schema.yml"))


def test_every_answer_is_declared(described):
    item = described["paths"]["/api/v1/players/{player_id}/notes/"]
    always = {"400", "401", "403", "404", "405", "406", "429", "500", "503"}
    assert set(item["get"]["responses"]) == {"200"} | always
    assert set(item["post"]["responses"]) == {"201", "409", "413", "415", "422"} | always
    assert set(item["patch"]["responses"]) == {"200", "409", "412", "413", "415", "428"} | always
    assert list(item["post"]["responses"]["404"]["content"]) == ["application/problem+json"]
    assert list(item["post"]["responses"]["201"]["content"]) == ["application/json"]


def test_headers_and_parameters_are_declared(described):
    def names(path, method):
        return [parameter["name"] for parameter in described["paths"][path][method].get("parameters", [])]

    assert "Idempotency-Key" in names("/api/v1/players/{player_id}/notes/", "post")
    assert "If-Match" in names("/api/v1/players/{player_id}/notes/", "patch")
    assert names("/api/v1/courses/", "get") == ["cursor", "name", "page_size"]


def test_fields_have_their_bounds(described):
    fields = described["components"]["schemas"]["PlumbingNoteIn"]["properties"]
    assert fields["strokes"] == {"type": "integer", "minimum": 1, "maximum": 25}
    assert (fields["index"]["type"], fields["index"]["minimum"], fields["index"]["maximum"]) == ("number", -9.9, 54.0)
    assert described["components"]["schemas"]["PlumbingSideEnum"] == {"type": "string", "enum": ["front", "back"]}
    assert fields["tee"] == {"type": "string", "format": "uuid"}
    assert "owner" not in fields


def test_names_come_from_the_views_and_tokens_are_the_way_in(described):
    operation = described["paths"]["/api/v1/courses/"]["get"]
    assert operation["operationId"] == "getPlumbingCourses"
    assert "description" not in operation
    assert {"token": []} in operation["security"]
    assert described["components"]["securitySchemes"]["token"]["scheme"] == "bearer"


def test_the_pages_show_every_operation_without_script(client, described):
    front = client.get("/api/").content.decode()
    operations = [operation for item in described["paths"].values() for operation in item.values()]
    pages = {tag: client.get(f"/api/about/{tag}/") for tag in {operation["tags"][0] for operation in operations}}
    for tag, answer in pages.items():
        assert answer.status_code == 200
        assert f'href="/api/about/{tag}/"' in front
    told = "".join(answer.content.decode() for answer in pages.values())
    for operation in operations:
        assert f'id="{operation["operationId"]}"' in told
    for words in ("POST /api/v1/players/{player_id}/notes/", "holes[].strokes", "1 to 25", "Idempotency-Key"):
        assert words in told
    for page in (front, told):
        assert "<script" not in page
        assert "style=" not in page
    assert client.get("/api/about/nothing/").status_code == 404
