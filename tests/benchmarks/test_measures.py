"""How long do measuring and checking take, how do they grow, and how much faster are they than sampling?

Run by ``pytest tests/benchmarks``. What is printed are the times on this machine; what is asserted are ratios
of times taken in one run, so that another machine gives the same answer.
"""

import sys
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import fcl
import numpy as np
import pytest
from benchmarks.repeated import a_cabinet_of

from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.checking import check
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.envelopes import arms_of, swept_boxes
from routeviz.geometry.frames import facing
from routeviz.geometry.neighbours import least_between
from routeviz.geometry.pieces import Pieces, piece_boxes, points_in
from routeviz.geometry.shapes import HINGED, pose, rims
from routeviz.geometry.sweeps import least_distances
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.measures import measure
from routeviz.tubes.nearing import laid, reach_mm
from routeviz.tubes.routes import Tube

SIZES = (30, 60, 120, 240)
GROWTH = 1.2  # time grows at most as tubes to this power
FASTER = 100  # than the sampling library, given the same pairs
SAMPLED_MM = 0.05  # how finely it samples: what is promised for our intervals
PAIRS_SAMPLED = 300  # of all candidate pairs, drawn at random with the seed below
SEED = 11
REPEATS = 7

Lay = tuple[Cabinet, tuple[Tube, ...]]


@pytest.fixture(scope="module")
def lays(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Lay]:
    """A cabinet of each size, placed and shaped, its kernels compiled."""
    folder: Path = tmp_path_factory.mktemp("cabinets")
    found = {}
    for tubes in SIZES:
        file = folder / f"{tubes}.toml"
        file.write_text(a_cabinet_of(tubes), encoding="utf-8")
        reading = read_scene(file)
        cabinet = place(reading, None)
        found[tubes] = (cabinet, shape(reading, cabinet))
        measure(*found[tubes])
    return found


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Callable[[str], None]:
    """Print past pytest's capture."""

    def printed(text: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n    {text}")

    return printed


def seconds(work: Callable[[], object]) -> float:
    """The least of several times: what the work takes when nothing disturbs it."""
    times = []
    for _ in range(REPEATS):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


def test_how_long_do_120_tubes_take(lays, say):
    cabinet, tubes = lays[120]
    measured = measure(cabinet, tubes)
    for_measures = seconds(lambda: measure(cabinet, tubes))
    for_rules = seconds(lambda: check(cabinet, tubes, measured))
    pieces = sum(len(tube.curve.lengths) for tube in tubes if tube.curve)
    boxes = len(cabinet.bodies.pieces.halves)
    say(f"120 tubes of {pieces / 120:.0f} pieces, {len(cabinet.solids)} solids of {boxes} convex pieces")
    say(f"all measures {for_measures:.3f} s (wanted: at most 0.10)")
    say(f"all measures and all rules {for_measures + for_rules:.3f} s (wanted: at most 0.15)")
    assert len(measured.lengths_mm) == 120


def test_how_does_the_time_grow_with_the_tubes(lays, say):
    times = [seconds(lambda lay=lays[tubes]: check(*lay, measure(*lay))) for tubes in SIZES]
    growth = float(np.polyfit(np.log(SIZES), np.log(times), 1)[0])
    worst = float(np.max(np.diff(np.log(times)) / np.diff(np.log(SIZES))))
    told = ", ".join(f"{tubes}: {taken * 1e3:.0f} ms" for tubes, taken in zip(SIZES, times, strict=True))
    say(f"measures and rules at equal density: {told}; tubes^{growth:.2f}, steepest step tubes^{worst:.2f}")
    assert growth <= GROWTH


def test_how_much_faster_than_sampling_with_a_collision_library(lays, say):
    cabinet, tubes = lays[120]
    drawn, reach = laid(tubes), reach_mm(cabinet)
    chain, radii = drawn.pieces, drawn.radii
    ours = seconds(lambda: least_distances(chain, radii, cabinet.bodies, reach))
    ours += seconds(lambda: least_between(chain, radii, reach, width=SAMPLED_MM))
    draw = np.random.default_rng(SEED)
    theirs, told = 0.0, []
    for name, pairs, shapes_of in (
        ("solids", near_solids(chain, radii, cabinet, reach), lambda piece: posed_shapes(cabinet, piece)),
        ("tubes", near_tubes(chain, radii, reach), lambda other: bars_of(chain, other, radii)),
    ):
        some = pairs[draw.choice(len(pairs), min(PAIRS_SAMPLED, len(pairs)), replace=False)]
        times = [time_of_library(bars_of(chain, p, radii), shapes_of(q)) for p, q in some.tolist()]
        theirs += sum(times) / len(some) * len(pairs)
        told.append(f"{len(pairs)} pairs with {name} ({len(some)} of them sampled)")
    say(f"pieces that may be near: {', '.join(told)}")
    say(f"ours {ours * 1e3:.1f} ms; the library, sampling to {SAMPLED_MM} mm, {theirs:.2f} s for all pairs")
    say(f"that is {theirs / ours:.0f} times as long (wanted: at least {FASTER})")
    assert theirs >= FASTER * ours


def near_solids(chain: Pieces, radii: Floats, cabinet: Cabinet, reach: float) -> Ints:
    """Pieces of tubes and of solids whose boxes, travel included, lie within reach: rows (link, piece)."""
    gaps = apart(piece_boxes(chain), swept_boxes(cabinet.bodies))
    return np.argwhere(gaps <= reach + radii[chain.owners][:, None])


def near_tubes(chain: Pieces, radii: Floats, reach: float) -> Ints:
    """Pieces of two tubes whose boxes lie within reach, each two once: rows (link, link)."""
    boxes, own = piece_boxes(chain), radii[chain.owners]
    near = apart(boxes, boxes) <= reach + own[:, None] + own
    return np.argwhere(near & (chain.owners[:, None] < chain.owners))


def apart(first: tuple[Floats, Floats], second: tuple[Floats, Floats]) -> Floats:
    """How far boxes are from boxes, each given by its lowest and highest corners."""
    gaps = np.maximum(second[0][None] - first[1][:, None], first[0][:, None] - second[1][None]).clip(min=0.0)
    return np.asarray(np.sqrt((gaps * gaps).sum(axis=2)))


def bars_of(chain: Pieces, link: int, radii: Floats) -> list[fcl.CollisionObject]:
    """A piece of tube as bars along chords that leave it by half of what is sampled at most."""
    bend, length = float(chain.curvatures[link]), float(chain.lengths[link])
    radius = float(radii[chain.owners[link]])
    step = 4 * np.arcsin(np.sqrt(SAMPLED_MM / 4 * bend)) if bend > 0 else np.inf
    chords = max(int(np.ceil(bend * length / step)), 1)
    points = points_in(chain, np.full(chords + 1, link), np.linspace(0.0, length, chords + 1))
    found = []
    for begin, end in pairwise(points):
        long = float(np.linalg.norm(end - begin))
        where = fcl.Transform(facing(end - begin), (begin + end) / 2)
        found.append(fcl.CollisionObject(fcl.Capsule(radius, long), where))
    return found


def posed_shapes(cabinet: Cabinet, piece: int) -> list[fcl.CollisionObject]:
    """A piece of a solid at so many places in its travel that no point of it goes farther between two."""
    bodies, pieces = cabinet.bodies, cabinet.bodies.pieces
    body = int(pieces.bodies[piece])
    arm = float(arms_of(bodies)[piece]) if bodies.kinds[body] == HINGED else 1.0
    steps = int(np.ceil(abs(float(bodies.travels[body])) * arm / SAMPLED_MM))
    low, high = rims(pieces, piece)
    rotation = pieces.rotations[piece]
    size = np.ptp(np.concatenate([low, high]) @ rotation, axis=0)
    shape = fcl.Box(*size) if pieces.radii[piece] == 0 else fcl.Cylinder(size[0] / 2, size[2])
    middle = (low.mean(axis=0) + high.mean(axis=0)) / 2
    found = []
    for travel in np.linspace(0.0, 1.0, steps + 1):
        frame = pose(bodies, body, float(travel))
        where = fcl.Transform(frame[:3, :3] @ rotation, frame[:3, :3] @ middle + frame[:3, 3])
        found.append(fcl.CollisionObject(shape, where))
    return found


def time_of_library(first: list[fcl.CollisionObject], second: list[fcl.CollisionObject]) -> float:
    """Seconds for all distances between two lists; that the lists must be made is not counted."""
    request, result = fcl.DistanceRequest(), fcl.DistanceResult()
    begun = time.perf_counter()
    for one in first:
        for other in second:
            fcl.distance(one, other, request, result)
    return time.perf_counter() - begun
