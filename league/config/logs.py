import logging
import re
import traceback
from collections.abc import Mapping
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any

request_id: ContextVar[str] = ContextVar("request_id", default="-")

# A part of an address as long as an invitation, follower link or reset link carries; ids (UUIDs) stay readable.
SECRET_IN_PATH = re.compile(r"(?<=/)(?![0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}(?![\w-]))[\w-]{20,}(?=[/?#\s\"']|$)")
UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")


def one_line(text: str) -> str:
    """Line ends and other control characters as escapes, so that no typed name can forge a line of the log."""
    return UNPRINTABLE.sub(lambda found: found.group().encode("unicode_escape").decode("ascii"), text)


class OneLine(logging.Formatter):
    """Moment (UTC), level, request id, logger, message and, when there is one, the traceback: one line a record."""

    def formatException(self, ei: Any) -> str:
        """Kind and place, also of what caused it; never the message, which may quote what a person wrote."""
        told, fault = [], ei[1]
        while fault is not None:
            place = "".join(traceback.format_tb(fault.__traceback__))
            told.append(f"{place}{type(fault).__qualname__}")
            fault = fault.__cause__ or (None if fault.__suppress_context__ else fault.__context__)
        return "\nbecause of\n".join(told)

    def format(self, record: logging.LogRecord) -> str:
        moment = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        text = SECRET_IN_PATH.sub("(hidden)", record.getMessage())
        if record.exc_info:
            text = f"{text} | {self.formatException(record.exc_info)}"
        return one_line(f"{moment} {record.levelname} {request_id.get()} {record.name}: {text}")


def logging_for(level: str) -> Mapping[str, object]:
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"one_line": {"()": "league.config.logs.OneLine"}},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "one_line"}},
        "root": {"handlers": ["stderr"], "level": level},
        "loggers": {
            "django": {"handlers": [], "level": level, "propagate": True},
            "django.server": {"handlers": [], "level": level, "propagate": True},
            # Never statements: their values hold what people typed.
            "django.db.backends": {"handlers": [], "level": "WARNING", "propagate": True},
            "gunicorn.error": {"handlers": [], "level": "WARNING", "propagate": True},
            "gunicorn.access": {"handlers": [], "level": "WARNING", "propagate": False},
        },
    }
