"""The example cases archived whole: general readers take what is there, and it fits a parcel.

Readers come from elsewhere: bagit-python, the RO-Crate validator, lxml, pillow, the standard library.
"""

import io
import json
import re
from datetime import UTC, datetime
from pathlib import Path

import bagit
import pytest
from archive.crated import issues
from benched import lay_of
from lxml import etree
from PIL import Image

from routeviz.archive.bag_info import info_about
from routeviz.archive.contents import contents
from routeviz.archive.deposit import deposited
from routeviz.archive.evidence import exhibits_of
from routeviz.archive.storing import store
from routeviz.records.settings import Settings
from routeviz.scene.reading import read_scene

SCENES = Path(__file__).parents[2] / "scenes"
MOMENT = datetime(2026, 11, 3, 12, tzinfo=UTC)
MOST_BYTES = 20_000_000
NAME = re.compile(r"(README\.txt|[a-z0-9._-]{1,64})")
SHOWS = {"as_found": "as found", "thistledown": "proposed"}


@pytest.fixture(scope="module", params=SHOWS)
def archive(request, tmp_path_factory):
    lay = lay_of(request.param)
    deposit = deposited(lay, MOMENT, exhibits_of(lay.reading))
    folder = tmp_path_factory.mktemp("archives") / request.param
    files = {one.path: one.content for one in contents(deposit, Settings())}
    store(folder, files, deposit.exhibits, info_about(deposit))
    return folder


def files_of(archive, ending):
    return sorted((archive / "data").rglob(f"*{ending}"))


def test_bagit_takes_it_and_it_says_what_it_shows(archive):
    bag = bagit.Bag(str(archive))
    bag.validate()
    assert bag.info["State-Shown"] == SHOWS[archive.name]
    octets, count = bag.info["Payload-Oxum"].split(".")
    there = [path for path in (archive / "data").rglob("*") if path.is_file()]
    assert (int(octets), int(count)) == (sum(path.stat().st_size for path in there), len(there))


def test_it_is_small_and_every_name_in_it_keeps_to_the_rule(archive):
    paths = [path.relative_to(archive) for path in archive.rglob("*")]
    assert all(NAME.fullmatch(part) for path in paths for part in path.parts)
    assert sum(path.stat().st_size for path in archive.rglob("*") if path.is_file()) <= MOST_BYTES


def test_the_crate_validator_finds_nothing_that_is_required(archive, tmp_path):
    assert list(issues(archive / "data", tmp_path / "cache", "REQUIRED")) == []


def test_every_document_can_be_read_by_a_general_reader(archive):
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False)
    for ending in (".xml", ".x3d", ".svg"):
        assert files_of(archive, ending)
        for path in files_of(archive, ending):
            etree.parse(path, parser)
    for path in files_of(archive, ".json"):
        json.loads(path.read_text(encoding="utf-8"))
    for path in files_of(archive, ".png"):
        if "evidence" not in path.parts:
            with Image.open(io.BytesIO(path.read_bytes())) as picture:
                assert min(picture.size) > 500


def test_the_scene_its_plan_and_its_evidence_are_untouched(archive):
    name = archive.name
    inside = archive / "data"
    assert (inside / f"source/{name}.toml").read_bytes() == (SCENES / f"{name}.toml").read_bytes()
    plan = SCENES / f"{name}.plan.json"
    assert (inside / f"source/{name}.plan.json").is_file() == plan.is_file()
    if plan.is_file():
        assert (inside / f"source/{name}.plan.json").read_bytes() == plan.read_bytes()
    record = read_scene(SCENES / f"{name}.toml").scene.record
    assert record is not None
    kept = {path.read_bytes() for path in (inside / "evidence").rglob("*") if path.is_file()}
    assert kept == {(SCENES / one.file).read_bytes() for one in record.evidence}
    models = [path.name for path in (inside / "source/models").rglob("*.toml")]
    text = (SCENES / f"{name}.toml").read_text(encoding="utf-8")
    assert {f"{model}.toml" for model in re.findall(r'^model\s*=\s*"([^"]+)"', text, re.MULTILINE)} <= set(
        models
    )
