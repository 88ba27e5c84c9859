"""F. V. Rohde, Large deflections of a cantilever beam with uniformly distributed load, Quarterly of Applied
Mathematics 11 (1953), 337-338: the tip's drop, shortening and angle, over beta = w L^3 / (E I).
The digits are from memory of the paper, recomputed as a boundary value problem before they were written here.
"""

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from routeviz.records.droop import GRAVITY_M_S2, beta_of, drooping, modulus_mpa, shapes

ROHDE = [  # beta, drop / L, shortening / L, angle of the tip in radians
    (1, 0.12347, 0.00875, 0.16512),
    (2, 0.23851, 0.03311, 0.32159),
    (5, 0.49591, 0.15334, 0.69700),
    (10, 0.70020, 0.34365, 1.05264),
    (20, 0.82988, 0.55477, 1.33950),
]


@pytest.mark.parametrize(("beta", "drop", "shortening", "_tip"), ROHDE)
def test_the_load_that_follows_from_a_droop(beta, drop, shortening, _tip):
    # A digit more or less in the last place of the drop changes beta by up to 1.2e-4 of it at 20.
    assert beta_of(drop) == pytest.approx(beta, rel=2e-4)


@pytest.mark.parametrize(("_beta", "drop", "shortening", "_tip"), ROHDE)
def test_the_tip_of_the_drawn_shape(_beta, drop, shortening, _tip):
    across, down = shapes([drop])[0][-1]
    assert down == pytest.approx(drop, abs=5e-5)
    assert across == pytest.approx(1 - shortening, abs=5e-5)


def test_a_small_droop_is_that_of_the_straight_beam():
    # w L^4 / (8 E I), good to 1.2 % up to beta = 1 and closer as the square of it below.
    found = drooping()
    assert found.drop[0] == pytest.approx(found.beta[0] / 8, rel=1e-4)
    assert beta_of(0.025) == pytest.approx(0.2, rel=1e-3)


@pytest.mark.parametrize("beta", [0.5, 3.0, 7.0, 15.0, 40.0])
def test_a_general_solver_of_boundary_values_agrees(beta):
    def rates(s, y):
        return np.vstack([y[1], -beta * (1 - s) * np.cos(y[0]), np.sin(y[0])])

    def ends(clamp, tip):
        return np.array([clamp[0], tip[1], clamp[2]])

    s = np.linspace(0, 1, 400)
    guess = np.vstack([1.2 * np.sin(s), 1.2 * np.cos(s), s**2 / 2])
    solved = solve_bvp(rates, ends, s, guess, tol=1e-9, max_nodes=50_000)
    assert solved.status == 0
    assert beta_of(float(solved.y[2, -1])) == pytest.approx(beta, rel=2e-4)


def test_the_modulus_of_a_tube_that_was_made_up():
    # 6 x 4 mm, E = 6 MPa, 1.2 g/cm3: I = pi/64 (6^4 - 4^4), w = pi/4 (6^2 - 4^2) rho g.
    inertia, area = np.pi / 64 * (6**4 - 4**4), np.pi / 4 * (6**2 - 4**2)
    beta = area * 1.2e-6 * GRAVITY_M_S2 * 200.0**3 / (6.0 * inertia)
    drops = np.linspace(0.05, 0.85, 400)
    droop = float(np.interp(beta, [beta_of(d) for d in drops], drops))
    assert modulus_mpa(droop, 200.0, (6.0, 4.0), 1.2) == pytest.approx(6.0, rel=1e-3)


@pytest.mark.parametrize("drop", [0.0, 0.019, 0.91, 1.0])
def test_a_droop_that_says_nothing_is_refused(drop):
    with pytest.raises(ValueError, match="a drop of"):
        beta_of(drop)
