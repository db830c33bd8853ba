"""The fields that requests are made of. Strict: a number is a JSON number, a name that is not known is refused."""

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from rest_framework import serializers

from league.api.parsers import safe_name
from league.exchange.text import TextFault, clean_text

DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
MOMENT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?(Z|[+-][0-9]{2}:[0-9]{2})", re.ASCII
)
CANONICAL_ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.ASCII | re.IGNORECASE)
FIRST_YEAR, LAST_YEAR = 1900, 2199

NEEDED: dict[str, Any] = {"required": "This is needed.", "null": "This is needed; null is not a value here."}
MADE_BY_SENDER: dict[str, Any] = {
    "id": "Send an id that you made yourself, such as 1b4e28ba-2fa1-41d2-883f-0016d3cca427."
}
"""For ids that a phone makes: there is nothing to be seen behind them yet."""


class Strict(serializers.Serializer[Any]):
    """Refuses names that it does not know, and names that the service itself sets."""

    default_error_messages = {**NEEDED, "invalid": "Send an object here."}  # noqa: RUF012 (declared so upstream)

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, Mapping):
            raise serializers.ValidationError("Send an object here: {…}.", code="object")
        extra = self._extra_names(data)
        try:
            value = super().to_internal_value(data)
        except serializers.ValidationError as fault:
            if isinstance(fault.detail, dict):
                raise serializers.ValidationError({**extra, **fault.detail}) from None
            raise
        if extra:
            raise serializers.ValidationError(extra)
        return value

    def _extra_names(self, data: Mapping[str, Any]) -> dict[str, list[serializers.ErrorDetail]]:
        extra: dict[str, list[serializers.ErrorDetail]] = {}
        for name in data:
            field = self.fields.get(name)
            if field is None:
                extra[safe_name(name)] = [serializers.ErrorDetail("There is no such field here.", "unknown")]
            elif field.read_only:
                message = "The service sets this itself; leave it out."
                extra[name] = [serializers.ErrorDetail(message, "read_only")]
        return extra


class Whole(serializers.Field[int, Any, int, Any]):
    """A whole number, as a JSON number."""

    default_error_messages = NEEDED

    def __init__(self, minimum: int, maximum: int, **options: Any) -> None:
        self.minimum, self.maximum = minimum, maximum
        super().__init__(**options)

    def to_internal_value(self, data: Any) -> int:
        number = _number(data)
        if number != number.to_integral_value():
            raise serializers.ValidationError("Enter a whole number.", code="whole")
        _check_range(number, self.minimum, self.maximum)
        return int(number)

    def to_representation(self, value: int) -> int:
        return int(value)


class Tenths(serializers.Field[Decimal, Any, Decimal, Any]):
    """A number with at most one digit after the point, as a JSON number: 18.4, and 18.0 for eighteen."""

    default_error_messages = NEEDED

    def __init__(self, minimum: str | int | Decimal = -999, maximum: str | int | Decimal = 999, **options: Any) -> None:
        self.minimum, self.maximum = Decimal(minimum), Decimal(maximum)
        super().__init__(**options)

    def to_internal_value(self, data: Any) -> Decimal:
        number = _number(data)
        if number * 10 != (number * 10).to_integral_value():
            raise serializers.ValidationError("Enter at most one digit after the point.", code="tenths")
        _check_range(number, self.minimum, self.maximum)
        return number.quantize(Decimal("0.1"))

    def to_representation(self, value: Decimal) -> Decimal:
        exact = Decimal(value).quantize(Decimal("0.1"))
        if exact != value:
            raise ValueError("more than tenths: round by the rules first")
        return exact


class Text(serializers.Field[str, Any, str, Any]):
    """A text in NFC without hidden characters. `lines` lets line breaks pass, as a note may have them."""

    default_error_messages = {**NEEDED, "blank": "Enter something here."}  # noqa: RUF012

    def __init__(
        self, max_length: int, lines: bool = False, *, allow_blank: bool = False, min_length: int = 0, **options: Any
    ) -> None:
        self.max_length, self.min_length, self.lines, self.allow_blank = max_length, min_length, lines, allow_blank
        super().__init__(**options)

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            raise serializers.ValidationError("Send a text, in quotes.", code="text")
        try:
            value = clean_text(data, self.max_length, self.lines)
        except TextFault as fault:
            raise serializers.ValidationError(fault.message, code=fault.code) from None
        if not value and not self.allow_blank:
            self.fail("blank")
        if len(value) < self.min_length:
            raise serializers.ValidationError(f"Enter at least {self.min_length} characters.", code="text")
        return value

    def to_representation(self, value: Any) -> str:
        return str(value)


class Day(serializers.Field[date, Any, str, Any]):
    """A calendar day, written 2026-04-03."""

    default_error_messages = {**NEEDED, "date": "Write the day as 2026-04-03."}  # noqa: RUF012

    def to_internal_value(self, data: Any) -> date:
        if not isinstance(data, str) or not DAY.fullmatch(data):
            self.fail("date")
        try:
            day = date.fromisoformat(data)
        except ValueError:
            raise serializers.ValidationError("There is no such day in the calendar.", code="date") from None
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            message = f"Enter a day from {FIRST_YEAR} to {LAST_YEAR}."
            raise serializers.ValidationError(message, code="date")
        return day

    def to_representation(self, value: date) -> str:
        return value.isoformat()


class Choice(serializers.Field[str, Any, str, Any]):
    """One of a few fixed texts; takes a list of texts or a Django choices class."""

    default_error_messages = NEEDED

    def __init__(self, choices: Any, **options: Any) -> None:
        self.choices: Sequence[str] = [str(choice) for choice in getattr(choices, "values", choices)]
        super().__init__(**options)

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str) or data not in self.choices:
            named = ", ".join(choice for choice in self.choices if choice)
            left_empty = "; or leave it empty" if "" in self.choices else ""
            raise serializers.ValidationError(f"Choose one of: {named}{left_empty}.", code="choice")
        return data

    def to_representation(self, value: Any) -> str:
        return str(value)


class Flag(serializers.Field[bool, Any, bool, Any]):
    """true or false, nothing that resembles it."""

    default_error_messages = {**NEEDED, "flag": "Send true or false, without quotes."}  # noqa: RUF012

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            self.fail("flag")
        return data

    def to_representation(self, value: bool) -> bool:
        return bool(value)


class Id(serializers.Field[UUID, Any, str, Any]):
    """The id of a row. Whether the person may see that row is for its door to say."""

    default_error_messages = {**NEEDED, "id": "Send the id of something you can see."}  # noqa: RUF012

    def to_internal_value(self, data: Any) -> UUID:
        if not isinstance(data, str) or not CANONICAL_ID.fullmatch(data):
            self.fail("id")
        return UUID(data)

    def to_representation(self, value: Any) -> str:
        return str(value)


class Moment(serializers.DateTimeField):
    """A moment with its offset from UTC, such as 2026-07-01T09:30:00Z: a phone's clock, kept as a claim."""

    default_error_messages = NEEDED

    def to_internal_value(self, value: Any) -> datetime:
        try:
            if isinstance(value, str) and MOMENT.fullmatch(value):
                return super().to_internal_value(value)
        except (serializers.ValidationError, OverflowError, ValueError):
            pass  # said below, as for everything that is no moment
        raise serializers.ValidationError("Write the moment as 2026-07-01T09:30:00Z.", code="date")


class Many(serializers.ListField):
    """A list, of a length that may be bounded."""

    default_error_messages = {**NEEDED, "not_a_list": "Send a list here: […]."}  # noqa: RUF012 (declared so upstream)

    def to_internal_value(self, data: Any) -> list[Any]:
        if isinstance(data, list) and not (self.min_length or 0) <= len(data) <= (self.max_length or len(data)):
            least = f"{self.min_length} to" if self.min_length else "at most"
            raise serializers.ValidationError(f"Send {least} {self.max_length} entries.", code="list_length")
        return super().to_internal_value(data)


class AskedNumber(serializers.IntegerField):
    """A whole number in the address, where everything is text."""

    default_error_messages = NEEDED

    def __init__(self, minimum: int, maximum: int, **options: Any) -> None:
        told = f"Enter {minimum} to {maximum}."
        messages: dict[str, Any] = dict.fromkeys(("invalid", "min_value", "max_value", "max_string_length"), told)
        super().__init__(min_value=minimum, max_value=maximum, error_messages=messages, **options)


def _number(data: Any) -> Decimal:
    if isinstance(data, bool) or not isinstance(data, (int, Decimal)):
        raise serializers.ValidationError("Enter a number, without quotes.", code="number")
    return Decimal(data)


def _check_range(number: Decimal, minimum: int | Decimal, maximum: int | Decimal) -> None:
    if not minimum <= number <= maximum:
        raise serializers.ValidationError(f"Enter {minimum} to {maximum}.", code="range")
