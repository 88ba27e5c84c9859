"""L. G. Brazier, "On the flexure of thin cylindrical shells and other thin sections".

Proc. R. Soc. A 116 (1927) 104; in the notation of C. R. Calladine, Theory of Shell Structures (1983),
ch. 16, both from memory: with wall t, mean radius a, h = t / sqrt(1 - nu^2) and c = curvature x a^2 /
h, the moment peaks at c = sqrt(2)/3 with a flattening of 2/9 of the radius. Here the energy is
minimised by number, without Brazier's algebra: once with his assumptions (one harmonic, first order in
the flattening), once for the whole ring, inextensional, with finite rotations.
"""

from math import pi, sqrt

import numpy as np
import pytest
from scipy.optimize import brentq, minimize, minimize_scalar

from routeviz.tubes.kinking import brazier_radius_mm, vacuum_factor

ANGLES = (np.arange(720) + 0.5) * 2 * pi / 720


def limit_curvature(outside_mm, bore_mm, poisson):
    """Return c at the radius that the package gives."""
    wall, mean_radius = (outside_mm - bore_mm) / 2, (outside_mm + bore_mm) / 4
    h = wall / sqrt(1 - poisson**2)
    return mean_radius**2 / h / brazier_radius_mm(outside_mm, bore_mm, poisson)


def bending_share(flattening):
    """Return the second moment of a ring flattened by w = z cos 2 theta, over that of the round ring."""
    radial, tangential = -flattening * np.cos(2 * ANGLES), flattening / 2 * np.sin(2 * ANGLES)
    heights = (1 + radial) * np.cos(ANGLES) - tangential * np.sin(ANGLES)
    return float(np.mean(heights**2) / 0.5)


# Brazier keeps the first order in the flattening; its slope, found by number, should be -3/2.
SLOPE = (bending_share(1e-5) - bending_share(-1e-5)) / 2e-5


def flattening_at(c):
    """Minimise bending energy + ring energy over the flattening; per length, over E t h^2 pi / a."""
    # change of the ring's curvature for w = z cos 2 theta: -(w'' + w) = 3 z cos 2 theta; plate stiffness 1/12
    ring = np.mean((3 * np.cos(2 * ANGLES)) ** 2) * 2 / 24

    def energy(z):
        return c**2 / 2 * (1 + SLOPE * z) + ring * z**2

    return minimize_scalar(energy, bounds=(0, 1), method="bounded", options={"xatol": 1e-12}).x


def test_brazier_s_limit_follows_from_the_energy():
    peak = minimize_scalar(
        lambda c: -c * (1 + SLOPE * flattening_at(c)),
        bounds=(0.1, 0.8),
        method="bounded",
        options={"xatol": 1e-10},
    )
    assert pytest.approx(-1.5, abs=1e-6) == SLOPE
    assert peak.x == pytest.approx(0.471405, abs=1e-5)  # sqrt(2) / 3
    assert flattening_at(peak.x) == pytest.approx(0.222222, abs=1e-5)  # 2 / 9
    assert -peak.fun == pytest.approx(0.314270, abs=1e-6)  # 2 sqrt(2) / 9
    assert limit_curvature(20, 19.8, 0.3) == pytest.approx(peak.x, abs=1e-5)


@pytest.mark.parametrize(("outside_mm", "bore_mm", "poisson"), [(20, 19.8, 0.5), (6, 4, 0.5), (8, 5, 0.0)])
def test_the_radius_is_at_the_limit_whatever_the_section(outside_mm, bore_mm, poisson):
    assert limit_curvature(outside_mm, bore_mm, poisson) == pytest.approx(sqrt(2) / 3, rel=1e-12)


ARCS = (np.arange(120) + 0.5) * 2 * pi / 120  # where the ring's tangent is taken, a = 1
EVEN = 2 * np.arange(1, 5)[:, None]


def ring(amplitudes):
    """Return heights over the neutral axis, change of curvature and enclosed area of an inextensional ring.

    Its tangent turns by the sum of amplitude x sin(2 n s): with even harmonics it closes by itself.
    """
    tangents = ARCS + amplitudes @ np.sin(EVEN * ARCS)
    step = ARCS[1] - ARCS[0]
    x, y = np.cumsum(np.cos(tangents)) * step, np.cumsum(np.sin(tangents)) * step
    x, y = x - np.cos(tangents) * step / 2, y - np.sin(tangents) * step / 2
    heights = y - y.mean()
    area = 0.5 * np.sum(x * np.sin(tangents) - y * np.cos(tangents)) * step
    return heights, (amplitudes * EVEN[:, 0]) @ np.cos(EVEN * ARCS), area


def moment_of_ring(c, pressure, start):
    """Return the moment over pi E a t h of the ring that settles at curvature c, and its amplitudes.

    Outside pressure, as a share of the collapse pressure 3 D / a^3 = (1/4) E t h^2 / a^3, gains what area it
    takes.
    """

    def energy(amplitudes):
        heights, bend, area = ring(amplitudes)
        return pi * (c**2 * np.mean(heights**2) + np.mean(bend**2) / 12 + pressure / 4 * area / pi)

    settled = minimize(energy, start, method="BFGS", options={"gtol": 1e-9}).x
    return 2 * c * np.mean(ring(settled)[0] ** 2), settled


def limit_of_ring(pressure, curvatures):
    amplitudes, moments = np.array([1e-3, 0, 0, 0]), []
    for c in curvatures:
        moment, amplitudes = moment_of_ring(c, pressure, amplitudes)
        moments.append(moment)
    top = int(np.argmax(moments))
    assert 0 < top < len(moments) - 1
    a, b, _ = np.polyfit(curvatures[top - 1 : top + 2], moments[top - 1 : top + 2], 2)
    return -b / (2 * a), max(moments)


def test_the_whole_ring_agrees_within_two_percent_in_curvature():
    """The one-harmonic formula is good to 1 % in curvature and 3 % in moment against the whole ring."""
    curvature, moment = limit_of_ring(0.0, np.linspace(0.40, 0.54, 15))
    assert curvature == pytest.approx(sqrt(2) / 3, rel=0.02)
    assert moment == pytest.approx(2 * sqrt(2) / 9, rel=0.04)


@pytest.mark.parametrize("pressure", [0.25, 0.5, 0.75])
def test_the_vacuum_factor_errs_to_the_safe_side_by_less_than_a_quarter(pressure):
    curvature, _ = limit_of_ring(pressure, np.linspace(0.22, 0.50, 15))
    allowed = sqrt(2) / 3 / vacuum_factor(pressure, 1.0)
    assert 0.75 * curvature < allowed < curvature


def test_a_round_ring_gives_way_at_the_collapse_pressure():
    """The ring's own stability: second derivative of its energy in the first harmonic changes sign at p_c."""

    def stiffness(pressure):
        def energy(z):
            _, bend, area = ring(np.array([z, 0, 0, 0]))
            return np.mean(bend**2) / 12 + pressure / 4 * area / pi

        return (energy(1e-3) - 2 * energy(0.0) + energy(-1e-3)) / 1e-6

    assert brentq(stiffness, 0.5, 1.5) == pytest.approx(1.0, abs=0.005)
