"""A page that is served while its scene changes: each saved change is seen, and what is wrong is said."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from builders import a_scene, with_box, written
from page.browser import drawn, opened, settled, until
from playwright.sync_api import Browser, Page
from verdicts import a_tube_up

ASIDE = with_box("rail", (33.78, -20, 40), (10, 40, 20))
SCENE = a_scene(a_tube_up(long=100), ASIDE)
LEVER = with_box("lever", (80, -50, 40), (10, 60, 10), motion={"turns_about": "right", "travel": 5})
PRESS_LEVER = """(({ lay, state }) =>
  state.set({ press: { share: 0.5, only: lay.index.solids.get("lever") } }))(window.routeviz)"""
PRESSED = """(({ lay, state }) => {
  const { share, only } = state.get().press;
  return [share, only === null ? null : lay.solids[only].name];
})(window.routeviz)"""


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("living"), SCENE)


@pytest.fixture(scope="module")
def served(scene: Path, browser: Browser) -> Iterator[Page]:
    """The page as the command serves it to this machine."""
    command = [sys.executable, "-m", "routeviz", "page", str(scene), "--watch"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env=os.environ | {"NO_COLOR": "1"}
    ) as running:
        try:
            lines = iter(running.stdout.readline, "")
            address = next(found[0] for line in lines if (found := re.search(r"http://\S+", line)))
            with opened(browser, address, reduced_motion="reduce") as page:
                drawn(page)
                yield page
        finally:
            running.send_signal(signal.SIGINT)
            running.wait(10)


def test_a_saved_change_is_seen_and_the_eye_stays_where_it_is(served: Page, scene: Path) -> None:
    served.evaluate("window.routeviz.stage.step(0.3, 0.1, 'orbit')")
    settled(served)
    camera = served.evaluate("window.routeviz.stage.camera()")
    scene.write_text(SCENE.replace("A small case", "Another case"), encoding="utf-8")
    until(served, "document.querySelector('h1').textContent === 'Another case'")
    assert served.title() == "Another case"
    assert served.evaluate("window.routeviz.stage.camera()") == camera
    drawn(served)


def test_a_broken_scene_shows_its_messages_over_the_last_good_view(served: Page, scene: Path) -> None:
    scene.write_text(SCENE.replace('kind = "box"', 'kind = "bax"'), encoding="utf-8")
    alert = served.get_by_role("alert")
    alert.wait_for()
    assert "scene.toml" in alert.inner_text()
    assert "remedy" in alert.inner_text()
    assert served.locator("h1").inner_text() in ("A small case", "Another case")
    scene.write_text(SCENE, encoding="utf-8")
    alert.wait_for(state="hidden")


def test_messages_can_be_closed_and_the_next_are_shown_again(served: Page, scene: Path) -> None:
    alert = served.get_by_role("alert")
    for kind in ("bax", "bux"):
        scene.write_text(SCENE.replace('kind = "box"', f'kind = "{kind}"'), encoding="utf-8")
        alert.get_by_text(kind).wait_for()
        alert.get_by_role("button", name="Close").click()
        alert.wait_for(state="hidden")
    scene.write_text(SCENE, encoding="utf-8")


def test_ticks_of_the_bench_stay_when_the_scene_is_saved_anew(served: Page, scene: Path) -> None:
    served.get_by_role("tab", name="Bench").click()
    served.get_by_role("button", name="Begin").click()
    served.get_by_role("button", name="Done, next").click()
    scene.write_text(SCENE.replace("A small case", "A third case"), encoding="utf-8")
    until(served, "document.querySelector('h1').textContent === 'A third case'")
    assert served.evaluate("[...window.routeviz.state.get().laid]") == [0]
    assert served.locator(".bench-count").inner_text() == "1 of 1 tube laid"


def test_a_part_pressed_alone_and_the_tube_at_the_bench_are_the_same_when_others_come_before_them(
    served: Page, scene: Path
) -> None:
    save(served, scene, a_scene(a_tube_up(long=100), LEVER, title="With a lever"))
    served.get_by_role("tab", name="Bench").click()
    served.get_by_role("button", name="Back").click()
    served.evaluate(PRESS_LEVER)
    others = [a_tube_up(name, (x, 0, 0), long=100) for name, x in (("b", -60), ("c", -30))]
    save(served, scene, a_scene(ASIDE, *others, a_tube_up(long=100), LEVER, title="With more"))
    settled(served)
    assert served.evaluate(PRESSED) == [0.5, "lever"]
    assert served.evaluate("(({ lay, state }) => lay.tubes[state.get().now].name)(window.routeviz)") == "a"
    save(served, scene, a_scene(a_tube_up(long=100), title="Without"))
    assert served.evaluate(PRESSED) == [0, None]
    assert served.evaluate("(({ lay, state }) => lay.tubes[state.get().now].name)(window.routeviz)") == "a"


def save(served: Page, scene: Path, text: str) -> None:
    """Save a scene with another title, and wait until that is seen."""
    scene.write_text(text, encoding="utf-8")
    title = re.search(r'^title = "(.*)"$', text, re.MULTILINE)[1]
    until(served, f"document.querySelector('h1').textContent === {title!r}")
