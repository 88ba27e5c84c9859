from math import inf, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routeviz.tubes.kinking import (
    Given,
    Wall,
    brazier_radius_mm,
    collapse_vacuum_kpa,
    is_thin_wall,
    least_bend,
    to_centreline_mm,
    vacuum_factor,
)

SIXTY_INCHES_OF_WATER_KPA = 60 * 0.249089  # 1 inH2O = 249.089 Pa (conventional inch of water)


def a_wall(outside_mm=6.0, bore_mm=4.0, material="polyurethane", modulus_mpa=5.0):
    return Wall(outside_mm=outside_mm, bore_mm=bore_mm, material=material, modulus_mpa=modulus_mpa)


def entered(radius_mm):
    return Given(radius_mm=radius_mm, source="entered in the scene")


def test_the_lower_bound_of_a_tracker_tube_is_worked_by_hand():
    # 5/32 in bore, 1/32 in wall: a = 3/32 in = 2.38125 mm, t = 0.79375 mm;
    # 3/sqrt 2 x sqrt(3)/2 = 1.837117; a^2/t = 7.14375 mm; product 13.124 mm.
    assert brazier_radius_mm(25.4 * 7 / 32, 25.4 * 5 / 32) == pytest.approx(13.124, abs=0.001)


def test_the_bound_is_lowest_for_a_material_that_keeps_its_volume():
    assert (
        brazier_radius_mm(6, 4, poisson=0.0) > brazier_radius_mm(6, 4, poisson=0.4) > brazier_radius_mm(6, 4)
    )


@pytest.mark.parametrize(
    ("outside_mm", "bore_mm", "collapse_kpa", "share"),
    [
        # E = 5 MPa, nu = 0.5: 5000 t^3 / (3 a^3) kPa
        (6, 4, 5000 / (3 * 2.5**3), 0.927),
        (8, 6, 5000 / (3 * 3.5**3), 0.785),
        (10, 8, 5000 / (3 * 4.5**3), 0.428),
    ],
)
def test_the_collapse_vacuum_and_what_sixty_inches_of_water_leave(outside_mm, bore_mm, collapse_kpa, share):
    collapse = collapse_vacuum_kpa(outside_mm, bore_mm, 5.0)
    assert collapse == pytest.approx(collapse_kpa, rel=1e-12)
    # the radius left is 1/share of that without vacuum; the shares are printed to three digits
    assert 1 / vacuum_factor(SIXTY_INCHES_OF_WATER_KPA, collapse) == pytest.approx(share, abs=0.0006)


def test_a_wide_soft_tube_falls_flat_at_sixty_inches_of_water():
    least = least_bend(a_wall(12, 10), vacuum_kpa=SIXTY_INCHES_OF_WATER_KPA)
    assert least.radius_mm == inf
    assert least.collapses
    assert "collapses straight: this tube falls flat at 10.0 kPa (thick wall: indicative)" in least.words


def test_collapse_is_told_apart_from_just_holding():
    collapse = collapse_vacuum_kpa(12, 10, 5.0)
    assert least_bend(a_wall(12, 10), vacuum_kpa=collapse).collapses
    assert not least_bend(a_wall(12, 10), vacuum_kpa=collapse * 0.999).collapses


def test_an_inner_radius_gains_half_the_outside():
    assert to_centreline_mm(50.0, 16.0) == 58.0


def test_thin_is_radius_over_wall_above_ten():
    assert is_thin_wall(21.2, 19.2)  # a = 10.1, t = 1
    assert not is_thin_wall(20.8, 18.8)  # a = 9.9, t = 1


def test_the_rule_for_polyurethane_with_its_words():
    least = least_bend(a_wall())
    assert least.radius_mm == pytest.approx(0.71 * 36 / 1)
    assert (least.basis, least.caution_mm, least.collapses) == ("rule", None, False)
    assert least.words == (
        "by rule for polyurethane, no maker's figure entered: 0.71 x outside^2 / wall = "
        "0.71 x 6.00^2 / 1.00 = 25.6 mm to the centreline, "
        "not below 2.5 x outside = 15.0 mm"
    )


def test_a_vacuum_widens_the_rule():
    wall = a_wall()
    least = least_bend(wall, vacuum_kpa=20.0)
    assert least.radius_mm == pytest.approx(25.56 / sqrt(1 - 20.0 / wall.collapse_kpa))
    assert "with 20.0 kPa of vacuum 28.4 mm: this tube falls flat at 106.7 kPa" in least.words


def test_a_rule_without_a_modulus_says_that_the_vacuum_is_not_counted():
    least = least_bend(a_wall(modulus_mpa=None), vacuum_kpa=20.0)
    assert least.radius_mm == pytest.approx(25.56)
    assert least.words.endswith("vacuum not counted: no modulus entered")


def test_a_thick_wall_is_held_to_two_and_a_half_outsides():
    # 0.71 x 8^2 / 3 = 15.1 < 2.5 x 8 = 20
    assert least_bend(a_wall(8, 2)).radius_mm == 20.0


def test_a_makers_figure_stands_even_below_the_bound_and_under_vacuum():
    wall = a_wall(12, 10)
    least = least_bend(wall, given=Given(radius_mm=9.0, source="maker's table"), vacuum_kpa=20.0)
    assert (least.radius_mm, least.basis, least.caution_mm) == (9.0, "given", None)
    assert least.words == "9.0 mm to the centreline: maker's table"
    assert least.radius_mm < least.floor_mm
    assert least.collapses


@pytest.mark.parametrize(
    "material", ["gum rubber", "latex", "neoprene", "vinyl", "silicone", "other", "wire"]
)
def test_soft_tubing_without_a_figure_has_none_and_says_what_to_do(material):
    least = least_bend(a_wall(material=material))
    assert (least.radius_mm, least.basis) == (None, "none")
    assert least.words == (
        f"no published least bend for {material}: bend your own tube until it begins to flatten, "
        "measure the radius to its middle, and enter it as least_bend"
    )


def test_lead_is_not_to_be_bent_again():
    least = least_bend(a_wall(material="lead", modulus_mpa=16100.0))
    assert least.radius_mm is None
    assert "leave old lead tube as it lies" in least.words


def test_a_vacuum_in_soft_tubing_is_a_caution_beside_the_figure():
    wall = a_wall(10, 8, "vinyl")
    least = least_bend(wall, given=entered(40.0), vacuum_kpa=10.0)
    assert least.radius_mm == 40.0
    assert least.caution_mm == pytest.approx(40.0 / sqrt(1 - 10.0 / wall.collapse_kpa))
    assert "with 10.0 kPa of vacuum 59.4 mm: this tube falls flat at 18.3 kPa" in least.words


def test_soft_tubing_without_vacuum_needs_no_caution():
    assert least_bend(a_wall(10, 8, "vinyl"), given=entered(40.0)).caution_mm is None


def test_a_wire_has_no_floor():
    assert least_bend(a_wall(material="wire"), given=entered(5.0)).floor_mm == 0.0


@pytest.mark.parametrize(
    ("outside_mm", "bore_mm", "modulus_mpa"),
    [(4, 4, 1), (4, 5, 1), (4, -1, 1), (inf, 1, 1), (4, 2, 0), (4, 2, inf)],
)
def test_what_is_no_tube_is_refused(outside_mm, bore_mm, modulus_mpa):
    with pytest.raises(ValueError, match="wanted"):
        a_wall(outside_mm, bore_mm, modulus_mpa=modulus_mpa)


@pytest.mark.parametrize(("radius_mm", "source"), [(0.0, "x"), (inf, "x"), (10.0, " ")])
def test_a_figure_needs_a_radius_and_a_source(radius_mm, source):
    with pytest.raises(ValueError, match="wanted"):
        Given(radius_mm=radius_mm, source=source)


@pytest.mark.parametrize(("vacuum_kpa", "collapse_kpa"), [(-1, 10), (1, 0)])
def test_a_vacuum_that_cannot_be_is_refused(vacuum_kpa, collapse_kpa):
    with pytest.raises(ValueError, match="wanted"):
        vacuum_factor(vacuum_kpa, collapse_kpa)


@settings(max_examples=200)
@given(
    outside_mm=st.floats(2, 60),
    share=st.floats(0.05, 0.95),
    modulus_mpa=st.floats(0.5, 500),
    vacuum_kpa=st.floats(0, 60),
    material=st.sampled_from(["polyurethane", "polyamide", "fluoropolymer"]),
)
def test_the_rule_is_never_below_its_floor_and_grows_with_the_vacuum(
    outside_mm, share, modulus_mpa, vacuum_kpa, material
):
    wall = a_wall(outside_mm, share * outside_mm, material, modulus_mpa)
    calm, drawn = least_bend(wall), least_bend(wall, vacuum_kpa=vacuum_kpa)
    assert calm.floor_mm <= calm.radius_mm <= drawn.radius_mm
    assert drawn.collapses == (drawn.radius_mm == inf)


@settings(max_examples=50)
@given(scale=st.floats(0.1, 10))
def test_the_rule_scales_with_the_section(scale):
    assert least_bend(a_wall(6 * scale, 4 * scale)).radius_mm == pytest.approx(25.56 * scale)
