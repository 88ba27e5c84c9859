"""No bend of a plan is tighter than its tubing allows, vacuum counted, nor forgiven by the checks alone."""

import math
from pathlib import Path

import pytest
from benchmarks.cabinets import a_cabinet
from builders import written

from routeviz.laying import plan_scene

TUBES = 30
AIM = 0.05  # beyond the limit, in mm: what the checks forgive below it is not to be used
GRAIN = 1e-3  # of what is written
# The cabinets' tubing: gum rubber, for which vacuum counts; as entered there, with 3 MPa.
OUTSIDE, BORE, MODULUS_KPA, LEAST = 5.16, 3.57, 3000.0, 20.6


def least_bend(vacuum_kpa: float) -> float:
    """A ring collapses at p_c = E t^3 / (4 (1 - nu^2) a^3), nu 0.5 for rubber (Bryan, Levy); under vacuum
    a tube flattens in a bend that is wider by 1 / sqrt(1 - p / p_c).
    """
    wall, mean = (OUTSIDE - BORE) / 2, (OUTSIDE + BORE) / 4
    return LEAST / math.sqrt(1 - vacuum_kpa / (MODULUS_KPA * wall**3 / (4 * 0.75 * mean**3)))


@pytest.mark.parametrize(("seed", "vacuum_kpa"), [(0, 0.0), (0, 15.0), (1, 15.0)])
def test_no_bend_of_a_full_cabinet_is_tighter_than_is_aimed_at(
    tmp_path: Path, seed: int, vacuum_kpa: float
) -> None:
    text = a_cabinet(seed, TUBES).text
    for table in ("[clearance]", "[tubing.note]"):
        assert text.count(table) == 1
    text = text.replace("[clearance]", f"[practice]\nvacuum_kpa = {vacuum_kpa}\n\n[clearance]")
    text = text.replace("[tubing.note]", '[tubing.note]\nmaterial = "gum rubber"')
    for said in (f"outside = {OUTSIDE}", f"bore = {BORE}", f"least_bend = {LEAST}", "modulus = 3"):
        assert f"{said}\n" in text
    plan = plan_scene(written(tmp_path, text), fresh=True).plan
    assert plan is not None
    assert len(plan.tubes) == TUBES
    tightest = min(float(tube.radii.min()) for tube in plan.tubes)
    assert tightest >= least_bend(vacuum_kpa) + AIM - GRAIN
