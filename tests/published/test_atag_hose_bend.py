"""ATAG, "Flexibility and bending radius", atag-europe.com/en/details/types-of-flexible-hoses.

Example: a hose of 90 mm outside bent by 90 degrees at 400 mm needs "at least 700 mm". The sum gives 699.0,
which the page rounds up.
"""

from math import pi

import pytest

from routeviz.tubes.kinking import to_centreline_mm


def test_a_quarter_bend_at_the_converted_radius_has_the_printed_length():
    assert pi / 2 * to_centreline_mm(400, 90) == pytest.approx(700, abs=1.1)
