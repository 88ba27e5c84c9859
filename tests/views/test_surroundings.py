"""What may stand between an eye and the place of a finding: sleeves and bare nipples too, not only runs."""

import numpy as np
import pytest
from builders import with_nipple
from lays import a_lay
from verdicts import a_tube_up

from routeviz.views.surroundings import between, surroundings


@pytest.mark.parametrize(("height", "hides"), [(-5.0, {"a"}), (100.0, {"a"}), (-15.0, set())])
def test_a_sleeve_hides_what_is_behind_it_as_its_tube_does(tmp_path, height, hides):
    # up from the tip at z = 0, and over its nipple 11 down from there
    cabinet, tubes = a_lay(tmp_path, a_tube_up("a"))
    around = surroundings(cabinet, tubes, None)
    found = between(np.array([[0.0, -200, height]]), np.array([0.0, 200, height]), around, ())[0]
    assert {name for name, h in zip((*around.names, *around.tubes), found, strict=True) if h} == hides


def test_a_nipple_without_a_tube_hides_what_is_behind_it(tmp_path):
    cabinet, tubes = a_lay(tmp_path, a_tube_up("a"), with_nipple("lone", (50, 0, 0)))
    around = surroundings(cabinet, tubes, None)
    found = between(np.array([[50.0, -200, -5]]), np.array([50.0, 200, -5]), around, ())[0]
    assert {name for name, h in zip((*around.names, *around.tubes), found, strict=True) if h} == {"lone 1"}
