"""The order of work: nothing is laid behind what lies already, but where no order helps; each tube once."""

import re
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from builders import read, with_box, with_nipple, with_row, with_stage, with_tube
from scipy.spatial import cKDTree

from routeviz.geometry.curves import points_along
from routeviz.pipeline import check_reading, check_scene
from routeviz.views.work_order import WORKERS, deviations, runs_to_lay, work_order
from routeviz.views.work_turns import turns

SCENES = Path(__file__).parents[2] / "scenes"
STEP, LOOKS = (
    0.7,
    (0.5, 0.35, 0.8, 1.6),
)  # mm; where two cross, samples lie no farther apart than 0.7 / sqrt 2
# The corners of an upright triangle, seen from the front; its sides run on beyond them.
TRIANGLE = np.array([[0.0, 0.0], [300.0, 0.0], [150.0, 260.0]])


def a_straight(name, start, end, **more):
    """A straight tube between two nipples."""
    return (
        with_nipple(f"{name} low", start),
        with_nipple(f"{name} high", end, faces="down"),
        with_tube(f"{name} low 1", f"{name} high 1", name=name, corners=[], **more),
    )


def crossing(**depths):
    """Straight tubes that cross in the middle of the picture, each at its own depth."""
    return [
        piece
        for k, (name, depth) in enumerate(depths.items())
        for piece in a_straight(name, (40.0 * k, depth, 0), (200 - 40.0 * k, depth, 300))
    ]


def a_ring(*names):
    """Three straight tubes, each of which ends behind the next one's beginning, seen from the front."""
    pieces = []
    for k, name in enumerate(names):
        low, high = TRIANGLE[k], TRIANGLE[(k + 1) % 3]
        on = (high - low) / np.linalg.norm(high - low) * 60
        (x, z), (u, w) = low - on, high + on
        pieces += a_straight(name, (float(x), 0, float(z)), (float(u), 100, float(w)))
    return pieces


def a_lay(folder, *pieces):
    return check_reading(read(folder, *pieces))


def order(folder, *pieces, worker="front"):
    lay = a_lay(folder, *pieces)
    return [lay.tubes[step.tube].name for step in work_order(lay, worker)]


@pytest.mark.parametrize("names", list(permutations(("near", "middle", "far"))))
def test_of_three_that_cross_the_one_in_front_comes_last(tmp_path, names):
    depths = {"near": 0, "middle": 50, "far": 100}
    pieces = crossing(**{name: depths[name] for name in names})
    assert order(tmp_path, *pieces) == ["far", "middle", "near"]
    assert order(tmp_path, *pieces, worker="back") == ["near", "middle", "far"]


def test_seen_from_the_side_another_one_is_in_front(tmp_path):
    # As seen from the front, turned: they cross in the picture from the left, each farther right.
    pieces = [
        piece
        for name, depth, begin in (("a", 0.0, 0.0), ("b", 50.0, 40.0))
        for piece in a_straight(name, (depth, begin, 0), (depth, 200 - begin, 300))
    ]
    assert order(tmp_path, *pieces, worker="left") == ["b", "a"]
    assert order(tmp_path, *pieces, worker="right") == ["a", "b"]


def test_one_straight_behind_another_along_all_its_way_comes_first(tmp_path):
    pieces = (*a_straight("near", (0, 0, 0), (0, 0, 300)), *a_straight("far", (0, 40, 0), (0, 40, 300)))
    assert order(tmp_path, *pieces) == ["far", "near"]


def test_side_by_side_nothing_leaves_the_row(tmp_path):
    row = [
        with_row("bar", "1..6", (0, 0, 200), (50, 0, 200), faces="down"),
        with_row("stack", "1..6", (0, 0, 0), (50, 0, 0)),
        *(with_tube(f"bar {k}", f"stack {k}", name=f"t{k}", corners=[]) for k in (4, 2, 6, 1, 3, 5)),
    ]
    lay = a_lay(tmp_path, *row)
    for worker in WORKERS:
        steps = work_order(lay, worker)
        assert not any(step.hold or step.open_until is not None for step in steps)
    steps = work_order(lay)
    assert deviations(steps) == 0
    assert [lay.tubes[step.tube].name for step in steps] == ["t1", "t2", "t3", "t4", "t5", "t6"]


def test_a_row_whose_last_lies_farthest_behind_is_laid_from_its_last(tmp_path):
    # Each crosses all others in the picture and lies farther off than the one before it.
    low = with_row("bar", "1..4", (0, 0, 0), (120, 90, 0))
    high = with_row("stack", "1..4", (120, 0, 300), (0, 90, 300), faces="down")
    tubes = (with_tube(f"bar {k}", f"stack {k}", name=f"t{k}", corners=[]) for k in (1, 2, 3, 4))
    lay = a_lay(tmp_path, low, high, *tubes)
    steps = work_order(lay)
    assert [lay.tubes[step.tube].name for step in steps] == ["t4", "t3", "t2", "t1"]
    assert deviations(steps) == 0


def test_in_a_ring_of_three_one_alone_is_held_aside_for_one_other(tmp_path):
    lay = a_lay(tmp_path, *a_ring("a", "b", "c"))
    steps = work_order(lay)
    turn = {lay.tubes[step.tube].name: k for k, step in enumerate(steps)}
    held = [(lay.tubes[step.tube].name, lay.tubes[other].name) for step in steps for other in step.hold]
    # By the way it is made: a ends behind b, b behind c, c behind a.
    wrong = [(one, other) for one, other in ("ab", "bc", "ca") if turn[one] > turn[other]]
    assert held == wrong
    assert len(wrong) == 1
    ((late, early),) = wrong
    by_name = {lay.tubes[step.tube].name: step for step in steps}
    assert lay.tubes[by_name[early].open_until].name == late
    tags = {tube.name: tube.tag for tube in lay.tubes}
    assert any(f"hold tube {tags[early]} aside" in note for note in by_name[late].look_out)
    assert any(f"until tube {tags[late]} is in" in note for note in by_name[early].look_out)
    assert (
        f"once this one is in, let tube {tags[early]} back, and put on its other end"
        in by_name[late].look_out
    )


def test_two_rings_ask_for_one_held_aside_each():
    before = frozenset({(0, 1), (1, 2), (2, 0), (3, 4), (4, 5), (5, 3), (2, 3)})
    found = turns([[0, 1, 2, 3, 4, 5]], before)
    assert len(found.aside) == 2
    assert sorted(found.order) == [0, 1, 2, 3, 4, 5]


def test_one_that_closes_two_rings_is_the_only_one_held_aside():
    before = frozenset({(0, 1), (1, 2), (2, 0), (0, 3), (3, 4), (4, 0)})
    assert turns([[0, 1, 2, 3, 4]], before).aside == (0,)


@pytest.mark.parametrize("seed", range(8))
def test_no_fewer_could_be_held_aside_than_lie_on_a_ring_and_none_in_vain(seed):
    generator = np.random.default_rng(seed)
    pairs = {(int(a), int(b)) for a, b in generator.integers(0, 9, (20, 2)) if a != b}
    found = turns([list(range(9))], frozenset(pairs))
    place = {tube: k for k, tube in enumerate(found.order)}
    wrong = {(one, other) for one, other in pairs if place[one] > place[other]}
    assert {other for _, other in wrong} <= set(found.aside)
    for spared in found.aside:
        # Were it not held aside, some order of all that is left would have to break a pair: a ring remains.
        kept = {pair for pair in pairs if not set(pair) & (set(found.aside) - {spared})}
        assert _has_ring(kept)


def test_each_stage_is_finished_before_the_next_begins(tmp_path):
    # What lies farthest behind comes in the later stage: it has to be threaded, and that is said.
    pieces = (
        with_stage("bench"),
        with_stage("closed"),
        *a_straight("far", (0, 100, 0), (200, 100, 300), stage="closed"),
        *a_straight("near", (200, 0, 0), (0, 0, 300), stage="bench"),
        *a_straight("unsaid", (400, 0, 0), (400, 0, 300)),
    )
    lay = a_lay(tmp_path, *pieces)
    steps = work_order(lay)
    assert [(lay.tubes[s.tube].name, s.stage) for s in steps][-1] == ("far", "closed")
    assert {(lay.tubes[s.tube].name, s.stage) for s in steps[:-1]} == {("near", "bench"), ("unsaid", "bench")}
    assert steps[-1].hold == ()
    assert any(note.startswith("thread it behind tube ") for note in steps[-1].look_out)


def test_each_tube_is_there_once_with_or_without_a_way(tmp_path):
    lost = (with_nipple("x", (300, 0, 0)), with_nipple("y", (300, 0, 300), faces="down"))
    lay = a_lay(tmp_path, *crossing(a=0, b=50), *lost, with_tube("x 1", "y 1", name="lost"))
    steps = work_order(lay)
    assert sorted(step.tube for step in steps) == [0, 1, 2]
    (lost_step,) = [step for step in steps if lay.tubes[step.tube].name == "lost"]
    assert lost_step.length_mm is None
    assert "no way is known for it" in lost_step.look_out


def test_a_scene_without_tubes_has_no_work(tmp_path):
    assert work_order(a_lay(tmp_path, with_box("box", (0, 0, 0), (10, 10, 10)))) == ()


def test_two_that_wind_about_each_other_are_told_where_to_pass_the_free_end(tmp_path):
    # One stands straight; the other passes in front of it at the height 100 and behind it at 300.
    pieces = (
        *a_straight("post", (0, 0, 0), (0, 0, 400)),
        with_nipple("p", (-60, -40, 0)),
        with_nipple("q", (-60, 40, 400), faces="down"),
        with_tube(
            "p 1", "q 1", name="vine", corners=[
                {"right": x, "back": y, "up": z, "radius": 5}
                for x, y, z in ((-60, -40, 100), (60, -40, 100), (60, 40, 300), (-60, 40, 300))
            ],
        ),
    )  # fmt: skip
    lay = a_lay(tmp_path, *pieces)
    steps = work_order(lay)
    later = lay.tubes[steps[-1].tube].name
    notes = [note for note in steps[-1].look_out if note.startswith("pass its free end behind tube ")]
    assert len(notes) == 1
    far = int(notes[0].split(" at ")[1].split(" mm")[0])
    # The post is behind at the height 100. The vine is where it has come down from q and half way along the
    # upper crossbar: 100 + 60, of which the arc of one corner saves 5 (2 - pi / 2).
    assert far == pytest.approx(100 if later == "post" else 160 - 5 * (2 - np.pi / 2), abs=0.6)


def test_all_that_a_free_end_is_passed_behind_is_one_sentence_in_the_order_in_which_it_comes_to_them(
    tmp_path,
):
    # The vine goes in last: down from q, then level behind two posts, up to which it has come 100 + 40 and
    # 100 + 80, of which the arc of one corner saves 5 (2 - pi / 2).
    pieces = (
        *a_straight("post", (-20, 0, 0), (-20, 0, 400)),
        *a_straight("mast", (20, 0, 0), (20, 0, 400)),
        with_nipple("p", (-60, -40, 0)),
        with_nipple("q", (-60, 40, 400), faces="down"),
        with_tube(
            "p 1", "q 1", name="vine", corners=[
                {"right": x, "back": y, "up": z, "radius": 5}
                for x, y, z in ((-60, -40, 100), (60, -40, 100), (60, 40, 300), (-60, 40, 300))
            ],
        ),
    )  # fmt: skip
    lay = a_lay(tmp_path, *pieces)
    last = work_order(lay)[-1]
    tags = {tube.name: tube.tag for tube in lay.tubes}
    saved = 5 * (2 - np.pi / 2)
    says = (
        f"pass its free end behind tube {tags['post']} at {140 - saved:.0f} mm "
        f"and tube {tags['mast']} at {180 - saved:.0f} mm from q 1"
    )
    assert [note for note in last.look_out if note.startswith("pass its free end")] == [says]


def test_runs_follow_each_other_as_they_are_told_where_nothing_is_in_the_way(tmp_path):
    pieces = (
        with_row("bar", "1..4", (0, 0, 200), (30, 0, 200), faces="down"),
        with_row("stack", "1..4", (0, 0, 0), (30, 0, 0)),
        with_row("pump", "1..2", (100, 0, 0), (110, 0, 0)),
        with_row("box", "1..2", (100, 0, 200), (110, 0, 200), faces="down"),
        *(with_tube(f"pump {k}", f"box {k}", corners=[]) for k in (2, 1)),
        *(with_tube(f"bar {k}", f"stack {k}", corners=[]) for k in (1, 2, 3, 4)),
    )
    lay = a_lay(tmp_path, *pieces)
    runs = runs_to_lay(lay)
    assert [run.says for run in runs] == ["pump 1, 2 through no passage", "bar 1..4 through no passage"]
    steps = work_order(lay)
    assert [step.run for step in steps] == [0, 0, 1, 1, 1, 1]
    starts = [lay.tubes[step.tube].start.nipple for step in steps]
    assert starts == ["pump 1", "pump 2", "bar 1", "bar 2", "bar 3", "bar 4"]


def test_the_same_lay_has_the_same_order(tmp_path):
    lay = a_lay(tmp_path, *a_ring("a", "b", "c"))
    assert work_order(lay) == work_order(a_lay(tmp_path, *a_ring("a", "b", "c")))


@pytest.mark.parametrize("scene", ["thistledown", "harbour_hall", "as_found"])
@pytest.mark.parametrize("worker", ["front", "back"])
def test_no_tube_is_laid_wholly_behind_one_that_lies_and_is_not_held_aside(scene, worker):
    lay = check_scene(SCENES / f"{scene}.toml")
    steps = work_order(lay, worker)
    assert sorted(step.tube for step in steps) == list(range(len(lay.tubes)))
    turn = {step.tube: k for k, step in enumerate(steps)}
    hold = {step.tube: set(step.hold) for step in steps}
    pairs, at_any_look = _wholly_behind(lay.tubes, 1 if worker == "front" else -1)
    assert len(pairs) > 50  # or the scenes have become so plain that this tells nothing
    late = {(far, near) for far, near in pairs if turn[far] > turn[near]}
    lies = {
        step.tube for step in steps if step.left is not None
    }  # nobody lays it, and nothing is laid before it
    assert all(turn[tube] < len(lies) for tube in lies)
    notes = {step.tube: "; ".join(step.look_out) for step in steps}
    threaded = {(far, near) for far, near in late if near in lies and "already" in notes[far]}
    assert {(far, near) for far, near in late if near not in hold[far] and far not in lies} == threaded
    held = [(step.tube, near) for step in steps for near in step.hold]
    assert all(turn[near] < turn[far] for far, near in held)
    assert [pair for pair in held if not _on_a_ring(pair, at_any_look)] == []


def _wholly_behind(tubes, sense):
    """Pairs of tubes of which the first lies behind the second wherever one covers the other, by sampling.

    Returned are those of the first look, which sees every crossing, and those of closer and wider ones.
    """
    clouds = [
        (k, points_along(t.curve, np.arange(0.0, float(t.curve.begins[-1]), STEP)))
        for k, t in enumerate(tubes)
        if t.curve is not None
    ]
    trees = [cKDTree(points[:, [0, 2]]) for _, points in clouds]
    found = {look: set() for look in LOOKS}
    for i, (one, points) in enumerate(clouds):
        for j, (other, others) in enumerate(clouds[:i]):
            near = trees[i].sparse_distance_matrix(trees[j], max(LOOKS), output_type="coo_matrix")
            for look in LOOKS:
                rows, columns = (index[near.data <= look] for index in (near.row, near.col))
                off = sense * (points[rows, 1] - others[columns, 1])
                if len(off) and ((off > 3).all() or (off < -3).all()):
                    found[look].add((one, other) if off[0] > 0 else (other, one))
    return found[LOOKS[0]], set().union(*found.values())


def _on_a_ring(pair, pairs):
    """Whether from the second of a pair one comes back to the first."""
    reached, edge = set(), {pair[1]}
    while edge:
        reached |= edge
        edge = {other for one, other in pairs if one in edge} - reached
    return pair[0] in reached


def _has_ring(pairs):
    left = set(pairs)
    while left:
        ends = {other for _, other in left}
        inner = {(one, other) for one, other in left if one in ends}
        if inner == left:
            return True
        left = inner
    return False


@pytest.mark.parametrize("name", ["thistledown", "harbour_hall"])
def test_runs_are_numbered_in_the_order_of_work_and_told_by_those_numbers(name):
    lay = check_scene(SCENES / f"{name}.toml")
    steps, runs = work_order(lay), runs_to_lay(lay)
    begun = list(dict.fromkeys(step.run_number for step in steps))
    assert begun == list(range(1, len(runs) + 1))
    says = {step.run_number: runs[step.run].says for step in steps}
    told = [
        found for step in steps for one in step.passes for found in re.findall(r"run (\d+) \((.+)\)", one)
    ]
    assert told
    for number, brief in told:
        assert says[int(number)].startswith(brief)
