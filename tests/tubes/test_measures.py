"""What must not matter does not: where the case stands, which way tubes run, their order, their pieces."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from builders import (
    a_table,
    corners_of,
    extent,
    place,
    with_board,
    with_box,
    with_keep_clear,
    with_part,
    with_row,
    with_tube,
)
from lays import a_lay

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.corners import inscribed_radii
from routeviz.geometry.curves import rounded_polyline
from routeviz.geometry.frames import directions_from, points_from, rigid, rotation_about
from routeviz.geometry.shapes import Bodies, placed
from routeviz.tubes.measured import Measured
from routeviz.tubes.measures import measure
from routeviz.tubes.routes import Tube

ROOM_MM = 0.05  # what an interval is promised to hold
SEEDS = (1, 2, 3)


def a_small_case(folder: Any, seed: int) -> tuple[Cabinet, tuple[Tube, ...]]:
    """Five tubes from a row down through an opening to a row, past a lever, a post and a rail; by a seed."""
    random = np.random.default_rng(seed)
    row = {"holes": "1..5", "outside": 4.5}
    tubes = []
    for n in range(5):
        side, back = 12.0 * n, float(random.uniform(40, 60))
        corners = [
            (side, back, 300),
            (30 + 8 * n, back, float(random.uniform(200, 240))),
            (30 + 8 * n, back, 90),
        ]
        tubes.append(
            with_tube(
                f"bar {n + 1}",
                f"stack {n + 1}",
                name=f"t{n}",
                corners=corners_of(*corners, (side, 60, 60)),
                through=["shelf hole"] if n % 2 else None,
                ties=[{"along": 120, "to": "rail"}] if n == 2 else None,
            )
        )
    opening = {"hole": {"at": place(20, 30, 0), "size": {"wide": 60, "deep": 60}}}
    return a_lay(
        folder,
        a_table("clearance", fixed=2, moving=3, survey=0.5),
        with_row("bar", "1..5", (0, 0, 300), (48, 0, 300), faces="back", outside=4.5),
        with_part(
            "stack",
            kind="box",
            at=place(-20, 30, -40),
            size=extent(120, 60, 40),
            faces="up",
            rows=[{**row, "first": place(20, 30, 41), "last": place(68, 30, 41)}],
        ),
        with_board("shelf", (-20, 0, 140), (140, 130, 12), opening=opening),
        with_box("post", (float(random.uniform(60, 90)), 70, 160), (10, 10, 120)),
        with_box("rail", (-20, 62, 250), (120, 10, 10)),
        with_part(
            "lever",
            kind="box",
            at=place(-20, 20, 270),
            size=extent(30, 15, 8),
            motion={"at": place(0, 0, 0), "turns_about": "back", "travel": 12, "doubt": 1},
        ),
        with_keep_clear("service", (64, 50, 100), (30, 40, 130), why="a hand must reach the post"),
        *tubes,
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_a_case_turned_and_moved_as_a_whole_measures_the_same(tmp_path, seed):
    cabinet, tubes = a_small_case(tmp_path, seed)
    random = np.random.default_rng(seed + 100)
    turn = rotation_about(random.normal(size=3), float(random.uniform(0.3, 3)))
    frame = rigid(turn, random.uniform(-500, 500, 3))
    same(
        measure(cabinet, tubes), measure(moved(cabinet, frame), tuple(carried(tube, frame) for tube in tubes))
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_tubes_run_backwards_measure_the_same(tmp_path, seed):
    cabinet, tubes = a_small_case(tmp_path, seed)
    first, second = measure(cabinet, tubes), measure(cabinet, tuple(backwards(tube) for tube in tubes))
    same(first, second, along=False)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_tubes_does_not_matter(tmp_path, seed):
    cabinet, tubes = a_small_case(tmp_path, seed)
    order = np.random.default_rng(seed).permutation(len(tubes)).tolist()
    same(measure(cabinet, tubes), measure(cabinet, [tubes[k] for k in order]), order=order)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_leg_cut_in_two_measures_the_same(tmp_path, seed):
    cabinet, tubes = a_small_case(tmp_path, seed)
    same(measure(cabinet, tubes), measure(cabinet, tuple(refined(tube) for tube in tubes)))


def same(first: Measured, second: Measured, *, order: list[int] | None = None, along: bool = True) -> None:
    """Hold two measurings against each other; ``order`` says which tube stands where in the second."""
    at = {tube: k for k, tube in enumerate(order)} if order else {k: k for k in range(len(first.bends))}
    for tube, k in at.items():
        assert second.lengths_mm[k] == pytest.approx(first.lengths_mm[tube], abs=1e-6)
        assert second.bends[k].radius_mm == pytest.approx(first.bends[tube].radius_mm, rel=1e-9)
    for name in ("solids", "keep_clear"):
        agree(
            getattr(first, name), getattr(second, name), lambda one: (at[one.tube], one.other), first.reach_mm
        )
    agree(first.tubes, second.tubes, lambda one: tuple(sorted((at[one.tube], at[one.other]))), first.reach_mm)
    assert sorted((at[b.tube], b.solid) for b in first.buried) == sorted(
        (b.tube, b.solid) for b in second.buried
    )
    nets = {(at[c.tube], c.passage): c for c in first.crossings}
    assert nets.keys() == {(c.tube, c.passage) for c in second.crossings}
    for c in second.crossings:
        one = nets[c.tube, c.passage]
        assert c.net == one.net
        assert c.margin_low_mm == pytest.approx(one.margin_low_mm, abs=0.02)
        if along:
            assert c.along_mm == pytest.approx(one.along_mm, abs=1e-5)
    sags = {(at[s.tube], round(s.to_mm - s.from_mm, 5)): s for s in first.spans}
    assert len(first.spans) == len(second.spans)
    for s in second.spans:
        one = sags[s.tube, round(s.to_mm - s.from_mm, 5)]
        if s.sag_high_mm is not None and one.sag_high_mm is not None:
            assert s.sag_high_mm == pytest.approx(one.sag_high_mm, rel=0.02)
        assert s.sag_most_mm == pytest.approx(one.sag_most_mm, rel=0.02, abs=0.1)
        assert s.below == one.below
    angles = {(at[one.tube], one.nipple): one.off_deg for one in first.leaving}
    assert {(one.tube, one.nipple): pytest.approx(one.off_deg, abs=1e-5) for one in second.leaving} == angles
    assert [(p.passage, len(p.tubes), p.bound) for p in first.passages] == [
        (p.passage, len(p.tubes), p.bound) for p in second.passages
    ]
    assert {(f.moving, f.other) for f in first.foulings} == {(f.moving, f.other) for f in second.foulings}


def agree(first: Any, second: Any, key: Any, reach: float) -> None:
    """The same pairs, their intervals overlapping; pairs at the very reach may be told or not."""
    ours = {key(one): one for one in first}
    theirs = {(o.tube, o.other): o for o in second}
    assert ours
    for pair in ours.keys() | theirs.keys():
        a, b = ours.get(pair), theirs.get(pair)
        if a is None or b is None:
            assert (a or b).low_mm > reach - ROOM_MM
            continue
        assert a.low_mm <= b.high_mm + 1e-6
        assert b.low_mm <= a.high_mm + 1e-6
        assert max(a.high_mm - a.low_mm, b.high_mm - b.low_mm) <= ROOM_MM


def moved(cabinet: Cabinet, frame: Floats) -> Cabinet:
    """The whole case elsewhere and otherwise turned, what hangs included."""
    solids = tuple(replace(s, pieces=placed(s.pieces, frame)) for s in cabinet.solids)
    return replace(
        cabinet,
        down=directions_from(frame, cabinet.down),
        solids=solids,
        bodies=elsewhere(cabinet.bodies, frame),
        clear_bodies=elsewhere(cabinet.clear_bodies, frame),
        nipples={
            name: replace(n, tip=points_from(frame, n.tip), direction=directions_from(frame, n.direction))
            for name, n in cabinet.nipples.items()
        },
        passages={
            name: replace(p, origin=points_from(frame, p.origin), axes=directions_from(frame, p.axes))
            for name, p in cabinet.passages.items()
        },
    )


def elsewhere(bodies: Bodies, frame: Floats) -> Bodies:
    """Bodies and their movements, moved together."""
    return Bodies(
        pieces=placed(bodies.pieces, frame),
        kinds=bodies.kinds,
        points=points_from(frame, bodies.points),
        directions=directions_from(frame, bodies.directions),
        travels=bodies.travels,
    )


def carried(tube: Tube, frame: Floats) -> Tube:
    """A tube that goes along with its case."""
    ends = [replace(e, point=points_from(frame, e.point)) for e in (tube.start, tube.end)]
    corners = points_from(frame, tube.corners)
    curve = rounded_polyline(corners, tube.radii)
    return replace(tube, start=ends[0], end=ends[1], corners=corners, curve=curve)


def backwards(tube: Tube) -> Tube:
    """The same tube, written from its end to its start."""
    corners, radii = frozen(tube.corners[::-1]), frozen(tube.radii[::-1])
    length = float(tube.curve.begins[-1])
    ties = tuple(replace(tie, along_mm=length - tie.along_mm) for tie in reversed(tube.ties))
    curve = rounded_polyline(corners, radii)
    return replace(tube, start=tube.end, end=tube.start, corners=corners, radii=radii, curve=curve, ties=ties)


def refined(tube: Tube) -> Tube:
    """The same tube with a corner that does not turn in the middle of its longest straight piece."""
    curve = tube.curve
    straight = int(np.argmax(np.where(curve.curvatures == 0, curve.lengths, 0.0)))
    leg = int((curve.curvatures[:straight] > 0).sum())
    middle = curve.starts[straight] + 0.5 * curve.lengths[straight] * curve.tangents[straight]
    corners = np.insert(tube.corners, leg + 1, middle, axis=0)
    radii = np.insert(tube.radii, leg, np.inf)
    assert len(inscribed_radii(corners)) == len(radii)
    return replace(tube, corners=frozen(corners), radii=frozen(radii), curve=rounded_polyline(corners, radii))
