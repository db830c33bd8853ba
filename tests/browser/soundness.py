"""What makes a page sound: asked of it in one visit, on a phone, on a wide sheet, in the dark, on paper."""

from collections.abc import Iterator
from contextlib import contextmanager

from axe_playwright_python.base import AXE_FILE_PATH
from playwright.sync_api import Browser, BrowserContext, Page

PHONE, WIDE = (390, 844), (1280, 900)
TOUCH = 44
"""Pixels across a thumb needs; WCAG 2.2, 2.5.5 (AAA)."""

AXE = AXE_FILE_PATH.read_text(encoding="utf-8")
ASK_AXE = "async options => (await axe.run(document, options)).violations"
STICKS_OUT = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# What is pressed with a thumb: buttons, fields, the ways on. A radio or a box counts with its label.
SMALL = """touch => [...document.querySelectorAll(
    '.btn, button, summary, .strip a, .index a, .pager a, input:not([type=hidden]), select, textarea'
)].map(one => one.matches('[type=radio], [type=checkbox]') ? one.closest('label') : one)
  .filter(one => one.checkVisibility())
  .map(one => [one.outerHTML.slice(0, 90), one.getBoundingClientRect()])
  .filter(([, box]) => box.height < touch - .5 || box.width < touch - .5)
  .map(([html, box]) => `${Math.round(box.width)}x${Math.round(box.height)} ${html}`)"""
# After a key was pressed, focus from a script shows as it does for somebody at the keyboard.
UNSEEN = """() => {
  const strip = document.querySelector('.strip');
  const floor = strip && strip.getClientRects().length ? strip.getBoundingClientRect().top : innerHeight;
  return [...document.querySelectorAll('a[href], button, summary, select, textarea, [tabindex="0"], input')]
    .filter(one => one.checkVisibility() && !one.disabled && one.type !== 'hidden').flatMap(one => {
      one.focus();
      const mark = one.closest('svg') ? getComputedStyle(one.querySelector('rect')) : getComputedStyle(one);
      const isMarked = one.closest('svg') ? parseFloat(mark.strokeWidth) >= 2 && mark.stroke !== 'none'
        : mark.outlineStyle !== 'none' && parseFloat(mark.outlineWidth) >= 2;
      const box = one.getBoundingClientRect();
      const isHidden = !one.closest('.strip') && (box.top >= floor || box.bottom <= 0);
      return isMarked && !isHidden ? [] : [(isMarked ? 'hidden ' : 'unmarked ') + one.outerHTML.slice(0, 90)];
    });
}"""
ON_PAPER = """() => [...document.querySelectorAll('nav, .strip, .skip, .acts, .pager, div.said')]
    .filter(one => one.checkVisibility()).map(one => one.outerHTML.slice(0, 90))"""


class Visitor:
    """A browser profile that hears every complaint of the browser: scripts, styles, files, the page's own policy."""

    def __init__(self, context: BrowserContext) -> None:
        self.context = context
        self.page = context.new_page()
        self.heard: list[str] = []
        self.page.on("console", lambda said: self.heard.append(said.text) if said.type == "error" else None)
        self.page.on("pageerror", lambda fault: self.heard.append(str(fault)))
        self.page.on("requestfailed", lambda request: self._missed(f"{request.failure}: {request.url}"))

    def _missed(self, said: str) -> None:
        # A page that is left takes what it was still fetching with it.
        if "ERR_ABORTED" not in said:
            self.heard.append(said)

    def go(self, url: str, status: int = 200) -> Page:
        self.page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
        answer = self.page.goto(url)
        assert answer is not None
        assert answer.status == status, f"{answer.status} {url}"
        if status >= 400:
            # The browser itself complains of any such answer.
            self.heard = [said for said in self.heard if f"status of {status} " not in said]
        return self.page


@contextmanager
def visitor(browser: Browser, url: str, session: str = "") -> Iterator[Visitor]:
    context = browser.new_context(
        viewport={"width": PHONE[0], "height": PHONE[1]}, locale="en-GB", reduced_motion="reduce"
    )
    if session:
        context.add_cookies([{"name": "session", "value": session, "url": url}])
    yield Visitor(context)
    context.close()


def _violations(page: Page, **options: object) -> list[str]:
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE)
    found = page.evaluate(ASK_AXE, {"resultTypes": ["violations"], "preload": False, **options})
    return [f"{one['id']}: {node['html'][:120]}" for one in found for node in one["nodes"]]


def faults_of(visitor: Visitor, *, dark: bool = False) -> list[str]:
    """Everything that is wrong with the page that was opened; the visitor is left on a wide sheet."""
    page = visitor.page
    faults = [f"heard: {said}" for said in visitor.heard]
    visitor.heard.clear()
    faults += _heading_faults(page)
    faults += [f"phone: {found}" for found in [*_sticking_out(page), *_violations(page)]]
    faults += [f"phone: small {found}" for found in page.evaluate(SMALL, TOUCH)]
    faults += _keyboard_faults(page)
    page.emulate_media(media="print")
    faults += [f"paper: {found}" for found in page.evaluate(ON_PAPER)]
    faults += ["paper: no heading"] * (not page.locator("h1").first.is_visible())
    page.emulate_media(media="screen", color_scheme="dark" if dark else "light")
    if dark:
        faults += [f"dark: {found}" for found in _violations(page, runOnly=["color-contrast"])]
        page.emulate_media(color_scheme="light")
    page.set_viewport_size({"width": WIDE[0], "height": WIDE[1]})
    # Colours do not change with the width, and looking at them takes the longest.
    plain = {"color-contrast": {"enabled": False}}
    return faults + [f"wide: {found}" for found in [*_sticking_out(page), *_violations(page, rules=plain)]]


def _sticking_out(page: Page) -> list[str]:
    pixels = page.evaluate(STICKS_OUT)
    return [f"{pixels} px stick out"] if pixels else []


def _heading_faults(page: Page) -> list[str]:
    headings = page.locator("h1").all_inner_texts()
    return [] if len(headings) == 1 and headings[0].strip() else [f"headings: {headings}"]


def _keyboard_faults(page: Page) -> list[str]:
    page.keyboard.press("Tab")
    skip = page.locator(":focus")
    faults = [f"unseen focus: {found}" for found in page.evaluate(UNSEEN)]
    if skip.count() and page.locator("a.skip").count():
        page.locator("a.skip").focus()
        box = page.locator("a.skip").bounding_box()
        faults += ["the skip link stays out of sight"] * (box is None or box["x"] < 0)
        page.keyboard.press("Enter")
        faults += ["the skip link leads nowhere"] * (page.locator("main:focus").count() != 1)
    return faults
