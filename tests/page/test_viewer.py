"""The page's viewer: its own tests, and that what is committed is what its source gives."""

import json
import re
import subprocess
from pathlib import Path

import pytest

from routeviz.views.page import STYLES

ROOT = Path(__file__).parents[2]
VIEWER = ROOT / "routeviz/views/page"
TESTS = sorted(Path(__file__).parent.glob("*.test.js"))


def test_the_viewers_own_tests_pass() -> None:
    assert TESTS
    run = subprocess.run(["node", "--test", *TESTS], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
    passed = re.search(r"^(?:#|ℹ) pass (\d+)$", run.stdout, re.MULTILINE)
    assert passed
    assert int(passed[1]) >= len(TESTS)


def test_the_committed_viewer_is_what_its_source_gives(tmp_path: Path) -> None:
    fresh = tmp_path / "viewer.js"
    subprocess.run(
        ["npm", "--prefix", VIEWER, "run", "--silent", "build", "--", f"--outfile={fresh}"],
        capture_output=True,
        check=True,
    )
    committed = (VIEWER / "viewer.js").read_bytes()
    assert fresh.read_bytes() == committed, "npm --prefix routeviz/views/page run build, and commit viewer.js"


def test_the_viewer_asks_for_nothing_and_cannot_end_its_element() -> None:
    text = (VIEWER / "viewer.js").read_text(encoding="utf-8")
    assert not re.search(r"</script|<!--", text, re.IGNORECASE)
    names_of_kinds = {
        "http://www.w3.org/1999/xhtml",
        "http://www.w3.org/2000/svg",
    }  # of elements; nobody goes there
    assert set(re.findall(r"https?://[^\s\"'`)]*", text)) <= names_of_kinds
    assert not re.search(r"\b(fetch|eval|sendBeacon|importScripts|XMLHttpRequest|WebSocket|Function)\(", text)
    assert "innerHTML" not in text


def test_the_licence_of_what_is_bundled_stays_with_it() -> None:
    licence = (VIEWER / "three.LICENSE.txt").read_text(encoding="utf-8")
    assert licence == (VIEWER / "node_modules/three/LICENSE").read_text(encoding="utf-8")
    assert "SPDX-License-Identifier: MIT" in (VIEWER / "viewer.js").read_text(encoding="utf-8")


def test_what_the_viewer_is_built_with_is_fixed_to_the_version_and_found_wherever_packages_are() -> None:
    lock = json.loads((VIEWER / "package-lock.json").read_text(encoding="utf-8"))
    entries = {name: entry for name, entry in lock["packages"].items() if name}
    assert entries
    assert not [name for name, entry in entries.items() if "resolved" in entry or not entry.get("integrity")]
    package = json.loads((VIEWER / "package.json").read_text(encoding="utf-8"))
    assert "dependencies" not in package  # users need none
    assert all(
        re.fullmatch(r"\d+\.\d+\.\d+(-[\w.]+)?", version) for version in package["devDependencies"].values()
    )


@pytest.mark.parametrize(
    "source", [*sorted((VIEWER / "src").glob("*.js")), *TESTS], ids=lambda path: path.name
)
def test_a_module_of_the_viewer_is_short_and_says_what_it_is_for(source: Path) -> None:
    lines = source.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith(("/**", "// "))
    assert len(lines) < 400
    assert max(map(len, lines)) <= 120


@pytest.mark.parametrize("style", sorted(VIEWER.glob("*.css")), ids=lambda path: path.name)
def test_a_style_sheet_is_short_and_is_one_of_the_page(style: Path) -> None:
    assert len(style.read_text(encoding="utf-8").splitlines()) < 400
    assert style.name in STYLES
