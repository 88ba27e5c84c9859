"""Roark's Formulas for Stress and Strain, table 35, case 19a: very long tube, free ends, outside pressure.

Worked example as printed in the worksheet of that case, studylib.net/doc/26029783: r = 6.75 in, t = 0.375 in,
E = 29e6 psi, nu = 0.290; critical pressure 1.357 x 10^3 psi. The case demands r/t > 10.
"""

import pytest

from routeviz.tubes.kinking import collapse_vacuum_kpa, is_thin_wall

KPA_IN_A_PSI = 6.894757


def test_the_worked_example():
    outside_mm, bore_mm = 25.4 * (2 * 6.75 + 0.375), 25.4 * (2 * 6.75 - 0.375)
    modulus_mpa = 29e6 * KPA_IN_A_PSI / 1000
    collapse = collapse_vacuum_kpa(outside_mm, bore_mm, modulus_mpa, poisson=0.290)
    assert collapse / KPA_IN_A_PSI == pytest.approx(1357, abs=0.5)  # four digits are printed
    assert is_thin_wall(outside_mm, bore_mm)


def test_tracker_tubing_is_outside_the_case_s_demand():
    assert not is_thin_wall(25.4 * 13 / 64, 25.4 * 9 / 64)
