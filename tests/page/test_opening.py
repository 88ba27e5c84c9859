"""The page as it opens: from a file, without a network, with or without WebGL, whatever things are called."""

from pathlib import Path

import pytest
from builders import (
    a_scene,
    corners_of,
    with_board,
    with_box,
    with_keep_clear,
    with_nipple,
    with_tube,
    with_tubing,
    written,
)
from page.browser import SIZES, drawn, opened
from page.conftest import Made, Show
from playwright.sync_api import Browser, Page
from verdicts import a_tube_up

HOSTILE = "</script><img src=x onerror=alert(1)>"
TABS = '[...document.querySelectorAll("[role=tab]")].map((one) => one.textContent)'
# Of everything that can be touched and is seen: what it says, how wide and how high it is. A row of the table
# of tubes can be touched as a whole.
TARGETS = """(least) => [...document.querySelectorAll("button, select, input, [role=tab], summary")]
  .filter((one) => one.checkVisibility({ visibilityProperty: true }))
  .map((one) => [one.textContent || one.ariaLabel || one.id, one.closest("tr") ?? one])
  .map(([says, one]) => [says, one.getBoundingClientRect()])
  .filter(([, box]) => box.width > 1 && (box.height < least || box.width < least))
  .map(([says, box]) => `${says}: ${Math.round(box.width)} by ${Math.round(box.height)}`)"""


def a_hostile_scene() -> str:
    """Every text that a scene may hold is the same piece of markup, or begins with it."""
    name = HOSTILE
    return a_scene(
        with_tubing(name),
        with_nipple(f"{name} a", (0, 0, 0)),
        with_nipple(f"{name} b", (0, 0, 300), faces="down"),
        with_nipple(f"{name} c", (90, 0, 0)),
        with_board(
            name, (-50, -50, 150), (100, 100, 10), opening={name: {"at": at(20, 20), "size": wide(60, 60)}}
        ),
        with_box(f"{name} d", (3, -5, 60), (10, 10, 10), motion={"turns_about": "right", "travel": 5}),
        with_keep_clear(f"{name} e", (-40, -40, 40), (80, 80, 20), name * 20),
        with_tube(
            f"{name} a 1",
            f"{name} b 1",
            tubing=name,
            name=name,
            tag=name,
            label=name * 20,
            note=name * 20,
            through=[f"{name} {name}"],
            corners=corners_of((0, 0, 100)),
        ),
        title=name * 20,
    )


def at(right: float, back: float) -> dict[str, float]:
    return {"right": right, "back": back}


def wide(wide: float, deep: float) -> dict[str, float]:
    return {"wide": wide, "deep": deep}


def lists_are_there(page: Page) -> None:
    counts = page.evaluate(
        "(({ findings, tubes, passages }) => [findings, tubes, passages].map((one) => one.length))"
        "(window.routeviz.lay)"
    )
    assert min(counts) > 0
    tabs = [f"{word} {many}" for word, many in zip(("Found", "Tubes", "Passages"), counts, strict=True)]
    assert page.evaluate(TABS) == [*tabs, "Parts", "Bench"]
    assert page.locator("li.finding").count() == counts[0]
    assert page.locator("#panel-tubes tr[data-tube]").count() == counts[1]
    assert page.locator("figure.plate svg").count() == counts[2]
    assert page.title() == page.locator("h1").inner_text()


@pytest.mark.parametrize("size", SIZES)
def test_a_page_opens_offline_with_all_its_lists_and_fits_screen_and_finger(size: str, show: Show) -> None:
    page = show("as_found", size)
    lists_are_there(page)
    drawn(page)
    for mode in ("Found", "Tubes", "Passages", "Parts", "Bench"):
        page.get_by_role("tab", name=mode).click()
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        assert size == "desktop" or page.evaluate(TARGETS, 44) == [], mode


def test_names_are_texts_whatever_stands_in_them(show: Show, tmp_path: Path) -> None:
    page = show(written(tmp_path, a_hostile_scene()))
    for mode in ("Tubes", "Passages", "Parts", "Bench", "Found"):
        page.get_by_role("tab", name=mode).click()
    assert page.locator("h1").text_content() == HOSTILE * 20
    assert page.title().startswith(HOSTILE)
    assert page.evaluate("document.querySelectorAll('img').length") == 0
    assert page.locator("#panel-tubes tr[data-tube] bdi.name").first.text_content() == HOSTILE
    assert page.locator("article.passage bdi.name").first.text_content() == f"{HOSTILE} {HOSTILE}"
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    drawn(page)


def test_names_from_right_to_left_and_of_full_length_are_shown_whole(show_flat: Show, tmp_path: Path) -> None:
    hebrew, long, title = "מדף העליון", "wide " * 11 + "board", "n" * 1000
    board = with_board(long, (50, -50, 150), (100, 100, 10))
    page = show_flat(written(tmp_path, a_scene(a_tube_up(name=hebrew), board, title=title)), "portrait")
    assert f"{hebrew} low 1" in page.locator("#panel-tubes").text_content()
    page.get_by_role("tab", name="Parts").click()
    assert long in page.locator("#panel-parts").inner_text()
    assert page.locator("h1").text_content() == title
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize(
    ("scene", "said"),
    [
        (a_scene(), "This scene has no tubes yet"),
        (a_scene(with_box("chest", (0, 0, 0), (300, 200, 100))), "This scene has no tubes yet"),
    ],
    ids=["nothing", "no tubes"],
)
def test_a_scene_without_tubes_says_so(scene: str, said: str, show: Show, tmp_path: Path) -> None:
    page = show(written(tmp_path, scene))
    page.get_by_role("tab", name="Tubes").click()
    assert said in page.locator("#panel-tubes").inner_text()
    page.get_by_role("tab", name="Bench").click()
    assert "There is no order of work" in page.locator("#panel-bench").inner_text()


def test_without_webgl_all_lists_and_plates_are_there_and_a_sentence_says_why_the_case_is_flat(
    show_flat: Show,
) -> None:
    page = show_flat("as_found")
    assert page.evaluate("document.createElement('canvas').getContext('webgl2')") is None
    assert page.evaluate("window.routeviz.stage") is None
    assert "this browser gives the page no WebGL 2" in page.locator("#case").inner_text()
    lists_are_there(page)


def test_without_its_script_a_page_says_what_it_needs(made: Made, browser: Browser) -> None:
    with opened(browser, made("first_six").as_uri(), java_script_enabled=False) as page:
        assert "let the browser run scripts" in page.locator("noscript").inner_text()
