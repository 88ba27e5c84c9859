"""Tubes go round where a part comes out, if that is hardly longer; held to arithmetic and the check."""

import numpy as np
import pytest
from builders import a_scene, place, with_box, with_closed_case, with_row, with_tube, written

from routeviz.laying import plan_scene
from routeviz.pipeline import placed
from routeviz.planning.leaving import FAR_MM, off_ways_out, ways_out
from routeviz.scene.reading import read_scene

NIPPLE = 4.4  # outside
DRAWER = ((30, 120, 220), (60, 30, 130))  # behind the hole named near and above it


def case(count, most, **drawer):
    """A shelf with two equal holes 200 apart; the nipples are nearer to one, a drawer stands behind that."""
    size = {"wide": 60, "deep": 40}
    holes = {
        "near": {"at": place(30, 60, 0), "size": size},
        "far": {"at": place(230, 60, 0), "size": size, "most": most},
    }
    first, last = 145 - 4 * (count - 1), 145 + 4 * (count - 1)
    return a_scene(
        *with_closed_case(holes),
        with_box("drawer", *DRAWER, **drawer),
        with_row("t", f"1..{count}", (first, 80, 370), (last, 80, 370), faces="down", outside=NIPPLE),
        with_row("u", f"1..{count}", (first, 80, 30), (last, 80, 30), faces="up", outside=NIPPLE),
        with_tube(f"t 1..{count}", f"u 1..{count}"),
    )


def laid(folder, text):
    """How many tubes go through each hole, and how many the check finds in the drawer's way."""
    laying = plan_scene(written(folder, text), fresh=True)
    assert [one.says for one in laying.lay.findings if one.severity == "fault"] == []
    through = [one.through[0].split()[-1] for one in laying.plan.tubes]
    return {name: through.count(name) for name in ("near", "far")}, len(laying.lay.measured.trapped)


def test_tubes_take_the_nearer_hole_past_a_drawer_that_stays(tmp_path):
    assert laid(tmp_path, case(4, 20)) == ({"near": 4, "far": 0}, 0)


def test_tubes_take_the_other_hole_where_the_drawer_comes_out_over_the_nearer_one(tmp_path):
    """85 aside and 170 up or down, twice, are 380; 115 aside are 410, and nothing of it lies in its way."""
    assert laid(tmp_path, case(4, 20, comes_out="front")) == ({"near": 0, "far": 4}, 0)


def test_tubes_go_where_the_drawer_comes_out_when_the_other_hole_is_full(tmp_path):
    through, trapped = laid(tmp_path, case(4, 2, comes_out="front"))
    assert through["far"] <= 2
    assert through["near"] == trapped == 4 - through["far"]


def test_a_way_out_is_the_part_and_all_that_lies_before_it(tmp_path):
    """It is 60 wide from 30, 130 high from 220, its back at 150: within, 5 beside, 5 above, 5 behind."""
    (cabinet,) = placed(read_scene(written(tmp_path, case(2, 20, comes_out="front"))))
    ways = ways_out([cabinet], (np.full(3, -200.0), np.full(3, 600.0)), 20.0)
    points = np.array([(60.0, 80, 285), (60, 80, 345), (95, 80, 285), (60, 80, 355), (60, 155, 285)])
    assert off_ways_out(ways, points, 20.0) == pytest.approx([-30, -5, 5, 5, 5], abs=1e-6)


def test_where_nothing_comes_out_nothing_is_in_its_way(tmp_path):
    (cabinet,) = placed(read_scene(written(tmp_path, case(2, 20))))
    ways = ways_out([cabinet], (np.full(3, -200.0), np.full(3, 600.0)), 20.0)
    assert off_ways_out(ways, np.zeros((1, 3)), 20.0).tolist() == [FAR_MM]
