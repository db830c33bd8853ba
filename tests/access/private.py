"""What of ann's journal stands in nobody else's answers, and in no log."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from league.config.logs import OneLine
from tests.access.journal_world import JOURNAL, SHARED

TYPED = "canary-typed-by-ann"
DRAFT_ON_HOME = "unfinished look-back"
NAMED = ("django", "django.request", "django.db.backends", "league", "axes")


def hits(text: str, *, shared_too: bool = True) -> list[str]:
    return [word for word in (JOURNAL, TYPED, *((SHARED,) if shared_too else ())) if word in text]


class Kept(logging.Handler):
    """Keeps every record, formatted as the service does it."""

    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(OneLine())
        self.written: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.written.append(self.format(record))


@contextmanager
def logged() -> Iterator[list[str]]:
    """Every record of every logger from DEBUG on."""
    kept, loggers = Kept(), [logging.getLogger(), *map(logging.getLogger, NAMED)]
    before = [(logger, logger.level) for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.DEBUG)
    # In place of the handlers that stand there: pytest's own would format each record again.
    others, loggers[0].handlers = loggers[0].handlers, [kept]
    # The one logger that is kept from DEBUG in use: its statements hold values.
    logging.getLogger("django.db.backends").setLevel(logging.WARNING)
    try:
        yield kept.written
    finally:
        loggers[0].handlers = others
        for logger, level in before:
            logger.setLevel(level)
