"""Semperflex, "Flexibility and bending radius", semperflex.com/en/industrial-hoses/technical-information.

"The radius is measured to the inner part of the bend." Example: a hose of 70 mm outside (the page says
"external radius", its sum takes it as the diameter) bent by 90 degrees at 450 mm needs 762 mm of hose.
"""

from math import pi

import pytest

from routeviz.tubes.kinking import to_centreline_mm


def test_a_quarter_bend_at_the_converted_radius_has_the_printed_length():
    assert pi / 2 * to_centreline_mm(450, 70) == pytest.approx(762, abs=0.5)


def test_the_outside_taken_as_a_radius_would_not_give_it():
    assert pi / 2 * to_centreline_mm(450, 140) != pytest.approx(762, abs=5)
