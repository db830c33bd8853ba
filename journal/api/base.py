"""What every address of the journal has in common: a scope of its own, and keys that keep no word of it."""

from collections.abc import Callable
from typing import Any, ClassVar
from uuid import UUID

from django.http import Http404
from django.utils.crypto import salted_hmac
from rest_framework.request import Request
from rest_framework.response import Response

from journal import access
from league.api.base import Answer, Endpoint
from league.api.errors import FieldError, invalid
from league.api.parsers import canonical
from league.models import Round, Tee


class Private(Endpoint):
    """Tokens need the scope `journal`, which none has unless it was asked for; reading and writing alike."""

    scopes: ClassVar[dict[str, str]] = dict.fromkeys(("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"), "journal")

    def _fingerprint(self, body: Any) -> str:
        """Keyed, so that nobody who reads the table of keys can try out sentences."""
        if body is None and self._has_body():
            body = self.request.data
        return salted_hmac("journal.api", canonical(body), algorithm="sha256").hexdigest()

    def made_once(self, request: Request, act: Callable[[], UUID], afresh: Callable[[UUID], Answer]) -> Response:
        """Kept under the key are status and id alone; what is answered is read through the owner's door each time."""
        response = self.once(request, lambda: Answer({"id": str(act())}))
        answer = afresh(UUID(response.data["id"]))
        response.data = answer.body
        for name, value in answer.headers.items():
            response[name] = value
        return response

    def named_round(self, sent: dict[str, Any]) -> Round | None:
        return self._named(sent.get("round"), access.own_round, "round")

    def named_line(self, sent: dict[str, Any]) -> Any:
        return self._named(sent.get("line"), access.own_line, "line")

    def named_tee(self, sent: dict[str, Any]) -> Tee | None:
        return self._named(sent.get("tee"), access.tee_for, "tee")

    def _named(self, row_id: UUID | None, door: Callable[..., Any], field: str) -> Any:
        if row_id is None:
            return None
        try:
            return door(self.account, row_id)
        except Http404:
            raise invalid([FieldError(field, "id", "Send the id of something of yours.")]) from None
