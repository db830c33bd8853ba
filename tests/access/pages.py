"""What holds of every answer, whoever asks."""

import re
from html.parser import HTMLParser

from django.http import HttpResponse

MAY_BE_AMISS = re.compile(
    r"""<style | <script | [\s"'/](style|on[a-z]+)\s*=
    | (href|src|action)\s*=\s*["']?\s*( // | /?[^\s"'/?\#]*[:&] )""",
    re.IGNORECASE | re.VERBOSE,
)
"""In every page with a fault that the slow parser below would find; in most pages nothing of the kind stands."""


class Inline(HTMLParser):
    """Finds script and style that stand in the page itself."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "style" or (tag == "script" and not given.get("src")):
            self.found.append(f"<{tag}> in the page")
        for name, value in given.items():
            if name == "style" or name.startswith("on"):
                self.found.append(f"{name}= on <{tag}>")
            if name in ("href", "src", "action", "formaction") and re.match(
                r"\s*(javascript|data):", value or "", re.I
            ):
                self.found.append(f"{name}={value} on <{tag}>")
            if name in ("href", "src", "action") and re.match(r"(https?:)?//", value or "") and tag != "a":
                self.found.append(f"{name} of <{tag}> leads elsewhere")


def faults_of(answer: HttpResponse, name: str) -> list[str]:
    faults = []
    if answer["Cache-Control"] != "private, no-store":
        faults.append(f"Cache-Control: {answer['Cache-Control']}")
    policy = answer.headers.get("Content-Security-Policy", "")
    if "default-src 'none'" not in policy or "frame-ancestors 'none'" not in policy or "unsafe" in policy:
        faults.append(f"Content-Security-Policy: {policy}")
    if answer.headers.get("X-Content-Type-Options") != "nosniff" or answer.headers.get("X-Frame-Options") != "DENY":
        faults.append("may be sniffed or framed")
    if not re.fullmatch(r"[0-9a-f]{16}", answer.headers.get("X-Request-ID", "")):
        faults.append("no id of its own")
    if answer.headers.get("Referrer-Policy") not in ("same-origin", "no-referrer"):
        faults.append(f"Referrer-Policy: {answer.headers.get('Referrer-Policy')}")
    kind = answer.headers.get("Content-Type", "")
    if kind.startswith("text/html") and MAY_BE_AMISS.search(page := answer.content.decode()):
        inline = Inline()
        inline.feed(page)
        faults += inline.found
    if name.startswith("api-") and answer.status_code >= 400 and kind != "application/problem+json":
        faults.append(f"a refusal as {kind}")
    return faults
