"""Every tube that a scene asks for, by name and nipples, is the same to the separate checker."""

from pathlib import Path

import pytest
from verifier.scenes import read
from verifier.wiring import asked_for

from routeviz.scene.reading import read_scene

SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_the_separate_checker_reads_the_same_tubes(path):
    ours = [(wire.name, (wire.start.nipple, wire.end.nipple)) for wire in read_scene(path).wires]
    assert ours == [(one.name, one.ends) for one in asked_for(read(path), path.parent)]
    assert ours
