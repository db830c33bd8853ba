import re

import pytest
from django.core.management import get_commands

from tests.house.documents import ROOT, our_files

MACHINE_PATH = re.compile(r"(?<![\w.~$}*-])/(?:work|opt|root|home|tmp)/(?=\w)")
INSTALL_SOURCE = re.compile(r"pypi\.org|pythonhosted\.org|npmjs\.org|deb\.debian\.org|index-url *=", re.IGNORECASE)
COMMAND = re.compile(r"python3 manage\.py ([a-z_]+)")


@pytest.mark.parametrize("pattern", [MACHINE_PATH, INSTALL_SOURCE], ids=["machine path", "install source"])
def test_no_file_names_it(pattern):
    found = [
        f"{path}: {line.strip()}" for path, text in our_files() for line in text.splitlines() if pattern.search(line)
    ]
    assert found == []


def test_the_patterns_find_what_they_look_for():
    assert MACHINE_PATH.search("see /" + "tmp/x")
    assert INSTALL_SOURCE.search("https://" + "pypi" + ".org/simple")


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_every_command_it_shows_exists(document):
    shown = set(COMMAND.findall((ROOT / document).read_text(encoding="utf-8")))
    assert {"start", "test"} <= shown
    assert shown - set(get_commands()) - {"test", "help"} == set()
