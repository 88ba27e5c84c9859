"""Zeus, "Bend Radius": PTFE tubing, industrial wall.

zeusinc.com/resources/summary-material-properties/bend-radius. Wall 0.030 in except the first row, 0.015
in. The page does not say to which side; it is taken to the centreline. The last row contradicts the
others: at the wall of the table's heading it lies below the elastic limit, so either its wall is
thicker than the heading says, or the material flows. It is kept here, and named.
"""

import pytest

from routeviz.tubes.kinking import Given, Wall, brazier_radius_mm, least_bend

# bore in, wall in, bend radius in
ROWS = [
    (1 / 32, 0.015, 0.330),
    (1 / 16, 0.030, 0.688),
    (3 / 32, 0.030, 1.000),
    (1 / 8, 0.030, 1.625),
    (3 / 16, 0.030, 2.000),
    (1 / 4, 0.030, 3.250),
    (5 / 16, 0.030, 4.000),
    (3 / 8, 0.030, 4.500),
    (7 / 16, 0.030, 4.750),
]
ONE_INCH = (1.0, 0.030, 6.000)


def tube(bore, wall):
    return Wall(outside_mm=25.4 * (bore + 2 * wall), bore_mm=25.4 * bore, material="fluoropolymer")


@pytest.mark.parametrize(("bore", "wall", "radius"), ROWS)
def test_each_row_lies_above_the_lower_bound(bore, wall, radius):
    section = tube(bore, wall)
    assert 1.38 < 25.4 * radius / brazier_radius_mm(section.outside_mm, section.bore_mm) < 5.3


@pytest.mark.parametrize(("bore", "wall", "radius"), [*ROWS, ONE_INCH])
def test_each_row_is_covered_by_the_rule(bore, wall, radius):
    assert least_bend(tube(bore, wall)).radius_mm >= 25.4 * radius


def test_the_tightest_fit_of_the_rule_is_the_eighth_inch_row():
    factors = {bore: radius * wall / (bore + 2 * wall) ** 2 for bore, wall, radius in ROWS}
    assert max(factors, key=factors.get) == 1 / 8
    assert factors[1 / 8] == pytest.approx(1.4244, abs=1e-4)


def test_the_one_inch_row_is_below_the_bound_and_stands_all_the_same():
    bore, wall, radius = ONE_INCH
    section = tube(bore, wall)
    least = least_bend(section, given=Given(radius_mm=25.4 * radius, source="maker's table"))
    assert 25.4 * radius < 0.4 * brazier_radius_mm(section.outside_mm, section.bore_mm)
    assert least.radius_mm == 25.4 * radius < least.floor_mm
