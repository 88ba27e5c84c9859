"""Pages of scenes, and a browser to open them in: made once for all tests here."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from page.browser import launched, opened
from playwright.sync_api import Browser, Page, Playwright, sync_playwright

from routeviz.pipeline import check_scene
from routeviz.views.page import data_text, page_bytes
from routeviz.views.page_data import page_data

ROOT = Path(__file__).parents[2]
Made = Callable[[str | Path], Path]
Show = Callable[..., Page]


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


@pytest.fixture
def show(browser: Browser, made: Made) -> Iterator[Show]:
    """Return a function that opens the page of a scene; a page that did what it should not fails the test."""
    with ExitStack() as stack:

        def open_page(scene: str | Path, size: str = "desktop", **settings: Any) -> Page:
            return stack.enter_context(opened(browser, made(scene).as_uri(), size, **settings))

        yield open_page
