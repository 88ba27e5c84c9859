"""BTR, "How to define the bending radius", btr.nl/en/buigradius: mandrel-built hoses, 6 x inside diameter.

The radius "of the smallest possible circle" to which the hose can be bent; giltec.be/Buigingsradius.htm says
"around which". Hence to the inner side.
"""

import tomllib
from pathlib import Path

import pytest

from routeviz.tubes.kinking import brazier_radius_mm, to_centreline_mm

TUBING = Path(__file__).parents[2] / "models" / "tubing"


@pytest.mark.parametrize(
    ("name", "bore_in", "outside_in", "inner_in", "written"),
    [
        ("supply_hose_3-4", 0.75, 1.0, 4.5, "4 1/2 in"),
        ("supply_hose_1-1-4", 1.25, 1.5, 7.5, "7 1/2 in"),
    ],
)
def test_the_supply_hoses_take_six_bores_to_the_inner_side(name, bore_in, outside_in, inner_in, written):
    model = tomllib.loads((TUBING / f"{name}.toml").read_text(encoding="utf-8"))
    assert model["least_bend_inner"] == written
    assert inner_in == 6 * bore_in
    centreline = to_centreline_mm(25.4 * inner_in, 25.4 * outside_in)
    assert centreline > brazier_radius_mm(25.4 * outside_in, 25.4 * bore_in)
