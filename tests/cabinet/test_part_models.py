"""Every part model, placed in a case as it is."""

from itertools import pairwise
from pathlib import Path

import pytest
from builders import read, with_part

from routeviz.cabinet.placing import place
from routeviz.scene.catalogue import models_of

INCH = 25.4
STACKS = [name for name in sorted(models_of("parts")) if name.startswith("stack_")]


@pytest.mark.parametrize("name", sorted(models_of("parts")))
def test_every_part_model_can_be_placed(tmp_path: Path, name: str):
    cabinet = place(read(tmp_path, with_part("thing", model=name)))
    assert cabinet.solids or cabinet.nipples


@pytest.mark.parametrize("name", STACKS)
def test_a_stack_s_nipples_lie_half_an_inch_apart_but_for_one_gap(tmp_path: Path, name: str):
    """Mechanical Music Digest 2004.12.18.03: about 1/2 in apart, 88 of them in 48 in with blanks."""
    nipples = place(read(tmp_path, with_part("stack", model=name))).nipples
    tips = [float(nipples[f"stack {number + 1}"].tip[0]) for number in range(len(nipples))]
    steps = [after - before for before, after in pairwise(tips)]
    assert sorted(round(step, 6) for step in steps)[:-1] == [INCH / 2] * (len(steps) - 1)
    assert len(nipples) == int(name.split("_")[1])
    assert tips[-1] - tips[0] < 48 * INCH
