"""Distances agree with another program's.

Source: python-fcl, the Flexible Collision Library (J. Pan, S. Chitta, D. Manocha, "FCL: A general purpose
library for collision and proximity queries", IEEE ICRA 2012), used in millimetres, for its solver stops at an
absolute tolerance: capsules against boxes have been seen 3.5e-4 off the closed form.
"""

import fcl
import numpy as np
import pytest

from routeviz.geometry.blocks import box, cylinder
from routeviz.geometry.curves import rounded_polyline
from routeviz.geometry.frames import facing, rigid, rotation_about
from routeviz.geometry.shapes import Hinge, assembled, pose
from routeviz.geometry.sweeps import distances_of_pairs

SOLVER = 5e-4  # its tolerance in millimetres, rounded up


def posed(shape, rotation, middle):
    return fcl.CollisionObject(shape, fcl.Transform(rotation, middle))


def distance(first, second):
    request = fcl.DistanceRequest(enable_nearest_points=False, gjk_solver_type=fcl.GJKSolverType.GST_LIBCCD)
    return fcl.distance(first, second, request, fcl.DistanceResult())


def scene(seed):
    """A tube, straight, and a solid off it: as ours and as theirs."""
    rng = np.random.default_rng(seed)
    rotation = rotation_about(rng.normal(size=3), rng.uniform(0, 3))
    if rng.random() < 0.5:
        size, corner = rng.uniform(3, 60, 3), rng.uniform(-30, 30, 3)
        ours, theirs = (
            box(rigid(rotation, corner), size),
            posed(fcl.Box(*size), rotation, corner + rotation @ size / 2),
        )
    else:
        first, last, radius = rng.uniform(-40, 40, 3), rng.uniform(-40, 40, 3), rng.uniform(1, 12)
        bar = fcl.Cylinder(radius, np.linalg.norm(last - first))
        ours, theirs = cylinder(first, last, radius), posed(bar, facing(last - first), (first + last) / 2)
    ends = rng.uniform(-120, 120, (2, 3))
    return ours, theirs, ends, rng.uniform(0.5, 6)


@pytest.mark.parametrize("seed", range(150))
def test_a_centreline_without_thickness_is_as_far_as_a_capsule_less_its_radius(seed):
    ours, theirs, ends, radius = scene(seed)
    capsule = posed(
        fcl.Capsule(radius, np.linalg.norm(ends[1] - ends[0])), facing(ends[1] - ends[0]), ends.mean(axis=0)
    )
    found = distance(capsule, theirs)
    near = distances_of_pairs([rounded_polyline(ends, [])], [0.0], assembled([ours], [None]), [(0, 0)])
    if found > 0:
        assert near.lows[0] - SOLVER <= found + radius <= near.highs[0] + SOLVER
    else:
        assert near.lows[0] <= radius + SOLVER


@pytest.mark.parametrize("seed", range(150))
def test_a_tube_with_flat_ends_is_as_far_as_a_cylinder(seed):
    ours, theirs, ends, radius = scene(1000 + seed)
    tube = posed(
        fcl.Cylinder(radius, np.linalg.norm(ends[1] - ends[0])), facing(ends[1] - ends[0]), ends.mean(axis=0)
    )
    found = distance(tube, theirs)
    near = distances_of_pairs([rounded_polyline(ends, [])], [radius], assembled([ours], [None]), [(0, 0)])
    if found > 0:
        assert near.lows[0] - SOLVER <= found <= near.highs[0] + SOLVER
    else:
        assert near.lows[0] <= SOLVER


@pytest.mark.parametrize("seed", range(20))
def test_over_a_travel_no_sampled_pose_is_nearer_and_one_is_about_as_near(seed):
    ours, theirs, ends, radius = scene(2000 + seed)
    rng = np.random.default_rng(seed)
    hinge = Hinge(point=rng.uniform(-60, 60, 3), axis=rng.normal(size=3), angle=rng.uniform(-0.8, 0.8))
    bodies = assembled([ours], [hinge])
    near = distances_of_pairs([rounded_polyline(ends, [])], [radius], bodies, [(0, 0)])
    tube = posed(
        fcl.Cylinder(radius, np.linalg.norm(ends[1] - ends[0])), facing(ends[1] - ends[0]), ends.mean(axis=0)
    )
    rotation, middle = theirs.getRotation(), theirs.getTranslation()
    sampled = []
    for travel in [*np.linspace(0, 1, 40), near.travels[0]]:
        frame = pose(bodies, 0, travel)
        theirs.setTransform(fcl.Transform(frame[:3, :3] @ rotation, frame[:3, :3] @ middle + frame[:3, 3]))
        sampled.append(distance(tube, theirs))
    if min(sampled) > 0:
        assert min(sampled) >= near.lows[0] - SOLVER
        assert sampled[-1] <= near.highs[0] + SOLVER
    else:
        assert near.lows[0] <= SOLVER
