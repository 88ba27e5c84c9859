"""Many trial polylines with rounded corners at once: their turns and cuts, how far points lie off them.

One rounded polyline as a curve is in curves.py; which of the trials is wanted is decided in fitting.py.
"""

from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats

TINY = 1e-12  # keeps a quotient finite where its numerator is 0 as well


class Trials(NamedTuple):
    """t polylines of n corners each, rounded at the n - 2 inner ones.

    Parameters
    ----------
    corners : array, shape (t, n, 3)
        Ends and corners.
    radii : array, shape (t, n - 2)
        Radius at each inner corner.
    legs : array, shape (t, n - 1)
        Length of each leg.
    directions : array, shape (t, n - 1, 3)
        Unit vector along each leg.
    turns : array, shape (t, n - 2)
        Angle by which each inner corner turns.
    cuts : array, shape (t, n - 2)
        What the arc at a corner takes of each of its legs.
    """

    corners: Floats
    radii: Floats
    legs: Floats
    directions: Floats
    turns: Floats
    cuts: Floats


def trials_of(corners: Floats, radii: Floats) -> Trials:
    """Return trial polylines with what follows from their corners and radii; nothing is checked."""
    steps = np.diff(corners, axis=1)
    legs = np.sqrt((steps * steps).sum(axis=2)) + TINY
    directions = steps / legs[..., None]
    # The half angle from sum and difference of two unit vectors is exact for straight corners and U-turns.
    before, after = directions[:, :-1], directions[:, 1:]
    apart, together = _sizes(after - before), _sizes(after + before)
    turns = 2 * np.arctan2(apart, together)
    return Trials(corners, radii, legs, directions, turns, radii * apart / (together + TINY))


def misses(trials: Trials, points: Floats) -> Floats:
    """Return how far each of k points lies off each trial, shape (t, k)."""
    none = np.zeros((len(trials.corners), 1))
    after, before = np.hstack([none, trials.cuts]), np.hstack([trials.cuts, none])
    starts = trials.corners[:, :-1] + trials.directions * after[..., None]
    straight = _off_straights(starts, trials.directions, np.maximum(trials.legs - after - before, 0), points)
    if not trials.turns.shape[1]:
        return np.asarray(straight.min(axis=1))
    return np.asarray(np.minimum(straight.min(axis=1), _off_arcs(trials, points).min(axis=1)))


def _off_straights(starts: Floats, directions: Floats, lengths: Floats, points: Floats) -> Floats:
    seen = points - starts[:, :, None, :]
    into = np.clip((seen * directions[:, :, None, :]).sum(axis=3), 0, lengths[..., None])
    return _sizes(seen - into[..., None] * directions[:, :, None, :])


def _off_arcs(trials: Trials, points: Floats) -> Floats:
    before, after = trials.directions[:, :-1], trials.directions[:, 1:]
    inward = after - before
    inward /= (_sizes(inward) + TINY)[..., None]
    forward = after + before
    forward /= (_sizes(forward) + TINY)[..., None]
    radii, half = trials.radii[..., None], 0.5 * trials.turns[..., None]
    # From the arc's centre its middle is seen at -inward; the corner lies R / cos(half turn) out that way.
    centres = trials.corners[:, 1:-1] + inward * (radii / (np.cos(half) + TINY))
    seen = points - centres[:, :, None, :]
    ahead, out = (seen * forward[:, :, None, :]).sum(axis=3), -(seen * inward[:, :, None, :]).sum(axis=3)
    aside = (seen * np.cross(forward, inward)[:, :, None, :]).sum(axis=3)
    # Beside the arc its nearer end is nearest; turned back by the half turn, that end lies at (R, 0).
    angle = np.clip(np.arctan2(ahead, out), -half, half)
    sine, cosine = np.sin(angle), np.cos(angle)
    across = ahead * cosine - out * sine
    return np.asarray(np.sqrt(aside**2 + across**2 + (ahead * sine + out * cosine - radii) ** 2))


def _sizes(vectors: Floats) -> Floats:
    return np.asarray(np.sqrt((vectors * vectors).sum(axis=-1)))
