import logging
import sys
from uuid import uuid4

import pytest

from league.config.logs import OneLine


def line(message: str, *args: object, exc_info: object = None) -> str:
    record = logging.LogRecord("league.test", logging.WARNING, "file", 1, message, args, exc_info)
    return OneLine().format(record)


def test_a_typed_line_end_cannot_forge_a_line():
    written = line("name %s", "Ann\r\n2026 CRITICAL all is lost\x1b[31m\u2028")
    assert written.endswith(r"name Ann\r\n2026 CRITICAL all is lost\x1b[31m\u2028")
    assert len(written.splitlines()) == 1


def test_a_traceback_stays_on_its_line():
    try:
        raise ValueError("two\nlines")
    except ValueError:
        written = line("failed", exc_info=sys.exc_info())
    assert len(written.splitlines()) == 1
    assert written.endswith("ValueError")
    assert "two" not in written.partition("raise")[2].partition("\\n")[2]


@pytest.mark.parametrize("secret", ["rIuJr5_o6DMyQ2RmJkJ5yHhJtX0bG-2Nf1y2c3d4e5f", "8f14e45fceea167a5a36dedd4bea2543"])
def test_a_link_that_opens_something_is_not_written(secret):
    written = line("Not Found: %s", f"/join/{secret}/")
    assert secret not in written
    assert "/join/(hidden)/" in written


def test_an_id_stays_readable():
    identity = uuid4()
    assert str(identity) in line("Not Found: %s", f"/rounds/{identity}/")


def test_names_keep_their_letters():
    assert line("%s", "Ärger Øst 日本").endswith("Ärger Øst 日本")
