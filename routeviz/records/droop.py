"""How far does a tube droop that lies over a ledge, and how stiff is it then? The heavy cantilever, exactly.

A beam clamped level at one end and bent by its own weight alone, however far: ``E I theta'' = -w (L - s)
cos theta``. Its shape follows from the one number ``beta = w L^3 / (E I)``. Rohde, Large deflections of a
cantilever beam with uniformly distributed load, Quarterly of Applied Mathematics 11 (1953), has the series
and its figures.

With ``tau = beta^(1/3) (1 - s/L)``, counted from the tip, ``theta'' = -tau cos theta`` holds for all of
them: each angle of the tip gives one beta, without search.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.interpolate import PchipInterpolator

from routeviz.geometry.arrays import Floats, frozen

GRAVITY_M_S2 = 9.80665
STEP = 0.004  # of tau
LAST = 5.0  # of tau: no tip that is tabled needs more
TIPS = np.linspace(0.01, 1.565, 240)  # angles of the tip, in radians
LEAST, MOST = 0.02, 0.9  # droop in shares of what hangs over: what can be read, and what is tabled


@dataclass(frozen=True, slots=True, kw_only=True)
class Drooping:
    """How beams droop, by the angle of their tips, all in shares of what hangs over.

    Parameters
    ----------
    beta, drop : array, shape (n,)
        Ascending.
    """

    beta: Floats
    drop: Floats


def beta_of(drop: float) -> float:
    """Return ``w L^3 / (E I)`` of a beam, from how far its tip is below the ledge, in shares of its length.

    Parameters
    ----------
    drop : float
        From ``LEAST`` to ``MOST``.

    Returns
    -------
    beta : float
        To four digits and more.

    Raises
    ------
    ValueError
        The drop is outside of these.
    """
    if not LEAST <= drop <= MOST:
        raise ValueError(f"a drop of {LEAST} to {MOST} wanted, {drop} given")
    return float(np.exp(_curves()[0](drop)))


def modulus_mpa(drop: float, over_mm: float, section: tuple[float, float], density_g_cm3: float) -> float:
    """Return Young's modulus of a tube that droops so far.

    Parameters
    ----------
    drop : float
        In shares of what hangs over.
    over_mm : float
        How much that is.
    section : tuple of float
        Outside diameter and bore, in millimetres.
    density_g_cm3 : float
        Of the wall.

    Returns
    -------
    modulus : float
        In MPa: ``16 rho g L^3 / (beta (OD^2 + ID^2))``, as the wall's section over its second moment is
        ``16 / (OD^2 + ID^2)``.
    """
    outside, bore = section
    weight = density_g_cm3 * 1e-6 * GRAVITY_M_S2  # N in a cubic millimetre
    return 16 * weight * over_mm**3 / (beta_of(drop) * (outside**2 + bore**2))


def shapes(drops: Sequence[float], steps: int = 60) -> Floats:
    """Return how beams lie that droop so far: across and down from the ledge, in shares of their length.

    Parameters
    ----------
    drops : sequence of float
        Each from ``LEAST`` to ``MOST``.
    steps : int
        From the ledge to the tip.

    Returns
    -------
    points : array, shape (len(drops), steps + 1, 2)
        The first of each is the ledge.
    """
    theta, _ = _bent(_curves()[1](np.asarray(drops)))
    tau = np.arange(len(theta)) * STEP
    every = 16 * steps
    found = []
    for k, drop in enumerate(drops):
        angle = np.interp(np.linspace(beta_of(drop) ** (1 / 3), 0.0, every + 1), tau, theta[:, k])
        ways = [np.cumsum((part[1:] + part[:-1]) / (2 * every)) for part in (np.cos(angle), np.sin(angle))]
        found.append(np.vstack([[0.0, 0.0], np.column_stack(ways)])[::16])
    return frozen(np.stack(found))


@cache
def _curves() -> tuple[PchipInterpolator, PchipInterpolator]:
    """Return the logarithm of beta, and the angle of the tip, over the drop."""
    found = drooping()
    return PchipInterpolator(found.drop, np.log(found.beta)), PchipInterpolator(found.drop, TIPS)


@cache
def drooping() -> Drooping:
    """Return beta and drop for every angle in ``TIPS``."""
    theta, slope = _bent(TIPS)
    sines = np.sin(theta)
    sums = np.concatenate([np.zeros((1, len(TIPS))), np.cumsum((sines[1:] + sines[:-1]) / 2 * STEP, axis=0)])
    after = np.argmax(theta < 0.0, axis=0)
    if not (after > 0).all():
        raise ArithmeticError("a beam was not followed as far as its ledge")
    every = np.arange(len(TIPS))
    left = -theta[after, every] / slope[after, every]  # back from the step after the ledge, along its slope
    tau = after * STEP + left
    hanging = sums[after, every] - 0.5 * np.sin(theta[after, every]) * -left
    return Drooping(beta=frozen(tau**3), drop=frozen(hanging / tau))


def _bent(tips: Floats) -> tuple[Floats, Floats]:
    """Return angle and slope over tau for beams with these tips, by the method of Runge and Kutta."""
    count = math.ceil(LAST / STEP)
    theta, slope = np.empty((count + 1, len(tips))), np.empty((count + 1, len(tips)))
    theta[0], slope[0] = tips, 0.0
    for k in range(count):
        tau, at, by = k * STEP, theta[k], slope[k]
        a1, b1 = by, -tau * np.cos(at)
        a2, b2 = by + STEP / 2 * b1, -(tau + STEP / 2) * np.cos(at + STEP / 2 * a1)
        a3, b3 = by + STEP / 2 * b2, -(tau + STEP / 2) * np.cos(at + STEP / 2 * a2)
        a4, b4 = by + STEP * b3, -(tau + STEP) * np.cos(at + STEP * a3)
        theta[k + 1] = at + STEP / 6 * (a1 + 2 * a2 + 2 * a3 + a4)
        slope[k + 1] = by + STEP / 6 * (b1 + 2 * b2 + 2 * b3 + b4)
    return theta, slope
