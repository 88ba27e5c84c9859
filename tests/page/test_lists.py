"""What a page says in words: tubes found and sorted, lengths in both units, plates; in light and in dark."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from page.browser import until
from page.inches import in_inches
from playwright.sync_api import Page

STATE, LAY = "window.routeviz.state", "window.routeviz.lay"
NONE = "\u2013"  # of a tube that has no such length
ROWS = "#panel-tubes tr[data-tube]"
SCENE = Path(__file__).parents[2] / "scenes/as_found.toml"


def tubes(page: Page) -> list[dict[str, Any]]:
    return page.evaluate(f"{LAY}.tubes")


def shown(page: Page) -> list[int]:
    """Which tubes the table shows, in its order."""
    return page.evaluate(f"[...document.querySelectorAll({ROWS!r})].map((row) => Number(row.dataset.tube))")


def test_tubes_are_found_by_hole_pneumatic_tag_and_passage(page: Page) -> None:
    page.get_by_role("tab", name="Tubes").click()
    every = tubes(page)
    field = page.get_by_label("Find by hole")
    field.fill("")
    assert sorted(shown(page)) == list(range(len(every)))
    one = next(tube for tube in every if tube["through"])
    for asked in (one["from"], one["to"], one["tag"]):
        field.fill(asked)
        found = shown(page)
        assert every.index(one) in found, asked
        assert len(found) < len(every) / 2, asked
    passage = one["through"][0]
    field.fill(passage)
    assert sorted(shown(page)) == [k for k, tube in enumerate(every) if passage in tube["through"]]
    field.fill("no such thing anywhere")
    assert shown(page) == []
    assert "No tube answers to that" in page.locator("#panel-tubes").inner_text()
    field.fill("")


def test_enter_opens_the_first_tube_that_answers_and_the_keyboard_goes_on_from_it(page: Page) -> None:
    page.get_by_role("tab", name="Tubes").click()
    field = page.get_by_label("Find by hole")
    field.fill(tubes(page)[2]["from"])
    first = shown(page)[0]
    field.press("Enter")
    chosen = page.evaluate(f"{STATE}.get().chosen")
    assert (chosen["kind"], chosen["index"]) == ("tube", first)
    opener = page.locator(f"{ROWS}[data-tube='{first}'] button").first
    assert opener.get_attribute("aria-expanded") == "true"
    assert opener.evaluate("(button) => button === document.activeElement")
    page.keyboard.press("Escape")
    assert page.evaluate(f"{STATE}.get().chosen") is None
    field.fill("")


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("Length", lambda tube: tube["length"]),
        ("Tightest bend", lambda tube: tube["bend"] and tube["bend"]["radius"]),
        ("Clearance", lambda tube: tube["clearance"] and tube["clearance"]["mm"]),
    ],
    ids=["length", "bend", "clearance"],
)
def test_tubes_are_sorted_by_a_touch_on_a_heading_and_the_other_way_by_the_next(
    column: str, value: Any, page: Page
) -> None:
    page.get_by_role("tab", name="Tubes").click()
    every, heading = tubes(page), page.get_by_role("columnheader", name=re.compile(column))
    for way, sign in (("ascending", 1), ("descending", -1)):
        heading.get_by_role("button").click()
        assert heading.get_attribute("aria-sort") == way
        values = [value(every[k]) for k in shown(page)]
        known = [one for one in values if one is not None]
        assert len(values) == len(every)
        assert known == sorted(known, key=lambda one, sign=sign: sign * one)


def test_a_tube_that_is_chosen_opens_with_all_that_is_known_of_it(page: Page) -> None:
    page.get_by_role("tab", name="Tubes").click()
    row, tube = page.locator(ROWS).nth(4), tubes(page)[shown(page)[4]]
    row.get_by_role("button").click()
    details = page.locator("#panel-tubes tr.opened")
    assert details.count() == 1
    for text in (tube["from"], tube["to"], tube["carries"], tube["tubing"], *tube["through"]):
        assert text in details.text_content()
    row.get_by_role("button").click()
    assert details.count() == 0


def test_lengths_are_shown_in_millimetres_or_in_sixteenths_of_an_inch(page: Page) -> None:
    page.get_by_role("tab", name="Tubes").click()
    lengths = {k: tube["length"] for k, tube in enumerate(tubes(page))}
    assert None in lengths.values()

    def cells() -> dict[int, str]:
        texts = page.locator(f"{ROWS} td.length").all_text_contents()
        return {k: text.replace("\u00a0", " ") for k, text in zip(shown(page), texts, strict=True)}

    in_mm = {k: NONE if mm is None else f"{mm:.1f}" for k, mm in lengths.items()}
    assert cells() == in_mm
    page.get_by_role("button", name="in", exact=True).click()
    assert cells() == {k: NONE if mm is None else in_inches(mm) for k, mm in lengths.items()}
    page.get_by_role("button", name="mm", exact=True).click()
    assert cells() == in_mm


def test_light_and_dark_are_switched_and_follow_what_the_system_wants(page: Page) -> None:
    ground = "getComputedStyle(document.body).backgroundColor"
    light = page.evaluate(ground)
    page.get_by_role("button", name="Dark").click()
    dark = page.evaluate(ground)
    lightness = [sum(map(int, re.findall(r"\d+", colour)[:3])) for colour in (dark, light)]
    assert lightness[0] < 200 < 500 < lightness[1]
    page.get_by_role("button", name="Light").click()
    assert page.evaluate(ground) == light
    for scheme, wanted in (("dark", dark), ("light", light)):
        page.emulate_media(color_scheme=scheme)
        until(page, f"{ground} === '{wanted}'")


def test_a_plate_numbers_every_tube_that_goes_through(page: Page) -> None:
    page.get_by_role("tab", name="Passages").click()
    every = tubes(page)
    passages = page.evaluate(f"{LAY}.passages")
    assert passages
    for passage, plate in zip(passages, page.locator("figure.plate svg").all(), strict=True):
        tags = set(plate.locator("text").all_text_contents())
        assert {every[k]["tag"] for k in passage["tubes"]} <= tags, passage["name"]


def test_the_parts_tell_which_nobody_measured_why_and_who_says_so(page: Page) -> None:
    scene = tomllib.loads(SCENE.read_text(encoding="utf-8"))
    page.get_by_role("tab", name="Parts").click()
    parts = page.locator("#panel-parts .part-list li")

    def row(part: str) -> Any:
        return parts.filter(has=page.locator(f"bdi:text-is({part!r})"))

    high, motor = scene["part"]["bottom board"]["size"]["high"], scene["part"]["drive motor"]["doubt"]
    assert "assumed" in row("bottom board").get_by_role("button").text_content()
    assert "inferred" in row("drive motor").get_by_role("button").text_content()
    for part, why in (("bottom board", high["why"]), ("drive motor", motor["why"])):
        said = row(part).locator("details.known", has=page.locator("summary", has_text=why))
        said.locator("summary").click()
        for name in scene["doubt"]["by"]:
            assert name in said.inner_text()
    assert "size high" in row("bottom board").inner_text()
    assert f"{motor['spread']}.0" in row("drive motor").inner_text()  # within so many mm
    assert row("right cheek").locator("details.known").count() == 0
    assert page.locator(".legend li", has_text="assumed: nobody measured it").count() == 1
    assert scene["doubt"]["with"] in page.locator("#panel-parts p.plain").inner_text()


def test_a_part_that_is_touched_is_told_with_how_it_is_known(page: Page) -> None:
    motor = page.evaluate(f"{LAY}.solids.findIndex((one) => one.name === 'drive motor')")
    page.evaluate(f"{STATE}.set({{ chosen: {{ kind: 'solid', index: {motor} }} }})")
    assert "drive motor, cylinder \u2013 inferred: taped to the cage" in page.locator("p.under").inner_text()
    assert "inferred" in page.locator("#announce").inner_text()


def test_the_printed_legend_tells_what_nobody_measured(page: Page) -> None:
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    legend = page.locator(".printed-legend li", has=page.locator("canvas.broken"))
    texts = [text.split(":")[0] for text in legend.all_text_contents()]
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert texts == ["inferred", "analogous", "assumed", "designed"]
