"""Lists in pages. A cursor names the last row seen, so rows that come or go meanwhile double and hide nothing."""

import hashlib
from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.core import signing
from django.db.models import Model, Q, QuerySet
from drf_spectacular.utils import inline_serializer
from rest_framework import serializers

from league.api.base import Endpoint
from league.api.errors import FieldError, Problem

QUERY = frozenset({"cursor", "page_size"})
SIZE, MAX_SIZE = 50, 500
MAX_CURSOR = 1_000
SALT = "league.api.paging"

Shape = type[serializers.Serializer[Any]] | Callable[[Any], Any]


def page(view: Endpoint, rows: QuerySet[Any], shape: Shape, order: Sequence[str] = ("pk",)) -> dict[str, Any]:
    """One page: `results`, `next` (an address, or null at the end), `count` of all rows.

    `order` names columns that are never null, "-" before one for descending; together they tell any two rows apart.
    """
    size = _size(view)
    keys = tuple(order)
    here = rows.order_by(*keys)
    seen = _seen(view, keys)
    found = list((here.filter(_after(keys, seen)) if seen else here)[: size + 1])
    shown = found[:size]
    following = _next(view, keys, shown[-1], size) if len(found) > size else None
    return {"results": _shaped(view, shape, shown), "next": following, "count": rows.count()}


def page_of(kind: type[serializers.Serializer[Any]]) -> serializers.Serializer[Any]:
    """The shape of such a page, for the schema."""
    return inline_serializer(
        name=f"{kind.__name__.removesuffix('Out')}Page",
        fields={
            "results": kind(many=True),
            "next": serializers.CharField(allow_null=True),
            "count": serializers.IntegerField(),
        },
    )


def _shaped(view: Endpoint, shape: Shape, rows: list[Any]) -> list[Any]:
    if isinstance(shape, type):
        context = {"request": view.request, "view": view}
        return list(shape(rows, many=True, context=context).data)
    return [shape(row) for row in rows]


def _size(view: Endpoint) -> int:
    sent = view.request.query_params.get("page_size", str(SIZE))
    if not (sent.isascii() and sent.isdigit() and len(sent) <= 3 and 1 <= int(sent) <= MAX_SIZE):
        error = FieldError("page_size", "range", f"Enter 1 to {MAX_SIZE}.")
        raise Problem("invalid_parameter", errors=[error])
    return int(sent)


def _binding(view: Endpoint, keys: Sequence[str]) -> str:
    """Who asks for which list with which filters."""
    filters = sorted((name, value) for name, value in view.request.query_params.items() if name not in QUERY)
    whole = repr((str(view.account.pk), view.request.path, filters, list(keys)))
    return hashlib.sha256(whole.encode()).hexdigest()[:32]


def _seen(view: Endpoint, keys: Sequence[str]) -> list[Any] | None:
    sent = view.request.query_params.get("cursor")
    if sent is None:
        return None
    if len(sent) > MAX_CURSOR:
        raise Problem("invalid_cursor")
    try:
        binding, values = signing.loads(sent, salt=SALT)
    except (signing.BadSignature, ValueError):
        raise Problem("invalid_cursor") from None
    if binding != _binding(view, keys):
        raise Problem("invalid_cursor")
    return list(values)


def _next(view: Endpoint, keys: Sequence[str], row: Model, size: int) -> str:
    values = [_plain(_value(row, key.removeprefix("-"))) for key in keys]
    cursor = signing.dumps([_binding(view, keys), values], salt=SALT)
    kept = {name: value for name, value in view.request.query_params.items() if name not in QUERY}
    return f"{view.request.path}?{urlencode({**kept, 'page_size': size, 'cursor': cursor})}"


def _value(row: Any, key: str) -> Any:
    for name in key.split("__"):
        row = getattr(row, name)
    return row


def _plain(value: Any) -> Any:
    if isinstance(value, (date, datetime)):
        return value.isoformat()
    return str(value) if isinstance(value, UUID) else value


def _after(keys: Sequence[str], seen: Sequence[Any]) -> Q:
    """Rows beyond the one seen: equal in the first n columns and further along in the next."""
    beyond, level = Q(), Q()
    for key, value in zip(keys, seen, strict=True):
        column = key.removeprefix("-")
        side = "lt" if key.startswith("-") else "gt"
        beyond |= level & Q(**{f"{column}__{side}": value})
        level &= Q(**{column: value})
    return beyond
