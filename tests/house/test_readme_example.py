"""The README's example really runs, as written, against the real service."""

import json
import os
import re
import shutil
import subprocess

import pytest

from league.services import tokens
from tests import build
from tests.house.documents import ROOT


def example():
    blocks = re.findall(r"```sh\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    return next(block for block in blocks if "curl" in block)


@pytest.mark.django_db(transaction=True)
def test_the_example_with_curl_does_what_it_says(live_server):
    assert shutil.which("curl"), "the example needs curl"
    people = build.people()
    tee = build.tee(build.course(people.group))
    value = tokens.make_token(account=people.ann.account, name="example", scopes=["read", "write"], days=1)[1]
    script = example().replace("http://127.0.0.1:8000", live_server.url)
    variables = {"TOKEN": value, "TEE": str(tee.pk), "PLAYER": str(people.ann.pk)}
    ran = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", script],
        env={**os.environ, **variables},
        capture_output=True,
        text=True,
        check=True,
    )
    me, played, ledger = _documents(ran.stdout)
    assert me["id"] == str(people.ann.pk) or me["player"]["id"] == str(people.ann.pk)
    assert (played["gross"], played["adjusted_gross"]) == (92, 90)
    assert [line["round"] for line in ledger["results"]] == [played["id"]]


def _documents(text):
    decoder, found = json.JSONDecoder(), []
    while text.strip():
        document, end = decoder.raw_decode(text.lstrip())
        found.append(document)
        text = text.lstrip()[end:]
    return found
