"""What every address of the API has in common: the order of checks, JSON both ways, keys and versions."""

import hashlib
import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, ClassVar, cast

from django.http import Http404, HttpRequest
from rest_framework import exceptions
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.parsers import BaseParser
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer
from rest_framework.utils.encoders import JSONEncoder
from rest_framework.utils.mediatypes import media_type_matches
from rest_framework.views import APIView

from league.api.authentication import Pace, SessionAuthentication, TokenAuthentication
from league.api.errors import MEDIA_TYPE, FieldError, Problem, flattened, invalid
from league.api.parsers import MAX_BYTES, StrictJSON, canonical, safe_name, too_big
from league.models import Account, Round, Token
from league.services.once import SentKey, StoredAnswer, run_once

KEY = re.compile(r'"?([A-Za-z0-9_-]{16,64})"?', re.ASCII)
ENTITY_TAG = re.compile(r'(W/)?"([^"]*)"')
READING = frozenset({"GET", "HEAD"})


@dataclass(frozen=True)
class Answer:
    """What a POST answers. `made_round` keeps the key for as long as the card that it made."""

    body: Any
    status: int = 201
    headers: Mapping[str, str] = field(default_factory=dict)
    made_round: Round | None = None


class Encoder(JSONEncoder):
    """Tenths are JSON numbers: 18.4, and 18.0 for eighteen."""

    def default(self, obj: Any) -> Any:
        return float(obj) if isinstance(obj, Decimal) else super().default(obj)


class Renderer(JSONRenderer):
    encoder_class = Encoder


class Negotiation(BaseContentNegotiation):
    def select_parser(self, request: Request, parsers: Iterable[BaseParser]) -> BaseParser | None:
        for parser in parsers:
            if media_type_matches(parser.media_type, request.content_type):
                return parser
        return None

    def select_renderer(
        self, request: HttpRequest, renderers: Iterable[BaseRenderer], format_suffix: str | None = None
    ) -> tuple[BaseRenderer, str]:
        offered = list(renderers)
        accepted = [part.strip() for part in request.META.get("HTTP_ACCEPT", "").split(",")]
        for renderer in offered:
            for part in accepted:
                if part in ("", MEDIA_TYPE) or media_type_matches(part, renderer.media_type):
                    return renderer, renderer.media_type
        raise exceptions.NotAcceptable


class Endpoint(APIView):
    """Order of checks: credentials, method, then in the view the row and the role, then headers, shape, rules, state.

    A view asks its door in `access` first and only then calls `read`, `require_match` or `once`: a stranger gets the
    same 404 whatever the body is.
    """

    query: ClassVar[frozenset[str]] = frozenset()
    post_query: ClassVar[frozenset[str]] = frozenset()
    browser_only: ClassVar[bool] = False
    scopes: ClassVar[Mapping[str, str]] = {"GET": "read", "HEAD": "read"}

    authentication_classes = (TokenAuthentication, SessionAuthentication)
    permission_classes = ()
    throttle_classes = (Pace,)
    parser_classes = (StrictJSON,)
    renderer_classes = (Renderer,)
    content_negotiation_class = Negotiation
    http_method_names: Sequence[str] = ("get", "head", "post", "put", "patch", "delete")

    @property
    def default_response_headers(self) -> dict[str, str]:
        """Nothing that tells one address from another."""
        return {}

    @property
    def account(self) -> Account:
        return cast(Account, self.request.user)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        self.format_kwarg = None
        self.perform_authentication(request)
        if not request.user.is_authenticated:
            raise exceptions.NotAuthenticated
        self.check_throttles(request)
        if (request.method or "").lower() not in self.http_method_names or request.method not in self.allowed_methods:
            raise exceptions.MethodNotAllowed(request.method or "")
        self._check_token(request)
        request.accepted_renderer, request.accepted_media_type = self.perform_content_negotiation(request)
        self._check_query(request)

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Response:
        final = super().finalize_response(request, response, *args, **kwargs)
        final["Cache-Control"] = "private, no-store"
        if final.status_code == 405:
            final["Allow"] = ", ".join(self.allowed_methods)
        return final

    def _check_token(self, request: Request) -> None:
        if not isinstance(request.auth, Token):
            return
        if self.browser_only:
            raise Problem("browser_only")
        needed = self.scopes.get(request.method or "", "write")
        if needed not in request.auth.scopes:
            raise Problem("scope_missing", f"This needs a token with the scope `{needed}`.")

    def _check_query(self, request: Request) -> None:
        errors = []
        known = {"GET": self.query, "HEAD": self.query, "POST": self.post_query}.get(request.method or "", frozenset())
        for name, values in request.query_params.lists():
            if name not in known:
                errors.append(FieldError(safe_name(name), "unknown", "There is no such parameter here."))
            elif len(values) > 1:
                errors.append(FieldError(name, "twice", "A parameter may stand once."))
            elif any(ord(character) < 32 or character in "\x7f\ufffd" for character in values[0]):
                errors.append(FieldError(name, "parameter", "A control character or half a character stands here."))
        if errors:
            raise Problem("unknown_parameter", errors=errors)

    # What was sent

    def read(self, kind: type[Serializer[Any]], *, partial: bool | None = None, **context: Any) -> dict[str, Any]:
        """The body, checked by this serializer. A PATCH may leave fields out."""
        sent = self.payload()
        if not isinstance(sent, dict):
            raise invalid([FieldError("", "object", "Send one object: {…}.")])
        partly = self.request.method == "PATCH" if partial is None else partial
        serializer = kind(data=sent, partial=partly, context={"request": self.request, "view": self, **context})
        if not serializer.is_valid():
            raise invalid(flattened(serializer.errors))
        return cast(dict[str, Any], serializer.validated_data)

    def parameters(self, kind: type[Serializer[Any]]) -> dict[str, Any]:
        """The filters in the address, checked by a serializer whose fields take texts."""
        sent = {name: value for name, value in self.request.query_params.items() if name not in ("cursor", "page_size")}
        serializer = kind(data=sent, context={"request": self.request, "view": self})
        if not serializer.is_valid():
            raise Problem("invalid_parameter", errors=flattened(serializer.errors))
        return cast(dict[str, Any], serializer.validated_data)

    def payload(self) -> Any:
        """The body as parsed; the headers about it are judged before it is read."""
        self._check_headers()
        if not self._has_body():
            is_json = self.get_parsers()[0].media_type == StrictJSON.media_type
            wanted = "one JSON object" if is_json else "the file itself"
            raise Problem("unreadable", f"The body is empty. Send {wanted}. Nothing was stored.")
        return self.request.data

    def _has_body(self) -> bool:
        return self._length() > 0

    def _length(self) -> int:
        try:
            return int(self.request.META.get("CONTENT_LENGTH") or 0)
        except ValueError:
            return 0

    def _check_headers(self) -> None:
        encoding = self.request.headers.get("Content-Encoding", "identity")
        parsers = self.get_parsers()
        wrong_type = Negotiation().select_parser(self.request, parsers) is None
        if encoding != "identity" or (wrong_type and (self._has_body() or self.request.content_type)):
            kinds = " or ".join(parser.media_type for parser in parsers)
            raise Problem("wrong_media_type", f"Send Content-Type: {kinds}, not compressed. Nothing was stored.")
        if self._length() > MAX_BYTES and parsers[0].media_type == StrictJSON.media_type:
            raise too_big(MAX_BYTES)
        if self.request.method == "POST":
            self._key()

    # Once

    def once(self, request: Request, act: Callable[[], Answer], *, body: Any = None) -> Response:
        """Do it once for each Idempotency-Key. Checks of the moment belong into `act`, which a replay does not run.

        The body is compared as parsed; `body` stands for it where it is not JSON.
        """
        key = self._key()
        if key is None:
            answer = act()
            return Response(answer.body, answer.status, headers=dict(answer.headers))
        sent = SentKey(self.account, request.method or "", request.path, key, self._fingerprint(body))
        stored, is_replay = run_once(sent=sent, act=lambda: _stored(act()))
        headers = {**stored.headers, **({"Idempotency-Replayed": "true"} if is_replay else {})}
        return Response(json.loads(stored.body, parse_float=Decimal), stored.status, headers=headers)

    def _key(self) -> str | None:
        header = self.request.headers.get("Idempotency-Key")
        if header is None:
            return None
        found = KEY.fullmatch(header)
        if found is None or header.startswith('"') != header.endswith('"'):
            raise Problem("invalid_key")
        return found[1]

    def _fingerprint(self, body: Any) -> str:
        if body is None and self._has_body():
            body = self.request.data
        return hashlib.sha256(canonical(body).encode()).hexdigest()

    # Versions

    def require_match(
        self, request: Request, version: int, stored: Mapping[str, Any] | Callable[[], Any] | None = None
    ) -> None:
        """428 without If-Match; 412 with `yours` and `stored` when the row has moved on since it was looked at."""
        header = request.headers.get("If-Match")
        has_body = request.method in ("PUT", "PATCH", "POST")
        if has_body:
            self._check_headers()
        if header is None:
            raise Problem("match_required")
        if header.strip() == "*":
            return
        if any(not weak and tag == str(version) for weak, tag in ENTITY_TAG.findall(header)):
            return
        yours = self.payload() if has_body and self._has_body() else None
        raise Problem("stale", members={"yours": yours, "stored": stored() if callable(stored) else stored})


class Unknown(Endpoint):
    """Every other address: the same answers as an address with an id that never existed."""

    http_method_names = (*Endpoint.http_method_names, "options", "trace")
    schema = None

    def _check_query(self, request: Request) -> None:
        """Nothing to check: there is nothing here."""

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        raise Http404

    post = put = patch = delete = trace = get
    options = get  # type: ignore[assignment]


def tagged(response: Response, version: int) -> Response:
    response["ETag"] = f'"{version}"'
    return response


def rendered(body: Any) -> str:
    return Renderer().render(body).decode() or "null"


def _stored(answer: Answer) -> StoredAnswer:
    return StoredAnswer(answer.status, rendered(answer.body), dict(answer.headers), answer.made_round)
