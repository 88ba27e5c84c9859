"""The case in 3D: where the eye goes, what is pressed, cut, picked and measured, and when it is drawn anew.

Figures of the picture are reckoned here, from the points of the scene and the height that the picture shows.
"""

import math
from collections.abc import Iterator
from typing import Any

import pytest
from builders import a_scene, corners_of, with_box, with_nipple, with_tube, written
from page.browser import drawn, opened, settled, until
from page.conftest import Made, Show
from playwright.sync_api import Browser, Page

NEAR_MM = 1e-6
STAGE, STATE, LAY = "window.routeviz.stage", "window.routeviz.state", "window.routeviz.lay"
FRAMES = f"{STAGE}.stats().frames"


def camera(page: Page) -> dict[str, Any]:
    return page.evaluate(f"{STAGE}.camera()")


def picture(page: Page) -> bytes:
    """The case as it is drawn, once nothing moves any more."""
    settled(page)
    return page.locator("#case canvas").screenshot()


def slide(page: Page, name: str, value: float) -> None:
    """Move a slider as a hand does."""
    page.get_by_role("slider", name=name).fill(str(value))


def test_a_touch_on_a_finding_brings_the_eye_to_its_point(page: Page) -> None:
    findings = page.evaluate(f"{LAY}.findings")
    seen = [k for k, finding in enumerate(findings) if finding["eye"]]
    assert len(seen) > 10
    for k in (seen[0], seen[1], seen[len(seen) // 2], seen[-1]):
        page.locator("li.finding").nth(k).get_by_role("button").first.click()
        settled(page)
        now = camera(page)
        for what in ("eye", "target"):
            assert math.dist(now[what], findings[k][what]) <= NEAR_MM, (k, what)


def test_next_and_previous_go_through_the_findings_and_round(page: Page) -> None:
    many = page.evaluate(f"{LAY}.findings.length")
    page.get_by_role("button", name="Next").click()
    assert page.evaluate(f"{STATE}.get().chosen") == {"kind": "finding", "index": 0}
    page.get_by_role("button", name="Previous").click()
    assert page.evaluate(f"{STATE}.get().chosen") == {"kind": "finding", "index": many - 1}
    page.keyboard.press("n")
    assert page.evaluate(f"{STATE}.get().chosen.index") == 0
    page.keyboard.press("Escape")
    assert page.evaluate(f"{STATE}.get().chosen") is None


def test_what_is_pressed_is_seen_pressed_and_comes_back(page: Page) -> None:
    rest = picture(page)
    slide(page, "How far along its travel", 100)
    pressed = picture(page)
    assert pressed != rest
    one = page.evaluate(f"{LAY}.solids.findIndex((solid) => solid.movement)")
    page.get_by_label("What moves").select_option(str(one))
    assert picture(page) not in (rest, pressed)
    page.get_by_label("What moves").select_option("")
    slide(page, "How far along its travel", 0)
    assert picture(page) == rest


def test_the_case_is_cut_along_each_axis_and_is_whole_again(page: Page) -> None:
    whole = picture(page)
    pictures = []
    for axis in ("Left to right", "Front to back", "Up and down"):
        page.get_by_label("Cut along").select_option(label=axis)
        pictures.append(picture(page))
    side = page.get_by_role("group", name="Cut").get_by_role("button")
    side.click()
    pictures.append(picture(page))
    assert len({whole, *pictures}) == 5
    page.get_by_label("Cut along").select_option(label="Whole")
    assert picture(page) == whole


def test_a_part_is_faded_then_hidden_then_shown_again(page: Page) -> None:
    page.get_by_role("tab", name="Parts").click()
    whole = picture(page)
    part = page.locator("#panel-parts li").first.get_by_role("button")
    pictures = []
    for how in ("faded", "hidden"):
        part.click()
        assert how in part.inner_text()
        pictures.append(picture(page))
    assert len({whole, *pictures}) == 3
    part.click()
    assert picture(page) == whole


def test_nothing_is_drawn_where_nothing_changes(page: Page) -> None:
    page.get_by_role("tab", name="Tubes").click()
    settled(page)
    before = page.evaluate(FRAMES)
    page.get_by_label("Find by hole").fill("12")
    page.get_by_label("Find by hole").fill("")
    page.wait_for_timeout(300)
    assert page.evaluate(FRAMES) == before
    page.evaluate(f"{STAGE}.step(0.1, 0, 'orbit')")
    until(page, f"{FRAMES} > {before}")


def test_a_list_of_over_a_hundred_rows_scrolls_without_drawing_the_case_anew(show: Show) -> None:
    page = show("harbour_hall")
    drawn(page)
    page.get_by_role("tab", name="Tubes").click()
    rows = page.locator("#panel-tubes tr[data-tube]")
    assert rows.count() > 100
    settled(page)
    before = page.evaluate(FRAMES)
    rows.first.hover()
    top = rows.last.bounding_box()["y"]
    for _ in range(10):
        page.mouse.wheel(0, 400)
        page.wait_for_timeout(30)
    assert rows.last.bounding_box()["y"] < top - 1000
    assert page.evaluate(FRAMES) == before


# ── by hand: one tube across the picture, and a board beside it ──────────────────────────────────
ACROSS = a_scene(
    with_nipple("left", (0, 0, 100), faces="right"),
    with_nipple("right", (400, 0, 100), faces="left"),
    with_tube("left 1", "right 1", name="across", corners=corners_of((200, 0, 100))),
    with_box("board", (0, -20, 200), (400, 40, 120)),
)


FRONT = {"eye": [200, -600, 170], "target": [200, 0, 170], "up": [0, 0, 1], "height": 460, "parallel": True}


def pixel_mm(page: Page) -> float:
    return FRONT["height"] / page.locator("#case canvas").bounding_box()["height"]


def on_screen(page: Page, point: tuple[float, float, float]) -> tuple[float, float]:
    """Where a point of the case is on the screen, seen straight from the front without perspective."""
    box, target = page.locator("#case canvas").bounding_box(), FRONT["target"]
    x = box["x"] + box["width"] / 2 + (point[0] - target[0]) / pixel_mm(page)
    y = box["y"] + box["height"] / 2 - (point[2] - target[2]) / pixel_mm(page)
    return x, y


@pytest.fixture(scope="module")
def across(browser: Browser, made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    scene = written(tmp_path_factory.mktemp("across"), ACROSS)
    with opened(browser, made(scene).as_uri(), "landscape", reduced_motion="no-preference") as page:
        drawn(page)
        yield page


@pytest.fixture
def from_the_front(across: Page) -> Page:
    across.evaluate(f"{STATE}.set({{ chosen: null, measuring: false, ends: [] }})")
    across.evaluate(f"(view) => {STAGE}.flyTo(view, {{ instant: true }})", FRONT)
    settled(across)
    return across


def test_where_motion_is_welcome_the_eye_flies_and_ends_where_it_should(from_the_front: Page) -> None:
    page = from_the_front
    before, view = page.evaluate(FRAMES), page.evaluate(f"{LAY}.views.find((one) => one.name === 'top')")
    page.evaluate(f"(view) => void {STAGE}.flyTo(view)", view)
    settled(page)
    assert page.evaluate(FRAMES) > before + 3
    assert math.dist(camera(page)["eye"], view["eye"]) <= NEAR_MM


def test_a_tap_tells_what_is_there_and_a_tap_beside_it_nothing(from_the_front: Page) -> None:
    page = from_the_front
    page.touchscreen.tap(*on_screen(page, (130, 0, 100)))
    until(page, f"{STATE}.get().chosen !== null")
    assert page.evaluate(f"{STATE}.get().chosen") == {"kind": "tube", "index": 0}
    assert "across" in page.locator("#case").inner_text()
    page.touchscreen.tap(*on_screen(page, (130, 0, 150)))
    until(page, f"{STATE}.get().chosen === null")
    page.touchscreen.tap(*on_screen(page, (130, 0, 260)))
    until(page, f"{STATE}.get().chosen !== null")
    assert page.evaluate(f"{STATE}.get().chosen.kind") == "solid"


def test_from_one_tap_to_another_it_is_as_far_as_between_the_points_tapped(from_the_front: Page) -> None:
    page = from_the_front
    page.evaluate(f"{STATE}.set({{ measuring: true, ends: [] }})")
    for point in ((100, -20, 220), (340, -20, 300)):
        page.touchscreen.tap(*on_screen(page, point))
        page.wait_for_timeout(100)
    until(page, f"{STATE}.get().ends.length === 2")
    one, other = page.evaluate(f"{STATE}.get().ends")
    # 240 to the right and 80 up, on the board's front, to about a pixel at either end.
    assert [b - a for a, b in zip(one, other, strict=True)] == pytest.approx(
        [240, 0, 80], abs=2 * pixel_mm(page)
    )
    assert one[1] == pytest.approx(-20, abs=1e-3)
    apart = page.locator("output.measured").inner_text()
    assert apart.startswith(f"{math.dist(one, other):.1f}\u00a0mm apart")
