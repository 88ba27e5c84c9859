"""Pages in a browser that draws by software: how large, how soon there, how quick, how soon seen anew.

    PYTHONPATH=tests python -m benchmarks.pages

A line a page, of the scenes that come with routeviz and of invented cabinets; then from saving a scene to
seeing it. Times are by the clock, the least of several, as what else runs on the machine only adds to them.
"""

import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.cabinets import a_cabinet
from benchmarks.tables import lines
from page.browser import SIZES, drawn, launched, opened, settled, until
from playwright.sync_api import Browser, Page, sync_playwright

from routeviz.pipeline import check_scene
from routeviz.views.page import data_text, page_bytes
from routeviz.views.page_data import page_data

SCENES = Path(__file__).parents[2] / "scenes"
NAMES = ("first_six", "as_found", "thistledown", "harbour_hall")
CABINETS = (112, 240)
TIMES = 5
HEADS = ("page", "tubes", "kB", "made ms", "first frame ms", "turned ms", "triangles", "calls")
WIDE = {"page": 14, "triangles": 9}
# From the start of the navigation to the picture after the first 3D one: then that one has been shown.
FIRST = """(() => {
  const look = () => window.routeviz?.stage?.stats().frames > 0
    ? requestAnimationFrame(() => (window.firstFrame = performance.now())) : requestAnimationFrame(look);
  look();
})()"""
# A point of each picture is read back, so that it must be finished before the next begins.
TURN = """async () => {
  const gl = document.querySelector("#case canvas").getContext("webgl2"), point = new Uint8Array(4);
  const { stage } = window.routeviz, begun = performance.now(), before = stage.stats().frames;
  for (let k = 0; k < 20; k += 1) {
    stage.step(0.01, 0, "orbit");
    await new Promise(requestAnimationFrame);
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, point);
  }
  return (performance.now() - begun) / (stage.stats().frames - before);
}"""


def rows(browser: Browser, folder: Path) -> Iterator[tuple[str, ...]]:
    """A row a page: scenes first, then cabinets of the sizes with the lay that they were made around."""
    for name in NAMES:
        yield row(browser, name, SCENES / f"{name}.toml", folder)
    for tubes in CABINETS:
        scene = folder / f"{tubes}.toml"
        scene.write_text(a_cabinet(0, tubes).laid(), encoding="utf-8")
        yield row(browser, f"cabinet {tubes}", scene, folder)


def row(browser: Browser, name: str, scene: Path, folder: Path) -> tuple[str, ...]:
    """What the page of a scene measures."""
    lay = check_scene(scene)
    begun = time.process_time()
    content = page_bytes(lay.cabinet.title, data_text(page_data(lay)))
    made = time.process_time() - begun
    file = folder / f"{name}.html"
    file.write_bytes(content)
    firsts, turns, stats = [], [], {}
    for _ in range(TIMES):
        with browser.new_context(**SIZES["desktop"], reduced_motion="reduce") as context:
            page = context.new_page()
            page.add_init_script(FIRST)
            page.goto(file.as_uri())
            until(page, "window.firstFrame > 0")
            firsts.append(page.evaluate("window.firstFrame"))
            settled(page)
            turns.append(page.evaluate(TURN))
            settled(page)
            stats = page.evaluate("window.routeviz.stage.stats()")
    return (
        name,
        str(len(lay.tubes)),
        f"{len(content) / 1000:.0f}",
        f"{1000 * made:.0f}",
        f"{min(firsts):.0f}",
        f"{min(turns):.0f}",
        str(stats["triangles"]),
        str(stats["calls"]),
    )


def saved_to_seen(browser: Browser, folder: Path) -> list[float]:
    """Seconds from saving thistledown with another title to that title on the page."""
    for file in SCENES.glob("thistledown.*"):
        shutil.copy(file, folder)
    scene = folder / "thistledown.toml"
    text = scene.read_text(encoding="utf-8")
    (title,) = re.findall(r'^title\s*=\s*"(.*)"$', text, re.MULTILINE)
    command = [sys.executable, "-m", "routeviz", "page", str(scene), "--watch"]
    plain = os.environ | {"NO_COLOR": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=plain) as running:
        assert running.stdout is not None
        try:
            found = (re.search(r"http://\S+", line) for line in running.stdout)
            address = next(one[0] for one in found if one)
            with opened(browser, address, reduced_motion="reduce") as page:
                drawn(page)
                return [
                    _seen(page, scene, text.replace(title, f"Saved {k}"), f"Saved {k}") for k in range(TIMES)
                ]
        finally:
            running.send_signal(signal.SIGINT)


def _seen(page: Page, scene: Path, text: str, title: str) -> float:
    scene.write_text(text, encoding="utf-8")
    begun = time.perf_counter()
    until(page, f"document.querySelector('h1').textContent === {title!r}")
    return time.perf_counter() - begun


def main() -> None:
    """Print the table, then the times from saving to seeing."""
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = launched(playwright)
        for line in lines(HEADS, rows(browser, Path(folder)), WIDE):
            sys.stdout.write(line)
            sys.stdout.flush()
        times = saved_to_seen(browser, Path(folder))
        browser.close()
    sys.stdout.write(
        f"\nthistledown, saved to seen: least {min(times):.2f} s, median {statistics.median(times):.2f} s\n"
    )


if __name__ == "__main__":
    main()
