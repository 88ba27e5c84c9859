"""The 3D models of an archive, as they lie in it: held to their makers' validator and to each other."""

import io
from pathlib import Path

import numpy as np
import pytest
import trimesh
from archive.archived import an_archive
from khronos import is_clean, the_validator_finds
from x3d_reading import things_of, tree_of
from x3d_standard import made


@pytest.fixture(scope="module")
def models(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return an_archive(tmp_path_factory.mktemp("archive")) / "data" / "models"


def test_the_khronos_validator_has_nothing_to_say_of_the_glb(models: Path, tmp_path: Path) -> None:
    (issues,) = the_validator_finds(tmp_path, (models / "case.glb").read_bytes())
    assert is_clean(issues), issues


def test_the_x3d_is_made_of_nodes_of_the_standard(models: Path) -> None:
    made(tree_of((models / "case.x3d").read_bytes()))


def test_both_show_the_same_parts_in_the_same_places(models: Path) -> None:
    scene = trimesh.load(io.BytesIO((models / "case.glb").read_bytes()), file_type="glb")
    parts = [
        thing for thing in things_of(tree_of((models / "case.x3d").read_bytes())).values() if thing.meshes
    ]
    assert parts
    for thing in parts:
        if thing.kind == "part":
            matrix, mesh = scene.graph[thing.known["name"]]
            corners = trimesh.transform_points(scene.geometry[mesh].vertices, matrix)
            for least in (np.min, np.max):
                assert least(thing.corners, axis=0) == pytest.approx(least(corners, axis=0), abs=1e-5)
