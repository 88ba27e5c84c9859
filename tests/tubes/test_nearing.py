import numpy as np
import pytest
from builders import (
    a_table,
    corners_of,
    extent,
    place,
    with_box,
    with_keep_clear,
    with_nipple,
    with_part,
    with_tube,
)
from lays import RADIUS, a_lay

from routeviz.tubes.measures import measure
from routeviz.tubes.nearing import laid, reach_mm


def upright(name, x, y=0.0, z=(0.0, 300.0), **more):
    """A straight tube from the nipple 'NAME low 1' up to 'NAME high 1', which nothing carries."""
    return "\n".join(
        [
            with_nipple(f"{name} low", (x, y, z[0]), faces="up", outside=more.pop("outside", 3.97)),
            with_nipple(f"{name} high", (x, y, z[1]), faces="down"),
            with_tube(f"{name} low 1", f"{name} high 1", name=name, corners=[], **more),
        ]
    )


def chest(tip=0.0, **more):
    """A box whose top is at z = 0, with a nipple upwards from the middle of its top, so much above it."""
    row = {"holes": "1", "first": place(50, 50, 100 + tip)}
    size = extent(100, 100, 100)
    return with_part(
        "chest", kind="box", at=place(-50, -50, -100), size=size, faces="up", outside=3.97, rows=[row], **more
    )


def the_one(found):
    (one,) = found
    return one


def test_only_tubes_with_a_route_are_laid(tmp_path):
    cabinet, tubes = a_lay(
        tmp_path, upright("a", 0), with_nipple("x", (90, 0, 0)), with_tube("x 1", "missing"), upright("b", 40)
    )
    drawn = laid(tubes)
    assert drawn.indices.tolist() == [0, 2]
    assert drawn.places == {0: 0, 2: 1}
    assert drawn.lengths.tolist() == [300, 300]
    assert drawn.radii == pytest.approx([RADIUS, RADIUS])
    assert [bend is None for bend in measure(cabinet, tubes).bends] == [False, True, False]


def test_the_reach_is_beyond_every_limit_and_the_doubt(tmp_path):
    limits = a_table("clearance", fixed=2, moving=3, tubes=9, survey=1.5)
    assert reach_mm(a_lay(tmp_path, limits, upright("a", 0))[0]) == 9 + 1.5 + 5
    own = with_box("post", (50, 0, 0), (9, 9, 9), clearance=20)
    assert reach_mm(a_lay(tmp_path, limits, own, upright("a", 0))[0]) == 20 + 1.5 + 5


def test_a_solid_beside_a_tube_is_told_with_place_and_points(tmp_path):
    post = with_box("post", (10, -50, 100), (20, 100, 40))
    one = the_one(measure(*a_lay(tmp_path, upright("a", 0), post)).solids)
    assert (one.tube, one.other, one.sleeve) == (0, 0, False)
    assert one.low_mm <= 10 - RADIUS <= one.high_mm + 1e-9
    assert 100 - 1e-6 <= one.along_mm <= 140 + 1e-6
    assert one.point == pytest.approx([0, 0, one.along_mm])
    assert one.other_point[0] == pytest.approx(10)


def test_the_start_s_sleeve_is_told_below_zero_and_the_end_s_beyond_the_length(tmp_path):
    # Between z = -9 and -6, beside the start's sleeve of 11; and from 304 to 307, beside the end's.
    low, high = with_box("low", (6, -50, -9), (20, 100, 3)), with_box("high", (6, -50, 304), (20, 100, 3))
    found = measure(*a_lay(tmp_path, upright("a", 0), low, high)).solids
    assert [one.sleeve for one in found] == [True, True]
    assert -9 <= found[0].along_mm <= -6
    assert 304 <= found[1].along_mm <= 307


def test_the_wall_may_lie_at_its_carrier_but_not_in_it(tmp_path):
    head = with_nipple("head", (0, 0, 300), faces="down")
    tube = with_tube("chest 1", "head 1", corners=[])
    assert measure(*a_lay(tmp_path, chest(tip=0), head, tube)).buried == ()
    one = the_one(measure(*a_lay(tmp_path, chest(tip=-0.5), head, tube)).buried)
    assert (one.tube, one.solid, one.length_mm) == (0, 0, 0.0)
    assert 0 <= one.along_mm <= 0.5


def test_a_tied_tube_may_lie_on_its_rail_but_not_in_it(tmp_path):
    for gap, enters in ((0.0, False), (-0.1, True)):
        rail = with_box("rail", (RADIUS + gap, -50, 146), (20, 100, 8))
        measured = measure(*a_lay(tmp_path, upright("a", 0, ties=[{"along": 150, "to": "rail"}]), rail))
        assert bool(measured.buried) == enters
        # What is measured begins 5 + 5.56 from the tie: 139.44 along, 6.56 before the rail's edge at 146.
        assert the_one(measured.solids).low_mm == pytest.approx(6.56, abs=0.02)


def test_a_centreline_inside_a_solid_is_told_with_its_length(tmp_path):
    block = with_box("block", (-50, -50, 100), (100, 100, 40))
    one = the_one(measure(*a_lay(tmp_path, upright("a", 0), block)).buried)
    assert one.length_mm == pytest.approx(40, abs=0.05)


def test_two_tubes_are_told_once_the_lower_first(tmp_path):
    one = the_one(measure(*a_lay(tmp_path, upright("b", 10), upright("a", 0))).tubes)
    assert (one.tube, one.other) == (0, 1)
    assert one.low_mm <= 10 - 2 * RADIUS <= one.high_mm + 1e-9
    assert one.point[0] == pytest.approx(10)
    assert one.other_point[0] == pytest.approx(0)


@pytest.mark.parametrize("order", [("a", "b"), ("b", "a")])
def test_a_tube_beside_another_s_sleeve_is_a_pair_of_tubes_whichever_comes_first(tmp_path, order):
    # The sleeve of b reaches from 289 to 300 beside a, which ends 300 high; over 8: its radius is
    # sqrt(5.56^2 - 3.97^2 + 64) / 2 = 4.4484.
    pieces = {"a": upright("a", 0), "b": upright("b", 9, z=(300, 600), outside=8)}
    one = the_one(measure(*a_lay(tmp_path, *(pieces[name] for name in order))).tubes)
    assert (one.tube, one.other, one.sleeve) == (0, 1, True)
    between = 9 - RADIUS - 4.4484
    assert one.low_mm - 1e-4 <= between <= one.high_mm + 1e-4
    own = {"a": 0.0, "b": 9.0}
    assert one.point[0] == pytest.approx(own[order[0]])
    assert one.other_point[0] == pytest.approx(own[order[1]])
    assert (289 <= one.along_mm <= 300) if order[0] == "a" else (-11 <= one.along_mm <= 0)


def test_two_sleeves_side_by_side_are_nearer_than_their_tubes(tmp_path):
    found = measure(*a_lay(tmp_path, upright("a", 0, outside=8), upright("b", 9.5, outside=8))).tubes
    one = the_one(found)
    assert one.sleeve
    assert one.low_mm - 1e-4 <= 9.5 - 2 * 4.4484 <= one.high_mm + 1e-4
    assert -11 <= one.along_mm <= 0


def test_sleeves_are_held_against_spaces_to_be_kept_clear_too(tmp_path):
    space = with_keep_clear("service", (4, -50, -9), (20, 100, 3), why="a lid opens here")
    one = the_one(measure(*a_lay(tmp_path, upright("a", 0), space)).keep_clear)
    assert one.sleeve
    assert -9 <= one.along_mm <= -6


def test_the_tightest_bend_and_how_square_a_tube_leaves(tmp_path):
    points = [(0, 0, 0), (0, 0, 100), (100, 0, 100), (100, 0, 200)]
    cabinet, tubes = a_lay(
        tmp_path,
        with_nipple("low", points[0], faces="up"),
        with_nipple("high", points[-1], faces={"right": 1, "up": -1}),
        with_tube("low 1", "high 1", corners=corners_of(*points[1:-1], radius=30)),
    )
    measured = measure(cabinet, tubes)
    # Two bends of 30 alike: the first is told, at 70 + half a quarter turn; length 300 - 2 (60 - 15 pi).
    assert measured.bends[0].radius_mm == pytest.approx(30)
    assert measured.bends[0].along_mm == pytest.approx(70 + 7.5 * np.pi)
    assert measured.lengths_mm[0] == pytest.approx(300 - 2 * (60 - 15 * np.pi))
    assert [round(one.off_deg, 6) for one in measured.leaving] == [0, 45]


def test_nothing_laid_is_nothing_measured(tmp_path):
    measured = measure(*a_lay(tmp_path, with_nipple("x", (0, 0, 0)), with_tube("x 1", "missing")))
    assert measured.solids == measured.tubes == measured.buried == measured.spans == measured.crossings == ()
    assert measured.lengths_mm.tolist() == [0.0]
