"""A browser for tests: it opens pages without a network and takes down what a page should not have done."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from shutil import which
from typing import Any

from playwright.sync_api import Browser, Page, Playwright

# Debian's own. The one without a window, which .ci/set_up test installs, takes half the time.
CHROMIUM = which("chromium-headless-shell") or "/usr/bin/chromium"
# Without a graphics card: by the last two the page as a whole is drawn by the software that draws the 3D, and
# no driver's message stands among the page's.
FLAGS = [
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-angle=swiftshader",
    "--ignore-gpu-blocklist",
]
SIZES: dict[str, dict[str, Any]] = {
    "desktop": {"viewport": {"width": 1400, "height": 900}},
    "portrait": {"viewport": {"width": 820, "height": 1180}, "has_touch": True},
    "landscape": {"viewport": {"width": 1180, "height": 820}, "has_touch": True},
}
PATIENCE_S = 10.0  # for what a page does after a click: on a busy machine it may take seconds


def launched(playwright: Playwright, *flags: str) -> Browser:
    """The browser, without a window."""
    return playwright.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *flags])


@contextmanager
def opened(browser: Browser, address: str, size: str = "desktop", **settings: Any) -> Iterator[Page]:
    """The page at an address; what it asked of others, and every message, is an error in the end."""
    context = browser.new_context(offline=address.startswith("file:"), **SIZES[size] | settings)
    context.set_default_timeout(1000 * PATIENCE_S)
    try:
        page = context.new_page()
        heard = listening(page, address)
        page.goto(address)
        yield page
    finally:
        context.close()
    assert not heard, heard


def listening(page: Page, address: str) -> list[str]:
    """What a page does that it should not, as it comes: requests of others, messages, errors, questions."""
    heard: list[str] = []
    own = address if address.startswith("file:") else address.rsplit("/", 1)[0]

    def request(asked: Any) -> None:
        if not asked.url.startswith((own, "data:", "blob:")):
            heard.append(f"request: {asked.url[:200]}")

    def dialog(asked: Any) -> None:
        heard.append(f"dialog: {asked.message}")
        asked.dismiss()

    page.on("request", request)
    page.on("dialog", dialog)
    page.on("console", lambda said: heard.append(f"{said.type}: {said.text}"))
    page.on("pageerror", lambda error: heard.append(f"error: {error}"))
    page.on("crash", lambda _: heard.append("crash"))
    page.on("popup", lambda other: heard.append(f"window: {other.url}"))
    return heard


def until(page: Page, condition: str) -> None:
    """Wait until an expression of the page's script is true; a page's own rules forbid it to wait for one."""
    ends = time.monotonic() + PATIENCE_S
    while not page.evaluate(condition):
        assert time.monotonic() < ends, f"not true within {PATIENCE_S:g} s: {condition}"
        page.wait_for_timeout(20)


def drawn(page: Page) -> None:
    """Wait until the case stands in 3D."""
    until(page, "window.routeviz.stage.stats().frames > 0")


def settled(page: Page) -> None:
    """Wait until the case has not been drawn for a while: nothing flies, and all that changed is seen."""
    frames, since = -1, 0
    ends = time.monotonic() + PATIENCE_S
    while since < 3:
        stats = page.evaluate("window.routeviz.stage.stats()")
        rests = stats["rests"] and stats["frames"] == frames
        frames, since = stats["frames"], since + 1 if rests else 0
        assert time.monotonic() < ends, "the case is drawn without end"
        page.wait_for_timeout(40)
