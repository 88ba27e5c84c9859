"""The centrelines that the viewer draws are those that were checked: node runs its script on the data."""

import json
import subprocess
from pathlib import Path

import numpy as np
import pytest

from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import chords
from routeviz.pipeline import check_scene
from routeviz.views.page import data_text
from routeviz.views.page_data import page_data

ROOT = Path(__file__).parents[2]
READ = """
import { readFileSync } from "node:fs";
import { readLay } from "%s";
const lay = readLay(readFileSync(0, "utf8"));
console.log(JSON.stringify(lay.tubes.map((tube) => tube.points && [...tube.points])));
"""
FINE_MM = 1e-4  # sagitta of the chords that stand for the checked centreline here
GRAIN_MM = 2e-3  # corners and radii are written in micrometres, read into single precision


def as_drawn(data: str) -> list[Floats | None]:
    """The points that the viewer's script makes for each tube."""
    script = READ % (ROOT / "routeviz/views/page/src/data.js").as_uri()
    node = ["node", "--input-type=module", "--eval", script]
    run = subprocess.run(node, input=data.encode(), capture_output=True, check=True)
    return [None if one is None else np.reshape(one, (-1, 3)) for one in json.loads(run.stdout)]


def farthest(points: Floats, line: Floats) -> float:
    """How far the farthest of some points is from a chain of straight pieces."""
    starts, ways = line[:-1], np.diff(line, axis=0)
    squares = (ways * ways).sum(axis=1)
    worst = 0.0
    for point in points:
        share = np.clip(((point - starts) * ways).sum(axis=1) / squares, 0.0, 1.0)
        worst = max(worst, float(np.linalg.norm(starts + share[:, None] * ways - point, axis=1).min()))
    return worst


@pytest.mark.parametrize("name", ["first_six", "as_found", "thistledown"])
def test_the_viewer_draws_each_tube_along_its_checked_centreline(name: str) -> None:
    lay = check_scene(ROOT / "scenes" / f"{name}.toml")
    drawn = as_drawn(data_text(page_data(lay)))
    assert len(drawn) == len(lay.tubes)
    for tube, points in zip(lay.tubes, drawn, strict=True):
        assert (points is None) == (tube.curve is None)
        if points is None or tube.curve is None:
            continue
        checked, _ = chords(tube.curve, FINE_MM)
        assert farthest(points, checked) <= GRAIN_MM
        assert farthest(checked, points) <= 0.1 + GRAIN_MM
        assert np.linalg.norm(points[[0, -1]] - checked[[0, -1]], axis=1).max() <= GRAIN_MM
