"""papurex, "Flexibility: one of the key characteristics of polyurethane tubing".

papurex.de/en/2023/02/flexibility. Outside 16 mm: 55 mm for polyether, 65 mm for polyester polyurethane.
The bore is not given.
"""

import pytest

from routeviz.tubes.kinking import Wall, brazier_radius_mm, least_bend


@pytest.mark.parametrize(("radius_mm", "thickest_mm"), [(55, 3.25), (65, 2.75)])
def test_the_rule_covers_both_figures_up_to_a_wall_of_a_sixth_of_the_outside(radius_mm, thickest_mm):
    # 0.71 x 16^2 / t >= R, so t <= 181.8 / R: 3.305 and 2.796 mm
    section = Wall(outside_mm=16, bore_mm=16 - 2 * thickest_mm, material="polyurethane")
    assert least_bend(section).radius_mm >= radius_mm
    assert brazier_radius_mm(section.outside_mm, section.bore_mm) < radius_mm
    assert least_bend(section).floor_mm < radius_mm


def test_beyond_that_wall_the_rule_asks_for_less_than_the_maker():
    """The rule is no maker: of a wall of 3 mm at 16 mm outside it asks 60.6 mm."""
    assert least_bend(Wall(outside_mm=16, bore_mm=10, material="polyurethane")).radius_mm < 65
