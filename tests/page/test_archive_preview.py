"""The preview of an archive in a browser: all can be reached, read and followed, on a narrow screen too."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from archive.deposits import FULL, HOSTILE, a_deposit, laid_out
from page.browser import opened
from page.test_accessible import violations
from playwright.sync_api import Browser, Page


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    deposit = a_deposit(tmp_path_factory.mktemp("scene"), **{**FULL, "name": HOSTILE})
    return laid_out(tmp_path_factory.mktemp("archive"), deposit)


@pytest.fixture(scope="module")
def preview(browser: Browser, archive: Path) -> Iterator[Page]:
    narrow = {"width": 420, "height": 900}
    address = (archive / "ro-crate-preview.html").as_uri()
    with opened(browser, address, viewport=narrow, bypass_csp=True) as page:  # axe is put in by hand
        yield page


def test_axe_finds_no_violation(preview: Page) -> None:
    assert violations(preview) == []


def test_every_link_leads_to_a_file_of_the_archive_and_every_file_has_one(
    preview: Page, archive: Path
) -> None:
    ways = preview.eval_on_selector_all("a[href]", "links => links.map(link => decodeURI(link.href))")
    files = {path.as_uri() for path in archive.rglob("*") if path.is_file()}
    own = {(archive / name).as_uri() for name in ("ro-crate-metadata.json", "ro-crate-preview.html")}
    assert set(ways) == files - own
    assert len(set(ways)) == len(ways)


def test_what_a_person_wrote_is_shown_as_it_was_written(preview: Page) -> None:
    assert preview.locator("h1").inner_text() == f"{HOSTILE}, as found"
    assert preview.get_by_text("The bass end from <above> & behind").count() == 1


def test_nothing_is_wider_than_a_narrow_screen(preview: Page) -> None:
    assert preview.evaluate("document.documentElement.scrollWidth") <= 420
