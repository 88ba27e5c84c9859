"""The page at the bench, without WebGL and on paper, as a browser shows and prints it."""

import json
import re
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from page.browser import drawn, settled, until
from page.conftest import Show
from playwright.sync_api import Locator, Page

A4 = {"format": "A4", "prefer_css_page_size": True}
TABLETS = ("portrait", "landscape")
PICTURE = "document.querySelector('.flat canvas').toDataURL()"

# How many points of the next tube are not on the picture, by the pinhole's rule: across and up from the line
# of sight over the depth, against half the picture.
OUTSIDE = """() => {
  const { lay, state, stage } = window.routeviz;
  const { eye, target, up } = stage.camera();
  const minus = (a, b) => a.map((v, k) => v - b[k]);
  const dot = (a, b) => a.reduce((sum, v, k) => sum + v * b[k], 0);
  const unit = (a) => a.map((v) => v / Math.hypot(...a));
  const cross = (a, b) => [a[1]*b[2]-a[2]*b[1], a[2]*b[0]-a[0]*b[2], a[0]*b[1]-a[1]*b[0]];
  const ahead = unit(minus(target, eye)), right = unit(cross(ahead, up)), above = cross(right, ahead);
  const canvas = document.querySelector('.stage canvas'), wide = canvas.clientWidth / canvas.clientHeight;
  const slope = Math.tan(12 * Math.PI / 180), points = lay.tubes[state.get().now].points;
  let out = 0;
  for (let k = 0; k < points.length; k += 3) {
    const from = minus([points[k], points[k + 1], points[k + 2]], eye), depth = dot(from, ahead) * slope;
    if (Math.abs(dot(from, above)) > depth || Math.abs(dot(from, right)) > depth * wide) out += 1;
  }
  return out;
}"""


def at_bench(page: Page) -> Page:
    page.get_by_role("tab", name="Bench").click()
    return page


def begun(page: Page) -> Page:
    at_bench(page)
    main(page).click()
    return page


def main(page: Page) -> Locator:
    """The large button, whatever it says."""
    return page.locator(".bench-main")


def press(page: Page, name: str) -> None:
    page.locator(".bench").get_by_role("button", name=name).click()


def tags(page: Page) -> list[str]:
    """All tags in the order of work, as the data has them."""
    found = page.evaluate(
        "window.routeviz.lay.work.map((entry) => window.routeviz.lay.tubes[entry.tube].tag)"
    )
    return [str(tag) for tag in found]


def tag(page: Page) -> str:
    return page.locator(".bench-title h2 bdi").inner_text()


def count(page: Page) -> str:
    return page.locator(".bench-count").inner_text()


def laid(page: Page) -> list[int]:
    return sorted(page.evaluate("[...window.routeviz.state.get().laid]"))


def text_of(pdf: bytes) -> list[str]:
    """What stands on each page."""
    document = pypdfium2.PdfDocument(pdf)
    return [document[k].get_textpage().get_text_bounded() for k in range(len(document))]


def words(text: str) -> str:
    return " ".join(text.split())


def longest_run(row: NDArray[np.bool_]) -> int:
    """How many dark dots stand one beside the other at most."""
    ends = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    return int(np.max(ends[1::2] - ends[::2], initial=0))


def test_tubes_come_one_by_one_in_their_order_and_none_twice(show_flat: Show) -> None:
    page = begun(show_flat("first_six", "portrait"))
    expected, seen = tags(page), []
    while main(page).is_visible() and len(seen) <= len(expected):
        seen.append(tag(page))
        assert page.evaluate("window.routeviz.state.get().now") is not None
        main(page).click()
    assert seen == expected
    assert page.evaluate("window.routeviz.state.get().now") is None
    assert len(laid(page)) == len(expected)


def test_before_the_first_tube_stands_what_to_heed_in_this_lay_and_always(show_flat: Show) -> None:
    page = at_bench(show_flat("as_found", "portrait"))
    sheet = page.locator(".bench-sheet").inner_text()
    said = page.evaluate("[...window.routeviz.lay.cautions, ...window.routeviz.lay.safety]")
    assert len(said) > 2
    for words_of in said:
        assert words_of[1:] in sheet
    assert page.locator(".bench-title").count() == 0


def test_ticks_survive_a_reload_and_a_wrong_one_is_taken_back(show_flat: Show) -> None:
    page = begun(show_flat("first_six", "portrait"))
    main(page).click()
    main(page).click()
    third = tag(page)
    page.reload()
    begun(page)
    assert tag(page) == third
    assert count(page) == f"2 of {len(tags(page))} tubes laid"
    main(page).click()
    press(page, "Undo")
    assert tag(page) == third
    assert len(laid(page)) == 2
    page.reload()
    begun(page)
    assert len(laid(page)) == 2


def test_a_double_tap_ticks_one_tube(show_flat: Show) -> None:
    page = begun(show_flat("first_six", "portrait"))
    main(page).dblclick()
    assert len(laid(page)) == 1


def test_ticks_go_to_a_file_and_come_back_from_it(show_flat: Show, tmp_path: Path) -> None:
    page = begun(show_flat("first_six", "portrait"))
    main(page).click()
    page.locator(".bench").get_by_role("button", name="All tubes").click()
    with page.expect_download() as download:
        press(page, "Save to a file")
    saved = tmp_path / "ticks.json"
    download.value.save_as(saved)
    assert json.loads(saved.read_text(encoding="utf-8"))["title"] == page.evaluate(
        "window.routeviz.lay.title"
    )
    press(page, "Take all off")
    assert laid(page) == []
    page.locator(".bench input[type=file]").set_input_files(saved)
    page.get_by_text("1 tick read from the file saved").wait_for()
    assert len(laid(page)) == 1


@pytest.mark.parametrize(
    "content", [b"", b"\x89PNG\r\n\x1a\n\x00", b'{"format": 1}', b"\xff\xfe\x00 no text"]
)
def test_a_file_that_holds_no_ticks_changes_nothing_and_is_named_as_such(
    content: bytes, show_flat: Show, tmp_path: Path
) -> None:
    page = begun(show_flat("first_six", "portrait"))
    main(page).click()
    wrong = tmp_path / "holiday.json"
    wrong.write_bytes(content)
    page.locator(".bench").get_by_role("button", name="All tubes").click()
    page.locator(".bench input[type=file]").set_input_files(wrong)
    page.get_by_text("This is not a file of ticks saved from this page. Nothing was changed.").wait_for()
    assert len(laid(page)) == 1


def test_where_nothing_can_be_kept_the_page_says_so_once_and_works(show_flat: Show) -> None:
    page = show_flat("first_six", "portrait")
    blocked = "Object.defineProperty(window, 'localStorage', {get() { throw new Error('SecurityError') }})"
    page.add_init_script(blocked)
    page.reload()
    says = page.get_by_text("This browser keeps no ticks")
    at_bench(page)
    assert says.count() == 1
    page.get_by_role("button", name="Understood").click()
    main(page).click()
    main(page).click()
    assert says.count() == 0
    assert len(laid(page)) == 1


def test_keys_alone_do_the_work_and_a_screen_reader_hears_the_tube(show_flat: Show) -> None:
    page = begun(show_flat("first_six"))
    order = tags(page)
    page.locator(".bench-sheet").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Space")
    assert tag(page) == order[2]
    assert len(laid(page)) == 2
    page.keyboard.press("ArrowLeft")
    assert tag(page) == order[1]
    page.keyboard.press("ArrowRight")
    heard = page.locator(".bench [role=status]").inner_text()
    assert f"Tube {order[2]}, from " in heard
    assert len(laid(page)) == 2


def test_escape_closes_the_list_of_all_tubes_and_a_group_of_controls(show_flat: Show) -> None:
    page = begun(show_flat("first_six", "portrait"))
    press(page, "All tubes")
    page.get_by_label("Tube, by its tag").press("Escape")
    assert tag(page) == tags(page)[0]
    units = page.locator(".tools").get_by_role("button", name="Units")
    units.click()
    inches = page.get_by_role("button", name="in", exact=True)
    inches.press("Escape")
    assert not inches.is_visible()
    assert units.evaluate("(button) => button === document.activeElement")


def test_what_was_chosen_before_the_work_is_not_told_beside_the_next_tube(show_flat: Show) -> None:
    page = show_flat("first_six", "portrait")
    page.evaluate("window.routeviz.state.set({ chosen: { kind: 'tube', index: 4 } })")
    begun(page)
    assert page.evaluate("window.routeviz.state.get().chosen") is None


@pytest.mark.parametrize("size", TABLETS)
def test_what_must_be_held_aside_is_read_without_scrolling(size: str, show_flat: Show) -> None:
    page = begun(show_flat("harbour_hall", size))
    work = page.evaluate("window.routeviz.lay.work")
    held = next(
        k for k, entry in enumerate(work) if any("hold it aside" in note for note in entry["look_out"])
    )
    for _ in range(held):
        main(page).click()
    note = page.locator(".bench-look-out li", has_text="hold it aside").bounding_box()
    bar = page.locator(".bench-bar").bounding_box()
    assert note is not None
    assert bar is not None
    assert note["y"] + note["height"] <= bar["y"]


def test_a_tube_is_found_by_its_tag(show_flat: Show) -> None:
    page = begun(show_flat("thistledown", "portrait"))
    press(page, "All tubes")
    page.get_by_label("Tube, by its tag").fill(tags(page)[-1])
    page.keyboard.press("Enter")
    assert tag(page) == tags(page)[-1]


@pytest.mark.parametrize("size", TABLETS)
def test_what_is_touched_at_the_bench_is_large_and_nothing_sticks_out(size: str, show_flat: Show) -> None:
    page = begun(show_flat("thistledown", size))
    main(page).click()
    for sheet in ("All tubes", "Close"):
        boxes = page.evaluate("""[...document.querySelectorAll('.bench button, .bench input[type=search]')]
            .filter((one) => one.checkVisibility()).map((one) => one.getBoundingClientRect())
            .map(({ width, height }) => [width, height])""")
        assert boxes
        assert all(wide >= 64 and high >= 64 for wide, high in boxes)
        assert page.evaluate("document.documentElement.scrollHeight <= innerHeight")
        assert page.evaluate(
            "((one) => one.scrollWidth <= one.clientWidth)(document.querySelector('.bench'))"
        )
        press(page, sheet)


@pytest.mark.parametrize("size", TABLETS)
def test_the_next_tube_is_seen_whole_and_still_when_the_tablet_is_turned(size: str, show: Show) -> None:
    page = show("thistledown", size)
    drawn(page)
    begun(page)
    for _ in range(3):
        main(page).click()
    settled(page)
    assert page.evaluate(OUTSIDE) == 0
    wide, high = page.viewport_size["width"], page.viewport_size["height"]
    page.set_viewport_size({"width": high, "height": wide})
    page.wait_for_timeout(100)
    settled(page)
    assert page.evaluate(OUTSIDE) == 0


def test_without_webgl_the_case_is_drawn_flat_with_the_reason(show_flat: Show) -> None:
    page = show_flat("as_found", "landscape")
    assert page.locator(".flat-why").inner_text().startswith("There is no 3D here")
    pictures = set()
    for side in ("Overview", "From the front", "From above", "From the player's right"):
        page.locator(".flat").get_by_role("button", name=side).click()
        until(page, f"document.querySelector('.flat canvas').ariaLabel.includes({json.dumps(side)})")
        pictures.add(page.evaluate(PICTURE))
    assert len(pictures) == 4
    page.evaluate("window.routeviz.state.set({chosen: {kind: 'finding', index: 0}})")
    until(page, f"!{json.dumps(sorted(pictures))}.includes({PICTURE})")


def test_a_finger_on_a_flat_picture_chooses_the_tube_there_and_moves_the_picture(show_flat: Show) -> None:
    page = show_flat("first_six")
    page.locator(".flat").get_by_role("button", name="From the front").click()
    until(page, "document.querySelector('.flat canvas').ariaLabel.includes('From the front')")
    # The view from the front is to scale and holds all: a place on it is a place in the case by two sums.
    x, y = page.evaluate("""(() => {
      const { lay } = window.routeviz, box = document.querySelector('.flat canvas').getBoundingClientRect();
      const view = lay.views.find((one) => one.name === 'front'), tube = lay.tubes[2].points;
      const spans = [0, 2].map((axis) => lay.bounds[1][axis] - lay.bounds[0][axis]);
      const middle = [0, 2].map((axis) => (lay.bounds[1][axis] + lay.bounds[0][axis]) / 2);
      const mm = 1.12 * Math.max(spans[1] / box.height, spans[0] / box.width);
      const [right, up] = [(tube[0] - middle[0]) / mm, (tube[2] - middle[1]) / mm];
      return [box.x + box.width / 2 + right, box.y + box.height / 2 - up];
    })()""")
    page.mouse.click(x, y)
    chosen = page.evaluate("window.routeviz.state.get().chosen")
    assert chosen is not None
    assert chosen["kind"] == "tube"
    before = page.evaluate(PICTURE)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 50, y + 20)
    page.mouse.up()
    until(page, f"{PICTURE} !== {json.dumps(before)}")
    assert page.evaluate("window.routeviz.state.get().chosen") == chosen


def test_a_flat_picture_is_drawn_anew_only_when_something_changes(show_flat: Show) -> None:
    page = show_flat("first_six")
    page.wait_for_timeout(300)
    page.evaluate("""(() => {
      const ink = document.querySelector('.flat canvas').getContext('2d'), fill = ink.fillRect.bind(ink);
      window.times = 0;
      ink.fillRect = (...box) => { window.times += 1; fill(...box); };
    })()""")
    page.wait_for_timeout(300)
    assert page.evaluate("window.times") == 0
    page.evaluate("window.routeviz.state.set({chosen: {kind: 'tube', index: 0}})")
    until(page, "window.times > 0")


def test_paper_has_the_whole_lay_and_none_of_the_controls(show_flat: Show) -> None:
    page = show_flat("as_found")
    pages = text_of(page.pdf(**A4))
    text = words(" ".join(pages))
    lay = "window.routeviz.lay"
    for what in ("Findings", "Tubes", "Passages", "Order of work"):
        assert what in text
    for says in page.evaluate(f"{lay}.findings.map((finding) => finding.says)"):
        assert words(says)[1:] in text
    for name in page.evaluate(f"{lay}.passages.map((passage) => passage.name)"):
        assert name in text
    for control in ("Previous", "Units", "Undo", "All tubes"):
        assert not re.search(rf"\b{control}\b", text)
    heads = [k for k, one in enumerate(pages) if "Tightest bend" in words(one)]
    assert len(heads) >= 2, "the table's heads come again on its next page"


def test_a_plate_is_printed_at_its_true_size(show_flat: Show) -> None:
    pdf = show_flat("thistledown").pdf(**A4)
    document = pypdfium2.PdfDocument(pdf)
    plates = [k for k, text in enumerate(text_of(pdf)) if "This line is 100 mm long" in words(text)]
    assert plates
    dots_per_mm = 10
    for k in plates:
        picture = document[k].render(scale=dots_per_mm * 25.4 / 72, grayscale=True).to_numpy()
        dark = picture.reshape(picture.shape[:2]) < 160
        longest = [longest_run(row) / dots_per_mm for row in dark]
        assert any(abs(length - 100) < 0.4 for length in longest), max(longest)


def test_at_the_bench_paper_has_the_list_of_work_alone(show_flat: Show) -> None:
    page = begun(show_flat("first_six", "portrait"))
    main(page).click()
    text = words(" ".join(text_of(page.pdf(**A4))))
    assert "Order of work" in text
    assert "Findings" not in text
    for end in page.evaluate("window.routeviz.lay.tubes.flatMap((tube) => [tube.from, tube.to])"):
        assert end in text
    assert text.count("✓") == 1
    page.reload()
    whole = words(" ".join(text_of(page.pdf(**A4))))
    assert "Findings" in whole
    assert whole.count("✓") == 1, "what was laid before is ticked on paper too"


@pytest.mark.parametrize("scene", ["thistledown", "harbour_hall"])
def test_paper_and_the_list_of_all_tubes_keep_the_order_of_work_where_runs_interrupt_each_other(
    scene: str, show_flat: Show
) -> None:
    page = begun(show_flat(scene, "portrait"))
    press(page, "All tubes")
    assert page.locator(".bench-order li strong").all_inner_texts() == tags(page)
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.locator(".printed-work tbody td b").all_text_contents() == tags(page)


def test_after_printing_the_screen_is_as_it_was(show_flat: Show) -> None:
    page = show_flat("first_six")
    before = page.evaluate("document.body.childElementCount")
    page.pdf(**A4)
    until(page, f"document.body.childElementCount === {before}")
