"""collapse on both sides of its limits.

p = E t^3 / (4 (1 - nu^2) a^3), Roark's Formulas for Stress and Strain, table 35, case 19a: with wall 1, mean
radius 5.5 and nu 0.5 that is E / (3 x 166.375), 2.00351 kPa for each MPa. The instrument makes 6.2 kPa.
"""

import pytest
from builders import with_tubing
from verdicts import a_tube_up, findings, severity


@pytest.mark.parametrize(
    ("modulus", "expected"), [(3.05, "fault"), (3.15, "caution"), (4.6, "caution"), (4.7, None)]
)
def test_tubing_that_its_vacuum_flattens(tmp_path, modulus, expected):
    # 6.11, 6.31, 9.22 and 9.42 kPa; below 6.2 it falls flat, below 1.5 x 6.2 = 9.3 it is a caution
    found = findings(
        tmp_path, "collapse", a_tube_up(), with_tubing("note", bore=10, outside=12, modulus=modulus)
    )
    assert severity(found) == expected
    if found:
        assert (found[0].tube, found[0].other, found[0].unit) == (None, "note", "kPa")
        assert found[0].low == pytest.approx(modulus * 1000 / (3 * 5.5**3), rel=1e-6)
        assert found[0].tubes == ("a",)


def test_a_wire_does_not_collapse_and_unknown_stiffness_is_not_judged(tmp_path):
    thin = {"bore": 10, "outside": 12}
    wire = a_tube_up(carries="wire")
    assert findings(tmp_path, "collapse", wire, with_tubing("note", **thin, modulus=1.0)) == []
    assert findings(tmp_path, "collapse", a_tube_up(), with_tubing("note", **thin, modulus=None)) == []
