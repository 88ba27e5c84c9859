"""One suite over every scene in scenes/: a new scene needs no new test.

What a scene is made to show stands in its [[expect]] entries, each with where its value comes from: by hand,
or the separate checker in tests/verifier, which reads the same files and shares nothing with the package.
"""

import dataclasses
import json
from collections import Counter
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from verifier.chords import chords_of
from verifier.distances import NOTHING, SOLVER
from verifier.lays import Laid, case_of, tube_to_thing, tube_to_tube, tubing
from verifier.pairs import perhaps_near_things, perhaps_near_tubes
from verifier.tubes import centreline

from routeviz.checks.findings import Finding
from routeviz.lay import Lay
from routeviz.pipeline import check_scene

SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))
PROVEN = 0.05  # how wide a measured interval may be, mm
TOLERANCE = {
    "mm": PROVEN,
    "deg": 0.05,
    "kPa": 0.05,
    "percent": 0.05,
    "tubes": 0,
    "nipples": 0,
    "crossings": 0,
}


@pytest.fixture(scope="module", params=SCENES, ids=lambda path: path.stem)
def path(request) -> Path:
    return request.param


@pytest.fixture(scope="module")
def lay(path: Path) -> Lay:
    return check_scene(path)


@pytest.fixture(scope="module")
def apart(path: Path):
    """The scene as the separate checker reads it."""
    return case_of(path)


def test_it_opens_by_saying_what_it_shows_and_what_to_expect(path):
    comment = []
    for line in path.read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            break
        comment.append(line)
    assert len(comment) >= 3
    assert "expect" in " ".join(comment).casefold()


def test_everything_in_it_has_a_name_of_its_own(lay):
    for names in (
        [solid.name for solid in (*lay.cabinet.solids, *lay.cabinet.keep_clear)],
        [tube.name for tube in lay.tubes],
        [tube.tag for tube in lay.tubes],
    ):
        assert all(names)
        assert len(set(names)) == len(names)


def test_the_same_findings_come_out_twice(path, lay):
    assert as_bytes(check_scene(path).findings) == as_bytes(lay.findings)


def test_its_findings_are_exactly_those_that_it_says_to_expect(lay):
    expected = Counter((e.rule, e.severity, e.tube, e.other) for e in lay.reading.scene.expect)
    found = Counter((f.rule, f.severity, f.tube, f.other) for f in lay.findings)
    assert found - expected == Counter(), "found, but not expected"
    assert expected - found == Counter(), "expected, but not found"


def test_their_values_are_those_that_were_reckoned_apart(lay):
    found = {(f.rule, f.severity, f.tube, f.other): f for f in lay.findings}
    for expected in lay.reading.scene.expect:
        finding = found[expected.rule, expected.severity, expected.tube, expected.other]
        if finding.low is None:
            assert expected.value is None
            continue
        assert expected.value is not None, f"no value expected of: {finding.says}"
        assert expected.reckoned, f"nobody says where the value of this comes from: {finding.says}"
        room = TOLERANCE[finding.unit]
        high = finding.low if finding.high is None else finding.high
        assert finding.low - room - 1e-9 <= expected.value <= high + room + 1e-9, finding.says


def test_the_separate_checker_finds_the_same_nipples(lay, apart):
    for name, nipple in lay.cabinet.nipples.items():
        if name in apart.nipples:
            assert nipple.tip == pytest.approx(apart.nipples[name].tip, abs=1e-6), name
            assert nipple.direction == pytest.approx(apart.nipples[name].direction, abs=1e-9), name


def test_the_separate_checker_finds_the_same_clearances(lay, apart):
    solids = {solid.name: i for i, solid in enumerate(lay.cabinet.solids)}
    near = {(n.tube, n.other): n for n in lay.measured.solids}
    reach, tubes = lay.measured.reach_mm, laid(lay, apart)
    chords = chords_of(apart, [tube for _, tube in tubes])
    perhaps = set(perhaps_near_things(apart, chords, reach))
    for number, (index, tube) in enumerate(tubes):
        for name in solids.keys() & apart.things.keys():
            is_perhaps = (number, name) in perhaps
            other = tube_to_thing(apart, tube, apart.things[name], reach) if is_perhaps else NOTHING
            agree(near.get((index, solids[name])), other, reach, f"{lay.tubes[index].name} and {name}")
    assert perhaps


def test_the_separate_checker_finds_the_same_room_between_tubes(lay, apart):
    near = {(n.tube, n.other): n for n in lay.measured.tubes}
    reach, tubes = lay.measured.reach_mm, laid(lay, apart)
    perhaps = set(perhaps_near_tubes(chords_of(apart, [tube for _, tube in tubes]), reach))
    for (i, (first, one)), (j, (second, other)) in combinations(enumerate(tubes), 2):
        names = f"{lay.tubes[first].name} and {lay.tubes[second].name}"
        found = tube_to_tube(apart, one, other, reach) if (i, j) in perhaps else NOTHING
        agree(near.get((first, second)), found, reach, names)


def agree(ours, theirs, reach, names):
    """The checker samples, so what it finds is not below the proven interval, and above it by little."""
    if ours is None:
        assert theirs.distance > reach - 2 * SOLVER, names
        return
    assert ours.high_mm - ours.low_mm <= PROVEN, names
    if ours.high_mm <= reach:
        assert ours.low_mm - 4 * SOLVER <= theirs.distance, names
        assert theirs.distance <= ours.high_mm + theirs.sampling + 4 * SOLVER, names


def laid(lay: Lay, apart) -> list[tuple[int, Laid]]:
    """Every tube with a centreline, by the corners and radii that were shaped; all else is read apart."""
    found = []
    for index, tube in enumerate(lay.tubes):
        if tube.curve is not None:
            bore, outside = tubing(apart, tube.kind.name)
            ends = tuple(end.nipple for end in (tube.start, tube.end))
            ties = tuple((tie.along_mm, tie.to) for tie in tube.ties)
            line = centreline(tube.corners, tube.radii)
            found.append((index, Laid(line, bore, outside, ends, ties)))
    return found


def as_bytes(findings: tuple[Finding, ...]) -> bytes:
    """Findings as JSON, every digit of every number."""
    rows = [{f.name: getattr(one, f.name) for f in dataclasses.fields(one)} for one in findings]
    return json.dumps(rows, default=np.ndarray.tolist).encode()
