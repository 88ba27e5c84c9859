import math

import pytest
from builders import a_table, corners_of, place, with_nipple, with_tube
from lays import RADIUS, a_lay

from routeviz.tubes.nearing import laid
from routeviz.tubes.passing import crossings_of


def an_opening(name="gap", up=0, thick=20, wide=40, **more):
    """A free-standing passage upwards, about the z axis, from ``up`` on; square unless said otherwise."""
    size = {"wide": wide, "deep": wide}
    return a_table(
        f"passage.{name}", at=place(-wide / 2, -wide / 2, up), size=size, along="up", thick=thick, **more
    )


def crossings(folder, passage, points, faces=("up", "down"), through=("gap",), radius=None, passages=()):
    pieces = (
        with_nipple("low", points[0], faces=faces[0]),
        with_nipple("high", points[-1], faces=faces[1]),
        with_tube("low 1", "high 1", corners=corners_of(*points[1:-1], radius=radius), through=list(through)),
    )
    cabinet, tubes = a_lay(folder, passage, *passages, *pieces)
    return crossings_of(cabinet, tubes, laid(tubes))


def the_one(found):
    (one,) = found
    return one


def holds(one, margin):
    """Whether the margin lies within the interval, which is 0.02 wide."""
    assert one.margin_high_mm - one.margin_low_mm == pytest.approx(0.02)
    return one.margin_low_mm <= margin <= one.margin_high_mm


def test_a_straight_tube_goes_through_in_the_middle_of_the_thickness(tmp_path):
    one = the_one(crossings(tmp_path, an_opening(), [(5, 3, -100), (5, 3, 130)]))
    assert (one.net, one.named) == (1, True)
    assert one.along_mm == pytest.approx(110)  # from z = -100 to the middle of 0 to 20
    assert one.point == pytest.approx([5, 3, 10])
    assert abs(one.spot) == pytest.approx([5, 3])
    assert holds(one, 20 - 5 - RADIUS)  # the side at 20 is the nearest


def test_downwards_is_through_as_well(tmp_path):
    one = the_one(crossings(tmp_path, an_opening(), [(5, 3, 130), (5, 3, -100)], ("down", "up")))
    assert one.net == 1
    assert one.along_mm == pytest.approx(120)


def test_a_slanting_tube_counts_to_where_the_last_of_its_section_leaves(tmp_path):
    # At 45 degrees through the middle of a thickness of 20: its centreline is in the thickness for 10 either
    # way, and the section reaches on by the radius times sin 45; as far as it has gone up, it has gone right.
    one = the_one(crossings(tmp_path, an_opening(), [(-100, 0, -90), (100, 0, 110)], ("up", "down")))
    assert holds(one, 20 - (10 + RADIUS * math.sqrt(0.5)) - RADIUS)


def test_a_bend_counts_where_it_bulges_most(tmp_path):
    # A quarter turn of 100 about (100, 0) beginning at the lower face: at the upper face, 20 higher,
    # x = 100 - sqrt(100^2 - 20^2) = 2.0204; and a little more, for a slanting section reaches ahead.
    points = [(0, 0, -100), (0, 0, 100), (200, 0, 100)]
    one = the_one(crossings(tmp_path, an_opening(), points, ("up", "left"), radius=100))
    at_face = 20 - 2.0204 - RADIUS
    ahead = RADIUS * 0.2
    assert at_face - ahead * 0.25 <= one.margin_low_mm <= at_face - ahead * 0.2 + 0.02


def test_a_passage_without_thickness_is_gone_through_at_its_place(tmp_path):
    one = the_one(crossings(tmp_path, an_opening(thick=0), [(5, 3, -100), (5, 3, 130)]))
    assert one.along_mm == pytest.approx(100)
    assert holds(one, 20 - 5 - RADIUS)


def test_where_the_wall_crosses_the_rim_the_margin_is_below_zero(tmp_path):
    one = the_one(crossings(tmp_path, an_opening(), [(19, 0, -100), (19, 0, 130)]))
    assert one.net == 1
    assert holds(one, 1 - RADIUS)


def test_a_tube_that_leaves_through_the_side_is_outside_by_as_much(tmp_path):
    # In at x = 15, then right to 30 within a thickness of 100: the farthest lies 10 beyond the side at 20.
    points = [(15, 0, -60), (15, 0, 70), (30, 0, 75), (30, 0, 200)]
    one = the_one(crossings(tmp_path, an_opening(thick=100), points, radius=2))
    assert one.net == 1
    assert holds(one, -10 - RADIUS)


def test_past_the_outline_is_not_through(tmp_path):
    one = the_one(crossings(tmp_path, an_opening(), [(30, 0, -100), (30, 0, 130)]))
    assert (one.net, one.named) == (0, True)
    assert one.point == pytest.approx([30, 0, 10], abs=1)  # where it comes nearest
    assert crossings(tmp_path, an_opening(), [(30, 0, -100), (30, 0, 130)], through=()) == ()


def test_there_and_back_is_not_through(tmp_path):
    points = [(-10, 0, -100), (-10, 0, 100), (10, 0, 100), (10, 0, -100)]
    assert the_one(crossings(tmp_path, an_opening(), points, ("up", "up"), radius=9)).net == 0
    assert crossings(tmp_path, an_opening(), points, ("up", "up"), radius=9, through=()) == ()


def test_back_through_from_outside_counts_against_it(tmp_path):
    # Up outside, down inside, up inside: once down and once up.
    points = [(40, 0, -60), (40, 0, 90), (-8, 0, 90), (-8, 0, -60), (8, 0, -60), (8, 0, 90)]
    assert the_one(crossings(tmp_path, an_opening(), points, radius=7)).net == 0


def test_unnamed_crossings_are_told_by_tube_then_by_passage(tmp_path):
    second = an_opening("next", up=100)
    found = crossings(tmp_path, an_opening(), [(5, 3, -100), (5, 3, 230)], through=(), passages=(second,))
    assert [(one.passage, one.named, one.net) for one in found] == [("gap", False, 1), ("next", False, 1)]


def test_a_thick_and_a_thin_tube_have_their_own_margins(tmp_path):
    from builders import with_tubing

    cabinet, tubes = a_lay(
        tmp_path,
        with_tubing("note"),
        with_tubing("hose", outside=12, bore=8),
        an_opening(),
        with_nipple("a", (10, 0, -100), faces="up"),
        with_nipple("b", (10, 0, 130), faces="down"),
        with_nipple("c", (-10, 0, -100), faces="up"),
        with_nipple("d", (-10, 0, 130), faces="down"),
        with_tube("a 1", "b 1", "note", corners=[], through=["gap"]),
        with_tube("c 1", "d 1", "hose", corners=[], through=["gap"]),
    )
    thin, thick = crossings_of(cabinet, tubes, laid(tubes))
    assert holds(thin, 10 - RADIUS)
    assert holds(thick, 10 - 6)
