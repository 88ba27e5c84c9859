"""The page for everyone: the rules of axe-core and of the HTML standard, the keyboard alone, and on paper."""

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest
from page.browser import settled
from page.conftest import Made
from playwright.sync_api import Page

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


def violations(page: Page) -> list[Any]:
    """What axe-core finds: rule, and where."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] }).then((all) => all.violations)")
    return [(one["id"], [node["html"][:200] for node in one["nodes"]][:5]) for one in found]


@pytest.mark.parametrize("theme", ["Light", "Dark"])
def test_axe_finds_no_violation_in_any_mode(theme: str, page: Page) -> None:
    page.get_by_role("button", name=theme).click()
    for mode in MODES:
        page.get_by_role("tab", name=mode).click()
        settled(page)
        assert violations(page) == [], mode


def test_axe_would_find_one(page: Page) -> None:
    page.evaluate("document.querySelector('main').append(document.createElement('img'))")
    found = [rule for rule, _ in violations(page)]
    page.evaluate("document.querySelector('main img').remove()")
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
def test_all_that_can_be_touched_is_reached_by_the_keyboard_and_then_seen(mode: str, page: Page) -> None:
    page.get_by_role("tab", name=mode).click()
    page.evaluate("document.activeElement.blur()")
    wanted = set(page.evaluate(REACHABLE))
    reached, seen = set(), []
    for _ in range(len(wanted) + 5):
        page.keyboard.press("Tab")
        now = page.evaluate(
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
