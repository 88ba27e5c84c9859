"""Every part model, placed in a case as it is."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from builders import read, with_part

from routeviz.cabinet.motions import Hinge
from routeviz.cabinet.placing import place
from routeviz.scene.catalogue import models_of

INCH = 25.4
STACKS = [name for name in sorted(models_of("parts")) if name.startswith("stack_")]


@pytest.mark.parametrize("name", sorted(models_of("parts")))
def test_every_part_model_can_be_placed(tmp_path: Path, name: str):
    cabinet = place(read(tmp_path, with_part("thing", model=name)))
    assert cabinet.solids or cabinet.nipples


@pytest.mark.parametrize("name", sorted(models_of("parts")))
def test_a_model_s_nipples_stand_out_far_enough_for_the_tube_that_goes_over_them(tmp_path: Path, name: str):
    reading = read(tmp_path, with_part("thing", model=name))
    cabinet, part = place(reading), reading.scene.part["thing"]
    bodies = [part.size] if part.kind in ("box", "board") else []
    for nipple in cabinet.nipples.values():
        root = nipple.tip - nipple.on_nipple_mm * nipple.direction
        for size in bodies:
            beyond = np.maximum(-root, root - (size.wide_mm, size.deep_mm, size.high_mm))
            assert beyond.max() > 0


@pytest.mark.parametrize(
    ("name", "corner", "axis", "sign"),
    [
        ("hammer", (5, 15, 140), 1, 1),  # its top strikes to the back
        ("damper", (5, 10, 90), 1, -1),  # leaves the strings to the front
        ("backcheck", (5, 6, 0), 2, 1),  # its foot rises with the wippen
        ("backcheck", (5, 6, 60), 1, 1),  # and its top goes to the back, towards the hammer that it catches
        ("pedal", (25, 0, 9), 2, -1),  # its front goes down under the foot
        ("wippen", (5, 0, 17), 2, 1),  # its front rises with the tail of the key
    ],
)
def test_a_moving_model_goes_the_way_it_does_in_an_upright(tmp_path: Path, name, corner, axis, sign):
    """How an upright action goes: common practice; a point of a hinged part sets off along axis x arm."""
    movement = place(read(tmp_path, with_part("thing", model=name))).solids[0].movement
    assert isinstance(movement, Hinge)
    sets_off = np.cross(movement.axis, np.array(corner) - movement.point) * np.sign(movement.full_deg)
    assert sets_off[axis] * sign > 0


@pytest.mark.parametrize("name", STACKS)
def test_a_stack_s_nipples_lie_half_an_inch_apart_but_for_one_gap(tmp_path: Path, name: str):
    """Mechanical Music Digest 2004.12.18.03: about 1/2 in apart, 88 of them in 48 in with blanks."""
    nipples = place(read(tmp_path, with_part("stack", model=name))).nipples
    tips = [float(nipples[f"stack {number + 1}"].tip[0]) for number in range(len(nipples))]
    steps = [after - before for before, after in pairwise(tips)]
    assert sorted(round(step, 6) for step in steps)[:-1] == [INCH / 2] * (len(steps) - 1)
    assert len(nipples) == int(name.split("_")[1])
    assert tips[-1] - tips[0] < 48 * INCH
