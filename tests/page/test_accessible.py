"""The page for everyone: the rules of axe-core and of the HTML standard, the keyboard alone, and on paper."""

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from builders import (
    a_scene,
    place,
    with_board,
    with_box,
    with_keep_clear,
    with_nipple,
    with_tube,
    written,
)
from page.browser import drawn, opened, settled
from page.conftest import BEGIN, Made, Show
from playwright.sync_api import Browser, Page
from verdicts import a_tube_up

ROOT = Path(__file__).parents[2]
VIEWER = ROOT / "routeviz/views/page"
AXE = VIEWER / "node_modules/axe-core/axe.min.js"
MODES = ("Found", "Tubes", "Passages", "Parts", "Bench")
VALIDATE = """
const { HtmlValidate, FileSystemConfigLoader } = require("html-validate");
const { readFileSync } = require("fs");
const [config, ...files] = process.argv.slice(1);
const validator = new HtmlValidate(JSON.parse(readFileSync(config)));
Promise.all(files.map((file) => validator.validateFile(file))).then((reports) =>
  console.log(JSON.stringify(reports.flatMap(({ results }) => results.flatMap(({ messages }) => messages)))));
"""
# Everything that a hand can reach: a keyboard must reach it too. Of the choices only the chosen one is a
# stop, from which arrows go on.
REACHABLE = """[...document.querySelectorAll("a[href], button, input, select, canvas, [tabindex='0']")]
  .filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.disabled && one.tabIndex >= 0)
  .map((one, k) => (one.dataset.reach = k))"""


# Something of everything that a page can show, and little of each: 1 mm from a rail where 2 are wanted is a
# fault, a nipple without a tube a caution, a loose end a note.
SCENE = a_scene(
    a_tube_up(long=100),
    with_box("rail", (3.78, -20, 40), (10, 40, 20)),
    with_nipple("spare", (90, 0, 0)),
    with_nipple("spring", (200, 0, 0)),
    with_tube("spring 1", "loose", corners=[], ends_at=place(200, 0, 300), waits_for="the pump"),
    with_board(
        "shelf",
        (150, -50, 150),
        (100, 100, 10),
        opening={"hole": {"at": {"right": 20, "back": 20}, "size": {"wide": 60, "deep": 60}}},
    ),
    with_box("flap", (0, 100, 0), (50, 50, 5), motion={"turns_about": "right", "travel": 10}),
    with_keep_clear("hand", (0, 200, 0), (50, 50, 50), "the hand comes here"),
    title="A little of everything",
)


@pytest.fixture(scope="module")
def opened_small(browser: Browser, made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    scene = written(tmp_path_factory.mktemp("small"), SCENE)
    with opened(browser, made(scene).as_uri(), reduced_motion="reduce") as page:
        drawn(page)
        assert all(page.evaluate("Object.values(window.routeviz.lay.counts)"))
        yield page


@pytest.fixture
def small(opened_small: Page) -> Page:
    """A page with a little of everything, as when it opens."""
    opened_small.evaluate(BEGIN)
    settled(opened_small)
    return opened_small


def violations(page: Page) -> list[Any]:
    """What axe-core finds: rule, and where."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] }).then((all) => all.violations)")
    return [(one["id"], [node["html"][:200] for node in one["nodes"]][:5]) for one in found]


@pytest.mark.parametrize("theme", ["Light", "Dark"])
def test_axe_finds_no_violation_in_any_mode(theme: str, small: Page) -> None:
    small.get_by_role("button", name=theme).click()
    for mode in MODES:
        small.get_by_role("tab", name=mode).click()
        settled(small)
        assert violations(small) == [], mode


def test_axe_finds_no_violation_where_the_case_is_flat(show_flat: Show, tmp_path: Path) -> None:
    assert violations(show_flat(written(tmp_path, SCENE))) == []


def test_axe_would_find_one(small: Page) -> None:
    small.evaluate("document.querySelector('main').append(document.createElement('img'))")
    found = [rule for rule, _ in violations(small)]
    small.evaluate("document.querySelector('main img').remove()")
    assert found == ["image-alt"]


def validated(*files: Path) -> list[dict[str, Any]]:
    run = subprocess.run(
        ["node", "-e", VALIDATE, Path(__file__).with_name("html.json"), *files],
        cwd=VIEWER,
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(run.stdout)


def test_the_page_keeps_the_html_standard_as_written_and_as_it_then_stands(
    page: Page, made: Made, tmp_path: Path
) -> None:
    for mode in MODES:
        page.get_by_role("tab", name=mode).click()
    stands = tmp_path / "stands.html"
    stands.write_text(page.content(), encoding="utf-8")
    messages = validated(made("as_found"), stands)
    assert not messages, [(one["ruleId"], one["message"], one.get("selector")) for one in messages][:10]


def test_the_html_validator_would_find_an_error(made: Made, tmp_path: Path) -> None:
    broken = tmp_path / "broken.html"
    text = made("first_six").read_text(encoding="utf-8")
    broken.write_text(text.replace("<header", "<p><div></p><header", 1), encoding="utf-8")
    assert validated(broken)


@pytest.mark.parametrize("mode", MODES)
def test_all_that_can_be_touched_is_reached_by_the_keyboard_and_then_seen(mode: str, small: Page) -> None:
    small.get_by_role("tab", name=mode).click()
    small.evaluate("document.activeElement.blur()")
    wanted = set(small.evaluate(REACHABLE))
    reached, seen = set(), []
    for _ in range(len(wanted) + 5):
        small.keyboard.press("Tab")
        now = small.evaluate(
            "(() => { const one = document.activeElement, style = getComputedStyle(one);"
            " return [one.dataset.reach ?? null, style.outlineStyle !== 'none' || style.boxShadow !== 'none',"
            " one.outerHTML.slice(0, 100)]; })()"
        )
        if now[0] is not None:
            reached.add(int(now[0]))
            seen += [] if now[1] else [now[2]]
        if reached == wanted:
            break
    assert reached == wanted
    assert not seen, "these do not show that they are where the keyboard is"
