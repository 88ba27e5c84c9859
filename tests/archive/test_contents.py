"""What lies in an archive: all that is named is there, and what cannot be made is said."""

import html
import json
import re
import subprocess
from pathlib import Path

import pytest
from archive.deposits import FULL, HOSTILE, a_deposit, filed

from routeviz.archive import contents as making
from routeviz.archive.deposit import Earlier
from routeviz.archive.pictures import Pictures

VIEWER = Path(__file__).parents[2] / "routeviz/views/page"
RULES = Path(__file__).parents[1] / "page/html.json"
VALIDATE = """
const { HtmlValidate } = require("html-validate");
const { readFileSync } = require("fs");
const [config, file] = process.argv.slice(1);
new HtmlValidate(JSON.parse(readFileSync(config))).validateFile(file).then((report) =>
  console.log(JSON.stringify(report.results.flatMap(({ messages }) => messages))));
"""


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    return filed(a_deposit(tmp_path_factory.mktemp("scene"), **FULL))


def plain(content: bytes) -> str:
    """A text on one line, as it is wrapped somewhere."""
    return " ".join(content.decode().split())


def test_the_guide_names_every_file_that_is_there(files):
    guide = files["README.txt"].content.decode("ascii")
    for path in files:
        folder, _, name = path.rpartition("/")
        wanted = name.removesuffix(".csv") if folder == "tables" else name  # those without rows are named so
        if not name.endswith(("-metadata.json", "csvw.json")) or not folder:
            assert wanted in guide, path
    for name in ("bass-end.jpg", "page-1.txt"):
        assert name in guide


def test_the_guide_names_an_older_archive_with_the_sum_of_its_manifest(tmp_path):
    earlier = Earlier(identifier="TM 1", date="1998-02-01", shows="as found", manifest_sha512="ab" * 64)
    guide = plain(filed(a_deposit(tmp_path, earlier=earlier))["README.txt"].content)
    assert "It takes the place of an older one: TM 1, as found, bagged 1998-02-01." in guide
    assert f"manifest-sha512.txt begins with {'ab' * 8}; bag-info.txt has all of it." in guide


def test_where_no_picture_can_be_drawn_the_archive_is_made_and_says_so(tmp_path, monkeypatch):
    missing = "The machine could not draw pictures."
    monkeypatch.setattr(making, "pictures_of", lambda lay: Pictures(files={}, captions={}, missing=missing))
    files = filed(a_deposit(tmp_path))
    assert not any(path.startswith("pictures/") for path in files)
    assert missing in plain(files["README.txt"].content)


def test_every_file_of_the_evidence_is_in_the_lists_with_its_caption(files):
    caption = "The bass end from <above> & behind"
    for path in ("tables/evidence.csv", "tables/files.csv", "ro-crate-preview.html"):
        text = files[path].content.decode()
        assert "evidence/photos/bass-end.jpg" in text, path
        assert (html.escape(caption) if path.endswith(".html") else caption) in text, path


def test_the_preview_keeps_the_html_standard_and_runs_nothing(tmp_path):
    deposit = a_deposit(tmp_path, **{**FULL, "name": HOSTILE, "why": HOSTILE, "not_known": [HOSTILE]})
    content = filed(deposit)["ro-crate-preview.html"].content
    path = tmp_path / "ro-crate-preview.html"
    path.write_bytes(content)
    run = subprocess.run(
        ["node", "-e", VALIDATE, str(RULES), str(path)],
        cwd=VIEWER,
        capture_output=True,
        text=True,
        check=True,
    )
    assert json.loads(run.stdout) == []
    text = content.decode()
    assert "<script" not in text
    assert re.findall(r'(?:src|href)="([a-z]+:[^"]*)"', text) == []
    assert "default-src 'none'" in text
    assert text.count("<caption>") == text.count("<table>") == text.count("<h2>") > 5
