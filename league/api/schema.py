"""The description of the API at /api/schema/: what a view declares, and what all views have in common."""

import inspect
from typing import Any, Literal

from drf_spectacular.extensions import OpenApiAuthenticationExtension, OpenApiSerializerFieldExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers

from league.api.errors import MEDIA_TYPE

STATUSES = (400, 401, 403, 404, 405, 406, 429, 500, 503)
WRITE_STATUSES = (413, 415)
MATCH_STATUSES = (412, 428)
CONFLICT = 409
PAGING = {
    "cursor": OpenApiParameter("cursor", str, description="Where to go on, as `next` gives it."),
    "page_size": OpenApiParameter(
        "page_size", {"type": "integer", "minimum": 1, "maximum": 500, "default": 50}, description="Rows in one answer."
    ),
}
KEY = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "pattern": "^[A-Za-z0-9_-]{16,64}$"},
    OpenApiParameter.HEADER,
    description="Fresh for each thing to be done. Sent again with the same body it is done once.",
)
MATCH = OpenApiParameter(
    "If-Match",
    {"type": "string", "pattern": '^"[0-9]+"$'},
    OpenApiParameter.HEADER,
    description="The ETag of the answer that was looked at. 428 where it is needed and missing.",
)


class ProblemErrorOut(serializers.Serializer[Any]):
    field = serializers.CharField(help_text="The path in what was sent, joined by dots; empty for the whole.")
    code = serializers.CharField()
    message = serializers.CharField()


class ProblemOut(serializers.Serializer[Any]):
    type = serializers.CharField(help_text="The page that explains the code.")
    title = serializers.CharField()
    status = serializers.IntegerField()
    code = serializers.CharField()
    detail = serializers.CharField()
    errors = ProblemErrorOut(many=True)  # type: ignore[assignment]
    request_id = serializers.CharField(required=False, help_text="With 5xx only: quote it to the operator.")


class StaleOut(ProblemOut):
    yours = serializers.JSONField(help_text="What was sent.")
    stored = serializers.JSONField(help_text="What stands now.")


class Schema(AutoSchema):
    def get_operation_id(self) -> str:
        return f"{self.method.lower()}{type(self.view).__name__}"

    def get_description(self) -> str:  # type: ignore[override]
        """What the method or the view itself says; what it inherits is for us, not for readers of the page."""
        method = getattr(self.view, self.method.lower())
        return inspect.cleandoc(method.__doc__ or type(self.view).__dict__.get("__doc__") or "")

    def get_tags(self) -> list[str]:
        return [type(self.view).__module__.rpartition(".")[2]]

    def _get_serializer_name(self, serializer: Any, direction: str, bypass_extensions: bool = False) -> str:
        """Shapes of different nouns may share a name: the noun stands before it, unless it is in it already."""
        name: str = super()._get_serializer_name(serializer, direction, bypass_extensions)
        single = getattr(serializer, "child", None) or serializer
        package, _, module = type(single).__module__.rpartition(".")
        noun = module.removesuffix("s").capitalize()
        is_plain = package != "league.api" or module == "schema" or name.startswith(noun)
        named = name if is_plain else noun + name
        return named.removesuffix("Request") if named.endswith("InRequest") else named

    def get_override_parameters(self) -> list[Any]:
        names = sorted(getattr(self.view, "query", ()))
        asked = [PAGING.get(name) or OpenApiParameter(name, str) for name in names]
        parameters: list[Any] = asked if self.method == "GET" else []
        if self.method == "POST":
            parameters.append(KEY)
        if self.method in ("PUT", "PATCH", "DELETE"):
            parameters.append(MATCH)
        return parameters

    def _get_response_bodies(self, direction: Literal["request", "response"] = "response") -> dict[str, Any]:
        responses: dict[str, Any] = super()._get_response_bodies(direction)
        for status in self._problem_statuses():
            shape = StaleOut if status == 412 else ProblemOut
            body = self._get_response_for_code(shape, str(status), [MEDIA_TYPE], direction)
            responses.setdefault(str(status), body)
        return responses

    def _problem_statuses(self) -> list[int]:
        statuses = list(STATUSES)
        if self.method != "GET":
            statuses += [CONFLICT, *WRITE_STATUSES]
        if self.method == "POST":
            statuses.append(422)
        if self.method in ("PUT", "PATCH", "DELETE"):
            statuses += MATCH_STATUSES
        return sorted(statuses)


class WholeField(OpenApiSerializerFieldExtension):
    target_class = "league.api.fields.Whole"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        return {"type": "integer", "minimum": self.target.minimum, "maximum": self.target.maximum}


class TenthsField(OpenApiSerializerFieldExtension):
    target_class = "league.api.fields.Tenths"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        bounds = {"minimum": float(self.target.minimum), "maximum": float(self.target.maximum)}
        return {"type": "number", "description": "At most one digit after the point.", **bounds}


class TextField(OpenApiSerializerFieldExtension):
    target_class = "league.api.fields.Text"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        shape = {"type": "string", "maxLength": self.target.max_length}
        may_be_empty = self.target.allow_blank or direction == "response"
        return shape if may_be_empty else {**shape, "minLength": max(1, self.target.min_length)}


class DayField(OpenApiSerializerFieldExtension):
    target_class = "league.api.fields.Day"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        return {"type": "string", "format": "date", "example": "2026-04-03"}


class ChoiceField(OpenApiSerializerFieldExtension):
    target_class = "league.api.fields.Choice"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.target.choices)}


class FlagField(OpenApiSerializerFieldExtension):
    target_class = "league.api.fields.Flag"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        return {"type": "boolean"}


class IdField(OpenApiSerializerFieldExtension):
    target_class = "league.api.fields.Id"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        return {"type": "string", "format": "uuid"}


class TokenScheme(OpenApiAuthenticationExtension):
    target_class = "league.api.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer", "description": "An API token, made on the settings page."}


class SessionScheme(OpenApiAuthenticationExtension):
    target_class = "league.api.authentication.SessionAuthentication"
    name = "session"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {
            "type": "apiKey",
            "in": "cookie",
            "name": "session",
            "description": "The sign-in of a browser. Changes also need the X-CSRFToken header.",
        }
