"""Every invented cabinet is a fair one: the package takes it, its witness is legal, its twin cannot be laid.

Run by ``pytest tests/benchmarks/test_cabinets.py``; a table is printed. The separate checker is asked of some
cabinets only, for it takes minutes a cabinet.
"""

import sys
from pathlib import Path

import pytest
from benchmarks.cabinets import a_cabinet, an_impossible_twin, table
from benchmarks.witnesses import laid_in, least_between, least_beyond_limits
from shapely import Polygon
from verifier.distances import SOLVER

from routeviz.cabinet.placing import place
from routeviz.geometry.packing import holds
from routeviz.lay import Lay
from routeviz.pipeline import check_scene
from routeviz.scene.reading import read_scene

SEEDS = range(20)
CABINETS = [(seed, tubes) for tubes in (30, 120) for seed in SEEDS] + [(0, 60), (1, 60), (0, 240), (1, 240)]
APART = [(0, 30), (1, 30), (2, 30), (0, 120)]
HALF = 0.5
INTERVAL = 0.05  # of a measured clearance
SAMPLING = 0.03  # of the keys' travel


def written(folder: Path, text: str) -> Path:
    path = folder / "cabinet.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(("seed", "tubes"), CABINETS)
def test_the_package_finds_nothing_to_say_of_the_witness(seed, tubes, tmp_path):
    lay = check_scene(written(tmp_path, a_cabinet(seed, tubes).laid()))
    assert [finding.says for finding in lay.findings] == []
    assert len(lay.tubes) == tubes
    assert HALF - INTERVAL <= least_beyond(lay) <= HALF + 0.15


def least_beyond(lay: Lay) -> float:
    solids = lay.cabinet.solids
    limits = lay.cabinet.limits
    return min(
        near.low_mm - (limits.moving_mm if solids[near.other].name.startswith("keys ") else limits.fixed_mm)
        for near in lay.measured.solids
    )


@pytest.mark.parametrize(("seed", "tubes"), APART)
def test_the_separate_checker_finds_the_same(seed, tubes, tmp_path):
    laid = laid_in(written(tmp_path, a_cabinet(seed, tubes).laid()))
    assert HALF - SAMPLING - SOLVER <= least_beyond_limits(*laid) <= HALF + 0.1
    assert least_between(*laid) > 0.19  # at the bar, see tests/verifier/test_cabinets.py


@pytest.mark.parametrize(("seed", "tubes"), CABINETS)
def test_it_counts(seed, tubes):
    figures = a_cabinet(seed, tubes).figures
    assert figures.failing >= 0.5
    assert figures.crowded_out >= 0.3
    assert all(0.5 <= fill <= 0.9 for fill in figures.fills)


@pytest.mark.parametrize(("seed", "tubes"), CABINETS)
def test_its_twin_is_impossible_by_the_package_too(seed, tubes, tmp_path):
    text, told = an_impossible_twin(seed, tubes)
    cabinet = place(read_scene(written(tmp_path, text)))
    outside, fixed = cabinet.tubing["note"].outside_mm, cabinet.limits.fixed_mm
    passage = cabinet.passages[told.passage]
    assert holds(Polygon(passage.outline), outside, clearance=fixed).bound < told.must
    board = told.passage.split()[0]
    others = [one.most for name, one in cabinet.passages.items() if name.split()[0] == board]
    others.remove(passage.most)
    assert sum(others) == told.elsewhere == told.tubes - told.must


@pytest.mark.parametrize("tubes", [30, 120])
def test_table(tubes, capsys):
    text = table(tubes, len(SEEDS))
    with capsys.disabled():
        sys.stdout.write("\n" + text)
    assert len(text.splitlines()) == len(SEEDS) + 1
