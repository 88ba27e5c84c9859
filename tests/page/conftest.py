"""Pages of scenes and a browser to open them in, made once for all tests here: each takes a second or two."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from page.browser import drawn, launched, opened, settled
from playwright.sync_api import Browser, Page, Playwright, sync_playwright

from routeviz.pipeline import check_scene
from routeviz.views.page import data_text, page_bytes
from routeviz.views.page_data import page_data

ROOT = Path(__file__).parents[2]
Made = Callable[[str | Path], Path]
Show = Callable[..., Page]
BEGIN = """(({ state, stage }) => {
  const press = { share: 0, only: null };
  state.set({ mode: "found", chosen: null, unit: "mm", theme: "light", cut: null, parts: {}, press });
  state.set({ measuring: false, ends: [] });
  stage.home();
})(window.routeviz)"""


@pytest.fixture(scope="package")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Return a function that makes the page of a scene: one of ours by its name, another by its path."""
    folder = tmp_path_factory.mktemp("pages")

    @cache
    def make(scene: str | Path) -> Path:
        path = ROOT / "scenes" / f"{scene}.toml" if isinstance(scene, str) else scene
        lay = check_scene(path)
        page = folder / f"{len(list(folder.iterdir()))}-page.html"
        page.write_bytes(page_bytes(lay.cabinet.title, data_text(page_data(lay))))
        return page

    return make


@pytest.fixture(scope="package")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="package")
def browser(playwright: Playwright) -> Iterator[Browser]:
    started = launched(playwright)
    yield started
    started.close()


@pytest.fixture(scope="package")
def flat_browser(playwright: Playwright) -> Iterator[Browser]:
    """A browser without 3D."""
    started = launched(playwright, "--disable-3d-apis")
    yield started
    started.close()


@pytest.fixture
def show(browser: Browser, made: Made) -> Iterator[Show]:
    """Return a function that opens the page of a scene; a page that did what it should not fails the test."""
    with ExitStack() as stack:

        def open_page(scene: str | Path, size: str = "desktop", **settings: Any) -> Page:
            return stack.enter_context(opened(browser, made(scene).as_uri(), size, **settings))

        yield open_page


@pytest.fixture
def show_flat(flat_browser: Browser, made: Made) -> Iterator[Show]:
    """As show, in a browser without 3D: all but the case is the same, and it is there sooner."""
    with ExitStack() as stack:

        def open_page(scene: str | Path, size: str = "desktop", **settings: Any) -> Page:
            return stack.enter_context(opened(flat_browser, made(scene).as_uri(), size, **settings))

        yield open_page


@pytest.fixture(scope="package")
def kept_open(browser: Browser, made: Made) -> Iterator[Page]:
    low = {"width": 1400, "height": 640}  # drawing the case takes most of the time
    with opened(browser, made("as_found").as_uri(), reduced_motion="reduce", viewport=low) as page:
        drawn(page)
        yield page


@pytest.fixture
def page(kept_open: Page) -> Page:
    """A page with findings and tubes of every kind as when it opens; it is the same one in all tests."""
    kept_open.evaluate(BEGIN)
    settled(kept_open)
    return kept_open
