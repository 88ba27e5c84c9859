"""Legal lays of invented cabinets, every corner moved at random: both readers find the same things wrong.

The package proves intervals, the separate checker has distances of its own and python-fcl; neither knows of
the other. What both find must be the same pairs, and each distance within the other's.
"""

from pathlib import Path

import numpy as np
import pytest
from benchmarks.cabinets import a_cabinet
from verifier.distances import SOLVER
from verifier.shortfalls import Shortfall, shortfalls_of

from routeviz.lay import Lay
from routeviz.pipeline import check_scene

TUBES = 12
MOVED = 2.5  # mm either way along each axis: more than what is free
TIGHTER = 0.85  # so that bends fit between corners that came nearer; that they kink is not asked here
SAMPLED = 0.03  # of the keys' travel by the separate checker, which it takes off
SLACK = 0.05  # what the package forgives a limit
NEAR = ("touch", "rub", "intrude", "squeeze")

Pair = tuple[str, str]


@pytest.fixture(scope="module", params=range(4))
def found(request, tmp_path_factory):
    """What each finds in a disturbed lay: intervals by pair with their limits, and shortfalls by pair."""
    cabinet, draw = a_cabinet(request.param, TUBES), np.random.default_rng(request.param)
    for way in cabinet.witness.values():
        corners = np.array(way["corners"])
        way["corners"] = np.round(corners + draw.uniform(-MOVED, MOVED, corners.shape), 3).tolist()
        way["radii"] = [round(TIGHTER * radius, 3) for radius in way["radii"]]
    path: Path = tmp_path_factory.mktemp("disturbed") / "cabinet.toml"
    path.write_text(cabinet.laid(), encoding="utf-8")
    theirs = {pair(one.tube, one.other): one for one in shortfalls_of(path) if one.rule in NEAR}
    return intervals(check_scene(path)), theirs


def intervals(lay: Lay) -> dict[Pair, tuple[float, float, float]]:
    """Lower and upper end of each distance that the package measured, and what is wanted there."""
    names, cabinet, limits = [tube.name for tube in lay.tubes], lay.cabinet, lay.cabinet.limits
    rows: dict[Pair, tuple[float, float, float]] = {}
    for near in lay.measured.solids:
        name = cabinet.solids[near.other].name
        limit = limits.moving_mm if name.startswith("keys ") else limits.fixed_mm
        rows[pair(names[near.tube], name)] = near.low_mm, near.high_mm, limit
    for near in lay.measured.tubes:
        rows[pair(names[near.tube], names[near.other])] = near.low_mm, near.high_mm, limits.tubes_mm
    for near in lay.measured.keep_clear:
        rows[pair(names[near.tube], cabinet.keep_clear[near.other].name)] = near.low_mm, near.high_mm, 0.0
    return rows


def pair(one: str, other: str) -> Pair:
    return min(one, other), max(one, other)


def test_something_is_wrong_in_several_ways(found):
    _, theirs = found
    assert len(theirs) >= 5
    assert len({one.rule for one in theirs.values()}) >= 2


def test_what_the_separate_checker_finds_lies_in_the_interval_that_the_package_proves(found):
    ours, theirs = found
    for names, one in theirs.items():
        low, high, limit = ours[names]
        assert one.limit == limit, names
        assert low - SAMPLED - 4 * SOLVER <= one.distance <= high + 4 * SOLVER, names


def test_what_the_package_finds_too_near_the_separate_checker_finds_too(found):
    ours, theirs = found
    wrong = {names for names, (low, _, limit) in ours.items() if low < limit - SLACK}
    assert wrong
    assert wrong - theirs.keys() == set()


def test_a_shortfall_says_what_it_is_about(found):
    _, theirs = found
    assert all(isinstance(one, Shortfall) and one.distance < one.limit for one in theirs.values())
