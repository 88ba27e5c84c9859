"""The smallest of the benchmarks' invented cabinets: its witness is legal by the separate checker.

All seeds and sizes are in tests/benchmarks/test_cabinets.py, on request.
"""

import ast
import math
import tomllib
from pathlib import Path

import pytest
from benchmarks import cabinets, openings, ribbons, scene_text, straight, woodwork
from benchmarks.cabinets import a_cabinet, an_impossible_twin, packing_bound, packing_found
from benchmarks.witnesses import laid_in, least_between, least_beyond_limits
from verifier.distances import SOLVER

SMALL = 12  # tubes
HALF = 0.5  # beyond every limit
SAMPLING = 0.03  # of the keys' travel
# Two holes of a row at nine to the inch are 2 / 9 in apart; on a nipple of 3.969 a tube of 5.16, bore 3.57,
# keeps its section and is sqrt(5.16^2 - 3.57^2 + 3.969^2) = 5.443 wide: first principles.
AT_THE_BAR = 50.8 / 9 - math.sqrt(5.16**2 - 3.57**2 + 3.969**2)


@pytest.fixture(scope="module")
def laid(tmp_path_factory):
    path = tmp_path_factory.mktemp("cabinet") / "small.toml"
    path.write_text(a_cabinet(0, SMALL).laid(), encoding="utf-8")
    return laid_in(path)


def test_the_generator_imports_numpy_and_nothing_else_from_outside():
    allowed = {"numpy", "benchmarks", "collections", "dataclasses", "itertools", "typing", "sys"}
    for module in (cabinets, openings, ribbons, scene_text, straight, woodwork):
        for node in ast.walk(ast.parse(Path(module.__file__).read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert {name.split(".")[0] for name in names} <= allowed, module.__file__


def test_a_seed_gives_the_same_bytes_again_and_another_seed_others():
    assert a_cabinet(3, SMALL) == a_cabinet(3, SMALL)
    assert a_cabinet(3, SMALL).text != a_cabinet(4, SMALL).text


def test_a_scene_says_nothing_of_its_witness():
    cabinet = a_cabinet(0, SMALL)
    tubes = tomllib.loads(cabinet.text)["tubes"]
    assert len(tubes) == SMALL
    assert all(set(tube) == {"name", "from", "to", "tubing"} for tube in tubes)
    holes = [int(tube["from"].split()[-1]) for tube in tubes]
    assert holes != sorted(holes)


def test_the_witness_keeps_half_a_millimetre_beyond_every_limit(laid):
    least = least_beyond_limits(*laid)
    assert HALF - SAMPLING - SOLVER <= least <= HALF + 0.1, "not free, or not tight"


def test_the_witness_keeps_its_tubes_as_far_apart_as_the_bar_does(laid):
    assert least_between(*laid) == pytest.approx(AT_THE_BAR, abs=4 * SOLVER)


def test_what_openings_hold_by_hand():
    # room for centres 46.44 x 0: nine spaces of 5.16, ten tubes
    assert packing_found(46.44 + 5.16 + 4, 5.16 + 4) == 10
    # 15.5 x 15.5: three spaces of 5.16 are 15.48, so four rows of four; staggered, 4, 3, 4, 3
    assert packing_found(15.5 + 9.16, 15.5 + 9.16) == 16
    # a room of 10 x 10: 2 * 100 / (1.7321 * 5.11^2) + 20 / 5.11 + 1 = 4.42 + 3.91 + 1, and with 0.05 less
    # to be free all round, 10.1 x 10.1: 4.51 + 3.95 + 1 = 9.46
    assert packing_bound(10 + 9.16, 10 + 9.16) == 9


@pytest.mark.parametrize("seed", range(4))
def test_an_impossible_twin_must_send_more_through_a_passage_than_it_is_proven_to_hold(seed):
    text, told = an_impossible_twin(seed, SMALL)
    board, name = told.passage.split()
    openings = tomllib.loads(text)["part"][board]["opening"]
    size = openings.pop(name)["size"]
    others = sum(min(one["most"], packing_bound(*one["size"].values())) for one in openings.values())
    assert told.at_most == packing_bound(size["wide"], size["deep"])
    assert packing_found(size["wide"], size["deep"]) <= told.at_most
    assert others <= told.elsewhere
    assert told.elsewhere + told.at_most < told.tubes == SMALL == told.elsewhere + told.must
