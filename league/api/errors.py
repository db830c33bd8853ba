"""Every answer of the API that is not 2xx: one problem document (RFC 9457), one list of codes."""

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

from league.rules.errors import RuleBroken
from league.services.errors import Refused
from league.services.once import KeyBusy, KeyReused

log = logging.getLogger(__name__)

MEDIA_TYPE = "application/problem+json"
RETRY_SECONDS = 5
NOTHING_STORED = "Nothing was stored."


class Code(NamedTuple):
    """`status` is the one it comes with, `title` what happened, `advice` what to do about it."""

    status: int
    title: str
    advice: str


CODES: dict[str, Code] = {
    "unreadable": Code(
        400,
        "This could not be read",
        "Send one JSON object in UTF-8. The detail says where reading stopped.",
    ),
    "invalid": Code(
        400,
        "This cannot be stored yet",
        "Each entry of `errors` names a field and says what to enter there. Put them right and send again.",
    ),
    "rule_broken": Code(
        400,
        "The published rules do not allow this",
        "Each entry of `errors` names a field and says what the rules ask for. Put them right and send again.",
    ),
    "file_refused": Code(
        400,
        "This file cannot be taken yet",
        "`problems` names each line and column and says what to write there; `questions` what to choose.",
    ),
    "unknown_parameter": Code(
        400,
        "The address has a parameter that is not known here",
        "Take the named parameter out, or spell it as the API page does. A parameter may stand once.",
    ),
    "invalid_parameter": Code(
        400,
        "A parameter of the address has a value that cannot be used",
        "Each entry of `errors` names a parameter and the values it takes.",
    ),
    "invalid_cursor": Code(
        400,
        "This cursor does not belong to this list",
        "Start again without `cursor` and follow `next`. A cursor is bound to one person and one set of filters.",
    ),
    "invalid_key": Code(
        400,
        "This Idempotency-Key cannot be used",
        "Send 16 to 64 of A-Z, a-z, 0-9, _ and -, fresh for each thing to be done.",
    ),
    "bad_request": Code(400, "This request could not be understood", "Look at the address and the headers."),
    "sign_in_needed": Code(
        401,
        "Sign in, or send a token",
        "Send `Authorization: Bearer` with an API token that has not ended or been withdrawn.",
    ),
    "not_allowed": Code(403, "This is not yours to do", "Ask an organiser of the group, or the owner."),
    "scope_missing": Code(
        403,
        "This token may not do that",
        "Make a token with the scope that is needed: read to look, write to change.",
    ),
    "browser_only": Code(
        403, "Tokens cannot manage the account", "Sign in with a browser and do it on the settings page."
    ),
    "csrf": Code(
        403,
        "This page was open for a while",
        "Reload the page and send again. Programs send a token in the Authorization header instead.",
    ),
    "not_found": Code(404, "Nothing here, or not for you", "Look at the address; it ends with a slash."),
    "wrong_method": Code(405, "This address does not take that method", "The Allow header lists those it takes."),
    "not_acceptable": Code(406, "This format is not offered", "Ask for application/json."),
    "refused": Code(409, "Lawful, but not now", "The detail says what stands in the way."),
    "email_taken": Code(409, "This address has an account already", "Sign in with it, or choose another one."),
    "has_account": Code(409, "This player has an account", "What is theirs, they do themselves."),
    "no_account": Code(409, "This player has no account", "Send a claim link first."),
    "is_member": Code(409, "A member already", "Nothing needs to be done."),
    "has_rounds": Code(409, "There are rounds on both sides", "The detail says which to keep apart."),
    "invitation_over": Code(409, "This invitation is over", "Ask an organiser for a new one."),
    "group_rests": Code(
        409,
        "This group rests",
        "It can be read and exported. Nothing new comes in until whoever runs the service names an organiser.",
    ),
    "last_organiser": Code(409, "The only organiser stays", "Make somebody else an organiser first."),
    "round_withdrawn": Code(409, "This round was withdrawn", "Post it again if it was played after all."),
    "attested_already": Code(409, "This card is attested already", "Nothing needs to be done."),
    "attested_self": Code(409, "Somebody else attests your card", "Ask a marker or a member of the group."),
    "player_erased": Code(409, "This player was erased meanwhile", "Nothing was stored, and nothing needs to be done."),
    "barrier_twice": Code(409, "This barrier is set already", "Nothing needs to be done."),
    "barrier_gone": Code(409, "This barrier was dropped meanwhile", "Set it again if you want it."),
    "barriers_many": Code(409, "Many barriers are set", "Drop one first."),
    "course_has_tees": Code(409, "The course has tees", "Delete the tees first, or enter another course."),
    "course_used": Code(409, "Rounds were played on this course", "It stays. Its name can be changed."),
    "tee_gone": Code(409, "This tee was deleted meanwhile", "Choose another tee."),
    "tee_used": Code(
        409, "Rounds were played on this tee", "It stays as it is. Re-rate it from a day on, or end it with a last day."
    ),
    "tee_used_on_those_days": Code(
        409, "Rounds were played on this tee on those days", "Choose days that cover the rounds."
    ),
    "confirm_first": Code(
        409,
        "Some values are unusual",
        "Each entry of `errors` names one. Nothing was stored: check them, then send again with `confirm_warnings`: "
        "true, or a list of their codes.",
    ),
    "import_not_ready": Code(409, "This import has problems", "Put them right and read the file again."),
    "import_ended": Code(409, "This import is over", "Read the file again."),
    "import_waits": Code(409, "These rounds wait for the player", "Only the player can say yes to them."),
    "import_outdated": Code(
        409, "Something changed since the file was read", "Nothing was stored. Read the file again."
    ),
    "import_not_applied": Code(409, "This import has stored nothing yet", "There is nothing to undo."),
    "newer_version": Code(409, "There is a newer version of this tee", "Change the newest version."),
    "key_busy": Code(
        409,
        "The first request with this key is still running",
        "Wait as long as Retry-After says, then send the same request again. It is done once.",
    ),
    "stale": Code(
        412,
        "This was changed meanwhile",
        "`yours` is what was sent and `stored` what stands now. Choose, then send again with the new ETag.",
    ),
    "too_big": Code(413, "This is too big", "Send less at a time."),
    "wrong_media_type": Code(415, "This kind of content is not taken here", "Send Content-Type: application/json."),
    "key_reused": Code(
        422,
        "This Idempotency-Key was used for another request",
        "Send a fresh key with a fresh request, or the same body to hear the first answer again.",
    ),
    "match_required": Code(
        428, "Say which version you have seen", "Send If-Match with the ETag of the answer that you looked at."
    ),
    "too_many": Code(429, "Too many requests", "Wait as long as Retry-After says."),
    "our_fault": Code(
        500, "That was us", "Nothing was stored. Try again; if it stays, quote the request id to the operator."
    ),
    "busy": Code(503, "Busy for a moment", "Nothing was stored. Send it again after Retry-After."),
}

FIELD_CODES: dict[str, str] = {
    "required": "A value is needed.",
    "null": "null is not a value here.",
    "unknown": "There is no such field.",
    "read_only": "This field is set by the service.",
    "twice": "The same name stands twice in one object.",
    "depth": "Too many levels of brackets.",
    "object": "An object is needed.",
    "list": "A list is needed.",
    "list_length": "The list is too short or too long.",
    "number": "A JSON number is needed: no quotes, no true or false, at most 18 digits.",
    "whole": "A whole number is needed.",
    "tenths": "At most one digit after the point.",
    "range": "The number is too small or too large.",
    "text": "A text with visible characters and nothing hidden is needed.",
    "text_too_long": "The text has too many characters.",
    "blank": "The text may not be empty.",
    "date": "A day is needed, written 2026-04-03.",
    "choice": "One of the listed values is needed.",
    "flag": "true or false is needed.",
    "id": "The id of something you can see is needed.",
    "password": "This is not the password of the account.",
    "parameter": "The parameter has a value that cannot be used.",
    "invalid": "The value cannot be used.",
}

STATUS_CODES = {
    400: "bad_request",
    401: "sign_in_needed",
    403: "not_allowed",
    404: "not_found",
    405: "wrong_method",
    406: "not_acceptable",
    409: "refused",
    413: "too_big",
    415: "wrong_media_type",
    429: "too_many",
    500: "our_fault",
    503: "busy",
}


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
