"""touch on both sides of its limit: a tube straight up at x = 0, wood beside it. Arithmetic by hand."""

import pytest
from builders import extent, place, with_board, with_box, with_nipple, with_part, with_tube, with_tubing
from verdicts import RADIUS, a_tube, a_tube_up, findings, limits, severity, the_one


def wood(gap, **more):
    """A box whose left face is as far from the tube's wall as said."""
    return with_box("wood", (RADIUS + gap, -50, 50), (20, 100, 200), **more)


@pytest.mark.parametrize(
    ("gap", "expected"), [(1.9, "fault"), (1.94, "fault"), (1.96, None), (2.1, None), (0.0, "fault")]
)
def test_wood_nearer_than_the_limit_is_a_fault(tmp_path, gap, expected):
    found = findings(tmp_path, "touch", a_tube_up(), wood(gap))
    assert severity(found) == expected
    if found:
        assert found[0].other == "wood"
        assert found[0].low == pytest.approx(gap, abs=0.05)
        assert found[0].low - 1e-9 <= gap <= found[0].high + 1e-9
        assert found[0].limit == 2.0


@pytest.mark.parametrize(
    ("gap", "expected"), [(0.85, "fault"), (1.05, "caution"), (1.9, "caution"), (2.1, None)]
)
def test_what_the_tape_may_have_got_wrong_is_a_caution(tmp_path, gap, expected):
    # survey 1: a fault only if gap + 1 is still too little
    assert severity(findings(tmp_path, "touch", a_tube_up(), wood(gap), top=limits(survey=1))) == expected


@pytest.mark.parametrize(("gap", "expected"), [(3.9, "fault"), (4.1, None)])
def test_a_part_may_ask_for_more(tmp_path, gap, expected):
    assert severity(findings(tmp_path, "touch", a_tube_up(), wood(gap, clearance=4))) == expected


@pytest.mark.parametrize(("outside", "expected"), [(6.0, "fault"), (5.6, None)])
def test_the_sleeve_over_a_nipple_must_keep_off_too(tmp_path, outside, expected):
    # Stretched over a nipple n the outside is sqrt(5.56^2 - 3.97^2 + n^2) = sqrt(15.1527 + n^2): 7.160 over
    # 6.0, 6.818 over 5.6; radii 3.580 and 3.409. Wood beside the sleeve only, 5.5 from the nipple's line:
    # 1.920 and 2.091 free.
    beside = with_box("wood", (5.5, -50, -11), (20, 100, 10))
    found = findings(tmp_path, "touch", a_tube_up(outside=outside), beside)
    assert severity(found) == expected
    if found:
        assert found[0].low == pytest.approx(5.5 - (15.1527 + 6.0**2) ** 0.5 / 2, abs=0.05)
        assert "on a low 1" in found[0].says


@pytest.mark.parametrize(("half", "expected"), [(8.46, None), (8.66, "fault"), (13.0, "fault")])
def test_a_tie_lets_the_tube_lie_on_its_own_part_for_its_width(tmp_path, half, expected):
    # A tie is 10 wide; with one outside diameter more on both sides 5 + 5.56 = 10.56 either way of 150 are
    # excused. What begins there is 10.56 - half from the part's edge: 2.1 and 1.9, and it lies on one of 13.
    part = with_box("rail", (RADIUS, -50, 150 - half), (20, 100, 2 * half))
    tied = a_tube_up(ties=[{"along": 150, "to": "rail"}])
    assert severity(findings(tmp_path, "touch", tied, part)) == expected
    assert severity(findings(tmp_path, "touch", a_tube_up(), part)) == "fault"


def test_a_tie_to_one_part_excuses_no_other(tmp_path):
    rail = with_box("rail", (RADIUS, -50, 142), (20, 100, 16))
    post = with_box("post", (-RADIUS - 20, -50, 142), (20, 100, 16))
    found = findings(tmp_path, "touch", a_tube_up(ties=[{"along": 150, "to": "rail"}]), rail, post)
    assert the_one(found).other == "post"


# ── what carries the nipple ─────────────────────────────────────────────────────────────────────────────
def chest(tip):
    """A chest with its top at z = 0, and a nipple upwards whose tip is as high as said."""
    row = {"holes": "1", "first": place(50, 50, 100 + tip)}
    return with_part(
        "chest",
        kind="box",
        at=place(-50, -50, -100),
        size=extent(100, 100, 100),
        faces="up",
        outside=4.5,
        rows=[row],
    )


def up_and_down(gap, tip=5.0):
    """From the chest's nipple up, over its right side, and down beside it: as far from its face as said."""
    x = 50 + RADIUS + gap
    return "\n".join(
        [
            with_nipple("foot", (x, 0, -200), faces="up", outside=4.5),
            with_tube("chest 1", "foot 1", name="a", corners=[place(0, 0, 100), place(x, 0, 100)]),
            chest(tip),
        ]
    )


@pytest.mark.parametrize(("gap", "expected"), [(1.9, "fault"), (2.1, None)])
def test_the_part_that_carries_a_nipple_is_excused_only_near_it(tmp_path, gap, expected):
    assert severity(findings(tmp_path, "touch", up_and_down(gap))) == expected


def test_a_tube_that_enters_what_carries_its_nipple_is_a_fault(tmp_path):
    found = findings(tmp_path, "touch", up_and_down(20, tip=-4.0))
    assert the_one(found).severity == "fault"
    assert "enters" in found[0].says
    assert findings(tmp_path, "touch", up_and_down(20, tip=1.0)) == []


@pytest.mark.parametrize(
    ("depth", "expected"), [(0.04, None), (0.06, "caution"), (0.95, "caution"), (1.15, "fault")]
)
def test_a_tied_tube_may_lie_on_its_part_and_in_it_only_by_the_tape_s_doubt(tmp_path, depth, expected):
    # survey 1: the wall 0.95 in the rail may be one that lies on it
    rail = with_box("rail", (RADIUS - depth, -50, 145), (20, 100, 10))
    tied = a_tube_up(ties=[{"along": 150, "to": "rail"}])
    found = findings(tmp_path, "touch", tied, rail, top=limits(survey=1))
    assert severity(found) == expected
    if found:
        assert found[0].low == pytest.approx(-depth, abs=0.05)
        assert ("survey" in found[0].says) == (expected == "caution")


def test_a_tied_tube_that_may_only_seem_to_enter_is_still_held_to_its_limit_elsewhere(tmp_path):
    # under the tie it lies 0.5 in the rail; beyond, from 200 on, the rail is as near
    rail = with_box("rail", (RADIUS - 0.5, -50, 145), (20, 100, 150))
    tied = a_tube_up(ties=[{"along": 150, "to": "rail"}])
    found = findings(tmp_path, "touch", tied, rail, top=limits(survey=1))
    assert [f.severity for f in found] == ["fault", "caution"]


def test_a_wire_that_may_only_seem_to_run_inside_wood_is_a_caution(tmp_path):
    # 1 across, its middle line 0.3 in the wood; a tape off by 3 may have put it there, by 2 not: 2 are asked
    thin = with_tubing("note", outside=1.0, bore=0.4)
    wood_ = with_box("wood", (-0.3, -50, 50), (20, 100, 200))
    for survey, expected in ((3, "caution"), (2, "fault")):
        found = findings(tmp_path, "touch", a_tube_up(), wood_, thin, top=limits(survey=survey))
        assert severity(found) == expected


def test_what_runs_inside_wood_is_told_once_with_its_length(tmp_path):
    shelf = with_board("shelf", (-100, -100, 100), (200, 200, 40))
    found = findings(tmp_path, "touch", a_tube_up(), shelf)
    assert the_one(found).severity == "fault"
    assert found[0].low == pytest.approx(40, abs=0.05)  # straight through 40 of wood
    assert "40.0 mm" in found[0].says


def test_the_clearance_of_a_bend_counts_its_arc_not_its_corner(tmp_path):
    # Over the corner (0, 0) of a box: legs 30 off both faces would meet at (-30, 30); an arc of 60 about
    # (30, -30) passes the corner at 60 - 30 sqrt 2 = 17.574.
    asks = 17.574 - RADIUS
    for limit, expected in ((asks + 0.1, "fault"), (asks - 0.1, None)):
        box = with_box("block", (0, -50, -200), (200, 100, 200), clearance=round(limit, 3))
        bent = a_tube("a", [(-30, 0, -200), (-30, 0, 30), (200, 0, 30)], ("up", "left"), radius=60)
        assert severity(findings(tmp_path, "touch", bent, box)) == expected


@pytest.mark.parametrize(("gap", "expected"), [(1.9, "fault"), (2.1, None)])
def test_a_turned_box_is_met_where_its_face_is(tmp_path, gap, expected):
    # Turned by -45 degrees its left face runs along (1, 1); the foot from the tube's line is 10 along that
    # face and gap + RADIUS square to it.
    square, along = 0.5**0.5 * (gap + RADIUS), 0.5**0.5 * 10
    box = with_box(
        "block", (square - along, -square - along, 50), (30, 30, 200), turned={"about": "up", "by": -45}
    )
    found = findings(tmp_path, "touch", a_tube_up(), box)
    assert severity(found) == expected
    if found:
        assert found[0].low == pytest.approx(gap, abs=0.05)


@pytest.mark.parametrize(("gap", "expected"), [(1.9, "fault"), (2.1, None)])
def test_a_round_bar_is_met_where_it_is_round(tmp_path, gap, expected):
    # a bar of 20 across the tube, level, its middle line 10 and the gap and the radius away
    x = RADIUS + gap + 10
    bar = with_part("rod", kind="cylinder", at=place(x, -80, 150), to=place(x, 80, 150), diameter=20)
    assert severity(findings(tmp_path, "touch", a_tube_up(), bar)) == expected


@pytest.mark.parametrize(("gap", "expected"), [(1.9, "fault"), (2.1, None)])
def test_a_slanting_bar_is_met_on_its_slant(tmp_path, gap, expected):
    # A bar that rises to the back, beside a tube up at its right: its side is upright, 8 of its 16 in width
    # from its middle line.
    x = -RADIUS - gap - 8
    ends = {"at": place(x, -100, 50), "to": place(x, 100, 250)}
    bar = with_part("rail", kind="bar", **ends, wide=16, thick=12)
    assert severity(findings(tmp_path, "touch", a_tube_up(), bar)) == expected


@pytest.mark.parametrize(("gap", "expected"), [(1.9, "fault"), (2.1, None)])
def test_a_prism_is_met_at_its_point(tmp_path, gap, expected):
    # a wedge whose point looks at the tube
    outline = [place(0, 0, 0), place(40, -30, 0), place(40, 30, 0)]
    for corner in outline:
        del corner["up"]
    wedge = with_part(
        "wedge", kind="prism", at=place(RADIUS + gap, 0, 100), along="up", thick=80, outline=outline
    )
    assert severity(findings(tmp_path, "touch", a_tube_up(), wedge)) == expected
