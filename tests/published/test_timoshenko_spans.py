"""S. Timoshenko, Strength of Materials, part I: uniformly loaded beam, clamped and simply supported.

Deflection at the middle w L^4 / (384 E I) and 5 w L^4 / (384 E I) (from memory). Beside the printed factors
stands another method: the beam's equation E I y'''' = w solved by finite differences.
"""

import numpy as np
import pytest

from routeviz.tubes.hanging import sag_mm


def middle_by_differences(clamped, cells=400):
    """Return y(1/2) of y'''' = 1 on [0, 1]; pinned ends by odd, clamped ends by even reflection."""
    n, edge = cells - 1, 7.0 if clamped else 5.0
    matrix = sum(
        np.diag(np.full(n - abs(k), v), k) for k, v in ((-2, 1.0), (-1, -4.0), (0, 6.0), (1, -4.0), (2, 1.0))
    )
    matrix[0, 0] = matrix[-1, -1] = edge
    return np.linalg.solve(matrix, np.full(n, 1.0 / cells**4))[n // 2]


@pytest.mark.parametrize(("end", "printed"), [(0, 1 / 384), (1, 5 / 384)])
def test_the_printed_factors(end, printed):
    assert sag_mm(1.0, 1.0, 1.0)[end] == pytest.approx(printed, rel=1e-14)
    assert middle_by_differences(clamped=end == 0) == pytest.approx(
        printed, rel=1e-3
    )  # second order in 1/400


def test_span_weight_and_stiffness_enter_as_the_formula_says():
    clamped, pinned = sag_mm(200.0, 306.3, 1.8485e-4)
    assert clamped == pytest.approx(1.8485e-4 * 1.6e9 / (384 * 306.3), rel=1e-14)
    assert pinned == pytest.approx(5 * clamped, rel=1e-14)
