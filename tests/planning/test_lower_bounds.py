"""No planned tube is shorter than geometry allows, and where nothing else is in its way it is hardly longer.

Two closed answers stand on either side of what is planned. From below: the taut string, straights and arcs of
the clearance's radius about the edges it is drawn over (the answer of a visibility graph for one edge or two;
first principles), and the shortest curve of bounded curvature: L. E. Dubins, American Journal of Mathematics
79 (1957), 497-516, by the closed forms of A. M. Shkel and V. Lumelsky, Robotics and Autonomous Systems 34
(2001), 179-202 (both from memory). That these are shortest in space too, where both ends lie in one plane far
apart, is taken from H. J. Sussmann, 34th Conference on Decision and Control (1995) (from memory). From above:
legal curves by hand, and a share for corners on a grain and for room that the planner keeps. Two shares are
larger, for the planner does not come nearer: two nipples on one side, from which its first string goes wide
round what no bend reaches and is not pulled in far enough, and two that face each other beside one another,
from which it goes straight on as far as the other lies ahead, and comes back.
"""

import math

import pytest
from builders import a_scene, place, read, with_board, with_box, with_nipple, with_tube, written
from verifier.lays import case_of
from verifier.plans import lay_of
from verifier.shortfalls import shortfalls_of

from routeviz.geometry.curves import length
from routeviz.laying import plan_reading

LEAST, RADIUS, FIXED = 22.0, 5.56 / 2, 2.0  # of builders.NOTE; [clearance] fixed by default
AWAY = RADIUS + FIXED  # from a tube's middle to wood
GRAIN = 0.005  # corners on a micrometre, a dozen of them
LONGER = 1.05  # share that a planned tube may be longer than a legal one by hand
LONGER_YET = {"half a turn": 1.35, "a shift upwards": 1.10}  # what holds today; geometry asks for neither


def planned(folder, *pieces):
    """The length of the one tube of a scene, laid without a fault."""
    lay = plan_reading(read(folder, *CASE, *pieces), fresh=True).lay
    assert lay is not None
    assert [finding.says for finding in lay.findings if finding.severity == "fault"] == []
    (tube,) = lay.tubes
    assert tube.curve is not None
    return length(tube.curve)


NIPPLE = 4.4  # outside, so that the bore of 3.97 grips
CASE = [
    with_box("lid", (-500, -500, 700), (1400, 1000, 10)),
    with_box("floor", (-500, -500, -510), (1400, 1000, 10)),
]


def facing(start, its, end, others):
    """Two nipples and their tube."""
    return [
        with_nipple("a", start, faces=its, outside=NIPPLE),
        with_nipple("b", end, faces=others, outside=NIPPLE),
        with_tube("a 1", "b 1"),
    ]


# ── shortest curves of bounded curvature ─────────────────────────────────────────────────────────
def shifted(run, shift):
    """Left, straight, right: centres 2 R apart across the inner tangent, sqrt(D^2 - 4 R^2) long."""
    apart = math.hypot(run, shift - 2 * LEAST)
    turn = math.atan2(shift - 2 * LEAST, run) + math.asin(2 * LEAST / apart)
    return 2 * LEAST * turn + math.sqrt(apart**2 - 4 * LEAST**2)


def test_the_closed_form_of_a_shift_gives_the_published_runs():
    """Two arcs alone: run sqrt(y (4 R - y)), each turn acos(1 - y / 2 R); and (4, -4, 0) for R = 1."""
    shift = 20.0
    run = math.sqrt(shift * (4 * LEAST - shift))
    assert shifted(run, shift) == pytest.approx(2 * LEAST * math.acos(1 - shift / (2 * LEAST)), rel=1e-9)
    assert shifted(4 * LEAST, 4 * LEAST) == pytest.approx(5.854590 * LEAST, rel=1e-6)


DUBINS = {
    # straight on: the distance
    "straight on": (((0, 0, 100), "right", (200, 0, 100), "left"), 200.0),
    # a quarter turn, left straight left: centres (0, 22) and (128, 150), 90 degrees turned in all
    "a quarter turn": (
        ((0, 0, 100), "right", (150, 0, 250), "down"), math.hypot(128, 128) + LEAST * math.pi / 2,
    ),
    # half a turn: two quarters, and what is left of the way across
    "half a turn": (((0, 0, 100), "right", (0, 0, 200), "right"), math.pi * LEAST + 100 - 2 * LEAST),
    "a shift upwards": (((0, 0, 100), "right", (180, 0, 140), "left"), shifted(180, 40)),
    "a far shift to the back": (((0, 0, 100), "right", (200, 120, 100), "left"), shifted(200, 120)),
}  # fmt: skip


@pytest.mark.parametrize("name", DUBINS)
def test_a_tube_in_the_open_is_the_shortest_curve_or_hardly_longer(name, tmp_path):
    ends, shortest = DUBINS[name]
    longer = LONGER_YET.get(name, LONGER)
    assert shortest - GRAIN <= planned(tmp_path, *facing(*ends)) <= longer * shortest


def test_half_a_turn_is_legal_by_the_separate_checker_as_short_as_it_can_be(tmp_path):
    """Two quarter turns right at the nipples, with the level between them: nothing asks for more."""
    ends, shortest = DUBINS["half a turn"]
    corners = [place(*point) for point in ((0, 0, 100), (LEAST, 0, 100), (LEAST, 0, 200), (0, 0, 200))]
    for corner in corners[1:-1]:
        corner["radius"] = LEAST
    plan = {"tubes": [{"name": "a 1", "through": [], "corners": corners, "ties": []}]}
    path = written(tmp_path, a_scene(*CASE, *facing(*ends)))
    assert shortfalls_of(path, plan) == []
    laid = lay_of(case_of(path), path, plan).ways[0].laid
    assert laid.line.length == pytest.approx(shortest, abs=1e-6)


# ── taut strings ─────────────────────────────────────────────────────────────────────────────────
def taut(run, rise, wide):
    """A string over two edges, ``rise`` above its ends and ``run`` from each: the same on both sides.

    To each edge's round of radius AWAY a tangent, sqrt(run^2 + rise^2 - AWAY^2) long, at the angle of the
    edge and that under which its round is seen; on the round by as much; then level, ``wide``.
    """
    far = math.hypot(run, rise)
    turn = math.atan2(rise, run) + math.asin(AWAY / far)
    return 2 * (math.sqrt(far**2 - AWAY**2) + AWAY * turn) + wide


def legal(run, rise, wide):
    """A tube that is level over both edges, AWAY above them, and shifts to that on both sides.

    An arc of LEAST that is level right over an edge, AWAY above it, comes nearest to the edge there: its
    middle lies straight below.
    """
    return 2 * shifted(run, rise + AWAY) + wide


OVER = [(120, 40, 60), (150, 20, 30), (160, 70, 100)]


def over_a_block(run, rise, wide):
    """Round the block's sides or below it would be farther by hundreds."""
    block = with_box("block", (run, -300, -300), (wide, 600, 400 + rise))
    return [block, *facing((0, 0, 100), "right", (2 * run + wide, 0, 100), "left")]


@pytest.mark.parametrize(("run", "rise", "wide"), OVER)
def test_the_legal_tube_is_legal_by_the_separate_checker_and_longer_than_the_string(
    run, rise, wide, tmp_path
):
    up, apart = rise + AWAY, math.hypot(run, rise + AWAY - 2 * LEAST)
    turn = math.atan2(up - 2 * LEAST, run) + math.asin(2 * LEAST / apart)
    cut = LEAST * math.tan(turn / 2)
    xs = [0, cut, run - cut, run + wide + cut, 2 * run + wide - cut, 2 * run + wide]
    heights = [0, 0, up, up, 0, 0]
    corners = [place(x, 0, 100 + height) for x, height in zip(xs, heights, strict=True)]
    for corner in corners[1:-1]:
        corner["radius"] = LEAST
    plan = {"tubes": [{"name": "a 1", "through": [], "corners": corners, "ties": []}]}
    path = written(tmp_path, a_scene(*over_a_block(run, rise, wide)))
    assert shortfalls_of(path, plan) == []
    way = lay_of(case_of(path), path, plan).ways[0]
    assert way.laid.line.length == pytest.approx(legal(run, rise, wide), abs=1e-6)
    assert taut(run, rise, wide) < legal(run, rise, wide)
    for corner in corners[2:4]:
        corner["up"] -= 0.1
    assert [one.rule for one in shortfalls_of(path, plan)] == ["touch"]


@pytest.mark.parametrize(("run", "rise", "wide"), OVER)
def test_over_a_block_in_its_way(run, rise, wide, tmp_path):
    long = planned(tmp_path, *over_a_block(run, rise, wide))
    assert taut(run, rise, wide) - GRAIN <= long <= LONGER * legal(run, rise, wide)


@pytest.mark.parametrize(("run", "aside", "thick"), [(120, 40, 20), (150, 70, 12)])
def test_through_an_opening_beside_its_way(run, aside, thick, tmp_path):
    """The opening's left edge is ``aside`` to the right of both nipples; the string goes round its edges."""
    hole = {"at": place(300 + aside, 280, 0), "size": {"wide": 40, "deep": 40}}
    board = with_board("board", (-300, -300, 300), (900, 600, thick), opening={"hole": hole})
    ends = facing((0, 0, 300 + thick + run), "down", (0, 0, 300 - run), "up")
    long = planned(tmp_path, board, *ends)
    assert taut(run, aside, thick) - GRAIN <= long <= LONGER * legal(run, aside, thick)


def test_no_tube_of_a_row_over_a_block_is_shorter_than_the_string(tmp_path):
    """Ten tubes side by side, all with the same string: none goes below it, all are hardly longer."""
    run, rise, wide, count, apart = 140, 30, 50, 10, 7.0
    block = with_box("block", (run, -300, -300), (wide, 600, 400 + rise))
    pieces = []
    for k in range(count):
        pieces += [
            with_nipple(f"a{k}", (0, k * apart, 100), faces="right", outside=NIPPLE),
            with_nipple(f"b{k}", (2 * run + wide, k * apart, 100), faces="left", outside=NIPPLE),
            with_tube(f"a{k} 1", f"b{k} 1"),
        ]
    lay = plan_reading(read(tmp_path, *CASE, block, *pieces), fresh=True).lay
    assert lay is not None
    lengths = [length(tube.curve) for tube in lay.tubes if tube.curve is not None]
    assert len(lengths) == count
    assert min(lengths) >= taut(run, rise, wide) - GRAIN
    assert sum(lengths) <= count * LONGER * legal(run, rise, wide)
