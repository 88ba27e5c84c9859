"""Every passage of every scene lies where the separate checker finds it."""

from pathlib import Path

import numpy as np
import pytest
from shapely import Polygon
from verifier.lays import case_of
from verifier.openings import openings

from routeviz.cabinet.placing import place
from routeviz.scene.reading import read_scene

SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))
ROUND = 0.01  # how far the package's polygon of a round opening may lie inside its circle


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_the_separate_checker_finds_the_same_passages(path):
    ours, theirs = place(read_scene(path)).passages, openings(case_of(path))
    assert ours.keys() == theirs.keys()
    for name, passage in ours.items():
        other = theirs[name]
        assert passage.thick_mm == pytest.approx(other.thick, abs=1e-9)
        assert passage.most == other.most
        # the way through may be given either way round
        assert abs(passage.axes[2] @ other.axes[2]) == pytest.approx(1, abs=1e-12)
        assert (passage.origin - other.origin) @ passage.axes[2] == pytest.approx(0, abs=1e-9)
        corners = other.origin + other.outline @ other.axes[:2]
        seen = Polygon((corners - passage.origin) @ passage.axes[:2].T)
        apart = Polygon(passage.outline).symmetric_difference(seen).area
        assert apart <= ROUND * seen.length + 1e-6, name
        assert np.isfinite(apart)
