"""Every answer of the API that is not 2xx: one problem document (RFC 9457)."""

import errno
import logging
import sqlite3
import traceback
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from django.core.exceptions import BadRequest, PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.db import InterfaceError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse, UnreadablePostError
from rest_framework import exceptions
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response

from league.api.codes import CODES, STATUS_CODES
from league.rules.errors import RuleBroken
from league.services.errors import Refused
from league.services.once import KeyBusy, KeyReused

log = logging.getLogger(__name__)

MEDIA_TYPE = "application/problem+json"
RETRY_SECONDS = 5
NOTHING_STORED = "Nothing was stored."


class FieldError(NamedTuple):
    """`field` is the path in what was sent, joined by dots; empty for the whole."""

    field: str
    code: str
    message: str


class Problem(Exception):
    """Answer with this problem. The code is one of CODES and brings its status; `members` are added to the document."""

    def __init__(
        self,
        code: str,
        detail: str = "",
        errors: Sequence[FieldError] = (),
        *,
        headers: Mapping[str, str] | None = None,
        members: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(code)
        self.code = code
        self.status = CODES[code].status
        self.detail = detail
        self.errors = tuple(errors)
        self.headers = dict(headers or {})
        self.members = dict(members or {})


def type_of(code: str) -> str:
    return f"/problems/{code.replace('_', '-')}/"


def document(problem: Problem) -> dict[str, Any]:
    entry = CODES[problem.code]
    return {
        "type": type_of(problem.code),
        "title": entry.title,
        "status": problem.status,
        "code": problem.code,
        "detail": problem.detail or entry.advice,
        "errors": [dict(error._asdict()) for error in problem.errors],
        **problem.members,
    }


def invalid(errors: Sequence[FieldError], code: str = "invalid") -> Problem:
    n = len(errors)
    detail = f"{'One thing needs' if n == 1 else f'{n} things need'} a look. {NOTHING_STORED}"
    return Problem(code, detail, errors)


def handler(fault: Exception, context: Mapping[str, Any]) -> Response:
    request = context.get("request")
    problem = problem_for(fault)
    if problem is None:
        _log_fault(fault)
        problem = Problem("our_fault")
    if problem.status >= 500 and request is not None:
        problem.members["request_id"] = request.META.get("HTTP_X_REQUEST_ID", "")
    return Response(document(problem), problem.status, headers=problem.headers, content_type=MEDIA_TYPE)


def problem_for(fault: Exception) -> Problem | None:
    """None for what nobody foresaw: a fault of ours."""
    for kind, read in READERS:
        if isinstance(fault, kind):
            return read(fault)
    return None


def flattened(detail: Any, path: str = "") -> list[FieldError]:
    """The errors of a serializer as a list, each with its path."""
    if isinstance(detail, Mapping):
        found: list[FieldError] = []
        for name, below in detail.items():
            found += flattened(below, path if name == "non_field_errors" else _joined(path, str(name)))
        return found
    if isinstance(detail, list):
        if all(isinstance(entry, str) for entry in detail):
            return [error for entry in detail for error in flattened(entry, path)]
        return [error for n, entry in enumerate(detail) for error in flattened(entry, _joined(path, str(n)))]
    code = getattr(detail, "code", "invalid")
    return [FieldError(path, FIELD_ALIASES.get(code, code), str(detail))]


# What the framework calls its own findings, in our words.
FIELD_ALIASES = {
    "not_a_list": "list",
    "max_length": "text_too_long",
    "min_length": "text",
    "max_value": "range",
    "min_value": "range",
    "invalid_choice": "choice",
    "does_not_exist": "id",
    "incorrect_type": "id",
    "empty": "list_length",
    "error": "invalid",
}


def _joined(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name


def _log_fault(fault: Exception) -> None:
    """The kind and the place; never the message, which may quote what a person wrote."""
    place = "".join(traceback.format_tb(fault.__traceback__))
    log.error("unforeseen %s\n%s", type(fault).__qualname__, place)


def _is_passing(fault: Exception) -> bool:
    """Whether the database (or the disk under it) is in the way for a while, rather than our statement wrong."""
    cause = fault.__cause__
    if isinstance(cause, sqlite3.Error):
        return any(word in str(cause) for word in ("locked", "busy", "full", "disk I/O", "unable to open", "readonly"))
    state = getattr(cause, "sqlstate", None)
    return state is None or state[:2] in ("08", "25", "40", "53", "55", "57", "58")


def _from_database(fault: Exception) -> Problem | None:
    return _busy(fault) if _is_passing(fault) else None


def _busy(fault: Exception) -> Problem:
    return Problem("busy", headers={"Retry-After": str(RETRY_SECONDS)})


def _from_system(fault: Exception) -> Problem | None:
    full = isinstance(fault, OSError) and fault.errno in (errno.ENOSPC, errno.EDQUOT, errno.EROFS)
    return _busy(fault) if full else None


def _from_rules(fault: Any) -> Problem:
    return invalid([FieldError(one.field, one.code, one.message) for one in fault.problems], "rule_broken")


def _from_service(fault: Any) -> Problem:
    code = fault.code if fault.code in CODES else "refused"
    errors = () if fault.code in CODES else (FieldError("", fault.code, fault.message),)
    return Problem(code, fault.message, errors)


def _from_validation(fault: Any) -> Problem:
    return invalid(flattened(fault.detail))


def _from_throttle(fault: Any) -> Problem:
    return Problem("too_many", headers={"Retry-After": str(max(1, int(fault.wait or 1)))})


def _from_sign_in(fault: Any) -> Problem:
    challenge = getattr(fault, "auth_header", None)
    return Problem("sign_in_needed", headers={"WWW-Authenticate": challenge} if challenge else {})


def _from_permission(fault: Any) -> Problem:
    is_csrf = isinstance(fault, exceptions.PermissionDenied) and str(fault.detail).startswith("CSRF")
    return Problem("csrf" if is_csrf else "not_allowed")


def _from_framework(fault: Any) -> Problem | None:
    code = STATUS_CODES.get(fault.status_code)
    return Problem(code) if code else None


def _plain(code: str, headers: Mapping[str, str] | None = None) -> Callable[[Any], Problem]:
    return lambda fault: Problem(code, headers=headers)


READERS: tuple[tuple[type[Exception], Callable[[Any], Problem | None]], ...] = (
    (Problem, lambda fault: fault),
    (RuleBroken, _from_rules),
    (Refused, _from_service),
    (KeyReused, _plain("key_reused")),
    (KeyBusy, _plain("key_busy", {"Retry-After": str(RETRY_SECONDS)})),
    (Http404, _plain("not_found")),
    (exceptions.ValidationError, _from_validation),
    (exceptions.ParseError, _plain("unreadable")),
    (exceptions.NotAuthenticated, _from_sign_in),
    (exceptions.AuthenticationFailed, _from_sign_in),
    (exceptions.Throttled, _from_throttle),
    ((exceptions.PermissionDenied), _from_permission),
    (PermissionDenied, _from_permission),
    (exceptions.APIException, _from_framework),
    (RequestDataTooBig, _plain("too_big")),
    (UnreadablePostError, _plain("unreadable")),
    (SuspiciousOperation, _plain("bad_request")),
    (BadRequest, _plain("bad_request")),
    (OperationalError, _from_database),
    (InterfaceError, _busy),
    (OSError, _from_system),
)


class ProblemsOnly:
    """Answers under /api/ made outside its views (a forged host, a fault in a middleware) are problems too."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        is_ours = request.path_info.startswith("/api/") and response.status_code >= 400
        if is_ours and not response.headers.get("Content-Type", "").startswith(MEDIA_TYPE):
            problem = Problem(STATUS_CODES.get(response.status_code, "bad_request"))
            if problem.status >= 500:
                problem.members["request_id"] = request.META.get("HTTP_X_REQUEST_ID", "")
            response.status_code = problem.status
            response.headers["Content-Type"] = MEDIA_TYPE
            response.content = JSONRenderer().render(document(problem))
            if response.has_header("Content-Length"):
                response.headers["Content-Length"] = str(len(response.content))
        return response
